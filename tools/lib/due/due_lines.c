#include "due/due_lines.h"

#include <stdlib.h>

#include "book/diag.h"
#include "book/line.h"

/* First and last line of a name. */
struct due_mark {
	struct due_line first, last;
};

enum { DATE_LENGTH = sizeof "2027-12-02" - 1 };

static const char *const NAMED[DUE_NAMED] = { [DUE_METER] = "meter=", [DUE_TALLY_AT] = "tally at", [DUE_INTO] = "into" };

void due_lines_init(struct due_lines *d)
{
	*d = (struct due_lines){ .note = NULL };
	intern_init(&d->ids);
	for (size_t i = 0; i < DUE_NAMED; i++)
		intern_init(&d->marks[i].names);
}

void due_lines_release(struct due_lines *d)
{
	for (size_t i = 0; i < DUE_NAMED; i++) {
		intern_release(&d->marks[i].names);
		free(d->marks[i].of);
	}
	intern_release(&d->ids);
	free(d->latest);
	free(d->note);
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

static void extend(struct due_mark *m, const struct due_line *line)
{
	if (!m->first.number || is_before(line, &m->first))
		m->first = *line;
	if (!m->last.number || is_before(&m->last, line))
		m->last = *line;
}

/* ---- taking in */

static void mark(struct due_marks *marks, struct slice name, const struct line *l)
{
	const struct due_line line = { l->stamp.day, l->stamp.second, l->file, l->number };
	uint32_t before = marks->names.n, id;

	if (!name.n)
		return;
	id = intern_memo(&marks->names, &marks->memo, name);
	marks->of = mem_grow(marks->of, &marks->cap, id + 1u, sizeof *marks->of);
	if (id >= before)
		marks->of[id] = (struct due_mark){ { 0 }, { 0 } };
	extend(&marks->of[id], &line);
}

static void take_names(struct due_lines *d, const struct line *l)
{
	struct slice meter = line_word(l, FIELD_METER);

	mark(&d->marks[DUE_METER], slice_upto(meter, slice_find(meter, '/')), l);
	if (l->event->id == EVENT_TALLY)
		mark(&d->marks[DUE_TALLY_AT], line_word(l, FIELD_AT), l);
	mark(&d->marks[DUE_INTO], line_word(l, FIELD_INTO), l);
}

/* Joins the note to be taken to the one before it of its subject. */
static void join(struct due_lines *d, struct due_note *note, struct slice subject)
{
	uint32_t before = d->ids.n, *memo = &d->memo[(size_t)note->event->id % (sizeof d->memo / sizeof *d->memo)];

	note->subject = intern_memo(&d->ids, memo, subject);
	d->latest = mem_grow(d->latest, &d->cap, note->subject + 1u, sizeof *d->latest);
	note->before = note->subject < before ? d->latest[note->subject] : 0;
	d->latest[note->subject] = (uint32_t)d->n + 1;
}

void due_lines_take(struct due_lines *d, const struct line *l)
{
	struct due_note note = { .file = l->file, .number = l->number, .stamp = { .day = INT32_MIN } };

	if (l->kind != LINE_EVENT && l->kind != LINE_BAD)
		return;
	if (l->kind == LINE_EVENT) {
		take_names(d, l);
		note.event = l->event;
		note.stamp = l->stamp;
		note.mc = line_field(l, FIELD_MC);
		join(d, &note, l->subject);
	}
	d->note = mem_grow(d->note, &d->notes_cap, d->n + 1, sizeof *d->note);
	d->note[d->n++] = note;
}

/* ---- asking */

/* Which lines of a subject are asked for. */
struct asked {
	struct slice event;        /* empty: of any */
	bool mc, of_day, of_time;
	struct stamp stamp;
};

static bool is_asked(const struct asked *a, const struct due_note *note)
{
	if (a->event.n && !slice_eq(a->event, note->event->name))
		return false;
	if ((a->mc && !note->mc) || (a->of_day && note->stamp.day != a->stamp.day))
		return false;
	return !a->of_time || (note->stamp.second == a->stamp.second && note->stamp.offset == a->stamp.offset);
}

/* False for what is not a day, nor a day and a time. */
static bool take_when(struct asked *a, struct slice when)
{
	a->of_day = when.n;
	a->of_time = when.n > DATE_LENGTH;
	if (a->of_day && date_read(slice_upto(when, when.n < DATE_LENGTH ? when.n : DATE_LENGTH), &a->stamp.day) != DATE_OK)
		return false;
	return !a->of_time || time_read(slice_from(when, DATE_LENGTH + 1), &a->stamp);
}

static struct due_mark of_subject(const struct due_lines *d, const struct asked *a, struct slice subject)
{
	struct due_mark mark = { { 0 }, { 0 } };
	uint32_t id = intern_find(&d->ids, subject), at = id ? d->latest[id] : 0;

	for (; at; at = d->note[at - 1].before) {
		const struct due_note *note = &d->note[at - 1];
		const struct due_line line = { note->stamp.day, note->stamp.second, note->file, note->number };

		if (is_asked(a, note))
			extend(&mark, &line);
	}
	return mark;
}

static struct due_mark of_name(const struct due_marks *marks, struct slice name)
{
	uint32_t id = intern_find(&marks->names, name);

	return id ? marks->of[id] : (struct due_mark){ { 0 }, { 0 } };
}

static struct due_mark find(const struct due_lines *d, const char *word, struct slice subject, struct slice when)
{
	struct asked a = { .mc = strcmp(word, "mc") == 0, .stamp = { 0, STAMP_NO_TIME, STAMP_NO_OFFSET } };

	for (size_t i = 0; i < DUE_NAMED; i++)
		if (strcmp(word, NAMED[i]) == 0)
			return of_name(&d->marks[i], subject);
	a.event = a.mc ? SLICE("") : slice_of(word);
	return take_when(&a, when) ? of_subject(d, &a, subject) : (struct due_mark){ { 0 }, { 0 } };
}

struct due_line due_lines_first(const struct due_lines *d, const char *word, struct slice subject, struct slice when)
{
	return find(d, word, subject, when).first;
}

struct due_line due_lines_last(const struct due_lines *d, const char *word, struct slice subject, struct slice when)
{
	return find(d, word, subject, when).last;
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
