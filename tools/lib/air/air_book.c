#include "air/air_book.h"

#include <math.h>
#include <stdlib.h>

#include "base/parallel.h"
#include "book/line.h"
#include "wood/climate.h"
#include "wood/meter.h"

enum { NO_READING = INT32_MIN };

/* Readings that are worth more than one thread to sort. */
enum { ROWS_FOR_THREADS = 64 * 1024 };

void air_book_init(struct air_book *b, const struct zone *zone, const struct house *house)
{
	*b = (struct air_book){ .zone = zone, .house = house };
	intern_init(&b->ids);
}

void air_book_release(struct air_book *b)
{
	for (size_t i = 0; i < b->nrecords; i++)
		free(b->record[i].block);
	for (size_t i = 0; i < b->npages; i++)
		free(b->pages[i]);
	free(b->pages);
	free(b->record);
	free(b->record_of_id);
	free(b->check);
	free(b->check_of);
	free(b->weighing);
	free(b->found);
	intern_release(&b->ids);
}

/* ---- taking lines in */

static void set_name(struct air_record *record)
{
	char name[16] = { 0 }, mask[16] = { 0 };

	if (record->id.n <= sizeof name) {
		memcpy(name, record->id.p, record->id.n);
		memset(mask, 0xff, record->id.n);
	}
	memcpy(record->name, name, sizeof name);
	memcpy(record->mask, mask, sizeof mask);
}

/* The index of the place of that id, made where there is none. */
static size_t record_at(struct air_book *b, struct slice place)
{
	uint32_t id = intern_id(&b->ids, place);
	size_t had = b->ids_cap;

	if (id >= had) {
		b->record_of_id = mem_grow(b->record_of_id, &b->ids_cap, id + 1u, sizeof *b->record_of_id);
		memset(b->record_of_id + had, 0, (b->ids_cap - had) * sizeof *b->record_of_id);
	}
	if (!b->record_of_id[id]) {
		b->record = mem_grow(b->record, &b->records_cap, b->nrecords + 1, sizeof *b->record);
		b->record[b->nrecords] = (struct air_record){ .id = intern_text(&b->ids, id) };
		set_name(&b->record[b->nrecords]);
		b->record_of_id[id] = (uint32_t)++b->nrecords;
	}
	return b->record_of_id[id] - 1;
}

/* Whether a line's place is that place's; a line has 16 readable bytes after it. */
static inline bool is_record(const struct air_record *record, struct slice place)
{
	uint64_t word[2];

	if (record->id.n != place.n || !record->mask[0])
		return false;
	memcpy(word, place.p, sizeof word);
	return ((word[0] ^ record->name[0]) & record->mask[0]) == 0 && ((word[1] ^ record->name[1]) & record->mask[1]) == 0;
}

/* The place of a line: mostly the one that came after the last line's place the last time. */
static inline struct air_record *record_of(struct air_book *b, struct slice place)
{
	size_t guess = b->nrecords ? b->record[b->last].after : 0;

	if (!b->nrecords || !is_record(&b->record[guess], place)) {
		guess = record_at(b, place);
		b->record[b->last].after = guess;
	}
	b->last = guess;
	return &b->record[guess];
}

enum { BLOCKS_FIRST = 8, BLOCKS_MORE = 86 }; /* the latter are a little over 2 MiB, a large page */

static struct air_reading *new_block(struct air_book *b)
{
	struct air_reading *block;

	if (!b->spares) {
		b->spares = b->npages ? BLOCKS_MORE : BLOCKS_FIRST;
		b->pages = mem_grow(b->pages, &b->pages_cap, b->npages + 1, sizeof *b->pages);
		b->spare = b->pages[b->npages++] = mem_store(b->spares * AIR_BLOCK, sizeof *b->spare);
	}
	block = b->spare;
	b->spare += AIR_BLOCK;
	b->spares--;
	return block;
}

/* Where the place's next reading goes. Nearly always they come in the order of time, one a moment. */
static inline struct air_reading *new_row(struct air_book *b, struct air_record *record, int64_t utc_s)
{
	record->mixed |= record->n && utc_s <= record->last_s;
	record->last_s = utc_s;
	if (record->next == record->stop) {
		record->block = mem_grow(record->block, &record->blocks_cap, record->nblocks + 1, sizeof *record->block);
		record->next = record->block[record->nblocks++] = new_block(b);
		record->stop = record->next + AIR_BLOCK;
	}
	record->n++;
	record->next->utc_s = utc_s;
	return record->next++;
}

static int64_t instant_of(struct air_book *b, const struct stamp *stamp, unsigned *flags)
{
	enum zone_kind kind;
	int64_t utc_s = zone_stamp(b->zone, &b->memo, stamp, &kind);

	*flags |= stamp->second == STAMP_NO_TIME ? AIR_UNTIMED : 0;
	*flags |= kind == ZONE_TWICE ? AIR_DOUBLED : kind == ZONE_NEVER ? AIR_SKIPPED : 0;
	return utc_s;
}

/* The same of a line that is mostly of the moment of the one before it. */
static inline int64_t moment_of(struct air_book *b, const struct stamp *stamp, unsigned *flags)
{
	if (stamp->day != b->stamp.day || stamp->second != b->stamp.second || stamp->offset != b->stamp.offset || !b->stamped) {
		b->stamp = *stamp;
		b->stamped = true;
		b->flags = 0;
		b->utc_s = instant_of(b, stamp, &b->flags);
	}
	*flags = b->flags;
	return b->utc_s;
}

static int32_t figure_of(const struct item *item)
{
	return item && item->v.mark == VALUE_EXACT ? (int32_t)item->v.fix : NO_READING;
}

/* Asked for every line of a great book: what is rare is kept apart. */
static void take_wet(struct air_reading *row, const struct item *item)
{
	int32_t wet = figure_of(item);
	int64_t rh = row->temp != NO_READING && wet != NO_READING ? rh_from_wet_bulb_fixed(row->temp, wet) : RH_NONE;

	if (rh == RH_NONE)
		return;
	row->rh = (int32_t)rh;
	row->flags = (row->flags | AIR_WET) & 15;
}

void air_book_take_air(struct air_book *b, const struct line *l)
{
	struct air_record *record = record_of(b, l->subject);
	unsigned flags;
	struct air_reading *row = new_row(b, record, moment_of(b, &l->stamp, &flags));

	row->temp = figure_of(line_item(l, FIELD_TEMP));
	row->rh = figure_of(line_item(l, FIELD_RH));
	row->day = l->stamp.day;
	row->meter = intern_memo(&b->ids, &record->meter, line_word(l, FIELD_METER)) & 0xfffffff;
	row->flags = flags & 15;
	if (row->rh == NO_READING)
		take_wet(row, line_item(l, FIELD_WETBULB));
}

static void add_check(struct air_book *b, struct air_check check)
{
	b->check = mem_grow(b->check, &b->checks_cap, b->nchecks + 1, sizeof *b->check);
	b->check[b->nchecks++] = check;
}

int air_book_check(const struct line *l, int64_t *off)
{
	const struct item *known = line_item(l, FIELD_TRUE), *read = line_item(l, FIELD_READ);
	struct slice base;

	if (l->event->id != EVENT_METER || !known || !read || known->v.mark != VALUE_EXACT || read->v.mark != VALUE_EXACT)
		return -1;
	base = value_reading_base(known->v.unit);
	if (!slice_eq(base, value_reading_base(read->v.unit)) || slice_eq(base, SLICE("g")))
		return -1;
	*off = known->v.fix - read->v.fix;
	return slice_eq(base, SLICE("C")) ? AIR_TEMP : AIR_RH;
}

static void take_check(struct air_book *b, const struct line *l)
{
	int64_t off;
	int quantity = air_book_check(l, &off);

	if (quantity >= 0)
		add_check(b, (struct air_check){ l->stamp.day, intern_id(&b->ids, l->subject), quantity, off });
}

static void add_weighing(struct air_book *b, struct air_weighing w)
{
	b->weighing = mem_grow(b->weighing, &b->weighings_cap, b->nweighings + 1, sizeof *b->weighing);
	b->weighing[b->nweighings++] = w;
}

static void take_weights(struct air_book *b, const struct line *l)
{
	const struct field *f = line_field(l, FIELD_MASS);
	unsigned flags = 0;

	for (size_t i = 0; f && i < f->n; i++) {
		const struct item *item = &l->item[f->first + i];

		if (item->label.n && item->v.mark == VALUE_EXACT && item->v.fix > 0)
			add_weighing(b, (struct air_weighing){ intern_id(&b->ids, l->subject), intern_id(&b->ids, item->label),
				instant_of(b, &l->stamp, &flags), item->v.fix });
	}
}

static void add_found(struct air_book *b, struct air_found found)
{
	b->found = mem_grow(b->found, &b->found_cap, b->nfound + 1, sizeof *b->found);
	b->found[b->nfound++] = found;
}

/* Readings of pieces of a lot, in the place where they are. */
static void take_wood(struct air_book *b, const struct line *l)
{
	const struct field *f = line_field(l, FIELD_MC);
	struct slice place = line_word(l, FIELD_AT);
	unsigned flags = 0;
	struct meter_use use;

	if (!b->house || !f || !place.n)
		return;
	use = meter_use_of_line(b->house, l);
	for (size_t i = 0; i < f->n; i++) {
		const struct item *item = &l->item[f->first + i];
		struct air_found found = { .utc_s = instant_of(b, &l->stamp, &flags), .day = l->stamp.day };
		struct meter_reading reading;

		if (item->v.mark != VALUE_EXACT)
			continue;
		reading = meter_reading_of(&use, l, item);
		found.unsure = !reading.corrected || reading.doubtful;
		found.mc = (int32_t)reading.mc;
		found.place = intern_id(&b->ids, place);
		found.lot = intern_id(&b->ids, l->subject);
		add_found(b, found);
	}
}

void air_book_take(struct air_book *b, const struct line *l)
{
	switch (l->event->id) {
	case EVENT_AIR:
		air_book_take_air(b, l);
		break;
	case EVENT_METER:
		take_check(b, l);
		break;
	case EVENT_WEIGH:
		take_weights(b, l);
		break;
	case EVENT_PROBE:
		take_wood(b, l);
		break;
	default:
		break;
	}
}

/* ---- bringing collections together */

static uint32_t moved(struct air_book *b, const struct air_book *from, uint32_t id)
{
	return intern_id(&b->ids, intern_text(&from->ids, id));
}

static void merge_record(struct air_book *b, const struct air_record *add, const uint32_t *number)
{
	size_t at = record_at(b, add->id); /* which may move the records */
	struct air_record *record = &b->record[at];

	for (size_t i = 0; i < add->n; i++) {
		const struct air_reading *was = air_row(add, i);
		struct air_reading *row = new_row(b, record, was->utc_s);

		*row = *was;
		row->meter = number[row->meter] & 0xfffffff;
	}
}

void air_book_merge(struct air_book *b, struct air_book *from)
{
	uint32_t *number;

	if (b->ids.n == 1 && !b->nrecords) {
		struct air_book kept = *b;

		*b = *from;
		*from = kept;
		return;
	}
	number = mem_array(from->ids.n, sizeof *number);
	for (uint32_t i = 0; i < from->ids.n; i++)
		number[i] = moved(b, from, i);
	for (size_t i = 0; i < from->nrecords; i++)
		merge_record(b, &from->record[i], number);
	for (size_t i = 0; i < from->nchecks; i++) {
		from->check[i].meter = number[from->check[i].meter];
		add_check(b, from->check[i]);
	}
	for (size_t i = 0; i < from->nweighings; i++) {
		from->weighing[i].place = number[from->weighing[i].place];
		from->weighing[i].label = number[from->weighing[i].label];
		add_weighing(b, from->weighing[i]);
	}
	for (size_t i = 0; i < from->nfound; i++) {
		from->found[i].place = number[from->found[i].place];
		from->found[i].lot = number[from->found[i].lot];
		add_found(b, from->found[i]);
	}
	free(number);
}

/* By moment; of one moment by what was read, and then by the meter, whose number must be its rank. */
static int by_reading(const void *a, const void *b)
{
	const struct air_reading *x = a, *y = b;

	if (x->utc_s != y->utc_s)
		return x->utc_s < y->utc_s ? -1 : 1;
	if (x->temp != y->temp)
		return x->temp < y->temp ? -1 : 1;
	if (x->rh != y->rh)
		return x->rh < y->rh ? -1 : 1;
	if (x->meter != y->meter)
		return x->meter < y->meter ? -1 : 1;
	if (x->day != y->day)
		return x->day < y->day ? -1 : 1;
	return (int)x->flags - (int)y->flags;
}

static int by_id(const void *a, const void *b)
{
	return slice_cmp(((const struct air_record *)a)->id, ((const struct air_record *)b)->id);
}

/* Numbers in the order of their texts, for the order of meeting must not show. */
struct ranks {
	uint32_t *rank, *id;   /* of an id, and back */
};

struct ranked {
	struct slice text;
	uint32_t id;
};

static int by_text(const void *a, const void *b)
{
	return slice_cmp(((const struct ranked *)a)->text, ((const struct ranked *)b)->text);
}

static void ranks_init(struct ranks *r, const struct intern *ids)
{
	struct ranked *list = mem_array(ids->n, sizeof *list);

	r->rank = mem_array(ids->n, sizeof *r->rank);
	r->id = mem_array(ids->n, sizeof *r->id);
	for (uint32_t i = 0; i < ids->n; i++)
		list[i] = (struct ranked){ intern_text(ids, i), i };
	qsort(list, ids->n, sizeof *list, by_text);
	for (uint32_t i = 0; i < ids->n; i++) {
		r->rank[list[i].id] = i;
		r->id[i] = list[i].id;
	}
	free(list);
}

static void ranks_release(struct ranks *r)
{
	free(r->rank);
	free(r->id);
}

/* Where the run that starts at `from` ends. */
static size_t run_end(const struct air_reading *all, size_t from, size_t n)
{
	while (++from < n && by_reading(&all[from - 1], &all[from]) <= 0)
		;
	return from < n ? from : n;
}

/* Makes one run of each two; how many there are then. */
static size_t merge_runs(const struct air_reading *from, struct air_reading *to, size_t n)
{
	size_t runs = 0;

	for (size_t i = 0; i < n; runs++) {
		const size_t middle = run_end(from, i, n), end = middle < n ? run_end(from, middle, n) : n;

		for (size_t k = middle; i < middle || k < end;)
			*to++ = k == end || (i < middle && by_reading(&from[i], &from[k]) <= 0) ? from[i++] : from[k++];
		i = end;
	}
	return runs;
}

/* What several workers read is mostly a run of each. */
static void sort_record(struct air_record *record, const struct ranks *ranks)
{
	struct air_reading *all = mem_array(record->n, sizeof *all), *other = mem_array(record->n, sizeof *all);

	for (size_t i = 0; i < record->n; i++) {
		all[i] = *air_row(record, i);
		all[i].meter = ranks->rank[all[i].meter] & 0xfffffff;
	}
	for (size_t runs = 2; runs > 1;) {
		struct air_reading *merged = other;

		runs = merge_runs(all, merged, record->n);
		other = all;
		all = merged;
	}
	for (size_t i = 0; i < record->n; i++) {
		all[i].meter = ranks->id[all[i].meter] & 0xfffffff;
		*air_row(record, i) = all[i];
	}
	free(all);
	free(other);
}

/* The places whose readings are not in order. */
struct mixed {
	struct air_record **record;
	struct ranks ranks;
};

static void sort_mixed(void *mixed, size_t i)
{
	sort_record(((struct mixed *)mixed)->record[i], &((struct mixed *)mixed)->ranks);
}

static void sort_records(struct air_book *b)
{
	struct mixed mixed = { .record = mem_array(b->nrecords, sizeof *mixed.record) };
	size_t n = 0, rows = 0;

	ranks_init(&mixed.ranks, &b->ids);
	for (size_t i = 0; i < b->nrecords; i++)
		if (b->record[i].mixed) {
			mixed.record[n++] = &b->record[i];
			rows += b->record[i].n;
		}
	parallel_run(&(struct parallel){ sort_mixed, NULL, &mixed }, n, rows < ROWS_FOR_THREADS ? 1 : b->jobs);
	ranks_release(&mixed.ranks);
	free(mixed.record);
}

static int by_day(const void *a, const void *b)
{
	const struct air_check *x = a, *y = b;

	return (x->day > y->day) - (x->day < y->day);
}

static int by_meter(const void *a, const void *b)
{
	const struct air_check *x = a, *y = b;

	if (x->meter != y->meter)
		return x->meter < y->meter ? -1 : 1;
	return x->quantity != y->quantity ? x->quantity - y->quantity : by_day(a, b);
}

static void sort_checks(struct air_book *b)
{
	if (!b->nchecks)
		return;
	qsort(b->check, b->nchecks, sizeof *b->check, by_day);
	free(b->check_of);
	b->check_of = mem_array(b->nchecks, sizeof *b->check_of);
	memcpy(b->check_of, b->check, b->nchecks * sizeof *b->check_of);
	qsort(b->check_of, b->nchecks, sizeof *b->check_of, by_meter);
}

void air_book_settle(struct air_book *b)
{
	sort_records(b);
	if (b->nrecords)
		qsort(b->record, b->nrecords, sizeof *b->record, by_id);
	sort_checks(b);
}

/* ---- instruments */

/* The checks of one day. */
struct day_checks {
	int32_t day;
	int64_t sum, n;
};

/* Adds those of a meter on the last day up to `day` on which it was checked, or starts anew with them if that is later. */
static void add_last_checks(const struct air_book *b, uint32_t meter, int quantity, int32_t day, struct day_checks *last)
{
	const struct air_check until = { .day = day, .meter = meter, .quantity = quantity };
	size_t low = 0, high = b->nchecks;

	while (low < high) {
		size_t mid = low + (high - low) / 2;

		if (by_meter(&b->check_of[mid], &until) <= 0)
			low = mid + 1;
		else
			high = mid;
	}
	for (; low > 0 && b->check_of[low - 1].meter == meter && b->check_of[low - 1].quantity == quantity; low--) {
		const struct air_check *c = &b->check_of[low - 1];

		if (last->n && c->day < last->day)
			return;
		if (c->day > last->day)
			*last = (struct day_checks){ c->day, 0, 0 };
		last->sum += c->off;
		last->n++;
	}
}

/* `hyg1` is checked for `hyg1/room` too. */
double air_book_offset(const struct air_book *b, uint32_t meter, int quantity, int32_t day)
{
	struct day_checks last = { INT32_MIN, 0, 0 };
	struct slice name = intern_text(&b->ids, meter);
	size_t stroke = slice_find(name, '/');

	if (!b->check_of || !meter)
		return 0;
	add_last_checks(b, meter, quantity, day, &last);
	if (stroke < name.n)
		add_last_checks(b, intern_find(&b->ids, slice_upto(name, stroke)), quantity, day, &last);
	return last.n ? (double)last.sum / (double)last.n / VALUE_STEPS : 0;
}

/* ---- points */

/* A meter's offsets on the day of its last reading: readings come in long runs of a day. */
struct air_offsets {
	bool known;
	int32_t day;
	double off[2];
};

static const struct air_offsets NO_OFFSETS = { .known = true };

static const struct air_offsets *look_up(const struct air_book *b, struct air_offsets *by_meter, const struct air_reading *row)
{
	struct air_offsets *o;

	if (!by_meter)
		return &NO_OFFSETS;
	o = &by_meter[row->meter];
	if (!o->known || o->day != row->day)
		*o = (struct air_offsets){ true, row->day, { air_book_offset(b, row->meter, AIR_TEMP, row->day), air_book_offset(b, row->meter, AIR_RH, row->day) } };
	return o;
}

/* Sums while the readings of one moment come. */
struct moment {
	double raw[2], v[2];
	uint32_t n[2];
};

static void add_figure(struct moment *m, int quantity, int32_t figure, double off)
{
	double raw = (double)figure / VALUE_STEPS, v = raw + off;

	if (figure == NO_READING)
		return;
	if (quantity == AIR_RH)
		v = fmin(fmax(v, 0), 100);
	m->raw[quantity] += raw;
	m->v[quantity] += v;
	m->n[quantity]++;
}

/* Takes the readings of one moment, from row `i`, as point `k`; the row after them. */
static size_t take_moment(const struct air_book *b, const struct air_record *record, struct air_offsets *by_meter, size_t i, struct air_points *p, size_t k)
{
	struct moment m = { 0 };

	p->utc_s[k] = air_row(record, i)->utc_s;
	for (; i < record->n && air_row(record, i)->utc_s == p->utc_s[k]; i++) {
		const struct air_reading *row = air_row(record, i);
		const struct air_offsets *o = look_up(b, by_meter, row);

		add_figure(&m, AIR_TEMP, row->temp, o->off[AIR_TEMP]);
		add_figure(&m, AIR_RH, row->rh, row->flags & AIR_WET ? 0 : o->off[AIR_RH]);
	}
	for (int q = AIR_TEMP; q <= AIR_RH; q++) {
		p->v[q][k] = m.n[q] ? m.v[q] / m.n[q] : NAN;
		if (by_meter)
			p->raw[q][k] = m.n[q] ? m.raw[q] / m.n[q] : NAN;
	}
	return i;
}

static inline double figure_or_nan(int32_t figure)
{
	return figure == NO_READING ? NAN : (double)figure / VALUE_STEPS;
}

/* Sets utc_s, first, and temperatures and humidities; how many points there are. */
static size_t take_rows(const struct air_book *b, const struct air_record *record, struct air_offsets *by_meter, struct air_points *p)
{
	size_t k = 0;

	for (size_t i = 0; i < record->n; k++) {
		const struct air_reading *row = air_row(record, i);

		p->first[k] = (uint32_t)i;
		if (by_meter || (i + 1 < record->n && air_row(record, i + 1)->utc_s == row->utc_s)) {
			i = take_moment(b, record, by_meter, i, p, k);
			continue;
		}
		p->utc_s[k] = row->utc_s;
		p->v[AIR_TEMP][k] = figure_or_nan(row->temp);
		p->v[AIR_RH][k] = figure_or_nan(row->rh);
		i++;
	}
	p->first[k] = (uint32_t)record->n;
	return k;
}

void air_points_release(struct air_points *p)
{
	free(p->store);
	free(p->raw_store);
	free(p->offsets);
	*p = (struct air_points){ 0 };
}

static void make_store(struct air_points *p, size_t n, bool raw)
{
	const size_t arrays = AIR_QUANTITIES + 2;

	if (n > p->cap) {
		free(p->store);
		free(p->raw_store);
		p->raw_store = NULL;
		p->cap = n;
		p->store = mem_store(arrays * (n + 1), sizeof *p->store);
		p->utc_s = (int64_t *)p->store;
		p->first = (uint32_t *)(p->store + n + 1);
		for (size_t q = 0; q < AIR_QUANTITIES; q++)
			p->v[q] = p->store + (q + 2) * (n + 1);
	}
	if (raw && !p->raw_store) {
		p->raw_store = mem_store(AIR_QUANTITIES * p->cap, sizeof *p->raw_store);
		for (size_t q = 0; q < AIR_QUANTITIES; q++)
			p->raw[q] = p->raw_store + q * p->cap;
	}
}

void air_book_points(const struct air_book *b, const struct air_record *record, unsigned with, struct air_points *p)
{
	struct air_offsets *by_meter = NULL;
	size_t n;

	if (b->nchecks && !p->offsets)
		p->offsets = mem_zeroed(b->ids.n, sizeof *p->offsets);
	if (!(with & AIR_AS_READ))
		by_meter = p->offsets;
	make_store(p, record->n, by_meter != NULL);
	n = take_rows(b, record, by_meter, p);
	p->track = (struct air_series){ .utc_s = p->utc_s, .n = n };
	if (with & AIR_WITH_EMC) {
		emc_pct_each(p->v[AIR_EMC], p->v[AIR_TEMP], p->v[AIR_RH], n);
		if (by_meter)
			emc_pct_each(p->raw[AIR_EMC], p->raw[AIR_TEMP], p->raw[AIR_RH], n);
	}
	for (int q = 0; q < (with & AIR_WITH_EMC ? AIR_QUANTITIES : AIR_EMC); q++) {
		p->track.v[q] = p->v[q];
		p->track.raw[q] = by_meter ? p->raw[q] : p->v[q];
	}
}
