/*
 * account.h - the account of the money on pieces, by stage of the work, from a day on.
 *
 *	opening + in + passed - out - lost = closing
 *
 * `in` is what was spent, and what sold pieces that came back are worth; `passed` came from other stages less
 * what went on to them; `out` went with sold pieces; `lost` was on pieces of which none was left to carry it.
 * The sums are exact. `value` follows every movement, so that it is the closing; the pieces are counted
 * independently (holdings.h).
 */
#ifndef WITHY_ACCOUNT_H
#define WITHY_ACCOUNT_H

#include <stdbool.h>
#include <stdint.h>

enum account_stage {
	ACCOUNT_WAITING,           /* spent on no piece yet */
	ACCOUNT_WOOD,              /* clefts in the yard */
	ACCOUNT_WORK,              /* in charges and at the bench, and blades before their grade */
	ACCOUNT_BLADES,            /* graded */
	ACCOUNT_HANDLES,
	ACCOUNT_BATS,
	ACCOUNT_STAGES,
	ACCOUNT_SOLD = ACCOUNT_STAGES, ACCOUNT_LOST, ACCOUNT_OUTSIDE, ACCOUNT_ENDS
};

/* The words of the stages. */
extern const char *const account_stage_words[];

enum account_count { ACCOUNT_OPENING, ACCOUNT_IN, ACCOUNT_PASSED, ACCOUNT_OUT, ACCOUNT_LOSS, ACCOUNT_COUNTS };

struct account {
	int64_t count[ACCOUNT_STAGES][ACCOUNT_COUNTS];
	int64_t value[ACCOUNT_ENDS]; /* of what is in each stage; of all that was ever sold and lost */
	bool counting;             /* for the caller to set through account_open() */
};

/* The first day that is counted has come: what is there now is the opening. */
void account_open(struct account *a);

/* An amount goes from one stage or end to another; to ACCOUNT_OUTSIDE takes back what came in. */
void account_move(struct account *a, enum account_stage from, enum account_stage to, int64_t amount);

/* What the counts of a stage come to. */
int64_t account_closing(const struct account *a, enum account_stage stage);

#endif
