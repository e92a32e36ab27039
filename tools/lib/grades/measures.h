/*
 * measures.h - the grains, mass and moisture of judged pieces, by their grade.
 *
 * A piece has the grade that it was given first (`judge` with grade=) under a scheme, and each measure that was written of it
 * first under that scheme, on whichever judge lines. Moisture is corrected by the house's rule for its meter; a reading at an
 * end of the scale, or without a figure, does not count. Grades of two schemes are never taken together unless the house says how (`former`).
 *
 * The lot is the part of the piece's name before its slash. Pieces of one lot are alike, so the interval of a mean is that of cluster_mean.h,
 * and the best grade is compared with the others only within lots (stratified_shift.h).
 */
#ifndef WITHY_MEASURES_H
#define WITHY_MEASURES_H

#include <stdbool.h>

#include "base/intern.h"
#include "math/cluster_mean.h"
#include "wood/meter.h"

struct line;

enum measure { MEASURE_GRAINS, MEASURE_MASS, MEASURE_MOISTURE, MEASURES };

/* A judge line; a measure that it lacks is NAN. */
struct judged {
	uint32_t piece, lot, grade, by;  /* numbers in `words`; grade: 0 for none */
	int32_t day, second;
	int scheme;                      /* an index in the house's schemes; -1: none was in force */
	double measure[MEASURES];        /* lines across the face, g, % */
};

/* One measure of the pieces of one grade. */
struct measure_row {
	const struct house_scheme *scheme; /* or NULL */
	struct slice grade;
	enum measure measure;
	struct cluster_found mean;
	double sd, least, most;          /* sd: NAN of one piece */
};

/* The best grade beside all others, in lots that have both: the difference of the means, and how likely it is chance. */
struct measure_best {
	const struct house_scheme *scheme;
	struct slice grade;
	enum measure measure;
	double more, low, high, p;       /* NAN: no lot has both */
};

struct measures {
	const struct house *house;       /* or NULL */
	int32_t from, to;
	struct intern words;
	struct judged *judged;
	size_t n, cap;
	struct measure_row *row;         /* by scheme, grade (the best first) and measure; only those that have a piece */
	size_t nrows;
	struct measure_best *best;       /* by scheme and measure */
	size_t nbest;
	size_t ungraded;                 /* pieces with a measure and without a grade */
	bool uncorrected;                /* some moisture has no rule for its meter */
};

void measures_init(struct measures *m, const struct house *house, int32_t from, int32_t to);
void measures_release(struct measures *m);

/* Takes a good line in (a book_line); its context is the `struct measures`. Lines may come in any order. */
void measures_take(void *context, const struct line *l);

/* When all lines are in. */
void measures_end(struct measures *m);

#endif
