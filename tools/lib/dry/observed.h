/*
 * observed.h - what was observed of a drying charge: the readings of its probes, and its air.
 *
 * Moistures are in per cent (dry basis), temperatures in degrees Celsius, times in days since the
 * charge was loaded. Readings are corrected ones.
 */
#ifndef WITHY_OBSERVED_H
#define WITHY_OBSERVED_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

enum dry_mark { DRY_AT, DRY_ABOVE, DRY_BELOW };

struct dry_reading {
	double day, mc;
	enum dry_mark mark;
	double noise;              /* how many times the noise of a good reading it has, 1 and more */
	double shown;              /* what the meter showed */
};

struct dry_probe {
	const struct dry_reading *reading; /* in the order of time */
	size_t n;
	uint32_t type;             /* of the piece that it is in; 0: not known */
	double from, until;        /* while it is in; until is INFINITY if it still is */
	bool ruled;                /* the house rule looks at it; not so at a piece from the oven */
	bool scaled;               /* weighed: its moisture does not come from the meter */
};

struct dry_air {
	double day;                /* from here on, until the next */
	double temp_c, me_pct;
	bool guessed;              /* only of the first: nothing is known yet; what comes within two days holds for it too */
};

/* So many days from day `from` on have no part in what is read or comes, and the model leaves them out; 0 for none. */
struct dry_still {
	double from, days;         /* whole steps (law.h) */
};

struct dry_charge {
	const struct dry_probe *probe;
	size_t nprobes;
	const struct dry_air *air; /* in the order of time */
	size_t nair;               /* 1 at least */
	uint32_t kiln, season;     /* numbers of the caller's, 0: not known */
	double end;                /* when it was emptied; INFINITY while it is open */
	struct dry_still still;
};

/* How many of a probe's readings there are by a day, that day counted in. */
size_t dry_read_by(const struct dry_probe *probe, double day);

/* Whether the house rule looks at a probe on a day: it is ruled, in, and not out yet. */
bool dry_probe_counts(const struct dry_probe *probe, double day);

/*
 * The time that may be left out as of a day, from the last reading on: wood comes to rest within a year, so that what its air was before
 * that says nothing any more, and what the offset drifts by is of the last weeks (law.h). So a charge that nobody unloaded costs no more the
 * later it is asked about.
 */
struct dry_still dry_still_at(const struct dry_charge *charge, double now);

/* A day, less what is left out before it. */
static inline double dry_less_still(const struct dry_still *still, double day)
{
	return day < still->from ? day : day < still->from + still->days ? still->from : day - still->days;
}

/* The day of a charge's last reading in the kiln: what was read after it was emptied is not of the kiln. */
double dry_last_day(const struct dry_charge *charge);

#endif
