#include "wood/reckon_rows.h"

#include <ctype.h>
#include <math.h>
#include <stdlib.h>

#include "base/csv.h"
#include "base/escape.h"
#include "base/nearest.h"
#include "table/number_text.h"

void reckon_rows_init(struct reckon_rows *f, const struct reckon_way *way, const struct reckon_house *house)
{
	memset(f, 0, sizeof *f);
	f->way = way;
	f->house = house;
}

void reckon_rows_release(struct reckon_rows *f)
{
	for (int i = 0; i < RECKON_ARGS; i++)
		buf_release(&f->column[i].scratch);
	buf_release(&f->unanswered.reason);
	buf_release(&f->cautions.reason);
	buf_release(&f->error);
	buf_release(&f->why);
	reckoned_release(&f->answer);
}

void reckon_rows_constant(struct reckon_rows *f, int i, struct reckon_input value)
{
	f->in[i] = value;
}

void reckon_rows_column(struct reckon_rows *f, int i, struct slice column)
{
	f->column[i].asked = column;
}

struct csv_style reckon_rows_style(struct reckon_rows *f, struct slice first)
{
	struct slice line = slice_upto(first, slice_find(first, '\n'));
	bool csv = slice_find(line, '\t') == line.n && slice_find(line, ',') < line.n;
	struct csv_style style = { .separator_n = 1, .quote = csv ? '"' : '\0' };

	f->separator = csv ? ',' : '\t';
	f->crlf = line.n && line.p[line.n - 1] == '\r';
	style.separator[0] = f->separator;
	return style;
}

/* ---- the header row */

/* One more thing that is wrong, on a line of its own. */
#define wrong(f, ...) (buf_str(&(f)->error, (f)->error.n ? "\n" : ""), buf_printf(&(f)->error, __VA_ARGS__))

/* The column of that name; -1 when there is none, -2 when there are more. */
static int column_at(const struct csv_row *row, struct slice name)
{
	int at = -1;

	for (size_t i = 0; i < row->n; i++)
		if (slice_eq(row->cell[i].text, name))
			at = at == -1 ? (int)i : -2;
	return at;
}

static void report_no_column(struct reckon_rows *f, const struct csv_row *row, struct slice name)
{
	struct nearest near = nearest_to(name);

	for (size_t i = 0; i < row->n; i++)
		nearest_try(&near, row->cell[i].text);
	wrong(f, "the table has no column '%.*s'%s%.*s%s", (int)name.n, name.p, near.best.n ? "; perhaps " : "",
		(int)near.best.n, near.best.p, near.best.n ? "?" : "");
}

/* The unit of the word at the end of a column's name: temp_c, rh_pct, left_days; -1. */
static int unit_named(struct slice word)
{
	static const struct { const char *word, *unit; } others[] = {
		{ "pct", "%" }, { "hours", "h" }, { "days", "d" }, { "weeks", "w" }, { "c", "C" }, { "f", "F" }, { "kwh", "kWh" },
	};
	int unit;

	for (size_t i = 0; i < sizeof others / sizeof *others; i++)
		if (slice_eq(word, slice_of(others[i].word)))
			word = slice_of(others[i].unit);
	return reckon_type_of_unit(word, &unit) >= 0 ? unit : -1;
}

static int unit_by_name(struct slice column)
{
	for (size_t i = column.n; i-- > 0;)
		if (column.p[i] == '_')
			return unit_named(slice_from(column, i + 1));
	return -1;
}

/* Splits "COLUMN:UNIT" where there is no column of the whole name; the unit, empty when none is given. */
static struct slice split_asked(const struct csv_row *row, struct slice asked, struct slice *name)
{
	size_t colon = asked.n;

	*name = asked;
	if (column_at(row, asked) != -1)
		return slice_from(asked, asked.n);
	for (size_t i = 0; i < asked.n; i++)
		colon = asked.p[i] == ':' ? i : colon;
	*name = slice_upto(asked, colon);
	return slice_from(asked, colon < asked.n ? colon + 1 : colon);
}

static void report_wrong_unit(struct reckon_rows *f, int i, struct slice given)
{
	const struct reckon_arg *arg = &f->way->arg[i];
	struct slice name = f->column[i].name;
	struct buf units = BUF_INIT;

	reckon_units(arg, &units);
	if (given.n)
		wrong(f, "'%.*s' is not a unit of %s%s%s", (int)given.n, given.p, arg->name, units.n ? "; write one of " : "", buf_cstr(&units));
	else
		wrong(f, "the name of the column '%.*s' ends in the unit %.*s, which is not a unit of %s; give the unit: %s=@%.*s:%s",
			(int)name.n, name.p, (int)vocab_unit(f->column[i].unit)->name.n, vocab_unit(f->column[i].unit)->name.p, arg->name,
			arg->name, (int)name.n, name.p, units.n ? "UNIT" : "%");
	buf_release(&units);
}

/* Finds the column of word `i`, and the unit of its numbers. */
static void bind(struct reckon_rows *f, const struct csv_row *row, int i)
{
	const struct reckon_arg *arg = &f->way->arg[i];
	struct slice given = split_asked(row, f->column[i].asked, &f->column[i].name);
	struct slice name = f->column[i].name;

	f->column[i].at = column_at(row, name);
	if (f->column[i].at == -1)
		report_no_column(f, row, name);
	else if (f->column[i].at < 0)
		wrong(f, "the table has more than one column '%.*s'", (int)name.n, name.p);
	f->column[i].unit = given.n ? unit_named(given) : reckon_has_units(arg) ? unit_by_name(name) : -1;
	if ((given.n && f->column[i].unit < 0) || (f->column[i].unit >= 0 && !reckon_takes_unit(arg, f->column[i].unit)))
		report_wrong_unit(f, i, given);
	if (arg->type == RECKON_UNIT)
		wrong(f, "%s= is one unit for the whole column; it cannot change from row to row", arg->name);
}

/* What the answer is in where it follows the first word: that column's unit, the base unit without one. */
static void settle_unit(struct reckon_rows *f)
{
	const struct reckon_arg *arg = &f->way->arg[0];

	if (f->column[0].asked.n)
		f->in[0].unit = f->column[0].unit;
	if (f->in[0].unit < 0)
		f->in[0].unit = arg->type < TYPES_END && vocab_type(arg->type)->nunits ? vocab_type(arg->type)->first_unit : 0;
	f->answer_unit = f->in[0].unit;
}

/* The word that a unit has at the end of a column's name. */
static struct slice unit_word(struct slice unit)
{
	static const struct { const char *unit, *word; } others[] = { { "%", "pct" }, { "d", "days" }, { "1/d", "per_day" } };

	for (size_t i = 0; i < sizeof others / sizeof *others; i++)
		if (slice_eq(unit, slice_of(others[i].unit)))
			return slice_of(others[i].word);
	return unit;
}

static void put_text(const struct reckon_rows *f, struct slice text, struct buf *out)
{
	if (f->separator == ',')
		buf_csv(out, text);
	else
		buf_tsv(out, text);
}

/* wet_bulb and C make wet_bulb_c. */
static void column_name(struct buf *column, struct slice prefix, struct slice name, struct slice unit)
{
	column->n = 0;
	buf_add(column, name);
	if (unit.n)
		buf_char(column, '_');
	buf_add(column, unit_word(unit));
	for (size_t i = 0; i < column->n; i++)
		column->p[i] = (char)tolower((unsigned char)column->p[i]);
	if (prefix.n) {
		struct buf whole = BUF_INIT;

		buf_add(&whole, prefix);
		buf_add(&whole, buf_slice(column));
		buf_release(column);
		*column = whole;
	}
}

static void add_names(struct reckon_rows *f, const struct csv_row *row, struct slice prefix, struct buf *out)
{
	struct buf column = BUF_INIT;

	for (int i = 0; i < reckon_nrows(f->way); i++) {
		struct slice name, unit;

		reckon_row_named(f->way, i, f->in, &name, &unit);
		column_name(&column, prefix, name, unit);
		if (column_at(row, buf_slice(&column)) != -1)
			wrong(f, "the table already has a column '%s'; --prefix=TEXT gives the new columns other names", buf_cstr(&column));
		buf_char(out, f->separator);
		put_text(f, buf_slice(&column), out);
	}
	buf_release(&column);
}

/* Whether the line can be passed on as a row of so many cells. */
static bool row_good(struct reckon_rows *f, const struct csv_row *row)
{
	f->error.n = 0;
	if (slice_starts(row->raw, SLICE("#! incomplete")))
		wrong(f, "the table ends here with '#! incomplete': the program that wrote it failed");
	else if (row->fault)
		wrong(f, row->fault == CSV_TOO_LONG ? "the line is longer than %d bytes" : "the line has more than %d cells",
			row->fault == CSV_TOO_LONG ? CSV_LONGEST : CSV_CELLS);
	else if (row->rewrapped || row->n != f->cells)
		wrong(f, "the line has %zu cell%s, the header row has %zu", row->rewrapped ? 1 : row->n,
			row->rewrapped || row->n == 1 ? "" : "s", f->cells);
	return !f->error.n;
}

static void end_line(const struct reckon_rows *f, struct buf *out)
{
	buf_str(out, f->crlf ? "\r\n" : "\n");
}

bool reckon_rows_names(struct reckon_rows *f, const struct csv_row *row, struct slice prefix, struct buf *out)
{
	f->error.n = 0;
	f->cells = row->n;
	if (!row_good(f, row))
		return false;
	for (int i = 0; i < reckon_nargs(f->way); i++)
		if (f->column[i].asked.n)
			bind(f, row, i);
	if (f->error.n)
		return false;
	settle_unit(f);
	buf_add(out, row->raw);
	add_names(f, row, prefix, out);
	end_line(f, out);
	return !f->error.n;
}

/* ---- the rows of values */

static void tell(struct reckon_report *t, const struct csv_row *row, struct slice reason)
{
	if (t->rows++)
		return;
	t->line = row->line;
	buf_add(&t->reason, reason);
}

/* Reads a cell for word `i`; false, and f->why, when it cannot be. */
static bool take_cell(struct reckon_rows *f, const struct csv_row *row, int i)
{
	const struct reckon_arg *arg = &f->way->arg[i];
	struct slice name = f->column[i].name, cell = slice_trim(row->cell[f->column[i].at].text);

	f->why.n = 0;
	if (!cell.n) {
		buf_printf(&f->why, "%.*s is empty", (int)name.n, name.p);
		return false;
	}
	if (reckon_read_cell(arg, cell, f->column[i].unit, &f->column[i].scratch, &f->in[i], &f->why))
		return true;
	if (f->column[i].unit < 0 && reckon_has_units(arg) && arg->type != RECKON_POINTS)
		buf_printf(&f->why, "; or give the unit of the column, as in %s=@%.*s:UNIT", arg->name, (int)name.n, name.p);
	return false;
}

static bool take_cells(struct reckon_rows *f, const struct csv_row *row)
{
	for (int i = 0; i < reckon_nargs(f->way); i++)
		if (f->column[i].asked.n && !take_cell(f, row, i))
			return false;
	f->in[0].unit = f->answer_unit;
	return true;
}

static bool answered(struct reckon_rows *f, const struct csv_row *row)
{
	if (!take_cells(f, row)) {
		tell(&f->unanswered, row, buf_slice(&f->why));
		return false;
	}
	if (!reckon_run(f->way, f->in, f->house, &f->answer)) {
		tell(&f->unanswered, row, buf_slice(&f->answer.refusal));
		return false;
	}
	for (size_t i = 0; i < f->answer.ntexts; i++)
		if (f->answer.text[i].kind == RECKONED_CAUTION) {
			tell(&f->cautions, row, reckoned_text(&f->answer, i));
			break;
		}
	return true;
}

bool reckon_rows_row(struct reckon_rows *f, const struct csv_row *row, struct buf *out)
{
	size_t n;

	if (!row_good(f, row))
		return false;
	f->rows++;
	n = answered(f, row) ? f->answer.n : 0;
	buf_add(out, row->raw);
	for (size_t i = 0; i < (size_t)reckon_nrows(f->way); i++) {
		buf_char(out, f->separator);
		if (i < n && isfinite(f->answer.row[i].value))
			buf_real(out, f->answer.row[i].value);
	}
	end_line(f, out);
	return true;
}
