#include "dry/learn.h"

#include <math.h>
#include <stdlib.h>

#include "dry/observed.h"
#include "dry/prior.h"
#include "math/least_squares.h"

/* Rounds of fits under what is believed and of moving the beliefs. */
enum { ROUNDS = 10 };

/* How many charges, pieces and readings the built-in spreads are worth beside those that were measured. */
static const double WORTH = 2;
static const double OWN_WORTH = 8;
static const double NOISE_WORTH = 20;

/* Of the plain scatter a reading counts for no more than if it were so many scales of the noise off. */
static const double PLAIN_MOST = 3;

/* ---- one round: every charge fitted under what is believed, then the beliefs moved */

/* What a charge says: its values, how sure they are, and of which prior they came. */
struct lesson {
	const struct dry_charge *charge;
	struct dry_fit fit;
	double covariance[DRY_SHARED * DRY_SHARED]; /* of the charge's values */
	double *variance;                           /* of each value */
	double expected[DRY_SHARED];
};

/* What was read after it was emptied is not of the kiln. */
static double last_day(const struct dry_charge *charge)
{
	double day = 0;

	for (size_t p = 0; p < charge->nprobes; p++)
		if (charge->probe[p].n)
			day = fmax(day, charge->probe[p].reading[charge->probe[p].n - 1].day);
	return fmin(day, charge->end);
}

static void set_covariance(struct lesson *l)
{
	enum { N = DRY_SHARED + DRY_OWN };
	double part[N * N];

	memcpy(l->covariance, l->fit.curve.inverse, sizeof l->covariance);
	l->variance = mem_array(l->fit.n, sizeof *l->variance);
	for (size_t i = 0; i < DRY_SHARED; i++)
		l->variance[i] = l->covariance[i * DRY_SHARED + i];
	for (size_t p = 0; p < l->charge->nprobes; p++) {
		arrow_inverse(&l->fit.curve, p, part);
		for (size_t i = 0; i < DRY_OWN; i++)
			l->variance[DRY_SHARED + DRY_OWN * p + i] = part[(DRY_SHARED + i) * N + DRY_SHARED + i];
	}
}

static void take_lesson(struct lesson *l, const struct dry_charge *charge, const struct dry_prior *prior)
{
	double unused;

	*l = (struct lesson){ .charge = charge };
	dry_fit(charge, prior, last_day(charge), &l->fit);
	set_covariance(l);
	memcpy(l->expected, prior->mean, sizeof l->expected);
	l->expected[DRY_LNK] += dry_group_shift(&prior->kiln, charge->kiln, 0, &unused) + dry_group_shift(&prior->season, charge->season, 0, &unused);
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

	for (size_t k = 0; k < DRY_SHARED; k++)
		sum += precision[i * DRY_SHARED + k] * (l->fit.value[k] - l->expected[k]);
	return sum;
}

static double stiffness(const struct lesson *l, const double *precision, size_t i, size_t k)
{
	double sum = precision[i * DRY_SHARED + k];

	for (size_t a = 0; a < DRY_SHARED; a++)
		for (size_t b = 0; b < DRY_SHARED; b++)
			sum -= precision[i * DRY_SHARED + a] * l->covariance[a * DRY_SHARED + b] * precision[b * DRY_SHARED + k];
	return sum;
}

static void move_means(struct dry_prior *prior, const struct lesson *l, size_t n, const double *precision, double *of_mean)
{
	double root[DRY_SHARED * DRY_SHARED] = { 0 }, step[DRY_SHARED], longest = 1;

	for (size_t i = 0; i < DRY_SHARED; i++) {
		step[i] = (dry_builtin.mean[i] - prior->mean[i]) / (dry_builtin.mean_sd[i] * dry_builtin.mean_sd[i]);
		root[i * DRY_SHARED + i] = 1 / (dry_builtin.mean_sd[i] * dry_builtin.mean_sd[i]);
		for (size_t c = 0; c < n; c++) {
			step[i] += pull(&l[c], precision, i);
			for (size_t k = 0; k < DRY_SHARED; k++)
				root[i * DRY_SHARED + k] += stiffness(&l[c], precision, i, k);
		}
	}
	if (!fit_root(root, DRY_SHARED))
		return;
	fit_solve(root, DRY_SHARED, step);
	fit_inverse(root, DRY_SHARED, of_mean);
	for (size_t i = 0; i < DRY_SHARED; i++)
		longest = fmax(longest, fabs(step[i]) / dry_builtin.mean_sd[i]);
	for (size_t i = 0; i < DRY_SHARED; i++)
		prior->mean[i] += step[i] / longest;
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

static void move_groups(struct dry_groups *groups, const struct gathered *g, double variance)
{
	for (size_t i = 0; i < groups->n; i++) {
		struct dry_group *group = &groups->group[i];
		double stiff = 1 / variance + fmax(g->stiffness[i], 0);

		group->shift += (g->pull[i] - group->shift / variance) / stiff;
		group->variance = 1 / stiff;
	}
}

static void move_shifts(struct dry_prior *prior, const struct lesson *l, size_t n, const double *precision)
{
	struct gathered kiln = { { 0 }, { 0 } }, season = { { 0 }, { 0 } };

	for (size_t c = 0; c < n; c++) {
		double pulled = pull(&l[c], precision, DRY_LNK), stiff = stiffness(&l[c], precision, DRY_LNK, DRY_LNK);

		gather(&prior->kiln, &kiln, l[c].charge->kiln, pulled, stiff);
		gather(&prior->season, &season, l[c].charge->season, pulled, stiff);
	}
	move_groups(&prior->kiln, &kiln, DRY_UNKNOWN_GROUP);
	move_groups(&prior->season, &season, DRY_UNKNOWN_SEASON);
}

static void move_types(struct dry_prior *prior, const struct lesson *l, size_t n)
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
	move_groups(&prior->type, &type, DRY_UNKNOWN_GROUP);
}

/* How far charges spread about what is expected of them, and how their values go together. */
static void move_between(struct dry_prior *prior, const struct lesson *l, size_t n)
{
	for (size_t i = 0; i < DRY_SHARED; i++)
		for (size_t k = 0; k < DRY_SHARED; k++) {
			double sum = i == k ? WORTH * dry_builtin.between_sd[i] * dry_builtin.between_sd[i] : 0;

			for (size_t c = 0; c < n; c++)
				sum += (l[c].fit.value[i] - l[c].expected[i]) * (l[c].fit.value[k] - l[c].expected[k]) + l[c].covariance[i * DRY_SHARED + k];
			prior->between[i * DRY_SHARED + k] = sum / (WORTH + (double)n);
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

static void add_residuals(const struct lesson *l, const struct dry_prior *prior, size_t p, struct residuals *r)
{
	const struct dry_probe *probe = &l->charge->probe[p];
	double *day = mem_array(probe->n, sizeof *day), *mc = mem_array(probe->n, sizeof *mc);

	for (size_t i = 0; i < probe->n; i++)
		day[i] = probe->reading[i].day;
	dry_curve(l->charge, &l->fit, p, day, probe->n, mc);
	for (size_t i = 0; i < probe->n; i++) {
		double off = (probe->reading[i].mc - mc[i]) / probe->reading[i].noise, z = off / prior->noise;

		if (probe->reading[i].mark != DRY_AT)
			continue;
		r->weighed += (DRY_TAILS + 1) / (DRY_TAILS + z * z) * off * off;
		r->plain += fmin(off * off, PLAIN_MOST * PLAIN_MOST * prior->noise * prior->noise);
		r->count++;
	}
	free(day);
	free(mc);
}

/* How many values the readings had to settle: those that the prior did not. */
static double settled_by_readings(const struct lesson *l, const struct dry_prior *prior)
{
	double sum = 0;

	for (size_t i = 0; i < l->fit.n; i++) {
		double v = i < DRY_SHARED ? prior->between[i * DRY_SHARED + i] : prior->own[(i - DRY_SHARED) % DRY_OWN];

		sum += fmax(0, 1 - l->variance[i] / v);
	}
	return sum;
}

static void move_noise(struct dry_prior *prior, const struct lesson *l, size_t n)
{
	struct residuals r = { NOISE_WORTH * dry_builtin.noise * dry_builtin.noise, NOISE_WORTH * dry_builtin.noise * dry_builtin.noise, NOISE_WORTH };

	for (size_t c = 0; c < n; c++) {
		for (size_t p = 0; p < l[c].charge->nprobes; p++)
			add_residuals(&l[c], prior, p, &r);
		r.count -= settled_by_readings(&l[c], prior);
	}
	r.count = fmax(r.count, NOISE_WORTH);
	prior->noise = sqrt(r.weighed / r.count);
	prior->scatter = sqrt(r.plain / r.count);
}

static void precision_of(const struct dry_prior *prior, double *precision)
{
	double root[DRY_SHARED * DRY_SHARED];

	memcpy(root, prior->between, sizeof root);
	fit_root(root, DRY_SHARED);
	fit_inverse(root, DRY_SHARED, precision);
}

static void learn_round(struct dry_prior *prior, const struct dry_charge *const *past, size_t n, double *of_mean, bool last)
{
	static const double none[DRY_SHARED * DRY_SHARED];
	struct lesson *lesson = mem_array(n, sizeof *lesson);
	double precision[DRY_SHARED * DRY_SHARED];

	dry_prior_set_covariance(prior, none); /* charges are fitted about the means as they are believed to be */
	for (size_t c = 0; c < n; c++)
		take_lesson(&lesson[c], past[c], prior);
	precision_of(prior, precision);
	move_means(prior, lesson, n, precision, of_mean);
	if (!last) {
		move_shifts(prior, lesson, n, precision);
		move_types(prior, lesson, n);
		move_between(prior, lesson, n);
		move_own(prior, lesson, n);
		move_noise(prior, lesson, n);
	}
	for (size_t c = 0; c < n; c++)
		lesson_release(&lesson[c]);
	free(lesson);
}

/* ---- how the kilns were led */

static void past_set(struct dry_past *past, const struct dry_charge *charge, const struct dry_prior *prior)
{
	struct dry_grid grid = { 0 };
	struct dry_fit fit;
	double until = last_day(charge), *path;
	size_t ruled = 0;

	dry_fit(charge, prior, until, &fit);
	dry_grid_set(&grid, charge->air, charge->nair, until, until);
	past->n = grid.n;
	past->mean = mem_zeroed(grid.n + 1, sizeof *past->mean);
	path = mem_array(grid.n + 1, sizeof *path);
	for (size_t p = 0; p < charge->nprobes; p++)
		ruled += charge->probe[p].ruled;
	for (size_t p = 0; p < charge->nprobes; p++) {
		struct dry_piece piece = dry_piece_of(fit.value, p);

		if (!charge->probe[p].ruled)
			continue;
		dry_path(&grid, &piece, grid.n, path);
		for (size_t i = 0; i <= grid.n; i++)
			past->mean[i] += path[i] / (double)ruled;
	}
	past->temp_c = grid.temp_c;
	past->me_pct = grid.me_pct;
	past->rests = fit.value[DRY_OFFSET];
	free(path);
	dry_fit_release(&fit);
}

/* How badly the air of one charge foretells another's, by days and by moisture. */
static void compare(const struct dry_past *a, const struct dry_past *b, double *by_time, double *by_moisture)
{
	size_t at = 0;

	for (size_t i = 0; i < a->n; i++) {
		size_t then = i < b->n ? i : b->n - 1;

		at = dry_past_at(b, a->mean[i], at);
		*by_time += (a->me_pct[i] - b->me_pct[then]) * (a->me_pct[i] - b->me_pct[then]);
		*by_moisture += (a->me_pct[i] - b->me_pct[at]) * (a->me_pct[i] - b->me_pct[at]);
	}
}

/* Half days at its end that say at which EMC a charge was led to rest. */
enum { LAST_STEPS = 8 };

/* EMC over the last four days of a past charge. */
static double last_level(const struct dry_past *past)
{
	size_t n = past->n < LAST_STEPS ? past->n : LAST_STEPS;
	double sum = 0;

	for (size_t i = past->n - n; i < past->n; i++)
		sum += past->me_pct[i];
	return sum / (double)n;
}

/*
 * What is measured of the air goes up and down from charge to charge with the instrument, too. Where it
 * is the instrument, a charge whose air reads high has wood that seems to come to rest that much
 * lower: so far as the past shows that, the levels are brought together.
 */
static void level_leading(struct dry_prior *prior, size_t n)
{
	double level = 0, rests = 0, together = 0, spread = 0;

	for (size_t c = 0; c < n; c++) {
		level += last_level(&prior->past[c]) / (double)n;
		rests += prior->past[c].rests / (double)n;
	}
	for (size_t c = 0; c < n; c++) {
		double off = last_level(&prior->past[c]) - level;

		together -= off * (prior->past[c].rests - rests);
		spread += off * off;
	}
	for (size_t c = 0; c < n; c++) {
		double off = spread > 0 ? fmin(fmax(together / spread, 0), 1) * (last_level(&prior->past[c]) - level) : 0;

		for (size_t i = 0; i < prior->past[c].n; i++)
			prior->past[c].me_pct[i] -= off;
	}
}

static void learn_leading(struct dry_prior *prior, const struct dry_charge *const *past, size_t n)
{
	double by_time = 0, by_moisture = 0;

	prior->past = mem_zeroed(n, sizeof *prior->past);
	for (size_t c = 0; c < n; c++)
		past_set(&prior->past[c], past[c], prior);
	for (size_t a = 0; a < n; a++)
		for (size_t b = 0; b < n; b++)
			if (a != b)
				compare(&prior->past[a], &prior->past[b], &by_time, &by_moisture);
	prior->by_time = by_time < by_moisture;
	level_leading(prior, n);
}

void dry_learn(struct dry_prior *prior, const struct dry_charge *const *past, size_t n)
{
	double of_mean[DRY_SHARED * DRY_SHARED];

	dry_prior_release(prior);
	dry_prior_init(prior);
	if (n == 0)
		return;
	for (int i = 0; i < ROUNDS; i++)
		learn_round(prior, past, n, of_mean, i == ROUNDS - 1);
	dry_prior_set_covariance(prior, of_mean);
	prior->ncharges = n;
	learn_leading(prior, past, n);
}
