#include "cost/account.h"

#include <stddef.h>

const char *const account_stage_words[] = { "waiting", "wood", "work", "blades", "handles", "bats", NULL };

void account_open(struct account *a)
{
	a->counting = true;
	for (int i = 0; i < ACCOUNT_STAGES; i++)
		a->count[i][ACCOUNT_OPENING] = a->value[i];
}

static void count(struct account *a, enum account_stage stage, enum account_count what, int64_t amount)
{
	if (a->counting && stage < ACCOUNT_STAGES)
		a->count[stage][what] += amount;
}

void account_move(struct account *a, enum account_stage from, enum account_stage to, int64_t amount)
{
	if (from == to || !amount)
		return;
	a->value[from] -= amount;
	a->value[to] += amount;
	if (from >= ACCOUNT_STAGES)
		count(a, to, ACCOUNT_IN, amount);
	else if (to == ACCOUNT_OUTSIDE)
		count(a, from, ACCOUNT_IN, -amount);
	else if (to == ACCOUNT_SOLD)
		count(a, from, ACCOUNT_OUT, amount);
	else if (to == ACCOUNT_LOST)
		count(a, from, ACCOUNT_LOSS, amount);
	else {
		count(a, from, ACCOUNT_PASSED, -amount);
		count(a, to, ACCOUNT_PASSED, amount);
	}
}

int64_t account_closing(const struct account *a, enum account_stage stage)
{
	const int64_t *n = a->count[stage];

	return n[ACCOUNT_OPENING] + n[ACCOUNT_IN] + n[ACCOUNT_PASSED] - n[ACCOUNT_OUT] - n[ACCOUNT_LOSS];
}
