#include "text.h"
#include "vocab_words.h"
#include "vocab.h"
#include "value.h"
#include "stamp.h"
#include "diag.h"
#include "parse.h"
#include "zone.h"
#include "house_words.h"
#include "house.h"
#include "wood.h"
#include "meter.h"
#include "intern.h"
#include "wide.h"
#include "stats.h"
#include "group.h"
#include "state.h"
#include "readings.h"

#include <stdlib.h>

#include "mem.h"

/* The cells of an origin, and of a fact. */
enum { O_EVENT, O_SUBJECT, O_LABEL, O_AT, O_LOT, O_FORM, O_DEPTH, O_METER, O_CELLS };
enum { F_WHAT, F_A, F_B, F_C, F_D, F_CELLS };
enum { R_UTC = O_CELLS, R_DAY, R_MC, R_MARK, R_FLAGS, R_CELLS };
_Static_assert((int)R_CELLS <= (int)GROUP_KEYS_MOST, "a state has room for the keys of a reading");

/* Of a state that was not made by hand: instants to the year 9999, moistures to 800 %. */
#define SECONDS_MOST ((int64_t)300000000000)
#define MC_MOST ((int64_t)8000000)
enum { SAME_MOST = 1 << 20 };

static const char *const COUNTS[] = { "n" };
const struct groups_plan readings_plan = { .name = "reading", .nkeys = R_CELLS, .ncounts = 1, .counts = COUNTS };
const struct groups_plan readings_facts_plan = { .name = "fact", .nkeys = F_CELLS, .ncounts = 1, .counts = COUNTS };

void readings_init(struct readings *r, const struct house *house, const struct zone *zone)
{
	memset(r, 0, sizeof *r);
	r->house = house;
	r->zone = zone;
	intern_init(&r->origins);
	intern_init(&r->facts);
}

void readings_release(struct readings *r)
{
	intern_release(&r->origins);
	intern_release(&r->facts);
	free(r->row);
	memset(r, 0, sizeof *r);
}

/* ---- cells joined by tabs */

static uint32_t intern_cells(struct intern *t, const struct slice *cell, size_t n)
{
	struct buf text = BUF_INIT;
	uint32_t id;

	for (size_t i = 0; i < n; i++) {
		if (i)
			buf_char(&text, '\t');
		buf_add(&text, cell[i]);
	}
	id = intern_id(t, buf_slice(&text));
	buf_release(&text);
	return id;
}

static void split_cells(struct slice text, struct slice *cell, size_t n)
{
	for (size_t i = 0; i < n; i++) {
		size_t tab = slice_find(text, '\t');

		cell[i] = slice_upto(text, tab);
		text = slice_from(text, tab + (tab < text.n));
	}
}

/* ---- what a line says */

static void add_fact(struct readings *r, const char *what, struct slice a, struct slice b, struct slice c, struct slice d)
{
	const struct slice cell[F_CELLS] = { slice_of(what), a, b, c, d };

	intern_cells(&r->facts, cell, F_CELLS);
}

static const struct slice NONE = { "", 0 };

static int64_t instant_of(struct readings *r, const struct stamp *stamp)
{
	int64_t wall = (int64_t)stamp->day * 86400 + (stamp->second == STAMP_NO_TIME ? 43200 : stamp->second);
	struct zone_wall found;

	if (stamp->offset != STAMP_NO_OFFSET)
		return wall - stamp->offset * 60;
	found = zone_wall(r->zone, &r->memo, wall);
	return found.kind == ZONE_NEVER ? found.change_s : found.utc_s[1];
}

/* Probes put in: the charge, the probe, since when, in which lot. */
static void take_starts(struct readings *r, const struct line *l)
{
	const struct field *f = line_field(l, FIELD_IN);
	struct buf since = BUF_INIT;

	if (!f)
		return;
	add_fact(r, "charge", l->subject, NONE, NONE, NONE);
	buf_int(&since, instant_of(r, &l->stamp));
	for (size_t i = 0; i < f->n; i++) {
		const struct item *item = &l->item[f->first + i];

		add_fact(r, "start", l->subject, item->label, buf_slice(&since),
			slice_upto(item->text, slice_find(item->text, '/')));
	}
	buf_release(&since);
}

static void take_pool(struct readings *r, const struct line *l)
{
	const struct field *f = line_field(l, FIELD_LOT);

	for (size_t i = 0; f && i < f->n; i++)
		add_fact(r, "pool", l->subject, l->item[f->first + i].label, NONE, NONE);
}

static void add_reading(struct readings *r, const struct line *l, uint32_t origin, struct reading row)
{
	row.utc_s = instant_of(r, &l->stamp);
	row.day = l->stamp.day;
	row.origin = origin;
	r->row = mem_grow(r->row, &r->cap, r->n + 1, sizeof *r->row);
	r->row[r->n++] = row;
}

static uint32_t origin_of(struct readings *r, const struct line *l, struct slice label)
{
	const struct item *depth = line_item(l, FIELD_DEPTH);
	struct buf text = BUF_INIT;
	struct slice cell[O_CELLS] = { l->event->name, l->subject, label, line_word(l, FIELD_AT), line_word(l, FIELD_LOT),
		line_word(l, FIELD_FORM), NONE, line_word(l, FIELD_METER) };
	uint32_t id;

	if (depth && depth->v.mark == VALUE_EXACT)
		buf_int(&text, depth->v.fix);
	cell[O_DEPTH] = buf_slice(&text);
	id = intern_cells(&r->origins, cell, O_CELLS);
	buf_release(&text);
	return id;
}

static struct reading correct(const struct readings *r, const struct line *l, const struct item *item)
{
	const struct item *wood = line_item(l, FIELD_WOOD);
	struct reading row = { .mc = item->v.fix, .mark = item->v.mark };
	struct meter_use use = { .rule = meter_rule_none() };

	if (r->house)
		meter_use_on(r->house, line_word(l, FIELD_METER), l->stamp.day, &use);
	if (item->v.mark != VALUE_EXACT)
		return row;
	if (!meter_correct(&use, item->v.fix, wood ? wood->v.fix : HOUSE_NONE, &row.mc))
		row.flags |= READING_UNCORRECTED;
	if (reading_is_doubtful(&use.rule, value_number(TYPE_MOISTURE, item->v.fix)))
		row.flags |= READING_DOUBTFUL;
	return row;
}

static void take_metered(struct readings *r, const struct line *l)
{
	const struct field *f = line_field(l, FIELD_MC);

	for (size_t i = 0; f && i < f->n; i++) {
		const struct item *item = &l->item[f->first + i];

		add_reading(r, l, origin_of(r, l, item->label), correct(r, l, item));
	}
}

/* The dry mass that belongs to the i-th wet one: the one of its label, else the one in its place. */
static const struct item *dry_of(const struct line *l, const struct field *dry, size_t i, struct slice label)
{
	for (size_t j = 0; label.n && j < dry->n; j++)
		if (slice_eq(l->item[dry->first + j].label, label))
			return &l->item[dry->first + j];
	return !label.n && i < dry->n && !l->item[dry->first + i].label.n ? &l->item[dry->first + i] : NULL;
}

static void take_oven(struct readings *r, const struct line *l)
{
	const struct field *wet = line_field(l, FIELD_WET), *dry = line_field(l, FIELD_DRY);

	for (size_t i = 0; wet && dry && i < wet->n; i++) {
		const struct item *w = &l->item[wet->first + i], *d = dry_of(l, dry, i, w->label);
		double pct = d ? mc_of_masses_pct(value_number(TYPE_MASS, w->v.fix), value_number(TYPE_MASS, d->v.fix)) : -1;
		struct reading row = { .mark = VALUE_ABSENT, .flags = READING_OVEN };

		if (pct >= 0 && pct <= MC_MOST / 10000) {
			row.mark = VALUE_EXACT;
			row.mc = fixed_of(pct, 10000);
		}
		add_reading(r, l, origin_of(r, l, w->label), row);
	}
}

/* A line that picks handles of a lot says that the lot is one of handles. */
static void take_form(struct readings *r, const struct line *l)
{
	struct slice lot = line_word(l, FIELD_LOT);

	if (slice_eq(line_word(l, FIELD_FORM), SLICE("handle")) && l->event->id != EVENT_POOL)
		add_fact(r, "handles", lot.n ? lot : l->subject, NONE, NONE, NONE);
}

void readings_take(struct readings *r, const struct line *l)
{
	take_form(r, l);
	switch (l->event->id) {
	case EVENT_LOAD:
	case EVENT_UNLOAD:
		add_fact(r, "charge", l->subject, NONE, NONE, NONE);
		break;
	case EVENT_POOL:
		take_pool(r, l);
		break;
	case EVENT_PROBE:
		take_starts(r, l);
		take_metered(r, l);
		break;
	case EVENT_JUDGE:
		take_metered(r, l);
		break;
	case EVENT_MAKE:
		add_fact(r, "bat", l->subject, line_word(l, FIELD_BLADE), line_word(l, FIELD_HANDLE), NONE);
		take_metered(r, l);
		break;
	case EVENT_OVEN:
		take_oven(r, l);
		break;
	default:
		break;
	}
}

static bool is_empty(const struct readings *r)
{
	return r->n == 0 && r->origins.n == 1 && r->facts.n == 1;
}

static void swap(struct readings *a, struct readings *b)
{
	struct readings kept = *a;

	*a = *b;
	*b = kept;
}

void readings_merge(struct readings *into, struct readings *from)
{
	uint32_t *number;

	if (is_empty(into)) {
		swap(into, from);
		return;
	}
	number = mem_array(from->origins.n, sizeof *number);
	for (uint32_t i = 0; i < from->origins.n; i++)
		number[i] = intern_id(&into->origins, intern_text(&from->origins, i));
	for (uint32_t i = 1; i < from->facts.n; i++)
		intern_id(&into->facts, intern_text(&from->facts, i));
	into->row = mem_grow(into->row, &into->cap, into->n + from->n, sizeof *into->row);
	for (size_t i = 0; i < from->n; i++) {
		into->row[into->n] = from->row[i];
		into->row[into->n++].origin = number[from->row[i].origin];
	}
	free(number);
}

/* ---- to a state and back */

static struct slice add_number(struct buf *text, int64_t v)
{
	text->n = 0;
	buf_int(text, v);
	return buf_slice(text);
}

static void pack_row(const struct readings *r, const struct reading *row, struct groups *rows, struct buf *text)
{
	struct slice key[R_CELLS];

	split_cells(intern_text(&r->origins, row->origin), key, O_CELLS);
	key[R_UTC] = add_number(&text[0], row->utc_s);
	key[R_DAY] = add_number(&text[1], row->day);
	key[R_MC] = add_number(&text[2], row->mc);
	key[R_MARK] = add_number(&text[3], row->mark);
	key[R_FLAGS] = add_number(&text[4], row->flags);
	groups_at(rows, key)->count[0]++;
}

void readings_pack(const struct readings *r, struct groups *rows, struct groups *facts)
{
	struct buf text[R_CELLS - O_CELLS] = { BUF_INIT, BUF_INIT, BUF_INIT, BUF_INIT, BUF_INIT };
	struct slice cell[F_CELLS];

	for (size_t i = 0; i < r->n; i++)
		pack_row(r, &r->row[i], rows, text);
	for (uint32_t i = 1; i < r->facts.n; i++) {
		split_cells(intern_text(&r->facts, i), cell, F_CELLS);
		groups_at(facts, cell)->count[0] = 1;
	}
	for (int i = 0; i < R_CELLS - O_CELLS; i++)
		buf_release(&text[i]);
}

static bool read_cell(struct slice cell, int64_t least, int64_t most, int64_t *v)
{
	return state_int(cell, v) && *v >= least && *v <= most;
}

static bool unpack_row(struct readings *r, const struct group *g)
{
	struct reading row = { 0 };
	int64_t day, mark, flags, depth;

	if (!read_cell(g->key[R_UTC], -SECONDS_MOST, SECONDS_MOST, &row.utc_s)
			|| !read_cell(g->key[R_DAY], -SECONDS_MOST / 86400, SECONDS_MOST / 86400, &day)
			|| !read_cell(g->key[R_MC], -MC_MOST, MC_MOST, &row.mc)
			|| !read_cell(g->key[R_MARK], VALUE_EXACT, VALUE_BELOW, &mark) || !read_cell(g->key[R_FLAGS], 0, 7, &flags)
			|| !(g->key[O_DEPTH].n == 0 || read_cell(g->key[O_DEPTH], 0, INT64_MAX, &depth))
			|| g->count[0] < 1 || g->count[0] > SAME_MOST)
		return false;
	row.day = (int32_t)day;
	row.mark = (uint8_t)mark;
	row.flags = (uint8_t)flags;
	row.origin = intern_cells(&r->origins, g->key, O_CELLS);
	r->row = mem_grow(r->row, &r->cap, r->n + (size_t)g->count[0], sizeof *r->row);
	for (int64_t i = 0; i < g->count[0]; i++)
		r->row[r->n++] = row;
	return true;
}

bool readings_unpack(struct readings *r, const struct groups *rows, const struct groups *facts)
{
	for (size_t i = 0; i < rows->n; i++)
		if (!unpack_row(r, rows->list[i]))
			return false;
	for (size_t i = 0; i < facts->n; i++)
		intern_cells(&r->facts, facts->list[i]->key, F_CELLS);
	return true;
}

/* ---- what a reading is of */

struct start {
	struct slice charge, label, lot;
	int64_t utc_s;
};

struct bat {
	struct slice id, part[2]; /* blade, handle */
};

struct pool {
	struct slice lot, parent;
};

struct reading_facts {
	const struct readings *readings;
	struct intern charges, handles, names;
	struct start *start;
	struct bat *bat;
	struct pool *pool;
	size_t nstarts, nbats, npools, starts_cap, bats_cap, pools_cap;
};

static int start_order(const void *a, const void *b)
{
	const struct start *x = a, *y = b;
	int order = slice_cmp(x->charge, y->charge);

	if (!order)
		order = slice_cmp(x->label, y->label);
	if (!order)
		order = (x->utc_s > y->utc_s) - (x->utc_s < y->utc_s);
	return order ? order : slice_cmp(x->lot, y->lot);
}

static int bat_order(const void *a, const void *b)
{
	const struct bat *x = a, *y = b;
	int order = slice_cmp(x->id, y->id);

	if (!order)
		order = slice_cmp(x->part[0], y->part[0]);
	return order ? order : slice_cmp(x->part[1], y->part[1]);
}

static void sort_fact(struct reading_facts *f, const struct slice *cell)
{
	if (slice_eq(cell[F_WHAT], SLICE("charge")))
		intern_id(&f->charges, cell[F_A]);
	else if (slice_eq(cell[F_WHAT], SLICE("handles")))
		intern_id(&f->handles, cell[F_A]);
	else if (slice_eq(cell[F_WHAT], SLICE("start"))) {
		struct start s = { cell[F_A], cell[F_B], cell[F_D], 0 };

		state_int(cell[F_C], &s.utc_s);
		f->start = mem_grow(f->start, &f->starts_cap, f->nstarts + 1, sizeof *f->start);
		f->start[f->nstarts++] = s;
	} else if (slice_eq(cell[F_WHAT], SLICE("bat"))) {
		f->bat = mem_grow(f->bat, &f->bats_cap, f->nbats + 1, sizeof *f->bat);
		f->bat[f->nbats++] = (struct bat){ cell[F_A], { cell[F_B], cell[F_C] } };
	} else {
		f->pool = mem_grow(f->pool, &f->pools_cap, f->npools + 1, sizeof *f->pool);
		f->pool[f->npools++] = (struct pool){ cell[F_A], cell[F_B] };
	}
}

static struct slice lot_of_piece(struct slice piece)
{
	return slice_upto(piece, slice_find(piece, '/'));
}

static void add_fitted(struct reading_facts *f)
{
	for (size_t i = 0; i < f->nbats; i++)
		intern_id(&f->handles, lot_of_piece(f->bat[i].part[1]));
}

/* What is pooled of handles is handles, over as many pools as there are behind one another. */
static void follow_pools(struct reading_facts *f)
{
	bool more = true;

	while (more) {
		more = false;
		for (size_t i = 0; i < f->npools; i++)
			if (intern_find(&f->handles, f->pool[i].parent) && !intern_find(&f->handles, f->pool[i].lot))
				more = intern_id(&f->handles, f->pool[i].lot) != 0;
	}
}

struct reading_facts *readings_resolve(const struct readings *r)
{
	struct reading_facts *f = mem_zeroed(1, sizeof *f);
	struct slice cell[F_CELLS];

	f->readings = r;
	intern_init(&f->charges);
	intern_init(&f->handles);
	intern_init(&f->names);
	for (uint32_t i = 1; i < r->facts.n; i++) {
		split_cells(intern_text(&r->facts, i), cell, F_CELLS);
		sort_fact(f, cell);
	}
	if (f->nstarts)
		qsort(f->start, f->nstarts, sizeof *f->start, start_order);
	if (f->nbats)
		qsort(f->bat, f->nbats, sizeof *f->bat, bat_order);
	add_fitted(f);
	follow_pools(f);
	return f;
}

void reading_facts_free(struct reading_facts *f)
{
	intern_release(&f->charges);
	intern_release(&f->handles);
	intern_release(&f->names);
	free(f->start);
	free(f->bat);
	free(f->pool);
	free(f);
}

/* The lot that a probe of a charge was in: as it was put in last before, else as first. */
static struct slice probed_lot(const struct reading_facts *f, struct slice charge, struct slice label, int64_t utc_s)
{
	size_t low = 0, high = f->nstarts;
	const struct start *s;

	while (low < high) {
		size_t mid = low + (high - low) / 2;
		int order = slice_cmp(f->start[mid].charge, charge);

		if (!order)
			order = slice_cmp(f->start[mid].label, label);
		if (order < 0 || (!order && f->start[mid].utc_s <= utc_s))
			low = mid + 1;
		else
			high = mid;
	}
	s = low ? &f->start[low - 1] : NULL;
	if (!s || !slice_eq(s->charge, charge) || !slice_eq(s->label, label))
		s = low < f->nstarts ? &f->start[low] : NULL;
	return s && slice_eq(s->charge, charge) && slice_eq(s->label, label) ? s->lot : NONE;
}

static const struct bat *bat_of(const struct reading_facts *f, struct slice id)
{
	size_t low = 0, high = f->nbats;

	while (low < high) {
		size_t mid = low + (high - low) / 2;

		if (slice_cmp(f->bat[mid].id, id) < 0)
			low = mid + 1;
		else
			high = mid;
	}
	return low < f->nbats && slice_eq(f->bat[low].id, id) ? &f->bat[low] : NULL;
}

/* `a b`, kept. */
static struct slice name_of(struct reading_facts *f, struct slice a, struct slice b)
{
	struct buf text = BUF_INIT;
	uint32_t id;

	buf_add(&text, a);
	buf_char(&text, ' ');
	buf_add(&text, b);
	id = intern_id(&f->names, buf_slice(&text));
	buf_release(&text);
	return intern_text(&f->names, id);
}

/* A blade or a handle, when it goes into a bat or is in one. */
static struct reading_of of_bat(struct reading_facts *f, const struct slice *cell)
{
	const struct bat *bat = bat_of(f, cell[O_SUBJECT]);
	bool handle = slice_eq(cell[O_LABEL], SLICE("handle")), blade = slice_eq(cell[O_LABEL], SLICE("blade"));
	struct slice piece = bat && (blade || handle) ? bat->part[handle] : NONE;

	return (struct reading_of){
		.lot = lot_of_piece(piece),
		.place = cell[O_AT],
		.part = blade || handle ? cell[O_LABEL] : NONE,
		.meter = cell[O_METER],
		.single = true,
		.piece = slice_find(piece, '/') < piece.n ? piece
			: cell[O_LABEL].n ? name_of(f, cell[O_SUBJECT], cell[O_LABEL]) : cell[O_SUBJECT],
	};
}

static struct slice part_of_lot(const struct reading_facts *f, const struct slice *cell, struct slice lot)
{
	if (cell[O_FORM].n && !slice_eq(cell[O_FORM], SLICE("-")))
		return slice_eq(cell[O_FORM], SLICE("handle")) ? SLICE("handle") : SLICE("blade");
	return intern_find(&f->handles, lot) ? SLICE("handle") : SLICE("blade");
}

static struct reading_of of_lot(struct reading_facts *f, const struct slice *cell, int64_t utc_s)
{
	struct slice subject = cell[O_SUBJECT], label = cell[O_LABEL];
	bool charge = intern_find(&f->charges, subject) != 0, judged = slice_eq(cell[O_EVENT], SLICE("judge"));
	struct reading_of of = { .charge = charge ? subject : NONE, .place = charge ? subject : cell[O_AT],
		.meter = cell[O_METER], .single = judged };

	of.lot = !charge ? lot_of_piece(subject) : cell[O_LOT].n || !label.n ? cell[O_LOT] : probed_lot(f, subject, label, utc_s);
	of.part = part_of_lot(f, cell, of.lot);
	of.piece = judged ? subject : label.n ? name_of(f, subject, label) : NONE;
	return of;
}

struct reading_of reading_of(struct reading_facts *f, const struct reading *row)
{
	struct slice cell[O_CELLS];

	struct reading_of of;

	split_cells(intern_text(&f->readings->origins, row->origin), cell, O_CELLS);
	if (slice_eq(cell[O_EVENT], SLICE("make")) || (slice_eq(cell[O_EVENT], SLICE("probe")) && bat_of(f, cell[O_SUBJECT])))
		of = of_bat(f, cell);
	else
		of = of_lot(f, cell, row->utc_s);
	if (!state_int(cell[O_DEPTH], &of.depth))
		of.depth = HOUSE_NONE;
	of.form = of.single ? of.part : cell[O_FORM];
	return of;
}
