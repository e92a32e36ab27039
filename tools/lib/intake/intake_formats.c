#include "intake/intake_internal.h"
#include "intake/json_rows.h"
#include "intake/workbook.h"

/* What is wrong with the whole file, in run->text. Always false. */
static bool fail(struct source *s)
{
	if (!s->place.line)
		s->place.line = s->place.last = 1;
	s->place.file = s->file;
	intake_say(s->run, NOTE_FILE, LEVEL_ERROR, s->place);
	s->failed = true;
	return false;
}

/* --- workbooks ---------------------------------------------------------------------------------- */

/* Messages name the sheet. Its name outlives the source: notes about rows are held back. */
static void name_sheet(struct source *s)
{
	struct intake *run = s->run;

	run->sheet = mem_grow(run->sheet, &run->sheet_cap, s->file + 1u, sizeof *run->sheet);
	while (run->nsheets <= s->file)
		memset(&run->sheet[run->nsheets++], 0, sizeof *run->sheet);
	run->sheet[s->file].name.n = 0;
	buf_add(&run->sheet[s->file].name, workbook_sheet(s->workbook));
	run->sheet[s->file].col = s->m->first_col;
}

static bool open_workbook(struct source *s)
{
	struct workbook_wish wish = { s->m->sheet, s->m->first_row, s->m->first_col, s->m->numbers.decimal };

	if (!csv_take_all(&s->csv, WORKBOOK_BYTES, &s->bytes)) {
		if (s->csv.error)
			return false;
		buf_printf(&s->run->text, "the workbook is larger than %d MiB", WORKBOOK_BYTES >> 20);
		return fail(s);
	}
	s->workbook = workbook_open(buf_slice(&s->bytes), &wish, &s->run->text);
	if (!s->workbook)
		return fail(s);
	s->csv.style = (struct csv_style){ "\t", 1, '\0', CSV_UTF8 };
	name_sheet(s);
	return true;
}

static const struct csv_row *workbook_row(struct source *s)
{
	const struct csv_row *row = workbook_next(s->workbook);
	struct buf *out = &s->run->text;

	if (row)
		return row;
	if (workbook_error(s->workbook).n) {
		buf_add(out, workbook_error(s->workbook));
		fail(s);
	} else if (s->place.line) {
		buf_str(out, "read the cells ");
		workbook_range(s->workbook, out);
		buf_str(out, " of this sheet");
		s->place = (struct row_place){ s->file, s->m->first_col, s->m->first_row, s->m->first_row };
		intake_say(s->run, NOTE_SHEET, LEVEL_NOTE, s->place);
	}
	return NULL;
}

/* --- JSON Lines ----------------------------------------------------------------------------------- */

static bool open_json(struct source *s)
{
	const struct mapping *m = s->m;

	for (size_t i = 0; i < m->ncolumns; i++)
		if (m->column[i].number) {
			buf_printf(&s->run->text, "the mapping names column %zu, but the file is JSON Lines; name the key instead", m->column[i].number);
			return fail(s);
		}
	if (m->clock == CLOCK_HEADER) {
		buf_str(&s->run->text, "JSON Lines have no lines before the rows; write the offset, as in `clock: \"+12:00\"`");
		return fail(s);
	}
	s->json = mem_zeroed(1, sizeof *s->json);
	json_rows_init(s->json, m);
	s->csv.style = (struct csv_style){ "\1", 1, '\0', CSV_UTF8 };
	s->ncols = m->ncolumns;
	for (size_t i = 0; i < m->ncolumns; i++)
		s->at[i] = i;
	s->phase = PHASE_ROWS;
	return true;
}

static const struct csv_row *json_end(struct source *s)
{
	size_t missing = json_rows_missing(s->json);

	if (missing == SIZE_MAX || s->csv.error)
		return NULL;
	buf_printf(&s->run->text, "no line has the key `%.*s`; is this the mapping of another export?", SHOWN(s->m->column[missing].name));
	fail(s);
	return NULL;
}

bool intake_json_cells(struct source *s, const struct csv_row *row, struct csv_row *cells)
{
	struct json_error error;

	*cells = *row;
	s->ncells = 0;
	if (!json_rows_read(s->json, row->raw, &error)) {
		buf_str(intake_fault(s, SIZE_MAX), error.text);
		s->wrong_col = (uint32_t)error.col;
		return false;
	}
	cells->cell = s->json->cell;
	cells->n = s->m->ncolumns;
	return true;
}

/* --- which of them -------------------------------------------------------------------------------- */

static bool look(struct source *s)
{
	struct slice head = csv_start(&s->csv);

	s->looked = true;
	if (workbook_is(head))
		return open_workbook(s);
	if (workbook_refuses(head, &s->run->text))
		return fail(s);
	if (s->m->sheet.n || s->m->first_row > 1 || s->m->first_col > 1) {
		buf_printf(&s->run->text, "the mapping has `%s`, but the file is not an .xlsx workbook; remove it, or give the workbook",
			s->m->sheet.n ? "sheet" : "first-cell");
		return fail(s);
	}
	return json_rows_is(head) ? open_json(s) : true;
}

const struct csv_row *intake_next_row(struct source *s)
{
	const struct csv_row *row;

	if (!s->looked && !look(s))
		return NULL;
	if (s->workbook)
		return workbook_row(s);
	row = csv_next(&s->csv);
	return row || !s->json ? row : json_end(s);
}

void intake_formats_release(struct source *s)
{
	workbook_free(s->workbook);
	buf_release(&s->bytes);
	if (s->json)
		json_rows_release(s->json);
	free(s->json);
}
