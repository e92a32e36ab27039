/*
 * rivals.h - plain ways to say when a charge will be ready, to hold the forecast against.
 *
 * Days are those of a reading since loading; INFINITY where the way has no answer. Another one is in
 * forecast.h: the line through the last two readings.
 */
#ifndef WITHY_RIVALS_H
#define WITHY_RIVALS_H

#include <stddef.h>
#include <stdint.h>

#include "math/day_odds.h"

struct charges;
struct dry_case;
struct dry_charge;
struct dry_rule;

/*
 * The last probe to come under the band's upper edge, if each goes on to approach the EMC at the first-order rate of its last two
 * readings: k = ln((m1 - EMC) / (m2 - EMC)) / days between.
 */
double dry_by_rate(const struct dry_charge *charge, const struct dry_rule *rule, double now, double emc_pct);

/* The EMC of the kiln's last set point before an instant; where none was set that of the charge's air then. */
double dry_set_point_emc(const struct charges *charges, const struct dry_case *c, int64_t now_s, double now);

/* The days that past charges took, as far as they are known (turnbull.h). Days above DRY_PAST_DAYS count as that. */
enum { DRY_PAST_DAYS = 400 };

struct dry_past_days {
	size_t n;                  /* charges, of which */
	size_t seen;               /* so many were seen to hold, */
	double mean;               /* after so many days as recorded */
	double share[DRY_PAST_DAYS + 1];
};

/* Takes the mean of `recorded`, which leaves DAY_UNSEEN out, and the shares of `seen`. */
void dry_past_days_of(const struct day_seen *seen, const int *recorded, size_t n, struct dry_past_days *past);

/*
 * The chances of the days to come of a charge that has dried for `day` days and is not ready: the past charges that took longer,
 * share[1] to share[days + 1] as in day_odds.h. All is on the next day where no past charge took longer.
 */
void dry_past_odds(const struct dry_past_days *past, int day, double *share, int days);

#endif
