#include "intake/intake_internal.h"
#include "intake/missing.h"

/* --- no reading --------------------------------------------------------------------------------- */

/* Digits without the zeros that do not matter, to compare two numbers. */
static bool same_number(const struct cell_number *a, const struct cell_number *b)
{
	size_t an = a->n, bn = b->n;

	while (an && memchr(a->text, '.', a->n) && a->text[an - 1] == '0')
		an--;
	while (bn && memchr(b->text, '.', b->n) && b->text[bn - 1] == '0')
		bn--;
	an -= an && a->text[an - 1] == '.';
	bn -= bn && b->text[bn - 1] == '.';
	return an == bn && memcmp(a->text, b->text, an) == 0;
}

/* Whether a listed word is the cell: as text, or as the same number. */
static bool is_listed(const struct source *s, const struct map_list *list, struct slice text)
{
	static const struct cell_style point = { '.', { "", 0 } };
	struct cell_number r, wanted;
	bool read = false, number = false;

	for (size_t i = 0; i < list->n; i++) {
		if (slice_eq(list->v[i], text))
			return true;
		if (!read)
			number = cell_number_read(text, &s->m->numbers, &r) == CELL_OK && r.mark == CELL_EXACT;
		read = true;
		if (number && (cell_number_read(list->v[i], &point, &wanted) == CELL_OK ||
			       cell_number_read(list->v[i], &s->m->numbers, &wanted) == CELL_OK) &&
		    !wanted.unit.n && same_number(&r, &wanted))
			return true;
	}
	return false;
}

/* A number that the file's list calls missing, and that the field could hold. Reported once a column. */
static void warn_possible(struct source *s, const struct map_field *f, const struct map_cell *c, struct slice text)
{
	const struct type_def *def = vocab_type(f->use->type);
	struct cell_number r;
	struct buf value = BUF_INIT;
	struct value v;

	if (s->missing_noted[c->column] || !def->nunits || cell_number_change(text, &s->m->numbers, &c->change, &r))
		return;
	buf_add(&value, (struct slice){ r.text, r.n });
	buf_add(&value, vocab_unit(c->unit >= 0 ? c->unit : def->first_unit)->name);
	if (!value_read(f->use->type, f->use->shape, buf_slice(&value), &v)) {
		s->missing_noted[c->column] = true;
		buf_printf(&s->run->text, "`%.*s` is left out, because the file's `missing` lists it, but ", SHOWN(text));
		intake_column_name(s, c->column, &s->run->text);
		buf_str(&s->run->text, " can have this value; list it in `missing` of the column that it is for");
		intake_say(s->run, NOTE_LEFT_OUT, LEVEL_WARNING, s->place);
	}
	buf_release(&value);
}

static bool is_missing(struct source *s, const struct map_field *f, const struct map_cell *c, struct slice text)
{
	if (missing_is(text) || is_listed(s, &c->missing, text))
		return true;
	if (!is_listed(s, &s->m->missing, text))
		return false;
	if (value_is_number(f->use->type))
		warn_possible(s, f, c, text);
	return true;
}

/* --- values ----------------------------------------------------------------------------------- */

/* The unit that the row writes: after the number, or in the column that the mapping names for it. */
static struct slice written_unit(struct source *s, const struct map_cell *c, const struct cell_number *r)
{
	if (r->unit.n || c->unit_column < 0)
		return r->unit;
	return intake_cell_text(s, s->at[c->unit_column], &s->unit_text);
}

/* The unit of a number: what the row says goes before what the mapping says. -1 with the fault noted. */
static int number_unit(struct source *s, const struct map_cell *c, int type, const struct cell_number *r)
{
	const struct type_def *def = vocab_type(type);
	struct slice written = written_unit(s, c, r);
	struct slice spelled = written.n ? cell_number_unit(written) : (struct slice){ "", 0 };

	for (int i = def->first_unit; spelled.n && i < def->first_unit + def->nunits; i++)
		if (slice_eq(vocab_unit(i)->name, spelled)) {
			if (c->unit >= 0 && c->unit != i && !s->unit_noted[c->column]) {
				s->unit_noted[c->column] = true;
				intake_column_name(s, c->column, &s->run->text);
				buf_printf(&s->run->text, " is in %.*s here, but the mapping says %.*s; the unit of the cells is used",
					SHOWN(spelled), SHOWN(vocab_unit(c->unit)->name));
				intake_say(s->run, NOTE_UNIT, LEVEL_WARNING, s->place);
			}
			return i;
		}
	if (written.n)
		buf_printf(intake_fault(s, s->at[r->unit.n ? c->column : c->unit_column]), "`%.*s` is not a valid unit here", SHOWN(written));
	else if (c->unit_column >= 0)
		buf_str(intake_fault(s, s->at[c->unit_column]), "the cell of the unit is empty");
	else if (c->unit < 0 && def->nunits)
		buf_str(intake_fault(s, s->at[c->column]), "the value has no unit; give the column a `unit` in the mapping");
	else
		return c->unit;
	return -1;
}

static const char *fault_words(enum value_fault fault)
{
	switch (fault) {
	case VALUE_OUT_OF_RANGE: return "is outside the possible range";
	case VALUE_NOT_BEYOND: return "is off the scale, which this field does not allow";
	case VALUE_TOO_LONG: return "has too many digits; write in the mapping how many to keep after the point, such as `round: 2`";
	default: return "is not a valid value for this field";
	}
}

/* Whether the book takes it; the fault is noted. */
static bool value_sane(struct source *s, const struct map_field *f, const struct map_cell *c, struct slice value)
{
	struct value v;
	enum value_fault fault = value_read(f->use->type, f->use->shape, value, &v);

	if (fault)
		buf_printf(intake_fault(s, s->at[c->column]), "%.*s=%.*s %s", SHOWN(f->use->field->name), SHOWN(value), fault_words(fault));
	return !fault;
}

static bool number_fault(struct source *s, const struct map_cell *c, struct slice text, enum reading_fault fault)
{
	struct buf *out = intake_fault(s, s->at[c->column]);

	buf_printf(out, "`%.*s` ", SHOWN(text));
	if (fault == CELL_OTHER_DECIMAL)
		buf_printf(out, "has the other decimal mark; the mapping says `decimal-mark: \"%c\"`", s->m->numbers.decimal);
	else if (fault == CELL_TOO_LONG)
		buf_str(out, "has more than 15 digits; write in the mapping how many to keep after the point, such as `round: 2`");
	else
		buf_str(out, "is not a number; if it means no reading, list it under `missing`");
	return false;
}

static bool add_number(struct source *s, const struct map_field *f, const struct map_cell *c, struct slice text, struct buf *out)
{
	struct cell_number r;
	enum reading_fault fault = cell_number_change(text, &s->m->numbers, &c->change, &r);
	size_t start = out->n;
	bool measured = vocab_type(f->use->type)->nunits > 0;
	int unit;

	if (fault)
		return number_fault(s, c, text, fault);
	unit = number_unit(s, c, f->use->type, &r);
	if (unit < 0 && (measured || r.unit.n))
		return false;
	buf_add(out, (struct slice){ r.text, r.n });
	if (measured)
		buf_add(out, vocab_unit(unit)->name);
	if (r.mark != CELL_EXACT)
		buf_char(out, r.mark == CELL_ABOVE ? '+' : '-');
	if (value_sane(s, f, c, slice_from(buf_slice(out), start)))
		return true;
	out->n = start;
	return false;
}

static void add_text(struct slice text, struct buf *out)
{
	buf_char(out, '"');
	for (size_t i = 0; i < text.n; i++) {
		if (text.p[i] == '"' || text.p[i] == '\\')
			buf_char(out, '\\');
		buf_char(out, text.p[i] == '\n' || text.p[i] == '\r' || text.p[i] == '\t' ? ' ' : text.p[i]);
	}
	buf_char(out, '"');
}

enum cell_gives { CELL_VALUE, CELL_NOTHING, CELL_WRONG };

/* Adds the value that a cell holds. */
static enum cell_gives cell_value(struct source *s, const struct map_field *f, const struct map_cell *c, struct buf *out)
{
	struct slice text = intake_column_text(s, c->column);
	const struct map_pair *word = map_cell_word(c, text);

	if (word) {
		size_t start = out->n;

		buf_add(out, word->to);
		if (!value_is_number(f->use->type) || value_sane(s, f, c, word->to))
			return CELL_VALUE;
		out->n = start;
		return CELL_WRONG;
	}
	if (is_missing(s, f, c, text))
		return CELL_NOTHING;
	if (value_is_number(f->use->type) && f->use->type != TYPE_DATE)
		return add_number(s, f, c, text, out) ? CELL_VALUE : CELL_WRONG;
	if (f->use->type == TYPE_TEXT)
		add_text(text, out);
	else
		buf_add(out, text);
	return CELL_VALUE;
}

/* --- fields ------------------------------------------------------------------------------------- */

/* One item of a value. `-` is one without a reading, if others have one. */
static bool add_item(struct source *s, const struct map_field *f, const struct map_item *it, struct buf *out, bool *got)
{
	size_t start = out->n;
	enum cell_gives gives = CELL_VALUE;

	if (it->label.n) {
		buf_add(out, it->label);
		buf_char(out, ':');
	}
	if (it->fed)
		gives = cell_value(s, f, &it->cell, out);
	else
		buf_add(out, it->text);
	*got = *got || (it->fed && gives == CELL_VALUE);
	if (gives == CELL_VALUE)
		return true;
	if (gives == CELL_NOTHING && f->n > 1 && (f->use->shape & USE_ABSENT)) {
		buf_char(out, '-');
		return true;
	}
	out->n = start;
	return false;
}

/* Adds a field to the record, unless no cell of it holds anything. True if one does. */
bool intake_add_field(struct source *s, struct record *rec, const struct map_field *f)
{
	size_t at = rec->words.n;
	bool got = false, first = true;

	for (size_t i = 0; i < f->n; i++) {
		size_t before = rec->words.n;

		if (!first)
			buf_char(&rec->words, ',');
		if (add_item(s, f, &f->item[i], &rec->words, &got))
			first = false;
		else
			rec->words.n = before;
	}
	if (first || (f->fed && !got)) {
		rec->words.n = at;
		return false;
	}
	rec->field[rec->nfields].use = f->use;
	rec->field[rec->nfields].at = at;
	rec->field[rec->nfields++].n = rec->words.n - at;
	return got;
}
