#include "stock/stock_view.h"

#include <stdlib.h>

#include "house/house.h"
#include "stock/stock.h"
#include "stock/stock_cells.h"
#include "stock/stock_say.h"

const char *const stock_by_words[] = { "place", "form", "type", "grade", "class", "lot", NULL };

struct row {
	struct slice key[STOCK_KEYS];  /* in the order of `by` */
	int rank[STOCK_KEYS];          /* of a form: as it goes through the works; of a grade and a class: as the house lists them */
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
		[STOCK_BY_CLASS] = k->class, [STOCK_BY_LOT] = k->lot };

	return by == STOCK_BY_FORM ? vocab_form(k->form) : stock_text(s, id[by]);
}

/* Pieces without a grade or a class come before those with one. */
static int rank_of(const struct stock *s, const struct stock_ask *ask, const struct stock_kind *k, size_t by)
{
	switch (by) {
	case STOCK_BY_FORM:
		return k->form;
	case STOCK_BY_GRADE:
		return k->grade ? house_grade_order(s->house, ask->today, stock_text(s, k->grade)) : -1;
	case STOCK_BY_CLASS:
		return k->class ? house_class_order(s->house, stock_text(s, k->class)) : -1;
	default:
		return 0;
	}
}

static struct row row_of(const struct stock *s, const struct stock_ask *ask, const struct stock_bucket *b)
{
	struct row row = { .n = b->n, .since = b->since };

	for (size_t i = 0; i < ask->nby; i++) {
		row.key[i] = key_of(s, &b->kind, ask->by[i]);
		row.rank[i] = rank_of(s, ask, &b->kind, ask->by[i]);
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

/* ---- the finding: how many pieces, where most of them are, and the oldest */

static int by_age(const struct stock *s, const struct stock_bucket *x, const struct stock_bucket *y)
{
	int order = (x->since > y->since) - (x->since < y->since);

	order = order ? order : (x->kind.form > y->kind.form) - (x->kind.form < y->kind.form);
	order = order ? order : slice_cmp(stock_text(s, x->kind.place), stock_text(s, y->kind.place));
	return order ? order : slice_cmp(stock_text(s, x->kind.type), stock_text(s, y->kind.type));
}

static void say_oldest(const struct stock *s, int32_t today, const struct stock_bucket *b, struct buf *text)
{
	buf_str(text, " The oldest has been a ");
	buf_add(text, vocab_form(b->kind.form));
	buf_str(text, " for ");
	stock_say_count(text, today - b->since, SLICE("day"));
	buf_str(text, ", and is at ");
	buf_add(text, stock_text(s, b->kind.place));
	buf_char(text, '.');
}

/* Where most of the pieces are: " in 9 places; the most, 1589, are at store/r1". */
static void say_places(const struct stock *s, const int64_t *at, struct buf *text)
{
	uint32_t most = 0, places = 0;

	for (uint32_t id = 1; id < s->ids.n; id++) {
		places += at[id] > 0;
		if (at[id] > at[most] || (at[id] && at[id] == at[most] && slice_cmp(stock_text(s, id), stock_text(s, most)) < 0))
			most = id;
	}
	if (places > 1) {
		buf_str(text, " in ");
		stock_say_count(text, places, SLICE("place"));
		buf_printf(text, "; the most, %lld, are", (long long)at[most]);
	}
	buf_str(text, " at ");
	buf_add(text, stock_text(s, most));
	buf_char(text, '.');
}

static void say_stock(const struct stock *s, const struct stock_ask *ask, struct table *t)
{
	size_t n;
	const struct stock_bucket *b = stock_buckets(s, &n), *oldest = NULL;
	int64_t *at = mem_zeroed(s->ids.n, sizeof *at), total = 0;
	struct buf text = BUF_INIT;

	for (size_t i = 0; i < n; i++)
		if (b[i].n > 0 && b[i].kind.place != s->sold) {
			total += b[i].n;
			at[b[i].kind.place] += b[i].n;
			oldest = !oldest || by_age(s, &b[i], oldest) < 0 ? &b[i] : oldest;
		}
	buf_str(&text, "On ");
	stock_say_day(&text, ask->today);
	buf_str(&text, PLURAL(total, " there is ", " there are "));
	stock_say_count(&text, total, SLICE("piece"));
	if (oldest) {
		say_places(s, at, &text);
		say_oldest(s, ask->today, oldest, &text);
	} else {
		buf_str(&text, " in stock.");
	}
	table_finding(t, buf_slice(&text));
	buf_release(&text);
	free(at);
}

/* ---- the table */

static void start_table(const struct stock_ask *ask, struct table *t)
{
	table_init(t, (const struct table_column[]){ { "as_of", TABLE_DATE, 0, NULL } }, 1);
	for (size_t i = 0; i < ask->nby; i++) {
		table_add_column(t, stock_by_words[ask->by[i]], TABLE_TEXT, 0);
		table_heading(t, stock_by_words[ask->by[i]]);
	}
	table_add_column(t, "count", TABLE_INT, 0);
	table_heading(t, "pieces");
	table_add_column(t, "oldest_days", TABLE_INT, 0);
	table_heading(t, "oldest, days");
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
	say_stock(s, ask, t);
	table_note(t, SLICE("oldest: days since the oldest piece of the row took its form (was cleft, planed or made)"));
	free(rows);
}
