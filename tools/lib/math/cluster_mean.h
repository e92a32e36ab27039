/*
 * cluster_mean.h - the mean of values that come in clusters, with its interval.
 *
 * Values of one cluster resemble each other, so what counts for the interval is how many clusters there are: the
 * ratio estimator of Cochran (Sampling Techniques, 3rd edition 1977, chapter 6), with Student's t of clusters - 1 degrees of freedom. With
 * one value in each it is the mean's usual interval.
 */
#ifndef WITHY_CLUSTER_MEAN_H
#define WITHY_CLUSTER_MEAN_H

#include <stddef.h>

struct cluster {
	double sum;
	size_t n;
};

/* A zeroed struct is empty. */
struct cluster_mean {
	struct cluster *cluster;
	size_t n, cap;
	size_t key;                /* of the last */
};

/* Takes a value in. Those of a cluster come one after another, with the same key. */
void cluster_mean_add(struct cluster_mean *m, size_t key, double value);
void cluster_mean_release(struct cluster_mean *m);

/* NAN where there is none; the 95 % interval also with fewer than two clusters. */
struct cluster_found {
	size_t values, clusters;
	double mean, low, high;
};

struct cluster_found cluster_mean_end(const struct cluster_mean *m);

/*
 * Of values from 0 to 1: Wilson's interval (stats.h) as if each cluster were one case, which is wide: the values of a cluster are taken to say all the same.
 */
struct cluster_found cluster_share_end(const struct cluster_mean *m);

#endif
