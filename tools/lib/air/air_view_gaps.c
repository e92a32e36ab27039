#include <math.h>
#include <stdlib.h>

#include "air/air_view_internal.h"
#include "air/kiln_stays.h"

static const struct table_column gap_columns[] = {
	{ "place", TABLE_TEXT, 0, "place" }, { "what", TABLE_TEXT, 0, "finding" }, { "quantity", TABLE_TEXT, 0, "of" }, { "from", TABLE_DATE, 0, "from" },
	{ "to", TABLE_DATE, 0, NULL }, { "hours", TABLE_REAL, 1, "hours" }, { "most_h", TABLE_REAL, 1, "limit, h" }, { "n", TABLE_INT, 0, "readings" },
	{ "apart", TABLE_REAL, 1, "differ by" }, { "unit", TABLE_TEXT, 0, NULL }
};

/* Something odd from one moment to another: `n` readings, at most `apart` from each other. */
struct oddity {
	const char *what, *quantity, *unit;   /* or NULL */
	int64_t from_s, to_s, n;
	double most_h, apart;
};

/* How many gaps, the longest of them, and how much else is doubtful. */
struct total {
	size_t gaps, others;
	struct slice place;
	double hours;
};

static void add_oddity(struct total *all, const struct view *v, const struct oddity *o)
{
	double hours = (double)(o->to_s - o->from_s) / HOUR_S;

	if (isnan(o->most_h)) {
		all->others++;
		return;
	}
	if (all->gaps++ && hours <= all->hours)
		return;
	all->hours = hours;
	all->place = v->in->id;
}

static void find_oddities(struct table *t, const struct total *all)
{
	struct buf text = BUF_INIT;

	if (all->gaps)
		buf_printf(&text, "There %s %zu gap%s; the longest is %.1f h at %.*s.", PLURAL(all->gaps, "is", "are"), all->gaps, PLURAL(all->gaps, "", "s"),
			all->hours, (int)all->place.n, all->place.p);
	else
		buf_str(&text, "No gap was found.");
	if (all->others)
		buf_printf(&text, " %zu other row%s repeated readings, differing instruments or a clock.", all->others, PLURAL(all->others, " is about", "s are about"));
	table_finding(t, buf_slice(&text));
	buf_release(&text);
}

static void put_oddity(struct view *v, const struct oddity *o)
{
	struct table *t = v->t;
	int64_t from_s, to_s;

	view_window(v, &from_s, &to_s);
	if (o->to_s < from_s || o->from_s >= to_s)
		return;
	add_oddity(v->total, v, o);
	table_text(t, v->in->id);
	table_cstr(t, o->what);
	table_cstr(t, o->quantity);
	view_put_instant(v, (double)o->from_s);
	view_put_instant(v, (double)o->to_s);
	table_real(t, (double)(o->to_s - o->from_s) / HOUR_S);
	table_real(t, o->most_h);
	if (o->n)
		table_int(t, o->n);
	else
		table_absent(t);
	table_real(t, o->apart);
	table_cstr(t, o->unit);
	view_some(v->ask, t);
}

/* ---- gaps */

/* Where a quantity is not known: the gaps one after another, and the time after its last reading. */
struct silence {
	int quantity;
	size_t at;
	bool more, over;
	int64_t from_s, to_s;
};

/* The last reading that has the quantity, when the end that is asked for is too long after it. */
static bool ends_early(struct view *v, struct silence *s)
{
	size_t last = air_point_by(&v->track, s->quantity, INT64_MAX);

	s->over = true;
	if (v->ask->to == INT32_MAX || isnan(v->track.v[s->quantity][last]))
		return false;
	s->from_s = v->track.utc_s[last];
	s->to_s = view_start(v, v->ask->to + 1);
	return s->to_s - s->from_s > v->track.limit_s;
}

static void silence_next(struct view *v, struct silence *s)
{
	struct air_stretch next;

	while (!s->over && air_next(&v->track, s->quantity, &s->at, &next)) {
		if (!next.gap)
			continue;
		s->from_s = v->track.utc_s[next.from];
		s->to_s = v->track.utc_s[next.to];
		s->more = true;
		return;
	}
	s->more = !s->over && ends_early(v, s);
}

static bool is_same(const struct silence *a, const struct silence *b)
{
	return a->more && b->more && a->over == b->over && a->from_s == b->from_s && a->to_s == b->to_s;
}

static bool is_first(const struct silence *a, const struct silence *b)
{
	if (!a->more || !b->more)
		return a->more;
	return a->from_s != b->from_s ? a->from_s < b->from_s : a->to_s <= b->to_s;
}

static void put_gap(struct view *v, const struct silence *s, const char *quantity)
{
	put_oddity(v, &(struct oddity){ .what = s->over ? "ended" : "gap", .quantity = quantity, .from_s = s->from_s, .to_s = s->to_s,
		.most_h = (double)v->track.limit_s / HOUR_S, .apart = NAN });
}

/* Whether the air matters only while a charge is in: a kiln, of a book that says when kilns are loaded. */
static bool is_kiln(const struct view *v, size_t stays)
{
	return stays || (v->ask->stays && v->ask->stays->nstays && v->place && v->place->kind == HOUSE_PLACE_KIND_KILN);
}

/* Of a kiln's gap, the parts in which it held a charge, if they are too long by themselves. */
static void put_silence(struct view *v, const struct silence *s, const char *quantity)
{
	size_t n = 0;
	const struct kiln_stay *stay = v->ask->stays ? kiln_stays_of(v->ask->stays, v->in->id, &n) : NULL;
	int64_t reported_s = INT64_MIN;

	if (!is_kiln(v, n)) {
		put_gap(v, s, quantity);
		return;
	}
	for (size_t i = 0; i < n; i++) {
		struct silence part = *s;

		part.from_s = stay[i].from_s > s->from_s ? stay[i].from_s : s->from_s;
		part.from_s = reported_s > part.from_s ? reported_s : part.from_s;
		part.to_s = stay[i].to_s < s->to_s ? stay[i].to_s : s->to_s;
		if (part.to_s <= part.from_s || part.to_s - part.from_s <= v->track.limit_s)
			continue;
		put_gap(v, &part, quantity);
		reported_s = part.to_s;
	}
}

/* In the order of time; where temperature and humidity are missing alike it is one gap of the record. */
static void put_gaps(struct view *v)
{
	struct silence s[2] = { { .quantity = AIR_TEMP }, { .quantity = AIR_RH } };

	for (int q = AIR_TEMP; q <= AIR_RH; q++)
		if (v->ask->wants[q])
			silence_next(v, &s[q]);
	while (s[AIR_TEMP].more || s[AIR_RH].more) {
		bool same = is_same(&s[AIR_TEMP], &s[AIR_RH]);
		int first = is_first(&s[AIR_TEMP], &s[AIR_RH]) ? AIR_TEMP : AIR_RH;

		put_silence(v, &s[first], same ? "temp,rh" : air_words[first]);
		silence_next(v, &s[first]);
		if (same)
			silence_next(v, &s[AIR_RH]);
	}
}

/* ---- many readings at one moment */

static int32_t figure_of(const struct air_reading *row, int quantity)
{
	return quantity == AIR_TEMP ? row->temp : row->rh;
}

/* How far the readings of point `i` lie apart, as read; 0 for one, or alike ones. */
static double apart_at(const struct view *v, size_t i, int quantity)
{
	double low = HUGE_VAL, high = -HUGE_VAL;

	for (uint32_t k = v->points.first[i]; k < v->points.first[i + 1]; k++) {
		int32_t figure = figure_of(air_row(v->in, k), quantity);

		if (figure == INT32_MIN)
			continue;
		low = fmin(low, (double)figure / VALUE_STEPS);
		high = fmax(high, (double)figure / VALUE_STEPS);
	}
	return high > low ? high - low : 0;
}

enum { ALIKE, METERS, REPEAT };  /* one, or alike ones; unlike ones of as many instruments; of one */
enum { METERS_MOST = 16 };       /* in one place */

static bool are_of_many(const struct view *v, size_t i)
{
	uint32_t from = v->points.first[i], to = v->points.first[i + 1];

	for (uint32_t k = from; k < to && to - from <= METERS_MOST; k++)
		for (uint32_t j = from; j < k; j++)
			if (air_row(v->in, j)->meter == air_row(v->in, k)->meter)
				return false;
	return to - from <= METERS_MOST;
}

static int kind_at(const struct view *v, size_t i, int quantity)
{
	if (v->points.first[i + 1] - v->points.first[i] < 2 || !(apart_at(v, i, quantity) > 0))
		return ALIKE;
	return are_of_many(v, i) ? METERS : REPEAT;
}

/* Runs of moments of one kind; a repeat of the doubled hour has its own name. */
static void put_repeats(struct view *v, int q)
{
	bool first;
	int kind;

	for (size_t i = 0; i < v->track.n; i++) {
		struct oddity o = { .what = "repeat", .quantity = air_words[q], .unit = AIR_UNITS[q], .from_s = v->track.utc_s[i], .most_h = NAN };

		kind = kind_at(v, i, q);
		if (kind == ALIKE)
			continue;
		if (kind == METERS)
			o.what = "meters";
		else if (view_doubled(v, o.from_s, &first))
			o.what = "doubled-hour";
		for (; i < v->track.n && kind_at(v, i, q) == kind; i++) {
			o.to_s = v->track.utc_s[i];
			o.n += v->points.first[i + 1] - v->points.first[i];
			o.apart = fmax(o.apart, apart_at(v, i, q));
		}
		i--;
		put_oddity(v, &o);
	}
}

/* ---- clocks */

static int by_size(const void *a, const void *b)
{
	int64_t x = *(const int64_t *)a, y = *(const int64_t *)b;

	return (x > y) - (x < y);
}

static int64_t step_at(const struct view *v, size_t i)
{
	return v->track.utc_s[i + 1] - v->track.utc_s[i];
}

/* The step that more than half of `n` steps are, or 0: a vote in which unlike ones cancel out, then counted. */
static int64_t step_of_most(const struct view *v, size_t n)
{
	size_t ahead = 0, alike = 0;
	int64_t step = 0;

	for (size_t i = 0; i < n; i++) {
		if (!ahead)
			step = step_at(v, i);
		ahead = step_at(v, i) == step ? ahead + 1 : ahead - 1;
	}
	for (size_t i = 0; i < n; i++)
		alike += step_at(v, i) == step;
	return 2 * alike > n ? step : 0;
}

/* What is in the middle when they are put in order. */
static int64_t middle_step(const struct view *v, size_t n)
{
	int64_t *step, middle = step_of_most(v, n);

	if (middle || !n)
		return middle;
	step = mem_array(n, sizeof *step);
	for (size_t i = 0; i < n; i++)
		step[i] = step_at(v, i);
	qsort(step, n, sizeof *step, by_size);
	middle = step[n / 2];
	free(step);
	return middle;
}

/* How far apart readings usually are, when three in four are so within a tenth; else 0. */
static int64_t usual_step(const struct view *v)
{
	size_t n = v->track.n > 1 ? v->track.n - 1 : 0, alike = 0;
	int64_t usual = middle_step(v, n);

	for (size_t i = 0; i < n; i++)
		alike += 10 * llabs(step_at(v, i) - usual) <= usual;
	return 4 * alike >= 3 * n ? usual : 0;
}

/* Where three or more readings repeatedly fall in the time of two: a clock that was set back wrote over its own hours. */
static void put_clocks(struct view *v)
{
	const int64_t usual = usual_step(v), *utc_s = v->track.utc_s;
	const size_t n = v->track.n;

	for (size_t i = 0; usual && i + 2 < n; i++) {
		size_t end = i;

		while (end + 2 < n && 10 * (utc_s[end + 2] - utc_s[end]) <= 11 * usual)
			end++;
		if (end - i >= 2) {
			put_oddity(v, &(struct oddity){ .what = "clock-back", .from_s = utc_s[i], .to_s = utc_s[end + 1],
				.n = (int64_t)(end + 2 - i), .most_h = NAN, .apart = NAN });
			i = end;
		}
	}
}

static void put_skipped(struct view *v)
{
	const struct air_record *record = v->in;

	for (size_t i = 0; i < record->n; i++) {
		int64_t at = air_row(record, i)->utc_s, n = 0;

		if (!(air_row(record, i)->flags & AIR_SKIPPED))
			continue;
		for (; i < record->n && air_row(record, i)->utc_s == at; i++)
			n += (air_row(record, i)->flags & AIR_SKIPPED) != 0;
		i--;
		put_oddity(v, &(struct oddity){ .what = "skipped-hour", .from_s = at, .to_s = at, .n = n, .most_h = NAN, .apart = NAN });
	}
}

void air_view_gaps(const struct air_ask *ask, struct table *t)
{
	struct total all = { .gaps = 0 };
	struct view v;

	table_init(t, gap_columns, sizeof gap_columns / sizeof *gap_columns);
	view_init(&v, ask, t);
	v.total = &all;
	for (size_t i = 0; i < ask->book->nrecords; i++) {
		view_open(&v, &ask->book->record[i], AIR_AS_READ);
		put_gaps(&v);
		for (int q = AIR_TEMP; q <= AIR_RH; q++)
			if (ask->wants[q] && v.track.n < v.in->n)
				put_repeats(&v, q);
		put_clocks(&v);
		put_skipped(&v);
	}
	find_oddities(t, &all);
	view_note_gaps(&v);
	view_release(&v);
}
