#include "intake/export_table.h"

#include <errno.h>
#include <stdio.h>
#include <unistd.h>

#include "intake/json_rows.h"
#include "intake/workbook.h"

enum { TEXT_MOST = 1 << 30, KEYS_MOST = 256 };

/* --- workbooks -------------------------------------------------------------------------------------- */

static void add_cell(struct buf *out, struct slice text, bool first)
{
	if (!first)
		buf_char(out, '\t');
	for (size_t i = 0; i < text.n; i++)
		buf_char(out, text.p[i] == '\t' || text.p[i] == '\n' || text.p[i] == '\r' ? ' ' : text.p[i]);
}

static bool take_workbook(struct export_table *t, struct slice bytes, struct slice sheet, struct buf *out, struct buf *error)
{
	struct workbook_wish wish = { sheet, 1, 1, '.' };
	struct workbook *w = workbook_open(bytes, &wish, error);
	const struct csv_row *row;

	if (!w)
		return false;
	buf_add(&t->sheet, workbook_sheet(w));
	while ((row = workbook_next(w))) {
		for (size_t i = 0; i < row->n; i++)
			add_cell(out, row->cell[i].text, i == 0);
		buf_char(out, '\n');
	}
	buf_add(error, workbook_error(w));
	workbook_free(w);
	return !error->n;
}

/* --- JSON Lines --------------------------------------------------------------------------------------- */

struct keys {
	struct buf key[KEYS_MOST], value[KEYS_MOST];
	size_t n;
};

static void take_leaf(void *arg, const struct json_leaf *leaf)
{
	struct keys *keys = arg;
	size_t i = 0;

	while (i < keys->n && !slice_eq(buf_slice(&keys->key[i]), leaf->key))
		i++;
	if (i == KEYS_MOST)
		return;
	if (i == keys->n)
		buf_add(&keys->key[keys->n++], leaf->key);
	keys->value[i].n = 0;
	if (leaf->kind != JSON_NULL)
		buf_add(&keys->value[i], leaf->text);
}

static void put_row(const struct keys *keys, const struct buf *cell, struct buf *out)
{
	for (size_t i = 0; i < keys->n; i++)
		add_cell(out, buf_slice(&cell[i]), i == 0);
	buf_char(out, '\n');
}

/* Two passes: the keys of all lines, then the lines. What is not JSON gives an empty row. */
static void take_json(struct slice bytes, struct buf *out)
{
	struct keys *keys = mem_zeroed(1, sizeof *keys);
	struct json_error error;

	if (slice_starts(bytes, SLICE("\xef\xbb\xbf")))
		bytes = slice_from(bytes, 3);
	for (int pass = 0; pass < 2; pass++) {
		struct slice rest = bytes;

		for (size_t n; rest.n; rest = slice_from(rest, n < rest.n ? n + 1 : n)) {
			n = slice_find(rest, '\n');
			for (size_t i = 0; i < keys->n; i++)
				keys->value[i].n = 0;
			if (json_read(slice_upto(rest, n), take_leaf, keys, &error) && pass)
				put_row(keys, keys->value, out);
		}
		if (!pass)
			put_row(keys, keys->key, out);
	}
	for (size_t i = 0; i < keys->n; i++) {
		buf_release(&keys->key[i]);
		buf_release(&keys->value[i]);
	}
	free(keys);
}

/* --- the file ------------------------------------------------------------------------------------------- */

/* A file without a name that holds the bytes. */
static bool put_file(struct export_table *t, struct slice bytes, struct buf *error)
{
	FILE *f = tmpfile();

	if (f && fwrite(bytes.p, 1, bytes.n, f) == bytes.n && fflush(f) == 0 && lseek(fileno(f), 0, SEEK_SET) == 0)
		t->fd = dup(fileno(f));
	if (t->fd < 0)
		buf_printf(error, "no copy can be written: %s", strerror(errno));
	if (f)
		fclose(f);
	return t->fd >= 0;
}

/* A text that can be read again from its start is not copied. */
static bool read_again(struct export_table *t, int fd, off_t at)
{
	if (t->kind == EXPORT_TEXT && at >= 0 && lseek(fd, at, SEEK_SET) == at)
		t->fd = dup(fd);
	return t->fd >= 0;
}

bool export_table_open(struct export_table *t, int fd, struct slice sheet, struct buf *error)
{
	static const struct csv_style style = { ",", 1, '"', CSV_UTF8 };
	struct buf bytes = BUF_INIT, table = BUF_INIT;
	struct slice start;
	struct csv csv;
	off_t at = lseek(fd, 0, SEEK_CUR);
	bool good = true;

	*t = (struct export_table){ .fd = -1 };
	csv_init(&csv, fd, &style);
	start = csv_start(&csv);
	t->kind = workbook_is(start) ? EXPORT_WORKBOOK : json_rows_is(start) ? EXPORT_JSON : EXPORT_TEXT;
	if (workbook_refuses(start, error))
		good = false;
	else if (read_again(t, fd, at))
		good = true;
	else if (!csv_take_all(&csv, t->kind == EXPORT_WORKBOOK ? WORKBOOK_BYTES : TEXT_MOST, &bytes))
		buf_str(error, csv.error ? csv_error(csv.error) : "the file is too large");
	else if (t->kind == EXPORT_WORKBOOK)
		good = take_workbook(t, buf_slice(&bytes), sheet, &table, error);
	else if (t->kind == EXPORT_JSON)
		take_json(buf_slice(&bytes), &table);
	good = good && !error->n && (t->fd >= 0 || put_file(t, buf_slice(t->kind == EXPORT_TEXT ? &bytes : &table), error));
	csv_release(&csv);
	buf_release(&bytes);
	buf_release(&table);
	return good;
}

void export_table_release(struct export_table *t)
{
	if (t->fd >= 0)
		close(t->fd);
	buf_release(&t->sheet);
}
