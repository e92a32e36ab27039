/*
 * backtest.h - how good the forecasts were: past charges in their state at the end of each day.
 *
 * What came is the day on which the rule would have held under daily readings, by the curve through all
 * that was read: a rule that was read once a week is seen to hold days after it did.
 */
#ifndef WITHY_BACKTEST_H
#define WITHY_BACKTEST_H

#include <stddef.h>
#include <stdint.h>

struct dry_case;
struct dry_forecast;
struct history;

/* One forecast and its two plain rivals. Days are since loading. */
struct backtest_forecast {
	const struct dry_case *c;
	int64_t now_s;             /* as of the end of this day, */
	double now;                /* so many days after loading */
	int day;                   /* of the charge, from 1 */
	double came;
	const struct dry_forecast *forecast;
	double line;               /* by the line through each probe's last two readings */
	double mean;               /* the works' mean days of the charges that had ended */
};

/* What is summed over forecasts. */
struct backtest_sum {
	int64_t n, held50, held90;
	double error, late;        /* of the median, in days: absolute, and with its sign */
	double line, mean;         /* absolute errors of the rivals */
};

/* The days of a charge that are summed by themselves; a last sum is of all days. */
enum { BACKTEST_DAYS = 3, BACKTEST_SUMS = BACKTEST_DAYS + 1 };
extern const int backtest_days[BACKTEST_DAYS];

struct backtest {
	struct history *history;
	int64_t now_s;                 /* charges that had ended by then are tested */
	void (*each)(void *context, const struct backtest_forecast *f); /* or NULL */
	void *context;
	void (*done)(size_t n, size_t all); /* called as charges are done; or NULL */
	struct backtest_sum sum[BACKTEST_SUMS];
	double *came;                  /* by case, while it runs */
};

/* Runs it: `sum` is filled, and `each` called for every forecast. The house must have a rule. */
void backtest_run(struct backtest *b);

#endif
