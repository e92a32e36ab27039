#include "intake/decimal_comma.h"
#include "intake/export_file.h"
#include "intake/intake_internal.h"

/* --- time --------------------------------------------------------------------------------------- */

static bool read_time(struct source *s, struct time_reading *t)
{
	struct slice text = intake_time_text(s);
	enum timeform_fault fault = time_format_read(&s->m->form, &s->m->words, text, t, NULL);
	struct buf *out;

	if (!fault)
		return true;
	out = intake_fault(s, s->at[s->m->time_column[0]]);
	if (fault == TIME_FORMAT_MALFORMED)
		buf_printf(out, "`%.*s` is not written in the form of the mapping", SHOWN(text));
	else
		buf_printf(out, "`%.*s` is not a valid %s", SHOWN(text), fault == TIME_FORMAT_NO_DAY ? "day" : "time");
	return false;
}

enum { OFFSET_DIGITS = 7 }; /* with a sign: a day in seconds has five */

static bool all_digits(struct slice s, size_t from)
{
	for (size_t i = from; i < s.n; i++)
		if (s.p[i] < '0' || s.p[i] > '9')
			return false;
	return s.n > from;
}

static bool offset_fault(struct source *s, struct slice text)
{
	buf_printf(intake_fault(s, s->at[s->m->offset_column]), "`%.*s` is not a valid offset", SHOWN(text));
	return false;
}

/* The offset from its own column. */
static bool read_offset(struct source *s, struct time_reading *t)
{
	static const int32_t unit_s[] = { HOUR_S / 4, HOUR_S, MINUTE_S, 1 };
	struct slice text = intake_column_text(s, s->m->offset_column);
	bool minus;
	int64_t v = 0;
	size_t i = 0;

	t->has_offset = true;
	if (s->m->offset_in == OFFSET_TEXT)
		return time_format_offset(text, &t->offset_s) == text.n && text.n ? true : offset_fault(s, text);
	minus = text.n && text.p[0] == '-';
	i = text.n && (text.p[0] == '-' || text.p[0] == '+');
	if (!all_digits(text, i) || text.n > OFFSET_DIGITS)
		return offset_fault(s, text);
	for (; i < text.n; i++)
		v = v * 10 + (text.p[i] - '0');
	v *= unit_s[s->m->offset_in];
	if (v >= DAY_S)
		return offset_fault(s, text);
	t->offset_s = (int32_t)(minus ? -v : v);
	return true;
}

static bool row_moment(struct source *s, struct time_reading *t)
{
	if (!read_time(s, t))
		return false;
	if (s->m->clock == CLOCK_COLUMN)
		return read_offset(s, t);
	if (s->m->clock == CLOCK_HEADER) {
		t->has_offset = true;
		t->offset_s = s->offset_s;
	}
	return true;
}

/* --- rows --------------------------------------------------------------------------------------- */

static bool is_trailer(struct source *s)
{
	for (size_t i = 0; i < s->ncells; i++) {
		struct slice text = intake_cell_text(s, i, &s->scratch);

		if (!text.n)
			continue;
		for (size_t k = 0; k < s->m->trailer.n; k++)
			if (map_glob(s->m->trailer.v[k], text))
				return true;
		return false;
	}
	return false;
}

static bool data_row(struct source *s, const struct csv_row *row)
{
	struct row_records records;
	struct time_reading t;
	uint64_t key;
	bool wanted;

	if (!intake_take_cells(s, row) || !row_moment(s, &t)) {
		s->loose_line = s->loose_line ? s->loose_line : s->place.line;
		return intake_say_unreadable(s);
	}
	if (s->foreign_line) {
		buf_printf(intake_fault(s, SIZE_MAX), "the row is not read, because the header row on line %llu is not that of the mapping",
			(unsigned long long)s->foreign_line);
		return intake_say_unreadable(s);
	}
	s->loose_line = 0;
	s->front_seen = 0;
	key = intake_make_records(s, &t, &records, &wanted);
	if (records.n) {
		if (s->row_wrong)
			intake_say_fault(s, NOTE_CELL);
		intake_row_time(s, &records, key, &t);
		return true;
	}
	if (s->row_wrong)
		return intake_say_unreadable(s);
	return wanted ? intake_say_row(s, NOTE_NO_READING, "no reading") : intake_say_row(s, NOTE_UNWANTED, "no entry of the mapping matches the row");
}

static bool row_fault(struct source *s, const struct csv_row *row)
{
	buf_str(intake_fault(s, SIZE_MAX), row->fault == CSV_TOO_LONG ? "the line is longer than 1 MiB" : "the row has more than 4096 cells");
	return intake_say_unreadable(s);
}

static bool json_row(struct source *s, const struct csv_row *row)
{
	struct csv_row cells;

	if (!slice_trim(row->raw).n)
		return intake_say_row(s, NOTE_BLANK, "blank");
	return intake_json_cells(s, row, &cells) ? data_row(s, &cells) : intake_say_unreadable(s);
}

static bool take_row(struct source *s, const struct csv_row *row)
{
	bool trailer;

	if (row->fault)
		return row_fault(s, row);
	if (s->json)
		return json_row(s, row);
	if (s->phase == PHASE_TITLE && intake_title_row(s, row))
		return true;
	if (s->phase == PHASE_HEADING && intake_heading_row(s, row))
		return true;
	if (intake_used_cells(row) == 0)
		return intake_say_row(s, NOTE_BLANK, "blank");
	if (row->rewrapped) {
		buf_str(&s->run->text, "the whole row was in quotes as one cell; it was split again");
		intake_say(s->run, NOTE_FORM, LEVEL_NOTE, s->place);
	}
	s->cell = row->cell;
	s->ncells = row->n;
	trailer = is_trailer(s);
	if (intake_section_row(s, row, trailer))
		return true;
	if (!trailer)
		return data_row(s, row);
	s->loose_line = s->loose_line ? s->loose_line : s->place.line;
	return intake_say_row(s, NOTE_TRAILER, "trailer");
}

/* The file ended before its headings did. */
static void ended(struct source *s)
{
	s->ended = true;
	if (s->csv.error)
		return;
	if (s->phase == PHASE_TITLE && s->m->header_has.n && !s->failed) {
		buf_printf(&s->run->text, "no row has the cell `%.*s` of the mapping's `header-has`", SHOWN(s->m->header_has));
		s->place.line = s->place.last = 1;
		intake_say(s->run, NOTE_FILE, LEVEL_ERROR, s->place);
		s->failed = true;
	}
	intake_sequences_settle(s);
}

bool intake_source_row(struct source *s)
{
	const struct csv_row *row = intake_next_row(s);

	if (!row) {
		ended(s);
		return false;
	}
	s->run->counts.rows++;
	s->row_wrong = false;
	s->place = (struct row_place){ s->file, 0, row->line, row->last };
	take_row(s, row);
	return !s->failed;
}

void intake_source_release(struct source *s)
{
	export_close(s->csv.fd);
	csv_release(&s->csv);
	intake_formats_release(s);
	buf_release(&s->heading_text);
	free(s->heading);
	free(s->front);
	free(s->at);
	free(s->unit_noted);
	free(s->missing_noted);
	if (s->fit)
		decimal_comma_release(s->fit);
	free(s->fit);
	free(s->commas_column);
	buf_release(&s->scratch);
	buf_release(&s->time_text);
	buf_release(&s->line_text);
	buf_release(&s->unit_text);
	buf_release(&s->wrong);
	intake_sequences_release(s);
	while (s->first < s->nready)
		intake_record_drop(s->run, s->ready[s->first++]);
	free(s->ready);
}
