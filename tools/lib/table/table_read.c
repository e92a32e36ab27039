#include "table/table_read.h"

#include <math.h>

#include "table/table_internal.h"

/* NULL for a cell that holds nothing. */
static const struct table_cell *cell_of(const struct table *t, size_t row, const char *column)
{
	const struct table_cell *cell;

	for (size_t i = 0; i < t->n_columns; i++)
		if (strcmp(t->columns[i].name, column) == 0) {
			cell = table_cell_at(t, row, i);
			return cell->kind == TABLE_ABSENT || (table_is_text(cell) && !cell->n) ? NULL : cell;
		}
	return NULL;
}

bool table_has(const struct table *t, size_t row, const char *column)
{
	return cell_of(t, row, column) != NULL;
}

struct slice table_word(const struct table *t, size_t row, const char *column)
{
	const struct table_cell *cell = cell_of(t, row, column);

	return cell && table_is_text(cell) ? table_text_of(t, cell) : SLICE("");
}

double table_figure(const struct table *t, size_t row, const char *column)
{
	const struct table_cell *cell = cell_of(t, row, column);

	if (!cell || table_is_text(cell))
		return NAN;
	if (cell->kind == TABLE_REAL)
		return cell->v.d;
	return cell->kind == TABLE_FIXED ? (double)cell->v.i / pow(10, cell->places) : (double)cell->v.i;
}

int64_t table_count(const struct table *t, size_t row, const char *column)
{
	const struct table_cell *cell = cell_of(t, row, column);

	return cell && cell->kind == TABLE_INT ? cell->v.i : 0;
}

void table_copy_cell(struct table *to, const struct table *from, size_t row, const char *column)
{
	const struct table_cell *cell = cell_of(from, row, column);

	if (!cell)
		table_absent(to);
	else if (cell->kind == TABLE_DATE)
		table_date(to, table_text_of(from, cell));
	else if (table_is_text(cell))
		table_text(to, table_text_of(from, cell));
	else if (cell->kind == TABLE_INT)
		table_int(to, cell->v.i);
	else if (cell->kind == TABLE_FIXED)
		table_fixed(to, cell->v.i, cell->places);
	else
		table_real(to, cell->v.d);
}
