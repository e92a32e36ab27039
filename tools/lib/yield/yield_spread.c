#include "yield/yield_spread.h"

#include <stdlib.h>

/* The row of a cell's own keys in its step comes first, then that of all its steps. */
enum { OWN_STEP, OWN_ALL };

static bool by_origin(const struct yield_ask *ask)
{
	for (size_t i = 0; i < ask->nby; i++)
		if (ask->by[i] != YIELD_BY_TREE && ask->by[i] != YIELD_BY_PARCEL && ask->by[i] != YIELD_BY_SUPPLIER)
			return false;
	return true;
}

/*
 * By lot and step (YIELD_ALL_STEPS: all), the pieces that are not through yet, and those that became others' within
 * it, less those that others became. A lot under way is not compared: its culls come first.
 */
struct movement {
	uint32_t *place;           /* of each lot that a cell has, from 0; ids are of all words of the book */
	int64_t *still, *crossed;
};

static size_t at_step(const struct movement *m, uint32_t lot, uint32_t step)
{
	return (size_t)m->place[lot] * (YIELD_ALL_STEPS + 1) + step;
}

/* Gives the lots their places; returns how many there are. */
static uint32_t place_lots(struct movement *m, const struct stages *w)
{
	uint32_t ids = 1, n = 0;

	for (size_t i = 0; i < w->ncells; i++)
		ids = w->cell[i].who.lot >= ids ? w->cell[i].who.lot + 1 : ids;
	m->place = mem_array(ids, sizeof *m->place);
	memset(m->place, 0xff, ids * sizeof *m->place);
	for (size_t i = 0; i < w->ncells; i++)
		if (m->place[w->cell[i].who.lot] == UINT32_MAX)
			m->place[w->cell[i].who.lot] = n++;
	return n;
}

static struct movement find_movement(const struct stages *w)
{
	struct movement m;
	size_t n = (size_t)place_lots(&m, w) * (YIELD_ALL_STEPS + 1);

	m.still = mem_zeroed(n, sizeof *m.still);
	m.crossed = mem_zeroed(n, sizeof *m.crossed);
	for (uint32_t i = 0; i < w->ncells; i++) {
		const struct stage_cell *c = &w->cell[i];

		m.still[at_step(&m, c->who.lot, c->step)] += c->n[STAGE_STILL];
		m.still[at_step(&m, c->who.lot, YIELD_ALL_STEPS)] += c->step < STAGE_STORE ? c->n[STAGE_STILL] : 0; /* few are culled later */
		m.crossed[at_step(&m, c->who.lot, c->step)] += c->n[STAGE_CROSSED];
		m.crossed[at_step(&m, c->who.lot, YIELD_ALL_STEPS)] += c->n[STAGE_JOINED];
	}
	return m;
}

/* `lost` of a cell's pieces in a step, or in all steps up to now. Those of its lot that left for a pool were good. */
static void add_cell(struct spread *spread, struct movement *m, const struct yield_cell *at, const struct stage_cell *cell, uint32_t step, int64_t lost)
{
	bool all = step == YIELD_ALL_STEPS;
	size_t row = at->row[all ? OWN_ALL : OWN_STEP];
	uint32_t lot = cell->who.lot;
	int64_t *crossed = &m->crossed[at_step(m, lot, step)];
	int64_t good = all ? cell->n[STAGE_SOLD] + cell->n[STAGE_STILL] : cell->n[STAGE_OUT], n = good + cell->n[STAGE_CULLED];

	if (m->still[at_step(m, lot, step)])
		return;
	spread_add(spread, row, lot, n - lost, n);
	if (*crossed < 0)
		spread_add(spread, row, lot, -*crossed, -*crossed);
	*crossed = 0;
}

static void release_movement(struct movement *m)
{
	free(m->place);
	free(m->still);
	free(m->crossed);
}

void yield_spread_init(struct yield_spread *s, const struct yield_rows *rows)
{
	struct movement m = find_movement(rows->stages);

	*s = (struct yield_spread){ .rows = rows };
	for (size_t i = 0; i < rows->ncells; i++) {
		const struct stage_cell *cell = &rows->stages->cell[rows->cell[i].cell];

		add_cell(&s->step[cell->step], &m, &rows->cell[i], cell, cell->step, cell->n[STAGE_CULLED]);
		add_cell(&s->step[YIELD_ALL_STEPS], &m, &rows->cell[i], cell, YIELD_ALL_STEPS, cell->n[STAGE_CULLED]);
	}
	for (int i = 0; i <= YIELD_ALL_STEPS; i++)
		spread_end(&s->step[i], rows->nrows, by_origin(rows->ask));
	release_movement(&m);
}

void yield_spread_release(struct yield_spread *s)
{
	for (int i = 0; i <= YIELD_ALL_STEPS; i++)
		spread_release(&s->step[i]);
}

void yield_spread_of_loss(const struct yield_rows *rows, uint32_t step, struct slice cause, struct spread *spread)
{
	const struct stages *w = rows->stages;
	int64_t *lost = mem_zeroed(w->ncells, sizeof *lost);
	struct movement m = find_movement(w);

	*spread = (struct spread){ 0 };
	for (size_t i = 0; i < w->nlosses; i++)
		if (!cause.n || slice_eq(stock_text(w->stock, w->loss[i].cause), cause))
			lost[w->loss[i].cell] += w->loss[i].n;
	for (size_t i = 0; i < rows->ncells; i++) {
		const struct stage_cell *cell = &w->cell[rows->cell[i].cell];

		if (step == YIELD_ALL_STEPS || cell->step == step)
			add_cell(spread, &m, &rows->cell[i], cell, step, lost[rows->cell[i].cell]);
	}
	spread_end(spread, rows->nrows, by_origin(rows->ask));
	release_movement(&m);
	free(lost);
}

struct yield_loss_spread {
	uint32_t step;
	struct slice cause;
	struct spread spread;
};

const struct spread *yield_loss_spread(struct yield_loss_spreads *s, uint32_t step, struct slice cause)
{
	for (size_t i = 0; i < s->n; i++)
		if (s->spread[i].step == step && slice_eq(s->spread[i].cause, cause))
			return &s->spread[i].spread;
	s->spread = mem_grow(s->spread, &s->cap, s->n + 1, sizeof *s->spread);
	s->spread[s->n] = (struct yield_loss_spread){ .step = step, .cause = cause };
	yield_spread_of_loss(s->rows, step, cause, &s->spread[s->n].spread);
	return &s->spread[s->n++].spread;
}

void yield_loss_spreads_release(struct yield_loss_spreads *s)
{
	for (size_t i = 0; i < s->n; i++)
		spread_release(&s->spread[i].spread);
	free(s->spread);
	*s = (struct yield_loss_spreads){ .rows = s->rows };
}

static bool is_total(const struct yield_rows *rows, size_t row)
{
	return !rows->ask->nby || row >= yield_rows_total(rows);
}

double yield_spread_design(const struct yield_rows *rows, const struct spread *spread, size_t row)
{
	return is_total(rows, row) ? spread->design_all : spread->design[row];
}

double yield_spread_point(const struct yield_rows *rows, const struct spread *spread, size_t row)
{
	return spread_point(is_total(rows, row) ? &spread->all : &spread->rows, 0.975);
}
