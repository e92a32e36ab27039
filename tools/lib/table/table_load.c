#include "table/table_load.h"

#include <stdint.h>
#include <stdlib.h>

#include "base/csv.h"
#include "base/json.h"
#include "table/table.h"

enum { JSON_MOST = 256 << 20 };

struct load {
	struct tables *all;
	struct table *table;       /* the one that is being read; NULL: a header is to come */
	struct buf title;          /* of the next one */
	const char *name;
	struct buf *error;
	bool tabs;                 /* tsv */
	/* of json: */
	struct buf key, row;       /* of the table and its row that the last leaf was of */
	size_t column;
	bool failed;
};

static bool fail(struct load *l, uint64_t line, const char *what)
{
	buf_printf(l->error, "%s:%llu: %s", l->name, (unsigned long long)line, what);
	l->failed = true;
	return false;
}

/* ---- tables */

static void start_table(struct load *l)
{
	struct tables *all = l->all;

	all->v = mem_grow(all->v, &all->cap, all->n + 1, sizeof *all->v);
	l->table = all->v[all->n++] = mem_zeroed(1, sizeof *l->table);
	table_init(l->table, NULL, 0);
	if (l->title.n)
		table_title(l->table, buf_slice(&l->title), "table");
	l->title.n = 0;
}

static void add_column(struct table *t, struct slice name)
{
	char *copy = mem_copy(name.p, name.n);

	table_add_column(t, copy, TABLE_TEXT, 0);
	table_heading(t, copy);
	free(copy);
}

static void put(struct table *t, struct slice text)
{
	if (text.n)
		table_text(t, text);
	else
		table_absent(t);
}

void tables_release(struct tables *all)
{
	for (size_t i = 0; i < all->n; i++) {
		table_release(all->v[i]);
		free(all->v[i]);
	}
	free(all->v);
	*all = (struct tables){ 0 };
}

/* ---- tsv and csv */

/* A cell of tsv without its doubled backslashes; what was made visible stays so. */
static void put_tsv(struct table *t, struct slice s, struct buf *scratch)
{
	scratch->n = 0;
	for (size_t i = 0; i < s.n; i++) {
		if (s.p[i] == '\\' && i + 1 < s.n && s.p[i + 1] == '\\')
			i++;
		buf_char(scratch, s.p[i]);
	}
	put(t, buf_slice(scratch));
}

/* A cell of csv without the ' that was put before what looks like a formula. */
static void put_csv(struct table *t, struct slice s)
{
	put(t, s.n > 1 && s.p[0] == '\'' && s.p[1] && strchr("=+-@\t\r\n\xef", s.p[1]) ? slice_from(s, 1) : s);
}

static bool take_cells(struct load *l, const struct csv_row *row, struct buf *scratch)
{
	if (row->n != l->table->n_columns)
		return fail(l, row->line, "the row has another number of cells than the header of its table");
	for (size_t i = 0; i < row->n; i++)
		if (l->tabs)
			put_tsv(l->table, row->cell[i].text, scratch);
		else
			put_csv(l->table, row->cell[i].text);
	return true;
}

static bool is_name(struct slice s, bool *joined)
{
	for (size_t i = 0; i < s.n; i++) {
		*joined = *joined || s.p[i] == '_';
		if (!s.p[i] || (!strchr("abcdefghijklmnopqrstuvwxyz_", s.p[i]) && (!i || !strchr("0123456789", s.p[i]))))
			return false;
	}
	return s.n > 0;
}

/* Whether the row is the header of another table that follows without a line between: names only, of another number or with a _. */
static bool is_header(const struct load *l, const struct csv_row *row)
{
	enum { LEAST = 3 };
	bool joined = false;

	for (size_t i = 0; i < row->n; i++)
		if (!is_name(row->cell[i].text, &joined))
			return false;
	return row->n >= LEAST && (joined || row->n != l->table->n_columns);
}

static bool take_row(struct load *l, const struct csv_row *row, struct buf *scratch)
{
	if (row->fault)
		return fail(l, row->line, "the line is too long for a table");
	if (slice_eq(row->raw, SLICE("#! incomplete")))
		return fail(l, row->line, "the command that wrote this failed; run it alone to see why");
	if (row->n == 1 && !row->cell[0].text.n) {
		l->table = NULL;
		return true;
	}
	if (slice_starts(row->raw, SLICE("# ")) && (!l->table || row->n < l->table->n_columns)) {
		l->table = NULL;
		l->title.n = 0;
		buf_add(&l->title, slice_trim(slice_from(row->raw, 2)));
		return true;
	}
	if (l->table && !is_header(l, row))
		return take_cells(l, row, scratch);
	start_table(l);
	for (size_t i = 0; i < row->n; i++)
		add_column(l->table, row->cell[i].text);
	return true;
}

/* A tab in the first lines is of tsv. */
static bool has_tab(struct slice start)
{
	return slice_find(start, '\t') < start.n;
}

static bool load_rows(struct load *l, struct csv *c)
{
	struct buf scratch = BUF_INIT;
	const struct csv_row *row;
	bool good = true;

	while (good && (row = csv_next(c)))
		good = take_row(l, row, &scratch);
	if (good && c->error) {
		buf_printf(l->error, "cannot read %s: %s", l->name, csv_error(c->error));
		good = false;
	}
	buf_release(&scratch);
	return good;
}

/* ---- json */

/* Cuts "table.row.column" into its three; a lone object of cells is not a table. */
static bool cut_key(struct slice key, struct slice part[3])
{
	for (int i = 0; i < 2; i++) {
		size_t n = slice_find(key, '.');

		if (n == key.n)
			return false;
		part[i] = slice_upto(key, n);
		key = slice_from(key, n + 1);
	}
	part[2] = key;
	return true;
}

static bool changes(struct buf *last, struct slice now)
{
	if (slice_eq(buf_slice(last), now))
		return false;
	last->n = 0;
	buf_add(last, now);
	return true;
}

/* The first row of a table names its columns; the others must have the same in the same order. */
static void take_leaf(void *load, const struct json_leaf *leaf)
{
	struct load *l = load;
	struct slice part[3];
	bool new_table;

	if (l->failed || !cut_key(leaf->key, part)) {
		if (!l->failed)
			fail(l, 1, "this is not a table; in json a table is an array of objects");
		return;
	}
	new_table = changes(&l->key, part[0]);
	if (new_table) {
		l->row.n = 0;
		buf_add(&l->title, part[0]);
		start_table(l);
	}
	if (changes(&l->row, part[1]))
		l->column = 0;
	if (slice_eq(part[1], SLICE("1")))
		add_column(l->table, part[2]);
	else if (l->column >= l->table->n_columns || !slice_eq(slice_of(l->table->columns[l->column].name), part[2])) {
		fail(l, 1, "a row has other keys than the first row of its table");
		return;
	}
	l->column++;
	/* In the first row columns and cells are added by turns, which puts both in order. */
	put(l->table, leaf->kind == JSON_NULL ? SLICE("") : leaf->text);
}

static bool load_json(struct load *l, struct csv *c)
{
	struct buf text = BUF_INIT, whole = BUF_INIT;
	struct json_error error = { 0, NULL };
	struct slice trimmed;

	if (!csv_take_all(c, JSON_MOST, &text)) {
		buf_printf(l->error, "cannot read %s: %s", l->name, c->error ? csv_error(c->error) : "it is too large");
		l->failed = true;
	} else {
		trimmed = buf_slice(&text);
		while (trimmed.n && strchr(" \t\r\n", trimmed.p[0]))
			trimmed = slice_from(trimmed, 1);
		buf_str(&whole, trimmed.n && trimmed.p[0] == '[' ? "{\"table\":" : "");
		buf_add(&whole, trimmed);
		buf_str(&whole, trimmed.n && trimmed.p[0] == '[' ? "}" : "");
		if (!json_read(buf_slice(&whole), take_leaf, l, &error) && !l->failed)
			fail(l, 1, error.text);
	}
	buf_release(&text);
	buf_release(&whole);
	return !l->failed;
}

/* ---- one file */

static bool is_json(struct slice start)
{
	while (start.n && strchr(" \t\r\n", start.p[0]))
		start = slice_from(start, 1);
	return start.n && (start.p[0] == '[' || start.p[0] == '{');
}

bool tables_load(struct tables *all, int fd, const char *name, struct buf *error)
{
	static const struct csv_style tabs = { .separator = "\t", .separator_n = 1 }, commas = { .separator = ",", .separator_n = 1, .quote = '"' };
	struct load l = { .all = all, .name = name, .error = error };
	struct csv c;
	bool good;

	csv_init(&c, fd, &tabs);
	if (is_json(csv_start(&c))) {
		good = load_json(&l, &c);
	} else {
		l.tabs = has_tab(csv_peek(&c));
		c.style = l.tabs ? tabs : commas;
		good = load_rows(&l, &c);
	}
	csv_release(&c);
	buf_release(&l.title);
	buf_release(&l.key);
	buf_release(&l.row);
	return good;
}
