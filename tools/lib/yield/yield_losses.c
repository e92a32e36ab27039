#include "yield/yield_losses.h"

#include <stdlib.h>

#include "yield/yield_rows.h"

static int by_cause(const void *a, const void *b)
{
	const struct yield_loss *x = a, *y = b;

	if (x->row != y->row)
		return x->row < y->row ? -1 : 1;
	return slice_cmp(x->cause, y->cause);
}

static int by_size(const void *a, const void *b)
{
	const struct yield_loss *x = a, *y = b;

	if (x->row != y->row)
		return x->row < y->row ? -1 : 1;
	if (x->n != y->n)
		return x->n > y->n ? -1 : 1;
	return slice_cmp(x->cause, y->cause);
}

static int by_money(const void *a, const void *b)
{
	const struct yield_loss *x = a, *y = b;

	if (x->row != y->row)
		return x->row < y->row ? -1 : 1;
	if (x->money != y->money)
		return x->money > y->money ? -1 : 1;
	return by_size(a, b);
}

/* By loss of the stages: its money. */
static int64_t *money_of_losses(const struct stages *w, const struct loss_log *log)
{
	int64_t *money = mem_zeroed(w->nlosses, sizeof *money);

	for (size_t i = 0; log && i < log->n; i++)
		money[log->row[i].loss] += log->row[i].money;
	return money;
}

/* Each loss once for each row that it counts in. */
static struct yield_loss *losses_by_row(const struct yield_rows *y, const int64_t *money, size_t *n)
{
	const struct stages *w = y->stages;
	struct yield_loss *loss = mem_array(w->nlosses * YIELD_ROWS_MOST, sizeof *loss);

	*n = 0;
	for (size_t i = 0; i < w->nlosses; i++) {
		const struct stage_loss *l = &w->loss[i];
		const size_t *row;
		size_t nrows = yield_rows_of(y, l->cell, &row);

		for (size_t k = 0; k < nrows; k++)
			loss[(*n)++] = (struct yield_loss){ row[k], stock_text(w->stock, l->cause), l->n, money[i] };
	}
	return loss;
}

/* Losses of one row and cause become one; returns how many there are then. */
static size_t merge_losses(struct yield_loss *loss, size_t all)
{
	size_t n = 0;

	if (all)
		qsort(loss, all, sizeof *loss, by_cause);
	for (size_t i = 0; i < all; i++)
		if (n && by_cause(&loss[n - 1], &loss[i]) == 0) {
			loss[n - 1].n += loss[i].n;
			loss[n - 1].money += loss[i].money;
		} else
			loss[n++] = loss[i];
	return n;
}

struct yield_loss *yield_losses_of(const struct yield_rows *y, const struct loss_log *log, size_t *n)
{
	int64_t *money = money_of_losses(y->stages, log);
	struct yield_loss *loss = losses_by_row(y, money, n);

	*n = merge_losses(loss, *n);
	if (*n)
		qsort(loss, *n, sizeof *loss, y->ask->by_money ? by_money : by_size);
	free(money);
	return loss;
}

const struct yield_loss *yield_losses_most(const struct yield_rows *y, const struct yield_loss *loss, size_t n, bool money)
{
	const struct yield_loss *most = NULL;
	size_t first = yield_rows_total(y);

	for (size_t i = 0; i < n; i++)
		if (loss[i].row >= first && loss[i].row + 1 < y->nrows &&
			(!most || (money ? loss[i].money > most->money : loss[i].n > most->n)))
			most = &loss[i];
	return most;
}
