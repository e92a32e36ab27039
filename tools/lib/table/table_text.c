#include <stdlib.h>

#include "base/utf8.h"
#include "table/table_internal.h"

enum {
	GAP = 2,           /* cells between columns */
	WORDS_LEAST = 18,  /* a last column of words gets so many cells in the row, or a part of its own */
	ALONE_LEAST = 8,   /* and there so many, or it is not wrapped */
};

/* ---- lines of words */

/* Headings keep a unit with its word: "content, %" is not parted. */
enum words { SENTENCE, HEADING };

/* Whether what follows the space at `end` goes with the word before it: a % with its number. */
static bool goes_on(struct slice text, size_t end, enum words words)
{
	if (end >= text.n)
		return false;
	return (end + 1 < text.n && text.p[end + 1] == '%') || (words == HEADING && end > 0 && text.p[end - 1] == ',');
}

/* Where the word that starts at `from` ends. */
static size_t word_end(struct slice text, size_t from, enum words words)
{
	size_t end = from + slice_find(slice_from(text, from), ' ');

	while (goes_on(text, end, words))
		end += 1 + slice_find(slice_from(text, end + 1), ' ');
	return end;
}

/* The first line of `text` that fits `width` cells, cut at a space where one is; `rest` is what follows. */
static struct slice line_of(struct slice text, size_t width, enum words words, struct slice *rest)
{
	size_t end = word_end(text, 0, words), next;

	while (end < text.n) {
		next = word_end(text, end + 1, words);
		if (utf8_width(slice_upto(text, next)) > width)
			break;
		end = next;
	}
	*rest = slice_from(text, end < text.n ? end + 1 : end);
	return slice_upto(text, end);
}

void table_add_wrapped(struct buf *out, struct slice text, unsigned width)
{
	do {
		buf_add(out, line_of(text, width ? width : SIZE_MAX, SENTENCE, &text));
		buf_char(out, '\n');
	} while (text.n);
}

static size_t count_lines(struct slice text, size_t width, enum words words)
{
	size_t n = 0;

	do {
		line_of(text, width, words, &text);
		n++;
	} while (text.n);
	return n;
}

/* Line `at` of the wrapped text; empty past its end. */
static struct slice line_at(struct slice text, size_t width, enum words words, size_t at)
{
	struct slice line = line_of(text, width, words, &text);

	for (; at && text.n; at--)
		line = line_of(text, width, words, &text);
	return at ? SLICE("") : line;
}

static size_t longest_word(struct slice text)
{
	size_t most = 0;

	while (text.n) {
		size_t width = utf8_width(line_of(text, 0, HEADING, &text));

		if (width > most)
			most = width;
	}
	return most;
}

/* ---- cells and widths */

struct layout {
	const struct table *t;
	size_t *width;      /* of each column */
	size_t keys;        /* leading columns that begin each part */
	size_t most;        /* cells of a line; 0: as many as it takes */
	bool header, wraps; /* wraps: the last column is words in several lines */
	struct buf cell;
};

/* Columns that share a line: [0..keys) and [first..end). */
struct part {
	size_t keys, first, end;
};

/* The text of a cell; of the header where `row` is table_rows_held(). Valid until the next call. */
static struct slice cell_text(struct layout *l, size_t row, size_t column)
{
	const struct table_cell *cell;

	l->cell.n = 0;
	if (row == table_rows_held(l->t)) {
		table_add_name(&l->cell, l->t, column, TABLE_AS_TEXT);
		return buf_slice(&l->cell);
	}
	cell = table_cell_at(l->t, row, column);
	if (cell->kind == TABLE_ABSENT)
		buf_char(&l->cell, '-');
	else
		table_add_cell(&l->cell, l->t, cell, TABLE_AS_TEXT);
	return buf_slice(&l->cell);
}

static size_t widest(size_t a, size_t b)
{
	return a > b ? a : b;
}

/* Of each column its widest cell. A heading needs only its longest word where the line is short of space. */
static void measure(struct layout *l, bool tight)
{
	size_t rows = table_rows_held(l->t);

	for (size_t i = 0; i < l->t->n_columns; i++) {
		l->width[i] = 0;
		for (size_t row = 0; row < rows; row++)
			l->width[i] = widest(l->width[i], utf8_width(cell_text(l, row, i)));
		if (!l->header)
			continue;
		cell_text(l, rows, i);
		l->width[i] = widest(l->width[i], tight ? longest_word(buf_slice(&l->cell)) : utf8_width(buf_slice(&l->cell)));
	}
}

static size_t width_of(const struct layout *l, size_t first, size_t end)
{
	size_t width = 0;

	for (size_t i = first; i < end; i++)
		width += l->width[i] + GAP;
	return width;
}

/* The cells of a whole row. */
static size_t row_width(const struct layout *l)
{
	return l->t->n_columns ? width_of(l, 0, l->t->n_columns) - GAP : 0;
}

static bool is_words(const struct layout *l, size_t column)
{
	return !table_is_number(l->t->columns[column].type);
}

/* Gives a last column of words what the others leave, if that is enough to read. */
static void wrap_last(struct layout *l)
{
	size_t last = l->t->n_columns - 1, before = width_of(l, 0, last);

	if (!is_words(l, last) || before + WORDS_LEAST > l->most)
		return;
	l->width[last] = l->most - before;
	l->wraps = true;
}

/* How many leading columns of words begin each part. */
static size_t key_columns(const struct layout *l)
{
	size_t n = 0;

	while (n < l->t->n_columns && is_words(l, n) && width_of(l, 0, n + 1) <= l->most / 2)
		n++;
	return n;
}

/* Gives it the whole line of a part where the row has too little. */
static void wrap_alone(struct layout *l)
{
	size_t last = l->t->n_columns - 1, keys = width_of(l, 0, l->keys);

	if (l->wraps || !is_words(l, last) || keys + l->width[last] <= l->most || keys + ALONE_LEAST > l->most)
		return;
	l->width[last] = l->most - keys;
	l->wraps = true;
}

static void lay_out(struct layout *l)
{
	measure(l, false);
	if (!l->most || row_width(l) <= l->most)
		return;
	measure(l, true);
	if (row_width(l) > l->most)
		wrap_last(l);
	l->keys = key_columns(l);
	wrap_alone(l);
}

static struct part next_part(const struct layout *l, size_t first)
{
	struct part part = { first > l->keys ? l->keys : 0, first > l->keys ? first : 0, first };
	size_t width = width_of(l, 0, l->keys);

	while (part.end < l->t->n_columns && (part.end == first || !l->most || width + l->width[part.end] <= l->most))
		width += l->width[part.end++] + GAP;
	return part;
}

/* ---- rows */

static enum words words_of(const struct layout *l, size_t row)
{
	return row == table_rows_held(l->t) ? HEADING : SENTENCE;
}

/* How many lines a row takes. */
static size_t row_lines(struct layout *l, size_t row, struct part part)
{
	size_t lines = 1;

	for (size_t i = part.keys ? 0 : part.first; i < part.end; i = i + 1 == part.keys ? part.first : i + 1)
		if (row == table_rows_held(l->t) || (l->wraps && i + 1 == l->t->n_columns)) {
			cell_text(l, row, i);
			lines = widest(lines, count_lines(buf_slice(&l->cell), l->width[i], words_of(l, row)));
		}
	return lines;
}

/* What a column has in line `at` of a row of `lines` lines: headings end in the last one, cells start in the first. */
static struct slice cell_line(struct layout *l, size_t row, size_t column, size_t at, size_t lines)
{
	struct slice text = cell_text(l, row, column);
	size_t own;

	if (row != table_rows_held(l->t))
		return l->wraps && column + 1 == l->t->n_columns ? line_at(text, l->width[column], SENTENCE, at) : at ? SLICE("") : text;
	own = count_lines(text, l->width[column], HEADING);
	return at < lines - own ? SLICE("") : line_at(text, l->width[column], HEADING, at - (lines - own));
}

/* Spaces are owed, and paid only when something follows them, so that no line ends in one. */
static void put_row_line(struct layout *l, size_t row, struct part part, size_t at, size_t lines, struct buf *out)
{
	size_t owed = 0;

	for (size_t i = part.keys ? 0 : part.first; i < part.end; i = i + 1 == part.keys ? part.first : i + 1) {
		struct slice text = cell_line(l, row, i, at, lines);
		size_t width = utf8_width(text), pad = l->width[i] > width ? l->width[i] - width : 0;
		bool right = !is_words(l, i);

		owed += right ? pad : 0;
		if (text.n) {
			buf_fill(out, ' ', owed);
			buf_add(out, text);
			owed = 0;
		}
		owed += GAP + (right ? 0 : pad);
	}
	buf_char(out, '\n');
}

static void put_row(struct layout *l, size_t row, struct part part, struct buf *out)
{
	size_t lines = row_lines(l, row, part);

	for (size_t at = 0; at < lines; at++)
		put_row_line(l, row, part, at, lines, out);
}

/* Whether any row has a value there. */
static bool has_value(const struct table *t, size_t column)
{
	for (size_t row = 0; row < table_rows_held(t); row++)
		if (table_cell_at(t, row, column)->kind != TABLE_ABSENT)
			return true;
	return false;
}

size_t table_text_fitting(const struct table *t, struct table_style style, size_t *pick)
{
	struct layout l = { .t = t, .most = style.width, .header = !style.no_header };
	size_t n = 0, used = 0;

	l.width = mem_zeroed(t->n_columns, sizeof *l.width);
	measure(&l, false);
	for (size_t i = 0; i < t->n_columns; i++) {
		if (!has_value(t, i) || used + l.width[i] > style.width)
			continue;
		pick[n++] = i;
		used += l.width[i] + GAP;
	}
	buf_release(&l.cell);
	free(l.width);
	return n;
}

void table_text_all(const struct table *t, struct table_style style, struct buf *out)
{
	struct layout l = { .t = t, .most = style.width, .header = !style.no_header };
	size_t rows = table_rows_held(t);
	struct part part = { 0, 0, 0 };

	l.width = mem_zeroed(t->n_columns, sizeof *l.width);
	lay_out(&l);
	do {
		part = next_part(&l, part.end ? part.end : l.keys);
		buf_str(out, part.first ? "\n" : "");
		if (l.header)
			put_row(&l, rows, part, out);
		for (size_t row = 0; row < rows; row++)
			put_row(&l, row, part, out);
	} while (part.end < t->n_columns);
	buf_release(&l.cell);
	free(l.width);
}
