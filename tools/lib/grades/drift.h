/*
 * drift.h - whether a grader's grades moved over time, with what the wood's origin explains taken out.
 *
 * First grades count, by the by= of the grade line; a blade culled at grading counts as one step below the lowest grade. Each grader's
 * blades under one scheme are parted in two periods: at the day that is asked for, or else where half of them were graded.
 * The periods are compared only within wood of one origin, which is the lot's supplier and parcel (stratified_shift.h): a lot of several
 * origins, or of none that is known, says nothing. Grades of two schemes are compared only if the house says how (`former`).
 */
#ifndef WITHY_DRIFT_H
#define WITHY_DRIFT_H

#include "house/house.h"
#include "math/stratified_shift.h"
#include "stock/provenance.h"

struct stock_flow;

enum { DRIFT_NO_CUT = INT32_MAX };

/* Some blades of one line, alike. */
struct drift_count {
	size_t scheme;             /* an index in the house's schemes */
	uint32_t by, lot;
	int32_t day;
	int rank;                  /* 0 is the best; as many as the scheme has: culled */
	int64_t n;
};

struct drift_grader {
	const struct house_scheme *scheme;
	struct slice by;
	int32_t first, cut, last;  /* days; the later period begins with `cut` */
	struct stratified_shift shift; /* in steps between grades; above 0: the grades got worse */
	double plain;              /* the same of all blades, whatever their origin */
	double *before, *after;    /* the share of each grade and of the culled, in wood of the same origins alike; k + 1 of each */
	int64_t apart;             /* blades whose origin is not known, or is in one period only */
	bool has_moved;            /* by more than chance and lots explain, for all graders together (Bonferroni, 5 %) */
};

struct drift {
	const struct stock *stock;
	const struct provenance *origins;
	int32_t from, to, cut, end;
	struct drift_count *count;
	struct drift_grader *grader;   /* by scheme and name; graders with one day only are left out */
	size_t n, cap, ngraders;
	int64_t nameless;              /* blades without by= */
	int64_t strange;               /* blades whose scheme lacks their grade, or under no scheme */
};

/*
 * Only gradings of `from` to `to` count; `cut` is DRIFT_NO_CUT where each grader's own middle parts them. The engine must have a
 * house. Before stock_run(), after provenance_end(); the arguments must last as long as the drift.
 */
void drift_init(struct drift *d, const struct stock *s, const struct provenance *origins, int32_t from, int32_t to, int32_t cut);
void drift_release(struct drift *d);

void drift_flow(void *context, const struct stock_flow *f); /* a stock_sink */

/* When all flows are in. */
void drift_end(struct drift *d);

#endif
