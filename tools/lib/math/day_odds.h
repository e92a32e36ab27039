/*
 * day_odds.h - the chances of a day that is to come, and how good they were once the day is known.
 *
 * Days are whole and counted from the day of asking: 1 is the next. share[d] is the chance of day d, for d of 1 to
 * `days`; share[days + 1] is that of none of them, which is called never. share[0] is not used. All add up to 1.
 *
 * What came is known between two days (an interval-censored time): not on day `after` or before, but by day `by` at the
 * latest. { 3, 4 } is day 4. A `by` of DAY_UNSEEN: nobody saw it come (right-censored). Days above `days`
 * are never.
 *
 * The scores look only at what is known. Nothing is filled in where between the two days it came.
 */
#ifndef WITHY_DAY_ODDS_H
#define WITHY_DAY_ODDS_H

#include <limits.h>
#include <stdbool.h>
#include <stddef.h>

enum { DAY_UNSEEN = INT_MAX };

struct day_odds {
	const double *share;
	int days;
};

struct day_seen {
	int after, by;             /* 0 <= after < by */
};

/*
 * Days that hold about so much: neither tail has more than half of the rest, as far as whole days allow. Of the four such
 * ranges it is the one that comes nearest and has the median's day in it. Its ends are days that have a chance. A `last` of days + 1: without an end,
 * for never belongs to it.
 */
struct day_range {
	int first, last;
	double share;              /* what the days hold */
};

struct day_range day_odds_range(const struct day_odds *odds, double share);

/* The day below which half is, where day d is spread over d - 1/2 to d + 1/2. HUGE_VAL: never. */
double day_odds_median(const struct day_odds *odds);

/*
 * The continuous ranked probability score in days, 0 at best: the sum over days of the squared distance of the chance
 * "come by that day" to what is known of it, 0 or 1. (Gneiting and Raftery 2007, section 4.2; over whole days the ranked
 * probability score.) Days of which it is not known are left out, as in the survival score of Avati et al. 2020
 * ("Countdown regression", Proceedings of Machine Learning Research 115), which stays proper.
 */
double day_odds_crps(const struct day_odds *odds, struct day_seen seen);

/*
 * Adds to `bins` equal bins from 0 to 1 one case, spread evenly from the chance of "by `after`" to that of "by `by`": the
 * nonrandomized histogram of Czado, Gneiting and Held 2009 (Biometrics 65), and of censored times
 * Haider et al. 2020 ("Effective ways to build and evaluate individual survival distributions", Journal of
 * Machine Learning Research 21). Of good forecasts each bin gets as much.
 */
void day_odds_pit(const struct day_odds *odds, struct day_seen seen, double *bin, size_t bins);

/* Whether a range held what came. */
struct day_held {
	double held;               /* 0 or 1; where it is undecided the part that the odds, given what is known, have in the range */
	bool undecided;            /* some of the days on which it may have come are in the range, others not */
};

/* Spread as in day_odds_pit(), so that of good forecasts as many are held as the ranges say. */
struct day_held day_odds_held(const struct day_odds *odds, struct day_range range, struct day_seen seen);

/* How many days a single day was too late; below 0 too early; 0 where it may have been right. */
double day_late(double day, struct day_seen seen);

#endif
