#include "grades/last_charge.h"

#include <stdlib.h>

struct charge_pieces {
	int64_t n;
	uint32_t charge;
};

void last_charge_init(struct last_charge *c)
{
	memset(c, 0, sizeof *c);
	kind_ids_init(&c->ids);
}

void last_charge_release(struct last_charge *c)
{
	kind_ids_release(&c->ids);
	free(c->pieces);
	memset(c, 0, sizeof *c);
}

static struct charge_pieces *pieces_of(struct last_charge *c, const struct stock_kind *kind)
{
	uint32_t had = c->ids.n, id = kind_ids_id(&c->ids, kind);

	if (id == had) {
		c->pieces = mem_grow(c->pieces, &c->cap, id, sizeof *c->pieces);
		c->pieces[id - 1] = (struct charge_pieces){ 0, 0 };
	}
	return &c->pieces[id - 1];
}

uint32_t last_charge_of(struct last_charge *c, const struct stock_flow *f)
{
	return f->op->event->id == EVENT_UNLOAD ? f->from.place : last_mark_of(c, f);
}

uint32_t last_mark_of(struct last_charge *c, const struct stock_flow *f)
{
	return pieces_of(c, &f->from)->charge;
}

static void take(struct charge_pieces *p, int64_t n)
{
	p->n = p->n > n ? p->n - n : 0;
}

static void give(struct charge_pieces *p, int64_t n, uint32_t charge)
{
	p->charge = p->n == 0 || p->charge == charge ? charge : PROVENANCE_MIXED;
	p->n += n;
}

void last_mark_take(struct last_charge *c, const struct stock_flow *f)
{
	if (f->from.lot && f->change != STOCK_CAME_OFF)
		take(pieces_of(c, &f->from), f->n);
}

void last_mark_give(struct last_charge *c, const struct stock_kind *to, int64_t n, uint32_t mark)
{
	give(pieces_of(c, to), n, mark);
}

void last_charge_follow(struct last_charge *c, const struct stock_flow *f)
{
	uint32_t charge = f->change == STOCK_GONE_ON ? last_charge_of(c, f) : 0;

	if (f->change == STOCK_CAME_OFF)
		return;
	last_mark_take(c, f);
	last_mark_give(c, &f->to, f->n, charge);
}
