#include "stock/stock_doubt.h"

#include "stock/stock_internal.h"

static uint32_t fault_of(const struct stock *s, uint32_t id)
{
	return id == STOCK_ANY ? 0 : s->state->id[id].fault;
}

static void doubt(struct stock *s, uint32_t id, uint32_t fault)
{
	if (id && id != STOCK_ANY && !s->state->id[id].fault && fault)
		stock_set_fault(s->state, id, fault);
}

/* at= and into= name a charge, or else a place, of which nothing is doubtful. */
static bool is_charge(const struct stock *s, uint32_t place)
{
	return place != STOCK_ANY && s->state->id[place].is_charge;
}

/* Of the lots of a pool of which it takes so many pieces or more. */
static uint32_t fault_of_pool(const struct stock *s, const struct stock_op *op, int32_t least)
{
	uint32_t fault = 0;

	for (uint32_t i = op->counts; op->event->stock.take == TAKE_LOTS && !fault && i < op->counts + op->ncounts; i++)
		fault = s->item[i].n < least ? 0 : fault_of(s, s->item[i].word);
	return fault;
}

uint32_t stock_doubt_of(const struct stock *s, const struct stock_op *op)
{
	uint32_t ids[STOCK_TOUCH_MOST], fault = 0;
	size_t n = stock_touches(op, ids);

	for (size_t i = 0; i < n && !fault; i++)
		fault = fault_of(s, ids[i]);
	fault = fault ? fault : fault_of(s, op->at);
	fault = fault ? fault : fault_of(s, op->into);
	return fault ? fault : fault_of_pool(s, op, 0);
}

void stock_doubt_all(struct stock *s, const struct stock_op *op, const uint32_t *lots, size_t n, uint32_t fault)
{
	uint32_t ids[STOCK_TOUCH_MOST];
	size_t touched = stock_touches(op, ids);

	while (touched)
		doubt(s, ids[--touched], fault);
	if (is_charge(s, op->at))
		doubt(s, op->at, fault);
	if (is_charge(s, op->into))
		doubt(s, op->into, fault);
	for (uint32_t i = op->counts; op->event->stock.take == TAKE_LOTS && i < op->counts + op->ncounts; i++)
		doubt(s, s->item[i].word, fault);
	for (size_t i = 0; i < n; i++)
		doubt(s, lots[i], fault);
}

static bool goes_on(const struct stock *s, const struct stock_op *op)
{
	for (uint32_t i = op->counts; i < op->counts + op->ncounts; i++)
		if (s->item[i].n)
			return true;
	return false;
}

void stock_doubt_follow(struct stock *s, const struct stock_op *op)
{
	uint32_t fault;

	switch (op->event->stock.take) {
	case TAKE_LOTS:
		doubt(s, op->subject, fault_of_pool(s, op, 1));
		break;
	case TAKE_PAIR:
		fault = fault_of(s, op->blade);
		doubt(s, op->subject, fault ? fault : fault_of(s, op->handle));
		break;
	case TAKE_PICK:
		if (op->event->stock.give == GIVE_SUBJECT && goes_on(s, op))
			doubt(s, op->subject, fault_of(s, s->state->taken));
		if (op->lot == STOCK_ANY)
			doubt(s, s->state->taken, fault_of(s, op->at));
		break;
	case TAKE_NONE:
	case TAKE_SOLD:
		break;
	}
}
