/*
 * rank_sum.h - whether the values of one group lie higher than those of another.
 *
 * Nothing is assumed of how the values are spread. Equal values share their rank. Of small groups the chance is exact,
 * over all ways in which the ranks could have fallen to the groups; of larger ones it is the normal approximation, with
 * the correction for equal values and for continuity.
 *
 * Sources: Wilcoxon (1945), Biometrics Bulletin 1, 80; Mann and Whitney (1947), Ann. Math. Statist. 18, 50. The approximation
 * is that of R's wilcox.test(exact = FALSE).
 */
#ifndef WITHY_RANK_SUM_H
#define WITHY_RANK_SUM_H

#include <stdbool.h>
#include <stddef.h>

struct rank_sum_value {
	double value;
	bool in;           /* in the group that is asked about */
};

struct rank_sum {
	double higher;     /* the chance that one of the group is above one of the others, equal ones counted half */
	double p;          /* two-sided; twice the smaller tail, at most 1 */
	bool exact;
};

/* Sorts the values. NAN where one of the groups is empty. */
struct rank_sum rank_sum_of(struct rank_sum_value *value, size_t n);

#endif
