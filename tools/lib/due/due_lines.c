#include "due/due_lines.h"

#include <stdlib.h>

#include "book/diag.h"
#include "book/line.h"

void due_lines_init(struct due_lines *d)
{
	*d = (struct due_lines){ .mark = NULL };
	intern_init(&d->ids);
}

void due_lines_release(struct due_lines *d)
{
	intern_release(&d->ids);
	free(d->mark);
	free(d->note);
	buf_release(&d->name);
}

/* ---- names */

static void add_part(struct buf *name, struct slice part)
{
	if (!part.n)
		return;
	if (name->n)
		buf_char(name, ' ');
	buf_add(name, part);
}

static struct slice name_of(struct due_lines *d, const char *word, struct slice a, struct slice b)
{
	d->name.n = 0;
	add_part(&d->name, slice_of(word));
	add_part(&d->name, a);
	add_part(&d->name, b);
	return buf_slice(&d->name);
}

/* By day and time, then by where it is in the input. */
static bool is_before(const struct due_line *a, const struct due_line *b)
{
	if (a->day != b->day)
		return a->day < b->day;
	if (a->second != b->second)
		return a->second < b->second;
	return a->file != b->file ? a->file < b->file : a->number < b->number;
}

static void mark(struct due_lines *d, struct slice name, const struct line *l)
{
	struct due_line line = { l->stamp.day, l->stamp.second, l->file, l->number };
	uint32_t before = d->ids.n, id = intern_id(&d->ids, name);
	struct due_mark *m;

	d->mark = mem_grow(d->mark, &d->cap, id + 1u, sizeof *d->mark);
	m = &d->mark[id];
	if (id >= before)
		*m = (struct due_mark){ line, line };
	if (is_before(&line, &m->first))
		m->first = line;
	if (is_before(&m->last, &line))
		m->last = line;
}

/* ---- taking in */

static void take_labels(struct due_lines *d, const struct line *l)
{
	const struct field *f = line_field(l, FIELD_MC);

	for (size_t i = 0; f && i < f->n; i++)
		if (l->item[f->first + i].label.n)
			mark(d, name_of(d, "probe", l->subject, l->item[f->first + i].label), l);
}

static void take_names(struct due_lines *d, const struct line *l)
{
	struct slice meter = line_word(l, FIELD_METER), into = line_word(l, FIELD_INTO);

	mark(d, name_of(d, "", l->subject, SLICE("")), l);
	d->name.n = 0;
	add_part(&d->name, l->word);
	add_part(&d->name, l->subject);
	mark(d, buf_slice(&d->name), l);
	if (l->event->id == EVENT_AIR) {
		add_part(&d->name, l->date);
		mark(d, buf_slice(&d->name), l);
		add_part(&d->name, l->time);
		mark(d, buf_slice(&d->name), l);
	}
	if (line_field(l, FIELD_MC))
		mark(d, name_of(d, "mc", l->subject, l->date), l);
	if (meter.n)
		mark(d, name_of(d, "meter=", slice_upto(meter, slice_find(meter, '/')), SLICE("")), l);
	if (l->event->id == EVENT_TALLY)
		mark(d, name_of(d, "tally at", line_word(l, FIELD_AT), SLICE("")), l);
	if (into.n)
		mark(d, name_of(d, "into", into, SLICE("")), l);
	take_labels(d, l);
}

void due_lines_take(struct due_lines *d, const struct line *l)
{
	struct due_note note = { .file = l->file, .number = l->number, .day = INT32_MIN };

	if (l->kind != LINE_EVENT && l->kind != LINE_BAD)
		return;
	if (l->kind == LINE_EVENT) {
		take_names(d, l);
		note.subject = intern_id(&d->ids, l->subject);
		note.day = l->stamp.day;
		note.event = l->event->id;
	}
	d->note = mem_grow(d->note, &d->notes_cap, d->n + 1, sizeof *d->note);
	d->note[d->n++] = note;
}

/* ---- asking */

struct due_line due_lines_first(struct due_lines *d, const char *word, struct slice a, struct slice b)
{
	uint32_t id = intern_find(&d->ids, name_of(d, word, a, b));

	return id ? d->mark[id].first : (struct due_line){ 0 };
}

struct due_line due_lines_last(struct due_lines *d, const char *word, struct slice a, struct slice b)
{
	uint32_t id = intern_find(&d->ids, name_of(d, word, a, b));

	return id ? d->mark[id].last : (struct due_line){ 0 };
}

static int by_place(const void *a, const void *b)
{
	const struct due_note *x = a, *y = b;

	if (x->file != y->file)
		return x->file < y->file ? -1 : 1;
	return (x->number > y->number) - (x->number < y->number);
}

const struct due_note *due_lines_at(const struct due_lines *d, const struct place *place)
{
	struct due_note key = { .file = place->file, .number = place->line };

	return d->n ? bsearch(&key, d->note, d->n, sizeof key, by_place) : NULL;
}

struct slice due_lines_subject(const struct due_lines *d, const struct due_note *note)
{
	return intern_text(&d->ids, note->subject);
}
