/*
 * score.h - the scores of a backtest (backtest.h) over a group of its answers, each with an interval.
 *
 * Answers about one charge resemble each other: intervals are those of so many charges, not of so many answers
 * (cluster_mean.h).
 */
#ifndef WITHY_SCORE_H
#define WITHY_SCORE_H

#include "base/text.h"
#include "dry/backtest.h"
#include "math/cluster_mean.h"

/* All answers; those asked on a day after loading; or those about charges of a kiln. */
struct score_group {
	int day;                   /* 0: of any */
	struct slice kiln;         /* empty: of any */
};

/* Of one nominal range, as fractions and days. */
struct score_range {
	struct cluster_found held;
	double said;               /* what the ranges held by themselves, on average */
	size_t missed, undecided;  /* answers */
	double width;              /* days, on average; an open end counts as DRY_HORIZON */
	double open;               /* the part that has no end */
};

struct score {
	size_t answers, charges;
	bool odds;                 /* it has ranges and bins */
	struct score_range range[BACKTEST_RANGES];
	double bin[BACKTEST_BINS]; /* answers in each */
	struct cluster_found error, crps; /* days */
	struct cluster_found more; /* crps, less that of the forecast */
	double late;
};

void score_of(const struct backtest *b, const struct score_group *group, enum backtest_way way, struct score *score);

#endif
