#include "intake/intake_internal.h"

/* Whether the event has all that it needs: a probe that only has the wood's temperature has not. */
bool intake_is_complete(const struct record *rec)
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
	text = intake_column_text(s, c->column);
	word = map_cell_word(c, text);
	if (!word && c->nwords) {
		struct buf *out = intake_fault(s, s->at[c->column]);

		buf_printf(out, "the mapping does not explain `%.*s`; add it to `words` of ", SHOWN(text));
		intake_column_name(s, c->column, out);
		return false;
	}
	buf_add(&rec->words, word ? word->to : text);
	rec->subject_n = rec->words.n;
	if (!rec->subject_n)
		buf_str(intake_fault(s, s->at[c->column]), "the subject is empty");
	return rec->subject_n > 0;
}

static bool is_wanted(struct source *s, const struct map_entry *e)
{
	for (size_t i = 0; i < e->nwhen; i++)
		if (!map_list_has(&e->when[i].is, intake_column_text(s, e->when[i].column)))
			return false;
	return true;
}

/* Rows with the same words in the columns that choose are one sequence. */
static uint64_t add_key(struct source *s, const struct map_entry *e, uint64_t key)
{
	for (size_t i = 0; i < e->nwhen; i++)
		key = (key ^ slice_hash(intake_column_text(s, e->when[i].column))) * HASH_FACTOR;
	if (e->subject.fed)
		key = (key ^ slice_hash(intake_column_text(s, e->subject.cell.column))) * HASH_FACTOR;
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
		struct buf *out = intake_fault(s, SIZE_MAX);

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
			got = intake_add_field(s, rec, &e->field[i]) || got;
		if (got && intake_is_complete(rec) && is_accepted(s, rec, t))
			return rec;
	}
	intake_record_drop(s->run, rec);
	return NULL;
}

/* Makes the row's records; *wanted: an entry is for such rows. */
uint64_t intake_make_records(struct source *s, const struct time_reading *t, struct row_records *row, bool *wanted)
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
