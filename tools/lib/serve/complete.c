#include "serve/complete.h"

#include <stdlib.h>

#include "serve/cursor.h"
#include "serve/say.h"
#include "serve/works.h"

/* Kinds of item, as the protocol numbers them. */
enum { ITEM_FIELD = 5, ITEM_UNIT = 11, ITEM_VALUE = 12, ITEM_ENUM = 13, ITEM_EVENT = 23 };

struct list {
	struct buf *out;
	const struct ask *ask;
	struct cursor at;
	size_t col, end;       /* of what an item replaces */
	size_t n;
	bool more;
};

static void offer(struct list *l, int kind, struct slice word, const char *after, struct slice help)
{
	struct buf text = BUF_INIT;

	if (!word.n || !slice_starts(word, l->at.typed))
		return;
	if (l->n == COMPLETE_MOST) {
		l->more = true;
		return;
	}
	buf_add(&text, word);
	buf_str(&text, after);
	buf_str(l->out, l->n ? ",\n{\"label\":" : "\n{\"label\":");
	buf_json(l->out, word);
	buf_printf(l->out, ",\"kind\":%d,\"sortText\":\"%05zu\",\"filterText\":", kind, l->n);
	buf_json(l->out, word);
	if (help.n) {
		buf_str(l->out, ",\"detail\":");
		buf_json(l->out, help);
	}
	buf_str(l->out, ",\"textEdit\":");
	say_edit(l->out, l->ask->file, l->ask->line, l->col, l->end, buf_slice(&text));
	buf_char(l->out, '}');
	l->n++;
	buf_release(&text);
}

/* ---- dates and events */

static void offer_day(struct list *l, int32_t day, struct slice help)
{
	struct buf text = BUF_INIT;

	day_write(&text, day);
	offer(l, ITEM_VALUE, buf_slice(&text), "", help);
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

	for (int i = 0; i < v->nevents; i++)
		offer(l, ITEM_EVENT, v->events[i]->name, " ", v->events[i]->help);
}

/* ---- ids of the book */

static const struct id_list *sorted_list;

/* The last used first; of those by name. */
static int by_use(const void *a, const void *b)
{
	const struct id_row *x = *(const struct id_row *const *)a, *y = *(const struct id_row *const *)b;

	if (x->last_day != y->last_day)
		return x->last_day > y->last_day ? -1 : 1;
	return slice_cmp(intern_text(&sorted_list->names, x->name), intern_text(&sorted_list->names, y->name));
}

static void offer_rows(struct list *l, unsigned slot, unsigned kinds)
{
	const struct id_list *ids = &l->ask->works->ids;
	const struct id_row **row = mem_array(ids->n, sizeof *row);
	size_t n = 0;

	for (size_t i = 0; i < ids->n; i++) {
		const struct id_row *one = &ids->row[i];

		if (one->slot == slot && one->lines > 0 && (slot || id_list_kinds(one) & kinds) && slice_starts(intern_text(&ids->names, one->name), l->at.typed))
			row[n++] = one;
	}
	sorted_list = ids;
	if (n)
		qsort(row, n, sizeof *row, by_use);
	for (size_t i = 0; i < n && !l->more; i++)
		offer(l, ITEM_VALUE, intern_text(&ids->names, row[i]->name), "", SLICE(""));
	free(row);
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

static void offer_places(struct list *l, bool kilns)
{
	const struct house *h = l->ask->works->house;

	for (size_t i = 0; i < h->nplaces; i++)
		if (!kilns || h->places[i].kind == HOUSE_PLACE_KIND_KILN)
			offer(l, ITEM_ENUM, h->places[i].id, "", h->places[i].name);
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
			offer(l, ITEM_ENUM, buf_slice(&word), "", m->name);
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
	case OF_PLACE: offer_places(l, false); break;
	case OF_KILN: offer_places(l, true); break;
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
	offer_rows(l, 0, subjects);
	if (h && subjects & (SUBJECT_KILN | SUBJECT_PLACE))
		offer_places(l, !(subjects & SUBJECT_PLACE));
	if (h && subjects & SUBJECT_METER)
		for (size_t i = 0; i < h->nmeters; i++)
			offer(l, ITEM_ENUM, h->meters[i].id, "", h->meters[i].name);
	if (h && subjects & SUBJECT_BYPRODUCT)
		offer_words(l, &h->byproducts, "");
}

static void offer_keys_that(struct list *l, bool needed)
{
	struct slice text = document_text(&l->ask->file->text, l->ask->line);

	for (int i = 0; l->at.event && i < l->at.event->nuses; i++) {
		const struct field_use *use = &l->at.event->uses[i];

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
		offer(l, ITEM_UNIT, buf_slice(&word), "", type->help);
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

static void offer_values(struct list *l)
{
	const struct field_def *f = l->at.use->field;

	if (f->label_of != OF_NOTHING && !l->at.labelled)
		offer_list(l, f->label_of, ":");
	for (int i = 0; i < f->nwords; i++)
		offer(l, ITEM_ENUM, f->words[i], "", SLICE(""));
	offer_list(l, f->of, "");
	if (kinds_of(f->id))
		offer_rows(l, 0, kinds_of(f->id));
	else if (f->type == TYPE_ID && f->of == OF_NOTHING)
		offer_rows(l, (unsigned)f->id + 1, 0);
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
	struct list l = { .out = out, .ask = ask, .at = cursor_at(&ask->works->vocab, text, ask->byte) };
	struct buf items = BUF_INIT;

	l.col = (size_t)(l.at.word.p - text.p);
	l.end = ask->byte;
	l.out = &items;
	offer_part(&l);
	buf_printf(out, "{\"isIncomplete\":%s,\"items\":[", l.more ? "true" : "false");
	buf_add(out, buf_slice(&items));
	buf_str(out, "]}");
	buf_release(&items);
}
