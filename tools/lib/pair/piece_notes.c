#include "pair/piece_notes.h"

#include <stdlib.h>

#include "base/sorted.h"
#include "book/line.h"

void piece_notes_init(struct piece_notes *p, struct intern *ids)
{
	*p = (struct piece_notes){ .ids = ids };
}

void piece_notes_release(struct piece_notes *p)
{
	free(p->row);
	free(p->at);
	*p = (struct piece_notes){ .ids = p->ids };
}

static void set_at(struct piece_notes *p, uint32_t piece, size_t row)
{
	size_t had = p->at_cap;

	p->at = mem_grow(p->at, &p->at_cap, piece + 1u, sizeof *p->at);
	if (p->at_cap > had)
		memset(p->at + had, 0, (p->at_cap - had) * sizeof *p->at);
	p->at[piece] = (uint32_t)row + 1;
}

const struct piece_note *piece_note_of(const struct piece_notes *p, uint32_t piece)
{
	return piece < p->at_cap && p->at[piece] ? &p->row[p->at[piece] - 1] : NULL;
}

/* NULL for a whole lot, which has no number. */
static struct piece_note *note_of(struct piece_notes *p, struct slice piece)
{
	static const struct stamp NEVER = { .day = INT32_MIN };
	size_t slash = slice_find(piece, '/');
	uint32_t id;

	if (slash == piece.n)
		return NULL;
	id = intern_id(p->ids, piece);
	if (id >= p->at_cap || !p->at[id]) {
		p->row = mem_grow(p->row, &p->cap, p->n + 1, sizeof *p->row);
		p->row[p->n] = (struct piece_note){ .piece = id, .lot = intern_id(p->ids, slice_upto(piece, slash)), .graded = NEVER, .classed = NEVER, .weighed = NEVER };
		set_at(p, id, p->n++);
	}
	return &p->row[p->at[id] - 1];
}

/* Below 0, 0 or above as `a` is before, with or after `b`. */
static int stamp_order(const struct stamp *a, const struct stamp *b)
{
	if (a->day != b->day)
		return a->day < b->day ? -1 : 1;
	return (a->second > b->second) - (a->second < b->second);
}

static void set_word(const struct piece_notes *p, const struct line *l, int field, uint32_t *word, struct stamp *since)
{
	struct slice text = line_word(l, field);
	int order = stamp_order(&l->stamp, since);

	if (!text.n || slice_eq(text, SLICE("-")) || order < 0 || (!order && slice_cmp(text, intern_text(p->ids, *word)) <= 0))
		return;
	*word = intern_id(p->ids, text);
	*since = l->stamp;
}

static void set_mass(const struct line *l, struct piece_note *note)
{
	const struct item *mass = line_item(l, FIELD_MASS);
	int order = stamp_order(&l->stamp, &note->weighed);

	if (!mass || mass->v.mark != VALUE_EXACT || order < 0 || (!order && mass->v.fix <= note->mass))
		return;
	note->mass = mass->v.fix;
	note->weighed = l->stamp;
}

static void take_judge(struct piece_notes *p, const struct line *l)
{
	struct piece_note *note = note_of(p, l->subject);

	if (!note)
		return;
	set_word(p, l, FIELD_GRADE, &note->grade, &note->graded);
	set_word(p, l, FIELD_CLASS, &note->class, &note->classed);
	set_mass(l, note);
}

/* Of two bats that say so of one piece, the name of the greater. */
static void take_part(struct piece_notes *p, const struct line *l, int field)
{
	struct piece_note *note = note_of(p, line_word(l, field));

	if (note && slice_cmp(l->subject, intern_text(p->ids, note->bat)) > 0)
		note->bat = intern_id(p->ids, l->subject);
}

void piece_notes_take(struct piece_notes *p, const struct line *l)
{
	if (l->event->id == EVENT_JUDGE)
		take_judge(p, l);
	if (l->event->id == EVENT_MAKE)
		take_part(p, l, FIELD_BLADE);
	if (l->event->id == EVENT_MAKE || l->event->id == EVENT_REHANDLE)
		take_part(p, l, FIELD_HANDLE);
}

struct sorted {
	struct piece_note note;
	struct slice text;
};

static int by_lot(const void *a, const void *b)
{
	const struct sorted *x = a, *y = b;

	if (x->note.lot != y->note.lot)
		return x->note.lot < y->note.lot ? -1 : 1;
	return slice_cmp(x->text, y->text);
}

void piece_notes_sort(struct piece_notes *p)
{
	struct sorted *all = mem_array(p->n, sizeof *all);

	for (size_t i = 0; i < p->n; i++)
		all[i] = (struct sorted){ p->row[i], intern_text(p->ids, p->row[i].piece) };
	if (p->n)
		qsort(all, p->n, sizeof *all, by_lot);
	for (size_t i = 0; i < p->n; i++) {
		p->row[i] = all[i].note;
		set_at(p, p->row[i].piece, i);
	}
	free(all);
}

const struct piece_note *piece_notes_of_lot(const struct piece_notes *p, uint32_t lot, size_t *n)
{
	size_t low = SORTED_FROM(p->row, p->n, struct piece_note, lot, lot);

	for (*n = 0; low + *n < p->n && p->row[low + *n].lot == lot;)
		(*n)++;
	return p->n ? p->row + low : NULL;
}
