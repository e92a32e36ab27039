/* table_read.c: cells come back as they were put, and copies print the same bytes. */
#include <math.h>

#include "table/table_read.h"
#include "table/table.h"
#include "check.h"

static const struct table_column columns[] = {
	{ "lot", TABLE_TEXT, 0, "lot" }, { "as_of", TABLE_DATE, 0, NULL }, { "count", TABLE_INT, 0, "count" },
	{ "mc_pct", TABLE_REAL, 1, "MC" }, { "price", TABLE_FIXED, 1, "price" },
};

enum { COLUMNS = sizeof columns / sizeof *columns };

static void fill(struct table *t)
{
	table_init(t, columns, COLUMNS);
	table_text(t, SLICE("L061"));
	table_date(t, SLICE("2026-12-31"));
	table_int(t, -7);
	table_real(t, 9.3125);
	table_fixed(t, 12345, 2);
	table_text(t, SLICE(""));
	table_rest_absent(t);
}

static void check_cells(const struct table *t)
{
	CHECK(slice_eq(table_word(t, 0, "lot"), SLICE("L061")));
	CHECK(slice_eq(table_word(t, 0, "as_of"), SLICE("2026-12-31")));
	CHECK(table_count(t, 0, "count") == -7);
	CHECK(table_figure(t, 0, "count") == -7);
	CHECK(table_figure(t, 0, "mc_pct") == 9.3125);
	CHECK(fabs(table_figure(t, 0, "price") - 123.45) < 1e-9);
	/* a word is no figure, a figure is no word, a real is no count */
	CHECK(isnan(table_figure(t, 0, "lot")));
	CHECK(table_word(t, 0, "count").n == 0);
	CHECK(table_count(t, 0, "mc_pct") == 0);
}

static void check_absent(const struct table *t)
{
	const char *const names[] = { "lot", "as_of", "count", "mc_pct", "price" };

	for (size_t i = 0; i < COLUMNS; i++) {
		CHECK(table_has(t, 0, names[i]));
		CHECK(!table_has(t, 1, names[i]));
	}
	CHECK(!table_has(t, 0, "grade"));
	CHECK(!table_has(t, 2, "lot"));
	CHECK(table_word(t, 1, "lot").n == 0);
	CHECK(isnan(table_figure(t, 1, "mc_pct")));
	CHECK(table_count(t, 1, "count") == 0);
}

static void check_copies(const struct table *t)
{
	struct buf a = BUF_INIT, b = BUF_INIT;
	struct table copy;

	table_init(&copy, columns, COLUMNS);
	for (size_t row = 0; row < table_rows(t); row++)
		for (size_t i = 0; i < COLUMNS; i++)
			table_copy_cell(&copy, t, row, columns[i].name);
	for (int form = TABLE_AS_TSV; form <= TABLE_AS_HTML; form++) {
		a.n = b.n = 0;
		table_write(t, (struct table_style){ .form = (enum table_form)form }, &a);
		table_write(&copy, (struct table_style){ .form = (enum table_form)form }, &b);
		CHECK(form == TABLE_AS_JSON || slice_eq(buf_slice(&a), buf_slice(&b)));
	}
	table_release(&copy);
	buf_release(&a);
	buf_release(&b);
}

int main(void)
{
	struct table t;

	fill(&t);
	check_cells(&t);
	check_absent(&t);
	check_copies(&t);
	table_release(&t);
	return check_end();
}
