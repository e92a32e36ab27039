#include "month/charge_readings.h"

#include <stdlib.h>

#include "table/table.h"
#include "table/table_read.h"

/* Words, each once, in order. */
struct names {
	struct slice *name;
	size_t n, cap;
};

static int by_name(const void *a, const void *b)
{
	return slice_cmp(*(const struct slice *)a, *(const struct slice *)b);
}

static bool is_reading(const struct table *curve, size_t row)
{
	return slice_starts(table_word(curve, row, "kind"), SLICE("at"));
}

/* What was read: a probe, or else how. */
static struct slice what_of(const struct table *curve, size_t row)
{
	return table_has(curve, row, "probe") ? table_word(curve, row, "probe") : table_word(curve, row, "source");
}

static struct slice date_of(const struct table *curve, size_t row)
{
	return table_word(curve, row, "date");
}

static struct names names_of(const struct table *curve, struct slice name(const struct table *curve, size_t row))
{
	struct names all = { NULL, 0, 0 };
	size_t kept = 0;

	for (size_t row = 0; row < table_rows(curve); row++)
		if (is_reading(curve, row)) {
			all.name = mem_grow(all.name, &all.cap, all.n + 1, sizeof *all.name);
			all.name[all.n++] = name(curve, row);
		}
	if (all.n)
		qsort(all.name, all.n, sizeof *all.name, by_name);
	for (size_t i = 0; i < all.n; i++)
		if (!i || !slice_eq(all.name[i], all.name[i - 1]))
			all.name[kept++] = all.name[i];
	all.n = kept;
	return all;
}

static void put_reading(const struct table *curve, size_t row, struct table *t)
{
	struct buf text = BUF_INIT;

	if (slice_eq(table_word(curve, row, "kind"), SLICE("at"))) {
		table_real(t, table_figure(curve, row, "mc_pct"));
		return;
	}
	buf_str(&text, slice_eq(table_word(curve, row, "kind"), SLICE("at-least")) ? "over " : "under ");
	buf_printf(&text, "%.1f", table_figure(curve, row, "mc_pct"));
	table_text(t, buf_slice(&text));
	buf_release(&text);
}

static void put_cell(const struct table *curve, struct slice date, struct slice what, struct table *t)
{
	size_t found = table_rows(curve);

	for (size_t row = 0; row < table_rows(curve); row++)
		if (is_reading(curve, row) && slice_eq(date_of(curve, row), date) && slice_eq(what_of(curve, row), what))
			found = row;
	if (found < table_rows(curve))
		put_reading(curve, found, t);
	else
		table_absent(t);
}

/* Whether the name is that of a probe: "probe a", but "oven". */
static bool is_probe(const struct table *curve, struct slice what)
{
	for (size_t row = 0; row < table_rows(curve); row++)
		if (is_reading(curve, row) && slice_eq(table_word(curve, row, "probe"), what))
			return true;
	return false;
}

static void start(const struct table *curve, const struct names *what, struct table *t)
{
	struct buf name = BUF_INIT;

	table_init(t, NULL, 0);
	table_add_column(t, "date", TABLE_DATE, 0);
	table_heading(t, "date");
	for (size_t i = 0; i < what->n; i++) {
		name.n = 0;
		buf_str(&name, is_probe(curve, what->name[i]) ? "probe " : "");
		buf_add(&name, what->name[i]);
		table_add_column(t, buf_cstr(&name), TABLE_REAL, 1);
		table_heading(t, buf_cstr(&name));
	}
	buf_release(&name);
}

void charge_readings(const struct table *curve, size_t most, struct table *t)
{
	struct names date = names_of(curve, date_of), what = names_of(curve, what_of);

	start(curve, &what, t);
	for (size_t i = date.n > most ? date.n - most : 0; i < date.n; i++) {
		table_date(t, date.name[i]);
		for (size_t k = 0; k < what.n; k++)
			put_cell(curve, date.name[i], what.name[k], t);
	}
	free(date.name);
	free(what.name);
}
