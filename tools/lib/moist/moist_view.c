#include "moist/moist_view.h"

#include <math.h>
#include <string.h>

#include "moist/moist_view_internal.h"

/* ---- what the tables share */

static void add_key(struct table *t, const char *word)
{
	table_add_column(t, word, TABLE_TEXT, 0);
	table_heading(t, strcmp(word, "part") == 0 ? "wood for" : word); /* a cleft is wood for a blade */
}

void moist_view_start(const struct moist_view *v, struct table *t, const struct table_column *columns, size_t n)
{
	table_init(t, NULL, 0);
	for (size_t k = 0; k < v->ask->nby; k++)
		add_key(t, moist_by_words[v->ask->by[k]]);
	for (size_t i = 0; i < n; i++) {
		table_add_column(t, columns[i].name, columns[i].type, columns[i].places);
		table_heading(t, columns[i].heading);
	}
}

void moist_view_keys(const struct moist_view *v, struct table *t, size_t i)
{
	struct buf text = BUF_INIT;

	for (size_t k = 0; k < v->ask->nby; k++) {
		text.n = 0;
		moist_row_key(v->rows, moist_row_at(v->rows, i), k, &text);
		if (text.n)
			table_text(t, buf_slice(&text));
		else
			table_absent(t);
	}
	buf_release(&text);
}

void moist_view_row_done(const struct moist_view *v, struct table *t)
{
	if (v->row_done)
		v->row_done(t);
}

void moist_view_note_shares(const struct moist_view *v, struct table *t, const char *form)
{
	struct buf text = BUF_INIT;

	buf_printf(&text, form, 100 * v->ask->cover, 100 * v->ask->sure);
	table_note(t, buf_slice(&text));
	buf_release(&text);
}

static void add_beyond(struct buf *text, const struct moist_beyond *b)
{
	double low = (double)b->line->span.low / VALUE_STEPS, high = (double)b->line->span.high / VALUE_STEPS;

	buf_add(text, b->meter);
	buf_printf(text, ": %lld reading%s beyond the pairs of its line (", (long long)b->n, PLURAL(b->n, " lies", "s lie"));
	if (b->line->span.low == INT64_MIN)
		buf_printf(text, "up to %.1f %%)", high);
	else if (b->line->span.high == INT64_MAX)
		buf_printf(text, "from %.1f %%)", low);
	else
		buf_printf(text, "%.1f to %.1f %%)", low, high);
	if (b->least_pct < 0)
		buf_printf(text, ", down to %.1f %%", low + b->least_pct);
	if (b->most_pct > 0)
		buf_printf(text, ", up to %.1f %%", high + b->most_pct);
	buf_str(text, ". The line is not shown to hold there. Take pairs there: read such pieces, dry them in the oven, and see --calibrate.");
}

void moist_view_note_beyond(const struct moist_view *v, struct table *t)
{
	struct buf text = BUF_INIT;
	struct moist_beyond b;

	for (size_t i = 0; moist_rows_beyond(v->rows, i, &b); i++) {
		if (!b.n)
			continue;
		text.n = 0;
		add_beyond(&text, &b);
		table_note(t, buf_slice(&text));
	}
	buf_release(&text);
}

/* ---- the answer */

static const struct table_column COLUMNS[] = {
	{ "n_readings", TABLE_INT, 0, "readings" }, { "n_unread", TABLE_INT, 0, NULL }, { "n_pieces", TABLE_INT, 0, "pieces" },
	{ "n_above", TABLE_INT, 0, NULL }, { "n_below", TABLE_INT, 0, NULL }, { "n_uncorrected", TABLE_INT, 0, NULL }, { "n_doubtful", TABLE_INT, 0, NULL },
	{ "mc_mean_pct", TABLE_REAL, 1, "mean, %" }, { "mc_sd_pct", TABLE_REAL, 2, NULL },
	{ "driest_pct", TABLE_REAL, 1, "min, %" }, { "driest", TABLE_TEXT, 0, NULL }, { "wettest_pct", TABLE_REAL, 1, "max, %" }, { "wettest", TABLE_TEXT, 0, NULL },
	{ "n_judged", TABLE_INT, 0, "judged" }, { "share_in_band", TABLE_REAL, TABLE_PERCENT + 1, "in band" }, { "share_low", TABLE_REAL, TABLE_PERCENT + 1, NULL }, { "share_high", TABLE_REAL, TABLE_PERCENT + 1, NULL },
	{ "last", TABLE_DATE, 0, "last read" }, { "rule", TABLE_TEXT, 0, NULL }, { "n_beyond", TABLE_INT, 0, NULL },
};

static void put_end(struct table *t, const struct moist_rows *m, const struct moist_end *end)
{
	struct buf who = BUF_INIT;

	moist_row_end_write(m, end, &who);
	table_real(t, (double)end->mc / VALUE_STEPS);
	table_text(t, buf_slice(&who));
	buf_release(&who);
}

/* Readings off the scale go before those on it: how far off is not known. */
static void put_ends(struct table *t, const struct moist_rows *m, const struct moist_row *row)
{
	const struct moist_ends none[MOIST_OFFS] = { 0 }, *off = row->off ? row->off : none, *on = &row->ends;
	const struct moist_end *driest = off[MOIST_UNDER].least.held ? &off[MOIST_UNDER].least : on->least.held ? &on->least : &off[MOIST_OVER].least;
	const struct moist_end *wettest = off[MOIST_OVER].most.held ? &off[MOIST_OVER].most : on->most.held ? &on->most : &off[MOIST_UNDER].most;

	if (!driest->held) {
		for (int i = 0; i < 4; i++)
			table_absent(t);
		return;
	}
	put_end(t, m, driest);
	put_end(t, m, wettest);
}

/* What is in the band, also if the meters' lines are off by their own error one way or the other. */
struct in_band {
	int64_t judged, in, drier, wetter;
};

/* From the lower end for the fewest in the band to the upper end for the most. */
static bool share_of(const struct in_band *b, double *low, double *high)
{
	const int64_t in[] = { b->in, b->drier, b->wetter };
	double least, most;

	if (!wilson_interval(b->in, b->judged, NORMAL_975, low, high))
		return false;
	for (int i = 1; i < 3; i++) {
		wilson_interval(in[i], b->judged, NORMAL_975, &least, &most);
		*low = fmin(*low, least);
		*high = fmax(*high, most);
	}
	return true;
}

static struct in_band band_of(const struct moist_row *row)
{
	return (struct in_band){ row->count[MOIST_JUDGED], row->count[MOIST_IN], row->count[MOIST_IN_DRIER], row->count[MOIST_IN_WETTER] };
}

static void put_share(struct table *t, bool all, const struct moist_row *row)
{
	struct in_band b = band_of(row);
	double low = NAN, high = NAN;

	table_int(t, b.judged);
	table_real(t, b.judged ? (double)b.in / (double)b.judged : NAN);
	if (all || !share_of(&b, &low, &high))
		low = high = NAN;
	table_real(t, low);
	table_real(t, high);
}

static void put_last(struct table *t, const struct moist_rows *m, const struct moist_row *row)
{
	struct buf text = BUF_INIT;

	if (row->last == INT32_MIN)
		table_absent(t);
	else {
		day_write(&text, row->last);
		table_date(t, buf_slice(&text));
	}
	text.n = 0;
	moist_row_rules_write(m, row, &text);
	table_text(t, buf_slice(&text));
	table_int(t, row->count[MOIST_BEYOND]);
	buf_release(&text);
}

static void put_row(struct table *t, const struct moist_view *v, size_t i)
{
	const struct moist_row *row = moist_row_at(v->rows, i);

	moist_view_keys(v, t, i);
	for (int k = MOIST_READINGS; k <= MOIST_DOUBTFUL; k++)
		table_int(t, row->count[k]);
	table_real(t, sums_mean(&row->sums, VALUE_STEPS));
	table_real(t, sums_sd(&row->sums, VALUE_STEPS));
	put_ends(t, v->rows, row);
	put_share(t, v->ask->all, row);
	put_last(t, v->rows, row);
}

/* ---- the finding */

/* What the rows come to together. */
struct total {
	struct sums sums;
	struct in_band band;
	int64_t off, uncorrected, doubtful;
	int32_t last;          /* the last day on which one was read, or INT32_MIN */
};

static void add_row(struct total *total, const struct moist_row *row)
{
	sums_merge(&total->sums, &row->sums);
	total->band.judged += row->count[MOIST_JUDGED];
	total->band.in += row->count[MOIST_IN];
	total->band.drier += row->count[MOIST_IN_DRIER];
	total->band.wetter += row->count[MOIST_IN_WETTER];
	total->uncorrected += row->count[MOIST_UNCORRECTED];
	total->doubtful += row->count[MOIST_DOUBTFUL];
	if (row->last > total->last)
		total->last = row->last;
	total->off += row->count[MOIST_ABOVE] + row->count[MOIST_BELOW];
}

static void write_mean(struct buf *out, const struct total *total)
{
	const struct sums *s = &total->sums;

	buf_printf(out, "%.1f %% on average", sums_mean(s, VALUE_STEPS));
	if (s->n > 1)
		buf_printf(out, ", %.1f to %.1f %%", (double)s->least / VALUE_STEPS, (double)s->most / VALUE_STEPS);
	if (total->off)
		buf_printf(out, ", and %lld off the scale", (long long)total->off);
}

/* "; read from 2027-11-01 to 2027-11-30": up to the last day that was read where no end is asked for. */
static void add_period(struct buf *out, const struct total *total, const struct moist_ask *ask)
{
	int32_t to = ask->to < total->last ? ask->to : total->last;

	if (total->last == INT32_MIN)
		return;
	buf_str(out, "; read ");
	if (ask->from != INT32_MIN) {
		buf_str(out, "from ");
		day_write(out, ask->from);
		buf_str(out, " to ");
		to = ask->to != INT32_MAX ? ask->to : total->last;
	} else
		buf_str(out, "up to ");
	day_write(out, to);
}

/* Of many rows together a mean says little. */
static void find_total(struct table *t, const struct total *total, size_t rows, const struct moist_ask *ask)
{
	bool all = ask->all;
	struct buf text = BUF_INIT;
	double low, high;

	if (rows == 1 && total->sums.n)
		write_mean(&text, total);
	if (rows && total->band.judged)
		buf_printf(&text, "%s%lld of %lld %s in the band", text.n ? "; " : "", (long long)total->band.in, (long long)total->band.judged,
			all ? "readings" : PLURAL(total->band.judged, "piece", "pieces"));
	if (rows == 1 && !all && share_of(&total->band, &low, &high))
		buf_printf(&text, " (%.0f to %.0f %% of all, with 95 %% confidence)", 100 * low, 100 * high);
	if (rows && !total->band.judged)
		buf_printf(&text, "%so band to judge them by", text.n ? "; n" : "N");
	if (text.n) {
		add_period(&text, total, ask);
		buf_char(&text, '.');
		table_finding(t, buf_slice(&text));
	}
	buf_release(&text);
}

static void note_doubts(struct table *t, const struct total *total)
{
	struct buf text = BUF_INIT;

	if (!total->uncorrected && !total->doubtful)
		return;
	buf_printf(&text, "Uncorrected: %lld; outside the trusted range of the meter: %lld.", (long long)total->uncorrected, (long long)total->doubtful);
	table_note(t, buf_slice(&text));
	buf_release(&text);
}

static void add_notes(struct table *t, bool all)
{
	if (all) {
		table_note(t, SLICE("Every reading counts alike. In band: per cent of the judged readings."));
		return;
	}
	table_note(t, SLICE("Each piece counts by its latest reading; for a lot in a place it is the latest sample."));
	table_note(t, SLICE("In band: per cent of the judged pieces. An interval for it needs a random sample; probes chosen by hand are not one."));
}

enum { KEYS_WITH_ENDS = 3, KEYS_WITH_LAST = 2 };

/* Many keys leave less space for the rest. Where all readings count alike, their number says more than the pieces'. */
static void choose_headings(struct table_column *columns, size_t n, const struct moist_ask *ask)
{
	for (size_t i = 0; i < n; i++) {
		struct slice name = slice_of(columns[i].name);

		if (slice_eq(name, ask->all ? SLICE("n_pieces") : SLICE("n_readings"))
			|| (ask->nby > KEYS_WITH_ENDS && (slice_eq(name, SLICE("driest_pct")) || slice_eq(name, SLICE("wettest_pct"))))
			|| (ask->nby > KEYS_WITH_LAST && slice_eq(name, SLICE("last"))))
			columns[i].heading = NULL;
	}
}

/* A mean that lacks readings off the scale has their number beside it. */
static void show_off_scale(struct table_column *columns, size_t n, const struct moist_rows *rows, size_t keys)
{
	int64_t above = 0, below = 0;

	for (size_t i = 0; i < rows->n; i++) {
		above += moist_row_at(rows, i)->count[MOIST_ABOVE];
		below += moist_row_at(rows, i)->count[MOIST_BELOW];
	}
	for (size_t i = 0; i < n; i++) {
		if (above && slice_eq(slice_of(columns[i].name), SLICE("n_above")))
			columns[i].heading = "above scale";
		if (below && slice_eq(slice_of(columns[i].name), SLICE("n_below")))
			columns[i].heading = "below scale";
		if ((above || below) && (slice_eq(slice_of(columns[i].name), SLICE("last")) || (keys > 2 && slice_eq(slice_of(columns[i].name), SLICE("n_judged")))))
			columns[i].heading = NULL; /* the line has no room for all */
	}
}

bool moist_view_answer(const struct moist_view *v, struct table *t)
{
	struct table_column columns[sizeof COLUMNS / sizeof *COLUMNS];
	struct total total = { .last = INT32_MIN };

	memcpy(columns, COLUMNS, sizeof COLUMNS);
	choose_headings(columns, sizeof columns / sizeof *columns, v->ask);
	show_off_scale(columns, sizeof columns / sizeof *columns, v->rows, v->ask->nby);
	MOIST_VIEW_START(v, t, columns);
	for (size_t i = 0; i < v->rows->n; i++) {
		add_row(&total, moist_row_at(v->rows, i));
		put_row(t, v, i);
		moist_view_row_done(v, t);
	}
	find_total(t, &total, v->rows->n, v->ask);
	note_doubts(t, &total);
	moist_view_note_beyond(v, t);
	if (total.off)
		table_note(t, SLICE("Above or below scale: readings such as 30%+. They are not in the mean, so the wood is wetter or drier than it says."));
	add_notes(t, v->ask->all);
	return v->rows->n > 0;
}
