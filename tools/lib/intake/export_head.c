#include "intake/export_head.h"

#include "intake/export_file.h"
#include "intake/json_rows.h"
#include "intake/mapping.h"
#include "intake/workbook.h"

static void add_line(struct export_head *h, struct slice line)
{
	buf_add(&h->text, line);
	h->end[h->n++] = h->text.n;
}

struct slice export_head_line(const struct export_head *h, size_t i)
{
	size_t start = i ? h->end[i - 1] : 0;

	return (struct slice){ h->text.p + start, h->end[i] - start };
}

static bool contains(struct slice line, struct slice word)
{
	for (size_t i = 0; i + word.n <= line.n; i++)
		if (slice_eq((struct slice){ line.p + i, word.n }, word))
			return true;
	return false;
}

/* How many lines are before the readings, so far as the lines read show it; SIZE_MAX: not known yet. */
static size_t front_lines(const struct export_head *h, const struct mapping *m)
{
	if (h->json)
		return 1;
	if (!m->header_has.n)
		return m->skip + m->header;
	for (size_t i = 0; i < h->n; i++)
		if (contains(export_head_line(h, i), m->header_has))
			return i + m->header;
	return SIZE_MAX;
}

static bool wants_more(const struct export_head *h, const struct mapping *m)
{
	return h->n < HEAD_LINES && h->n < front_lines(h, m);
}

static bool read_workbook(struct export_head *h, struct csv *csv, const struct mapping *m, struct buf *error)
{
	struct workbook_wish wish = { m->sheet, m->first_row, m->first_col, '.' };
	struct buf bytes = BUF_INIT;
	struct workbook *w = NULL;
	const struct csv_row *row;

	if (csv_take_all(csv, WORKBOOK_BYTES, &bytes))
		w = workbook_open(buf_slice(&bytes), &wish, error);
	else
		buf_str(error, csv->error ? csv_error(csv->error) : "the workbook is too large");
	while (w && wants_more(h, m) && (row = workbook_next(w)))
		add_line(h, row->raw);
	workbook_free(w);
	buf_release(&bytes);
	return !error->n;
}

static bool read_lines(struct export_head *h, struct csv *csv, const struct mapping *m, struct buf *error)
{
	struct csv_style any;
	struct buf scratch = BUF_INIT;
	const struct csv_row *row;

	while (wants_more(h, m) && (row = csv_next(csv)))
		if (row->line > 1 || !csv_sep_line(row->raw, &any))
			add_line(h, csv_utf8(csv->style.encoding, row->raw, &scratch));
	if (csv->error)
		buf_str(error, csv_error(csv->error));
	buf_release(&scratch);
	return !error->n;
}

bool export_head_read(struct export_head *h, const char *path, const struct mapping *m, struct buf *error)
{
	const char *why;
	struct csv csv;
	int fd = export_open(path, &why);
	struct slice start;
	bool good;

	*h = (struct export_head){ .n = 0 };
	if (fd < 0) {
		buf_str(error, why);
		return false;
	}
	csv_init(&csv, fd, &m->style);
	start = csv_start(&csv);
	h->json = json_rows_is(start);
	good = !workbook_refuses(start, error) &&
		(workbook_is(start) ? read_workbook(h, &csv, m, error) : read_lines(h, &csv, m, error));
	csv_release(&csv);
	export_close(fd);
	return good;
}

void export_head_release(struct export_head *h)
{
	buf_release(&h->text);
}
