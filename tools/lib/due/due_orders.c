#include "due/due_orders.h"

#include <stdlib.h>

#include "due/due_book.h"
#include "table/table_read.h"

/* ---- an item of an order */

/* "(1 in stock, 7 to make)": where the pieces are that are still open. */
static void write_cover(const struct table *t, size_t i, struct buf *out)
{
	static const struct {
		const char *column, *word;
	} parts[] = { { "in_stock", "in stock" }, { "to_make", "to make" }, { "short", "short" } };
	bool any = false;

	if (table_count(t, i, "in_stock") == table_count(t, i, "open") || table_count(t, i, "short") == table_count(t, i, "open")) {
		buf_str(out, table_count(t, i, "short") ? " (none in stock)" : " (all in stock)");
		return;
	}
	for (size_t k = 0; k < sizeof parts / sizeof *parts; k++) {
		if (!table_count(t, i, parts[k].column))
			continue;
		buf_printf(out, "%s%lld %s", any ? ", " : " (", (long long)table_count(t, i, parts[k].column), parts[k].word);
		any = true;
	}
	buf_char(out, ')');
}

static void write_item(const struct table *t, size_t i, struct buf *out)
{
	int64_t open = table_count(t, i, "open");

	buf_printf(out, "%lld ", (long long)open);
	if (table_has(t, i, "type")) {
		buf_add(out, table_word(t, i, "type"));
		buf_char(out, ' ');
	}
	if (table_has(t, i, "grade")) {
		buf_str(out, "grade ");
		buf_add(out, table_word(t, i, "grade"));
		buf_char(out, ' ');
	}
	buf_add(out, table_word(t, i, "form"));
	buf_str(out, PLURAL(open, "", "s"));
	write_cover(t, i, out);
}

/* ---- what would fill what is short */

/* The pieces from which blades of a type can come: ungraded blades, and clefts. */
static bool can_become(const struct due_book *b, const struct stock_bucket *from, struct slice type)
{
	bool raw = from->kind.form == FORM_CLEFT || (from->kind.form == FORM_BLADE && !from->kind.grade);

	return from->n > 0 && raw && from->kind.place != b->stock->sold && from->kind.place != b->stock->culled
		&& (!type.n || slice_eq(stock_text(b->stock, from->kind.type), type));
}

static int64_t count_in(const struct due_book *b, struct slice place, struct slice type)
{
	size_t n;
	const struct stock_bucket *bucket = stock_buckets(b->stock, &n);
	int64_t sum = 0;

	for (size_t i = 0; i < n; i++)
		if (can_become(b, &bucket[i], type) && slice_eq(stock_text(b->stock, bucket[i].kind.place), place))
			sum += bucket[i].n;
	return sum;
}

/* Those in no charge. */
static int64_t count_outside(const struct due_book *b, struct slice type)
{
	size_t n;
	const struct stock_bucket *bucket = stock_buckets(b->stock, &n);
	int64_t sum = 0;

	for (size_t i = 0; i < n; i++)
		if (can_become(b, &bucket[i], type) && !due_book_is_charge(b, stock_text(b->stock, bucket[i].kind.place)))
			sum += bucket[i].n;
	return sum;
}

/* When it may be ready: "ready", or the days of the 90 % range. */
static void write_when(const struct table *t, size_t charge, struct buf *out)
{
	if (!table_has(t, charge, "ready_90_from")) {
		buf_add(out, table_word(t, charge, "verdict"));
		return;
	}
	buf_str(out, "ready from ");
	buf_add(out, table_word(t, charge, "ready_90_from"));
	if (table_has(t, charge, "ready_90_to")) {
		buf_str(out, " to ");
		buf_add(out, table_word(t, charge, "ready_90_to"));
	}
}

/* The open charge that holds pieces of the type and may be ready first; the number of rows for none. */
static size_t first_charge(const struct due_book *b, struct slice type)
{
	const struct table *t = &b->is.charges;
	size_t best = table_rows(t);

	for (size_t i = 0; i < table_rows(t); i++) {
		bool sooner = best == table_rows(t) || slice_eq(table_word(t, i, "verdict"), SLICE("ready"))
			|| (table_has(t, i, "ready_90_from") && table_has(t, best, "ready_90_from")
				&& slice_cmp(table_word(t, i, "ready_90_from"), table_word(t, best, "ready_90_from")) < 0);

		if (sooner && count_in(b, table_word(t, i, "charge"), type))
			best = i;
	}
	return best;
}

static const char IN_TIME[] = ", before it is due";

/* Whether it is ready by the day of the order. */
static const char *in_time(const struct table *t, size_t charge, struct slice due)
{
	if (!due.n || !table_has(t, charge, "ready_90_from"))
		return "";
	if (slice_cmp(table_word(t, charge, "ready_90_from"), due) > 0)
		return ", after it is due";
	return table_has(t, charge, "ready_90_to") && slice_cmp(table_word(t, charge, "ready_90_to"), due) <= 0 ? IN_TIME : ", perhaps after it is due";
}

static void write_fill(const struct due_book *b, struct slice type, struct slice due, struct buf *out)
{
	const struct table *t = &b->is.charges;
	size_t charge = first_charge(b, type);
	int64_t outside = count_outside(b, type);

	if (charge < table_rows(t)) {
		buf_add(out, table_word(t, charge, "charge"));
		buf_printf(out, " holds %lld", (long long)count_in(b, table_word(t, charge, "charge"), type));
	} else {
		buf_str(out, "no charge holds any");
	}
	if (type.n) {
		buf_char(out, ' ');
		buf_add(out, type);
	}
	if (charge < table_rows(t)) {
		buf_str(out, " of any grade, ");
		write_when(t, charge, out);
		buf_str(out, in_time(t, charge, due));
	} else if (outside) {
		buf_printf(out, "; %lld outside the kilns could become some", (long long)outside);
	}
}

/* ---- orders */

/* Handles are bought. */
static bool is_from_charge(const struct table *t, size_t i)
{
	return table_count(t, i, "short") && !slice_eq(table_word(t, i, "form"), SLICE("handle"));
}

/* Whether an item before it, of the same order, is short of the same type: that is said once. */
static bool is_said(const struct table *t, size_t first, size_t i)
{
	for (size_t k = first; k < i; k++)
		if (is_from_charge(t, k) && slice_eq(table_word(t, k, "type"), table_word(t, i, "type")))
			return true;
	return false;
}

static bool ends_in_time(const struct buf *fill)
{
	size_t n = sizeof IN_TIME - 1;

	return fill->n >= n && !memcmp(fill->p + fill->n - n, IN_TIME, n);
}

/* Adds what would fill an item; the result is whether it comes in time, or nothing is short. */
static bool add_fill(const struct due_book *b, size_t first, size_t i, struct buf *fill)
{
	const struct table *t = &b->is.orders;

	if (!is_from_charge(t, i))
		return !table_count(t, i, "short");
	if (is_said(t, first, i))
		return true;
	buf_str(fill, fill->n ? "; " : "");
	write_fill(b, table_word(t, i, "type"), table_word(t, i, "due"), fill);
	return ends_in_time(fill);
}

static const char *action_for(const struct due *d, int32_t due, int64_t missing, int64_t to_make, bool in_time_all)
{
	if (missing)
		return in_time_all ? "see that the charge fills it" : "make up what is short, or tell the customer";
	if (to_make)
		return "make the rest";
	return due < d->days.today ? "deliver it" : "prepare it";
}

static void find_order(struct due *d, struct due_book *b, size_t first, size_t end)
{
	const struct table *t = &b->is.orders;
	struct buf fill = BUF_INIT;
	struct due_item *item;
	int64_t missing = 0, to_make = 0;
	bool in_time_all = true;
	int32_t due;

	if (date_read(table_word(t, first, "due"), &due) != DATE_OK)
		due = INT32_MAX;
	for (size_t i = first; i < end; i++) {
		if (due <= d->days.until || table_count(t, i, "short")) {
			buf_str(&d->text, d->text.n ? ", " : "");
			write_item(t, i, &d->text);
		}
		missing += table_count(t, i, "short");
		to_make += table_count(t, i, "to_make");
		in_time_all &= add_fill(b, first, i, &fill);
	}
	item = due_add(d, DUE_ORDER, missing ? "short" : "open", table_word(t, first, "order"), action_for(d, due, missing, to_make, in_time_all));
	item->party = due_text(d, table_word(t, first, "to"));
	item->fill = due_text(d, buf_slice(&fill));
	item->day = item->last = due;
	item->overdue = due < d->days.today;
	item->ahead = missing > 0;
	item->line = due_lines_last(&b->lines, "order", item->subject, SLICE(""));
	item->who = d->house && d->house->care.orders.n ? &d->house->care.orders : NULL;
	buf_release(&fill);
}

/* The items of one order follow each other. If it is not due yet, only those that are short are listed. */
void due_orders_find(struct due *d, struct due_book *b)
{
	const struct table *t = &b->is.orders;

	for (size_t i = 0, end; i < table_rows(t); i = end) {
		for (end = i + 1; end < table_rows(t) && slice_eq(table_word(t, i, "order"), table_word(t, end, "order"));)
			end++;
		find_order(d, b, i, end);
	}
}
