#include "intake/intake_internal.h"

void intake_say(struct intake *run, enum note_kind kind, enum diag_level level, struct row_place place)
{
	struct intake_note n = { kind, level, place.file, place.line, place.last, place.col, { "", 0 }, buf_slice(&run->text) };

	if (place.file < run->nsheets && run->sheet[place.file].col) {
		n.sheet = buf_slice(&run->sheet[place.file].name);
		n.col = n.col ? n.col : run->sheet[place.file].col;
	}
	run->counts.notes[kind]++;
	run->note(run->arg, &n);
	run->text.n = 0;
}

bool intake_say_row(struct source *s, enum note_kind kind, const char *text)
{
	buf_str(&s->run->text, text);
	intake_say(s->run, kind, LEVEL_NOTE, s->place);
	return true;
}

struct buf *intake_fault(struct source *s, size_t index)
{
	if (s->row_wrong) {
		s->line_text.n = 0;
		return &s->line_text;
	}
	s->row_wrong = true;
	s->wrong.n = 0;
	s->wrong_col = index < s->ncells ? s->cell[index].col : 0;
	return &s->wrong;
}

void intake_say_fault(struct source *s, enum note_kind kind)
{
	struct row_place place = s->place;

	place.col = s->wrong_col;
	buf_add(&s->run->text, buf_slice(&s->wrong));
	intake_say(s->run, kind, LEVEL_ERROR, place);
}

bool intake_say_unreadable(struct source *s)
{
	intake_say_fault(s, NOTE_UNREADABLE);
	return true;
}

void intake_column_name(const struct source *s, int column, struct buf *out)
{
	const struct map_column *c = &s->m->column[column];

	if (c->name.n)
		buf_printf(out, "`%.*s`", SHOWN(c->name));
	else
		buf_printf(out, "column %zu", c->number);
}
