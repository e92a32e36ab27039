/*
 * moist_rows.h - the rows of wy-moist(1): which readings count in each, and what they come to.
 *
 * Readings are taken one at a time and in no order; each is folded at once into its row and, where not all
 * readings count alike, into its source: what is taken to be read again and again (readings.h).
 * Of a source the last reading counts, in its row (reading_is_before()); of one at random, every reading
 * of its last moment, and none when probes of its charge were read later. In rows of months or days that goes for each of
 * these. So a source that went on to another lot or place is in one row, and all groupings count the same pieces.
 * A piece in the oven counts as a reading and, but where all count alike, as no piece. A source read at another
 * depth, or in another form, is another where the answer is by these.
 *
 * Memory follows rows (some 240 bytes) and sources (some 55), and not the number of readings.
 */
#ifndef WITHY_MOIST_ROWS_H
#define WITHY_MOIST_ROWS_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "book/line.h"
#include "house/house.h"
#include "math/stats.h"
#include "moist/moist_ask.h"

struct moist_rule;
struct moist_share;
struct reading_facts;
struct readings;

/* MOIST_IN_DRIER and MOIST_IN_WETTER: in the band if the meters' lines are off by their own error (95 %), one way or the other. */
enum { MOIST_READINGS, MOIST_UNREAD, MOIST_PIECES, MOIST_ABOVE, MOIST_BELOW, MOIST_UNCORRECTED, MOIST_DOUBTFUL,
	MOIST_JUDGED, MOIST_IN, MOIST_IN_DRIER, MOIST_IN_WETTER, MOIST_BEYOND, MOIST_COUNTS };

/* The minimum or maximum of a row's readings, and its piece. */
struct moist_end {
	int32_t mc, day;              /* mc: in steps */
	uint32_t a, b;
	bool at_random, held;
	uint8_t mark;
};

struct moist_ends {
	struct moist_end least, most;
};

/* Of those off the scale: the scale's ends. */
enum { MOIST_OVER, MOIST_UNDER, MOIST_OFFS };

struct moist_row {
	uint32_t key[MOIST_BYS];      /* names; of month and day a number of it */
	uint32_t first, items;        /* of its values */
	int32_t last;                 /* the latest day that counts; INT32_MIN for none */
	uint32_t rules;               /* which set of corrections */
	uint32_t share, at;           /* whose it is, and which row it is of all */
	int64_t count[MOIST_COUNTS];
	struct sums sums;             /* of those on the scale */
	struct moist_ends ends;       /* likewise */
	struct moist_ends *off;       /* MOIST_OFFS of them, or NULL where none is off the scale */
};

/* A reading that counts, as the views see it. */
struct moist_value {
	const struct house_calibration *line; /* the meter's own, or NULL */
	uint32_t piece;               /* the same number for the same piece of the row; 0 of one at random */
	int32_t day;
	int64_t mc, target, depth;    /* target and depth HOUSE_NONE where there is none */
	struct house_range band;
	uint8_t mark, form;           /* VALUE_..., MOIST_UNSAID or _BEFORE or _AFTER */
};

enum { MOIST_UNSAID, MOIST_BEFORE, MOIST_AFTER }; /* planing */

/* Some values in a row. */
struct moist_run {
	const struct moist_value *v;
	size_t n;
};

struct moist_rows {
	const struct moist_ask *ask;
	const struct reading_facts *facts;
	struct moist_share *share;      /* of the readings, one a thread */
	size_t nshares;
	struct moist_rule *rule;        /* how readings were corrected, by meter and line */
	size_t nrules, rules_cap;
	struct moist_row **part;        /* the rows of all shares by their keys: the first of a key has it all */
	uint32_t *first;                /* of each row, and one more: its part with all of it */
	size_t n;
	struct moist_value *value;      /* of the row that was asked for last */
	size_t nvalues, values_cap;
};

void moist_rows_init(struct moist_rows *m, const struct moist_ask *ask, const struct reading_facts *facts);
void moist_rows_release(struct moist_rows *m);

/*
 * Takes all of the readings that `facts` was brought together from, counts what is last, and puts the rows in
 * the order of their keys, by so many threads (0: all cores), which do not show. See readings->error.
 */
void moist_rows_fill(struct moist_rows *m, struct readings *readings, size_t jobs);

/* The i-th row. Adds its k-th key in words, none for one that the book does not have. */
const struct moist_row *moist_row_at(const struct moist_rows *m, size_t i);
void moist_row_key(const struct moist_rows *m, const struct moist_row *row, size_t k, struct buf *out);

/* Adds the piece and the day of an end; the texts of its corrections, in bytewise order. */
void moist_end_write(const struct readings *r, const struct moist_end *end, struct buf *out);
void moist_row_end_write(const struct moist_rows *m, const struct moist_end *end, struct buf *out);
void moist_row_rules_write(const struct moist_rows *m, const struct moist_row *row, struct buf *out);

/*
 * The values of the i-th row by depth, form and moisture; valid until the next call. Where all
 * readings count alike there are none.
 */
struct moist_run moist_row_values(struct moist_rows *m, size_t i);

/* The readings that count beyond the pairs of a meter's own line. */
struct moist_beyond {
	struct slice meter;           /* with its setting */
	const struct house_calibration *line;
	int64_t n;
	double least_pct, most_pct;   /* by how far, as read: the lowest, 0 or below; the highest, 0 or above */
};

/* The i-th of the lines, in the order of meters and days; false after the last. n may be 0. */
bool moist_rows_beyond(const struct moist_rows *m, size_t i, struct moist_beyond *beyond);

/* What those of a run that are on the scale sum up to. */
struct sums moist_run_sums(struct moist_run run);

#endif
