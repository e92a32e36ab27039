#include "stock/stock_whole.h"

enum { KEYS = 2 };

static const char *const COUNTS[] = { "n" };
const struct groups_plan stock_whole_plan = { .name = "whole", .nkeys = KEYS, .ncounts = 1, .counts = COUNTS };

static void add(const struct stock *s, struct groups *whole, const char *kind, uint32_t id)
{
	const bool named = id && id != STOCK_ANY;
	const struct slice key[KEYS] = { slice_of(kind), named ? stock_text(s, id) : SLICE("") };

	if (named)
		groups_at(whole, key)->count[0] = 1;
}

void stock_whole_find(const struct stock *s, struct groups *whole)
{
	struct stock_walk walk = { .stock = s };
	const struct stock_op *op;

	while ((op = stock_walk_next(&walk))) {
		if (op->measured)
			continue;
		add(s, whole, "lot", op->lot);
		if (op->event->id == EVENT_LOAD || op->event->id == EVENT_UNLOAD)
			add(s, whole, "charge", op->subject);
	}
	stock_walk_release(&walk);
}
