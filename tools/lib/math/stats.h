/*
 * stats.h - exact sums of fixed-point readings, the interval of a share, fair apportioning.
 *
 * Readings are whole numbers of a unit that the caller chooses (0.0001 %, 0.01 g, a cent),
 * so sums are exact in 128 bits: they depend neither on the order of the readings nor on how
 * a file was cut among workers, and two part sums are merged by adding. Derived values are
 * rounded half to even to that unit before they are summed.
 */
#ifndef WITHY_STATS_H
#define WITHY_STATS_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "base/int128.h"

/* `value` in units of 1/`scale`, rounded half to even; the product must be under 2^63. */
int64_t fixed_of(double value, double scale);

/*
 * Count, sum, sum of squares, and the ends. n times the greatest magnitude must stay under
 * 2^63 (readings to 0.0001 % of a thousand per cent: some 10^11 of them). Zero is empty.
 */
struct sums {
	int64_t n;
	int128 sum, squares;
	int64_t least, most; /* 0 while n is 0 */
};

void sums_add(struct sums *s, int64_t reading);
void sums_merge(struct sums *into, const struct sums *from);

/*
 * Mean, and standard deviation with n - 1, of readings in units of 1/`scale`. Both are correct
 * to the last bit or two of a double: the numerators are exact. NAN for no reading, and for
 * the deviation of fewer than two.
 */
double sums_mean(const struct sums *s, double scale);
double sums_sd(const struct sums *s, double scale);

/* The standard normal's 97.5 % point: two-sided 95 %. */
#define NORMAL_975 1.959963984540054

/*
 * Wilson's score interval (1927; NIST/SEMATECH e-Handbook 7.2.4.1) for the true share when
 * `k` of `n` were observed, as fractions. `z` is the normal point. Unless 0 <= k <= n > 0, it returns
 * false and the interval is 0 to 1.
 */
bool wilson_interval(int64_t k, int64_t n, double z, double *low, double *high);

/*
 * The same for a share from 0 to 1 that was reckoned from more than one count, as good as one of
 * `n` > 0 cases, whole or not (of a product of shares: Rothman 1978, with Greenwood's variance).
 */
void wilson_share(double share, double n, double z, double *low, double *high);

/*
 * Shares out `total` in whole units by `weight` (none below 0, not all 0) by the largest
 * remainder: each gets its quota rounded down; what is left goes one each to the largest
 * remainders, at a tie to the heavier weight, then to the earlier in the list. A total below 0
 * (but above INT64_MIN) is shared as its opposite and negated. False where the weights do not
 * serve.
 */
bool apportion(int64_t total, const int64_t *weight, size_t n, int64_t *share);

/* The same with memory of the caller's, all zero at first, for one that shares out again and again. */
struct apportion_room {
	struct apportion_claim *claim;
	size_t cap;
	int64_t *left;
	size_t left_cap;
};

bool apportion_in(struct apportion_room *room, int64_t total, const int64_t *weight, size_t n, int64_t *share);

/* The same for who knows that no weight is below 0 and that all are `sum`, above 0. */
void apportion_by(struct apportion_room *room, int64_t total, int128 sum, const int64_t *weight, size_t n, int64_t *share);
void apportion_room_release(struct apportion_room *room);

/*
 * The same of a list of which some are left out that get nothing, because others have the first right to
 * what is left over; all weigh `sum`, above 0. The total is not below 0.
 */
void apportion_some(int64_t total, int64_t sum, const int64_t *weight, size_t n, int64_t *share);

#endif
