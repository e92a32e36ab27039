/*
 * seen.h - when the ready rule began to hold in a past charge, as far as its readings show; no model has a part in it.
 *
 * Days are whole and counted from the day of loading, which is 0. What is asked for is the first day on which the rule holds
 * if every probe is read every day, which is what a forecast is about. Readings that are days apart leave it between two days:
 *
 *	not yet  the last day on which a reading, or the readings of all probes together, broke the rule; a reading of one
 *	         probe says nothing of another that was not read
 *	holds    the day on which the rule held for the first time
 *
 * Two parts of the rule want time, `readings` in a row and `hold`. Daily readings would have served them sooner than those that
 * were taken: not yet is so many days later than the reading, and holds is at most so many days after the first of the
 * readings in the band.
 *
 * A rule that does not hold is taken not to have held on any day before.
 *
 * Nobody saw it hold in a charge that was emptied before, or of which a probe was taken out while it broke the rule and
 * none took its place.
 */
#ifndef WITHY_SEEN_H
#define WITHY_SEEN_H

#include "math/day_odds.h"

struct charges;
struct dry_case;

enum dry_seen_how { DRY_SEEN_HELD, DRY_SEEN_EMPTIED, DRY_SEEN_TAKEN_OUT, DRY_SEEN_UNREAD };

struct dry_seen {
	enum dry_seen_how how;
	struct day_seen day;       /* with daily readings; `after` is -1 where nothing was ever not yet, and `by` DAY_UNSEEN but of HELD */
	int not_yet, holds;        /* as it was read: the last before it held, and the first; -1 and DAY_UNSEEN for none */
	int last;                  /* the last day that was looked at: `holds`, or that of the last reading */
};

/* `spread`: of pieces, as dry_rule_assures() takes it (readiness.h); 0 where the rule has no share. */
struct dry_seen dry_seen_of(const struct charges *charges, const struct dry_case *c, double spread);

#endif
