#include "serve/left.h"

#include <stdlib.h>
#include <string.h>


void left_init(struct left *t, const struct stock *stock)
{
	memset(t, 0, sizeof *t);
	t->stock = stock;
}

void left_release(struct left *t)
{
	hash_index_release(&t->index);
	free(t->count);
	free(t->row);
	memset(t, 0, sizeof *t);
}

static struct left_count *count_of(struct left *t, uint32_t lot, uint32_t place)
{
	uint64_t hash = ((uint64_t)lot << 32 | place) * 0x9e3779b97f4a7c15u;
	struct hash_probe p;

	hash ^= hash >> 31;
	p = hash_probe_of(&t->index, hash);
	while (hash_probe_next(&t->index, &p))
		if (t->count[p.row].lot == lot && t->count[p.row].place == place)
			return &t->count[p.row];
	t->count = mem_grow(t->count, &t->counts_cap, t->ncounts + 1, sizeof *t->count);
	hash_index_add(&t->index, hash, (uint32_t)t->ncounts);
	t->count[t->ncounts] = (struct left_count){ lot, place, 0 };
	return &t->count[t->ncounts++];
}

static void add(struct left *t, const struct stock_kind *kind, int64_t n)
{
	if (!kind->lot)
		return;
	count_of(t, kind->lot, kind->place)->n += n;
	count_of(t, 0, kind->place)->n += n;
}

/* Whose row the flow is: that of where pieces were, or of where they came in. */
static struct left_row row_of(const struct stock_flow *flow)
{
	const struct stock_kind *kind = flow->change == STOCK_BORN || flow->change == STOCK_FOUND ? &flow->to : &flow->from;

	return (struct left_row){ flow->op->file, stock_op_line(flow->op), kind->lot, kind->place, 0 };
}

/* A handle becomes part of a bat that its blade is counted as; an old one leaves a bat that stays. */
static void count_flow(struct left *t, const struct stock_flow *flow)
{
	bool handle = flow->change == STOCK_JOINED && flow->from.form != FORM_BLADE;

	if (flow->change == STOCK_CAME_OFF)
		return;
	if (flow->change != STOCK_BORN && flow->change != STOCK_FOUND)
		add(t, &flow->from, -flow->n);
	if (!handle)
		add(t, &flow->to, flow->n);
}

void left_flow(void *context, const struct stock_flow *flow)
{
	struct left *t = context;
	struct left_row one = row_of(flow), *row = &one;

	count_flow(t, flow);
	if (flow->op->at_log + 1 == t->line) {
		row = &t->row[t->nrows - 1];
		row->place = row->place == one.place ? row->place : 0;
		row->lot = row->lot == one.lot ? row->lot : 0;
	} else {
		t->row = mem_grow(t->row, &t->rows_cap, t->nrows + 1, sizeof *t->row);
		t->row[t->nrows] = one;
		row = &t->row[t->nrows++];
		t->line = flow->op->at_log + 1;
	}
	if (row->place)
		row->n = count_of(t, row->lot, row->place)->n;
}
