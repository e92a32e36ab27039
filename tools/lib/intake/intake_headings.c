#include "base/nearest.h"
#include "intake/decimal_comma.h"
#include "intake/intake_internal.h"

enum {
	FRONT_MOST = 64,     /* lines before the rows that are remembered, so that memory is bounded */
	JOINED = 1 << 30,    /* as a heading's row: joined from all rows of headings */
};

/* --- before the rows ---------------------------------------------------------------------------- */

static void remember_front(struct source *s, const struct csv_row *row)
{
	if (!slice_trim(row->raw).n || s->nfront == FRONT_MOST)
		return;
	s->front = mem_grow(s->front, &s->front_cap, s->nfront + 1, sizeof *s->front);
	s->front[s->nfront++] = slice_hash(row->raw);
}

/* A title line among the rows: two exports are in one file, one after the other. */
bool intake_is_front(const struct source *s, const struct csv_row *row)
{
	uint64_t hash;

	if (!s->nfront || (row->n && row->cell[0].text.n && row->cell[0].text.p[0] >= '0' && row->cell[0].text.p[0] <= '9'))
		return false;
	hash = slice_hash(row->raw);
	for (size_t i = 0; i < s->nfront; i++)
		if (s->front[i] == hash)
			return true;
	return false;
}

/* Looks for an offset in a line before the rows. False when it says another than one before. */
static void find_offset(struct source *s, const struct csv_row *row)
{
	struct slice line = csv_utf8(s->csv.style.encoding, row->raw, &s->scratch);
	int32_t offset_s;

	if (s->m->clock != CLOCK_HEADER || !time_format_find_offset(line, &offset_s))
		return;
	if (s->has_offset && offset_s != s->offset_s) {
		buf_str(&s->run->text, "the lines before the rows name two offsets; give the one of the times, such as `clock: \"+12:00\"`");
		intake_say(s->run, NOTE_FILE, LEVEL_ERROR, s->place);
		s->failed = true;
	}
	s->has_offset = true;
	s->offset_s = offset_s;
}

static struct slice heading_text(const struct source *s, size_t i)
{
	return (struct slice){ s->heading_text.p + s->heading[i].at, s->heading[i].n };
}

/* Adds a heading's text with blanks made one. */
static void add_heading(struct source *s, struct slice text, size_t row, size_t col)
{
	size_t at = s->heading_text.n;

	while (text.n) {
		size_t blanks = time_format_blanks(text);

		if (!blanks && (text.p[0] == '\n' || text.p[0] == '\r'))
			blanks = 1;
		if (!blanks)
			buf_char(&s->heading_text, text.p[0]);
		else if (s->heading_text.n > at && s->heading_text.p[s->heading_text.n - 1] != ' ')
			buf_char(&s->heading_text, ' ');
		text = slice_from(text, blanks ? blanks : 1);
	}
	while (s->heading_text.n > at && s->heading_text.p[s->heading_text.n - 1] == ' ')
		s->heading_text.n--;
	s->heading = mem_grow(s->heading, &s->headings_cap, s->nheadings + 1, sizeof *s->heading);
	s->heading[s->nheadings++] = (struct heading){ at, s->heading_text.n - at, row, col };
}

static void take_heading(struct source *s, const struct csv_row *row)
{
	size_t used = intake_used_cells(row);

	s->cell = row->cell;
	s->ncells = row->n;
	for (size_t i = 0; i < row->n; i++)
		add_heading(s, csv_utf8(s->csv.style.encoding, row->cell[i].text, &s->scratch), s->nheading, i);
	s->ncols = used > s->ncols ? used : s->ncols;
	s->nheading++;
}

/* The headings of several rows, one above the other, joined with a blank. */
static void join_headings(struct source *s)
{
	size_t n = s->nheadings;
	struct buf all = BUF_INIT;

	for (size_t col = 0; col < s->ncols && s->nheading > 1; col++) {
		all.n = 0;
		for (size_t i = 0; i < n; i++)
			if (s->heading[i].col == col && s->heading[i].n) {
				if (all.n)
					buf_char(&all, ' ');
				buf_add(&all, heading_text(s, i));
			}
		add_heading(s, buf_slice(&all), JOINED, col);
	}
	buf_release(&all);
}

/* The column with a heading; SIZE_MAX when there is none, SIZE_MAX - 1 when there are several. */
static size_t find_heading(const struct source *s, struct slice name)
{
	size_t found = SIZE_MAX;

	for (size_t i = 0; i < s->nheadings; i++)
		if (slice_eq(heading_text(s, i), name)) {
			if (found != SIZE_MAX && found != s->heading[i].col)
				return SIZE_MAX - 1;
			found = s->heading[i].col;
		}
	return found;
}

static void no_column(struct source *s, const struct map_column *c, size_t found, struct buf *out)
{
	struct nearest near = nearest_to(c->name);

	if (c->number) {
		buf_printf(out, "the mapping names column %zu, but the file has %zu columns", c->number, s->ncols);
	} else if (found == SIZE_MAX - 1) {
		buf_printf(out, "several columns have the heading `%.*s`; name this one by its number", SHOWN(c->name));
	} else {
		buf_printf(out, "no column has the heading `%.*s`", SHOWN(c->name));
		for (size_t i = 0; i < s->nheadings; i++)
			nearest_try(&near, heading_text(s, i));
		if (near.best.n)
			buf_printf(out, "; perhaps `%.*s`?", SHOWN(near.best));
		else
			buf_str(out, "; is this the mapping of another export?");
	}
}

/* Where the headings have a column; SIZE_MAX and SIZE_MAX - 1 as find_heading(). */
static size_t column_at(struct source *s, const struct map_column *c)
{
	size_t start = s->nheadings, found;
	struct buf wanted = BUF_INIT;

	if (c->number)
		return c->number - 1;
	/* written by the same rule as the headings, then taken off again */
	add_heading(s, c->name, JOINED, SIZE_MAX);
	buf_add(&wanted, heading_text(s, start));
	s->nheadings = start;
	found = find_heading(s, buf_slice(&wanted));
	buf_release(&wanted);
	return found;
}

/* Finds the mapping's columns among the headings. */
static void resolve_columns(struct source *s)
{
	const struct mapping *m = s->m;

	join_headings(s);
	for (size_t i = 0; i < m->ncolumns && !s->failed; i++) {
		const struct map_column *c = &m->column[i];
		size_t found = column_at(s, c);

		if (found >= SIZE_MAX - 1 || (s->ncols && found >= s->ncols && found >= CSV_CELLS)) {
			no_column(s, c, found, &s->run->text);
			intake_say(s->run, NOTE_FILE, LEVEL_ERROR, s->place);
			s->failed = true;
		}
		s->at[i] = found;
	}
	s->csv.expect = s->ncols;
	s->phase = PHASE_ROWS;
}

/* --- a later header row -------------------------------------------------------------------------- */

bool intake_is_heading(const struct source *s, struct slice text)
{
	for (size_t i = 0; i < s->nheadings; i++)
		if (slice_eq(heading_text(s, i), text))
			return text.n > 0;
	return false;
}

bool intake_is_heading_of(const struct source *s, int column, struct slice text)
{
	for (size_t i = 0; i < s->nheadings; i++)
		if (s->heading[i].col == s->at[column] && slice_eq(heading_text(s, i), text))
			return text.n > 0;
	return false;
}

/* The text of the first heading of a column; empty if it has none. */
static struct slice heading_in(const struct buf *text, const struct heading *heading, size_t n, size_t col)
{
	for (size_t i = 0; i < n; i++)
		if (heading[i].col == col)
			return (struct slice){ text->p + heading[i].at, heading[i].n };
	return (struct slice){ "", 0 };
}

/* The columns of the mapping by the new headings. A column that is named by its number must be called as before. */
static bool find_again(struct source *s, const struct buf *text, const struct heading *heading, size_t n, size_t *at, struct buf *wrong)
{
	for (size_t i = 0; i < s->m->ncolumns; i++) {
		const struct map_column *c = &s->m->column[i];
		struct slice was, now;

		at[i] = column_at(s, c);
		was = heading_in(text, heading, n, at[i]);
		now = heading_in(&s->heading_text, s->heading, s->nheadings, at[i]);
		if (at[i] >= SIZE_MAX - 1) {
			no_column(s, c, at[i], wrong);
			return false;
		}
		if (c->number && !slice_eq(was, now)) {
			buf_printf(wrong, "column %zu is `%.*s` and was `%.*s`", c->number, SHOWN(now), SHOWN(was));
			return false;
		}
	}
	return true;
}

/* Rows are as wide as the new header row; the division of decimal commas is learned again. */
static void columns_changed(struct source *s)
{
	s->csv.expect = s->ncols;
	if (s->fit)
		decimal_comma_release(s->fit);
	free(s->fit);
	free(s->commas_column);
	s->fit = NULL;
	s->commas_column = NULL;
}

bool intake_headings_again(struct source *s, const struct csv_row *row, struct buf *wrong)
{
	struct buf text = s->heading_text;
	struct heading *heading = s->heading;
	size_t n = s->nheadings, cap = s->headings_cap, ncols = s->ncols;
	size_t *at = mem_zeroed(s->m->ncolumns, sizeof *at);
	bool found;

	s->heading_text = (struct buf)BUF_INIT;
	s->heading = NULL;
	s->nheadings = s->headings_cap = s->nheading = s->ncols = 0;
	take_heading(s, row);
	found = find_again(s, &text, heading, n, at, wrong);
	if (found) {
		memcpy(s->at, at, s->m->ncolumns * sizeof *at);
		columns_changed(s);
	} else {
		struct buf new_text = s->heading_text;
		struct heading *new_heading = s->heading;

		s->heading_text = text;
		s->heading = heading;
		s->nheadings = n;
		s->headings_cap = cap;
		s->ncols = ncols;
		text = new_text;
		heading = new_heading;
	}
	buf_release(&text);
	free(heading);
	free(at);
	return found;
}

/* --- the rows before ----------------------------------------------------------------------------- */

static void headings_done(struct source *s)
{
	if (s->m->clock == CLOCK_HEADER && !s->has_offset) {
		buf_str(&s->run->text, "the lines before the rows name no offset such as GMT+12:00; write it, as in `clock: \"+12:00\"`");
		intake_say(s->run, NOTE_FILE, LEVEL_ERROR, s->place);
		s->failed = true;
	}
	if (!s->failed)
		resolve_columns(s);
}

static bool has_cell(struct source *s, const struct csv_row *row, struct slice text)
{
	s->cell = row->cell;
	s->ncells = row->n;
	for (size_t i = 0; i < row->n; i++)
		if (slice_eq(intake_cell_text(s, i, &s->scratch), text))
			return true;
	return false;
}

/* Lines before the headings; false when the row is none. */
bool intake_title_row(struct source *s, const struct csv_row *row)
{
	const struct mapping *m = s->m;

	if (row->line == 1 && csv_sep_line(row->raw, &s->csv.style))
		return intake_say_row(s, NOTE_HEADING, "the line names the separator");
	if (m->header_has.n ? !has_cell(s, row, m->header_has) : s->nskipped < m->skip) {
		s->nskipped++;
		find_offset(s, row);
		remember_front(s, row);
		return intake_say_row(s, NOTE_TITLE, "the line is before the header row");
	}
	s->phase = PHASE_HEADING;
	return false;
}

bool intake_heading_row(struct source *s, const struct csv_row *row)
{
	if (s->nheading >= s->m->header) {
		headings_done(s);
		return s->failed;
	}
	find_offset(s, row);
	remember_front(s, row);
	if (!s->nheading)
		s->first_heading = slice_hash(row->raw);
	take_heading(s, row);
	intake_say_row(s, NOTE_HEADING, "header row");
	if (s->nheading == s->m->header)
		headings_done(s);
	return true;
}
