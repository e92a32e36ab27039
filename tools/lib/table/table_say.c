#include "table/table_say.h"

#include "table/table_internal.h"

/* "8.4..9.4" is read as two numbers. */
static void say_value(struct slice value, struct buf *out)
{
	for (size_t i = 0; i < value.n; i++) {
		if (i && i + 2 < value.n && value.p[i] == '.' && value.p[i + 1] == '.') {
			buf_str(out, " to ");
			i++;
		} else {
			buf_char(out, value.p[i]);
		}
	}
}

/* Where the unit of a heading starts: after its last comma. */
static size_t unit_of(struct slice heading)
{
	size_t at = heading.n;

	while (at && heading.p[at - 1] != ',')
		at--;
	return at ? at - 1 : heading.n;
}

/* "grade 1" of a column whose heading is "1" and whose name ends with it; else the heading. */
static void add_heading(struct buf *out, const struct table *t, size_t column)
{
	struct slice name = slice_of(t->columns[column].name), heading;
	size_t start = out->n;

	table_add_name(out, t, column, TABLE_AS_TEXT);
	heading = slice_from(buf_slice(out), start);
	if (heading.n && name.n > heading.n + 1 && name.p[name.n - heading.n - 1] == ' ' && slice_eq(slice_from(name, name.n - heading.n), heading)) {
		out->n = start;
		buf_add(out, name);
	}
}

static void say_cell(struct slice heading, struct slice value, struct buf *out)
{
	size_t unit = unit_of(heading);

	buf_add(out, slice_upto(heading, unit));
	if (unit)
		buf_str(out, heading.p[unit - 1] >= '0' && heading.p[unit - 1] <= '9' ? ": " : " ");
	say_value(value, out);
	if (unit < heading.n)
		buf_add(out, slice_from(heading, unit + 1));
}

static void say_row(const struct table *t, size_t row, struct buf *out)
{
	struct buf heading = BUF_INIT, value = BUF_INIT;
	bool any = false;

	for (size_t i = 0; i < t->n_columns; i++) {
		const struct table_cell *cell = table_cell_at(t, row, i);

		heading.n = value.n = 0;
		if (cell->kind == TABLE_ABSENT)
			continue;
		add_heading(&heading, t, i);
		table_add_cell(&value, t, cell, TABLE_AS_TEXT);
		if (!value.n)
			continue;
		buf_str(out, any ? (heading.n ? ", " : " ") : "");
		say_cell(buf_slice(&heading), buf_slice(&value), out);
		any = true;
	}
	buf_char(out, '\n');
	buf_release(&heading);
	buf_release(&value);
}

void table_say(const struct table *t, struct buf *out)
{
	for (size_t row = 0; row < table_rows_held(t); row++)
		say_row(t, row, out);
}
