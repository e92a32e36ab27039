#include <stdlib.h>

#include "stock/yield_view_internal.h"

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

	yield_view_head(y, t, &r->head);
	table_text(t, loss->cause);
	table_int(t, loss->n);
	table_int(t, all);
	yield_view_share(t, (struct stage_share){ all > 0, (double)loss->n / (double)all, (double)all });
}

void yield_view_losses(const struct yield_rows *y, struct table *t)
{
	static const char *const SHARES[] = { "share", "share_low", "share_high" };
	size_t n;
	struct loss *loss = losses_by_row(y, &n);

	n = merge_losses(loss, n);
	if (n)
		qsort(loss, n, sizeof *loss, by_size);
	yield_view_start(y, t);
	table_add_column(t, "cause", TABLE_TEXT, 0);
	table_add_column(t, "count", TABLE_INT, 0);
	table_add_column(t, "entered", TABLE_INT, 0);
	yield_view_add_columns(t, SHARES, 3, TABLE_REAL, 3);
	for (size_t i = 0; i < n; i++)
		put_loss(y, t, &loss[i]);
	table_note(t, SLICE("share: of all that entered the step"));
	free(loss);
}
