#include "check/charge_content.h"

#include <stdlib.h>

struct part_way {
	uint32_t from, to;
	uint32_t next_out, next_in; /* the way before it, of the same part: index + 1 */
	int32_t day;
};

void charge_content_init(struct charge_content *p)
{
	memset(p, 0, sizeof *p);
}

void charge_content_release(struct charge_content *p)
{
	free(p->part);
	hash_index_release(&p->index);
	free(p->way);
	free(p->stack);
	free(p->listed);
	memset(p, 0, sizeof *p);
}

/* ---- finding */

/* Lots are mostly numbered in the order in which they come into kilns. */
static uint64_t hash_of(uint32_t charge, uint32_t lot, uint32_t type)
{
	return hash_near(lot, hash_pair(charge, type));
}

static uint32_t find(const struct charge_content *p, uint64_t hash, uint32_t charge, uint32_t lot, uint32_t type)
{
	struct hash_probe probe = hash_probe_of(&p->index, hash);

	while (hash_probe_next(&p->index, &probe)) {
		const struct charge_part *part = &p->part[probe.row];

		if (part->charge == charge && part->lot == lot && part->type == type)
			return probe.row;
	}
	return CHARGE_CONTENT_NONE;
}

uint32_t charge_content_find(const struct charge_content *p, uint32_t charge, uint32_t lot, uint32_t type)
{
	return find(p, hash_of(charge, lot, type), charge, lot, type);
}

uint32_t charge_content_at(struct charge_content *p, uint32_t charge, uint32_t lot, uint32_t type)
{
	uint64_t hash = hash_of(charge, lot, type);
	uint32_t found = find(p, hash, charge, lot, type);
	struct charge_part part = { .charge = charge, .lot = lot, .type = type, .day = INT32_MIN };

	if (found != CHARGE_CONTENT_NONE)
		return found;
	part.whole = type && p->wholes ? charge_content_at(p, charge, lot, 0) : (uint32_t)p->n;
	hash_index_add(&p->index, hash, (uint32_t)p->n);
	p->part = mem_grow(p->part, &p->cap, p->n + 1, sizeof *p->part);
	p->part[p->n] = part;
	return (uint32_t)p->n++;
}

/* ---- live and not */

static bool is_live(const struct charge_part *part)
{
	return part->n > 0 || part->live > 0;
}

static void list(struct charge_content *p, uint32_t at)
{
	if (p->part[at].listed)
		return;
	p->part[at].listed = true;
	p->listed = mem_grow(p->listed, &p->listed_cap, p->nlisted + 1, sizeof *p->listed);
	p->listed[p->nlisted++] = at;
}

static void push(struct charge_content *p, size_t *n, uint32_t at)
{
	p->stack = mem_grow(p->stack, &p->stack_cap, *n + 1, sizeof *p->stack);
	p->stack[(*n)++] = at;
}

/* One more way leads on to a live part, or one fewer. Whether the part itself is another than before. */
static bool lead(struct charge_content *p, uint32_t number, bool live)
{
	const struct part_way *way = &p->way[number - 1];
	struct charge_part *from = &p->part[way->from];
	const struct charge_part *to = &p->part[way->to];
	bool was = is_live(from);

	if (live) {
		from->live++;
		from->out_live = number > from->out_live ? number : from->out_live;
		return !was;
	}
	from->live--;
	if (to->turn > from->turn) {
		from->turn = to->turn;
		from->unload = to->unload;
		from->unloaded = to->unloaded;
	}
	list(p, way->from);
	return !is_live(from);
}

/* The part became live, or no longer is: so may those be of which it has pieces. */
static void spread(struct charge_content *p, uint32_t at, bool live)
{
	size_t n = 0;

	push(p, &n, at);
	while (n)
		for (uint32_t i = p->part[p->stack[--n]].in; i; i = p->way[i - 1].next_in)
			if (lead(p, i, live))
				push(p, &n, p->way[i - 1].from);
}

static void change_one(struct charge_content *p, uint32_t at, const struct stock_op *op, int64_t by)
{
	struct charge_part *part = &p->part[at];
	bool was = is_live(part);

	part->n += by;
	part->day = op->day;
	if (by < 0 && op->event->id == EVENT_UNLOAD) {
		part->unload = op;
		part->unloaded = op->day;
		part->turn = ++p->turns;
	}
	if (by < 0)
		list(p, at);
	if (is_live(part) != was)
		spread(p, at, !was);
}

void charge_content_change(struct charge_content *p, uint32_t at, const struct stock_op *op, int64_t by)
{
	change_one(p, at, op, by);
	if (p->part[at].whole != at)
		change_one(p, p->part[at].whole, op, by);
}

void charge_content_pool(struct charge_content *p, uint32_t from, uint32_t to, int32_t day)
{
	p->way = mem_grow(p->way, &p->ways_cap, p->nways + 1, sizeof *p->way);
	p->way[p->nways++] = (struct part_way){ from, to, p->part[from].out, p->part[to].in, day };
	p->part[from].out = p->part[to].in = (uint32_t)p->nways;
	if (is_live(&p->part[to]) && lead(p, (uint32_t)p->nways, true))
		spread(p, from, true);
}

int32_t charge_content_until(struct charge_content *p, uint32_t at)
{
	struct charge_part *part = &p->part[at];

	if (part->n > 0)
		return INT32_MAX;
	while (part->out_live && !is_live(&p->part[p->way[part->out_live - 1].to]))
		part->out_live = p->way[part->out_live - 1].next_out;
	return part->out_live ? p->way[part->out_live - 1].day : INT32_MIN;
}

void charge_content_judged(struct charge_content *p)
{
	for (size_t i = 0; i < p->nlisted; i++)
		p->part[p->listed[i]].listed = false;
	p->nlisted = 0;
}
