#include "intake/workbook.h"

#include "base/packed.h"
#include "intake/workbook_internal.h"

enum { PIECE = 1 << 16, ROW_LONGEST = 64 << 20 };

enum cell_kind { CELL_NUMBER, CELL_SHARED, CELL_TEXT, CELL_BOOLEAN, CELL_MOMENT };

struct held_cell {
	uint32_t col;
	size_t at, n;                /* in `text` */
};

struct held_row {
	uint64_t number;
	size_t first, n;             /* in `held` */
};

struct workbook {
	struct package p;
	struct workbook_wish wish;
	struct xml_read *xml;
	char *piece;
	bool ended;
	/* rows that were read and not given yet; the last may be in the making */
	struct held_row *row;
	size_t nrows, rows_cap, at;
	struct held_cell *held;
	size_t nheld, held_cap, row_first;
	struct buf text;
	/* the row and the cell in the making */
	uint64_t row_number;
	uint32_t col;
	bool in_row, in_cell, in_value, in_formula, in_inline, in_sound, has_formula;
	enum cell_kind kind;
	unsigned shows;
	struct buf value, formula;
	/* given out */
	uint64_t line;               /* of the next row */
	uint64_t last_row;
	uint32_t first_col, last_col;
	struct csv_row out;
	struct csv_cell *cell;
	size_t cell_cap;
	struct buf raw;
};

/* --- what is wrong with the sheet ----------------------------------------------------------------- */

static void fail_at(struct workbook *w, uint32_t col, const char *why)
{
	struct buf *error = &w->p.error;

	if (error->n)
		return;
	buf_add(error, buf_slice(&w->p.sheet_name));
	buf_char(error, '!');
	workbook_cell_name(w->row_number, col ? col : 1, error);
	buf_printf(error, ": %s", why);
}

/* --- from the XML to rows that are held ------------------------------------------------------------ */

static void row_start(struct workbook *w, const char *const *attributes)
{
	struct slice r = xml_attribute(attributes, "r");
	uint64_t number = r.n ? whole_number(r) : w->row_number + 1;

	if (number <= w->row_number || number > WORKBOOK_ROWS) {
		fail_at(w, 1, "the row after this one has a number that does not follow; the workbook is damaged");
		return;
	}
	w->row_number = number;
	w->col = 0;
	w->row_first = w->nheld;
	w->in_row = true;
}

static enum cell_kind kind_of(struct slice t)
{
	if (slice_eq(t, SLICE("s")))
		return CELL_SHARED;
	if (slice_eq(t, SLICE("b")))
		return CELL_BOOLEAN;
	if (slice_eq(t, SLICE("d")))
		return CELL_MOMENT;
	return !t.n || slice_eq(t, SLICE("n")) ? CELL_NUMBER : CELL_TEXT;
}

static void cell_start(struct workbook *w, const char *const *attributes)
{
	struct slice r = xml_attribute(attributes, "r");
	uint32_t style = whole_number(xml_attribute(attributes, "s")), row = (uint32_t)w->row_number, col = w->col + 1;

	if (r.n && (!workbook_cell_read(r, &row, &col) || row != w->row_number || col <= w->col)) {
		fail_at(w, w->col + 1, "the cell here has a name that does not follow; the workbook is damaged");
		return;
	}
	w->col = col;
	w->kind = kind_of(xml_attribute(attributes, "t"));
	w->shows = style < w->p.nstyles ? w->p.style[style] : 0;
	w->value.n = w->formula.n = 0;
	w->has_formula = w->in_sound = false;
	w->in_cell = true;
}

static void on_start(void *arg, struct slice name, const char *const *attributes)
{
	struct workbook *w = arg;

	if (slice_eq(name, SLICE("row")))
		row_start(w, attributes);
	else if (w->in_row && slice_eq(name, SLICE("c")))
		cell_start(w, attributes);
	else if (w->in_cell && slice_eq(name, SLICE("v")))
		w->in_value = true;
	else if (w->in_cell && slice_eq(name, SLICE("f")))
		w->in_formula = w->has_formula = true;
	else if (w->in_cell && slice_eq(name, SLICE("rPh")))
		w->in_sound = true;
	else if (w->in_cell && !w->in_sound && slice_eq(name, SLICE("t")))
		w->in_inline = true;
}

static void on_text(void *arg, struct slice text)
{
	struct workbook *w = arg;

	if (w->in_value || w->in_inline)
		buf_add(&w->value, text);
	else if (w->in_formula)
		buf_add(&w->formula, text);
	if (w->value.n + w->formula.n > CSV_LONGEST)
		fail_at(w, w->col, "the cell has more than 1 MiB of text");
}

/* A text as the standard writes a moment, with a T between day and time. */
static void add_moment_text(struct slice s, struct buf *out)
{
	bool both = s.n > 10 && s.p[10] == 'T';

	buf_add(out, slice_upto(s, both ? 10 : s.n));
	if (both) {
		buf_char(out, ' ');
		buf_add(out, slice_from(s, 11));
	}
}

static void add_shared(struct workbook *w, struct slice index)
{
	uint32_t i = whole_number(index);

	if (i >= w->p.nstrings)
		fail_at(w, w->col, "the cell has a shared text that the workbook does not have; the workbook is damaged");
	else
		cell_add_text((struct slice){ w->p.text.p + w->p.string[i].at, w->p.string[i].n }, &w->text);
}

static void add_value(struct workbook *w)
{
	struct slice value = buf_slice(&w->value);

	if (!value.n && w->has_formula) {
		buf_char(&w->text, '=');
		cell_add_text(buf_slice(&w->formula), &w->text);
	} else if (!value.n) {
		return;
	} else if (w->kind == CELL_SHARED) {
		add_shared(w, value);
	} else if (w->kind == CELL_BOOLEAN) {
		buf_str(&w->text, slice_eq(value, SLICE("1")) || slice_eq(value, SLICE("true")) ? "TRUE" : "FALSE");
	} else if (w->kind == CELL_MOMENT) {
		add_moment_text(value, &w->text);
	} else if (w->kind == CELL_TEXT || !cell_add_number(value, w->shows, w->p.days_1904, w->wish.decimal, &w->text)) {
		cell_add_text(value, &w->text);
	}
}

static void cell_end(struct workbook *w)
{
	size_t at = w->text.n;

	w->in_cell = w->in_value = w->in_inline = w->in_formula = false;
	if (w->col < w->wish.col || w->row_number < w->wish.row)
		return;
	add_value(w);
	if (w->text.n == at)
		return;
	if (w->text.n > ROW_LONGEST)
		fail_at(w, w->col, "the row has more than 64 MiB of text");
	w->held = mem_grow(w->held, &w->held_cap, w->nheld + 1, sizeof *w->held);
	w->held[w->nheld++] = (struct held_cell){ w->col, at, w->text.n - at };
}

static void row_end(struct workbook *w)
{
	w->in_row = false;
	if (w->nheld == w->row_first)
		return;
	w->row = mem_grow(w->row, &w->rows_cap, w->nrows + 1, sizeof *w->row);
	w->row[w->nrows++] = (struct held_row){ w->row_number, w->row_first, w->nheld - w->row_first };
	w->row_first = w->nheld;
}

static void on_end(void *arg, struct slice name)
{
	struct workbook *w = arg;

	if (w->in_row && slice_eq(name, SLICE("row")))
		row_end(w);
	else if (w->in_cell && slice_eq(name, SLICE("c")))
		cell_end(w);
	w->in_value = w->in_formula = w->in_inline = false;
	if (slice_eq(name, SLICE("rPh")))
		w->in_sound = false;
}

/* --- reading --------------------------------------------------------------------------------------- */

/* Forgets the rows that were given; the cells of a row in the making move to the front. */
static void forget(struct workbook *w)
{
	size_t from = w->row_first < w->nheld ? w->held[w->row_first].at : w->text.n;

	if (!w->nheld)
		return;
	memmove(w->held, w->held + w->row_first, (w->nheld - w->row_first) * sizeof *w->held);
	w->nheld -= w->row_first;
	for (size_t i = 0; i < w->nheld; i++)
		w->held[i].at -= from;
	memmove(w->text.p, w->text.p + from, w->text.n - from);
	w->text.n -= from;
	w->row_first = w->nrows = w->at = 0;
}

static void read_piece(struct workbook *w)
{
	struct package *p = &w->p;
	long got = zip_next(p->zip, w->piece, PIECE);
	size_t line;
	const char *why;

	w->ended = got <= 0;
	if (got < 0) {
		package_fail(p, buf_slice(&p->sheet_path), zip_error(p->zip), 0);
	} else if (!xml_add(w->xml, (struct slice){ w->piece, (size_t)got }, got == 0)) {
		why = xml_error(w->xml, &line);
		package_fail(p, buf_slice(&p->sheet_path), why, line);
	}
}

static void add_cell(struct workbook *w, uint32_t col, struct slice text)
{
	size_t n = w->out.n;

	w->cell = mem_grow(w->cell, &w->cell_cap, n + 1, sizeof *w->cell);
	w->cell[n] = (struct csv_cell){ text, col, false };
	w->out.n++;
	if (n)
		buf_char(&w->raw, '\t');
	buf_add(&w->raw, text);
}

static void note_range(struct workbook *w, const struct held_row *row)
{
	uint32_t first = w->held[row->first].col, last = w->held[row->first + row->n - 1].col;

	w->first_col = w->first_col && w->first_col < first ? w->first_col : first;
	w->last_col = w->last_col > last ? w->last_col : last;
	w->last_row = row->number;
}

static const struct csv_row *give(struct workbook *w, uint64_t line, const struct held_row *row)
{
	w->out = (struct csv_row){ .line = line, .last = line };
	w->raw.n = 0;
	for (size_t i = 0; row && i < row->n; i++) {
		const struct held_cell *c = &w->held[row->first + i];

		while (w->out.n < c->col - w->wish.col)
			add_cell(w, w->wish.col + (uint32_t)w->out.n, SLICE(""));
		add_cell(w, c->col, (struct slice){ w->text.p + c->at, c->n });
	}
	if (!row)
		add_cell(w, w->wish.col, SLICE(""));
	else
		note_range(w, row);
	if (w->out.n > CSV_CELLS)
		w->out.fault = CSV_TOO_MANY;
	w->out.cell = w->cell;
	w->out.raw = buf_slice(&w->raw);
	return &w->out;
}

const struct csv_row *workbook_next(struct workbook *w)
{
	while (!w->p.error.n && w->at == w->nrows && !w->ended) {
		forget(w);
		read_piece(w);
	}
	if (w->p.error.n || w->at == w->nrows)
		return NULL;
	if (w->line < w->row[w->at].number)
		return give(w, w->line++, NULL);
	w->line = w->row[w->at].number + 1;
	w->at++;
	return give(w, w->line - 1, &w->row[w->at - 1]);
}

/* --- opening --------------------------------------------------------------------------------------- */

bool workbook_is(struct slice head)
{
	return slice_starts(head, SLICE("PK\3\4"));
}

/* The older binary form, and the container of a workbook with a password. */
static bool is_foreign(struct slice head)
{
	return slice_starts(head, SLICE("\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1"));
}

bool workbook_refuses(struct slice head, struct buf *why)
{
	size_t before = why->n;

	if (packed_kind(head) == PACKED_GZIP)
		buf_str(why, "it is packed with gzip; unpack it first, with `gzip -dk FILE`");
	else if (packed_kind(head) == PACKED_ZSTD)
		buf_str(why, "it is packed with zstd; unpack it first, with `zstd -dk FILE`");
	else if (is_foreign(head))
		buf_str(why, "it is a workbook of an older kind or with a password; save it as .xlsx without a password, or as CSV");
	return why->n > before;
}

struct workbook *workbook_open(struct slice bytes, const struct workbook_wish *wish, struct buf *error)
{
	static const struct xml_calls calls = { on_start, on_text, on_end };
	struct workbook *w = mem_zeroed(1, sizeof *w);

	w->wish = *wish;
	w->line = wish->row;
	w->p.zip = zip_open(bytes);
	if (!w->p.zip)
		buf_str(&w->p.error, "it starts as an .xlsx workbook but is not a whole one; copy or export it again");
	else if (package_read(&w->p, wish->sheet) && !zip_start(w->p.zip, buf_slice(&w->p.sheet_path)))
		package_fail(&w->p, buf_slice(&w->p.sheet_path), zip_error(w->p.zip), 0);
	if (w->p.error.n) {
		buf_add(error, buf_slice(&w->p.error));
		workbook_free(w);
		return NULL;
	}
	w->xml = xml_open(&calls, w);
	w->piece = mem_array(PIECE, 1);
	return w;
}

void workbook_free(struct workbook *w)
{
	if (!w)
		return;
	package_release(&w->p);
	xml_close(w->xml);
	free(w->piece);
	free(w->row);
	free(w->held);
	free(w->cell);
	buf_release(&w->text);
	buf_release(&w->value);
	buf_release(&w->formula);
	buf_release(&w->raw);
	free(w);
}

struct slice workbook_error(const struct workbook *w)
{
	return buf_slice(&w->p.error);
}

struct slice workbook_sheet(const struct workbook *w)
{
	return buf_slice(&w->p.sheet_name);
}

void workbook_range(const struct workbook *w, struct buf *out)
{
	uint32_t first = w->first_col ? w->first_col : w->wish.col, last = w->last_col ? w->last_col : first;

	workbook_cell_name(w->wish.row, first, out);
	buf_char(out, ':');
	workbook_cell_name(w->last_row > w->wish.row ? w->last_row : w->wish.row, last, out);
}
