#include "base/mem.h"
#include "intake/intake_internal.h"

enum { DAY_S = 86400, HOUR_S = 3600 };

/* --- stamps ----------------------------------------------------------------------------------- */

static void split(int64_t wall_s, struct stamp *stamp)
{
	int64_t day = wall_s / DAY_S - (wall_s % DAY_S < 0);

	stamp->day = (int32_t)day;
	stamp->second = (int32_t)(wall_s - day * DAY_S);
	stamp->offset = STAMP_NO_OFFSET;
}

/*
 * How the book writes an instant: on the works' clock, with the offset where its hour passes
 * twice. Where that clock is not known, as the export has it, with its offset if it has one.
 */
struct stamp intake_stamp_at(struct source *s, int64_t t_s, int32_t offset_s)
{
	const struct zone *works = s->run->works ? s->run->works : s->zone && !zone_is_fixed(s->zone) ? s->zone : NULL;
	struct stamp stamp;
	int32_t off = works ? zone_offset(works, t_s) : offset_s;

	split(t_s + off, &stamp);
	if (off % 60)
		return stamp;
	if (works ? zone_wall(works, &s->works_memo, t_s + off).kind == ZONE_TWICE : s->m->clock != CLOCK_WALL)
		stamp.offset = (int16_t)(off / 60);
	return stamp;
}

void intake_stamp_text(struct buf *out, const struct stamp *stamp)
{
	day_write(out, stamp->day);
	if (stamp->second == STAMP_NO_TIME)
		return;
	buf_char(out, ' ');
	time_write(out, stamp);
}

/* 3 h 20 min. */
void intake_span_text(struct buf *out, int64_t s)
{
	static const struct { int64_t s; const char *unit; } units[] = { { DAY_S, "d" }, { HOUR_S, "h" }, { 60, "min" }, { 1, "s" } };
	bool any = false;

	s = s < 0 ? -s : s;
	for (size_t i = 0; i < sizeof units / sizeof *units; i++) {
		if (s < units[i].s)
			continue;
		buf_printf(out, "%s%lld %s", any ? " " : "", (long long)(s / units[i].s), units[i].unit);
		s %= units[i].s;
		any = true;
	}
	if (!any)
		buf_str(out, "0 s");
}

/* --- sequences -------------------------------------------------------------------------------- */

static size_t slot_of(const struct source *s, uint64_t key)
{
	size_t i = (size_t)(key ^ key >> 32) & (s->slots - 1);

	while (s->sequence[i] && s->sequence[i]->key != key)
		i = (i + 1) & (s->slots - 1);
	return i;
}

static void grow_slots(struct source *s)
{
	struct sequence **old = s->sequence;
	size_t n = s->slots;

	s->slots = n ? n * 2 : 16;
	s->sequence = mem_zeroed(s->slots, sizeof *s->sequence);
	for (size_t i = 0; i < n; i++)
		if (old[i])
			s->sequence[slot_of(s, old[i]->key)] = old[i];
	free(old);
}

static struct sequence *sequence_of(struct source *s, uint64_t key)
{
	size_t i;

	if (s->nsequences >= s->slots / 2)
		grow_slots(s);
	i = slot_of(s, key);
	if (!s->sequence[i]) {
		s->sequence[i] = mem_zeroed(1, sizeof **s->sequence);
		s->sequence[i]->key = key;
		s->nsequences++;
	}
	return s->sequence[i];
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

	if (s->change_told == change_s)
		return;
	s->change_told = change_s;
	split(change_s + zone_offset(s->zone, change_s - 1), &from);
	split(change_s + zone_offset(s->zone, change_s), &to);
	buf_str(out, "on ");
	day_write(out, from.day);
	buf_str(out, " the clock went from ");
	time_write(out, &from);
	buf_str(out, " to ");
	time_write(out, &to);
	buf_str(out, text);
	intake_say(s->run, TOLD_CLOCK, TOLD_NOTE, row->place);
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

/* The clock was set forward between the last row and this one: no gap, told. */
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

	split(w->change_s + w->offset_s[0], &from);
	split(w->change_s + w->offset_s[1], &to);
	buf_str(out, "this hour does not exist: the clock went from ");
	time_write(out, &from);
	buf_str(out, " to ");
	time_write(out, &to);
	buf_str(out, "; if the instrument's clock ignores summer time, give its offset, such as `clock: \"+12:00\"`");
	intake_say(s->run, TOLD_UNREADABLE, TOLD_ERROR, row->place);
	for (size_t i = 0; i < row->n; i++)
		intake_record_drop(s->run, row->rec[i]);
}

void intake_row_time(struct source *s, struct row_records *row, uint64_t key, const struct time_reading *t)
{
	struct sequence *q;
	struct zone_wall w;

	row->wall_s = (int64_t)t->day * DAY_S + t->second;
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
	for (size_t i = 0; i < s->slots; i++) {
		struct sequence *q = s->sequence[i];

		if (!q)
			continue;
		settle_held(s, q, false);
		q->have = q->second = false;
		q->change_s = q->step_s = 0;
	}
}

void intake_sequences_release(struct source *s)
{
	for (size_t i = 0; i < s->slots; i++) {
		if (!s->sequence[i])
			continue;
		for (size_t k = 0; k < s->sequence[i]->nheld; k++)
			for (size_t j = 0; j < s->sequence[i]->held[k].n; j++)
				intake_record_drop(s->run, s->sequence[i]->held[k].rec[j]);
		free(s->sequence[i]->held);
		free(s->sequence[i]);
	}
	free(s->sequence);
}
