#include "stock/stock_audit.h"

#include <stdlib.h>

#include "stock/stock.h"
#include "stock/stock_cells.h"
#include "stock/stock_say.h"

/* In the order of the columns. */
enum { IN, FOUND, POOLED_IN, POOLED_OUT, INTO_BATS, CULLED, SOLD, THERE, COUNTS };

struct audited_lot {
	int64_t n[COUNTS];
};

void stock_audit_init(struct stock_audit *a, const struct stock *s)
{
	a->stock = s;
	a->nlots = s->ids.n;
	a->lot = mem_zeroed(a->nlots, sizeof *a->lot);
}

void stock_audit_release(struct stock_audit *a)
{
	free(a->lot);
	memset(a, 0, sizeof *a);
}

/* ---- counting */

static void count(struct stock_audit *a, uint32_t lot, int what, int64_t n)
{
	a->lot[lot].n[what] += n;
}

static void count_gone_on(struct stock_audit *a, const struct stock_flow *f)
{
	if (f->from.lot != f->to.lot) {
		count(a, f->from.lot, POOLED_OUT, f->n);
		count(a, f->to.lot, POOLED_IN, f->n);
	}
	if (f->to.place == a->stock->sold)
		count(a, f->to.lot, SOLD, f->n);
	if (f->from.place == a->stock->sold)
		count(a, f->from.lot, SOLD, -f->n);
}

void stock_audit_flow(void *context, const struct stock_flow *f)
{
	struct stock_audit *a = context;

	switch (f->change) {
	case STOCK_BORN:
		count(a, f->to.lot, IN, f->n);
		break;
	case STOCK_FOUND:
		count(a, f->to.lot, FOUND, f->n);
		break;
	case STOCK_LOST:
		count(a, f->to.lot, CULLED, f->n);
		break;
	case STOCK_JOINED:
		count(a, f->from.lot, INTO_BATS, f->n);
		if (f->from.form == FORM_BLADE)
			count(a, f->to.lot, IN, f->n);
		break;
	case STOCK_GONE_ON:
		count_gone_on(a, f);
		break;
	case STOCK_CAME_OFF:
		count(a, f->from.lot, INTO_BATS, -f->n);
		count(a, f->from.lot, CULLED, f->n);
		break;
	}
}

void stock_audit_end(struct stock_audit *a)
{
	size_t nbuckets;
	const struct stock_bucket *b = stock_buckets(a->stock, &nbuckets);

	for (size_t i = 0; i < nbuckets; i++)
		if (b[i].kind.place != a->stock->sold)
			count(a, b[i].kind.lot, THERE, b[i].n);
}

/* ---- the table */

struct named_lot {
	struct slice name;
	const struct audited_lot *lot;
	bool doubtful;             /* a line about it could not be applied */
};

static int by_name(const void *a, const void *b)
{
	return slice_cmp(((const struct named_lot *)a)->name, ((const struct named_lot *)b)->name);
}

static bool has_counts(const struct audited_lot *u)
{
	int k = 0;

	while (k < COUNTS && !u->n[k])
		k++;
	return k < COUNTS;
}

/* The lots that have something to show, sorted; the caller frees them. */
static struct named_lot *lots_by_name(const struct stock_audit *a, size_t *n)
{
	struct named_lot *lot = mem_array(a->nlots, sizeof *lot);

	*n = 0;
	for (uint32_t id = 1; id < a->nlots; id++)
		if (has_counts(&a->lot[id]))
			lot[(*n)++] = (struct named_lot){ stock_text(a->stock, id), &a->lot[id], stock_is_doubtful(a->stock, id) };
	if (*n)
		qsort(lot, *n, sizeof *lot, by_name);
	return lot;
}

static bool adds_up(const struct named_lot *lot)
{
	const int64_t *n = lot->lot->n;

	return !lot->doubtful && n[IN] + n[FOUND] + n[POOLED_IN] - n[POOLED_OUT] - n[INTO_BATS] - n[CULLED] - n[SOLD] == n[THERE];
}

/* "Everything adds up: 444 lots.", or the first lots that do not. */
static void say_audit(const struct named_lot *lot, size_t n, struct table *t)
{
	enum { NAMED = 5 };
	struct buf text = BUF_INIT, names = BUF_INIT;
	int64_t wrong = 0;

	for (size_t i = 0; i < n; i++)
		if (!adds_up(&lot[i]) && wrong++ < NAMED) {
			buf_str(&names, wrong > 1 ? ", " : "");
			buf_add(&names, lot[i].name);
		}
	if (wrong)
		buf_printf(&text, "%lld of ", (long long)wrong);
	else
		buf_str(&text, "Everything adds up: ");
	stock_say_count(&text, (int64_t)n, SLICE("lot"));
	if (wrong) {
		buf_str(&text, wrong == 1 ? " does not add up: " : " do not add up: ");
		buf_add(&text, buf_slice(&names));
		if (wrong > NAMED)
			buf_printf(&text, " and %lld more", (long long)wrong - NAMED);
	}
	buf_char(&text, '.');
	table_finding(t, buf_slice(&text));
	buf_release(&names);
	buf_release(&text);
}

void stock_audit_view(const struct stock_audit *a, int32_t today, struct table *t)
{
	static const struct table_column COLUMNS[] = { { "as_of", TABLE_DATE, 0, NULL }, { "lot", TABLE_TEXT, 0, "lot" }, { "in", TABLE_INT, 0, "came in" },
		{ "found", TABLE_INT, 0, "found" }, { "pooled_in", TABLE_INT, 0, "pooled in" }, { "pooled_out", TABLE_INT, 0, "pooled out" },
		{ "into_bats", TABLE_INT, 0, "into bats" }, { "culled", TABLE_INT, 0, "culled" }, { "sold", TABLE_INT, 0, "sold" },
		{ "there", TABLE_INT, 0, "still there" }, { "adds_up", TABLE_TEXT, 0, "adds up" } };
	size_t n;
	struct named_lot *lot = lots_by_name(a, &n);

	table_init(t, COLUMNS, sizeof COLUMNS / sizeof *COLUMNS);
	for (size_t i = 0; i < n; i++) {
		stock_cell_day(t, today);
		table_text(t, lot[i].name);
		for (int k = 0; k < COUNTS; k++)
			table_int(t, lot[i].lot->n[k]);
		table_cstr(t, adds_up(&lot[i]) ? "yes" : "no");
	}
	say_audit(lot, n, t);
	table_note(t, SLICE("in pieces; came in + found + pooled in = pooled out + into bats + culled + sold + still there; no: a line about the lot could not be applied"));
	free(lot);
}
