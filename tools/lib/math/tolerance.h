/*
 * tolerance.h - normal tolerance factors: what mean and sd of a sample say of all pieces.
 *
 * A factor k makes the limits mean +- k sd of n pieces. Shares and probabilities are fractions of 1, not
 * per cent. A question that has no answer (one piece, a share of 0 or 1) gives NAN.
 *
 * Four probes in one stack are not a random sample of a charge. The results of these functions for n
 * pieces are the best case. The n counts pieces, never readings.
 *
 * Sources: NIST/SEMATECH e-Handbook 7.2.6.3 (one-sided, by the noncentral t); Wald and Wolfowitz (1946)
 * without their approximation (two-sided); ISO 16269-6, Annex F (pooled sds).
 */
#ifndef WITHY_TOLERANCE_H
#define WITHY_TOLERANCE_H

#include <stdint.h>

/* One-sided: at least `cover` of all lies above mean - k1 * sd, at `sure`. */
double tolerance_one(double n, double cover, double sure);

/* Two-sided and exact: at least `cover` lies within mean +- k2 * sd, at `sure`. INFINITY is an n. */
double tolerance_two(double n, double cover, double sure);

/*
 * The same where the sd has `nu` degrees of freedom, not n - 1: m samples of n each, whose sds are
 * pooled, have nu = m (n - 1). The mean is as good as one of n pieces, whole or not; n may be under 1.
 */
double tolerance_pooled(double n, double nu, double cover, double sure);
double tolerance_one_pooled(double n, double nu, double cover, double sure);

/* The mean of all lies within mean +- f * sd, at `sure`. */
double tolerance_mean(int64_t n, double sure);

/*
 * The share that lies in a band at `sure`, given how far its ends are from the mean in sds (both as
 * distances, one may be INFINITY: then only the other counts). Of two ends the nearer is taken for
 * both, so that it is never too much. 0 where the mean is outside or n is under 2; at most 1 - 1e-9.
 */
double tolerance_cover(double n, double low_sds, double high_sds, double sure);
double tolerance_cover_pooled(double n, double nu, double low_sds, double high_sds, double sure);

/*
 * How many pieces at the least assure that `cover` lies in a band, at `sure`, if their mean is in its middle and
 * its ends are `sds` from that: 2 or more. -1 where no number up to DIST_PIECES_MOST does.
 */
int64_t tolerance_pieces(double cover, double sure, double sds);

#endif
