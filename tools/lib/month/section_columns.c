#include "month/section_columns.h"

#include "table/table.h"
#include "table/table_read.h"

static unsigned places_of(const struct section_column *c)
{
	return c->show == PERCENT ? c->places : c->show == HUNDREDTHS ? 2 : c->show == TENTHS;
}

void section_start(struct table *to, const struct section_column *c, size_t n)
{
	table_init(to, NULL, 0);
	for (size_t k = 0; k < n; k++) {
		enum table_type type = c[k].show == WORD ? TABLE_TEXT : c[k].show == COUNT ? TABLE_INT : TABLE_REAL;

		table_add_column(to, c[k].from ? c[k].from : "", type, places_of(&c[k]));
		table_heading(to, c[k].heading);
	}
}

static void put_written(struct table *to, const struct section_column *c, const struct table *from, size_t row)
{
	struct buf text = BUF_INIT;

	c->write(from, row, &text);
	if (text.n)
		table_text(to, buf_slice(&text));
	else
		table_absent(to);
	buf_release(&text);
}

void section_row(struct table *to, const struct section_column *c, size_t n, const struct table *from, size_t row)
{
	for (size_t k = 0; k < n; k++)
		if (c[k].write)
			put_written(to, &c[k], from, row);
		else if (c[k].show == PERCENT)
			table_real(to, 100 * table_figure(from, row, c[k].from));
		else
			table_copy_cell(to, from, row, c[k].from);
}

void section_all(struct table *to, const struct section_column *c, size_t n, const struct table *from)
{
	section_start(to, c, n);
	for (size_t row = 0; row < table_rows(from); row++)
		section_row(to, c, n, from, row);
}

void section_range(struct buf *out, const struct table *t, size_t row, const char *low, const char *high, int places, double scale)
{
	if (table_has(t, row, low))
		buf_printf(out, "%.*f..%.*f", places, scale * table_figure(t, row, low), places, scale * table_figure(t, row, high));
}
