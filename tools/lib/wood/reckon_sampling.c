#include <math.h>

#include "math/sampling.h"
#include "wood/reckon_internal.h"

static bool is_share(struct reckoned *r, const char *name, const struct reckon_input *in)
{
	if (in->v > 0 && in->v < 100)
		return true;
	return reckoned_refuse(r, "%s=%s must be above 0%% and below 100%%; no sample can show all", name, in->text.p);
}

/* Larger counts are refused, because the answer might be wrong. */
static bool countable(struct reckoned *r, const char *name, const struct reckon_input *in)
{
	if (in->v <= DIST_PIECES_MOST)
		return true;
	return reckoned_refuse(r, "%s=%s is too large; at most %d pieces are possible", name, in->text.p, DIST_PIECES_MOST);
}

static bool enough(struct reckoned *r, const struct reckon_input *n)
{
	if (n->v < 2)
		return reckoned_refuse(r, "n=%s must be at least 2", n->text.p);
	return countable(r, "n", n);
}

static void sample_note(struct reckoned *r)
{
	reckoned_note(r, "This holds for pieces taken at random, and n counts pieces, not readings. For a few probes in one stack it is the best case.");
}

/* ---- tolerance factors */

/* `in` starts with n, cover, sure. */
static bool give_factors(struct reckoned *r, const struct reckon_input *in, double k[2])
{
	double cover = in[1].v / 100, sure = in[2].v / 100;

	if (!enough(r, &in[0]) || !is_share(r, "cover", &in[1]) || !is_share(r, "sure", &in[2]))
		return false;
	k[0] = tolerance_one(in[0].v, cover, sure);
	k[1] = tolerance_two(in[0].v, cover, sure);
	if (isnan(k[0]) || isnan(k[1]))
		return reckoned_refuse(r, "the factor for n=%s cover=%s sure=%s cannot be calculated", in[0].text.p, in[1].text.p, in[2].text.p);
	reckoned_give(r, k[0]);
	reckoned_give(r, k[1]);
	reckoned_note(r, "k1: the proportion lies above mean - k1 sd (or below mean + k1 sd). k2: it lies within mean +- k2 sd.");
	sample_note(r);
	return true;
}

RECKON_FUNCTION(reckon_tolerance)
{
	double k[2];

	(void)house;
	if (!give_factors(r, in, k))
		return false;
	reckoned_finding(r, "At least %g %% of all pieces lie within %.2f standard deviations of the mean, with %g %% confidence.", in[1].v, k[1], in[2].v);
	return true;
}

static bool spread_good(struct reckoned *r, const struct reckon_input *sd)
{
	if (sd->v > 0)
		return true;
	return reckoned_refuse(r, "sd=%s must be above 0; measure to more places", sd->text.p);
}

/* `in` holds n, cover, sure, mean, sd. */
RECKON_FUNCTION(reckon_tolerance_limits)
{
	double mean = in[3].v, sd = in[4].v, k[2];

	(void)house;
	if (!spread_good(r, &in[4]) || !give_factors(r, in, k))
		return false;
	reckoned_finding(r, "At least %g %% of all pieces lie between %.1f and %.1f %%, with %g %% confidence.", in[1].v, mean - k[1] * sd, mean + k[1] * sd, in[2].v);
	reckoned_give(r, mean - k[1] * sd);
	reckoned_give(r, mean + k[1] * sd);
	reckoned_give(r, mean - k[0] * sd);
	return reckoned_give(r, mean + k[0] * sd);
}

/* The proportion of a normal distribution between two distances from its mean, in sds. */
static double share_between(double below, double above)
{
	return dist_normal_p(above) - dist_normal_p(-below);
}

static bool band_good(struct reckoned *r, const struct reckon_input *low, const struct reckon_input *high)
{
	if (!low->given && !high->given)
		return reckoned_refuse(r, "a band needs low= or high=, or both");
	if (low->given && high->given && low->v >= high->v)
		return reckoned_refuse(r, "low=%s is not below high=%s", low->text.p, high->text.p);
	return true;
}

/* `in` holds n, sure, mean, sd, low, high. */
RECKON_FUNCTION(reckon_tolerance_share)
{
	double sd = in[3].v, mean = in[2].v, below, above;

	(void)house;
	if (!enough(r, &in[0]) || !is_share(r, "sure", &in[1]) || !spread_good(r, &in[3]) || !band_good(r, &in[4], &in[5]))
		return false;
	below = in[4].given ? (mean - in[4].v) / sd : INFINITY;
	above = in[5].given ? (in[5].v - mean) / sd : INFINITY;
	reckoned_give(r, 100 * tolerance_cover(in[0].v, below, above, in[1].v / 100));
	reckoned_give(r, 100 * share_between(below, above));
	reckoned_finding(r, "At least %.0f %% of all pieces lie in the band, with %g %% confidence.", floor(r->row[0].value), in[1].v);
	reckoned_note(r, "share: the lower bound of the proportion in the band, if pieces are normally distributed. With two ends it uses the nearer one "
		"on both sides, so it is never too high. share_fitted: as if mean and sd were those of all pieces.");
	sample_note(r);
	return true;
}

/* ---- how many to measure */

/* `in` starts with cover, sure. */
static void sample_finding(struct reckoned *r, const struct reckon_input *in, int64_t pieces, int64_t bad, const char *of)
{
	reckoned_finding(r, "Measure %lld pieces taken at random. If at most %lld %s out of band, at least %g %% %s conform, with %g %% confidence.",
		(long long)pieces, (long long)bad, PLURAL(bad, "is", "are"), in[0].v, of, in[1].v);
}

/* `in` holds cover, sure, bad. */
RECKON_FUNCTION(reckon_sample)
{
	double cover = in[0].v / 100, sure = in[1].v / 100;
	int64_t bad = in[2].given ? (int64_t)in[2].v : 0, pieces;

	(void)house;
	if (!is_share(r, "cover", &in[0]) || !is_share(r, "sure", &in[1]))
		return false;
	pieces = sampling_pieces(cover, sure, bad);
	if (pieces < 0 || sampling_free_two(cover, sure) < 0)
		return reckoned_refuse(r, "no practical sample can show that");
	reckoned_give(r, (double)pieces);
	reckoned_give(r, (double)sampling_free_one(cover, sure));
	reckoned_give(r, (double)sampling_free_two(cover, sure));
	sample_finding(r, in, pieces, bad, "of all");
	reckoned_note(r, "one_end, both_ends: with that many pieces the proportion lies above the driest, or between the driest and the wettest, "
		"whatever the distribution.");
	sample_note(r);
	return true;
}

/* `in` holds cover, sure, all, bad. */
RECKON_FUNCTION(reckon_sample_of_lot)
{
	int64_t all = (int64_t)in[2].v, bad = in[3].given ? (int64_t)in[3].v : 0, pieces;

	(void)house;
	if (!is_share(r, "cover", &in[0]) || !is_share(r, "sure", &in[1]))
		return false;
	if (all < 1)
		return reckoned_refuse(r, "all=%s must be at least 1", in[2].text.p);
	if (!countable(r, "all", &in[2]))
		return false;
	pieces = sampling_pieces_of(all, in[0].v / 100, in[1].v / 100, bad);
	if (pieces < 0)
		return reckoned_refuse(r, "bad=%lld: a lot of %lld conforms with that many out of band, so there is nothing to test", (long long)bad, (long long)all);
	reckoned_give(r, (double)pieces);
	sample_finding(r, in, pieces, bad, "of the lot");
	sample_note(r);
	return true;
}

/* ---- shares */

/* `in` starts with k, n, sure. */
static bool share_good(struct reckoned *r, const struct reckon_input *in)
{
	if (!(in[1].v >= 1))
		return reckoned_refuse(r, "n=%s must be at least 1", in[1].text.p);
	if (in[0].v > in[1].v)
		return reckoned_refuse(r, "k=%s is above n=%s; k counts some of the n pieces", in[0].text.p, in[1].text.p);
	return countable(r, "n", &in[1]) && is_share(r, "sure", &in[2]);
}

static void share_finding(struct reckoned *r, double low, double high, double sure_pct)
{
	reckoned_finding(r, "The proportion in all pieces lies between %.1f and %.1f %%, with %g %% confidence.", 100 * low, 100 * high, sure_pct);
}

static void share_note(struct reckoned *r)
{
	reckoned_note(r, "lower, upper: the proportion lies between them. lower_alone, upper_alone: one-sided bounds.");
	sample_note(r);
}

/* A bound for one side alone. */
static struct sampling_interval bounds_alone(int64_t k, int64_t n, double sure)
{
	struct sampling_interval i = { 0, 1 };

	if (k > 0)
		i.low = dist_beta_q(1 - sure, (double)k, (double)(n - k + 1));
	if (k < n)
		i.high = dist_beta_q(sure, (double)(k + 1), (double)(n - k));
	return i;
}

RECKON_FUNCTION(reckon_share)
{
	int64_t k = (int64_t)in[0].v, n = (int64_t)in[1].v;
	double sure = in[2].v / 100, low, high;
	struct sampling_interval both, alone;

	(void)house;
	if (!share_good(r, in))
		return false;
	both = sampling_share(k, n, sure);
	alone = bounds_alone(k, n, sure);
	wilson_interval(k, n, dist_normal_q((1 + sure) / 2), &low, &high);
	share_finding(r, both.low, both.high, in[2].v);
	reckoned_give(r, (double)k / (double)n);
	reckoned_give(r, both.low);
	reckoned_give(r, both.high);
	reckoned_give(r, alone.low);
	reckoned_give(r, alone.high);
	reckoned_give(r, low);
	reckoned_note(r, "The first bounds are by Clopper and Pearson, never too narrow; the last by Wilson, closer on average.");
	share_note(r);
	return reckoned_give(r, high);
}

/* The fewest and the most of the kind among all, each at `sure`: hypergeometric. */
static void counts_of_all(int64_t k, int64_t n, int64_t all, double sure, int64_t *fewest, int64_t *most)
{
	*most = sampling_bad_most(k, n, all, sure);
	*fewest = all - sampling_bad_most(n - k, n, all, sure);
}

/* `in` holds k, n, sure, all. */
RECKON_FUNCTION(reckon_share_of_lot)
{
	int64_t k = (int64_t)in[0].v, n = (int64_t)in[1].v, all = (int64_t)in[3].v, fewest, most, fewest_alone, most_alone;
	double sure = in[2].v / 100;

	(void)house;
	if (!share_good(r, in))
		return false;
	if (all < n)
		return reckoned_refuse(r, "all=%s is below n=%s; the lot includes the sample", in[3].text.p, in[1].text.p);
	if (!countable(r, "all", &in[3]))
		return false;
	counts_of_all(k, n, all, (1 + sure) / 2, &fewest, &most);
	counts_of_all(k, n, all, sure, &fewest_alone, &most_alone);
	share_finding(r, (double)fewest / (double)all, (double)most / (double)all, in[2].v);
	reckoned_give(r, (double)k / (double)n);
	reckoned_give(r, (double)fewest / (double)all);
	reckoned_give(r, (double)most / (double)all);
	reckoned_give(r, (double)fewest_alone / (double)all);
	reckoned_give(r, (double)most_alone / (double)all);
	reckoned_give(r, (double)fewest);
	reckoned_note(r, "Exact for a sample without replacement. fewest, most: the bounds in pieces.");
	share_note(r);
	return reckoned_give(r, (double)most);
}
