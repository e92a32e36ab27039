#include <stdlib.h>

#include "house/house.h"
#include "moist/readings_internal.h"
#include "table/partial.h"

/* The keys of a reading, and of a fact. */
enum { K_EVENT, K_SUBJECT, K_LABEL, K_AT, K_LOT, K_FORM, K_DEPTH, K_METER, K_UTC, K_DAY, K_MC, K_MARK, K_FLAGS, KEYS };
enum { F_WHAT, F_A, F_B, F_C, F_D, F_KEYS };
_Static_assert((int)KEYS <= (int)GROUP_KEYS_MOST, "a state has space for the keys of a reading");

/* Of a state that was not made by hand: instants to the year 9999, moistures to 800 %. */
#define SECONDS_MOST ((int64_t)300000000000)
#define MC_MOST ((int64_t)8000000)
enum { SAME_MOST = 1 << 20 };

static const char *const COUNTS[] = { "n" };
const struct groups_plan readings_plan = { .name = "reading", .nkeys = KEYS, .ncounts = 1, .counts = COUNTS };
const struct groups_plan readings_facts_plan = { .name = "fact", .nkeys = F_KEYS, .ncounts = 1, .counts = COUNTS };

static const char *const EVENTS[READ_EVENTS] = { "probe", "judge", "make", "oven" };

/* ---- to a state */

static struct slice number(struct buf *text, int64_t v)
{
	text->n = 0;
	buf_int(text, v);
	return buf_slice(text);
}

static void pack_row(const struct readings *r, const struct reading *row, struct groups *rows, struct buf *text)
{
	struct reading_frame frame = readings_frame(r, row->frame);
	struct slice key[KEYS] = { slice_of(EVENTS[frame.event]), readings_name(r, row->subject), readings_name(r, row->label),
		readings_name(r, frame.at), readings_name(r, frame.lot), readings_name(r, frame.form), SLICE(""), readings_name(r, frame.meter) };

	if (frame.depth != HOUSE_NONE)
		key[K_DEPTH] = number(&text[K_DEPTH], frame.depth);
	key[K_UTC] = number(&text[K_UTC], row->utc_s);
	key[K_DAY] = number(&text[K_DAY], row->day);
	key[K_MC] = number(&text[K_MC], row->mc);
	key[K_MARK] = number(&text[K_MARK], row->mark);
	key[K_FLAGS] = number(&text[K_FLAGS], row->flags);
	groups_at(rows, key)->count[0] += row->n;
}

static void pack_fact(struct groups *facts, const char *what, struct slice a, struct slice b, struct slice c, struct slice d)
{
	const struct slice key[F_KEYS] = { slice_of(what), a, b, c, d };

	groups_at(facts, key)->count[0] = 1;
}

static void pack_told(const struct readings *r, struct groups *facts, struct buf *text)
{
	const struct slice none = { "", 0 };

	for (uint32_t i = 1; i < r->names.n; i++) {
		if (r->marks[i] & IS_CHARGE)
			pack_fact(facts, "charge", readings_name(r, i), none, none, none);
		if (r->marks[i] & IS_HANDLES)
			pack_fact(facts, "handles", readings_name(r, i), none, none, none);
	}
	for (size_t i = 0; i < r->nfacts; i++) {
		const struct reading_fact *f = &r->fact[i];
		struct slice a = readings_name(r, f->a), b = readings_name(r, f->b), c = readings_name(r, f->c);

		if (f->what == FACT_START)
			pack_fact(facts, "start", a, b, number(text, f->utc_s), c);
		else if (f->what == FACT_BAT)
			pack_fact(facts, "bat", a, b, c, none);
		else
			pack_fact(facts, "pool", b, a, none, none);
	}
}

void readings_pack(struct readings *r, struct groups *rows, struct groups *facts)
{
	struct buf text[KEYS] = { BUF_INIT };
	struct reading row;

	while (readings_next(r, &row))
		pack_row(r, &row, rows, text);
	pack_told(r, facts, text);
	for (int i = 0; i < KEYS; i++)
		buf_release(&text[i]);
}

/* ---- and back */

static bool read_cell(struct slice cell, int64_t least, int64_t most, int64_t *v)
{
	return partial_int(cell, v) && *v >= least && *v <= most;
}

static bool read_event(struct slice name, uint32_t *event)
{
	for (uint32_t i = 0; i < READ_EVENTS; i++)
		if (slice_eq(name, slice_of(EVENTS[i]))) {
			*event = i;
			return true;
		}
	return false;
}

static bool read_frame(struct readings *r, const struct slice *key, struct reading_frame *frame)
{
	*frame = (struct reading_frame){ .depth = HOUSE_NONE };
	if (!read_event(key[K_EVENT], &frame->event))
		return false;
	if (key[K_DEPTH].n && !read_cell(key[K_DEPTH], 0, INT64_MAX, &frame->depth))
		return false;
	frame->at = readings_id(r, key[K_AT]);
	frame->lot = readings_id(r, key[K_LOT]);
	frame->form = readings_id(r, key[K_FORM]);
	frame->meter = readings_id(r, key[K_METER]);
	return true;
}

static void note_many(struct readings *r, struct reading row, int64_t n)
{
	for (; n > 0; n -= row.n) {
		row.n = (uint16_t)(n > UINT16_MAX ? UINT16_MAX : n);
		readings_note(r, &row);
	}
}

bool readings_unpack_row(struct readings *r, const struct slice *key, int64_t n)
{
	struct reading row = { 0 };
	struct reading_frame frame;
	int64_t day, mc, mark, flags;

	if (!read_cell(key[K_UTC], -SECONDS_MOST, SECONDS_MOST, &row.utc_s)
			|| !read_cell(key[K_DAY], -SECONDS_MOST / DAY_S, SECONDS_MOST / DAY_S, &day)
			|| !read_cell(key[K_MC], -MC_MOST, MC_MOST, &mc)
			|| !read_cell(key[K_MARK], VALUE_EXACT, VALUE_BELOW, &mark) || !read_cell(key[K_FLAGS], 0, 7, &flags)
			|| n < 1 || n > SAME_MOST || !key[K_SUBJECT].n || !read_frame(r, key, &frame))
		return false;
	if (day < r->want.from || day > r->want.to)
		return true;
	row.day = (int32_t)day;
	row.mc = (int32_t)mc;
	row.mark = (uint8_t)mark;
	row.flags = (uint8_t)flags;
	row.subject = readings_id(r, key[K_SUBJECT]);
	row.label = readings_id(r, key[K_LABEL]);
	row.frame = readings_frame_id(r, &frame);
	note_many(r, row, n);
	return true;
}

bool readings_unpack_fact(struct readings *r, const struct slice *key)
{
	struct reading_fact f = { .a = readings_id(r, key[F_A]), .b = readings_id(r, key[F_B]) };

	if (slice_eq(key[F_WHAT], SLICE("charge")))
		readings_mark(r, f.a, IS_CHARGE);
	else if (slice_eq(key[F_WHAT], SLICE("handles")))
		readings_mark(r, f.a, IS_HANDLES);
	else if (slice_eq(key[F_WHAT], SLICE("start"))) {
		f.c = readings_id(r, key[F_D]);
		if (!read_cell(key[F_C], -SECONDS_MOST, SECONDS_MOST, &f.utc_s))
			return false;
		readings_add_fact(r, f);
	} else if (slice_eq(key[F_WHAT], SLICE("bat"))) {
		f.what = FACT_BAT;
		f.c = readings_id(r, key[F_C]);
		readings_add_fact(r, f);
	} else if (slice_eq(key[F_WHAT], SLICE("pool")))
		readings_add_fact(r, (struct reading_fact){ FACT_POOL, f.b, f.a, 0, 0 });
	else
		return false;
	return true;
}
