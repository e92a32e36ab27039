#include "pair/read_days.h"

#include <math.h>
#include <stdlib.h>

#include "base/sorted.h"
#include "book/value.h"
#include "moist/readings.h"

/* While they are taken in: the texts, by which they are put in order. */
struct taken {
	struct read_day day;
	struct slice place;
};

struct taking {
	struct taken *row;
	size_t n, cap;
	struct intern *ids;
};

static void take(struct taking *t, struct slice whose, struct slice place, const struct reading *r)
{
	struct taken *row;

	t->row = mem_grow(t->row, &t->cap, t->n + 1, sizeof *t->row);
	row = &t->row[t->n++];
	*row = (struct taken){ .day = { .whose = intern_id(t->ids, whose), .place = intern_id(t->ids, place), .day = r->day, .utc_s = r->utc_s } };
	row->place = intern_text(t->ids, row->day.place);
	if (r->mark == VALUE_EXACT) {
		row->day.n = r->n;
		row->day.sum = (int64_t)r->mc * r->n;
	} else {
		row->day.off = r->n;
	}
	if (r->flags & (READING_UNCORRECTED | READING_DOUBTFUL))
		row->day.unsure = r->n;
}

static void take_reading(struct taking *t, const struct reading_facts *facts, const struct reading *r)
{
	struct reading_of of = reading_of(facts, r);
	struct slice source = readings_name(facts->readings, of.a), place = readings_name(facts->readings, of.place);

	if (r->mark == VALUE_ABSENT || of.charge || !of.lot.n || of.form == facts->cleft || r->flags & READING_OVEN)
		return;
	if (!of.single)
		take(t, of.lot, place, r);
	else if (slice_starts(source, of.lot) && source.n > of.lot.n && source.p[of.lot.n] == '/')
		take(t, source, SLICE(""), r);
}

static int by_what(const struct taken *x, const struct taken *y)
{
	int order;

	if (x->day.whose != y->day.whose)
		return x->day.whose < y->day.whose ? -1 : 1;
	if (x->day.judged != y->day.judged)
		return x->day.judged ? 1 : -1;
	order = slice_cmp(x->place, y->place);
	return order ? order : (x->day.day > y->day.day) - (x->day.day < y->day.day);
}

/* Then by time, and of one moment the wetter last. */
static int by_time(const void *a, const void *b)
{
	const struct taken *x = a, *y = b;
	int order = by_what(x, y);

	order = order ? order : (x->day.utc_s > y->day.utc_s) - (x->day.utc_s < y->day.utc_s);
	return order ? order : (x->day.sum > y->day.sum) - (x->day.sum < y->day.sum);
}

static void add_day(struct read_day *day, const struct read_day *more)
{
	day->utc_s = more->utc_s > day->utc_s ? more->utc_s : day->utc_s;
	day->sum += more->sum;
	day->n += more->n;
	day->off += more->off;
	day->unsure += more->unsure;
}

static bool is_piece(const struct taking *t, const struct read_day *day)
{
	struct slice whose = intern_text(t->ids, day->whose);

	return slice_find(whose, '/') < whose.n;
}

/* One row for each day: of a piece its last reading, of a lot all. */
static void gather(struct taking *t)
{
	size_t n = 0;

	if (t->n)
		qsort(t->row, t->n, sizeof *t->row, by_time);
	for (size_t i = 0; i < t->n; i++) {
		if (!n || by_what(&t->row[n - 1], &t->row[i]))
			t->row[n++] = t->row[i];
		else if (is_piece(t, &t->row[i].day))
			t->row[n - 1] = t->row[i];
		else
			add_day(&t->row[n - 1].day, &t->row[i].day);
	}
	t->n = n;
}

/* What was judged of numbered pieces is of their lot too. */
static void add_judged(struct taking *t)
{
	for (size_t i = 0, n = t->n; i < n; i++) {
		struct taken row = t->row[i];
		struct slice piece = intern_text(t->ids, row.day.whose);

		if (!is_piece(t, &row.day))
			continue;
		row.day.whose = intern_id(t->ids, slice_upto(piece, slice_find(piece, '/')));
		row.day.judged = true;
		t->row = mem_grow(t->row, &t->cap, t->n + 1, sizeof *t->row);
		t->row[t->n++] = row;
	}
}

void read_days_find(struct read_days *d, struct readings *readings, const struct reading_facts *facts, struct intern *ids)
{
	struct taking t = { .ids = ids };
	struct reading r;

	while (readings_next(readings, &r))
		take_reading(&t, facts, &r);
	gather(&t);
	add_judged(&t);
	gather(&t);
	d->row = mem_array(t.n, sizeof *d->row);
	for (size_t i = 0; i < t.n; i++)
		d->row[i] = t.row[i].day;
	d->n = t.n;
	free(t.row);
}

void read_days_release(struct read_days *d)
{
	free(d->row);
	*d = (struct read_days){ .row = NULL };
}

const struct read_day *read_days_of(const struct read_days *d, uint32_t whose, size_t *n)
{
	size_t low = SORTED_FROM(d->row, d->n, struct read_day, whose, whose);

	for (*n = 0; low + *n < d->n && d->row[low + *n].whose == whose;)
		(*n)++;
	return d->n ? d->row + low : NULL;
}

const struct read_day *read_days_last(const struct read_days *d, uint32_t whose, uint32_t at)
{
	size_t n;
	const struct read_day *row = read_days_of(d, whose, &n), *last = NULL;

	for (size_t i = 0; i < n; i++) {
		const struct read_day *r = &row[i];

		if (!last || (r->judged == last->judged && (r->day > last->day || (r->day == last->day && r->place == at))))
			last = r;
	}
	return last;
}

double read_day_mean(const struct read_day *day)
{
	return day->n ? (double)day->sum / (double)day->n / VALUE_STEPS : NAN;
}
