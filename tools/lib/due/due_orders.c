#include "due/due_orders.h"

#include <stdlib.h>

#include "due/due_book.h"
#include "stock/stock_say.h"
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

/* "S6 grade 1 light ", what there is of it. */
static void write_sort(const struct table *t, size_t i, struct buf *out)
{
	if (table_has(t, i, "type")) {
		buf_add(out, table_word(t, i, "type"));
		buf_char(out, ' ');
	}
	if (table_has(t, i, "grade")) {
		buf_str(out, "grade ");
		buf_add(out, table_word(t, i, "grade"));
		buf_char(out, ' ');
	}
	if (table_has(t, i, "class")) {
		buf_add(out, table_word(t, i, "class"));
		buf_char(out, ' ');
	}
}

static void write_item(const struct table *t, size_t i, struct buf *out)
{
	int64_t open = table_count(t, i, "open");

	buf_printf(out, "%lld ", (long long)open);
	write_sort(t, i, out);
	buf_add(out, table_word(t, i, "form"));
	buf_str(out, PLURAL(open, "", "s"));
	write_cover(t, i, out);
}

/* ---- what fills what is short */

/* "2028-01-02 to 2028-01-07", the days on which its charge may be dry. */
static void write_days(const struct table *t, size_t i, struct buf *out)
{
	buf_add(out, table_word(t, i, "ready_90_from"));
	if (table_has(t, i, "ready_90_to") && !slice_eq(table_word(t, i, "ready_90_from"), table_word(t, i, "ready_90_to"))) {
		buf_str(out, " to ");
		buf_add(out, table_word(t, i, "ready_90_to"));
	}
}

/* Whether the charge may be dry by the day of the order: "", or what to say of it. */
static const char *lateness(const struct table *t, size_t i)
{
	struct slice due = table_word(t, i, "due");

	if (!due.n || !table_has(t, i, "ready_90_from"))
		return "";
	if (slice_cmp(table_word(t, i, "ready_90_from"), due) > 0)
		return ", after it is due";
	return table_has(t, i, "ready_90_to") && slice_cmp(table_word(t, i, "ready_90_to"), due) <= 0 ? "" : ", perhaps after it is due";
}

/* "K27-09 (dry 2028-01-02 to 2028-01-07) brings ", or "nothing under way brings ". */
static void write_filler(const struct table *t, size_t i, struct buf *out)
{
	if (!table_has(t, i, "charge")) {
		buf_str(out, "nothing under way");
	} else {
		bool stock = slice_eq(table_word(t, i, "charge"), SLICE("stock"));

		buf_add(out, table_word(t, i, "charge"));
		if (!stock && table_has(t, i, "ready_90_from")) {
			buf_str(out, " (dry ");
			write_days(t, i, out);
			buf_str(out, lateness(t, i));
			buf_char(out, ')');
		}
	}
	buf_str(out, " brings ");
}

/* "all 3 S6 grade 1 with a chance of 32 %". */
static void write_filled(const struct table *t, size_t i, struct buf *out)
{
	int64_t missing = table_count(t, i, "short");

	if (missing > 1 && table_has(t, i, "charge"))
		buf_str(out, "all ");
	buf_printf(out, "%lld ", (long long)missing);
	write_sort(t, i, out);
	if (table_has(t, i, "chance")) {
		buf_str(out, "with a chance of ");
		stock_say_chance(out, table_figure(t, i, "chance"));
	}
	while (out->n && out->p[out->n - 1] == ' ')
		out->n--;
}

/* ---- orders */

/* Handles are bought. */
static bool is_from_charge(const struct table *t, size_t i)
{
	return table_count(t, i, "short") && !slice_eq(table_word(t, i, "form"), SLICE("handle"));
}

/* What is under way is taken to fill an item if it is likely to, and in time. */
static const double LIKELY = 0.9;

/* Whether two items of an order are filled by the same, or both by nothing. */
static bool same_filler(const struct table *t, size_t i, size_t k)
{
	return slice_eq(table_word(t, i, "charge"), table_word(t, k, "charge")) && slice_eq(table_word(t, i, "ready_90_from"), table_word(t, k, "ready_90_from")) &&
		slice_eq(table_word(t, i, "ready_90_to"), table_word(t, k, "ready_90_to"));
}

/*
 * Adds what fills an item; what fills `last` too, the item before that is short, is not said again. The result is whether
 * that is likely and in time, or nothing is short.
 */
static bool add_fill(const struct table *t, size_t i, size_t *last, struct buf *fill)
{
	if (!is_from_charge(t, i))
		return !table_count(t, i, "short");
	if (fill->n)
		buf_str(fill, same_filler(t, i, *last) ? ", " : "; ");
	if (!fill->n || !same_filler(t, i, *last))
		write_filler(t, i, fill);
	write_filled(t, i, fill);
	*last = i;
	return table_has(t, i, "chance") && table_figure(t, i, "chance") >= LIKELY && !*lateness(t, i);
}

/* Of wood no blade of which was ever graded it is not said that it brings nothing. */
static void write_unknown(const struct due_book *b, size_t first, size_t end, struct buf *fill)
{
	int64_t n = open_orders_unknown(&b->supply.orders, b->supply.source, first, end);
	bool any = false;

	if (!n)
		return;
	buf_str(fill, fill->n ? "; nobody knows whether the " : "nobody knows whether the ");
	stock_say_count(fill, n, SLICE("piece"));
	buf_str(fill, n == 1 ? " under way brings " : " under way bring ");
	for (size_t i = first; i < end; i++) {
		if (!b->supply.source[i].unknown)
			continue;
		buf_str(fill, any ? ", " : "");
		write_filled(&b->is.orders, i, fill);
		any = true;
	}
	buf_str(fill, ", for no blade was graded yet under the grading scheme in force");
}

static const char *action_for(const struct due *d, int32_t due, int64_t missing, int64_t to_make, bool in_time_all, bool unknown_all)
{
	if (missing && unknown_all && due >= d->days.today)
		return "decide when the first blades are graded";
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
	bool in_time_all = true, unknown_all = true;
	size_t last = first;
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
		unknown_all &= b->supply.source[i].unknown || !table_count(t, i, "short");
		in_time_all &= b->supply.source[i].unknown ? false : add_fill(t, i, &last, &fill);
	}
	write_unknown(b, first, end, &fill);
	item = due_add(d, DUE_ORDER, missing ? "short" : "open", table_word(t, first, "order"), action_for(d, due, missing, to_make, in_time_all, unknown_all));
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
