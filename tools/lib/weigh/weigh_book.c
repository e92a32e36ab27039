#include "weigh/weigh_book.h"

#include <math.h>
#include <stdlib.h>

#include "base/intern.h"
#include "book/line.h"
#include "wood/meter.h"

enum { STEP_LEAST = 8 };

void weigh_book_init(struct weigh_book *b, const struct house *house, struct intern *ids)
{
	*b = (struct weigh_book){ .house = house, .ids = ids };
	stated_init(&b->stated, ids);
}

void weigh_book_release(struct weigh_book *b)
{
	stated_release(&b->stated);
	free(b->judged);
	free(b->finished);
	free(b->check);
	memset(b, 0, sizeof *b);
}

/* ---- taking lines in */

static struct weigh_when when_of(const struct line *l)
{
	return (struct weigh_when){ l->stamp.day, l->stamp.second, slice_hash(l->text) };
}

static uint32_t id_of(struct weigh_book *b, const struct line *l, int field)
{
	struct slice word = line_word(l, field);

	return slice_eq(word, SLICE("-")) ? 0 : intern_id(b->ids, word);
}

static int64_t mass_of(const struct line *l)
{
	const struct item *mass = line_item(l, FIELD_MASS);

	return mass && mass->v.mark == VALUE_EXACT ? mass->v.fix : 0;
}

static int64_t moisture_of(const struct weigh_book *b, const struct line *l)
{
	const struct item *mc = line_item(l, FIELD_MC);
	struct meter_use use;

	if (!mc || mc->v.mark != VALUE_EXACT)
		return HOUSE_NONE;
	use = meter_use_of_line(b->house, l);
	return meter_reading_of(&use, l, mc).mc;
}

static void take_judged(struct weigh_book *b, const struct line *l)
{
	uint32_t piece = intern_id(b->ids, l->subject), lot = intern_id(b->ids, slice_upto(l->subject, slice_find(l->subject, '/')));

	b->judged = mem_grow(b->judged, &b->judged_cap, b->njudged + 1, sizeof *b->judged);
	b->judged[b->njudged++] = (struct weigh_judged){ intern_text(b->ids, piece), piece, lot, id_of(b, l, FIELD_CLASS), id_of(b, l, FIELD_GRADE),
		when_of(l), mass_of(l), mass_of(l), moisture_of(b, l) };
}

static double length_mm(const struct line *l, int field)
{
	const struct item *length = line_item(l, field);

	return length && length->v.mark == VALUE_EXACT ? (double)length->v.fix / VALUE_STEPS : NAN;
}

static void take_finished(struct weigh_book *b, const struct line *l)
{
	uint32_t bat = intern_id(b->ids, l->subject);

	if (!mass_of(l))
		return;
	b->finished = mem_grow(b->finished, &b->finished_cap, b->nfinished + 1, sizeof *b->finished);
	b->finished[b->nfinished++] = (struct weigh_finished){ intern_text(b->ids, bat), bat, id_of(b, l, FIELD_BY), id_of(b, l, FIELD_SHAPE), when_of(l),
		mass_of(l), length_mm(l, FIELD_LENGTH), length_mm(l, FIELD_WIDTH), length_mm(l, FIELD_DEPTH), length_mm(l, FIELD_EDGE) };
}

static bool is_mass(const struct item *item)
{
	return item && item->v.mark == VALUE_EXACT && slice_eq(value_reading_base(item->v.unit), SLICE("g"));
}

static void take_check(struct weigh_book *b, const struct line *l)
{
	const struct item *is = line_item(l, FIELD_TRUE), *read = line_item(l, FIELD_READ);
	uint32_t balance = intern_id(b->ids, l->subject);

	if (!is_mass(is) || !is_mass(read))
		return;
	b->check = mem_grow(b->check, &b->checks_cap, b->nchecks + 1, sizeof *b->check);
	b->check[b->nchecks++] = (struct weigh_check){ intern_text(b->ids, balance), balance, when_of(l), is->v.fix, read->v.fix };
}

void weigh_book_take(struct weigh_book *b, const struct line *l)
{
	stated_take(&b->stated, l);
	if (l->event->id == EVENT_JUDGE)
		take_judged(b, l);
	else if (l->event->id == EVENT_FINISH)
		take_finished(b, l);
	else if (l->event->id == EVENT_METER)
		take_check(b, l);
}

/* ---- order */

static int by_when(const struct weigh_when *a, const struct weigh_when *b)
{
	if (a->day != b->day)
		return a->day < b->day ? -1 : 1;
	if (a->second != b->second)
		return a->second < b->second ? -1 : 1;
	return (a->text_hash > b->text_hash) - (a->text_hash < b->text_hash);
}

static int by_piece(const void *a, const void *b)
{
	const struct weigh_judged *x = a, *y = b;
	int order = slice_cmp(x->name, y->name);

	return order ? order : by_when(&x->when, &y->when);
}

static int by_bat(const void *a, const void *b)
{
	const struct weigh_finished *x = a, *y = b;
	int order = slice_cmp(x->name, y->name);

	return order ? order : by_when(&x->when, &y->when);
}

static int by_balance(const void *a, const void *b)
{
	const struct weigh_check *x = a, *y = b;
	int order = slice_cmp(x->name, y->name);

	if (order)
		return order;
	return x->is != y->is ? x->is < y->is ? -1 : 1 : by_when(&x->when, &y->when);
}

/* A bat that gets a new handle is finished again, but not made of its blank again. */
static void keep_first(struct weigh_book *b)
{
	size_t n = 0;

	for (size_t i = 0; i < b->nfinished; i++)
		if (!n || b->finished[n - 1].bat != b->finished[i].bat)
			b->finished[n++] = b->finished[i];
	b->nfinished = n;
}

/* ---- the step of the bats */

/* Whether all are whole numbers of the step; masses are rounded to a microgram. */
static bool all_fit(const struct weigh_book *b, double step)
{
	for (size_t i = 0; i < b->nfinished; i++) {
		double mass = (double)b->finished[i].mass;

		if (fabs(mass - step * nearbyint(mass / step)) > 1.5)
			return false;
	}
	return true;
}

static int64_t find_step(const struct weigh_book *b)
{
	static const double OUNCE = 28349523.125, STEPS[] = { OUNCE, OUNCE / 2, 10e6, OUNCE / 4, 5e6, OUNCE / 10, 1e6 };

	for (size_t i = 0; b->nfinished >= STEP_LEAST && i < sizeof STEPS / sizeof *STEPS; i++)
		if (all_fit(b, STEPS[i]))
			return (int64_t)nearbyint(STEPS[i]);
	return 0;
}

void weigh_book_end(struct weigh_book *b)
{
	stated_end(&b->stated);
	if (b->njudged)
		qsort(b->judged, b->njudged, sizeof *b->judged, by_piece);
	if (b->nfinished)
		qsort(b->finished, b->nfinished, sizeof *b->finished, by_bat);
	if (b->nchecks)
		qsort(b->check, b->nchecks, sizeof *b->check, by_balance);
	keep_first(b);
	b->step = find_step(b);
}

/* ---- asking */

static int find_bat(const void *name, const void *row)
{
	return slice_cmp(*(const struct slice *)name, ((const struct weigh_finished *)row)->name);
}

const struct weigh_finished *weigh_book_finished(const struct weigh_book *b, struct slice bat)
{
	return b->nfinished ? bsearch(&bat, b->finished, b->nfinished, sizeof *b->finished, find_bat) : NULL;
}

int64_t weigh_book_step(const struct weigh_book *b)
{
	return b->step;
}
