#include "air/kiln_stays.h"

#include <stdlib.h>

#include "book/line.h"

void kiln_stays_init(struct kiln_stays *k)
{
	memset(k, 0, sizeof *k);
	intern_init(&k->ids);
}

void kiln_stays_release(struct kiln_stays *k)
{
	intern_release(&k->ids);
	free(k->line);
	free(k->stay);
	memset(k, 0, sizeof *k);
}

/* ---- taking in */

static void add_line(struct kiln_stays *k, struct kiln_stay_line line)
{
	k->line = mem_grow(k->line, &k->lines_cap, k->nlines + 1, sizeof *k->line);
	k->line[k->nlines++] = line;
}

/* The charge that pieces go from, if the line is of one: a place that is none is never loaded. */
static struct slice charge_of(const struct line *l)
{
	return l->event->id == EVENT_UNLOAD || l->event->id == EVENT_OVEN ? l->subject : line_word(l, FIELD_AT);
}

void kiln_stays_take(struct kiln_stays *k, const struct line *l, int64_t utc_s)
{
	int64_t half = l->stamp.second == STAMP_NO_TIME ? DAY_S / 2 : 0;
	struct kiln_stay_line line = { .from_s = utc_s - half, .to_s = utc_s + half };

	if (!l->event->stock.moves)
		return;
	if (l->event->id == EVENT_LOAD) {
		line.charge = intern_id(&k->ids, l->subject);
		line.kiln = intern_id(&k->ids, line_word(l, FIELD_KILN));
		line.in = line_sum(l, FIELD_COUNT);
	} else if (l->event->stock.take == TAKE_PICK && charge_of(l).n) {
		bool stay = l->event->stock.give == GIVE_STAY;

		line.charge = intern_id(&k->ids, charge_of(l));
		line.in = line_sum(l, FIELD_FOUND);
		line.out = line_sum(l, FIELD_CULL) + (stay ? 0 : line_sum(l, FIELD_COUNT));
	}
	if (line.in || line.out)
		add_line(k, line);
}

void kiln_stays_merge(struct kiln_stays *k, const struct kiln_stays *from)
{
	for (size_t i = 0; i < from->nlines; i++) {
		struct kiln_stay_line line = from->line[i];

		line.charge = intern_id(&k->ids, intern_text(&from->ids, line.charge));
		line.kiln = intern_id(&k->ids, intern_text(&from->ids, line.kiln));
		add_line(k, line);
	}
}

/* ---- stays */

static int by_charge(const void *a, const void *b)
{
	const struct kiln_stay_line *x = a, *y = b;

	if (x->charge != y->charge)
		return x->charge < y->charge ? -1 : 1;
	if (x->from_s != y->from_s)
		return x->from_s < y->from_s ? -1 : 1;
	return (x->kiln < y->kiln) - (x->kiln > y->kiln);
}

static int by_kiln(const void *a, const void *b)
{
	const struct kiln_stay *x = a, *y = b;

	if (x->kiln != y->kiln)
		return x->kiln < y->kiln ? -1 : 1;
	if (x->from_s != y->from_s)
		return x->from_s < y->from_s ? -1 : 1;
	return (x->to_s > y->to_s) - (x->to_s < y->to_s);
}

/* The lines of one charge, or of a place that no line loads. */
static void add_stay(struct kiln_stays *k, const struct kiln_stay_line *line, size_t n)
{
	struct kiln_stay stay = { 0, INT64_MAX, INT64_MIN };
	int64_t left = 0;

	for (size_t i = 0; i < n; i++) {
		left += line[i].in - line[i].out;
		if (line[i].kiln && !stay.kiln) {
			stay.kiln = line[i].kiln;
			stay.from_s = line[i].from_s;
		}
		stay.to_s = line[i].to_s > stay.to_s ? line[i].to_s : stay.to_s;
	}
	if (left > 0)
		stay.to_s = INT64_MAX;
	if (!stay.kiln)
		return;
	k->stay = mem_grow(k->stay, &k->stays_cap, k->nstays + 1, sizeof *k->stay);
	k->stay[k->nstays++] = stay;
}

void kiln_stays_settle(struct kiln_stays *k)
{
	if (k->nlines)
		qsort(k->line, k->nlines, sizeof *k->line, by_charge);
	for (size_t i = 0, end; i < k->nlines; i = end) {
		for (end = i; end < k->nlines && k->line[end].charge == k->line[i].charge; end++)
			;
		add_stay(k, &k->line[i], end - i);
	}
	if (k->nstays)
		qsort(k->stay, k->nstays, sizeof *k->stay, by_kiln);
}

const struct kiln_stay *kiln_stays_of(const struct kiln_stays *k, struct slice kiln, size_t *n)
{
	uint32_t id = intern_find(&k->ids, kiln);
	size_t from = 0, to;

	*n = 0;
	while (from < k->nstays && k->stay[from].kiln != id)
		from++;
	for (to = from; id && to < k->nstays && k->stay[to].kiln == id; to++)
		;
	*n = to - from;
	return *n ? &k->stay[from] : NULL;
}
