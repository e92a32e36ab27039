#include "moist/moist_view.h"

#include <math.h>

#include "moist/moist_view_internal.h"

/* ---- what the tables share */

void moist_view_start(const struct moist_view *v, struct table *t, const struct table_column *columns, size_t n)
{
	table_init(t, NULL, 0);
	for (size_t k = 0; k < v->ask->nby; k++)
		table_add_column(t, moist_by_words[v->ask->by[k]], TABLE_TEXT, 0);
	for (size_t i = 0; i < n; i++)
		table_add_column(t, columns[i].name, columns[i].type, columns[i].places);
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

/* ---- the answer */

static const struct table_column COLUMNS[] = {
	{ "n_readings", TABLE_INT, 0, NULL }, { "n_unread", TABLE_INT, 0, NULL }, { "n_pieces", TABLE_INT, 0, NULL },
	{ "n_above", TABLE_INT, 0, NULL }, { "n_below", TABLE_INT, 0, NULL }, { "n_uncorrected", TABLE_INT, 0, NULL }, { "n_doubtful", TABLE_INT, 0, NULL },
	{ "mc_mean_pct", TABLE_REAL, 1, NULL }, { "mc_sd_pct", TABLE_REAL, 2, NULL },
	{ "driest_pct", TABLE_REAL, 1, NULL }, { "driest", TABLE_TEXT, 0, NULL }, { "wettest_pct", TABLE_REAL, 1, NULL }, { "wettest", TABLE_TEXT, 0, NULL },
	{ "n_judged", TABLE_INT, 0, NULL }, { "share_in_band", TABLE_REAL, 3, NULL }, { "share_low", TABLE_REAL, 3, NULL }, { "share_high", TABLE_REAL, 3, NULL },
	{ "last", TABLE_DATE, 0, NULL }, { "rule", TABLE_TEXT, 0, NULL },
};

static void put_end(struct table *t, const struct moist_rows *m, const struct moist_end *end)
{
	struct buf who = BUF_INIT;

	moist_row_end_write(m, end, &who);
	table_real(t, (double)end->mc / VALUE_STEPS);
	table_text(t, buf_slice(&who));
	buf_release(&who);
}

/* What was off the scale goes before what was on it: how far off is not known. */
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

static void put_share(struct table *t, bool all, const struct moist_row *row)
{
	int64_t judged = row->count[MOIST_JUDGED], in = row->count[MOIST_IN];
	double low = NAN, high = NAN;

	table_int(t, judged);
	table_real(t, judged ? (double)in / (double)judged : NAN);
	if (all || !wilson_interval(in, judged, NORMAL_975, &low, &high))
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

static void add_notes(struct table *t, bool all)
{
	if (all) {
		table_note(t, SLICE("Every reading counts alike; readings of one piece are no sample, so the share has no interval."));
		return;
	}
	table_note(t, SLICE("Each piece counts by its last reading; of a lot in a place the last sample counts."));
	table_note(t, SLICE("The interval (95 %) takes the pieces for a random sample, which probes chosen by hand are not."));
}

bool moist_view_answer(const struct moist_view *v, struct table *t)
{
	MOIST_VIEW_START(v, t, COLUMNS);
	for (size_t i = 0; i < v->rows->n; i++) {
		put_row(t, v, i);
		moist_view_row_done(v, t);
	}
	add_notes(t, v->ask->all);
	return v->rows->n > 0;
}
