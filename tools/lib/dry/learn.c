#include "dry/learn.h"

#include <math.h>
#include <stdlib.h>

#include "dry/observed.h"
#include "dry/past_air.h"
#include "dry/prior.h"
#include "math/least_squares.h"

/* Rounds of fits under what is believed and of moving the beliefs: no more than these. */
enum { ROUNDS_MOST = 40 };

/* Steps of a fit in a round: the next one goes on from there. */
enum { STEPS_A_ROUND = 1 };

/* The beliefs have settled when no round moves one by more (moved() below). */
static const double MOVED_LEAST = 0.03;


enum { DRIFT_ROUNDS = 5 };

/* How many charges, pieces and readings the built-in spreads are worth beside those that were measured. */
static const double WORTH = 4;
static const double OWN_WORTH = 8;
static const double NOISE_WORTH = 20;
static const double DRIFT_WORTH = 20; /* knots */

/* Of the plain scatter a reading counts for no more than if it were so many scales of the noise off. */
static const double PLAIN_MOST = 3;

/* ---- one round: every charge fitted under what is believed, then the beliefs moved */

/* What a charge says: its values, how sure they are, and of which prior they came. */
struct lesson {
	const struct dry_charge *charge;
	struct dry_fit fit;
	double covariance[DRY_LEARNED * DRY_LEARNED]; /* of the charge's values */
	double *variance;                           /* of each value */
	double expected[DRY_LEARNED];
	double stiffness[DRY_LEARNED * DRY_LEARNED]; /* how it stiffens the means (below) */
};

static void set_covariance(struct lesson *l)
{
	enum { N = DRY_SHARED + DRY_OWN };
	double part[N * N];

	for (size_t i = 0; i < DRY_LEARNED; i++)
		for (size_t k = 0; k < DRY_LEARNED; k++)
			l->covariance[i * DRY_LEARNED + k] = l->fit.curve.inverse[i * DRY_SHARED + k];
	l->variance = mem_array(l->fit.n, sizeof *l->variance);
	for (size_t i = 0; i < DRY_SHARED; i++)
		l->variance[i] = l->fit.curve.inverse[i * DRY_SHARED + i];
	for (size_t p = 0; p < l->charge->nprobes; p++) {
		arrow_inverse(&l->fit.curve, p, part);
		for (size_t i = 0; i < DRY_OWN; i++)
			l->variance[DRY_SHARED + DRY_OWN * p + i] = part[(DRY_SHARED + i) * N + DRY_SHARED + i];
	}
}

/* What is believed of its values. */
static void expect(struct lesson *l, const struct dry_prior *prior)
{
	double unused;

	memcpy(l->expected, prior->mean, sizeof l->expected);
	l->expected[DRY_LNK] += dry_group_shift(&prior->kiln, l->charge->kiln, 0, &unused) + dry_group_shift(&prior->season, l->charge->season, 0, &unused);
	l->expected[DRY_OFFSET] += dry_group_shift(&prior->offset, l->charge->kiln, 0, &unused);
}

/* Each belief is moved under those that were moved before it: else two of them would take the same step, and go too far. */
static void expect_all(struct lesson *l, size_t n, const struct dry_prior *prior)
{
	for (size_t c = 0; c < n; c++)
		expect(&l[c], prior);
}

/* Fits it under the beliefs, on from the fit of the round before where there is one. */
static void take_lesson(struct lesson *l, const struct dry_charge *charge, const struct dry_prior *prior)
{
	if (l->charge)
		dry_fit_again(charge, prior, STEPS_A_ROUND, &l->fit);
	else
		dry_fit(charge, prior, dry_last_day(charge), &l->fit);
	l->charge = charge;
	free(l->variance);
	set_covariance(l);
	expect(l, prior);
}

static void lesson_release(struct lesson *l)
{
	dry_fit_release(&l->fit);
	free(l->variance);
}

/*
 * During the rounds the prior of a charge is diagonal, so that a charge pulls the means by the
 * distance over the variance, and stiffens them by 1/v - c/(v v): the slope and the curvature of
 * the likelihood with the charge's own values integrated out.
 */
static double pull(const struct lesson *l, const double *precision, size_t i)
{
	double sum = 0;

	for (size_t k = 0; k < DRY_LEARNED; k++)
		sum += precision[i * DRY_LEARNED + k] * (l->fit.value[k] - l->expected[k]);
	return sum;
}

/* to = a b */
static void multiply(const double *a, const double *b, double *to)
{
	enum { N = DRY_LEARNED };

	memset(to, 0, N * N * sizeof *to);
	for (size_t i = 0; i < N; i++)
		for (size_t k = 0; k < N; k++)
			for (size_t j = 0; j < N; j++)
				to[i * N + j] += a[i * N + k] * b[k * N + j];
}

static void set_stiffness(struct lesson *l, const double *precision)
{
	double by_covariance[DRY_LEARNED * DRY_LEARNED], known[DRY_LEARNED * DRY_LEARNED];

	multiply(precision, l->covariance, by_covariance);
	multiply(by_covariance, precision, known);
	for (size_t i = 0; i < DRY_LEARNED * DRY_LEARNED; i++)
		l->stiffness[i] = precision[i] - known[i];
}

/*
 * Moves the means. The curvature of the likelihood, which Newton's step takes, is less than that of the fits themselves, which is
 * what expectation and maximization take: the first goes too far where the charges say little, the second hardly moves there, and
 * a step by their mean does neither. `of_mean`: how little is known of the means, by the curvature of the likelihood.
 */
static void move_means(struct dry_prior *prior, const struct lesson *l, size_t n, const double *precision, double *of_mean, bool last)
{
	enum { N = DRY_LEARNED };
	double curve[N * N] = { 0 }, root[N * N], step[N];

	for (size_t i = 0; i < N; i++) {
		double stiff = 1 / (dry_builtin.mean_sd[i] * dry_builtin.mean_sd[i]);

		step[i] = (dry_builtin.mean[i] - prior->mean[i]) * stiff;
		curve[i * N + i] = stiff;
		for (size_t c = 0; c < n; c++) {
			step[i] += pull(&l[c], precision, i);
			for (size_t k = 0; k < N; k++)
				curve[i * N + k] += l[c].stiffness[i * N + k];
		}
		for (size_t k = 0; k < N; k++)
			root[i * N + k] = 0.5 * (curve[i * N + k] + (double)n * precision[i * N + k] + (i == k ? stiff : 0));
	}
	if (!fit_root(curve, N) || !fit_root(root, N))
		return;
	fit_inverse(curve, N, of_mean);
	fit_solve(root, N, step);
	for (size_t i = 0; i < N && !last; i++)
		prior->mean[i] += step[i];
}

static struct dry_group *group_of(struct dry_groups *groups, uint32_t id)
{
	for (size_t i = 0; i < groups->n; i++)
		if (groups->group[i].id == id)
			return &groups->group[i];
	if (id == 0 || groups->n == DRY_GROUPS_MOST)
		return NULL;
	groups->group[groups->n] = (struct dry_group){ .id = id };
	return &groups->group[groups->n++];
}

/* Sums while a round gathers: of the pulls in `shift`, of the stiffness in `variance`. */
struct gathered {
	double pull[DRY_GROUPS_MOST], stiffness[DRY_GROUPS_MOST];
};

static void gather(struct dry_groups *groups, struct gathered *g, uint32_t id, double pulled, double stiff)
{
	struct dry_group *group = group_of(groups, id);

	if (!group)
		return;
	g->pull[group - groups->group] += pulled;
	g->stiffness[group - groups->group] += stiff;
}

static void move_groups(struct dry_groups *groups, const struct gathered *g, double variance, bool last)
{
	for (size_t i = 0; i < groups->n; i++) {
		struct dry_group *group = &groups->group[i];
		double stiff = 1 / variance + fmax(g->stiffness[i], 0);

		if (!last)
			group->shift += (g->pull[i] - group->shift / variance) / stiff;
		group->variance = last ? 1 / stiff : 0;
	}
}

static void move_shifts(struct dry_prior *prior, struct lesson *l, size_t n, const double *precision, size_t value, struct dry_groups *groups, double variance,
	bool last)
{
	struct gathered sums = { { 0 }, { 0 } };

	expect_all(l, n, prior);
	for (size_t c = 0; c < n; c++)
		gather(groups, &sums, groups == &prior->season ? l[c].charge->season : l[c].charge->kiln, pull(&l[c], precision, value),
			l[c].stiffness[value * DRY_LEARNED + value]);
	move_groups(groups, &sums, variance, last);
}

static void move_types(struct dry_prior *prior, const struct lesson *l, size_t n, bool last)
{
	struct gathered type = { { 0 }, { 0 } };
	double v = prior->own[DRY_OWN_LNK], unused;

	for (size_t c = 0; c < n; c++)
		for (size_t p = 0; p < l[c].charge->nprobes; p++) {
			size_t at = DRY_SHARED + DRY_OWN * p + DRY_OWN_LNK;
			uint32_t id = l[c].charge->probe[p].type;
			double shift = dry_group_shift(&prior->type, id, 0, &unused);

			gather(&prior->type, &type, id, (l[c].fit.value[at] - shift) / v, 1 / v - l[c].variance[at] / (v * v));
		}
	move_groups(&prior->type, &type, DRY_UNKNOWN_GROUP, last);
}

/* How far charges spread about what is expected of them, and how their values go together. */
static void move_between(struct dry_prior *prior, const struct lesson *l, size_t n)
{
	for (size_t i = 0; i < DRY_LEARNED; i++)
		for (size_t k = 0; k < DRY_LEARNED; k++) {
			double sum = i == k ? WORTH * dry_builtin.between_sd[i] * dry_builtin.between_sd[i] : 0;

			for (size_t c = 0; c < n; c++)
				sum += (l[c].fit.value[i] - l[c].expected[i]) * (l[c].fit.value[k] - l[c].expected[k]) + l[c].covariance[i * DRY_LEARNED + k];
			prior->between[i * DRY_LEARNED + k] = sum / (WORTH + (double)n);
		}
}

static void move_own(struct dry_prior *prior, const struct lesson *l, size_t n)
{
	double sum[DRY_OWN], count = OWN_WORTH, unused;

	for (size_t i = 0; i < DRY_OWN; i++)
		sum[i] = OWN_WORTH * dry_builtin.own_sd[i] * dry_builtin.own_sd[i];
	for (size_t c = 0; c < n; c++)
		for (size_t p = 0; p < l[c].charge->nprobes; p++) {
			double shift = dry_group_shift(&prior->type, l[c].charge->probe[p].type, 0, &unused);

			count++;
			for (size_t i = 0; i < DRY_OWN; i++) {
				size_t at = DRY_SHARED + DRY_OWN * p + i;
				double off = l[c].fit.value[at] - (i == DRY_OWN_LNK ? shift : 0);

				sum[i] += off * off + l[c].variance[at];
			}
		}
	for (size_t i = 0; i < DRY_OWN; i++)
		prior->own[i] = sum[i] / count;
}

/* ---- the noise of readings */

struct residuals {
	double weighed, plain, count;
};

/* Of probe p, whose first reading is at `at` in what the fit shows; returns that of the next probe. */
static size_t add_residuals(const struct lesson *l, const struct dry_prior *prior, size_t p, size_t at, struct residuals *r)
{
	const struct dry_probe *probe = &l->charge->probe[p];
	size_t n = dry_read_by(probe, l->fit.now);

	for (size_t i = 0; i < n; i++, at++) {
		double off = (probe->reading[i].mc - l->fit.sight.mc[at]) / probe->reading[i].noise, z = off / prior->noise;

		if (probe->reading[i].mark != DRY_AT)
			continue;
		r->weighed += (DRY_TAILS + 1) / (DRY_TAILS + z * z) * off * off;
		r->plain += fmin(off * off, PLAIN_MOST * PLAIN_MOST * prior->noise * prior->noise);
		r->count++;
	}
	return at;
}

/* How many values the readings had to settle: those that the prior did not. */
static double settled_by_readings(const struct lesson *l, const struct dry_prior *prior)
{
	double sum = 0;

	for (size_t i = 0; i < l->fit.n; i++) {
		double v;

		if (i >= DRY_DRIFT && i < DRY_SHARED)
			continue;
		v = i < DRY_LEARNED ? prior->between[i * DRY_LEARNED + i] : prior->own[(i - DRY_SHARED) % DRY_OWN];

		sum += fmax(0, 1 - l->variance[i] / v);
	}
	return sum;
}

static void move_noise(struct dry_prior *prior, const struct lesson *l, size_t n)
{
	struct residuals r = { NOISE_WORTH * dry_builtin.noise * dry_builtin.noise, NOISE_WORTH * dry_builtin.noise * dry_builtin.noise, NOISE_WORTH };

	for (size_t c = 0; c < n; c++) {
		size_t at = 0;

		for (size_t p = 0; p < l[c].charge->nprobes; p++)
			at = add_residuals(&l[c], prior, p, at, &r);
		r.count -= settled_by_readings(&l[c], prior);
	}
	r.count = fmax(r.count, NOISE_WORTH);
	prior->noise = sqrt(r.weighed / r.count);
	prior->scatter = sqrt(r.plain / r.count);
}

/* Of what the offset drifts by: the scale of its t distribution, each knot weighed by how likely its tails make it. */
static void move_drift(struct dry_prior *prior, const struct lesson *l, size_t n)
{
	double sum = DRIFT_WORTH * dry_builtin.drift * dry_builtin.drift, count = DRIFT_WORTH;

	for (size_t c = 0; c < n; c++)
		for (size_t k = 0; k < DRY_KNOTS && !isnan(l[c].fit.knot[k]); k++) {
			double off = l[c].fit.value[DRY_DRIFT + k], square = (off * off + l[c].variance[DRY_DRIFT + k]) / dry_knot_days(l[c].fit.knot, k);
			double weight = (DRY_DRIFT_TAILS + 1) / (DRY_DRIFT_TAILS + off * off / dry_knot_days(l[c].fit.knot, k) / (prior->drift * prior->drift));

			sum += weight * square;
			count++;
		}
	prior->drift = sqrt(sum / count);
}

static void precision_of(const struct dry_prior *prior, double *precision)
{
	double root[DRY_LEARNED * DRY_LEARNED];

	memcpy(root, prior->between, sizeof root);
	fit_root(root, DRY_LEARNED);
	fit_inverse(root, DRY_LEARNED, precision);
}

static void take_lessons(struct dry_prior *prior, struct lesson *lesson, const struct dry_charge *const *past, size_t n)
{
	static const double none[DRY_LEARNED * DRY_LEARNED];

	dry_prior_set_covariance(prior, none); /* charges are fitted about the means as they are believed to be */
	for (size_t c = 0; c < n; c++)
		take_lesson(&lesson[c], past[c], prior);
}

/* `last`: what was believed stays, and how little is known of it is worked out. */
static void learn_round(struct dry_prior *prior, struct lesson *lesson, const struct dry_charge *const *past, size_t n, double *of_mean, bool last)
{
	double precision[DRY_LEARNED * DRY_LEARNED];

	take_lessons(prior, lesson, past, n);
	precision_of(prior, precision);
	for (size_t c = 0; c < n; c++)
		set_stiffness(&lesson[c], precision);
	move_means(prior, lesson, n, precision, of_mean, last);
	move_shifts(prior, lesson, n, precision, DRY_LNK, &prior->kiln, DRY_UNKNOWN_GROUP, last);
	move_shifts(prior, lesson, n, precision, DRY_LNK, &prior->season, DRY_UNKNOWN_SEASON, last);
	move_shifts(prior, lesson, n, precision, DRY_OFFSET, &prior->offset, DRY_UNKNOWN_OFFSET, last);
	expect_all(lesson, n, prior);
	move_types(prior, lesson, n, last);
	if (last)
		return;
	move_between(prior, lesson, n);
	move_own(prior, lesson, n);
	move_noise(prior, lesson, n);
}

/* How far the beliefs moved in a round: means in built-in standard deviations, spreads in their logarithm. */
static double moved(const struct dry_prior *prior, const double *mean, const double *between)
{
	double most = 0;

	for (size_t i = 0; i < DRY_LEARNED; i++) {
		size_t at = i * DRY_LEARNED + i;

		most = fmax(most, fabs(prior->mean[i] - mean[i]) / dry_builtin.mean_sd[i]);
		most = fmax(most, fabs(log(prior->between[at] / between[at])) / 2);
	}
	return most;
}

static void learn_beliefs(struct dry_prior *prior, struct lesson *lesson, const struct dry_charge *const *past, size_t n, double *of_mean)
{
	double mean[DRY_LEARNED], between[DRY_LEARNED * DRY_LEARNED], off = HUGE_VAL;

	prior->drift = 0;
	for (int i = 0; i < ROUNDS_MOST && off > MOVED_LEAST; i++) {
		memcpy(mean, prior->mean, sizeof mean);
		memcpy(between, prior->between, sizeof between);
		learn_round(prior, lesson, past, n, of_mean, false);
		off = moved(prior, mean, between);
	}
	learn_round(prior, lesson, past, n, of_mean, true);
}

/* The drift is learned when the rest is: before, it would take what is the law's. */
static void learn_drift(struct dry_prior *prior, struct lesson *lesson, const struct dry_charge *const *past, size_t n)
{
	prior->drift = dry_builtin.drift;
	for (int i = 0; i < DRIFT_ROUNDS; i++) {
		take_lessons(prior, lesson, past, n);
		move_drift(prior, lesson, n);
	}
}

/* By fits under all that was learned, to the end. */
static void learn_air(struct dry_prior *prior, struct lesson *lesson, const struct dry_charge *const *past, size_t n)
{
	const struct dry_fit **fit = mem_array(n, sizeof *fit);

	for (size_t c = 0; c < n; c++) {
		dry_fit_again(past[c], prior, DRY_FIT_STEPS, &lesson[c].fit);
		fit[c] = &lesson[c].fit;
	}
	past_air_learn(prior, past, fit, n);
	free(fit);
}

void dry_learn(struct dry_prior *prior, const struct dry_charge *const *past, size_t n)
{
	struct lesson *lesson = mem_zeroed(n, sizeof *lesson);
	double of_mean[DRY_LEARNED * DRY_LEARNED];

	dry_prior_release(prior);
	dry_prior_init(prior);
	if (n) {
		learn_beliefs(prior, lesson, past, n, of_mean);
		learn_drift(prior, lesson, past, n);
		dry_prior_set_covariance(prior, of_mean);
	}
	prior->ncharges = n;
	for (size_t c = 0; c < n; c++)
		gaps_add(&prior->gaps, past[c], dry_last_day(past[c]), 1);
	learn_air(prior, lesson, past, n);
	for (size_t c = 0; c < n; c++)
		lesson_release(&lesson[c]);
	free(lesson);
}
