#include "serve/line_ids.h"

#include "book/token.h"
#include "check/words.h"

static struct slice head_of(struct slice word)
{
	return slice_upto(word, slice_find(word, '/'));
}

static void take_subject(const struct line *l, line_id_fn *take, void *context)
{
	unsigned starts = words_start(l);
	unsigned kinds = starts ? starts : l->event->subjects;
	struct slice text = starts || !(l->event->subjects & SUBJECT_PIECE) ? l->subject : head_of(l->subject);

	take(context, &(struct line_id){ text, kinds, starts != 0 });
}

static void take_field(const struct line *l, const struct field *f, line_id_fn *take, void *context)
{
	int field = f->use->field->id;
	bool labels = l->event->stock.take == TAKE_LOTS && field == FIELD_LOT;
	struct line_id id = { .kinds = words_kinds(field), .starts = field == FIELD_PARCEL };

	if (field == FIELD_AT)
		id.kinds = SUBJECT_CHARGE;
	else if (field == FIELD_PARCEL)
		id.kinds = SUBJECT_PARCEL;
	for (size_t i = 0; id.kinds && i < f->n; i++) {
		const struct item *item = &l->item[f->first + i];

		id.text = labels ? item->label : field == FIELD_AT ? item->text : head_of(item->text);
		if (item->v.mark != VALUE_ABSENT && id.text.n)
			take(context, &id);
	}
}

void line_ids(const struct line *l, line_id_fn *take, void *context)
{
	if (l->kind != LINE_EVENT)
		return;
	take_subject(l, take, context);
	for (size_t i = 0; i < l->nfields; i++)
		take_field(l, &l->field[i], take, context);
}

void line_ids_broken(struct slice text, struct slice id, line_id_fn *take, void *context)
{
	const char *end = text.p + slice_find(text, '#'), *p = text.p;

	while (p < end) {
		const char *start = p;

		while (token_is(p, end, TOKEN_ID))
			p++;
		if (p > start && slice_eq(slice_between(start, p), id) && (start == text.p || start[-1] != '/'))
			take(context, &(struct line_id){ slice_between(start, p), 0, false });
		p += p == start;
	}
}
