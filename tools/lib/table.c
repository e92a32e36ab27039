#include "table.h"

#include <float.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>

#include "mem.h"
#include "utf8.h"

enum { ABSENT = 255 };

const char *const table_form_words[] = { "text", "tsv", "csv", "json", "md", "html", NULL };

void table_init(struct table *t, const struct table_column *columns, size_t n)
{
	*t = (struct table){ 0 };
	for (size_t i = 0; i < n; i++)
		table_add_column(t, columns[i].name, columns[i].type, columns[i].places);
}

void table_add_column(struct table *t, const char *name, enum table_type type, unsigned places)
{
	struct table_column *column;

	t->columns = mem_grow(t->columns, &t->columns_cap, t->n_columns + 1, sizeof *t->columns);
	column = &t->columns[t->n_columns++];
	column->name = mem_copy(name, strlen(name));
	column->type = type;
	column->places = (unsigned char)places;
}

void table_release(struct table *t)
{
	for (size_t i = 0; i < t->n_columns; i++)
		free((char *)t->columns[i].name);
	free(t->columns);
	free(t->cells);
	buf_release(&t->texts);
	buf_release(&t->title);
	buf_release(&t->key);
	buf_release(&t->notes);
	*t = (struct table){ 0 };
}

void table_title(struct table *t, struct slice title, const char *key)
{
	t->title.n = t->key.n = 0;
	utf8_add_visible(&t->title, title);
	buf_str(&t->key, key);
}

void table_note(struct table *t, struct slice note)
{
	utf8_add_visible(&t->notes, note);
	buf_char(&t->notes, '\n');
}

static struct table_cell *next_cell(struct table *t, unsigned kind)
{
	struct table_cell *cell;

	t->cells = mem_grow(t->cells, &t->cells_cap, t->n_cells + 1, sizeof *t->cells);
	cell = &t->cells[t->n_cells++];
	*cell = (struct table_cell){ .kind = (unsigned char)kind };
	return cell;
}

static void put_text(struct table *t, struct slice s, enum table_type kind)
{
	struct table_cell *cell = next_cell(t, kind);

	cell->v.at = t->texts.n;
	cell->n = s.n;
	buf_add(&t->texts, s);
}

void table_text(struct table *t, struct slice s)
{
	put_text(t, s, TABLE_TEXT);
}

void table_cstr(struct table *t, const char *s)
{
	if (s)
		table_text(t, slice_of(s));
	else
		table_absent(t);
}

void table_date(struct table *t, struct slice s)
{
	put_text(t, s, TABLE_DATE);
}

/* The places to which the next cell is rounded for reading: its column's. */
static unsigned char places_of_next(const struct table *t)
{
	return t->n_columns ? t->columns[t->n_cells % t->n_columns].places : TABLE_EXACT;
}

void table_int(struct table *t, int64_t v)
{
	next_cell(t, TABLE_INT)->v.i = v;
}

void table_fixed(struct table *t, int64_t v, unsigned places)
{
	unsigned char shown = places_of_next(t);
	struct table_cell *cell = next_cell(t, TABLE_FIXED);

	cell->v.i = v;
	cell->places = (unsigned char)places;
	cell->shown = shown;
}

void table_real_shown(struct table *t, double v, unsigned shown)
{
	struct table_cell *cell = next_cell(t, isfinite(v) ? TABLE_REAL : ABSENT);

	cell->v.d = v;
	cell->shown = (unsigned char)shown;
}

void table_real(struct table *t, double v)
{
	table_real_shown(t, v, places_of_next(t));
}

void table_absent(struct table *t)
{
	next_cell(t, ABSENT);
}

void table_rest_absent(struct table *t)
{
	while (t->n_columns && t->n_cells % t->n_columns)
		table_absent(t);
}

size_t table_rows(const struct table *t)
{
	return t->n_columns ? t->n_cells / t->n_columns : 0;
}

/* Numbers */

static uint64_t magnitude(int64_t v)
{
	return v < 0 ? 0 - (uint64_t)v : (uint64_t)v;
}

/* The digits of `v` with a point before the last `places` of them. */
static void add_decimal(struct buf *b, uint64_t v, bool minus, unsigned places)
{
	char digits[TABLE_MOST_PLACES + 24];
	size_t at = sizeof digits;
	unsigned done = 0;

	minus = minus && v;
	do {
		digits[--at] = (char)('0' + v % 10);
		v /= 10;
		if (++done == places)
			digits[--at] = '.';
	} while (v || done <= places);
	if (minus)
		digits[--at] = '-';
	buf_add(b, (struct slice){ digits + at, sizeof digits - at });
}

void buf_fixed(struct buf *b, int64_t v, unsigned places)
{
	add_decimal(b, magnitude(v), v < 0, places < TABLE_MOST_PLACES ? places : TABLE_MOST_PLACES);
}

static uint64_t round_half_even(uint64_t v, uint64_t unit)
{
	uint64_t whole = v / unit, left = v % unit;

	if (left > unit / 2 || (left == unit / 2 && whole % 2))
		whole++;
	return whole;
}

void buf_fixed_shown(struct buf *b, int64_t v, unsigned places, unsigned shown)
{
	uint64_t unit = 1;

	if (places > TABLE_MOST_PLACES)
		places = TABLE_MOST_PLACES;
	if (shown >= places) {
		buf_fixed(b, v, places);
		return;
	}
	for (unsigned i = shown; i < places; i++)
		unit *= 10;
	add_decimal(b, round_half_even(magnitude(v), unit), v < 0, shown);
}

/*
 * The fewest significant digits that read back as `v` (> 0), in text[0..n) as d.ddde+xx. Up to
 * 15 digits every decimal survives the way through a double, so that there is no need to try fewer;
 * below the normal range, there is.
 */
static void shortest(double v, char text[32])
{
	for (int digits = v < DBL_MIN ? 1 : DBL_DIG; digits <= 17; digits++) {
		snprintf(text, 32, "%.*e", digits - 1, v);
		if (strtod(text, NULL) >= v && strtod(text, NULL) <= v)
			return;
	}
}

/* Takes "d.ddde-xx" apart: its digits without the zeros at their end, and its exponent. */
static int take_apart(const char *text, char digits[20], size_t *n)
{
	const char *c = text;

	for (*n = 0; *c != 'e'; c++)
		if (*c != '.')
			digits[(*n)++] = *c;
	while (*n > 1 && digits[*n - 1] == '0')
		--*n;
	return (int)strtol(c + 1, NULL, 10);
}

/* Numbers of up to 21 digits before the point or 6 zeros behind it are written out. */
enum { EXP_MOST = 20, EXP_LEAST = -7 };

static void place_point(struct buf *b, struct slice digits, int exp)
{
	size_t whole = exp >= 0 && exp <= EXP_MOST ? (size_t)exp + 1 : 1;
	bool written_out = exp >= EXP_LEAST && exp <= EXP_MOST;

	if (written_out && exp < 0) {
		buf_str(b, "0.");
		buf_fill(b, '0', (size_t)(-exp - 1));
		buf_add(b, digits);
		return;
	}
	if (whole >= digits.n) {
		buf_add(b, digits);
		buf_fill(b, '0', whole - digits.n);
	} else {
		buf_add(b, slice_upto(digits, whole));
		buf_char(b, '.');
		buf_add(b, slice_from(digits, whole));
	}
	if (!written_out)
		buf_printf(b, "e%d", exp);
}

void buf_real(struct buf *b, double v)
{
	char text[32], digits[20];
	size_t n;
	int exp;

	if (v < 0)
		buf_char(b, '-');
	if (v >= 0 && v <= 0) {
		buf_char(b, '0');
		return;
	}
	shortest(fabs(v), text);
	exp = take_apart(text, digits, &n);
	place_point(b, (struct slice){ digits, n }, exp);
}

static bool all_zero(struct slice s)
{
	for (size_t i = 0; i < s.n; i++)
		if (s.p[i] != '0' && s.p[i] != '.')
			return false;
	return true;
}

void buf_real_shown(struct buf *b, double v, unsigned shown)
{
	char text[64];
	int n;

	if (shown > TABLE_MOST_PLACES || fabs(v) >= 1e15) {
		buf_real(b, v);
		return;
	}
	n = snprintf(text, sizeof text, "%.*f", (int)shown, fabs(v));
	if (v < 0 && !all_zero((struct slice){ text, (size_t)n }))
		buf_char(b, '-');
	buf_add(b, (struct slice){ text, (size_t)n });
}

/* Texts */

/* How many bytes of `s` come before the first that is one of `stops`. */
static size_t run_without(struct slice s, const char *stops)
{
	size_t n = 0;

	while (n < s.n && !(s.p[n] && strchr(stops, s.p[n])))
		n++;
	return n;
}

void buf_tsv(struct buf *b, struct slice s)
{
	while (s.n) {
		size_t n = slice_find(s, '\\');

		utf8_add_visible(b, slice_upto(s, n));
		if (n < s.n) {
			buf_str(b, "\\\\");
			n++;
		}
		s = slice_from(s, n);
	}
}

static bool is_formula(struct slice s)
{
	uint32_t point;

	if (!utf8_decode(s, &point))
		return false;
	switch (point) {
	case '=': case '+': case '-': case '@': case '\t': case '\r': case '\n':
	case 0xff1d: case 0xff0b: case 0xff0d: case 0xff20:
		return true;
	default:
		return false;
	}
}

void buf_csv(struct buf *b, struct slice s)
{
	bool quoted = run_without(s, ",\"\r\n") < s.n;

	if (quoted)
		buf_char(b, '"');
	if (is_formula(s))
		buf_char(b, '\'');
	while (s.n) {
		size_t n = run_without(s, "\"\r\n");

		utf8_add_visible(b, slice_upto(s, n));
		if (n < s.n && s.p[n] == '"')
			buf_char(b, '"');
		if (n < s.n)
			buf_char(b, s.p[n++]);
		s = slice_from(s, n);
	}
	if (quoted)
		buf_char(b, '"');
}

static void json_point(struct buf *b, uint32_t point)
{
	static const char letters[] = "\b\f\n\r\t\"\\", escapes[] = "bfnrt\"\\";
	const char *at = point && point < 0x80 ? strchr(letters, (int)point) : NULL;

	if (at)
		buf_printf(b, "\\%c", escapes[at - letters]);
	else if (utf8_is_unsafe(point))
		buf_printf(b, "\\u%04x", (unsigned)point);
	else
		utf8_add(b, point);
}

static size_t json_run(struct slice s)
{
	size_t n = 0;

	while (n < s.n && s.p[n] >= 0x20 && s.p[n] < 0x7f && s.p[n] != '"' && s.p[n] != '\\')
		n++;
	return n;
}

void buf_json(struct buf *b, struct slice s)
{
	buf_char(b, '"');
	while (s.n) {
		uint32_t point;
		size_t n = json_run(s);

		if (n) {
			buf_add(b, slice_upto(s, n));
		} else if ((n = utf8_decode(s, &point))) {
			json_point(b, point);
		} else {
			n = 1;
			utf8_add(b, 0xfffd);
		}
		s = slice_from(s, n);
	}
	buf_char(b, '"');
}

static const char *html_entity(char c)
{
	switch (c) {
	case '&': return "&amp;";
	case '<': return "&lt;";
	case '>': return "&gt;";
	case '"': return "&quot;";
	default: return "&#39;";
	}
}

void buf_html(struct buf *b, struct slice s)
{
	while (s.n) {
		size_t n = run_without(s, "&<>\"'");

		utf8_add_visible(b, slice_upto(s, n));
		if (n < s.n)
			buf_str(b, html_entity(s.p[n++]));
		s = slice_from(s, n);
	}
}

/* A backslash makes markup plain; before a letter it is plain itself (as in what is made visible). */
static void add_md(struct buf *b, struct slice s, const char *markup)
{
	while (s.n) {
		size_t n = run_without(s, markup);

		utf8_add_visible(b, slice_upto(s, n));
		if (n < s.n && (s.p[n] == '&' || s.p[n] == '<')) {
			buf_str(b, html_entity(s.p[n++]));
		} else if (n < s.n) {
			buf_char(b, '\\');
			buf_char(b, s.p[n++]);
		}
		s = slice_from(s, n);
	}
}

static void md_text(struct buf *b, struct slice s)
{
	add_md(b, s, "&<\\`*_[]|~$");
}

/* A name keeps its underscores: within a word they are no markup. */
static void md_name(struct buf *b, struct slice s)
{
	add_md(b, s, "&<\\`*[]|~$");
}

/* Cells */

static const struct table_cell absent_cell = { .kind = ABSENT };

static const struct table_cell *cell_at(const struct table *t, size_t row, size_t column)
{
	size_t at = row * t->n_columns + column;

	return at < t->n_cells ? &t->cells[at] : &absent_cell;
}

/* Rows with the last one, which may lack cells. */
static size_t rows_held(const struct table *t)
{
	return t->n_columns ? (t->n_cells + t->n_columns - 1) / t->n_columns : 0;
}

static bool is_number(enum table_type type)
{
	return type == TABLE_INT || type == TABLE_FIXED || type == TABLE_REAL;
}

static bool is_text(const struct table_cell *cell)
{
	return cell->kind == TABLE_TEXT || cell->kind == TABLE_DATE;
}

static struct slice text_of(const struct table *t, const struct table_cell *cell)
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

static void add_shown(struct buf *b, const struct table_cell *cell)
{
	if (cell->kind == TABLE_FIXED)
		buf_fixed_shown(b, cell->v.i, cell->places, cell->shown);
	else if (cell->kind == TABLE_REAL)
		buf_real_shown(b, cell->v.d, cell->shown);
	else
		add_exact(b, cell);
}

/*
 * What a form is made of: how it writes a text, and whether figures are rounded for reading.
 * Text, whose cells need their widths, and json go their own ways.
 */
struct dress {
	void (*text)(struct buf *b, struct slice s);
	void (*name)(struct buf *b, struct slice s);
	bool rounded;
};

static const struct dress dresses[] = {
	[TABLE_AS_TEXT] = { utf8_add_visible, utf8_add_visible, true },
	[TABLE_AS_TSV] = { buf_tsv, buf_tsv, false },
	[TABLE_AS_CSV] = { buf_csv, buf_csv, false },
	[TABLE_AS_JSON] = { buf_json, buf_json, false },
	[TABLE_AS_MD] = { md_text, md_name, true },
	[TABLE_AS_HTML] = { buf_html, buf_html, true },
};

static void add_cell(struct buf *b, const struct table *t, const struct table_cell *cell, enum table_form form)
{
	if (is_text(cell))
		dresses[form].text(b, text_of(t, cell));
	else if (dresses[form].rounded)
		add_shown(b, cell);
	else
		add_exact(b, cell);
}

static void add_name(struct buf *b, const struct table *t, size_t column, enum table_form form)
{
	dresses[form].name(b, slice_of(t->columns[column].name));
}

/* A line of cells parted by one byte: tsv and csv. */

static void separated_header(const struct table *t, enum table_form form, struct buf *out)
{
	for (size_t i = 0; i < t->n_columns; i++) {
		if (i)
			buf_char(out, form == TABLE_AS_CSV ? ',' : '\t');
		add_name(out, t, i, form);
	}
	buf_str(out, form == TABLE_AS_CSV ? "\r\n" : "\n");
}

static void separated_row(const struct table *t, size_t row, enum table_form form, struct buf *out)
{
	size_t start = out->n;

	for (size_t i = 0; i < t->n_columns; i++) {
		if (i)
			buf_char(out, form == TABLE_AS_CSV ? ',' : '\t');
		add_cell(out, t, cell_at(t, row, i), form);
	}
	if (form == TABLE_AS_CSV && out->n == start)
		buf_str(out, "\"\""); /* an empty line would be no record */
	buf_str(out, form == TABLE_AS_CSV ? "\r\n" : "\n");
}

static void json_row(const struct table *t, size_t row, struct buf *out)
{
	buf_char(out, '{');
	for (size_t i = 0; i < t->n_columns; i++) {
		const struct table_cell *cell = cell_at(t, row, i);

		if (i)
			buf_char(out, ',');
		add_name(out, t, i, TABLE_AS_JSON);
		buf_char(out, ':');
		if (cell->kind == ABSENT)
			buf_str(out, "null");
		else
			add_cell(out, t, cell, TABLE_AS_JSON);
	}
	buf_char(out, '}');
}

static void md_header(const struct table *t, struct buf *out)
{
	for (size_t i = 0; i < t->n_columns; i++) {
		buf_str(out, "| ");
		add_name(out, t, i, TABLE_AS_MD);
		buf_char(out, ' ');
	}
	buf_str(out, "|\n");
	for (size_t i = 0; i < t->n_columns; i++)
		buf_str(out, is_number(t->columns[i].type) ? "|---:" : "|---");
	buf_str(out, "|\n");
}

static void md_row(const struct table *t, size_t row, struct buf *out)
{
	for (size_t i = 0; i < t->n_columns; i++) {
		buf_str(out, "| ");
		add_cell(out, t, cell_at(t, row, i), TABLE_AS_MD);
		buf_char(out, ' ');
	}
	buf_str(out, "|\n");
}

static void html_header(const struct table *t, struct buf *out)
{
	buf_str(out, "<thead>\n<tr>");
	for (size_t i = 0; i < t->n_columns; i++) {
		buf_str(out, is_number(t->columns[i].type) ? "<th scope=\"col\" class=\"num\">" : "<th scope=\"col\">");
		add_name(out, t, i, TABLE_AS_HTML);
		buf_str(out, "</th>");
	}
	buf_str(out, "</tr>\n</thead>\n");
}

static void html_row(const struct table *t, size_t row, struct buf *out)
{
	buf_str(out, "<tr>");
	for (size_t i = 0; i < t->n_columns; i++) {
		buf_str(out, is_number(t->columns[i].type) ? "<td class=\"num\">" : "<td>");
		add_cell(out, t, cell_at(t, row, i), TABLE_AS_HTML);
		buf_str(out, "</td>");
	}
	buf_str(out, "</tr>\n");
}

/* Text */

/* Row `row`, or the header where `row` is rows_held(). */
static void text_cell(const struct table *t, size_t row, size_t column, struct buf *b)
{
	const struct table_cell *cell;

	if (row == rows_held(t)) {
		add_name(b, t, column, TABLE_AS_TEXT);
		return;
	}
	cell = cell_at(t, row, column);
	if (cell->kind == ABSENT)
		buf_char(b, '-');
	else
		add_cell(b, t, cell, TABLE_AS_TEXT);
}

static void text_widths(const struct table *t, bool with_header, size_t *widths, struct buf *cell)
{
	size_t rows = rows_held(t);

	for (size_t row = 0; row < rows + with_header; row++) {
		for (size_t i = 0; i < t->n_columns; i++) {
			size_t width;

			cell->n = 0;
			text_cell(t, row, i, cell);
			width = utf8_width(buf_slice(cell));
			if (width > widths[i])
				widths[i] = width;
		}
	}
}

enum { TEXT_GAP = 2 };

/* Blanks are owed, and paid only when something follows them, so that no line ends in one. */
static void text_row(const struct table *t, size_t row, const size_t *widths, struct buf *cell, struct buf *out)
{
	size_t owed = 0;

	for (size_t i = 0; i < t->n_columns; i++) {
		bool right = is_number(t->columns[i].type);
		size_t pad;

		cell->n = 0;
		text_cell(t, row, i, cell);
		pad = widths[i] - utf8_width(buf_slice(cell));
		owed += right ? pad : 0;
		if (cell->n) {
			buf_fill(out, ' ', owed);
			buf_add(out, buf_slice(cell));
			owed = 0;
		}
		owed += TEXT_GAP + (right ? 0 : pad);
	}
	buf_char(out, '\n');
}

static void text_all(const struct table *t, bool no_header, struct buf *out)
{
	size_t *widths = mem_zeroed(t->n_columns, sizeof *widths);
	struct buf cell = BUF_INIT;
	size_t rows = rows_held(t);

	text_widths(t, !no_header, widths, &cell);
	if (!no_header)
		text_row(t, rows, widths, &cell, out);
	for (size_t row = 0; row < rows; row++)
		text_row(t, row, widths, &cell, out);
	buf_release(&cell);
	free(widths);
}

/* Whole tables */

static void add_title(const struct table *t, enum table_form form, struct buf *out)
{
	struct slice title = buf_slice(&t->title);

	if (!title.n)
		return;
	if (form == TABLE_AS_TEXT) {
		buf_add(out, title);
		buf_char(out, '\n');
	} else if (form == TABLE_AS_MD) {
		buf_str(out, "## ");
		md_text(out, title);
		buf_str(out, "\n\n");
	} else if (form == TABLE_AS_HTML) {
		buf_str(out, "<caption>");
		buf_html(out, title);
		buf_str(out, "</caption>\n");
	}
}

static void add_header(const struct table *t, struct table_style style, struct buf *out)
{
	if (style.form == TABLE_AS_MD)
		md_header(t, out);
	else if (style.no_header)
		return;
	else if (style.form == TABLE_AS_TSV || style.form == TABLE_AS_CSV)
		separated_header(t, style.form, out);
	else if (style.form == TABLE_AS_HTML)
		html_header(t, out);
}

static void head(const struct table *t, struct table_style style, struct buf *out)
{
	if (style.form == TABLE_AS_HTML)
		buf_str(out, "<table>\n");
	add_title(t, style.form, out);
	add_header(t, style, out);
	if (style.form == TABLE_AS_HTML)
		buf_str(out, "<tbody>\n");
	if (style.form == TABLE_AS_JSON)
		buf_char(out, '[');
}

static void add_row(const struct table *t, size_t row, enum table_form form, struct buf *out)
{
	switch (form) {
	case TABLE_AS_TEXT:
		break;
	case TABLE_AS_TSV:
	case TABLE_AS_CSV:
		separated_row(t, row, form, out);
		break;
	case TABLE_AS_JSON:
		buf_str(out, row || t->written ? ",\n" : "\n");
		json_row(t, row, out);
		break;
	case TABLE_AS_MD:
		md_row(t, row, out);
		break;
	case TABLE_AS_HTML:
		html_row(t, row, out);
		break;
	}
}

static void body(const struct table *t, struct table_style style, struct buf *out)
{
	if (style.form == TABLE_AS_TEXT) {
		text_all(t, style.no_header, out);
		return;
	}
	for (size_t row = 0; row < rows_held(t); row++)
		add_row(t, row, style.form, out);
}

static void add_note(struct slice note, enum table_form form, struct buf *out)
{
	if (form == TABLE_AS_TEXT) {
		buf_add(out, note);
	} else if (form == TABLE_AS_MD) {
		md_text(out, note);
		buf_char(out, '\n');
	} else {
		buf_str(out, "<p class=\"note\">");
		buf_html(out, note);
		buf_str(out, "</p>");
	}
	buf_char(out, '\n');
}

static void add_notes(const struct table *t, enum table_form form, struct buf *out)
{
	struct slice left = buf_slice(&t->notes);

	if (form != TABLE_AS_TEXT && form != TABLE_AS_MD && form != TABLE_AS_HTML)
		return;
	if (left.n && form != TABLE_AS_HTML)
		buf_char(out, '\n');
	while (left.n) {
		size_t n = slice_find(left, '\n');

		add_note(slice_upto(left, n), form, out);
		left = slice_from(left, n + 1);
	}
}

static void tail(const struct table *t, enum table_form form, struct buf *out)
{
	if (form == TABLE_AS_JSON)
		buf_str(out, "\n]");
	if (form == TABLE_AS_HTML)
		buf_str(out, "</tbody>\n</table>\n");
	add_notes(t, form, out);
}

static void write_one(const struct table *t, struct table_style style, struct buf *out)
{
	head(t, style, out);
	body(t, style, out);
	tail(t, style.form, out);
}

void table_write(const struct table *t, struct table_style style, struct buf *out)
{
	write_one(t, style, out);
	if (style.form == TABLE_AS_JSON)
		buf_char(out, '\n');
}

void table_begin(struct table *t, struct table_style style, struct buf *out)
{
	t->written = false;
	head(t, style, out);
}

void table_flush(struct table *t, struct table_style style, struct buf *out)
{
	if (style.form == TABLE_AS_TEXT || !t->n_cells || t->n_cells % t->n_columns)
		return;
	body(t, style, out);
	t->n_cells = 0;
	t->texts.n = 0;
	t->written = true;
}

void table_end(struct table *t, struct table_style style, struct buf *out)
{
	body(t, style, out);
	tail(t, style.form, out);
	if (style.form == TABLE_AS_JSON)
		buf_char(out, '\n');
	t->n_cells = 0;
	t->texts.n = 0;
	t->written = false;
}

static void mark_title(const struct table *t, enum table_form form, struct buf *out)
{
	struct buf line = BUF_INIT;

	buf_str(&line, "# ");
	buf_add(&line, buf_slice(&t->title));
	dresses[form].text(out, buf_slice(&line));
	buf_release(&line);
}

/* What stands between the tables of one answer, and above each in the forms for machines. */
static void part(const struct table *t, bool first, enum table_form form, struct buf *out)
{
	const char *end = form == TABLE_AS_CSV ? "\r\n" : "\n";

	if (form == TABLE_AS_JSON) {
		buf_str(out, first ? "{\n" : ",\n");
		buf_json(out, buf_slice(&t->key));
		buf_char(out, ':');
		return;
	}
	if (!first && form != TABLE_AS_HTML)
		buf_str(out, end);
	if (form != TABLE_AS_TSV && form != TABLE_AS_CSV)
		return;
	mark_title(t, form, out);
	buf_str(out, end);
}

void tables_write(const struct table *const *tables, size_t n, struct table_style style, struct buf *out)
{
	for (size_t i = 0; i < n; i++) {
		part(tables[i], i == 0, style.form, out);
		write_one(tables[i], style, out);
	}
	if (style.form == TABLE_AS_JSON)
		buf_str(out, n ? "\n}\n" : "{\n}\n");
}
