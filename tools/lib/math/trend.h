/*
 * trend.h - whether a proportion rises or falls over groups that have an order.
 *
 * Sources: Cochran (1954), Biometrics 10, 417; Armitage (1955), Biometrics 11, 375. The statistic is the one of R's
 * prop.trend.test(): the square of z is its X-squared.
 */
#ifndef WITHY_TREND_H
#define WITHY_TREND_H

#include <stddef.h>
#include <stdint.h>

/* k of n in a group; the score says where the group lies, in any unit. */
struct trend_group {
	int64_t k, n;
	double score;
};

/* z above 0: the proportion rises with the score. p is two-sided, by the normal approximation. */
struct trend {
	double z, p;
};

/* NAN where nothing can rise: fewer than two scores with n above 0, or none or all of all pieces. */
struct trend trend_of(const struct trend_group *group, size_t n);

#endif
