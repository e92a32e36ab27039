#include "moist/calibrate.h"

#include <math.h>
#include <stdlib.h>

#include "book/parse.h"
#include "moist/oven.h"
#include "table/number_text.h"
#include "table/table.h"
#include "wood/moisture.h"

void calibrate_init(struct calibrate *t, const struct house *house)
{
	memset(t, 0, sizeof *t);
	t->house = house;
	intern_init(&t->meters);
}

void calibrate_release(struct calibrate *t)
{
	intern_release(&t->meters);
	free(t->list);
	memset(t, 0, sizeof *t);
}

/* ---- taking lines */

/* A reading at the meter's reference temperature, before any line of its own. */
static bool at_reference(const struct house *house, const struct line *l, const struct item *mc, double *reading_pct)
{
	struct meter_use use = meter_use_of_line(house, l);
	struct meter_reading reading;

	if (mc->v.mark != VALUE_EXACT)
		return false;
	use.line = NULL;
	use.rule.line_a = 0;
	use.rule.line_b = 1;
	reading = meter_reading_of(&use, l, mc);
	*reading_pct = (double)reading.mc / VALUE_STEPS;
	return reading.corrected || !use.by_temperature;
}

static void take_test(struct calibrate *t, const struct line *l, size_t i, const struct item *mc)
{
	const struct item *wet = oven_beside(l, FIELD_WET, i, mc->label), *dry = oven_beside(l, FIELD_DRY, i, mc->label);
	struct calibrate_test test = { .meter = intern_id(&t->meters, line_word(l, FIELD_METER)), .pair = { .day = l->stamp.day } };
	double pct = wet && dry ? mc_of_masses_pct(value_number(TYPE_MASS, wet->v.fix), value_number(TYPE_MASS, dry->v.fix)) : NAN;

	test.pair.true_pct = pct;
	test.usable = at_reference(t->house, l, mc, &test.pair.reading_pct) && !isnan(pct);
	t->list = mem_grow(t->list, &t->cap, t->n + 1, sizeof *t->list);
	t->list[t->n++] = test;
}

void calibrate_take(struct calibrate *t, const struct line *l)
{
	const struct field *mc = line_field(l, FIELD_MC);

	if (l->event->id != EVENT_OVEN || !line_field(l, FIELD_METER))
		return;
	for (size_t i = 0; mc && i < mc->n; i++)
		take_test(t, l, i, &l->item[mc->first + i]);
}

void calibrate_merge(struct calibrate *into, const struct calibrate *from)
{
	if (!from->n)
		return;
	into->list = mem_grow(into->list, &into->cap, into->n + from->n, sizeof *into->list);
	for (size_t i = 0; i < from->n; i++) {
		into->list[into->n] = from->list[i];
		into->list[into->n++].meter = intern_id(&into->meters, intern_text(&from->meters, from->list[i].meter));
	}
}

/* ---- the table */

static const struct table_column LINES[] = {
	{ "meter", TABLE_TEXT, 0, "meter" }, { "n_pairs", TABLE_INT, 0, "pairs" }, { "n_left_out", TABLE_INT, 0, NULL }, { "n_lacking", TABLE_INT, 0, "missing" },
	{ "a", TABLE_REAL, 3, "a, points" }, { "a_error", TABLE_REAL, 3, NULL }, { "b", TABLE_REAL, 4, "b" }, { "b_error", TABLE_REAL, 4, NULL }, { "sd_pct", TABLE_REAL, 2, "standard deviation, %" },
	{ "least_pct", TABLE_REAL, 1, "from, %" }, { "most_pct", TABLE_REAL, 1, "to, %" }, { "first", TABLE_DATE, 0, NULL }, { "last", TABLE_DATE, 0, NULL },
	{ "middle_pct", TABLE_REAL, 1, NULL }, { "middle_error_pct", TABLE_REAL, 2, NULL }, { "least_error_pct", TABLE_REAL, 2, NULL }, { "most_error_pct", TABLE_REAL, 2, NULL },
	{ "own", TABLE_TEXT, 0, NULL },
};

static void write_own(struct buf *out, struct slice meter, const struct meter_line *l)
{
	size_t stroke = slice_find(meter, '/');

	buf_str(out, "- {");
	if (stroke < meter.n) {
		buf_str(out, "setting: ");
		buf_add(out, slice_from(meter, stroke + 1));
		buf_str(out, ", ");
	}
	buf_str(out, "date: ");
	day_write(out, l->last);
	buf_str(out, ", a: ");
	buf_real_shown(out, l->a, 3);
	buf_str(out, ", b: ");
	buf_real_shown(out, l->b, 4);
	buf_printf(out, ", pairs: %zu, sd: ", l->n);
	buf_real_shown(out, l->sd, 2);
	buf_str(out, ", span: ");
	buf_real_shown(out, l->low_pct, 1);
	buf_str(out, "..");
	buf_real_shown(out, l->high_pct, 1);
	buf_str(out, "%, middle: ");
	buf_real_shown(out, l->middle_pct, 1);
	buf_str(out, "%, b-error: ");
	buf_real_shown(out, l->b_error, 4);
	buf_str(out, "}");
}

/* The standard error of the line itself at a reading. */
static double error_at(const struct meter_line *l, double reading_pct)
{
	return meter_line_error(l->sd, (double)l->n, l->b_error, reading_pct - l->middle_pct);
}

static void put_day(struct table *t, const struct meter_line *l, int32_t day)
{
	struct buf text = BUF_INIT;

	if (!l->n)
		table_absent(t);
	else {
		day_write(&text, day);
		table_date(t, buf_slice(&text));
	}
	buf_release(&text);
}

/* The line in words, or how many pairs are missing. */
static void find_line(struct table *t, struct slice meter, const struct meter_line *l)
{
	struct buf text = BUF_INIT;

	buf_add(&text, meter);
	if (l->lack || !(l->b > 0) || isnan(l->sd))
		buf_printf(&text, " has no line yet: %zu more pair%s needed.", l->lack, PLURAL(l->lack, " is", "s are"));
	else
		buf_printf(&text, ": MC = %.2f + %.3f x reading, good to %.2f points for a piece (one standard deviation), from %zu pairs; the line itself to %.2f at %.1f %% and %.2f at its worse end.",
			l->a, l->b, l->sd, l->n, error_at(l, l->middle_pct), l->middle_pct, fmax(error_at(l, l->low_pct), error_at(l, l->high_pct)));
	table_finding(t, buf_slice(&text));
	buf_release(&text);
}

static void put_line(struct table *t, struct slice meter, const struct meter_line *l, size_t left_out)
{
	const double cell[] = { l->a, l->a_error, l->b, l->b_error, l->sd, l->low_pct, l->high_pct };
	struct buf own = BUF_INIT;

	table_text(t, meter);
	table_int(t, (int64_t)l->n);
	table_int(t, (int64_t)left_out);
	table_int(t, (int64_t)l->lack);
	for (size_t i = 0; i < sizeof cell / sizeof *cell; i++)
		table_real(t, cell[i]);
	put_day(t, l, l->first);
	put_day(t, l, l->last);
	table_real(t, l->middle_pct);
	table_real(t, error_at(l, l->middle_pct));
	table_real(t, error_at(l, l->low_pct));
	table_real(t, error_at(l, l->high_pct));
	if (!l->lack && l->b > 0 && !isnan(l->sd)) {
		write_own(&own, meter, l);
		table_text(t, buf_slice(&own));
	} else
		table_absent(t);
	buf_release(&own);
}

/* qsort() has no argument for where the names are. */
struct ranked {
	const struct calibrate *tests;
	struct calibrate_test test;
};

static int test_order(const void *a, const void *b)
{
	const struct ranked *x = a, *y = b;

	return slice_cmp(intern_text(&x->tests->meters, x->test.meter), intern_text(&x->tests->meters, y->test.meter));
}

static void sort_tests(struct calibrate *tests)
{
	struct ranked *ranked = mem_array(tests->n, sizeof *ranked);

	for (size_t i = 0; i < tests->n; i++)
		ranked[i] = (struct ranked){ tests, tests->list[i] };
	if (tests->n)
		qsort(ranked, tests->n, sizeof *ranked, test_order);
	for (size_t i = 0; i < tests->n; i++)
		tests->list[i] = ranked[i].test;
	free(ranked);
}

/* The tests from `from` on that are of one meter. */
static size_t put_meter(struct table *t, const struct calibrate *tests, size_t from)
{
	const struct calibrate_test *list = tests->list;
	struct meter_pair *pair = mem_array(tests->n, sizeof *pair);
	struct meter_line line;
	size_t n = 0, to = from;

	for (; to < tests->n && list[to].meter == list[from].meter; to++)
		if (list[to].usable)
			pair[n++] = list[to].pair;
	line = meter_line_of(pair, n);
	find_line(t, intern_text(&tests->meters, list[from].meter), &line);
	put_line(t, intern_text(&tests->meters, list[from].meter), &line, to - from - n);
	free(pair);
	return to;
}

void calibrate_table(struct calibrate *tests, struct table *t)
{
	table_init(t, LINES, sizeof LINES / sizeof *LINES);
	sort_tests(tests);
	for (size_t from = 0; from < tests->n; )
		from = put_meter(t, tests, from);
	table_note(t, SLICE("MC = a + b x reading, by least squares. The readings are corrected for the temperature of the wood by the rule of the house file. --columns=own prints the entry for the house file."));
	table_note(t, SLICE("Ten pairs give a line to use. n_left_out: pairs off the scale, without the wood's temperature, or lighter wet than dry."));
	table_note(t, SLICE("The line holds within the span of the readings; outside it is extrapolated. Its own error is least in the middle of the pairs; wy-moist has it in every interval."));
}
