#include "stock/stock_view.h"

#include <stdlib.h>

#include "stock/stock.h"
#include "stock/stock_cells.h"

const char *const stock_by_words[] = { "place", "form", "type", "grade", "lot", NULL };

struct row {
	struct slice key[STOCK_KEYS];  /* in the order of `by` */
	int rank[STOCK_KEYS];          /* of a form: as it goes through the works */
	int64_t n;
	int32_t since;
};

static int by_keys(const void *a, const void *b)
{
	const struct row *x = a, *y = b;
	int order = 0;

	for (int i = 0; !order && i < STOCK_KEYS; i++) {
		order = (x->rank[i] > y->rank[i]) - (x->rank[i] < y->rank[i]);
		order = order ? order : slice_cmp(x->key[i], y->key[i]);
	}
	return order;
}

static struct slice key_of(const struct stock *s, const struct stock_kind *k, size_t by)
{
	const uint32_t id[STOCK_KEYS] = { [STOCK_BY_PLACE] = k->place, [STOCK_BY_TYPE] = k->type, [STOCK_BY_GRADE] = k->grade,
		[STOCK_BY_LOT] = k->lot };

	return by == STOCK_BY_FORM ? vocab_form(k->form) : stock_text(s, id[by]);
}

static struct row row_of(const struct stock *s, const struct stock_ask *ask, const struct stock_bucket *b)
{
	struct row row = { .n = b->n, .since = b->since };

	for (size_t i = 0; i < ask->nby; i++) {
		row.key[i] = key_of(s, &b->kind, ask->by[i]);
		row.rank[i] = ask->by[i] == STOCK_BY_FORM ? b->kind.form : 0;
	}
	return row;
}

/* A row for each bucket in stock, sorted; the caller frees them. */
static struct row *rows_of(const struct stock *s, const struct stock_ask *ask, size_t *n)
{
	size_t nbuckets;
	const struct stock_bucket *b = stock_buckets(s, &nbuckets);
	struct row *rows = mem_array(nbuckets, sizeof *rows);

	*n = 0;
	for (size_t i = 0; i < nbuckets; i++)
		if (b[i].n > 0 && b[i].kind.place != s->sold)
			rows[(*n)++] = row_of(s, ask, &b[i]);
	if (*n)
		qsort(rows, *n, sizeof *rows, by_keys);
	return rows;
}

static void start_table(const struct stock_ask *ask, struct table *t)
{
	table_init(t, (const struct table_column[]){ { "as_of", TABLE_DATE, 0, NULL } }, 1);
	for (size_t i = 0; i < ask->nby; i++)
		table_add_column(t, stock_by_words[ask->by[i]], TABLE_TEXT, 0);
	table_add_column(t, "count", TABLE_INT, 0);
	table_add_column(t, "oldest_days", TABLE_INT, 0);
}

static void put_row(const struct stock_ask *ask, struct table *t, const struct row *r, int64_t n, int32_t since)
{
	stock_cell_day(t, ask->today);
	for (size_t i = 0; i < ask->nby; i++)
		stock_cell_word(t, r->key[i]);
	table_int(t, n);
	table_int(t, ask->today - since);
}

void stock_view(const struct stock *s, const struct stock_ask *ask, struct table *t)
{
	size_t n;
	struct row *rows = rows_of(s, ask, &n);

	start_table(ask, t);
	for (size_t i = 0, k; i < n; i = k) {
		int64_t sum = 0;
		int32_t since = INT32_MAX;

		for (k = i; k < n && by_keys(&rows[i], &rows[k]) == 0; k++) {
			sum += rows[k].n;
			since = rows[k].since < since ? rows[k].since : since;
		}
		put_row(ask, t, &rows[i], sum, since);
	}
	table_note(t, SLICE("oldest_days: since the oldest of them took this form (cleft, planed, made)"));
	free(rows);
}
