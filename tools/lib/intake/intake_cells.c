#include "intake/decimal_comma.h"
#include "intake/intake_internal.h"

/* --- the text of a cell ----------------------------------------------------------------------- */

/* A cell's text as UTF-8 without blanks around; empty where the row has no such cell. */
struct slice intake_cell_text(struct source *s, size_t index, struct buf *scratch)
{
	if (index >= s->ncells)
		return (struct slice){ "", 0 };
	return cell_number_trim(csv_utf8(s->csv.style.encoding, s->cell[index].text, scratch));
}

struct slice intake_column_text(struct source *s, int column)
{
	return intake_cell_text(s, s->at[column], &s->scratch);
}

/* The text of the time: one cell, or those of date and time with a blank between. */
struct slice intake_time_text(struct source *s)
{
	s->time_text.n = 0;
	for (size_t i = 0; i < s->m->ntime; i++) {
		if (i)
			buf_char(&s->time_text, ' ');
		buf_add(&s->time_text, intake_column_text(s, s->m->time_column[i]));
	}
	return buf_slice(&s->time_text);
}

/* --- a comma that is both separator and decimal mark ------------------------------------------ */

/* What the mapping says of a column's decimals: -1 nothing. */
static int column_decimals(const struct source *s, size_t index)
{
	for (size_t i = 0; i < s->m->nentries; i++)
		for (size_t k = 0; k < s->m->entry[i].nfields; k++)
			for (size_t j = 0; j < s->m->entry[i].field[k].n; j++) {
				const struct map_item *it = &s->m->entry[i].field[k].item[j];

				if (it->fed && s->at[it->cell.column] == index)
					return it->cell.decimals;
			}
	return -1;
}

static bool is_time_column(const struct source *s, size_t index)
{
	for (size_t i = 0; i < s->m->ntime; i++)
		if (s->at[s->m->time_column[i]] == index)
			return true;
	return false;
}

static void start_fit(struct source *s)
{
	s->fit = mem_zeroed(1, sizeof *s->fit);
	s->commas_column = mem_zeroed(s->ncols, sizeof *s->commas_column);
	for (size_t i = 0; i < s->ncols; i++) {
		s->commas_column[i].decimals = column_decimals(s, i);
		s->commas_column[i].whole = is_time_column(s, i);
	}
}

/* True when the row's cells are the columns' now; else the fault is noted. */
static bool fit_commas(struct source *s, const struct csv_row *row, size_t n)
{
	int ways;

	if (!s->fit)
		start_fit(s);
	ways = decimal_comma_row(s->fit, s->commas_column, s->ncols, row->cell, n);
	if (ways == 1) {
		s->cell = s->fit->cell;
		s->ncells = s->ncols;
		return true;
	}
	if (ways)
		buf_str(intake_fault(s, SIZE_MAX), "its decimal commas can be read in more than one way; give the `decimals` of each column");
	else
		buf_printf(intake_fault(s, SIZE_MAX), "%zu cells do not fit %zu columns, with or without decimal commas", n, s->ncols);
	return false;
}

/* --- the width of a row ------------------------------------------------------------------------- */

static bool is_numeric(struct slice s)
{
	s = cell_number_trim(s);
	return s.n && ((s.p[0] >= '0' && s.p[0] <= '9') || (s.n > 1 && s.p[0] == '-'));
}

size_t intake_used_cells(const struct csv_row *row)
{
	size_t n = row->n;

	while (n && !cell_number_trim(row->cell[n - 1].text).n)
		n--;
	return n;
}

static bool is_comma_mess(const struct source *s)
{
	return s->m->numbers.decimal == ',' && s->csv.style.separator_n == 1 && s->csv.style.separator[0] == ',';
}

/* Takes the row's cells; false with the fault noted if they cannot be separated. */
bool intake_take_cells(struct source *s, const struct csv_row *row)
{
	size_t n = intake_used_cells(row);

	s->cell = row->cell;
	s->ncells = row->n;
	if (!s->ncols)
		s->ncols = s->csv.expect = row->n;
	if (is_comma_mess(s) && n >= s->ncols)
		return fit_commas(s, row, n);
	for (size_t i = s->ncols; i < n; i++)
		if (is_numeric(row->cell[i].text)) {
			buf_printf(intake_fault(s, i), "the row has %zu cells, but the header row has %zu%s", n, s->ncols,
				s->csv.style.separator[0] == ',' && s->csv.style.separator_n == 1 ?
				"; if its numbers have decimal commas, write `decimal-mark: \",\"`" : "");
			return false;
		}
	if (row->unended && row->n < s->ncols) {
		buf_str(intake_fault(s, SIZE_MAX), "the file's last row is cut short");
		return false;
	}
	return true;
}
