#include "serve/complete.h"

#include <stdlib.h>

#include "serve/answer_parts.h"
#include "serve/cursor.h"
#include "serve/works.h"

/* Charges come after the places at which pieces can be. How many lines are looked through for labels. */
enum { BELOW_PLACES = 1 << 24, LABELS_LINES = 2000 };

/* Kinds of item, as the protocol numbers them. */
enum { ITEM_FIELD = 5, ITEM_UNIT = 11, ITEM_VALUE = 12, ITEM_ENUM = 13, ITEM_EVENT = 23 };

struct item_offered {
	int kind, rank;        /* the highest rank comes first, then ids by name, then what was offered first */
	bool id;
	size_t order;
	struct slice word, help;
	const char *after;
};

struct list {
	const struct ask *ask;
	struct cursor at;
	unsigned slot;         /* of the book's words: those that more lines have come first; ID_LIST_IDS: as they are offered */
	int above;             /* is added to each rank */
	struct item_offered *item;
	size_t n, cap;
	struct intern made;    /* words that were composed */
};

static void offer(struct list *l, int kind, struct slice word, const char *after, struct slice help)
{
	int rank = l->above;

	if (!word.n || !slice_starts(word, l->at.typed))
		return;
	if (l->slot != ID_LIST_IDS)
		rank += id_list_lines(&l->ask->works->ids, word, l->slot);
	l->item = mem_grow(l->item, &l->cap, l->n + 1, sizeof *l->item);
	l->item[l->n] = (struct item_offered){ kind, rank, false, l->n, word, help, after };
	l->n++;
}

/* The same of words that are made here: they are kept until the end. */
static void offer_made(struct list *l, int kind, struct slice word, const char *after, struct slice help)
{
	offer(l, kind, intern_text(&l->made, intern_id(&l->made, word)), after, help);
}

static int by_rank(const void *a, const void *b)
{
	const struct item_offered *x = a, *y = b;
	int by_name = x->id && y->id ? slice_cmp(x->word, y->word) : 0;

	if (x->rank != y->rank)
		return x->rank > y->rank ? -1 : 1;
	return by_name ? by_name : (x->order > y->order) - (x->order < y->order);
}

static void say_item(struct buf *out, const struct list *l, size_t i, size_t col)
{
	const struct item_offered *item = &l->item[i];
	struct buf text = BUF_INIT;

	buf_add(&text, item->word);
	buf_str(&text, item->after);
	buf_str(out, i ? ",\n{\"label\":" : "\n{\"label\":");
	buf_json(out, item->word);
	buf_printf(out, ",\"kind\":%d,\"sortText\":\"%05zu\",\"filterText\":", item->kind, i);
	buf_json(out, item->word);
	if (item->help.n) {
		buf_str(out, ",\"detail\":");
		buf_json(out, item->help);
	}
	buf_str(out, ",\"textEdit\":");
	say_edit(out, l->ask->file, l->ask->line, col, l->ask->byte, buf_slice(&text));
	buf_char(out, '}');
	buf_release(&text);
}

/* ---- dates and events */

static void offer_day(struct list *l, int32_t day, struct slice help)
{
	struct buf text = BUF_INIT;

	day_write(&text, day);
	offer_made(l, ITEM_VALUE, buf_slice(&text), l->at.part == CURSOR_DATE ? " " : "", help);
	buf_release(&text);
}

/* Today, and the day of the line above or of the nearest one further up. */
static void offer_days(struct list *l)
{
	const struct document *d = &l->ask->file->text;
	int32_t day, last = l->ask->today;

	offer_day(l, l->ask->today, SLICE("today"));
	for (size_t i = l->ask->line, looked = 0; i-- > 0 && looked < 1000; looked++) {
		struct slice text = slice_trim(document_text(d, i));

		if (text.n < 10 || date_read(slice_upto(text, 10), &day) != DATE_OK)
			continue;
		if (day != last)
			offer_day(l, day, SLICE("the day of the entry above"));
		last = day;
		break;
	}
	if (l->at.part == CURSOR_VALUE)
		for (int32_t i = 1; i <= 14; i++)
			offer_day(l, l->ask->today + i, SLICE(""));
}

static void offer_events(struct list *l)
{
	const struct vocab *v = &l->ask->works->vocab;

	l->slot = ID_LIST_EVENTS;
	for (int i = 0; i < v->nevents; i++)
		offer(l, ITEM_EVENT, v->events[i]->name, " ", v->events[i]->help);
}

/* ---- ids of the book */

/* The last used first; of those by name. `below` is taken from their ranks. */
static void offer_rows(struct list *l, unsigned slot, unsigned kinds, const char *after, int below)
{
	const struct id_list *ids = &l->ask->works->ids;

	for (size_t i = 0; i < ids->n; i++) {
		const struct id_row *row = &ids->row[i];
		size_t before = l->n;

		if (row->slot != slot || row->lines <= 0 || !(slot || id_list_kinds(row) & kinds))
			continue;
		offer(l, ITEM_VALUE, intern_text(&ids->names, row->name), after, SLICE(""));
		if (l->n > before) {
			l->item[before].rank = row->last_day - below;
			l->item[before].id = true;
		}
	}
}

/* A place at which the line's lot now has pieces is the likeliest one. */
static void offer_stays(struct list *l)
{
	const struct works *w = l->ask->works;
	struct slice lot = slice_upto(l->at.subject, slice_find(l->at.subject, '/'));

	for (size_t i = 0; i < w->nstays; i++) {
		struct slice said = { w->stay_text.p + w->stay[i].at, w->stay[i].n };
		size_t n = slice_find(said, ' ');

		if (!slice_eq((struct slice){ w->stay_text.p + w->stay[i].lot, w->stay[i].lot_n }, lot)
			|| !slice_starts(slice_from(said, n), SLICE(" at ")))
			continue;
		for (size_t k = 0; k < l->n; k++)
			if (slice_eq(l->item[k].word, slice_from(said, n + 4)))
				l->item[k].rank = INT32_MAX;
	}
}

/* ---- words of the house file */

static void offer_words(struct list *l, const struct house_words *words, const char *after)
{
	for (size_t i = 0; i < words->n; i++)
		offer(l, ITEM_ENUM, words->word[i], after, SLICE(""));
}

static void offer_names(struct list *l, const struct house_name *rows, size_t n, const char *after)
{
	for (size_t i = 0; i < n; i++)
		offer(l, ITEM_ENUM, rows[i].id, after, rows[i].name);
}

static void offer_places(struct list *l, bool kilns, const char *after)
{
	const struct house *h = l->ask->works->house;

	for (size_t i = 0; i < h->nplaces; i++)
		if (!kilns || h->places[i].kind == HOUSE_PLACE_KIND_KILN)
			offer(l, ITEM_ENUM, h->places[i].id, after, h->places[i].name);
}

static void offer_types(struct list *l, const char *after)
{
	const struct house *h = l->ask->works->house;

	for (size_t i = 0; i < h->ntypes; i++)
		offer(l, ITEM_ENUM, h->types[i].id, after, h->types[i].name);
}

/* Those of the scheme in force on the line's day. */
static void offer_grades(struct list *l, const char *after)
{
	const struct house_scheme *scheme;
	int32_t day;

	if (date_read(l->at.date, &day) != DATE_OK)
		day = l->ask->today;
	scheme = house_scheme_on(l->ask->works->house, day);
	if (scheme)
		offer_words(l, &scheme->list, after);
}

static void offer_meters(struct list *l)
{
	const struct house *h = l->ask->works->house;
	struct buf word = BUF_INIT;

	for (size_t i = 0; i < h->nmeters; i++) {
		const struct house_meter *m = &h->meters[i];

		offer(l, ITEM_ENUM, m->id, "", m->name);
		for (size_t k = 0; k < m->nsettings; k++) {
			if (!m->settings[k].id.n)
				continue;
			word.n = 0;
			buf_printf(&word, "%.*s/%.*s", (int)m->id.n, m->id.p, (int)m->settings[k].id.n, m->settings[k].id.p);
			offer_made(l, ITEM_ENUM, buf_slice(&word), "", m->name);
		}
	}
	buf_release(&word);
}

static void offer_forms(struct list *l)
{
	for (int i = 0; i < FORMS_END; i++)
		offer(l, ITEM_ENUM, vocab_form(i), "", SLICE(""));
}

static void offer_list(struct list *l, enum of_list of, const char *after)
{
	const struct house *h = l->ask->works->house;

	if (of == OF_FORM) {
		offer_forms(l);
		return;
	}
	if (!h)
		return;
	switch (of) {
	case OF_TYPE: offer_types(l, after); break;
	case OF_GRADE: offer_grades(l, after); break;
	case OF_WHAT: offer_types(l, after); offer_grades(l, after); break;
	case OF_PLACE: offer_places(l, false, after); break;
	case OF_KILN: offer_places(l, true, after); break;
	case OF_PERSON: offer_names(l, h->people, h->npeople, after); break;
	case OF_PARTY: offer_names(l, h->parties, h->nparties, after); break;
	case OF_CULL: offer_words(l, &h->causes.cull, after); break;
	case OF_RETURN: offer_words(l, &h->causes.give_back, after); break;
	case OF_STAGE: offer_words(l, &h->stages, after); break;
	case OF_METER: offer_meters(l); break;
	case OF_COST: for (size_t i = 0; i < h->ncosts; i++) offer(l, ITEM_ENUM, h->costs[i].id, after, SLICE("")); break;
	case OF_CLASS: for (size_t i = 0; i < h->nclasses; i++) offer(l, ITEM_ENUM, h->classes[i].id, after, SLICE("")); break;
	default: break;
	}
}

/* ---- subjects, fields and their values */

static void offer_subjects(struct list *l)
{
	const struct house *h = l->ask->works->house;
	unsigned subjects = l->at.event ? l->at.event->subjects : 0;

	if (subjects & SUBJECT_PIECE)
		subjects |= SUBJECT_LOT;
	offer_rows(l, ID_LIST_IDS, subjects, subjects & SUBJECT_PIECE ? "" : " ", 0);
	if (h && subjects & (SUBJECT_KILN | SUBJECT_PLACE))
		offer_places(l, !(subjects & SUBJECT_PLACE), " ");
	if (h && subjects & SUBJECT_METER)
		for (size_t i = 0; i < h->nmeters; i++)
			offer(l, ITEM_ENUM, h->meters[i].id, " ", h->meters[i].name);
	if (h && subjects & SUBJECT_BYPRODUCT)
		offer_words(l, &h->byproducts, " ");
}

static void offer_keys_that(struct list *l, bool needed)
{
	struct slice text = document_text(&l->ask->file->text, l->ask->line);

	for (int i = 0; l->at.event && i < l->at.event->nuses; i++) {
		const struct field_use *use = &l->at.event->uses[i];

		l->slot = ID_LIST_FIELDS + (unsigned)l->at.event->id;
		l->above = needed ? INT32_MAX / 2 : 0;
		if (((use->shape & USE_NEEDED) != 0) == needed && !cursor_has_field(text, use->field->name))
			offer(l, ITEM_FIELD, use->field->name, "=", use->field->help);
	}
}

/* A number that is written: with each unit that it may have. */
static void offer_units(struct list *l)
{
	const struct type_def *type = vocab_type(l->at.use->type);
	size_t n = 0;

	while (n < l->at.typed.n && strchr("0123456789.-", l->at.typed.p[n]))
		n++;
	if (!n || n < l->at.typed.n)
		return;
	for (int i = 0; i < type->nunits; i++) {
		struct buf word = BUF_INIT;

		buf_add(&word, l->at.typed);
		buf_add(&word, vocab_unit(type->first_unit + i)->name);
		offer_made(l, ITEM_UNIT, buf_slice(&word), "", type->help);
		buf_release(&word);
	}
}

/* The kinds of thing of the book that a field names. */
static unsigned kinds_of(int field)
{
	switch (field) {
	case FIELD_LOT: case FIELD_BLADE: case FIELD_HANDLE: case FIELD_IN: return SUBJECT_LOT;
	case FIELD_TREE: return SUBJECT_TREE;
	case FIELD_FOR: return SUBJECT_ORDER;
	case FIELD_AT: return SUBJECT_CHARGE;
	case FIELD_PARCEL: return SUBJECT_PARCEL;
	default: return 0;
	}
}

/* Whether the line in hand has an item of that label already. */
static bool has_label(const struct list *l, struct slice label)
{
	struct slice text = document_text(&l->ask->file->text, l->ask->line);

	for (const char *p = text.p; label.n && p + label.n < text.p + text.n; p++)
		if ((*p == '=' || *p == ',') && strncmp(p + 1, label.p, label.n) == 0 && p[1 + label.n] == ':')
			return true;
	return false;
}

/* The labels of the last line above of the same event and subject that has the field: the probes that are in a charge. */
static void offer_labels(struct list *l)
{
	const struct document *d = &l->ask->file->text;
	struct slice subject = l->at.subject;

	for (size_t i = l->ask->line, looked = 0; i-- > 0 && looked < LABELS_LINES; looked++) {
		const struct line *above = works_line(l->ask->works, document_text(d, i));
		bool alike = above->kind == LINE_EVENT && above->event == l->at.event && slice_eq(above->subject, subject);
		const struct field *f = alike ? line_field(above, l->at.use->field->id) : NULL;

		for (size_t k = 0; f && k < f->n; k++) {
			struct slice label = above->item[f->first + k].label;

			if (label.n && !has_label(l, label))
				offer(l, ITEM_VALUE, label, ":", SLICE("as in the entry above"));
		}
		if (f)
			return;
	}
}

static void offer_values(struct list *l)
{
	const struct field_def *f = l->at.use->field;

	l->slot = ID_LIST_VALUES + (unsigned)f->id;
	if (f->label_of != OF_NOTHING && !l->at.labelled)
		offer_list(l, f->label_of, ":");
	else if (l->at.use->shape & (USE_LABEL_MAY | USE_LABEL_MUST) && !l->at.labelled)
		offer_labels(l);
	for (int i = 0; i < f->nwords; i++)
		offer(l, ITEM_ENUM, f->words[i], "", SLICE(""));
	offer_list(l, f->of, "");
	l->slot = ID_LIST_IDS;
	if (kinds_of(f->id))
		offer_rows(l, ID_LIST_IDS, kinds_of(f->id), "", f->id == FIELD_AT ? BELOW_PLACES : 0);
	else if (f->type == TYPE_ID && f->of == OF_NOTHING)
		offer_rows(l, ID_LIST_VALUES + (unsigned)f->id, 0, "", 0);
	if (f->id == FIELD_AT)
		offer_stays(l);
	if (l->at.use->type == TYPE_DATE)
		offer_days(l);
	offer_units(l);
}

static void offer_part(struct list *l)
{
	switch (l->at.part) {
	case CURSOR_DATE: offer_days(l); break;
	case CURSOR_TIME_OR_EVENT:
	case CURSOR_EVENT: offer_events(l); break;
	case CURSOR_SUBJECT: offer_subjects(l); break;
	case CURSOR_KEY: offer_keys_that(l, true); offer_keys_that(l, false); break;
	case CURSOR_LABEL: if (l->at.use) offer_list(l, l->at.use->field->label_of, ""); break;
	case CURSOR_VALUE: if (l->at.use) offer_values(l); break;
	case CURSOR_REMARK: break;
	}
}

void complete(struct buf *out, const struct ask *ask)
{
	struct slice text = document_text(&ask->file->text, ask->line);
	struct list l = { .ask = ask, .at = cursor_at(&ask->works->vocab, text, ask->byte), .slot = ID_LIST_IDS };
	size_t n;

	intern_init(&l.made);
	offer_part(&l);
	if (l.n)
		qsort(l.item, l.n, sizeof *l.item, by_rank);
	n = l.n < COMPLETE_MOST ? l.n : COMPLETE_MOST;
	buf_printf(out, "{\"isIncomplete\":%s,\"items\":[", n < l.n ? "true" : "false");
	for (size_t i = 0; i < n; i++)
		say_item(out, &l, i, (size_t)(l.at.word.p - text.p));
	buf_str(out, "]}");
	intern_release(&l.made);
	free(l.item);
}
