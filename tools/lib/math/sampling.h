/*
 * sampling.h - what a count of pieces says: intervals of a proportion, and how many to read.
 *
 * Nothing here assumes a distribution of the measured values. Shares and probabilities are fractions of 1,
 * not per cent. There are at most DIST_PIECES_MOST pieces. Without an answer, an interval is NAN and a number
 * of pieces is -1.
 *
 * Four probes in one stack are not a random sample of a charge. The results of these functions for n
 * pieces are the best case. The n counts pieces, never readings.
 *
 * Sources: Clopper and Pearson (1934), NIST/SEMATECH e-Handbook 7.2.4.1; Wilks (1941), e-Handbook 7.2.6.4;
 * plans by the binomial and the hypergeometric distribution themselves.
 */
#ifndef WITHY_SAMPLING_H
#define WITHY_SAMPLING_H

#include <stdint.h>

#include "math/distributions.h"
#include "math/tolerance.h"

/* ---- intervals of a share: k of n */

struct sampling_interval {
	double low, high;
};

/* Clopper and Pearson's, two-sided at `sure`; one-sided bounds come from sure = 2 * s - 1. */
struct sampling_interval sampling_share(int64_t k, int64_t n, double sure);

/* The upper limit, at `sure`, of the number out of band among `all` pieces when k of n drawn were. */
int64_t sampling_bad_most(int64_t k, int64_t n, int64_t all, double sure);

/* ---- how many to read */

/* How many pieces so that the least (one end) or the least and the most (two) cover `cover` at `sure`. */
int64_t sampling_free_one(double cover, double sure);
int64_t sampling_free_two(double cover, double sure);

/* How sure n pieces are that their least and most cover `cover`. */
double sampling_free_sure(int64_t n, double cover);

/* How many pieces to measure so that, with at most `bad` of them out, `cover` conform at `sure`. */
int64_t sampling_pieces(double cover, double sure, int64_t bad);

/*
 * The same for a plan of rows 0..`most` that is read on from row to row: from the first piece on, stop at the first row
 * whose number of pieces is reached with at most `bad` of them out. The rows share the risk 1 - sure alike, so the chance
 * to stop at any of them, where only `cover` conform, is at most that (exact; spending by steps: Lan and DeMets 1983).
 */
int64_t sampling_pieces_on(double cover, double sure, int64_t bad, int64_t most);

/* The same in a lot of `all` pieces, of which none is put back; -1 where `bad` out say nothing. */
int64_t sampling_pieces_of(int64_t all, double cover, double sure, int64_t bad);

#endif
