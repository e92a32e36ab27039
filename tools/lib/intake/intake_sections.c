#include "intake/intake_internal.h"
#include "intake/missing.h"

/*
 * A header row among the rows begins another section. The first one again goes on as before. Another
 * one gives the columns new places; if it lacks one of the mapping's, the rows after it are not read,
 * because their columns and units are not known.
 */

/* A number, perhaps with a unit, a time, or a mark for no reading: no heading. `1st floor` may be one. */
static bool is_value(const struct source *s, struct slice text)
{
	struct cell_number r;
	size_t marks = 0;

	if (missing_is(text))
		return true;
	if (!cell_number_read(text, &s->m->numbers, &r))
		if (!r.unit.n || cell_number_unit(r.unit).n)
			return true;
	for (size_t i = 0; i < text.n; i++)
		marks += memchr("0123456789.,:-+/ ", text.p[i], 17) != NULL;
	return marks * 2 > text.n;
}

static bool has_time(struct source *s)
{
	struct time_reading t;
	struct slice text = intake_time_text(s);

	return text.n && time_format_read(&s->m->form, &s->m->words, text, &t, NULL) == TIME_FORMAT_OK;
}

/* Texts alone, of which one is a heading or has a unit, or which fill every column. */
static bool is_header_row(struct source *s)
{
	struct slice time = intake_column_text(s, s->m->time_column[0]);
	size_t texts = 0, known = 0;

	if ((time.n && time.p[0] >= '0' && time.p[0] <= '9') || has_time(s))
		return false;
	if (intake_is_heading_of(s, s->m->time_column[0], intake_column_text(s, s->m->time_column[0])))
		return true;
	for (size_t i = 0; i < s->ncells; i++) {
		struct slice text = intake_cell_text(s, i, &s->scratch);

		if (!text.n)
			continue;
		if (is_value(s, text))
			return false;
		texts++;
		known += intake_is_heading(s, text) || cell_number_heading_unit(text).n;
	}
	return texts >= 2 && (known || texts >= s->ncols);
}

/* The row's cells, and the rows after it, are another export's. */
static void begin(struct source *s)
{
	intake_sequences_settle(s);
	s->epoch = ++s->run->epochs;
}

/* Lines before this header row are not those before the first: perhaps another instrument's. */
static void warn_front(struct source *s)
{
	struct row_place place = s->place;

	if (s->loose_line && s->nfront > s->m->header && s->front_seen < s->nfront - s->m->header) {
		place.line = place.last = s->loose_line;
		buf_str(&s->run->text, "from here on another export follows, and the lines before its readings are not those at the start; "
			"if it is another instrument's, split the file here");
		intake_say(s->run, NOTE_SECTION, LEVEL_WARNING, place);
	}
	s->loose_line = 0;
}

static bool front_again(struct source *s, const struct csv_row *row)
{
	struct buf wrong = BUF_INIT;

	s->front_seen++;
	if (s->m->header && slice_hash(row->raw) == s->first_heading) {
		s->front_seen--;
		begin(s);
		warn_front(s);
		s->foreign_line = s->m->header == 1 && !intake_headings_again(s, row, &wrong) ? s->place.line : 0;
		buf_release(&wrong);
	}
	return intake_say_row(s, NOTE_HEADING, "header row again");
}

static bool other_header(struct source *s, const struct csv_row *row, bool trailer)
{
	struct buf wrong = BUF_INIT;

	begin(s);
	s->foreign_line = s->place.line;
	if (s->m->header == 1 && intake_headings_again(s, row, &wrong)) {
		s->foreign_line = 0;
		intake_say_row(s, NOTE_HEADING, "another header row: the columns are found by their headings again");
	} else if (trailer) {
		intake_say_row(s, NOTE_TRAILER, "trailer");
	} else {
		buf_printf(intake_fault(s, SIZE_MAX), "a second header row, unlike the first%s%s; split the file before this line, "
			"and take in each part by its own mapping", wrong.n ? ": " : "", wrong.n ? buf_cstr(&wrong) : "");
		intake_say_unreadable(s);
	}
	buf_release(&wrong);
	return true;
}

bool intake_section_row(struct source *s, const struct csv_row *row, bool trailer)
{
	if (intake_is_front(s, row))
		return front_again(s, row);
	return is_header_row(s) && other_header(s, row, trailer);
}
