/*
 * kaplan_meier.h - how many days it took, where some are still waiting: the share that was not through after each day.
 *
 * A case is some pieces that were watched together: from the end of day `from` (-1: from the first moment, so that day 0
 * counts) until day `to`, on which they went (`ended`), or after which nobody knows more (censored: still waiting, or taken
 * out for another reason). A censored piece counts among those at risk on its last day. The estimate is Kaplan and
 * Meier's (1958, J. Am. Statist. Assoc. 53, 457), with late entry where `from` is not -1.
 *
 * Pieces of one batch go together, so the error is not that of single pieces. It is the infinitesimal jackknife's by
 * batch: the root of the summed squares of what each batch adds to the estimate (Lin and Wei 1989 for grouped cases;
 * R's survfit() with cluster). Where each batch is one piece and none came late, it is Greenwood's (1926).
 *
 * An interval of the share is that of log(-log share) (Kalbfleisch and Prentice 1980). That of a day has all days whose
 * interval holds the share (Brookmeyer and Crowley 1982, Biometrics 38, 29). Where the estimate is level at exactly that
 * share, the day is the middle of the level, as the median of an even number of values.
 *
 * The order of the cases does not matter.
 */
#ifndef WITHY_KAPLAN_MEIER_H
#define WITHY_KAPLAN_MEIER_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

struct km_case {
	int32_t from, to;          /* from < to; a case without is passed over */
	int32_t batch;             /* any number */
	bool ended;
	int64_t n;                 /* above 0 */
};

/* A day on which some went. */
struct km_step {
	int32_t day;
	int64_t at_risk, ended;
	double share;              /* not through after it */
	double error;              /* standard error of the share */
};

struct kaplan_meier {
	struct km_step *step;      /* by day */
	size_t n;
	size_t batches;            /* of those at risk */
	int64_t cases, ended;      /* pieces */
};

/* Sorts the cases. The result is released with kaplan_meier_release(). */
void kaplan_meier_of(struct kaplan_meier *km, struct km_case *list, size_t n);
void kaplan_meier_release(struct kaplan_meier *km);

/* The interval of a step's share; `point` is the normal's or Student's. Both NAN where the share is 1 or 0. */
void km_share_interval(const struct km_step *step, double point, double *low, double *high);

/* The day by which the proportion `p` (between 0 and 1) is through; NAN: not so many are, so far. */
double km_day(const struct kaplan_meier *km, double p);

/* The interval of that day; an end that the cases do not show is NAN. */
void km_day_interval(const struct kaplan_meier *km, double p, double point, double *low, double *high);

#endif
