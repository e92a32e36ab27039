#include "check/charge_content.h"

#include <stdlib.h>

#include "base/mem.h"
#include "stock/stock.h"

enum { FIRST_SLOTS = 256 };

/* The table is read more often than the parts, so it tells most of them apart. */
struct part_slot {
	uint32_t tag, number;      /* index + 1; 0: empty */
};

struct part_way {
	uint32_t from, to;
	uint32_t next_out, next_in; /* the way before it, of the same part: index + 1 */
	int32_t day;
};

void charge_content_init(struct charge_content *p)
{
	memset(p, 0, sizeof *p);
	p->slots = FIRST_SLOTS;
	p->slot = mem_table(p->slots, sizeof *p->slot);
}

void charge_content_release(struct charge_content *p)
{
	free(p->part);
	free(p->slot);
	free(p->way);
	free(p->stack);
	free(p->listed);
	memset(p, 0, sizeof *p);
}

/* ---- finding */

static uint64_t hash_of(uint32_t charge, uint32_t lot, uint32_t type)
{
	uint64_t h = ((uint64_t)lot << 32 | type) * 0x9e3779b97f4a7c15u;

	return (h ^ h >> 29 ^ (uint64_t)charge << 20) * 0xbf58476d1ce4e5b9u;
}

static struct part_slot *slot_of(const struct charge_content *p, uint64_t hash, uint32_t charge, uint32_t lot, uint32_t type)
{
	size_t at = (size_t)(hash >> 32) & (p->slots - 1);

	for (; p->slot[at].number; at = (at + 1) & (p->slots - 1)) {
		const struct charge_part *part = &p->part[p->slot[at].number - 1];

		if (p->slot[at].tag == (uint32_t)hash && part->charge == charge && part->lot == lot && part->type == type)
			break;
	}
	return &p->slot[at];
}

static void widen(struct charge_content *p)
{
	free(p->slot);
	p->slots *= 2;
	p->slot = mem_table(p->slots, sizeof *p->slot);
	for (uint32_t i = 0; i < p->n; i++) {
		const struct charge_part *part = &p->part[i];
		uint64_t hash = hash_of(part->charge, part->lot, part->type);

		*slot_of(p, hash, part->charge, part->lot, part->type) = (struct part_slot){ (uint32_t)hash, i + 1 };
	}
}

uint32_t charge_content_find(const struct charge_content *p, uint32_t charge, uint32_t lot, uint32_t type)
{
	uint32_t found = slot_of(p, hash_of(charge, lot, type), charge, lot, type)->number;

	return found ? found - 1 : CHARGE_CONTENT_NONE;
}

static uint32_t add_part(struct charge_content *p, uint64_t hash, struct charge_part part)
{
	if ((p->n + 1) * 2 > p->slots)
		widen(p);
	p->part = mem_grow(p->part, &p->cap, p->n + 1, sizeof *p->part);
	p->part[p->n++] = part;
	*slot_of(p, hash, part.charge, part.lot, part.type) = (struct part_slot){ (uint32_t)hash, (uint32_t)p->n };
	return (uint32_t)p->n - 1;
}

uint32_t charge_content_at(struct charge_content *p, uint32_t charge, uint32_t lot, uint32_t type)
{
	uint64_t hash = hash_of(charge, lot, type);
	uint32_t found = slot_of(p, hash, charge, lot, type)->number;
	struct charge_part part = { .charge = charge, .lot = lot, .type = type, .day = INT32_MIN };

	if (found)
		return found - 1;
	part.whole = (uint32_t)p->n;
	if (type && p->wholes)
		part.whole = charge_content_at(p, charge, lot, 0);
	return add_part(p, hash, part);
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
