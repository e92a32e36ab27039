#include "base/mem.h"
#include "intake/decimal_comma.h"
#include "intake/intake_internal.h"

enum { FRONT_MOST = 64, JOINED = 1 << 30 };

#define SHOWN(s) (int)((s).n < 40 ? (s).n : 40), (s).p

/* --- telling ---------------------------------------------------------------------------------- */

void intake_say(struct intake *run, enum told kind, enum told_level level, struct row_place place)
{
	struct intake_note n = { kind, level, place.file, place.line, place.last, place.col, buf_slice(&run->text) };

	run->counts.told[kind]++;
	run->tell(run->arg, &n);
	run->text.n = 0;
}

static bool told(struct source *s, enum told kind, const char *text)
{
	buf_str(&s->run->text, text);
	intake_say(s->run, kind, TOLD_NOTE, s->place);
	return true;
}

/* Notes what is wrong with a cell of the row in hand; the first one is kept for the row. */
static struct buf *wrong(struct source *s, size_t index)
{
	static const size_t nowhere = SIZE_MAX;

	if (s->row_wrong) {
		s->line_text.n = 0;
		return &s->line_text;
	}
	s->row_wrong = true;
	s->wrong.n = 0;
	s->wrong_col = index != nowhere && index < s->ncells ? s->cell[index].col : 0;
	return &s->wrong;
}

/* The row's fault is told: as a row that could not be read, or a cell of one that else could. */
static void tell_wrong(struct source *s, enum told kind)
{
	struct row_place place = s->place;

	place.col = s->wrong_col;
	buf_add(&s->run->text, buf_slice(&s->wrong));
	intake_say(s->run, kind, TOLD_ERROR, place);
}

static bool unreadable(struct source *s)
{
	tell_wrong(s, TOLD_UNREADABLE);
	return true;
}

/* --- cells ------------------------------------------------------------------------------------ */

/* A cell's text as UTF-8 without blanks around; empty where the row has no such cell. */
static struct slice cell_text(struct source *s, size_t index, struct buf *scratch)
{
	if (index >= s->ncells)
		return (struct slice){ "", 0 };
	return cell_number_trim(csv_utf8(s->csv.style.encoding, s->cell[index].text, scratch));
}

static struct slice column_text(struct source *s, int column)
{
	return cell_text(s, s->at[column], &s->scratch);
}

/* Words, and rows of dashes and dots, that mean "no reading" in every export. */
static bool means_nothing(struct slice s)
{
	static const char *const words[] = { "na", "n/a", "#n/a", "nan", "null", "none", "nil", NULL };
	size_t i = 0;

	while (i < s.n) {
		struct slice left = slice_from(s, i);

		if (slice_starts(left, SLICE("\xe2\x80\x93")) || slice_starts(left, SLICE("\xe2\x80\x94")))
			i += 3;
		else if (memchr("-._*#", s.p[i], 5))
			i++;
		else
			break;
	}
	if (i == s.n)
		return true;
	for (i = 0; words[i]; i++)
		if (slice_of(words[i]).n == s.n && strncasecmp(words[i], s.p, s.n) == 0)
			return true;
	return false;
}

/* Digits without the zeros that do not matter, to tell whether two numbers are the same. */
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

static bool is_missing(const struct source *s, const struct map_cell *c, struct slice text)
{
	return !text.n || means_nothing(text) || is_listed(s, &s->m->missing, text) || is_listed(s, &c->missing, text);
}

/* --- values ----------------------------------------------------------------------------------- */

/* The heading of a mapping's column, or its number. */
static void column_name(const struct source *s, int column, struct buf *out)
{
	const struct map_column *c = &s->m->column[column];

	if (c->name.n)
		buf_printf(out, "`%.*s`", SHOWN(c->name));
	else
		buf_printf(out, "column %zu", c->number);
}

/* The unit of a number: what the cell says goes before what the mapping says. -1 with the fault noted. */
static int number_unit(struct source *s, const struct map_cell *c, int type, const struct cell_number *r)
{
	const struct type_def *def = vocab_type(type);
	struct slice spelled = r->unit.n ? cell_number_unit(r->unit) : (struct slice){ "", 0 };

	for (int i = def->first_unit; spelled.n && i < def->first_unit + def->nunits; i++)
		if (slice_eq(vocab_unit(i)->name, spelled)) {
			if (c->unit >= 0 && c->unit != i && !s->unit_told[c->column]) {
				s->unit_told[c->column] = true;
				column_name(s, c->column, &s->run->text);
				buf_printf(&s->run->text, " is in %.*s here, but the mapping says %.*s; the unit of the cells is used",
					SHOWN(spelled), SHOWN(vocab_unit(c->unit)->name));
				intake_say(s->run, TOLD_UNIT, TOLD_WARNING, s->place);
			}
			return i;
		}
	if (r->unit.n)
		buf_printf(wrong(s, s->at[c->column]), "`%.*s` is not a valid unit here", SHOWN(r->unit));
	else if (c->unit < 0 && def->nunits)
		buf_str(wrong(s, s->at[c->column]), "the value has no unit; give the column a `unit` in the mapping");
	else
		return c->unit;
	return -1;
}

static const char *fault_words(enum value_fault fault)
{
	switch (fault) {
	case VALUE_OUT_OF_RANGE: return "is outside the possible range";
	case VALUE_NOT_BEYOND: return "is off the scale, which this field does not allow";
	case VALUE_TOO_LONG: return "has too many digits";
	default: return "is not a valid value for this field";
	}
}

/* Whether the book takes it; the fault is noted. */
static bool value_sane(struct source *s, const struct map_field *f, const struct map_cell *c, struct slice value)
{
	struct value v;
	enum value_fault fault = value_read(f->use->type, f->use->shape, value, &v);

	if (fault)
		buf_printf(wrong(s, s->at[c->column]), "%.*s=%.*s %s", SHOWN(f->use->field->name), SHOWN(value), fault_words(fault));
	return !fault;
}

static bool number_fault(struct source *s, const struct map_cell *c, struct slice text, enum reading_fault fault)
{
	struct buf *out = wrong(s, s->at[c->column]);

	buf_printf(out, "`%.*s` ", SHOWN(text));
	if (fault == CELL_OTHER_DECIMAL)
		buf_printf(out, "has the other decimal mark; the mapping says `decimal: \"%c\"`", s->m->numbers.decimal);
	else if (fault == CELL_TOO_LONG)
		buf_str(out, "has too many digits");
	else
		buf_str(out, "is not a number; if it means no reading, list it under `missing`");
	return false;
}

static bool add_number(struct source *s, const struct map_field *f, const struct map_cell *c, struct slice text, struct buf *out)
{
	struct cell_number r;
	enum reading_fault fault = cell_number_read(text, &s->m->numbers, &r);
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

static const struct map_pair *word_for(const struct map_cell *c, struct slice text)
{
	for (size_t i = 0; i < c->nwords; i++)
		if (slice_eq(c->word[i].from, text))
			return &c->word[i];
	return NULL;
}

enum cell_gives { CELL_VALUE, CELL_NOTHING, CELL_WRONG };

/* Adds the value that a cell holds. */
static enum cell_gives cell_value(struct source *s, const struct map_field *f, const struct map_cell *c, struct buf *out)
{
	struct slice text = column_text(s, c->column);
	const struct map_pair *word = word_for(c, text);

	if (word) {
		size_t start = out->n;

		buf_add(out, word->to);
		if (!value_is_number(f->use->type) || value_sane(s, f, c, word->to))
			return CELL_VALUE;
		out->n = start;
		return CELL_WRONG;
	}
	if (is_missing(s, c, text))
		return CELL_NOTHING;
	if (value_is_number(f->use->type) && f->use->type != TYPE_DATE)
		return add_number(s, f, c, text, out) ? CELL_VALUE : CELL_WRONG;
	if (f->use->type == TYPE_TEXT)
		add_text(text, out);
	else
		buf_add(out, text);
	return CELL_VALUE;
}

/* --- records ---------------------------------------------------------------------------------- */

/* One item of a value. `-` stands for one without a reading, where others have one. */
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
static bool add_field(struct source *s, struct record *rec, const struct map_field *f)
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

/* Whether the event has all that it needs: a probe that only has the wood's temperature has not. */
static bool is_complete(const struct record *rec)
{
	const struct event_def *event = rec->entry->event;
	bool asked = false, one = false;

	for (int i = 0; i < event->nuses; i++) {
		bool has = false;

		for (size_t k = 0; k < rec->nfields; k++)
			has = has || rec->field[k].use == &event->uses[i];
		if ((event->uses[i].shape & USE_NEEDED) && !has)
			return false;
		asked = asked || (event->uses[i].shape & USE_ONE_OF);
		one = one || (has && (event->uses[i].shape & USE_ONE_OF));
	}
	return one || !asked;
}

/* False with the fault noted when the sensor's cell is empty or not in the mapping's words. */
static bool add_subject(struct source *s, const struct map_entry *e, struct record *rec)
{
	const struct map_cell *c = &e->subject.cell;
	const struct map_pair *word;
	struct slice text;

	if (!e->subject.fed) {
		buf_add(&rec->words, e->subject.text);
		rec->subject_n = rec->words.n;
		return true;
	}
	text = column_text(s, c->column);
	word = word_for(c, text);
	if (!word && c->nwords) {
		struct buf *out = wrong(s, s->at[c->column]);

		buf_printf(out, "the mapping does not explain `%.*s`; add it to `words` of ", SHOWN(text));
		column_name(s, c->column, out);
		return false;
	}
	buf_add(&rec->words, word ? word->to : text);
	rec->subject_n = rec->words.n;
	if (!rec->subject_n)
		buf_str(wrong(s, s->at[c->column]), "the subject is empty");
	return rec->subject_n > 0;
}

static bool is_wanted(struct source *s, const struct map_entry *e)
{
	for (size_t i = 0; i < e->nwhen; i++)
		if (!map_list_has(&e->when[i].is, column_text(s, e->when[i].column)))
			return false;
	return true;
}

/* Rows with the same words in the columns that choose are one sequence. */
static uint64_t add_key(struct source *s, const struct map_entry *e, uint64_t key)
{
	for (size_t i = 0; i < e->nwhen; i++)
		key = (key ^ slice_hash(column_text(s, e->when[i].column))) * 0x9e3779b97f4a7c15u;
	if (e->subject.fed)
		key = (key ^ slice_hash(column_text(s, e->subject.cell.column))) * 0x9e3779b97f4a7c15u;
	return key;
}

/* The book's own reader has the last word on a record. */
static bool is_accepted(struct source *s, struct record *rec, const struct time_reading *t)
{
	struct intake *run = s->run;
	struct stamp stamp = { t->day, s->m->form.timed ? t->second : STAMP_NO_TIME, STAMP_NO_OFFSET };
	struct slice why;

	s->line_text.n = 0;
	intake_record_write(rec, &stamp, &s->line_text);
	diags_clear(&run->diags);
	if (parse_line(&run->parser, slice_upto(buf_slice(&s->line_text), s->line_text.n - 1), 1, 0)->kind == LINE_EVENT)
		return true;
	why = run->diags.n ? diag_text(&run->diags, &run->diags.row[0]) : SLICE("it is not a valid entry");
	if (!s->row_wrong) {
		struct buf *out = wrong(s, SIZE_MAX);

		buf_str(out, "the book does not accept this entry: ");
		buf_add(out, why);
	}
	return false;
}

/* Makes the record of one entry; NULL where the row holds nothing for it. */
static struct record *entry_record(struct source *s, const struct map_entry *e, const struct time_reading *t)
{
	struct record *rec = intake_record_new(s->run);
	bool got = false;

	rec->entry = e;
	rec->map = s->map;
	rec->place = s->place;
	if (add_subject(s, e, rec)) {
		for (size_t i = 0; i < e->nfields && i < USE_MOST; i++)
			got = add_field(s, rec, &e->field[i]) || got;
		if (got && is_complete(rec) && is_accepted(s, rec, t))
			return rec;
	}
	intake_record_drop(s->run, rec);
	return NULL;
}

/* --- a comma that is both separator and decimal mark ------------------------------------------ */

static bool all_digits(struct slice s, size_t from)
{
	for (size_t i = from; i < s.n; i++)
		if (s.p[i] < '0' || s.p[i] > '9')
			return false;
	return s.n > from;
}

/* What the mapping says of a column's decimals: -1 nothing. */
static int column_decimals(const struct source *s, size_t index)
{
	for (size_t i = 0; i < s->m->nentries; i++)
		for (size_t k = 0; k < s->m->entry[i].nfields; k++)
			for (size_t j = 0; j < s->m->entry[i].field[k].n; j++) {
				const struct map_item *it = &s->m->entry[i].field[k].item[j];

				if (it->fed && s->at[it->cell.column] == index)
					return it->cell.decimals;
			}
	return -1;
}

static bool is_time_column(const struct source *s, size_t index)
{
	for (size_t i = 0; i < s->m->ntime; i++)
		if (s->at[s->m->time_column[i]] == index)
			return true;
	return false;
}

static void start_fit(struct source *s)
{
	s->fit = mem_zeroed(1, sizeof *s->fit);
	s->commas_column = mem_zeroed(s->ncols, sizeof *s->commas_column);
	for (size_t i = 0; i < s->ncols; i++) {
		s->commas_column[i].decimals = column_decimals(s, i);
		s->commas_column[i].whole = is_time_column(s, i);
	}
}

/* True when the row's cells are the columns' now; else the fault is noted. */
static bool fit_commas(struct source *s, const struct csv_row *row, size_t n)
{
	int ways;

	if (!s->fit)
		start_fit(s);
	ways = decimal_comma_row(s->fit, s->commas_column, s->ncols, row->cell, n);
	if (ways == 1) {
		s->cell = s->fit->cell;
		s->ncells = s->ncols;
		return true;
	}
	if (ways)
		buf_str(wrong(s, SIZE_MAX), "its decimal commas can be read in more than one way; give the `decimals` of each column");
	else
		buf_printf(wrong(s, SIZE_MAX), "%zu cells do not fit %zu columns, with or without decimal commas", n, s->ncols);
	return false;
}

/* --- the width of a row ------------------------------------------------------------------------- */

static bool is_numeric(struct slice s)
{
	s = cell_number_trim(s);
	return s.n && ((s.p[0] >= '0' && s.p[0] <= '9') || (s.n > 1 && s.p[0] == '-'));
}

static size_t used_cells(const struct csv_row *row)
{
	size_t n = row->n;

	while (n && !cell_number_trim(row->cell[n - 1].text).n)
		n--;
	return n;
}

static bool is_comma_mess(const struct source *s)
{
	return s->m->numbers.decimal == ',' && s->csv.style.separator_n == 1 && s->csv.style.separator[0] == ',';
}

/* Takes the row's cells; false with the fault noted where they cannot be told apart. */
static bool take_cells(struct source *s, const struct csv_row *row)
{
	size_t n = used_cells(row);

	s->cell = row->cell;
	s->ncells = row->n;
	if (!s->ncols)
		s->ncols = s->csv.expect = row->n;
	if (is_comma_mess(s) && n >= s->ncols)
		return fit_commas(s, row, n);
	for (size_t i = s->ncols; i < n; i++)
		if (is_numeric(row->cell[i].text)) {
			buf_printf(wrong(s, i), "the row has %zu cells, but the header row has %zu%s", n, s->ncols,
				s->csv.style.separator[0] == ',' && s->csv.style.separator_n == 1 ?
				"; if its numbers have decimal commas, write `decimal: \",\"`" : "");
			return false;
		}
	if (row->unended && row->n < s->ncols) {
		buf_str(wrong(s, SIZE_MAX), "the file's last row is cut short");
		return false;
	}
	return true;
}

/* --- time --------------------------------------------------------------------------------------- */

/* The text of the time: one cell, or those of date and time with a blank between. */
static struct slice time_text(struct source *s)
{
	s->time_text.n = 0;
	for (size_t i = 0; i < s->m->ntime; i++) {
		if (i)
			buf_char(&s->time_text, ' ');
		buf_add(&s->time_text, column_text(s, s->m->time_column[i]));
	}
	return buf_slice(&s->time_text);
}

static bool read_time(struct source *s, struct time_reading *t)
{
	struct slice text = time_text(s);
	enum timeform_fault fault = time_format_read(&s->m->form, &s->m->words, text, t, NULL);
	struct buf *out;

	if (!fault)
		return true;
	out = wrong(s, s->at[s->m->time_column[0]]);
	if (fault == TIME_FORMAT_MALFORMED)
		buf_printf(out, "`%.*s` is not written in the form of the mapping", SHOWN(text));
	else
		buf_printf(out, "`%.*s` is not a valid %s", SHOWN(text), fault == TIME_FORMAT_NO_DAY ? "day" : "time");
	return false;
}

static bool offset_fault(struct source *s, struct slice text)
{
	buf_printf(wrong(s, s->at[s->m->offset_column]), "`%.*s` is not a valid offset", SHOWN(text));
	return false;
}

/* The offset that stands in a column of its own. */
static bool read_offset(struct source *s, struct time_reading *t)
{
	static const int32_t unit_s[] = { 900, 3600, 60, 1 };
	struct slice text = column_text(s, s->m->offset_column);
	bool minus;
	int64_t v = 0;
	size_t i = 0;

	t->has_offset = true;
	if (s->m->offset_in == OFFSET_TEXT)
		return time_format_offset(text, &t->offset_s) == text.n && text.n ? true : offset_fault(s, text);
	minus = text.n && text.p[0] == '-';
	i = text.n && (text.p[0] == '-' || text.p[0] == '+');
	if (!all_digits(text, i) || text.n > 7)
		return offset_fault(s, text);
	for (; i < text.n; i++)
		v = v * 10 + (text.p[i] - '0');
	v *= unit_s[s->m->offset_in];
	if (v >= 86400)
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

/* Makes the row's records; *wanted: an entry is for such rows. */
static uint64_t make_records(struct source *s, const struct time_reading *t, struct row_records *row, bool *wanted)
{
	uint64_t key = 1;

	row->n = 0;
	row->place = s->place;
	*wanted = false;
	for (size_t i = 0; i < s->m->nentries; i++) {
		const struct map_entry *e = &s->m->entry[i];

		if (!is_wanted(s, e))
			continue;
		*wanted = true;
		key = add_key(s, e, key * 31 + i);
		if (row->n < sizeof row->rec / sizeof *row->rec && (row->rec[row->n] = entry_record(s, e, t)))
			row->n++;
	}
	return key;
}

static bool is_trailer(struct source *s)
{
	for (size_t i = 0; i < s->ncells; i++) {
		struct slice text = cell_text(s, i, &s->scratch);

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

	if (!take_cells(s, row) || !row_moment(s, &t))
		return unreadable(s);
	key = make_records(s, &t, &records, &wanted);
	if (records.n) {
		if (s->row_wrong)
			tell_wrong(s, TOLD_CELL);
		intake_row_time(s, &records, key, &t);
		return true;
	}
	if (s->row_wrong)
		return unreadable(s);
	return wanted ? told(s, TOLD_NO_READING, "no reading") : told(s, TOLD_UNWANTED, "no entry of the mapping matches the row");
}

/* --- before the rows ---------------------------------------------------------------------------- */

static void remember_front(struct source *s, const struct csv_row *row)
{
	if (!slice_trim(row->raw).n || s->nfront == FRONT_MOST)
		return;
	s->front = mem_grow(s->front, &s->front_cap, s->nfront + 1, sizeof *s->front);
	s->front[s->nfront++] = slice_hash(row->raw);
}

/* A line of before the rows that stands among them: two exports were put one behind the other. */
static bool is_front(const struct source *s, const struct csv_row *row)
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
		intake_say(s->run, TOLD_UNREADABLE, TOLD_ERROR, s->place);
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
	size_t used = used_cells(row);

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

static void no_column(struct source *s, const struct map_column *c, size_t found)
{
	struct buf *out = &s->run->text;
	size_t least = 4, near = SIZE_MAX;

	if (c->number) {
		buf_printf(out, "the mapping names column %zu, but the file has %zu columns", c->number, s->ncols);
	} else if (found == SIZE_MAX - 1) {
		buf_printf(out, "several columns have the heading `%.*s`; name this one by its number", SHOWN(c->name));
	} else {
		buf_printf(out, "no column has the heading `%.*s`", SHOWN(c->name));
		for (size_t i = 0; i < s->nheadings; i++) {
			size_t d = slice_distance(c->name, heading_text(s, i), least);

			if (d < least && s->heading[i].n) {
				least = d;
				near = i;
			}
		}
		if (near != SIZE_MAX)
			buf_printf(out, "; did you mean `%.*s`?", SHOWN(heading_text(s, near)));
		else
			buf_str(out, "; is this the mapping of another export?");
	}
	intake_say(s->run, TOLD_UNREADABLE, TOLD_ERROR, s->place);
	s->failed = true;
}

/* Finds the mapping's columns among the headings. */
static void resolve_columns(struct source *s)
{
	const struct mapping *m = s->m;
	struct buf wanted = BUF_INIT;

	join_headings(s);
	for (size_t i = 0; i < m->ncolumns && !s->failed; i++) {
		const struct map_column *c = &m->column[i];
		size_t found = c->number ? c->number - 1 : SIZE_MAX, start = s->nheadings;

		if (!c->number) {
			/* written by the same rule as the headings, then taken off again */
			add_heading(s, c->name, JOINED, SIZE_MAX);
			buf_add(&wanted, heading_text(s, start));
			s->nheadings = start;
			found = find_heading(s, buf_slice(&wanted));
			wanted.n = 0;
		}
		if (found >= SIZE_MAX - 1 || (s->ncols && found >= s->ncols && found >= CSV_CELLS))
			no_column(s, c, found);
		s->at[i] = found;
	}
	buf_release(&wanted);
	s->csv.expect = s->ncols;
	s->phase = PHASE_ROWS;
}

static void headings_done(struct source *s)
{
	if (s->m->clock == CLOCK_HEADER && !s->has_offset) {
		buf_str(&s->run->text, "the lines before the rows name no offset such as GMT+12:00; write it, as in `clock: \"+12:00\"`");
		intake_say(s->run, TOLD_UNREADABLE, TOLD_ERROR, s->place);
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
		if (slice_eq(cell_text(s, i, &s->scratch), text))
			return true;
	return false;
}

/* Lines before the headings; false when the row is none. */
static bool title_row(struct source *s, const struct csv_row *row)
{
	const struct mapping *m = s->m;

	if (row->line == 1 && csv_sep_line(row->raw, &s->csv.style))
		return told(s, TOLD_HEADING, "the line names the separator");
	if (m->header_has.n ? !has_cell(s, row, m->header_has) : s->nskipped < m->skip) {
		s->nskipped++;
		find_offset(s, row);
		remember_front(s, row);
		return told(s, TOLD_TITLE, "the line is before the header row");
	}
	s->phase = PHASE_HEADING;
	return false;
}

static bool heading_row(struct source *s, const struct csv_row *row)
{
	if (s->nheading >= s->m->header) {
		headings_done(s);
		return s->failed;
	}
	find_offset(s, row);
	remember_front(s, row);
	take_heading(s, row);
	told(s, TOLD_HEADING, "header row");
	if (s->nheading == s->m->header)
		headings_done(s);
	return true;
}

/* A second export in the same file: its rows go on where they like. */
static bool front_again(struct source *s)
{
	intake_sequences_settle(s);
	s->epoch = ++s->run->epochs;
	return told(s, TOLD_HEADING, "header row again");
}

static bool row_fault(struct source *s, const struct csv_row *row)
{
	buf_str(wrong(s, SIZE_MAX), row->fault == CSV_TOO_LONG ? "the line is longer than 1 MiB" : "the row has more than 4096 cells");
	return unreadable(s);
}

static bool take_row(struct source *s, const struct csv_row *row)
{
	if (row->fault)
		return row_fault(s, row);
	if (s->phase == PHASE_TITLE && title_row(s, row))
		return true;
	if (s->phase == PHASE_HEADING && heading_row(s, row))
		return true;
	if (used_cells(row) == 0)
		return told(s, TOLD_BLANK, "blank");
	if (row->rewrapped) {
		buf_str(&s->run->text, "the whole row was in quotes as one cell; it was split again");
		intake_say(s->run, TOLD_FORM, TOLD_NOTE, s->place);
	}
	s->cell = row->cell;
	s->ncells = row->n;
	if (is_front(s, row))
		return front_again(s);
	if (is_trailer(s))
		return told(s, TOLD_TRAILER, "trailer");
	return data_row(s, row);
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
		intake_say(s->run, TOLD_UNREADABLE, TOLD_ERROR, s->place);
		s->failed = true;
	}
	intake_sequences_settle(s);
}

bool intake_source_row(struct source *s)
{
	const struct csv_row *row = csv_next(&s->csv);

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
	csv_release(&s->csv);
	buf_release(&s->heading_text);
	free(s->heading);
	free(s->front);
	free(s->at);
	free(s->unit_told);
	if (s->fit)
		decimal_comma_release(s->fit);
	free(s->fit);
	free(s->commas_column);
	buf_release(&s->scratch);
	buf_release(&s->time_text);
	buf_release(&s->line_text);
	buf_release(&s->wrong);
	intake_sequences_release(s);
	while (s->first < s->nready)
		intake_record_drop(s->run, s->ready[s->first++]);
	free(s->ready);
}
