#include <stdlib.h>

#include "base/sorted.h"
#include "moist/readings_internal.h"

/* ---- facts in order */

/* Whether two facts are about the same thing; of a probe, since the same instant. */
static bool is_same(const struct reading_fact *x, const struct reading_fact *y)
{
	return x->what == y->what && x->a == y->a && (x->what != FACT_START || x->b == y->b) && x->utc_s == y->utc_s;
}

/* The one of two facts about the same thing that is taken. The order is that of texts, because numbers are arbitrary. */
static bool is_taken_before(const struct readings *r, const struct reading_fact *x, const struct reading_fact *y)
{
	int order;

	if (x->what == FACT_START)
		return slice_cmp(readings_name(r, x->c), readings_name(r, y->c)) > 0;
	order = slice_cmp(readings_name(r, x->b), readings_name(r, y->b));
	return (order ? order : slice_cmp(readings_name(r, x->c), readings_name(r, y->c))) < 0;
}

/* Leaves one fact of each bat, and one lot of a probe at each instant. */
static void take_one_of_each(struct readings *r)
{
	size_t n = 0;

	for (size_t i = 0; i < r->nfacts; i++) {
		struct reading_fact *held = n ? &r->fact[n - 1] : NULL;

		if (!held || !is_same(held, &r->fact[i]) || held->what == FACT_POOL)
			r->fact[n++] = r->fact[i];
		else if (is_taken_before(r, &r->fact[i], held))
			*held = r->fact[i];
	}
	r->nfacts = n;
}

/* The facts from `from` on that are of one kind. */
static size_t end_of(const struct readings *r, size_t from, enum reading_fact_kind what)
{
	while (from < r->nfacts && r->fact[from].what == what)
		from++;
	return from;
}

static struct slice lot_of_piece(struct slice piece)
{
	return slice_upto(piece, slice_find(piece, '/'));
}

/* ---- lots of handles */

struct names {
	uint32_t *list;
	size_t n, cap;
};

static void add_handles(struct readings *r, struct names *found, uint32_t lot)
{
	if (!lot || (r->marks[lot] & IS_HANDLES))
		return;
	readings_mark(r, lot, IS_HANDLES);
	found->list = mem_grow(found->list, &found->cap, found->n + 1, sizeof *found->list);
	found->list[found->n++] = lot;
}

/* The first pool that something of `parent` went into. */
static size_t first_pool(const struct reading_fact *pool, size_t n, uint32_t parent)
{
	size_t low = 0, high = n;

	while (low < high) {
		size_t mid = low + (high - low) / 2;

		if (pool[mid].a < parent)
			low = mid + 1;
		else
			high = mid;
	}
	return low;
}

/* A pool of handles is of handles, through any number of pools. */
static void follow_pools(struct readings *r, const struct reading_fact *pool, size_t n, struct names *found)
{
	while (found->n) {
		uint32_t parent = found->list[--found->n];

		for (size_t i = first_pool(pool, n, parent); i < n && pool[i].a == parent; i++)
			add_handles(r, found, pool[i].b);
	}
}

static void find_handles(struct readings *r, const struct reading_fact *bat, size_t nbats, const struct reading_fact *pool, size_t npools)
{
	struct names found = { NULL, 0, 0 };

	for (uint32_t i = 1; npools && i < r->names.n; i++)
		if (r->marks[i] & IS_HANDLES) {
			found.list = mem_grow(found.list, &found.cap, found.n + 1, sizeof *found.list);
			found.list[found.n++] = i;
		}
	for (size_t i = 0; i < nbats; i++)
		add_handles(r, &found, readings_id(r, lot_of_piece(readings_name(r, bat[i].c))));
	follow_pools(r, pool, npools, &found);
	free(found.list);
}

/* Starts are in the order of their charges. */
static const uint32_t *index_starts(struct readings *r, size_t nstarts)
{
	size_t at = 0;

	free(r->first_start);
	r->first_start = nstarts ? mem_array(r->names.n + 1u, sizeof *r->first_start) : NULL;
	for (uint32_t name = 0; nstarts && name <= r->names.n; name++) {
		while (at < nstarts && r->fact[at].a < name)
			at++;
		r->first_start[name] = (uint32_t)at;
	}
	return r->first_start;
}

/* The lots of pieces have numbers from here on, so that asking for one changes nothing. */
static void find_lots(struct readings *r)
{
	const uint32_t n = r->names.n;
	uint32_t lot = 0;
	size_t cap = 0;

	free(r->lot_of);
	r->lot_of = mem_grow(NULL, &cap, n, sizeof *r->lot_of);
	r->lot_of[0] = 0;
	for (uint32_t i = 1; i < n; i++) {
		struct slice text = readings_name(r, i), of = lot_of_piece(text);

		if (of.n < text.n && !slice_eq(readings_name(r, lot), of))
			lot = readings_id(r, of);
		r->lot_of[i] = of.n < text.n ? lot : i;
	}
	r->lot_of = mem_grow(r->lot_of, &cap, r->names.n, sizeof *r->lot_of);
	for (uint32_t i = n; i < r->names.n; i++)
		r->lot_of[i] = i;
}

static const struct reading_frame *list_frames(struct readings *r)
{
	free(r->frame_at);
	r->frame_at = mem_zeroed(r->frames.n, sizeof *r->frame_at);
	for (uint32_t i = 1; i < r->frames.n; i++)
		r->frame_at[i] = readings_frame(r, i);
	return r->frame_at;
}

struct reading_facts readings_resolve(struct readings *r)
{
	struct reading_facts f = { .readings = r };
	size_t starts, bats;

	f.blade = readings_id(r, SLICE("blade"));
	f.handle = readings_id(r, SLICE("handle"));
	f.cleft = readings_id(r, SLICE("cleft"));
	f.none = readings_id(r, SLICE("-"));
	if (!r->nfacts) /* parts of it are pointed at, empty ones too */
		r->fact = mem_grow(r->fact, &r->facts_cap, 1, sizeof *r->fact);
	readings_sort_facts(r);
	/* every fitted handle marks its lot, also that of a bat that was made twice */
	starts = end_of(r, 0, FACT_START);
	bats = end_of(r, starts, FACT_BAT);
	find_handles(r, r->fact + starts, bats - starts, r->fact + bats, r->nfacts - bats);
	take_one_of_each(r);
	find_lots(r);
	f.start = r->fact;
	f.nstarts = end_of(r, 0, FACT_START);
	f.bat = r->fact + f.nstarts;
	f.nbats = end_of(r, f.nstarts, FACT_BAT) - f.nstarts;
	f.first_start = index_starts(r, f.nstarts);
	f.frame = list_frames(r);
	return f;
}

/* ---- what a reading is of */

/* The lot that a probe of a charge was in: as it was put in last before, else as first. There are few in a charge, by their probes. */
static uint32_t probed_lot(const struct reading_facts *f, uint32_t charge, uint32_t label, int64_t utc_s)
{
	size_t low, after, end;

	if (!f->nstarts)
		return 0;
	low = f->first_start[charge];
	after = end = f->first_start[charge + 1u];
	while (low < after) {
		size_t mid = low + (after - low) / 2;
		const struct reading_fact *s = &f->start[mid];

		if (s->b < label || (s->b == label && s->utc_s <= utc_s))
			low = mid + 1;
		else
			after = mid;
	}
	if (after > f->first_start[charge] && f->start[after - 1].b == label)
		return f->start[after - 1].c;
	return after < end && f->start[after].b == label ? f->start[after].c : 0;
}

static const struct reading_fact *bat_of(const struct reading_facts *f, uint32_t id)
{
	return f->readings->marks[id] & IS_BAT ? &f->bat[SORTED_FROM(f->bat, f->nbats, struct reading_fact, a, id)] : NULL;
}

/* A blade or a handle, when it goes into a bat or is in one. */
static struct reading_of of_bat(const struct reading_facts *f, const struct reading *row, const struct reading_frame *frame)
{
	const struct reading_fact *bat = bat_of(f, row->subject);
	bool is_part = row->label && (row->label == f->blade || row->label == f->handle);
	bool is_new = is_part && row->label == f->handle && frame->event == READ_MAKE && frame->lot; /* of a line that gives it another */
	uint32_t piece = is_new ? frame->lot : bat && is_part ? row->label == f->handle ? bat->c : bat->b : 0;
	struct reading_of of = { .place = frame->at, .part = is_part ? row->label : 0, .a = row->subject, .b = row->label, .single = true };

	of.lot_name = f->readings->lot_of[piece];
	of.lot = readings_name(f->readings, of.lot_name);
	if (of.lot_name != piece) {
		of.a = piece;
		of.b = 0;
	}
	return of;
}

static uint32_t part_of_lot(const struct reading_facts *f, const struct reading_frame *frame, uint32_t lot)
{
	if (frame->form && frame->form != f->none)
		return frame->form == f->handle ? f->handle : f->blade;
	return lot && (f->readings->marks[lot] & IS_HANDLES) ? f->handle : f->blade;
}

/* The lot, of which a reading at random is any piece; a charge is the place of all that it holds. */
static struct reading_of of_lot(const struct reading_facts *f, const struct reading *row, const struct reading_frame *frame)
{
	const struct readings *r = f->readings;
	bool charge = r->marks[row->subject] & IS_CHARGE, judged = frame->event == READ_JUDGE;
	struct reading_of of = { .charge = charge ? row->subject : 0, .place = charge ? row->subject : frame->at, .single = judged };

	if (!charge)
		of.lot_name = r->lot_of[row->subject];
	else
		of.lot_name = frame->lot || !row->label ? frame->lot : probed_lot(f, row->subject, row->label, row->utc_s);
	of.lot = readings_name(r, of.lot_name);
	of.part = part_of_lot(f, frame, of.lot_name);
	of.a = row->subject;
	of.b = judged ? 0 : row->label;
	of.at_random = !judged && !row->label;
	if (of.at_random && !charge) {
		of.a = of.lot_name;
		of.b = of.place;
	}
	return of;
}

struct reading_of reading_of(const struct reading_facts *f, const struct reading *row)
{
	const struct reading_frame *frame = &f->frame[row->frame];
	struct reading_of of;

	if (frame->event == READ_MAKE || (frame->event == READ_PROBE && bat_of(f, row->subject)))
		of = of_bat(f, row, frame);
	else
		of = of_lot(f, row, frame);
	of.depth = frame->depth;
	of.meter = frame->meter;
	of.form = of.single ? of.part : frame->form;
	return of;
}

/* Of what no lot is named; a reading of any piece of a bat or a charge is of no lot. */
struct reading_of reading_of_lot(const struct reading_facts *f, const struct lot_day *row)
{
	const struct readings *r = f->readings;
	uint32_t name = row->lot >> 1;
	struct reading_of of = { .lot_name = 0 };

	if (row->lot == readings_lot_number(name, true) || !(r->marks[name] & (IS_BAT | IS_CHARGE)))
		of.lot_name = r->lot_of[name];
	of.lot = readings_name(r, of.lot_name);
	of.part = of.lot_name && (r->marks[of.lot_name] & IS_HANDLES) ? f->handle : f->blade;
	return of;
}

uint32_t reading_root(const struct reading_facts *f, const struct reading *row)
{
	const struct readings *r = f->readings;
	const bool of_bat = f->frame[row->frame].event == READ_MAKE || (r->marks[row->subject] & IS_BAT);

	return r->lot_of[of_bat ? reading_of(f, row).a : row->subject];
}

void reading_source_write(const struct readings *r, struct buf *out, uint32_t a, uint32_t b, bool at_random)
{
	buf_add(out, readings_name(r, a));
	if (b) {
		buf_str(out, at_random ? " at " : " ");
		buf_add(out, readings_name(r, b));
	}
}
