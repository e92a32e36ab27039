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

static void clock_note(struct source *s, const struct row_records *row, int64_t change_s, enum diag_level level, const char *text)
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
	intake_say(s->run, NOTE_CLOCK, level, row->place);
}

static void hold(struct sequence *q, const struct row_records *row)
{
	q->held = mem_grow(q->held, &q->held_cap, q->nheld + 1, sizeof *q->held);
	q->held[q->nheld++] = *row;
}

/*
 * Whether the sequence goes back in time: by its rows before the hour, else by the row after it
 * (`next_s`, INT64_MIN: none), else by most of its steps within.
 */
static bool goes_back(const struct sequence *q, const struct zone_wall *w, int64_t next_s)
{
	size_t down = 0, up = 0;

	if (q->have && q->step_s)
		return q->step_s < 0;
	if (q->have && q->last_wall != q->held[0].wall_s)
		return q->last_wall > q->held[0].wall_s;
	if (next_s != INT64_MIN)
		return next_s < w->change_s + w->offset_s[1];
	for (size_t i = 1; i < q->nheld; i++) {
		down += q->held[i].wall_s < q->held[i - 1].wall_s;
		up += q->held[i].wall_s > q->held[i - 1].wall_s;
	}
	return down > up;
}

/* Whether the other pass begins with row i: the time turns, or stays where its pass is over. */
static bool begins_pass(const struct sequence *q, size_t i, bool back, const struct zone_wall *w)
{
	int64_t was = q->held[i - 1].wall_s, is = q->held[i].wall_s, step_s = q->step_s < 0 ? -q->step_s : q->step_s;
	int64_t start = w->change_s + w->offset_s[1], end = w->change_s + w->offset_s[0];

	if (is != was)
		return back ? is > was : is < was;
	return !step_s || (back ? was - step_s < start : was + step_s >= end);
}

/* Where the other pass begins; nheld if there is only one. */
static size_t pass_break(const struct sequence *q, bool back, const struct zone_wall *w)
{
	for (size_t i = 1; i < q->nheld; i++)
		if (begins_pass(q, i, back, w))
			return i;
	return q->nheld;
}

/* The instants by the passes, one of which ends where the row before or after goes on. */
static bool goes_on(int64_t a_s, int64_t b_s, int64_t step_s)
{
	int64_t by_s = a_s > b_s ? a_s - b_s : b_s - a_s;

	step_s = step_s < 0 ? -step_s : step_s;
	return step_s ? 2 * by_s <= 3 * step_s : by_s <= HOUR_S / 2;
}

/*
 * Whether a single pass is the first: the readings go on from before the hour into it, and not from it
 * on past it. The rows before and after are in the order of the file.
 */
static bool is_first_pass(const struct source *s, const struct sequence *q, bool back, struct zone_wall *early, struct zone_wall *late,
	int64_t next_s)
{
	struct zone_memo memo = s->memo;
	int64_t next_t = next_s == INT64_MIN ? INT64_MIN : zone_wall(s->zone, &memo, next_s).utc_s[0];
	int64_t before = back ? next_t : q->have ? q->last_t : INT64_MIN, after = back ? (q->have ? q->last_t : INT64_MIN) : next_t;
	int64_t step_s = q->step_s ? q->step_s : q->nheld > 1 ? q->held[1].wall_s - q->held[0].wall_s : 0;
	bool joins = before != INT64_MIN && goes_on(before, early->utc_s[0], step_s);

	return joins && (after == INT64_MIN || !goes_on(late->utc_s[1], after, step_s));
}

/* One pass only. Says which, and how sure that is. True if it is the first. */
static bool settle_single(struct source *s, struct sequence *q, bool back, int64_t next_s)
{
	struct zone_wall a = zone_wall(s->zone, &s->memo, q->held[0].wall_s), b = zone_wall(s->zone, &s->memo, q->held[q->nheld - 1].wall_s);
	bool first = is_first_pass(s, q, back, back ? &b : &a, back ? &a : &b, next_s);

	if (first)
		clock_note(s, &q->held[0], q->change_s, LEVEL_NOTE,
			": the repeated hour has only its first pass here, because the readings before it go on into it");
	else
		clock_note(s, &q->held[0], q->change_s, LEVEL_WARNING,
			": the repeated hour has only one pass here, which counts as the second, as in the book; "
			"if the instrument ignores summer time, give its offset, such as `clock: \"+12:00\"`");
	return first;
}

static void deliver_held(struct source *s, struct sequence *q, size_t i, int pass)
{
	struct zone_wall w = zone_wall(s->zone, &s->memo, q->held[i].wall_s);

	q->last_t = w.utc_s[pass];
	deliver(s, &q->held[i], w.utc_s[pass], w.offset_s[pass]);
}

/*
 * The rows of an hour that passes twice were all held. Where their time turns the other pass begins;
 * where it does not there is one pass. `next_s` is the wall time of the row after them.
 */
static void settle_held(struct source *s, struct sequence *q, int64_t next_s)
{
	struct zone_wall w;
	size_t turn;
	bool back, first;

	if (!q->nheld)
		return;
	w = zone_wall(s->zone, &s->memo, q->held[0].wall_s);
	back = goes_back(q, &w, next_s);
	turn = pass_break(q, back, &w);
	if (turn < q->nheld) {
		clock_note(s, &q->held[0], q->change_s, LEVEL_NOTE,
			": the order of the rows separates the repeated hour, which is written with its offset");
		first = !back;
	} else {
		first = settle_single(s, q, back, next_s);
	}
	for (size_t i = 0; i < q->nheld; i++)
		deliver_held(s, q, i, (i < turn) == first ? 0 : 1);
	q->nheld = 0;
}

static int by_moment(const void *a, const void *b)
{
	const struct record *x = *(struct record *const *)a, *y = *(struct record *const *)b;

	if (x->t_s != y->t_s)
		return x->t_s < y->t_s ? -1 : 1;
	return (x->place.line > y->place.line) - (x->place.line < y->place.line);
}

static int by_moment_back(const void *a, const void *b)
{
	const struct record *x = *(struct record *const *)a, *y = *(struct record *const *)b;

	return x->t_s == y->t_s ? by_moment(a, b) : -by_moment(a, b);
}

/*
 * One sequence has left the hour, or the file ends (`next_s` INT64_MIN): all that are in it are settled
 * together and put into the order of time, so that their readings of one moment still meet.
 */
static void settle_all(struct source *s, int64_t next_s)
{
	size_t start, settled = 0;
	bool back = false;

	if (s->first == s->nready)
		s->first = s->nready = 0;
	start = s->nready;
	for (size_t i = 0; i < s->nsequences; i++) {
		struct sequence *q = s->sequence[i];

		if (!q->nheld)
			continue;
		back = back || q->step_s < 0;
		settle_held(s, q, next_s);
		settled++;
	}
	if (settled > 1 && s->nready > start)
		qsort(s->ready + start, s->nready - start, sizeof(struct record *), back ? by_moment_back : by_moment);
}

/* A row in an hour that passes twice. */
static void twice(struct source *s, struct sequence *q, struct row_records *row, const struct zone_wall *w)
{
	if (q->nheld && q->change_s != w->change_s)
		settle_all(s, row->wall_s);
	q->change_s = w->change_s;
	hold(q, row);
}

/* The clock was set forward between the last row and this one: no gap, but a note. */
static void look_forward(struct source *s, const struct sequence *q, const struct row_records *row, int64_t t_s)
{
	int32_t shift;
	int64_t change_s = q->have ? zone_next_change(s->zone, q->last_t, &shift) : INT64_MAX;

	if (change_s <= t_s && shift > 0)
		clock_note(s, row, change_s, LEVEL_NOTE, ": the skipped hour is not a gap");
}

/* A row whose wall time comes once. */
static void once(struct source *s, struct sequence *q, struct row_records *row, const struct zone_wall *w)
{
	if (q->nheld)
		settle_all(s, row->wall_s);
	q->change_s = 0;
	look_forward(s, q, row, w->utc_s[0]);
	if (q->have && row->wall_s != q->last_wall)
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
	settle_all(s, INT64_MIN);
	for (size_t i = 0; i < s->nsequences; i++) {
		struct sequence *q = s->sequence[i];

		q->have = false;
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
