#include "intake/intake_internal.h"

enum { SLOTS_FIRST = 16 }; /* a power of two; most exports have one sequence, or a few sensors */

/* --- sequences -------------------------------------------------------------------------------- */

static struct sequence *sequence_of(struct source *s, uint64_t key)
{
	uint64_t hash = hash_mix(key);
	struct hash_probe p = hash_probe_of(&s->sequence_index, hash);
	struct sequence *q;

	while (hash_probe_next(&s->sequence_index, &p))
		if (s->sequence[p.row]->key == key)
			return s->sequence[p.row];
	q = mem_zeroed(1, sizeof *q);
	q->key = key;
	hash_index_add(&s->sequence_index, hash, (uint32_t)s->nsequences);
	s->sequence = mem_grow(s->sequence, &s->sequences_cap, s->nsequences + 1, sizeof(struct sequence *));
	return s->sequence[s->nsequences++] = q;
}

/* --- giving out ------------------------------------------------------------------------------- */

static void deliver(struct source *s, struct row_records *row, int64_t t_s, int32_t offset_s)
{
	struct stamp stamp = intake_stamp_at(s, t_s, offset_s);

	s->last_offset = offset_s;
	for (size_t i = 0; i < row->n; i++) {
		row->rec[i]->t_s = t_s;
		row->rec[i]->stamp = stamp;
	}
	intake_row_deliver(s, row);
}

static void clock_note(struct source *s, const struct row_records *row, int64_t change_s, const char *text)
{
	struct stamp from, to;
	struct buf *out = &s->run->text;

	if (s->change_noted == change_s)
		return;
	s->change_noted = change_s;
	from = intake_stamp_wall(change_s + zone_offset(s->zone, change_s - 1));
	to = intake_stamp_wall(change_s + zone_offset(s->zone, change_s));
	buf_str(out, "on ");
	day_write(out, from.day);
	buf_str(out, " the clock went from ");
	time_write(out, &from);
	buf_str(out, " to ");
	time_write(out, &to);
	buf_str(out, text);
	intake_say(s->run, NOTE_CLOCK, LEVEL_NOTE, row->place);
}

/*
 * Rows held in an hour that passes twice: they are its first pass if a second was seen. Else only
 * one pass was written, and the book's rule takes it for the second.
 */
static void settle_held(struct source *s, struct sequence *q, bool first)
{
	if (!q->nheld)
		return;
	clock_note(s, &q->held[0], q->change_s, first ?
		": the order of the rows separates the repeated hour, which is written with its offset" :
		": the repeated hour has only one pass here, which counts as the second, as in the book");
	for (size_t i = 0; i < q->nheld; i++) {
		struct zone_wall w = zone_wall(s->zone, &s->memo, q->held[i].wall_s);
		int64_t t_s = w.utc_s[first ? 0 : 1];

		q->last_t = t_s;
		deliver(s, &q->held[i], t_s, w.offset_s[first ? 0 : 1]);
	}
	q->nheld = 0;
}

static void hold(struct sequence *q, const struct row_records *row)
{
	q->held = mem_grow(q->held, &q->held_cap, q->nheld + 1, sizeof *q->held);
	q->held[q->nheld++] = *row;
}

/* In the doubled hour a row of the same moment as the last is its second pass only where the first is over. */
static bool begins_second(const struct sequence *q, const struct row_records *row, const struct zone_wall *w)
{
	int64_t last = q->held[q->nheld - 1].wall_s, end = w->change_s + w->offset_s[0];

	if (row->wall_s != last)
		return row->wall_s < last;
	return q->step_s <= 0 || last + q->step_s >= end;
}

/* A row in an hour that passes twice. */
static void twice(struct source *s, struct sequence *q, struct row_records *row, const struct zone_wall *w)
{
	if (q->change_s != w->change_s) {
		settle_held(s, q, false);
		q->change_s = w->change_s;
		q->second = q->have && q->last_t >= w->change_s;
	}
	if (!q->second && q->nheld && begins_second(q, row, w)) {
		settle_held(s, q, true);
		q->second = true;
	}
	if (!q->second) {
		hold(q, row);
		return;
	}
	q->last_t = w->utc_s[1];
	deliver(s, row, w->utc_s[1], w->offset_s[1]);
}

/* The clock was set forward between the last row and this one: no gap, but a note. */
static void look_forward(struct source *s, const struct sequence *q, const struct row_records *row, int64_t t_s)
{
	int32_t shift;
	int64_t change_s = q->have ? zone_next_change(s->zone, q->last_t, &shift) : INT64_MAX;

	if (change_s <= t_s && shift > 0)
		clock_note(s, row, change_s, ": the skipped hour is not a gap");
}

/* A row whose wall time comes once. */
static void once(struct source *s, struct sequence *q, struct row_records *row, const struct zone_wall *w)
{
	if (q->change_s)
		settle_held(s, q, false);
	q->change_s = 0;
	q->second = false;
	look_forward(s, q, row, w->utc_s[0]);
	if (q->have && row->wall_s > q->last_wall)
		q->step_s = row->wall_s - q->last_wall;
	q->last_wall = row->wall_s;
	q->last_t = w->utc_s[0];
	q->have = true;
	deliver(s, row, w->utc_s[0], w->offset_s[0]);
}

static void never(struct source *s, struct row_records *row, const struct zone_wall *w)
{
	struct stamp from, to;
	struct buf *out = &s->run->text;

	from = intake_stamp_wall(w->change_s + w->offset_s[0]);
	to = intake_stamp_wall(w->change_s + w->offset_s[1]);
	buf_str(out, "this hour does not exist: the clock went from ");
	time_write(out, &from);
	buf_str(out, " to ");
	time_write(out, &to);
	buf_str(out, "; if the instrument's clock ignores summer time, give its offset, such as `clock: \"+12:00\"`");
	intake_say(s->run, NOTE_UNREADABLE, LEVEL_ERROR, row->place);
	for (size_t i = 0; i < row->n; i++)
		intake_record_drop(s->run, row->rec[i]);
}

void intake_row_time(struct source *s, struct row_records *row, uint64_t key, const struct time_reading *t)
{
	struct sequence *q;
	struct zone_wall w;

	row->wall_s = day_seconds(t->day) + t->second;
	if (!s->m->form.timed) {
		for (size_t i = 0; i < row->n; i++) {
			row->rec[i]->t_s = row->wall_s;
			row->rec[i]->stamp = (struct stamp){ t->day, STAMP_NO_TIME, STAMP_NO_OFFSET };
		}
		intake_row_deliver(s, row);
		return;
	}
	if (t->has_offset || !s->zone) {
		deliver(s, row, row->wall_s - (t->has_offset ? t->offset_s : 0), t->offset_s);
		return;
	}
	q = sequence_of(s, key);
	w = zone_wall(s->zone, &s->memo, row->wall_s);
	if (w.kind == ZONE_NEVER)
		never(s, row, &w);
	else if (w.kind == ZONE_TWICE)
		twice(s, q, row, &w);
	else
		once(s, q, row, &w);
}

void intake_sequences_settle(struct source *s)
{
	for (size_t i = 0; i < s->nsequences; i++) {
		struct sequence *q = s->sequence[i];

		settle_held(s, q, false);
		q->have = q->second = false;
		q->change_s = q->step_s = 0;
	}
}

void intake_sequences_release(struct source *s)
{
	for (size_t i = 0; i < s->nsequences; i++) {
		for (size_t k = 0; k < s->sequence[i]->nheld; k++)
			for (size_t j = 0; j < s->sequence[i]->held[k].n; j++)
				intake_record_drop(s->run, s->sequence[i]->held[k].rec[j]);
		free(s->sequence[i]->held);
		free(s->sequence[i]);
	}
	free(s->sequence);
	hash_index_release(&s->sequence_index);
}
