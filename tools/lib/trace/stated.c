#include "trace/stated.h"

#include <stdlib.h>

#include "base/intern.h"
#include "base/sorted.h"
#include "book/line.h"

void stated_init(struct stated *t, struct intern *ids)
{
	*t = (struct stated){ .ids = ids, .pieces = true };
}

void stated_release(struct stated *t)
{
	for (size_t i = 0; i < t->nnotes; i++)
		free((char *)(uintptr_t)t->note[i].text.p);
	free(t->source);
	free(t->judge);
	free(t->bat);
	free(t->back);
	free(t->note);
	free(t->kiln);
	free(t->of_blade);
	memset(t, 0, sizeof *t);
}

/* ---- taking lines in */

static uint32_t id_of(struct stated *t, const struct line *l, int field)
{
	return intern_memo(t->ids, &t->met[field], line_word(l, field));
}

#define ROW(subject_) .id = intern_memo(t->ids, &t->met[FIELDS_END], subject_), .day = l->stamp.day, .text_hash = slice_hash(l->text)

static void take_source(struct stated *t, const struct line *l)
{
	t->source = mem_grow(t->source, &t->sources_cap, t->nsources + 1, sizeof *t->source);
	t->source[t->nsources++] = (struct stated_source){ ROW(l->subject), .parcel = id_of(t, l, FIELD_PARCEL),
		.site = id_of(t, l, FIELD_SITE), .licence = id_of(t, l, FIELD_LICENCE), .from = id_of(t, l, FIELD_FROM),
		.origin = id_of(t, l, FIELD_ORIGIN), .doc = id_of(t, l, FIELD_DOC), .event = (uint32_t)l->event->id };
}

static void take_judge(struct stated *t, const struct line *l)
{
	const struct item *grains = line_item(l, FIELD_GRAINS);
	struct slice lot = slice_upto(l->subject, slice_find(l->subject, '/'));

	t->judge = mem_grow(t->judge, &t->judges_cap, t->njudges + 1, sizeof *t->judge);
	t->judge[t->njudges++] = (struct stated_judge){ ROW(lot), .piece = intern_id(t->ids, l->subject), .by = id_of(t, l, FIELD_BY),
		.grade = id_of(t, l, FIELD_GRADE), .grains = grains ? (int32_t)grains->v.fix : -1 };
}

static void take_bat(struct stated *t, const struct line *l)
{
	t->bat = mem_grow(t->bat, &t->bats_cap, t->nbats + 1, sizeof *t->bat);
	t->bat[t->nbats++] = (struct stated_bat){ ROW(l->subject), .blade = id_of(t, l, FIELD_BLADE), .handle = id_of(t, l, FIELD_HANDLE) };
}

static void take_return(struct stated *t, const struct line *l)
{
	int64_t n = line_field(l, FIELD_COUNT) ? line_sum(l, FIELD_COUNT) : 1;

	t->back = mem_grow(t->back, &t->backs_cap, t->nbacks + 1, sizeof *t->back);
	t->back[t->nbacks++] = (struct stated_return){ ROW(l->subject), .cause = id_of(t, l, FIELD_CAUSE), .from = id_of(t, l, FIELD_FROM), .n = n };
}

static void take_note(struct stated *t, const struct line *l)
{
	struct slice text = line_word(l, FIELD_TEXT);

	t->note = mem_grow(t->note, &t->notes_cap, t->nnotes + 1, sizeof *t->note);
	t->note[t->nnotes++] = (struct stated_note){ ROW(l->subject), .by = id_of(t, l, FIELD_BY), .text = { mem_copy(text.p, text.n), text.n } };
}

/* If two lines disagree, the name that sorts first. */
static void take_kiln(struct stated *t, const struct line *l)
{
	uint32_t charge = intern_memo(t->ids, &t->met[FIELDS_END], l->subject), kiln = id_of(t, l, FIELD_KILN);
	size_t had = t->kilns_cap;

	t->kiln = mem_grow(t->kiln, &t->kilns_cap, charge + 1u, sizeof *t->kiln);
	if (t->kilns_cap > had)
		memset(t->kiln + had, 0, (t->kilns_cap - had) * sizeof *t->kiln);
	if (!t->kiln[charge] || slice_cmp(intern_text(t->ids, kiln), intern_text(t->ids, t->kiln[charge])) < 0)
		t->kiln[charge] = kiln;
}

void stated_take(struct stated *t, const struct line *l)
{
	switch (l->event->id) {
	case EVENT_FELL:
	case EVENT_BUY:
		take_source(t, l);
		break;
	case EVENT_TALLY:
		if (line_sum(l, FIELD_FOUND))
			take_source(t, l);
		break;
	case EVENT_JUDGE:
		if (t->pieces)
			take_judge(t, l);
		break;
	case EVENT_MAKE:
	case EVENT_REHANDLE:
		take_bat(t, l);
		break;
	case EVENT_RETURN:
		take_return(t, l);
		break;
	case EVENT_NOTE:
		take_note(t, l);
		break;
	case EVENT_LOAD:
		take_kiln(t, l);
		break;
	}
}

/* ---- order */

/* What every row begins with. */
struct stated_row {
	STATED_ROW;
};

static int by_row(const void *a, const void *b)
{
	const struct stated_row *x = a, *y = b;

	if (x->id != y->id)
		return x->id < y->id ? -1 : 1;
	if (x->day != y->day)
		return x->day < y->day ? -1 : 1;
	return (x->text_hash > y->text_hash) - (x->text_hash < y->text_hash);
}

/* The one that says where it is from before a count that found more. */
static int by_source(const void *a, const void *b)
{
	const struct stated_source *x = a, *y = b;

	if (x->id == y->id && (x->event == EVENT_TALLY) != (y->event == EVENT_TALLY))
		return x->event == EVENT_TALLY ? 1 : -1;
	return by_row(a, b);
}

static void sort(void *rows, size_t n, size_t size, int (*order)(const void *a, const void *b))
{
	if (n)
		qsort(rows, n, size, order);
}

struct blade_row {
	uint32_t blade, row;
};

static int by_blade(const void *a, const void *b)
{
	const struct blade_row *x = a, *y = b;

	if (x->blade != y->blade)
		return x->blade < y->blade ? -1 : 1;
	return (x->row > y->row) - (x->row < y->row);
}

/* When the bats are in order. */
static void note_blades(struct stated *t)
{
	t->of_blade = mem_array(t->nbats, sizeof *t->of_blade);
	for (size_t i = 0; i < t->nbats; i++)
		t->of_blade[i] = (struct blade_row){ t->bat[i].blade, (uint32_t)i };
	sort(t->of_blade, t->nbats, sizeof *t->of_blade, by_blade);
}

void stated_end(struct stated *t)
{
	sort(t->source, t->nsources, sizeof *t->source, by_source);
	sort(t->judge, t->njudges, sizeof *t->judge, by_row);
	sort(t->bat, t->nbats, sizeof *t->bat, by_row);
	if (t->pieces)
		note_blades(t);
	sort(t->back, t->nbacks, sizeof *t->back, by_row);
	sort(t->note, t->nnotes, sizeof *t->note, by_row);
}

/* ---- asking */

/* The first of the rows that is not of a smaller id; of rows of `size` bytes. */
static size_t first_row(const void *rows, size_t n, size_t size, uint32_t id)
{
	size_t low = 0, high = n;

	while (low < high) {
		size_t mid = low + (high - low) / 2;
		const struct stated_row *row = (const void *)((const char *)rows + mid * size);

		if (row->id < id)
			low = mid + 1;
		else
			high = mid;
	}
	return low;
}

static const void *rows_of(const void *rows, size_t n, size_t size, uint32_t id, size_t *found)
{
	size_t first = first_row(rows, n, size, id);

	*found = first_row(rows, n, size, id + 1) - first;
	return *found ? (const char *)rows + first * size : NULL;
}

const struct stated_source *stated_source_of(const struct stated *t, uint32_t id)
{
	size_t n;

	return rows_of(t->source, t->nsources, sizeof *t->source, id, &n);
}

const struct stated_judge *stated_judges_of(const struct stated *t, uint32_t lot, size_t *n)
{
	return rows_of(t->judge, t->njudges, sizeof *t->judge, lot, n);
}

const struct stated_bat *stated_bats_of(const struct stated *t, uint32_t bat, size_t *n)
{
	return rows_of(t->bat, t->nbats, sizeof *t->bat, bat, n);
}

const struct stated_return *stated_returns_of(const struct stated *t, uint32_t id, size_t *n)
{
	return rows_of(t->back, t->nbacks, sizeof *t->back, id, n);
}

const struct stated_note *stated_notes_of(const struct stated *t, uint32_t id, size_t *n)
{
	return rows_of(t->note, t->nnotes, sizeof *t->note, id, n);
}

uint32_t stated_kiln_of(const struct stated *t, uint32_t charge)
{
	return charge < t->kilns_cap ? t->kiln[charge] : 0;
}

uint32_t stated_bat_with(const struct stated *t, uint32_t blade)
{
	size_t low = SORTED_FROM(t->of_blade, t->nbats, struct blade_row, blade, blade);

	return blade && low < t->nbats && t->of_blade[low].blade == blade ? t->bat[t->of_blade[low].row].id : 0;
}
