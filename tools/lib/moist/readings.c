#include "moist/readings.h"

#include <stdlib.h>

#include "base/intern.h"
#include "math/stats.h"
#include "moist/oven.h"
#include "moist/readings_internal.h"
#include "wood/moisture.h"

/* What the oven found is left out above this, in 0.0001 %. */
#define OVEN_MOST ((int64_t)8000000)

/* Meters whose rules are kept. */
enum { METERS = 8 };

_Static_assert(sizeof(struct reading) == 32 && READINGS_HELD % sizeof(struct reading) == 0 && SPOOL_PIECE % sizeof(struct reading) == 0, "a piece of the log is whole notes");
_Static_assert(sizeof(struct reading_frame) == 32, "a frame has no gaps");

void readings_init(struct readings *r, const struct house *house, const struct zone *zone, struct readings_want want)
{
	memset(r, 0, sizeof *r);
	r->house = house;
	r->zone = zone;
	r->want = want;
	r->log.most = READINGS_HELD;
	intern_compact_init(&r->names);
	intern_compact_init(&r->frames);
}

static void part_release(struct readings_part *part)
{
	spool_release(&part->log);
	free(part->name);
	free(part->frame);
}

void readings_release(struct readings *r)
{
	for (size_t i = 0; i < r->nparts; i++)
		part_release(&r->part[i]);
	intern_compact_release(&r->names);
	intern_compact_release(&r->frames);
	spool_release(&r->log);
	lot_readings_release(&r->lots);
	free(r->marks);
	free(r->fact);
	free(r->part);
	free(r->meter);
	free(r->first_start);
	free(r->lot_of);
	free(r->frame_at);
	memset(r, 0, sizeof *r);
}

/* ---- names, frames, facts and notes */

static uint64_t eight_bytes(const char *p)
{
	uint64_t word;

	memcpy(&word, p, sizeof word);
	return word;
}

/* A text of at most READINGS_SHORT bytes as numbers; that of another is another. Its number is not in it. */
static struct readings_met short_of(struct slice text)
{
	if (text.n < 8)
		return (struct readings_met){ .first = intern_word(text), .n = (uint32_t)text.n };
	return (struct readings_met){ .first = eight_bytes(text.p), .last = eight_bytes(text.p + text.n - 8), .n = (uint32_t)text.n };
}

static uint32_t number_of(struct readings *r, struct slice text)
{
	size_t had = r->marks_cap;
	uint32_t id = intern_compact_id(&r->names, text);

	r->marks = mem_grow(r->marks, &r->marks_cap, id + 1u, sizeof *r->marks);
	if (r->marks_cap > had)
		memset(r->marks + had, 0, r->marks_cap - had);
	return id;
}

/* A line has few words that none of the lines shortly before it had. */
uint32_t readings_id(struct readings *r, struct slice text)
{
	struct readings_met is, *met;

	if (!text.n)
		return 0;
	if (text.n > READINGS_SHORT)
		return number_of(r, text);
	is = short_of(text);
	met = &r->met[((is.first ^ is.last * 31) * 0x9e3779b97f4a7c15u >> 32) % READINGS_MET];
	if (met->first == is.first && met->last == is.last && met->n == is.n)
		return met->id;
	is.id = number_of(r, text);
	*met = is;
	return is.id;
}

uint32_t readings_frame_id(struct readings *r, const struct reading_frame *frame)
{
	struct slice bytes = { (const char *)frame, sizeof *frame };

	if (!slice_eq(intern_compact_text(&r->frames, r->frame), bytes))
		r->frame = intern_compact_id(&r->frames, bytes);
	return r->frame;
}

struct slice readings_name(const struct readings *r, uint32_t id)
{
	return intern_compact_text(&r->names, id);
}

struct reading_frame readings_frame(const struct readings *r, uint32_t id)
{
	struct reading_frame frame;

	memcpy(&frame, intern_compact_text(&r->frames, id).p, sizeof frame);
	return frame;
}

void readings_mark(struct readings *r, uint32_t name, int mark)
{
	if (name)
		r->marks[name] = (uint8_t)(r->marks[name] | mark);
}

/* By kind and what it is of; then of probes since when. Facts that say the same are next to each other. */
static int fact_order(const void *a, const void *b)
{
	const struct reading_fact *x = a, *y = b;

	if (x->what != y->what)
		return x->what < y->what ? -1 : 1;
	if (x->a != y->a)
		return x->a < y->a ? -1 : 1;
	if (x->b != y->b)
		return x->b < y->b ? -1 : 1;
	if (x->utc_s != y->utc_s)
		return x->utc_s < y->utc_s ? -1 : 1;
	return (x->c > y->c) - (x->c < y->c);
}

static void sort_kind(struct reading_fact *fact, size_t n)
{
	for (size_t i = 1; i < n; i++)
		if (fact_order(&fact[i - 1], &fact[i]) > 0) {
			qsort(fact, n, sizeof *fact, fact_order);
			return;
		}
}

/* Bats are mostly numbered in the order in which they were made, so that those of a kind are in order. */
void readings_sort_facts(struct readings *r)
{
	size_t start[FACT_KINDS + 1] = { 0 }, at[FACT_KINDS];
	struct reading_fact *fact = mem_store(r->facts_cap, sizeof *fact);

	for (size_t i = 0; i < r->nfacts; i++)
		start[r->fact[i].what + 1]++;
	for (int what = 0; what < FACT_KINDS; what++) {
		start[what + 1] += start[what];
		at[what] = start[what];
	}
	for (size_t i = 0; i < r->nfacts; i++)
		fact[at[r->fact[i].what]++] = r->fact[i];
	for (int what = 0; what < FACT_KINDS; what++)
		sort_kind(fact + start[what], start[what + 1] - start[what]);
	free(r->fact);
	r->fact = fact;
}

/* Keeps each fact once, so that lines that say the same take no memory. */
static void drop_doubles(struct readings *r)
{
	size_t n = 0;

	if (r->nfacts)
		readings_sort_facts(r);
	for (size_t i = 0; i < r->nfacts; i++)
		if (!n || fact_order(&r->fact[n - 1], &r->fact[i]))
			r->fact[n++] = r->fact[i];
	r->nfacts = n;
}

void readings_add_fact(struct readings *r, struct reading_fact fact)
{
	if (r->nfacts == r->facts_cap)
		drop_doubles(r);
	/* space for half as many more, so that doubles are looked for only so often */
	if (r->nfacts + r->nfacts / 2 >= r->facts_cap)
		r->fact = mem_grow(r->fact, &r->facts_cap, r->nfacts + r->nfacts / 2 + 1, sizeof *r->fact);
	r->fact[r->nfacts++] = fact;
	if (fact.what == FACT_BAT)
		readings_mark(r, fact.a, IS_BAT);
}

void readings_note(struct readings *r, const struct reading *row)
{
	struct reading copy = *row;
	struct buf bytes = { (char *)&copy, sizeof copy, sizeof copy };

	r->notes++;
	if (!r->error && !spool_add(&r->log, &bytes))
		r->error = r->log.error;
}

/* ---- what a line says */

static int64_t instant_of(struct readings *r, const struct stamp *stamp)
{
	enum zone_kind kind;

	return zone_stamp(r->zone, &r->memo, stamp, &kind);
}

static uint32_t subject_of(struct readings *r, const struct line *l)
{
	return readings_id(r, l->subject);
}

/* Probes put in: the charge, the probe, since when, in which lot. */
static void take_starts(struct readings *r, const struct line *l)
{
	const struct field *f = line_field(l, FIELD_IN);

	if (f)
		readings_mark(r, subject_of(r, l), IS_CHARGE);
	for (size_t i = 0; f && r->want.lots && i < f->n; i++) {
		const struct item *item = &l->item[f->first + i];

		readings_add_fact(r, (struct reading_fact){ FACT_START, subject_of(r, l), readings_id(r, item->label),
			readings_id(r, slice_upto(item->text, slice_find(item->text, '/'))), instant_of(r, &l->stamp) });
	}
}

static void take_pool(struct readings *r, const struct line *l)
{
	const struct field *f = line_field(l, FIELD_LOT);

	for (size_t i = 0; f && i < f->n; i++)
		readings_add_fact(r, (struct reading_fact){ FACT_POOL, readings_id(r, l->item[f->first + i].label), subject_of(r, l), 0, 0 });
}

static void take_bat(struct readings *r, const struct line *l)
{
	readings_add_fact(r, (struct reading_fact){ FACT_BAT, subject_of(r, l), readings_id(r, line_word(l, FIELD_BLADE)),
		readings_id(r, line_word(l, FIELD_HANDLE)), 0 });
}

static uint32_t frame_of(struct readings *r, const struct line *l, enum reading_event event)
{
	const struct item *depth = line_item(l, FIELD_DEPTH);
	struct reading_frame frame = { .event = (uint32_t)event };

	frame.depth = depth && depth->v.mark == VALUE_EXACT ? depth->v.fix : HOUSE_NONE;
	frame.at = readings_id(r, line_word(l, FIELD_AT));
	frame.lot = readings_id(r, line_word(l, l->event->id == EVENT_REHANDLE ? FIELD_HANDLE : FIELD_LOT));
	frame.form = readings_id(r, line_word(l, FIELD_FORM));
	frame.meter = readings_id(r, line_word(l, FIELD_METER));
	return readings_frame_id(r, &frame);
}

/* What all readings of the line have in common. */
static struct reading row_of(struct readings *r, const struct line *l, enum reading_event event)
{
	return (struct reading){ .utc_s = instant_of(r, &l->stamp), .day = l->stamp.day, .subject = subject_of(r, l), .frame = frame_of(r, l, event), .n = 1 };
}

/* The reading of one of its items; `wet` says how wet. */
static void note(struct readings *r, struct reading *row, struct slice label, struct reading wet)
{
	row->label = readings_id(r, label);
	row->mc = wet.mc;
	row->mark = wet.mark;
	row->flags = wet.flags;
	readings_note(r, row);
}

static int32_t held_in_32(int64_t mc)
{
	return mc > INT32_MAX ? INT32_MAX : mc < INT32_MIN ? INT32_MIN : (int32_t)mc;
}

/* The end of a scale is left as the meter has it. */
static struct reading correct(const struct meter_use *use, const struct line *l, const struct item *item)
{
	struct meter_reading reading;

	if (item->v.mark != VALUE_EXACT)
		return (struct reading){ .mark = item->v.mark, .mc = held_in_32(item->v.fix) };
	reading = meter_reading_of(use, l, item);
	return (struct reading){ .mark = item->v.mark, .mc = held_in_32(reading.mc),
		.flags = (uint8_t)((reading.corrected ? 0 : READING_UNCORRECTED) | (reading.doubtful ? READING_DOUBTFUL : 0)) };
}

/* Few meters are used in turns, and each of them all day. */
static const struct meter_use *use_of(struct readings *r, const struct line *l)
{
	struct readings_meter *m;
	uint32_t meter = readings_id(r, line_word(l, FIELD_METER));

	if (!r->meter)
		r->meter = mem_zeroed(METERS, sizeof *r->meter);
	m = &r->meter[meter % METERS];
	if (m->meter != meter || m->day != l->stamp.day || !meter)
		*m = (struct readings_meter){ meter, l->stamp.day, meter_use_of_line(r->house, l) };
	return &m->use;
}

/* The number in `lots` of what a line is about, where that is a lot or one of its pieces and nobody asks which; or 0. */
static uint32_t lot_of_line(struct readings *r, const struct line *l, enum reading_event event)
{
	size_t slash = slice_find(l->subject, '/');

	if (!r->lots_only || line_field(l, FIELD_LOT) || line_field(l, FIELD_FORM))
		return 0;
	if (event == READ_PROBE)
		return readings_lot_number(subject_of(r, l), false);
	return event == READ_JUDGE && slash < l->subject.n ? readings_lot_number(readings_id(r, slice_upto(l->subject, slash)), true) : 0;
}

static void take_metered(struct readings *r, const struct line *l, enum reading_event event)
{
	const struct field *f = line_field(l, FIELD_MC);
	const struct meter_use *use;
	struct reading row = { .subject = 0 };
	uint32_t lot;

	if (!f)
		return;
	use = use_of(r, l);
	lot = lot_of_line(r, l, event);
	for (size_t i = 0; i < f->n; i++) {
		const struct item *item = &l->item[f->first + i];
		struct reading wet = correct(use, l, item);

		if (lot && !item->label.n) {
			if (wet.mark == VALUE_EXACT || wet.mark == VALUE_BELOW)
				lot_readings_add(&r->lots, lot, l->stamp.day, wet.mc, 1, wet.mark == VALUE_BELOW);
			continue;
		}
		if (!row.subject)
			row = row_of(r, l, event);
		note(r, &row, item->label, wet);
	}
}

static void take_oven(struct readings *r, const struct line *l)
{
	const struct field *wet = line_field(l, FIELD_WET), *dry = line_field(l, FIELD_DRY);
	struct reading row;

	if (!wet || !dry)
		return;
	row = row_of(r, l, READ_OVEN);
	for (size_t i = 0; i < wet->n; i++) {
		const struct item *w = &l->item[wet->first + i], *d = oven_beside(l, FIELD_DRY, i, w->label);
		double pct = d ? mc_of_masses_pct(value_number(TYPE_MASS, w->v.fix), value_number(TYPE_MASS, d->v.fix)) : -1;
		struct reading found = { .mark = VALUE_ABSENT, .flags = READING_OVEN };

		if (pct >= 0 && pct <= OVEN_MOST / VALUE_STEPS) {
			found.mark = VALUE_EXACT;
			found.mc = (int32_t)fixed_of(pct, VALUE_STEPS);
		}
		note(r, &row, w->label, found);
	}
}

/* A line that picks handles of a lot says that the lot is one of handles. */
static void take_form(struct readings *r, const struct line *l)
{
	struct slice lot;

	if (!line_field(l, FIELD_FORM) || l->event->id == EVENT_POOL)
		return;
	lot = line_word(l, FIELD_LOT);
	if (slice_eq(line_word(l, FIELD_FORM), SLICE("handle")))
		readings_mark(r, readings_id(r, lot.n ? lot : l->subject), IS_HANDLES);
}

static void take_readings(struct readings *r, const struct line *l)
{
	if (l->stamp.day < r->want.from || l->stamp.day > r->want.to)
		return;
	if (l->event->id == EVENT_OVEN)
		take_oven(r, l);
	else
		take_metered(r, l, l->event->id == EVENT_PROBE ? READ_PROBE : l->event->id == EVENT_JUDGE ? READ_JUDGE : READ_MAKE);
}

/* The lot of a handle that is put into a bat. */
static void take_handle(struct readings *r, const struct line *l)
{
	struct slice handle = line_word(l, FIELD_HANDLE);

	readings_mark(r, readings_id(r, slice_upto(handle, slice_find(handle, '/'))), IS_HANDLES);
}

/* What lines without readings say. */
static void take_unread(struct readings *r, const struct line *l)
{
	take_form(r, l);
	if (l->event->id == EVENT_LOAD || l->event->id == EVENT_UNLOAD)
		readings_mark(r, subject_of(r, l), IS_CHARGE);
	if (l->event->id == EVENT_POOL)
		take_pool(r, l);
}

void readings_take_marks(struct readings *r, const struct line *l)
{
	take_unread(r, l);
	if (l->event->id == EVENT_PROBE && line_field(l, FIELD_IN))
		readings_mark(r, subject_of(r, l), IS_CHARGE);
	if (l->event->id == EVENT_MAKE)
		take_handle(r, l);
}

void readings_take(struct readings *r, const struct line *l)
{
	take_unread(r, l);
	switch (l->event->id) {
	case EVENT_PROBE:
		take_starts(r, l);
		take_readings(r, l);
		break;
	case EVENT_MAKE:
		take_bat(r, l);
		take_readings(r, l);
		break;
	case EVENT_REHANDLE:
	case EVENT_JUDGE:
	case EVENT_OVEN:
		take_readings(r, l);
		break;
	default:
		break;
	}
}

/* ---- two collections to one */

static bool is_empty(const struct readings *r)
{
	return r->names.n == 1;
}

static void swap(struct readings *a, struct readings *b)
{
	struct readings kept = *a;

	*a = *b;
	*b = kept;
}

static uint32_t *numbers_of_names(struct readings *into, const struct readings *from)
{
	uint32_t *number = mem_array(from->names.n, sizeof *number);

	number[0] = 0;
	for (uint32_t i = 1; i < from->names.n; i++) {
		number[i] = readings_id(into, readings_name(from, i));
		readings_mark(into, number[i], from->marks[i]);
	}
	return number;
}

static uint32_t *numbers_of_frames(struct readings *into, const struct readings *from, const uint32_t *name)
{
	uint32_t *number = mem_array(from->frames.n, sizeof *number);

	number[0] = 0;
	for (uint32_t i = 1; i < from->frames.n; i++) {
		struct reading_frame frame = readings_frame(from, i);

		frame.at = name[frame.at];
		frame.lot = name[frame.lot];
		frame.form = name[frame.form];
		frame.meter = name[frame.meter];
		number[i] = readings_frame_id(into, &frame);
	}
	return number;
}

void readings_merge(struct readings *into, struct readings *from)
{
	struct readings_part part = { .log = SPOOL_INIT };

	if (is_empty(into)) {
		swap(into, from);
		return;
	}
	part.name = numbers_of_names(into, from);
	part.frame = numbers_of_frames(into, from, part.name);
	intern_compact_release(&from->names);
	for (size_t i = 0; i < from->nfacts; i++) {
		const struct reading_fact *f = &from->fact[i];

		readings_add_fact(into, (struct reading_fact){ f->what, part.name[f->a], part.name[f->b], part.name[f->c], f->utc_s });
	}
	part.log = from->log;
	memset(&from->log, 0, sizeof from->log);
	into->notes += from->notes;
	into->error = into->error ? into->error : from->error;
	into->part = mem_grow(into->part, &into->parts_cap, into->nparts + 1, sizeof *into->part);
	into->part[into->nparts++] = part;
}

/* ---- out again */

/* The next piece of the log, which is released when there is none. */
static bool next_piece(struct readings *r, struct spool *log)
{
	r->rest = spool_next(log);
	r->error = r->error ? r->error : log->error;
	if (!r->rest.n)
		spool_release(log);
	return r->rest.n >= sizeof(struct reading);
}

void readings_again(struct readings *r)
{
	r->reading = 0;
	r->rest.n = 0;
	spool_again(&r->log);
	for (size_t i = 0; i < r->nparts; i++)
		spool_again(&r->part[i].log);
}

/* Takes the next note out of a piece of that log. */
static inline void take_note(const struct readings *r, size_t log, struct slice *piece, struct reading *row)
{
	const struct readings_part *part = log ? &r->part[log - 1] : NULL;

	memcpy(row, piece->p, sizeof *row);
	*piece = slice_from(*piece, sizeof *row);
	if (part) {
		row->subject = part->name[row->subject];
		row->label = part->name[row->label];
		row->frame = part->frame[row->frame];
	}
}

bool readings_next(struct readings *r, struct reading *row)
{
	while (r->rest.n < sizeof *row) {
		if (r->error || r->reading > r->nparts)
			return false;
		if (!next_piece(r, r->reading ? &r->part[r->reading - 1].log : &r->log))
			r->reading++;
	}
	take_note(r, r->reading, &r->rest, row);
	return true;
}

void readings_settle(struct readings *r)
{
	for (size_t i = 0; i <= r->nparts; i++) {
		struct spool *log = i ? &r->part[i - 1].log : &r->log;

		if (!spool_settle(log) && !r->error)
			r->error = log->error;
	}
}

bool readings_walk_next(struct readings_walk *w, struct reading *row)
{
	const struct readings *r = w->readings;

	while (w->rest.n < sizeof *row) {
		if (r->error || w->spool.error || w->log > r->nparts)
			return false;
		w->spool.spool = w->log ? &r->part[w->log - 1].log : &r->log;
		w->rest = spool_walk_next(&w->spool);
		if (!w->rest.n && !w->spool.error) {
			w->log++;
			w->spool.at = 0;
		}
	}
	take_note(r, w->log, &w->rest, row);
	return true;
}

void readings_walk_release(struct readings_walk *w)
{
	spool_walk_release(&w->spool);
}

static int name_order(const struct readings *r, uint32_t a, uint32_t b)
{
	return a == b ? 0 : slice_cmp(readings_name(r, a), readings_name(r, b));
}

static int frame_order(const struct readings *r, uint32_t x, uint32_t y)
{
	struct reading_frame a = readings_frame(r, x), b = readings_frame(r, y);
	const uint32_t of_a[] = { a.meter, a.at, a.lot, a.form }, of_b[] = { b.meter, b.at, b.lot, b.form };
	int order = 0;

	for (size_t i = 0; i < sizeof of_a / sizeof *of_a && !order; i++)
		order = name_order(r, of_a[i], of_b[i]);
	if (!order)
		order = (a.depth > b.depth) - (a.depth < b.depth);
	return order ? order : (int)a.event - (int)b.event;
}

bool reading_is_before(const struct readings *r, const struct reading *a, const struct reading *b)
{
	int order;

	if (a->utc_s != b->utc_s)
		return a->utc_s > b->utc_s;
	if (a->mc != b->mc)
		return a->mc > b->mc;
	if (a->mark != b->mark)
		return a->mark < b->mark;
	if (a->day != b->day)
		return a->day > b->day;
	if (a->flags != b->flags)
		return a->flags < b->flags;
	order = a->frame == b->frame ? 0 : frame_order(r, a->frame, b->frame);
	if (!order)
		order = name_order(r, a->subject, b->subject);
	return (order ? order : name_order(r, a->label, b->label)) < 0;
}
