/*
 * backtest.h - past charges forecast again as of the end of a day, and scored by what was seen (seen.h).
 *
 * A charge is asked about on each day on which a probe was read, and on days 3, 7 and 14, as long as it was not yet
 * ready. Nothing that came later has a part in an answer. Days are whole; answers are in days from the day of asking on.
 *
 * Six ways answer. One of them, the day on which it will be seen that the rule holds by this works' reading days, is judged by
 * the day on which that was seen. The others are judged by when it began to hold. The line and the rate have only one day to say, and so has the mean. Where the line or the rate find no day
 * within DRY_HORIZON, the mean takes their place, which is kind to them. Without a past charge that was seen to hold
 * nothing is asked. The questions are answered on every core.
 */
#ifndef WITHY_BACKTEST_H
#define WITHY_BACKTEST_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "math/day_odds.h"

struct dry_case;
struct dry_seen;
struct history;

enum backtest_way {
	BY_FORECAST,
	BY_READING,                /* the forecast of when it will be seen */
	BY_MEDIAN,                 /* past charges' days: their distribution, as far as it is still to come */
	BY_MEAN,                   /* of past charges' days as recorded */
	BY_LINE,                   /* through each probe's last two readings */
	BY_RATE,                   /* first-order at the rate of the last two readings, towards the set point's EMC */
	BACKTEST_WAYS
};

enum { BACKTEST_RANGES = 3, BACKTEST_BINS = 10, BACKTEST_DAYS = 3 };

extern const double backtest_ranges[BACKTEST_RANGES]; /* 0.5, 0.8, 0.9 */
extern const int backtest_days[BACKTEST_DAYS];        /* 3, 7, 14 */

/* An answer and its scores (day_odds.h). */
struct backtest_answer {
	double day;                /* the single day; HUGE_VAL: not within DRY_HORIZON, and one day later for the scores */
	double late, crps;         /* crps of a single day: its distance */
	bool odds;                 /* it has ranges: */
	struct day_range range[BACKTEST_RANGES];
	struct day_held held[BACKTEST_RANGES];
	double pit[BACKTEST_BINS];
};

struct backtest_asked {
	const struct dry_case *c;
	int64_t now_s;             /* as of the end of this day, */
	int day;                   /* so many days after that of loading */
	struct day_seen seen;      /* what came, */
	struct day_seen read;      /* and when it was seen */
	struct backtest_answer by[BACKTEST_WAYS];
};

struct backtest {
	struct history *history;
	int64_t now_s;             /* charges that had ended by then are tested */
	void (*done)(size_t n, size_t all); /* called as questions are answered; or NULL */
	struct dry_seen *seen;     /* of each case; of those that had not ended UNREAD */
	struct backtest_asked *asked; /* in the order of the cases and days */
	size_t n, cap;
};

/* Runs it. The house must have a rule. */
void backtest_run(struct backtest *b);
void backtest_release(struct backtest *b);

#endif
