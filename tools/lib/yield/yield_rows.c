#include "yield/yield_rows.h"

#include <stdlib.h>

#include "time/calendar.h"

const char *const yield_by_words[] = { "tree", "parcel", "supplier", "lot", "month", "charge", "type", NULL };

/* In the order of enum stage_step, as YIELD_ALL_STEPS follows the last of them. */
const char *const yield_step_words[] = { "cleave", "buy", "yard", "kiln", "plane", "grade", "store", "shop", "bat", "all", NULL };

/* ---- the keys of a cell */

static enum origin_key origin_of(size_t by)
{
	static const enum origin_key KEY[] = { PROVENANCE_TREE, PROVENANCE_PARCEL, PROVENANCE_SUPPLIER, PROVENANCE_LOT, PROVENANCE_MONTH };

	return KEY[by];
}

/* A key of pieces whose tree is known apart from their lot, which is where pools are shared. */
static bool goes_by_tree(const struct stage_who *who, size_t by)
{
	return who->tree && (by == YIELD_BY_TREE || by == YIELD_BY_PARCEL || by == YIELD_BY_SUPPLIER);
}

static struct slice key_of(const struct yield_rows *y, const struct stage_who *who, size_t by, uint32_t *mixed)
{
	const struct stock *s = y->stages->stock;
	uint32_t lot = provenance_key(y->origins, who->lot, PROVENANCE_LOT), id;

	if (by == YIELD_BY_CHARGE)
		return stock_text(s, who->charge);
	if (by == YIELD_BY_TYPE)
		return stock_text(s, who->type);
	id = goes_by_tree(who, by) ? provenance_tree_key(y->origins, who->tree, origin_of(by)) : provenance_key(y->origins, who->lot, origin_of(by));
	if (id == PROVENANCE_MIXED || (by == YIELD_BY_LOT && provenance_is_pool(y->origins, lot)))
		*mixed = id = lot;
	return stock_text(s, id);
}

static struct yield_head head_of(const struct yield_rows *y, const struct stage_cell *cell)
{
	struct yield_head head = { .step = cell->step };

	for (size_t i = 0; i < y->ask->nby; i++)
		head.key[i] = key_of(y, &cell->who, y->ask->by[i], &head.lot);
	return head;
}

static int by_keys(const struct yield_head *x, const struct yield_head *y)
{
	int order = 0;

	for (int i = 0; !order && i < YIELD_KEYS; i++)
		order = slice_cmp(x->key[i], y->key[i]);
	return order;
}

static int by_head(const void *a, const void *b)
{
	const struct yield_cell *x = a, *y = b;
	int order = by_keys(&x->head, &y->head);

	return order ? order : (x->head.step > y->head.step) - (x->head.step < y->head.step);
}

/* ---- which cells count */

static bool came_in_time(const struct yield_rows *y, const struct stage_who *who)
{
	int32_t from = y->ask->from, to = y->ask->to, day;

	if (from == INT32_MIN && to == INT32_MAX)
		return true;
	day = provenance_day(y->origins, who->lot);
	return day >= from && day <= to && day != PROVENANCE_NO_DAY;
}

/* Nothing happened in it during the days that are counted. */
static bool is_idle(const struct stage_cell *cell)
{
	int i = 0;

	while (i < STAGE_COUNTS && !cell->n[i])
		i++;
	return i == STAGE_COUNTS;
}

static bool is_taken(const struct yield_rows *y, const struct stage_cell *cell)
{
	return cell->step != STAGE_GONE && !is_idle(cell) && came_in_time(y, &cell->who);
}

/* Without keys, those of a step follow each other as they are. */
static void take_by_step(struct yield_rows *y)
{
	const struct stages *w = y->stages;
	size_t at[STAGE_GONE + 1] = { 0 };

	for (uint32_t i = 0; i < w->ncells; i++)
		if (is_taken(y, &w->cell[i]))
			at[w->cell[i].step + 1]++;
	for (uint32_t step = 0; step < STAGE_GONE; step++)
		at[step + 1] += at[step];
	y->ncells = at[STAGE_GONE];
	for (uint32_t i = 0; i < w->ncells; i++)
		if (is_taken(y, &w->cell[i]))
			y->cell[at[w->cell[i].step]++] = (struct yield_cell){ .head = { .step = w->cell[i].step }, .cell = i };
}

static void take_by_keys(struct yield_rows *y)
{
	const struct stages *w = y->stages;

	for (uint32_t i = 0; i < w->ncells; i++)
		if (is_taken(y, &w->cell[i]))
			y->cell[y->ncells++] = (struct yield_cell){ .head = head_of(y, &w->cell[i]), .cell = i };
	if (y->ncells)
		qsort(y->cell, y->ncells, sizeof *y->cell, by_head);
}

static void take_cells(struct yield_rows *y)
{
	const struct stages *w = y->stages;

	y->cell = mem_zeroed(w->ncells, sizeof *y->cell);
	if (y->ask->nby)
		take_by_keys(y);
	else
		take_by_step(y);
	y->cell_at = mem_zeroed(w->ncells, sizeof *y->cell_at);
	for (size_t i = 0; i < y->ncells; i++)
		y->cell_at[y->cell[i].cell] = i + 1;
}

/* ---- the rows */

static size_t new_row(struct yield_rows *y, struct yield_head head, uint32_t step)
{
	head.step = step;
	y->row = mem_grow(y->row, &y->rows_cap, y->nrows + 1, sizeof *y->row);
	y->row[y->nrows] = (struct yield_row){ .head = head };
	return y->nrows++;
}

/* The rows of one set of keys, which are cell[first..end), and their row of all steps. */
static void add_key(struct yield_rows *y, size_t first, size_t end)
{
	size_t at = 0;

	for (size_t i = first; i < end; i++) {
		struct yield_cell *c = &y->cell[i];

		if (i == first || c->head.step != y->cell[i - 1].head.step)
			at = new_row(y, c->head, c->head.step);
		if (!y->row[at].head.lot)
			y->row[at].head.lot = c->head.lot;
		c->row[c->nrows++] = at;
	}
	at = new_row(y, y->row[at].head, YIELD_ALL_STEPS);
	for (size_t i = first; i < end; i++)
		y->cell[i].row[y->cell[i].nrows++] = at;
}

static void add_keys(struct yield_rows *y)
{
	for (size_t i = 0, k; i < y->ncells; i = k) {
		for (k = i; k < y->ncells && (!y->ask->nby || by_keys(&y->cell[i].head, &y->cell[k].head) == 0); k++)
			;
		add_key(y, i, k);
	}
}

/* The rows of all keys. */
static void add_total(struct yield_rows *y)
{
	struct yield_head all = { .step = 0 };
	size_t at[YIELD_ALL_STEPS + 1] = { 0 };

	for (size_t i = 0; i < y->ask->nby; i++)
		all.key[i] = SLICE("all");
	for (uint32_t step = 0; step < STAGE_GONE; step++)
		for (size_t i = 0; i < y->ncells && !at[step]; i++)
			if (y->cell[i].head.step == step)
				at[step] = new_row(y, all, step);
	at[YIELD_ALL_STEPS] = new_row(y, all, YIELD_ALL_STEPS);
	for (size_t i = 0; i < y->ncells; i++) {
		struct yield_cell *c = &y->cell[i];

		c->row[c->nrows++] = at[c->head.step];
		c->row[c->nrows++] = at[YIELD_ALL_STEPS];
	}
}

/* Adds the counts of a cell to those of all steps of its keys: of what it got and gave only what came or went for good. */
static void add_to_all(int64_t *all, const struct stage_cell *cell)
{
	const int64_t *n = cell->n;

	all[STAGE_START] += n[STAGE_START];
	all[STAGE_IN] += cell->step <= STAGE_BUY ? n[STAGE_IN] : 0;
	all[STAGE_FOUND] += n[STAGE_FOUND];
	all[STAGE_CROSSED] += n[STAGE_JOINED];
	all[STAGE_BACK] += n[STAGE_RETURNED];
	all[STAGE_OUT] += n[STAGE_SOLD];
	all[STAGE_CULLED] += n[STAGE_CULLED];
	all[STAGE_STILL] += n[STAGE_STILL];
}

/* Of a cell's pieces, what is a share and not known that the keys ask for. */
static unsigned shared_of(const struct yield_ask *ask, const struct stage_cell *cell)
{
	unsigned asked = 0;

	for (size_t i = 0; i < ask->nby; i++)
		asked |= ask->by[i] < YIELD_BY_CHARGE ? LAYER_SHARED_ROOT : ask->by[i] == YIELD_BY_CHARGE ? LAYER_SHARED_CHARGE : 0u;
	return asked & cell->who.shared;
}

/* Adds the counts of a cell to a row of its step, or to one of all steps. */
static void add_counts(const struct yield_ask *ask, struct yield_row *row, const struct stage_cell *cell)
{
	int64_t n[STAGE_COUNTS] = { 0 };

	if (row->head.step == YIELD_ALL_STEPS)
		add_to_all(n, cell);
	else
		memcpy(n, cell->n, sizeof n);
	for (int i = 0; i < STAGE_COUNTS; i++)
		row->n[i] += n[i];
	row->shared += shared_of(ask, cell) ? stages_entered(n) : 0;
}

int32_t yield_first_day(const struct yield_ask *ask)
{
	return ask->baseline ? day_months_before(ask->since, ask->baseline) : ask->since;
}

void yield_rows_prepare(const struct yield_ask *ask, struct stages *stages)
{
	stages->from = yield_first_day(ask);
	stages->today = ask->today;
	stages->by_lot = true; /* the shares of lots are compared */
	stages->by_charge = stages->by_type = false;
	stages->stays_apart = yield_needs_origins(ask) || stages->from != INT32_MIN;
	for (size_t i = 0; i < ask->nby; i++) {
		stages->by_charge |= ask->by[i] == YIELD_BY_CHARGE;
		stages->by_type |= ask->by[i] == YIELD_BY_TYPE;
	}
}

bool yield_needs_origins(const struct yield_ask *ask)
{
	return ask->nby || ask->from != INT32_MIN || ask->to != INT32_MAX;
}

void yield_rows_init(struct yield_rows *y, const struct yield_ask *ask, const struct stages *stages, const struct provenance *origins)
{
	*y = (struct yield_rows){ .ask = ask, .stages = stages, .origins = origins };
	take_cells(y);
	if (!y->ncells)
		return;
	add_keys(y);
	if (ask->nby)
		add_total(y);
	for (size_t i = 0; i < y->ncells; i++)
		for (size_t k = 0; k < y->cell[i].nrows; k++)
			add_counts(ask, &y->row[y->cell[i].row[k]], &stages->cell[y->cell[i].cell]);
}

void yield_rows_release(struct yield_rows *y)
{
	free(y->cell);
	free(y->cell_at);
	free(y->row);
	memset(y, 0, sizeof *y);
}

size_t yield_rows_of(const struct yield_rows *y, uint32_t cell, const size_t **rows)
{
	const struct yield_cell *c = y->cell_at[cell] ? &y->cell[y->cell_at[cell] - 1] : NULL;

	*rows = c ? c->row : NULL;
	return c ? c->nrows : 0;
}

size_t yield_rows_total(const struct yield_rows *y)
{
	size_t first = y->nrows;

	if (!first)
		return first;
	for (first--; first && y->row[first - 1].head.step != YIELD_ALL_STEPS; first--)
		;
	return first;
}
