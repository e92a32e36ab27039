#include "base/escape.h"
#include "table/number_text.h"
#include "table/table_internal.h"

static const struct table_cell absent_cell = { .kind = TABLE_ABSENT };

const struct table_cell *table_cell_at(const struct table *t, size_t row, size_t column)
{
	size_t at = row * t->n_columns + column;

	return at < t->n_cells ? &t->cells[at] : &absent_cell;
}

/* Rows with the last one, which may lack cells. */
size_t table_rows_held(const struct table *t)
{
	return t->n_columns ? (t->n_cells + t->n_columns - 1) / t->n_columns : 0;
}

bool table_is_number(enum table_type type)
{
	return type == TABLE_INT || type == TABLE_FIXED || type == TABLE_REAL;
}

bool table_is_text(const struct table_cell *cell)
{
	return cell->kind == TABLE_TEXT || cell->kind == TABLE_DATE;
}

struct slice table_text_of(const struct table *t, const struct table_cell *cell)
{
	return (struct slice){ cell->n ? t->texts.p + cell->v.at : "", cell->n };
}

static void add_exact(struct buf *b, const struct table_cell *cell)
{
	if (cell->kind == TABLE_INT)
		buf_int(b, cell->v.i);
	else if (cell->kind == TABLE_FIXED)
		buf_fixed(b, cell->v.i, cell->places);
	else if (cell->kind == TABLE_REAL)
		buf_real(b, cell->v.d);
}

static bool is_percent(unsigned char places)
{
	return places != TABLE_EXACT && places & TABLE_PERCENT;
}

static void add_shown(struct buf *b, const struct table_cell *cell)
{
	bool flags = cell->shown != TABLE_EXACT;
	double v = cell->kind == TABLE_REAL && is_percent(cell->shown) ? 100 * cell->v.d : 0;
	unsigned places = flags ? cell->shown & ~(unsigned)(TABLE_DOWN | TABLE_PERCENT) : TABLE_EXACT;

	if (cell->kind == TABLE_REAL && !is_percent(cell->shown))
		v = cell->v.d;
	if (cell->kind == TABLE_FIXED)
		buf_fixed_shown(b, cell->v.i, cell->places, cell->shown);
	else if (cell->kind == TABLE_REAL && flags && cell->shown & TABLE_DOWN)
		buf_real_down(b, v, places);
	else if (cell->kind == TABLE_REAL)
		buf_real_shown(b, v, places);
	else
		add_exact(b, cell);
}

const struct table_dress table_dresses[] = {
	[TABLE_AS_TEXT] = { utf8_add_visible, utf8_add_visible, true },
	[TABLE_AS_TSV] = { buf_tsv, buf_tsv, false },
	[TABLE_AS_CSV] = { buf_csv, buf_csv, false },
	[TABLE_AS_JSON] = { buf_json, buf_json, false },
	[TABLE_AS_MD] = { buf_md, buf_md_name, true },
	[TABLE_AS_HTML] = { buf_html, buf_html, true },
};

void table_add_cell(struct buf *b, const struct table *t, const struct table_cell *cell, enum table_form form)
{
	if (table_is_text(cell))
		table_dresses[form].text(b, table_text_of(t, cell));
	else if (table_dresses[form].rounded)
		add_shown(b, cell);
	else
		add_exact(b, cell);
}

void table_add_name(struct buf *b, const struct table *t, size_t column, enum table_form form)
{
	const struct table_column *c = &t->columns[column];

	table_dresses[form].name(b, slice_of(table_dresses[form].rounded && c->heading ? c->heading : c->name));
	if (table_dresses[form].rounded && !c->heading && is_percent(c->places))
		buf_str(b, ", %");
}
