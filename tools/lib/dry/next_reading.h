/*
 * next_reading.h - how much narrower the ready range would be after a reading that nobody has taken yet.
 *
 * Preposterior analysis (Raiffa and Schlaifer 1961, "Applied statistical decision theory") by the trials of the forecast:
 * a trial says what a reading would show and in how many days the rule will hold. Each of some of the trials, with noise, gives a
 * reading; all trials are weighed by how likely they make it, and have a range then. The median of the widths of these ranges is the
 * expected width: a mean would follow the few that have no end. It says nothing of what will be read, and the same trials give the same answer.
 *
 * Several readings are put together to one figure: the linear one that follows the day best in the trials. What they say
 * beside that is left out, so their ranges may come out narrower than said here.
 *
 * A width is the distance of two quantiles, each day being spread over the day, so that small differences show; the ranges of the
 * forecast are of whole days. A range without an end counts up to DRY_HORIZON days.
 *
 * An expected width can be above the one now: where a few trials are far out, some readings make them likelier.
 */
#ifndef WITHY_NEXT_READING_H
#define WITHY_NEXT_READING_H

#include <stdbool.h>
#include <stddef.h>

struct dry_trials;

struct next_width {
	double days90, days50;     /* of the ranges that hold 90 and 50 % */
	double open90;             /* the chance that the former has no end */
};

/* Of the ranges as they are: of n trials, each of which holds in so many days (forecast.h). */
struct next_width next_width_now(const int *held, size_t n);

/* The expected ones after a reading that is `signal` of a trial plus normal noise of standard deviation `noise`, above 0. */
struct next_width next_width_after(const int *held, const double *signal, size_t n, double noise);

enum next_kind {
	NEXT_PROBE,                /* one probe */
	NEXT_BY_HAND,              /* pieces taken at random */
	NEXT_EVERY,                /* each probe that counts */
	NEXT_DAILY                 /* the same on each day from `day` to `until` */
};

struct next_reading {
	enum next_kind kind;
	size_t probe;              /* of NEXT_PROBE, as an index of the charge's */
	size_t count;              /* how many readings that takes */
	int day, until;            /* from now; 0 is now. The same but of NEXT_DAILY */
	struct next_width after;
};

struct next_readings {
	struct next_width now;
	double never;              /* the share of the trials that do not hold within the horizon */
	int last_day;              /* the last that was looked at: the first of the 90 % range, 4 at most */
	struct next_reading *reading; /* of each kind, each of the NEXT_PROBES_MOST probes that follow the day best, each number of pieces one: the one to take first, then from the narrowest on */
	size_t n;
	bool widens;               /* one of them widens the 90 % range by as much: it may show that the charge takes longer */
	bool narrows;              /* the first is of one day, and narrows the 90 % range by as much as counts */
};

/* A 90 % range that gets narrower by fewer days, or by a smaller part of it, is called as wide as it was. */
#define NEXT_LEAST 0.5
#define NEXT_LEAST_PART 0.1

/* How much of the most that can be won is as good as all of it: then fewer readings, or an earlier day, are better. */
#define NEXT_ENOUGH 0.9

/* Where so many of the trials never hold nothing is looked at: the whole range is without a day. */
#define NEXT_NEVER 0.95

/* Of more probes the others tell less alone. */
enum { NEXT_PROBES_MOST = 12 };

/*
 * Looks at each probe, all of them, and up to `pieces` pieces by hand, on each of the next days. A probe is not read twice
 * within `apart` days. The caller releases it.
 */
void next_readings_init(struct next_readings *next, const struct dry_trials *trials, double apart, size_t pieces);
void next_readings_release(struct next_readings *next);

/* Whether the 90 % range gets narrower by as much as counts. */
bool next_narrows(const struct next_readings *next, const struct next_reading *reading);

/* By how many days a reading narrows the 90 % range. */
double next_gain(const struct next_readings *next, const struct next_reading *reading);

#endif
