#include "table/table.h"

#include <math.h>
#include <stdlib.h>

#include "base/escape.h"
#include "table/table_internal.h"

const char *const table_form_words[] = { "text", "tsv", "csv", "json", "md", "html", NULL };

void table_init(struct table *t, const struct table_column *columns, size_t n)
{
	*t = (struct table){ 0 };
	for (size_t i = 0; i < n; i++) {
		table_add_column(t, columns[i].name, columns[i].type, columns[i].places);
		table_heading(t, columns[i].heading);
	}
}

void table_add_column(struct table *t, const char *name, enum table_type type, unsigned places)
{
	struct table_column *column;

	t->columns = mem_grow(t->columns, &t->columns_cap, t->n_columns + 1, sizeof *t->columns);
	column = &t->columns[t->n_columns++];
	column->name = mem_copy(name, strlen(name));
	column->type = type;
	column->places = (unsigned char)places;
	column->heading = NULL;
}

void table_heading(struct table *t, const char *heading)
{
	t->columns[t->n_columns - 1].heading = heading ? mem_copy(heading, strlen(heading)) : NULL;
}

void table_release(struct table *t)
{
	for (size_t i = 0; i < t->n_columns; i++) {
		free((char *)t->columns[i].name);
		free((char *)t->columns[i].heading);
	}
	free(t->columns);
	free(t->cells);
	buf_release(&t->texts);
	buf_release(&t->title);
	buf_release(&t->key);
	buf_release(&t->finding);
	buf_release(&t->notes);
	*t = (struct table){ 0 };
}

void table_title(struct table *t, struct slice title, const char *key)
{
	t->title.n = t->key.n = 0;
	buf_add(&t->title, title);
	buf_str(&t->key, key);
}

void table_finding(struct table *t, struct slice sentence)
{
	if (t->finding.n)
		buf_char(&t->finding, ' ');
	utf8_add_visible(&t->finding, sentence);
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
	struct table_cell *cell = next_cell(t, isfinite(v) ? TABLE_REAL : TABLE_ABSENT);

	cell->v.d = v;
	cell->shown = (unsigned char)shown;
}

void table_real(struct table *t, double v)
{
	table_real_shown(t, v, places_of_next(t));
}

void table_absent(struct table *t)
{
	next_cell(t, TABLE_ABSENT);
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

/* A line of cells parted by one byte: tsv and csv. */

static void separated_header(const struct table *t, enum table_form form, struct buf *out)
{
	for (size_t i = 0; i < t->n_columns; i++) {
		if (i)
			buf_char(out, form == TABLE_AS_CSV ? ',' : '\t');
		table_add_name(out, t, i, form);
	}
	buf_str(out, form == TABLE_AS_CSV ? "\r\n" : "\n");
}

/* Where in `out` the cells of the row above are: many cells of a table repeat the one above. */
struct above {
	size_t at, n;
};

static bool is_same(const struct table *t, const struct table_cell *a, const struct table_cell *b)
{
	if (a->kind != b->kind || a->places != b->places)
		return false;
	return table_is_text(a) ? slice_eq(table_text_of(t, a), table_text_of(t, b)) : memcmp(&a->v, &b->v, sizeof a->v) == 0;
}

enum { COPIED_MOST = 32 };

/* Adds a part of `out` itself, by way of a copy, because `out` may move. */
static void add_again(struct buf *out, struct above above)
{
	char copy[COPIED_MOST];

	memcpy(copy, out->p + above.at, above.n);
	buf_add(out, (struct slice){ copy, above.n });
}

static void separated_cell(const struct table *t, size_t row, size_t column, enum table_form form, struct buf *out, struct above *above)
{
	const struct table_cell *cell = table_cell_at(t, row, column);
	size_t start = out->n;

	if (cell->kind == TABLE_ABSENT)
		return;
	if (row && above->n - 1 < COPIED_MOST && is_same(t, cell, table_cell_at(t, row - 1, column)))
		add_again(out, *above);
	else
		table_add_cell(out, t, cell, form);
	*above = (struct above){ start, out->n - start };
}

static void separated_row(const struct table *t, size_t row, enum table_form form, struct buf *out, struct above *above)
{
	size_t start = out->n;

	for (size_t i = 0; i < t->n_columns; i++) {
		if (i)
			buf_char(out, form == TABLE_AS_CSV ? ',' : '\t');
		separated_cell(t, row, i, form, out, &above[i]);
	}
	if (form == TABLE_AS_CSV && out->n == start)
		buf_str(out, "\"\""); /* an empty line would be no record */
	buf_str(out, form == TABLE_AS_CSV ? "\r\n" : "\n");
}

static void separated_all(const struct table *t, enum table_form form, struct buf *out)
{
	struct above *above = mem_zeroed(t->n_columns, sizeof *above);

	for (size_t row = 0; row < table_rows_held(t); row++)
		separated_row(t, row, form, out, above);
	free(above);
}

static void json_row(const struct table *t, size_t row, struct buf *out)
{
	buf_char(out, '{');
	for (size_t i = 0; i < t->n_columns; i++) {
		const struct table_cell *cell = table_cell_at(t, row, i);

		if (i)
			buf_char(out, ',');
		table_add_name(out, t, i, TABLE_AS_JSON);
		buf_char(out, ':');
		if (cell->kind == TABLE_ABSENT)
			buf_str(out, "null");
		else
			table_add_cell(out, t, cell, TABLE_AS_JSON);
	}
	buf_char(out, '}');
}

static void md_header(const struct table *t, struct buf *out)
{
	for (size_t i = 0; i < t->n_columns; i++) {
		buf_str(out, "| ");
		table_add_name(out, t, i, TABLE_AS_MD);
		buf_char(out, ' ');
	}
	buf_str(out, "|\n");
	for (size_t i = 0; i < t->n_columns; i++)
		buf_str(out, table_is_number(t->columns[i].type) ? "|---:" : "|---");
	buf_str(out, "|\n");
}

static void md_row(const struct table *t, size_t row, struct buf *out)
{
	for (size_t i = 0; i < t->n_columns; i++) {
		buf_str(out, "| ");
		table_add_cell(out, t, table_cell_at(t, row, i), TABLE_AS_MD);
		buf_char(out, ' ');
	}
	buf_str(out, "|\n");
}

static void html_header(const struct table *t, const struct table_links *links, struct buf *out)
{
	buf_str(out, "<thead>\n<tr>");
	for (size_t i = 0; i < t->n_columns; i++) {
		if (links && t->columns[i].heading && !*t->columns[i].heading) {
			buf_str(out, "<td></td>"); /* a heading without words would be read aloud as one */
			continue;
		}
		buf_str(out, table_is_number(t->columns[i].type) ? "<th scope=\"col\" class=\"num\">" : "<th scope=\"col\">");
		table_add_name(out, t, i, TABLE_AS_HTML);
		buf_str(out, "</th>");
	}
	buf_str(out, "</tr>\n</thead>\n");
}

/* A text that may be written from right to left gets its own direction. */
static bool is_ascii(struct slice s)
{
	size_t i = 0;

	while (i < s.n && (unsigned char)s.p[i] < 0x80)
		i++;
	return i == s.n;
}

static void linked_text(const struct table *t, size_t column, const struct table_cell *cell, const struct table_links *links, struct buf *out)
{
	struct buf to = BUF_INIT;

	links->to(links->context, t->columns[column].name, table_text_of(t, cell), &to);
	if (to.n) {
		buf_str(out, "<a href=\"");
		buf_html(out, buf_slice(&to));
		buf_str(out, "\">");
	}
	table_add_cell(out, t, cell, TABLE_AS_HTML);
	buf_str(out, to.n ? "</a>" : "");
	buf_release(&to);
}

enum { WORDS_LEAST = 28 }; /* a longer text is a sentence */

/* A row of a page: its first cell heads it. */
static void page_row(const struct table *t, size_t row, const struct table_links *links, struct buf *out)
{
	buf_str(out, "<tr>");
	for (size_t i = 0; i < t->n_columns; i++) {
		const struct table_cell *cell = table_cell_at(t, row, i);
		bool is_text = cell->kind != TABLE_ABSENT && table_is_text(cell);

		buf_str(out, i || cell->kind == TABLE_ABSENT ? "<td" : "<th scope=\"row\"");
		if (table_is_number(t->columns[i].type))
			buf_str(out, " class=\"num\"");
		else if (is_text && cell->n > WORDS_LEAST)
			buf_str(out, " class=\"words\"");
		buf_str(out, is_text && !is_ascii(table_text_of(t, cell)) ? " dir=\"auto\">" : ">");
		if (is_text && links->to)
			linked_text(t, i, cell, links, out);
		else
			table_add_cell(out, t, cell, TABLE_AS_HTML);
		buf_str(out, i || cell->kind == TABLE_ABSENT ? "</td>" : "</th>");
	}
	buf_str(out, "</tr>\n");
}

static void html_row(const struct table *t, size_t row, struct buf *out)
{
	buf_str(out, "<tr>");
	for (size_t i = 0; i < t->n_columns; i++) {
		buf_str(out, table_is_number(t->columns[i].type) ? "<td class=\"num\">" : "<td>");
		table_add_cell(out, t, table_cell_at(t, row, i), TABLE_AS_HTML);
		buf_str(out, "</td>");
	}
	buf_str(out, "</tr>\n");
}

/* Whole tables */

static void add_title(const struct table *t, enum table_form form, struct buf *out)
{
	struct slice title = buf_slice(&t->title);

	if (!title.n)
		return;
	if (form == TABLE_AS_TEXT) {
		utf8_add_visible(out, title);
		buf_char(out, '\n');
	} else if (form == TABLE_AS_MD) {
		buf_str(out, "## ");
		buf_md(out, title);
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
		html_header(t, style.links, out);
}

static void add_finding(const struct table *t, struct table_style style, struct buf *out)
{
	if (!t->finding.n)
		return;
	if (style.form == TABLE_AS_TEXT) {
		table_add_wrapped(out, buf_slice(&t->finding), style.width);
		buf_char(out, '\n');
	} else if (style.form == TABLE_AS_MD) {
		buf_md(out, buf_slice(&t->finding));
		buf_str(out, "\n\n");
	} else if (style.form == TABLE_AS_HTML) {
		buf_str(out, "<p class=\"finding\">");
		buf_html(out, buf_slice(&t->finding));
		buf_str(out, "</p>\n");
	}
}

static void head(const struct table *t, struct table_style style, struct buf *out)
{
	add_finding(t, style, out);
	if (style.form == TABLE_AS_HTML)
		buf_str(out, "<table>\n");
	add_title(t, style.form, out);
	add_header(t, style, out);
	if (style.form == TABLE_AS_HTML)
		buf_str(out, "<tbody>\n");
	if (style.form == TABLE_AS_JSON)
		buf_char(out, '[');
}

static void add_row(const struct table *t, size_t row, struct table_style style, struct buf *out)
{
	switch (style.form) {
	case TABLE_AS_TEXT:
	case TABLE_AS_TSV:
	case TABLE_AS_CSV:
		break;
	case TABLE_AS_JSON:
		buf_str(out, row || t->written ? ",\n" : "\n");
		json_row(t, row, out);
		break;
	case TABLE_AS_MD:
		md_row(t, row, out);
		break;
	case TABLE_AS_HTML:
		if (style.links)
			page_row(t, row, style.links, out);
		else
			html_row(t, row, out);
		break;
	}
}

static void body(const struct table *t, struct table_style style, struct buf *out)
{
	if (style.form == TABLE_AS_TEXT) {
		table_text_all(t, style, out);
		return;
	}
	if (style.form == TABLE_AS_TSV || style.form == TABLE_AS_CSV) {
		separated_all(t, style.form, out);
		return;
	}
	for (size_t row = 0; row < table_rows_held(t); row++)
		add_row(t, row, style, out);
}

static void add_note(struct slice note, struct table_style style, struct buf *out)
{
	enum table_form form = style.form;

	if (form == TABLE_AS_TEXT) {
		table_add_wrapped(out, note, style.width);
		return;
	}
	if (form == TABLE_AS_MD) {
		buf_char(out, '\n');
		buf_md(out, note);
	} else {
		buf_str(out, "<p class=\"note\">");
		buf_html(out, note);
		buf_str(out, "</p>");
	}
	buf_char(out, '\n');
}

static void add_notes(const struct table *t, struct table_style style, struct buf *out)
{
	enum table_form form = style.form;
	struct slice left = buf_slice(&t->notes);

	if (form != TABLE_AS_TEXT && form != TABLE_AS_MD && form != TABLE_AS_HTML)
		return;
	if (left.n && form == TABLE_AS_TEXT)
		buf_char(out, '\n');
	while (left.n) {
		size_t n = slice_find(left, '\n');

		add_note(slice_upto(left, n), style, out);
		left = slice_from(left, n + 1);
	}
}

static void tail(const struct table *t, struct table_style style, struct buf *out)
{
	if (style.form == TABLE_AS_JSON)
		buf_str(out, "\n]");
	if (style.form == TABLE_AS_HTML)
		buf_str(out, "</tbody>\n</table>\n");
	add_notes(t, style, out);
}

/* ---- the columns that are shown */

static bool has_headings(const struct table *t)
{
	for (size_t i = 0; i < t->n_columns; i++)
		if (t->columns[i].heading)
			return true;
	return false;
}

static size_t column_named(const struct table *t, const char *name)
{
	size_t i = 0;

	while (i < t->n_columns && strcmp(t->columns[i].name, name) != 0)
		i++;
	return i;
}

/* Fills `pick` with the columns to show; SIZE_MAX: all of them, in their order. */
static size_t pick_columns(const struct table *t, struct table_style style, size_t *pick)
{
	size_t n = 0;

	for (size_t i = 0; i < style.n_columns; i++) {
		size_t at = column_named(t, style.columns[i]);

		if (at < t->n_columns)
			pick[n++] = at;
	}
	if (style.n_columns)
		return n;
	if (style.all_columns || !table_dresses[style.form].rounded)
		return SIZE_MAX;
	if (!has_headings(t))
		return style.fit && style.width && style.form == TABLE_AS_TEXT ? table_text_fitting(t, style, pick) : SIZE_MAX;
	for (size_t i = 0; i < t->n_columns; i++)
		if (t->columns[i].heading)
			pick[n++] = i;
	return n;
}

/* A table of some of the columns of `t`, which lends it all texts. */
static void take_columns(const struct table *t, const size_t *pick, size_t n, struct table *out)
{
	size_t rows = table_rows_held(t);

	*out = *t;
	out->columns = mem_array(n, sizeof *out->columns);
	out->cells = mem_array(rows * n, sizeof *out->cells);
	out->n_columns = n;
	out->n_cells = rows * n;
	for (size_t i = 0; i < n; i++)
		out->columns[i] = t->columns[pick[i]];
	for (size_t row = 0; row < rows; row++)
		for (size_t i = 0; i < n; i++)
			out->cells[row * n + i] = *table_cell_at(t, row, pick[i]);
}

/* `t` itself, or `into` with the columns that the style shows; shown_release() after it. */
static const struct table *shown_open(const struct table *t, struct table_style style, struct table *into)
{
	size_t most = t->n_columns + style.n_columns, *pick = mem_array(most, sizeof *pick);
	size_t n = pick_columns(t, style, pick);

	if (n != SIZE_MAX)
		take_columns(t, pick, n, into);
	free(pick);
	return n == SIZE_MAX ? t : into;
}

static void shown_release(const struct table *shown, const struct table *into)
{
	if (shown != into)
		return;
	free(into->columns);
	free(into->cells);
}

bool table_has_column(const struct table *t, const char *name)
{
	return column_named(t, name) < t->n_columns;
}

/* Whether the style shows any column of it. */
static bool is_shown(const struct table *t, struct table_style style)
{
	for (size_t i = 0; i < style.n_columns; i++)
		if (table_has_column(t, style.columns[i]))
			return true;
	return style.n_columns == 0;
}

static void write_one(const struct table *t, struct table_style style, struct buf *out)
{
	struct table picked;
	const struct table *shown = shown_open(t, style, &picked);

	head(shown, style, out);
	body(shown, style, out);
	tail(shown, style, out);
	shown_release(shown, &picked);
}

void table_write(const struct table *t, struct table_style style, struct buf *out)
{
	write_one(t, style, out);
	if (style.form == TABLE_AS_JSON)
		buf_char(out, '\n');
}

void table_begin(struct table *t, struct table_style style, struct buf *out)
{
	struct table picked;
	const struct table *shown = shown_open(t, style, &picked);

	t->written = false;
	head(shown, style, out);
	shown_release(shown, &picked);
}

void table_flush(struct table *t, struct table_style style, struct buf *out)
{
	struct table picked;
	const struct table *shown;

	if (style.form == TABLE_AS_TEXT || !t->n_cells || t->n_cells % t->n_columns)
		return;
	shown = shown_open(t, style, &picked);
	body(shown, style, out);
	shown_release(shown, &picked);
	t->n_cells = 0;
	t->texts.n = 0;
	t->written = true;
}

void table_end(struct table *t, struct table_style style, struct buf *out)
{
	struct table picked;
	const struct table *shown = shown_open(t, style, &picked);

	body(shown, style, out);
	tail(shown, style, out);
	shown_release(shown, &picked);
	if (style.form == TABLE_AS_JSON)
		buf_char(out, '\n');
	t->n_cells = 0;
	t->texts.n = 0;
	t->written = false;
}

/* "# title", always one line: a field of CSV could hold more. */
static void mark_title(const struct table *t, enum table_form form, struct buf *out)
{
	struct buf line = BUF_INIT;

	buf_str(&line, "# ");
	if (form == TABLE_AS_CSV)
		utf8_add_visible(&line, buf_slice(&t->title));
	else
		buf_add(&line, buf_slice(&t->title));
	table_dresses[form].text(out, buf_slice(&line));
	buf_release(&line);
}

/* The text between the tables of one answer, and above each of them in the forms for machines. */
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
	bool first = true;

	for (size_t i = 0; i < n; i++) {
		if (!is_shown(tables[i], style))
			continue;
		part(tables[i], first, style.form, out);
		write_one(tables[i], style, out);
		first = false;
	}
	if (style.form == TABLE_AS_JSON)
		buf_str(out, first ? "{\n}\n" : "\n}\n");
}
