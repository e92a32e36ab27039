/*
 * yield_baseline.h - the losses of some days against those of the months before them.
 *
 * The days are those from `since` of the ask to its day; the baseline is its months before `since`, each from the same day of
 * the month on. For each step and cause of each set of keys there are two numbers for the days and for every month: the pieces
 * that were lost, and those that could have been. Where most were lost on lines that take pieces out of the step, such as an unload
 * or a grading, these are all pieces on such lines; where most were lost while they waited (missing, test pieces), all that
 * were in the step. What the months lead to expect, and how far they differ from each other, is share_outlook.h's. Of all causes that are compared, those moved whose rate of false discoveries is at most
 * 5 % (false_discovery.h).
 *
 * Money is compared by month: what the months cost together, divided by their number.
 */
#ifndef WITHY_YIELD_BASELINE_H
#define WITHY_YIELD_BASELINE_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "base/text.h"
#include "math/share_outlook.h"

struct loss_log;
struct yield_rows;

struct baseline_loss {
	size_t row;                /* of one step */
	struct slice cause;
	bool waited;               /* most were lost while they waited */
	int64_t n, of, money;      /* of the days */
	int64_t before_n, before_of, before_money; /* of all months of the baseline */
	bool known;                /* the months lead to expect something */
	struct share_outlook outlook;
	double expected;           /* pieces */
	int64_t low, high;         /* 95 % of such days have so many */
	double p, adjusted;        /* the chance of a count as far out; the rate of false discoveries */
	int moved;                 /* -1: fewer than expected; 1: more; 0: not by more than chance */
};

struct yield_baseline {
	const struct yield_rows *rows;
	int32_t *edge;             /* the first days of the months, then of the days */
	size_t months;
	struct baseline_loss *loss; /* by row, then ranked as yield_losses.h does; without those that cannot have been on these days */
	size_t n;
	int64_t culled, money, before_money; /* of all keys */
	double expected;           /* of what is expected, the sum */
};

/* After stages_end(), with rows whose ask has a baseline; they must last as long. */
void yield_baseline_init(struct yield_baseline *b, const struct yield_rows *rows, const struct loss_log *log);
void yield_baseline_release(struct yield_baseline *b);

#endif
