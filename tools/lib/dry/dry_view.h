/*
 * dry_view.h - the tables of wy-dry(1): charges with their reasons, curves, rates, and how good
 * forecasts were.
 *
 * Each function initializes the tables that it fills; they belong to the caller. Charges go in the order of
 * loading.
 */
#ifndef WITHY_DRY_VIEW_H
#define WITHY_DRY_VIEW_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

struct buf;
struct charges;
struct history;
struct kept_snapshots;
struct table;

struct dry_ask {
	const struct charges *charges; /* settled */
	struct history *history;       /* of these charges; learns as it is asked */
	struct kept_snapshots *kept;   /* of that history, where several answers are asked for; or NULL */
	int32_t today;                 /* the day of the answer, */
	int64_t now_s;                 /* and the instant at which it is over */
	bool all;                      /* past charges too */
	void (*done)(size_t n, size_t all); /* called as charges are done; or NULL */
	const char *const *wanted;     /* ids of charges, open or past; none: as `all` says */
	size_t nwanted;
};

/* A row a charge, and a row a reason for or against its readiness. Returns how many charges. */
size_t dry_view_charges(const struct dry_ask *ask, struct table *charges, struct table *reasons);

/* The same for a person: a card for each charge, in lines of at most `width` cells. Returns how many. */
size_t dry_view_cards(const struct dry_ask *ask, size_t width, struct buf *out);

/* A row a reading, a row for each half day of the model, and one for each moment of the kiln's air. */
size_t dry_view_curve(const struct dry_ask *ask, struct table *t);

/* A row a probe. */
size_t dry_view_rates(const struct dry_ask *ask, struct table *t);

/*
 * What to read next: of each open charge a row for each reading that would settle a doubt, and for each that would narrow the ready
 * range (next_reading.h). Returns how many charges are open.
 */
size_t dry_view_next(const struct dry_ask *ask, struct table *t);

/*
 * How good the forecasts were (backtest.h): a row for those of day 3, 7 and 14, of all days, and of each kiln, and for each way
 * to answer. `t` has so many tables. Returns whether there was a forecast.
 */
enum { DRY_SCORE_CALIBRATION, DRY_SCORE_RANGES, DRY_SCORE_ERRORS, DRY_SCORE_PIT, DRY_SCORE_TABLES };
bool dry_view_score(const struct dry_ask *ask, struct table *t);

/* A row for every charge that ended, with what was seen (seen.h), and one for every forecast. */
enum { DRY_EACH_SEEN, DRY_EACH_FORECASTS, DRY_EACH_TABLES };
bool dry_view_score_each(const struct dry_ask *ask, struct table *t);

#endif
