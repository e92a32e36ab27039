#include <stdlib.h>

#include "math/stats.h"
#include "stock/stock_say.h"
#include "yield/yield_spread.h"
#include "yield/yield_view_internal.h"

struct loss {
	size_t row;
	struct slice cause;
	int64_t n;
};

static int by_cause(const void *a, const void *b)
{
	const struct loss *x = a, *y = b;

	if (x->row != y->row)
		return x->row < y->row ? -1 : 1;
	return slice_cmp(x->cause, y->cause);
}

static int by_size(const void *a, const void *b)
{
	const struct loss *x = a, *y = b;

	if (x->row != y->row)
		return x->row < y->row ? -1 : 1;
	if (x->n != y->n)
		return x->n > y->n ? -1 : 1;
	return slice_cmp(x->cause, y->cause);
}

/* Each loss once for each row that it counts in. */
static struct loss *losses_by_row(const struct yield_rows *y, size_t *n)
{
	const struct stages *w = y->stages;
	struct loss *loss = mem_array(w->nlosses * YIELD_ROWS_MOST, sizeof *loss);

	*n = 0;
	for (size_t i = 0; i < w->nlosses; i++) {
		const struct stage_loss *l = &w->loss[i];
		const size_t *row;
		size_t nrows = yield_rows_of(y, l->cell, &row);

		for (size_t k = 0; k < nrows; k++)
			loss[(*n)++] = (struct loss){ row[k], stock_text(w->stock, l->cause), l->n };
	}
	return loss;
}

/* Losses of one row and cause become one; returns how many there are then. */
static size_t merge_losses(struct loss *loss, size_t all)
{
	size_t n = 0;

	if (all)
		qsort(loss, all, sizeof *loss, by_cause);
	for (size_t i = 0; i < all; i++)
		if (n && by_cause(&loss[n - 1], &loss[i]) == 0)
			loss[n - 1].n += loss[i].n;
		else
			loss[n++] = loss[i];
	return n;
}

static void put_loss(const struct yield_rows *y, struct table *t, const struct loss *loss)
{
	const struct yield_row *r = &y->row[loss->row];
	int64_t all = stages_entered(r->n);
	struct spread spread;

	yield_view_head(y, t, &r->head);
	table_text(t, loss->cause);
	table_int(t, loss->n);
	table_int(t, all);
	yield_spread_of_loss(y, r->head.step, loss->cause, &spread);
	yield_view_share(t, (struct stage_share){ all > 0, (double)loss->n / (double)all, (double)all / yield_spread_design(y, &spread, loss->row) }, yield_spread_point(y, &spread, loss->row));
	spread_release(&spread);
}

/* "1475 pieces were culled. The most frequent cause in one step is knot in plane: 178 of 14173 (...)." */
static void say_losses(const struct yield_rows *y, const struct loss *loss, size_t n, struct table *t)
{
	const struct loss *most = NULL;
	const struct yield_row *row;
	struct buf text = BUF_INIT;
	struct spread spread;
	double low, high;
	int64_t all;

	for (size_t i = 0; i < n; i++)
		if (loss[i].row >= yield_rows_total(y) && loss[i].row + 1 < y->nrows && (!most || loss[i].n > most->n))
			most = &loss[i];
	if (!most) {
		table_finding(t, SLICE("No piece was culled on these days."));
		return;
	}
	row = &y->row[most->row];
	all = stages_entered(row->n);
	stock_say_count(&text, y->row[y->nrows - 1].n[STAGE_CULLED], SLICE("piece"));
	buf_str(&text, PLURAL(y->row[y->nrows - 1].n[STAGE_CULLED], " was", " were"));
	buf_str(&text, " culled. The most frequent cause in one step is ");
	buf_add(&text, most->cause);
	buf_printf(&text, " in %s: %lld of %lld (", stages_step_words[row->head.step], (long long)most->n, (long long)all);
	yield_spread_of_loss(y, row->head.step, most->cause, &spread);
	wilson_share((double)most->n / (double)all, (double)all / yield_spread_design(y, &spread, most->row), yield_spread_point(y, &spread, most->row), &low, &high);
	spread_release(&spread);
	stock_say_interval(&text, (double)most->n / (double)all, low, high);
	buf_str(&text, ").");
	table_finding(t, buf_slice(&text));
	buf_release(&text);
}

void yield_view_losses(const struct yield_rows *y, struct table *t)
{
	enum { CAUSE = 11 };
	static const struct yield_column COLUMNS[] = { { "count", TABLE_INT, 0, 0, "cull" }, { "entered", TABLE_INT, 0, 2, "of" },
		{ "share", TABLE_REAL, TABLE_PERCENT + 1, 1, "share" }, { "share_low", TABLE_REAL, TABLE_PERCENT + 1, 4, "at least" }, { "share_high", TABLE_REAL, TABLE_PERCENT + 1, 4, "at most" } };
	size_t n;
	struct loss *loss = losses_by_row(y, &n);

	n = merge_losses(loss, n);
	if (n)
		qsort(loss, n, sizeof *loss, by_size);
	yield_view_start(y, t);
	table_add_column(t, "cause", TABLE_TEXT, 0);
	table_heading(t, "cause");
	yield_view_add_columns(y, t, COLUMNS, sizeof COLUMNS / sizeof *COLUMNS, CAUSE);
	for (size_t i = 0; i < n; i++)
		put_loss(y, t, &loss[i]);
	say_losses(y, loss, n, t);
	table_note(t, SLICE("share: the per cent of all pieces that were in the step"));
	if (yield_view_shows(t, "share_high"))
		table_note(t, SLICE("at least, at most: its 95 % interval; from 5 lots on it allows for the differences between lots"));
	free(loss);
}
