#include "returns/returns_view.h"

#include <math.h>

#include "returns/return_differences.h"
#include "stock/stock_cells.h"
#include "stock/stock_say.h"

/* Rates are shown in so many bat-months. */
static const double PER = 100;

enum { BRIEF_ROWS = 8 };

/* ---- parts of all tables */

/* A chance in as many decimals as show it. */
static void put_p(struct table *t, double p)
{
	table_real_shown(t, p, p < 0.0005 ? 5 : p < 0.005 ? 4 : 3);
}

static void say_p(struct buf *b, double p)
{
	if (p < 0.00001) {
		buf_str(b, "under 0.00001");
		return;
	}
	buf_printf(b, p < 0.0005 ? "%.5f" : p < 0.005 ? "%.4f" : "%.3f", p);
}

static void say_of(struct buf *b, const struct return_count *c)
{
	buf_printf(b, "%lld of %lld", (long long)c->back, (long long)c->bats);
}

/* "0.27 in 100 bat-months". */
static void say_rate(struct buf *b, const struct return_count *c)
{
	buf_printf(b, "%.2f in 100 bat-months", PER * (double)c->back / c->months);
}

/* ---- rates */

static void say_all(const struct return_rates *r, const struct bat_lives *lives, const struct return_ask *ask, struct buf *b)
{
	struct event_rate rate = event_rate(r->all.back, r->all.months, 0.95);

	if (!r->all.bats) {
		buf_str(b, "No bat was sold.");
		return;
	}
	buf_str(b, "Of ");
	buf_count(b, r->all.bats, "bat");
	buf_printf(b, " sold, %lld came back", (long long)r->all.back);
	if (ask->cause)
		buf_printf(b, " for %s", ask->cause);
	buf_str(b, " up to ");
	stock_say_day(b, lives->trace->today);
	buf_printf(b, ": %.2f in 100 months of a bat with its customer (95 %% interval %.2f to %.2f; %.4g such months).", PER * rate.rate, PER * rate.low,
		PER * rate.high, r->all.months);
}

/* The row that is least likely by chance, of those that could have differed. */
static const struct return_row *strongest(const struct return_rates *r)
{
	const struct return_row *row = NULL;

	for (size_t i = 0; i < r->n; i++)
		if (!isnan(r->row[i].adjusted) && (!row || r->row[i].p < row->p))
			row = &r->row[i];
	return row;
}

static void say_strongest(const struct return_rates *r, const struct return_ask *ask, struct buf *b)
{
	const struct return_row *row = strongest(r);
	struct return_count others;

	if (!row || !r->all.back)
		return;
	others = (struct return_count){ r->all.bats - row->count.bats, r->all.back - row->count.back, r->all.months - row->count.months };
	buf_printf(b, " By %s, ", return_by_words[r->by]);
	if (row->adjusted > ask->fdr)
		buf_str(b, "no row differs from the others by more than chance explains; the nearest is ");
	buf_add(b, row->key.n ? row->key : SLICE("what is not known"));
	buf_str(b, row->adjusted > ask->fdr ? ", " : " differs from the others: ");
	say_of(b, &row->count);
	buf_str(b, " bats, ");
	say_rate(b, &row->count);
	buf_str(b, ", against ");
	say_of(b, &others);
	buf_str(b, ", ");
	say_rate(b, &others);
	buf_str(b, " (p ");
	say_p(b, row->p);
	buf_str(b, ", adjusted ");
	say_p(b, row->adjusted);
	buf_str(b, " for ");
	buf_count(b, (int64_t)r->comparisons, "comparison");
	buf_str(b, ").");
}

static void say_trend(const struct return_rates *r, struct buf *b)
{
	if (isnan(r->trend.p))
		return;
	buf_printf(b, " The share that came back %s from row to row (trend: z = %.2f, p = ", r->trend.z > 0 ? "rises" : "falls", r->trend.z);
	say_p(b, r->trend.p);
	buf_str(b, r->trend.p > 0.05 ? "), which chance explains." : ").");
}

static void put_rates(struct table *t, const struct return_row *row)
{
	stock_cell_word(t, row->key);
	table_int(t, row->count.bats);
	table_int(t, row->count.back);
	table_real(t, (double)row->count.back / (double)row->count.bats);
	table_real(t, row->share.low);
	table_real(t, row->share.high);
	table_real(t, row->count.months);
	table_real(t, PER * row->rate.rate);
	table_real(t, PER * row->rate.low);
	table_real(t, PER * row->rate.high);
	put_p(t, row->p);
	put_p(t, row->adjusted);
}

static void note_rates(const struct return_rates *r, const struct bat_lives *lives, struct table *t)
{
	struct buf b = BUF_INIT;

	table_note(t, SLICE("rate: returns in 100 months of a bat with its customer; at least, at most: its exact 95 % interval"));
	if (r->by != RETURN_BY_CAUSE) {
		buf_printf(&b, "adjusted p: against all other bats, for false discoveries among %zu comparisons; not of rows with under %d bats%s", r->comparisons,
			RETURN_LEAST, r->left_out ? ", nor of those that so few returns could not show to differ" : "");
		table_note(t, buf_slice(&b));
	}
	b.n = 0;
	if (lives->others_back) {
		buf_str(&b, "not counted: ");
		buf_count(&b, lives->others_back, "other piece");
		buf_str(&b, " that came back; no bats");
		table_note(t, buf_slice(&b));
	}
	buf_release(&b);
}

void returns_view_rates(const struct return_rates *r, const struct bat_lives *lives, const struct return_ask *ask, struct table *t)
{
	bool cause = r->by == RETURN_BY_CAUSE;
	const struct table_column columns[] = {
		{ return_by_words[r->by], TABLE_TEXT, 0, return_by_words[r->by] }, { "bats", TABLE_INT, 0, "bats" }, { "came_back", TABLE_INT, 0, "came back" },
		{ "share", TABLE_REAL, TABLE_PERCENT + 1, "share" }, { "share_low", TABLE_REAL, TABLE_PERCENT + 1, NULL }, { "share_high", TABLE_REAL, TABLE_PERCENT + 1, NULL },
		{ "bat_months", TABLE_REAL, 1, "bat-months" }, { "rate_per_100", TABLE_REAL, 2, "rate" }, { "rate_low", TABLE_REAL, 2, "at least" },
		{ "rate_high", TABLE_REAL, 2, "at most" }, { "p", TABLE_REAL, 3, NULL }, { "p_adjusted", TABLE_REAL, 3, cause ? NULL : "adjusted p" },
	};
	struct buf b = BUF_INIT;

	table_init(t, columns, sizeof columns / sizeof *columns);
	table_title(t, SLICE("Returns"), "rates");
	say_all(r, lives, ask, &b);
	if (!cause)
		say_strongest(r, ask, &b);
	if (r->ordered)
		say_trend(r, &b);
	table_finding(t, buf_slice(&b));
	for (size_t i = 0; i < r->n; i++)
		put_rates(t, &r->row[i]);
	note_rates(r, lives, t);
	buf_release(&b);
}

/* ---- differences */

static bool is_figure(const struct return_difference *d)
{
	return !d->value.n;
}

/* For a reader: "2 of 20, 1.82", the latter the rate; "median 12.1". */
static void put_side(struct table *t, const struct return_count *c, double median)
{
	struct buf b = BUF_INIT;

	if (!isnan(median))
		buf_printf(&b, "median %.1f", median);
	else {
		say_of(&b, c);
		if (c->months > 0)
			buf_printf(&b, ", %.2f", PER * (double)c->back / c->months);
	}
	table_text(t, buf_slice(&b));
	buf_release(&b);
}

static void put_count(struct table *t, const struct return_count *c)
{
	table_int(t, c->bats);
	table_int(t, c->back);
	table_real(t, c->months > 0 ? c->months : NAN);
}

static void put_difference(struct table *t, const struct return_difference *d)
{
	table_cstr(t, d->what);
	if (is_figure(d))
		table_absent(t);
	else
		table_text(t, d->value);
	put_side(t, &d->in, d->median_back);
	put_side(t, &d->others, d->median_kept);
	put_count(t, &d->in);
	put_count(t, &d->others);
	table_real(t, d->median_back);
	table_real(t, d->median_kept);
	table_real(t, d->higher);
	put_p(t, d->p);
	put_p(t, d->adjusted);
	put_p(t, d->without);
}

static void say_difference(const struct return_difference *d, struct buf *b)
{
	buf_str(b, d->what);
	if (!is_figure(d)) {
		buf_char(b, ' ');
		buf_add(b, d->value);
		buf_str(b, " (");
		say_of(b, &d->in);
		buf_str(b, " against ");
		say_of(b, &d->others);
	} else
		buf_printf(b, " (median %.1f of those that came back, %.1f of the others", d->median_back, d->median_kept);
	buf_str(b, ", adjusted p ");
	say_p(b, d->adjusted);
	buf_char(b, ')');
}

/* Whether the others are more than what goes together with the first. */
static void say_without(const struct return_differences *d, struct buf *b)
{
	const struct return_difference *first = &d->row[d->first];
	size_t others = d->found - 1;

	buf_printf(b, " Without the bats of %s ", first->what);
	buf_add(b, first->value);
	if (!d->remain)
		buf_printf(b, " %s.", others == 1 ? "the other does not differ" : "none of the others differs");
	else
		buf_printf(b, ", %zu of the %zu others %s too.", d->remain, others, PLURAL(d->remain, "differs", "differ"));
}

enum { SAY_DIFFERENCES = 3 };

/* The least likely that was compared: there is one. */
static const struct return_difference *nearest(const struct return_differences *d)
{
	size_t i = 0;

	while (isnan(d->row[i].adjusted))
		i++;
	return &d->row[i];
}

static void say_differences(const struct return_differences *d, const struct return_ask *ask, struct buf *b)
{
	if (!d->comparisons) {
		buf_str(b, "Nothing can be compared: no bat came back, all did, or too few are known.");
		return;
	}
	buf_count(b, (int64_t)d->comparisons, "comparison");
	buf_str(b, " of the bats that came back with the others");
	if (d->n > d->comparisons)
		buf_printf(b, " (%zu more could not show a difference with so few returns)", d->n - d->comparisons);
	buf_str(b, "; ");
	if (!d->found) {
		buf_printf(b, "none is a difference at a false discovery rate of %.0f %%. The nearest is ", 100 * ask->fdr);
		say_difference(nearest(d), b);
		buf_char(b, '.');
		return;
	}
	buf_printf(b, "%zu %s at a false discovery rate of %.0f %%: ", d->found, PLURAL(d->found, "differs", "differ"), 100 * ask->fdr);
	for (size_t i = 0, said = 0; i < d->n && said < SAY_DIFFERENCES; i++) {
		if (!(d->row[i].adjusted <= ask->fdr))
			continue;
		buf_str(b, said++ ? "; " : "");
		say_difference(&d->row[i], b);
	}
	buf_str(b, d->found > SAY_DIFFERENCES ? "; and more." : ".");
	if (d->first < d->n)
		say_without(d, b);
}

void returns_view_differences(const struct return_differences *d, const struct return_ask *ask, bool brief, struct table *t)
{
	static const struct table_column columns[] = {
		{ "what", TABLE_TEXT, 0, "what" }, { "value", TABLE_TEXT, 0, "of" }, { "here", TABLE_TEXT, 0, "came back" }, { "elsewhere", TABLE_TEXT, 0, "the others" },
		{ "bats", TABLE_INT, 0, NULL }, { "came_back", TABLE_INT, 0, NULL }, { "bat_months", TABLE_REAL, 1, NULL },
		{ "other_bats", TABLE_INT, 0, NULL }, { "others_back", TABLE_INT, 0, NULL }, { "other_months", TABLE_REAL, 1, NULL },
		{ "median_back", TABLE_REAL, 1, NULL }, { "median_kept", TABLE_REAL, 1, NULL }, { "higher", TABLE_REAL, TABLE_PERCENT + 0, NULL },
		{ "p", TABLE_REAL, 3, NULL }, { "p_adjusted", TABLE_REAL, 3, "adjusted p" },
		{ "p_without", TABLE_REAL, 3, NULL },
	};
	struct buf b = BUF_INIT;
	size_t n = brief && d->n > BRIEF_ROWS ? BRIEF_ROWS : d->n;

	table_init(t, columns, sizeof columns / sizeof *columns);
	table_title(t, SLICE("What those that came back differ in"), "differences");
	say_differences(d, ask, &b);
	table_finding(t, buf_slice(&b));
	for (size_t i = 0; i < n; i++)
		put_difference(t, &d->row[i]);
	b.n = 0;
	if (!ask->cause && !d->found)
		table_note(t, SLICE("--cause compares the returns of one cause, which differ in fewer things"));
	if (n < d->n) {
		buf_printf(&b, "%zu more comparisons: --as tsv prints them", d->n - n);
		table_note(t, buf_slice(&b));
	}
	table_note(t, SLICE("after the numbers of a handle lot, charge and the like: the rate, in 100 bat-months"));
	table_note(t, SLICE("A difference is no cause. What goes together, such as a lot and its month, differs together."));
	buf_release(&b);
}

/* ---- the bats */

static void put_figures(struct table *t, const struct bat_life *life)
{
	for (int i = 0; i < LIFE_FIGURES; i++)
		table_real(t, life->figure[i]);
}

void returns_view_bats(const struct bat_lives *lives, const struct return_ask *ask, struct table *t)
{
	static const struct table_column columns[] = {
		{ "bat", TABLE_TEXT, 0, "bat" }, { "sold", TABLE_DATE, 0, "sold" }, { "until", TABLE_DATE, 0, "until" }, { "came_back", TABLE_INT, 0, NULL },
		{ "cause", TABLE_TEXT, 0, "came back for" }, { "bat_months", TABLE_REAL, 1, "months" },
		{ "handle", TABLE_TEXT, 0, "handle" }, { "charge", TABLE_TEXT, 0, "charge" }, { "lot", TABLE_TEXT, 0, NULL }, { "parcel", TABLE_TEXT, 0, NULL },
		{ "supplier", TABLE_TEXT, 0, NULL }, { "type", TABLE_TEXT, 0, NULL }, { "grade", TABLE_TEXT, 0, NULL }, { "season", TABLE_TEXT, 0, NULL },
		{ "month", TABLE_TEXT, 0, NULL }, { "customer", TABLE_TEXT, 0, NULL }, { "driest_pct", TABLE_REAL, 1, "driest, %" },
		{ "handle_lot_pct", TABLE_REAL, 1, "handle lot, %" }, { "blade_pct", TABLE_REAL, 1, NULL }, { "handle_pct", TABLE_REAL, 1, NULL },
		{ "stored_months", TABLE_REAL, 1, NULL }, { "mass_g", TABLE_REAL, 0, NULL },
	};

	table_init(t, columns, sizeof columns / sizeof *columns);
	for (size_t i = 0; i < lives->n; i++) {
		const struct bat_life *life = &lives->life[i];

		if (!return_counts(ask, life))
			continue;
		table_text(t, trace_text(lives->trace, life->bat));
		stock_cell_day(t, life->sold);
		stock_cell_day(t, life->end);
		table_int(t, return_is_back(ask, lives, life));
		stock_cell_word(t, intern_text(&lives->words, life->cause));
		table_real(t, bat_life_months(life));
		for (int k = 0; k < LIFE_WORDS; k++)
			stock_cell_word(t, intern_text(&lives->words, life->word[k]));
		put_figures(t, life);
	}
}
