#include "dry/learn.h"

#include <math.h>
#include <stdlib.h>

#include "base/parallel.h"
#include "dry/past_air.h"
#include "dry/prior.h"
#include "math/least_squares.h"

/* Rounds of fits under what is believed and of moving the beliefs: no more than these. */
enum { ROUNDS_MOST = 40 };

/* Steps of a fit in the first round, which is of beliefs that will not stay, and in each after it: the next one goes on from there. */
enum { STEPS_FIRST = 4, STEPS_A_ROUND = 1 };

/* The beliefs have settled when no round moves one by more (moved() below). */
static const double MOVED_LEAST = 0.05;

/*
 * Damping of the step of the means (Levenberg and Marquardt), in how stiffly the built-in beliefs hold them: more after a step that went
 * back on the one before it, and less again after one that went on.
 */
static const double DAMPING_LEAST = 3;
static const double DAMPING_UP = 2, DAMPING_DOWN = 0.7;

/* No mean is moved by more in a round, in built-in standard deviations: the fits have to follow. */
static const double MEAN_MOST = 1;

/* Rounds of the drift: no more than these, and no more when one moved its logarithm by less; the first comes to a twentieth of where they lead. */
enum { DRIFT_ROUNDS_MOST = 8 };
static const double DRIFT_MOVED_LEAST = 0.03;

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
	double expected[DRY_LEARNED], off[DRY_LEARNED]; /* and how far its values are from those */
	double stiffness[DRY_LEARNED * DRY_LEARNED]; /* how it stiffens the means (below) */
};

static void set_covariance(struct lesson *l)
{
	for (size_t i = 0; i < DRY_LEARNED; i++)
		for (size_t k = 0; k < DRY_LEARNED; k++)
			l->covariance[i * DRY_LEARNED + k] = l->fit.curve.inverse[i * DRY_SHARED + k];
	l->variance = mem_array(l->fit.n, sizeof *l->variance);
	for (size_t i = 0; i < DRY_SHARED; i++)
		l->variance[i] = l->fit.curve.inverse[i * DRY_SHARED + i];
	for (size_t p = 0; p < l->charge->nprobes; p++)
		arrow_variances(&l->fit.curve, p, &l->variance[DRY_SHARED + DRY_OWN * p]);
}

/* What is believed of its values. */
static void expect(struct lesson *l, const struct dry_prior *prior)
{
	double unused;

	memcpy(l->expected, prior->mean, sizeof l->expected);
	l->expected[DRY_LNK] += dry_group_shift(&prior->kiln, l->charge->kiln, 0, &unused) + dry_group_shift(&prior->season, l->charge->season, 0, &unused);
	l->expected[DRY_OFFSET] += dry_group_shift(&prior->offset, l->charge->kiln, 0, &unused);
}

/* Fits it under the beliefs, on from the fit of the round before where there is one. */
static void take_lesson(struct lesson *l, const struct dry_charge *charge, const struct dry_prior *prior)
{
	if (l->charge)
		dry_fit_again(charge, prior, STEPS_A_ROUND, &l->fit);
	else
		dry_fit_roughly(charge, prior, dry_last_day(charge), STEPS_FIRST, &l->fit);
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

/* ---- the means, and the shifts of kilns and seasons: all at once, for a charge shows only their sum */

/* What each kind of shift is of, and the variance that is believed of it. */
enum { SHIFTS = 3 };

static const struct {
	size_t value;
	double variance;
} SHIFT[SHIFTS] = { { DRY_LNK, DRY_UNKNOWN_GROUP }, { DRY_LNK, DRY_UNKNOWN_SEASON }, { DRY_OFFSET, DRY_UNKNOWN_OFFSET } };

enum { CENTRES_MOST = DRY_LEARNED + SHIFTS * DRY_GROUPS_MOST };

/* The means and the shifts in one row; the slope and the curvature of their likelihood. */
struct centres {
	struct dry_groups *shift[SHIFTS];
	size_t first[SHIFTS], n;
	double slope[CENTRES_MOST], *curve;
};

/* Value `value` of a charge has that centre in it. */
struct part {
	size_t value, at;
};

static uint32_t shifted_by(const struct dry_charge *charge, size_t kind)
{
	const uint32_t by[SHIFTS] = { charge->kiln, charge->season, charge->kiln };

	return by[kind];
}

static void centres_init(struct centres *s, struct dry_prior *prior, const struct lesson *l, size_t n)
{
	*s = (struct centres){ .shift = { &prior->kiln, &prior->season, &prior->offset }, .n = DRY_LEARNED };
	for (size_t kind = 0; kind < SHIFTS; kind++) {
		for (size_t c = 0; c < n; c++)
			group_of(s->shift[kind], shifted_by(l[c].charge, kind));
		s->first[kind] = s->n;
		s->n += s->shift[kind]->n;
	}
	s->curve = mem_zeroed(s->n, s->n * sizeof *s->curve);
}

static size_t parts_of(const struct centres *s, const struct dry_charge *charge, struct part *part)
{
	size_t n = 0;

	for (; n < DRY_LEARNED; n++)
		part[n] = (struct part){ n, n };
	for (size_t kind = 0; kind < SHIFTS; kind++) {
		const struct dry_group *group = group_of(s->shift[kind], shifted_by(charge, kind));

		if (group)
			part[n++] = (struct part){ SHIFT[kind].value, s->first[kind] + (size_t)(group - s->shift[kind]->group) };
	}
	return n;
}

static void add_lesson(struct centres *s, const struct lesson *l, const double *precision)
{
	struct part part[DRY_LEARNED + SHIFTS];
	size_t n = parts_of(s, l->charge, part);

	for (size_t i = 0; i < n; i++) {
		s->slope[part[i].at] += pull(l, precision, part[i].value);
		for (size_t k = 0; k < n; k++)
			s->curve[part[i].at * s->n + part[k].at] += l->stiffness[part[i].value * DRY_LEARNED + part[k].value];
	}
}

static double mean_stiffness(size_t i)
{
	return 1 / (dry_builtin.mean_sd[i] * dry_builtin.mean_sd[i]);
}

static void add_builtin(struct centres *s, const struct dry_prior *prior)
{
	for (size_t i = 0; i < DRY_LEARNED; i++) {
		s->slope[i] += (dry_builtin.mean[i] - prior->mean[i]) * mean_stiffness(i);
		s->curve[i * s->n + i] += mean_stiffness(i);
	}
	for (size_t kind = 0; kind < SHIFTS; kind++)
		for (size_t i = 0, at = s->first[kind]; i < s->shift[kind]->n; i++, at++) {
			s->slope[at] -= s->shift[kind]->group[i].shift / SHIFT[kind].variance;
			s->curve[at * s->n + at] += 1 / SHIFT[kind].variance;
		}
}

/* How the means move from round to round. */
struct pace {
	double damping, step[DRY_LEARNED];
};

static void set_pace(struct pace *pace, const double *step)
{
	double along = 0;

	for (size_t i = 0; i < DRY_LEARNED; i++)
		along += step[i] * pace->step[i] * mean_stiffness(i);
	memcpy(pace->step, step, sizeof pace->step);
	pace->damping = along < 0 ? DAMPING_UP * pace->damping : along > 0 ? fmax(DAMPING_DOWN * pace->damping, DAMPING_LEAST) : pace->damping;
}

/* How little is known of the means and of each shift, given all others. */
static void doubt_centres(const struct centres *s, double *of_mean)
{
	double root[DRY_LEARNED * DRY_LEARNED];

	for (size_t i = 0; i < DRY_LEARNED; i++)
		memcpy(root + i * DRY_LEARNED, s->curve + i * s->n, DRY_LEARNED * sizeof *root);
	if (fit_root(root, DRY_LEARNED))
		fit_inverse(root, DRY_LEARNED, of_mean);
	for (size_t kind = 0; kind < SHIFTS; kind++)
		for (size_t i = 0, at = s->first[kind]; i < s->shift[kind]->n; i++, at++)
			s->shift[kind]->group[i].variance = 1 / s->curve[at * s->n + at];
}

/* Newton's step, but short of it where the charges say little: there the likelihood bends, and the whole step would go too far. */
static void step_centres(struct centres *s, struct dry_prior *prior, struct pace *pace)
{
	double most = MEAN_MOST;

	for (size_t i = 0; i < DRY_LEARNED; i++)
		s->curve[i * s->n + i] += pace->damping * mean_stiffness(i);
	if (!fit_root(s->curve, s->n))
		return;
	fit_solve(s->curve, s->n, s->slope);
	for (size_t i = 0; i < DRY_LEARNED; i++)
		most = fmax(most, fabs(s->slope[i]) / dry_builtin.mean_sd[i]);
	for (size_t i = 0; i < s->n; i++)
		s->slope[i] *= MEAN_MOST / most;
	for (size_t i = 0; i < DRY_LEARNED; i++)
		prior->mean[i] += s->slope[i];
	for (size_t kind = 0; kind < SHIFTS; kind++)
		for (size_t i = 0; i < s->shift[kind]->n; i++)
			s->shift[kind]->group[i].shift += s->slope[s->first[kind] + i];
	set_pace(pace, s->slope);
}

/*
 * A charge's values follow what is expected of them, as far as its readings leave them free: so much (covariance by precision) of what
 * that moved. Without it, values that no reading holds would seem to be off by all of it, and the spread between charges would be taken for
 * as wide.
 */
static void follow(struct lesson *l, const struct dry_prior *prior, const double *precision)
{
	double follows[DRY_LEARNED * DRY_LEARNED], was[DRY_LEARNED];

	memcpy(was, l->expected, sizeof was);
	expect(l, prior);
	multiply(l->covariance, precision, follows);
	for (size_t i = 0; i < DRY_LEARNED; i++) {
		l->off[i] = l->fit.value[i] - l->expected[i];
		for (size_t k = 0; k < DRY_LEARNED; k++)
			l->off[i] += follows[i * DRY_LEARNED + k] * (l->expected[k] - was[k]);
	}
}

/* Without a pace they stay, and how little is known of them is worked out. */
static void move_centres(struct dry_prior *prior, struct lesson *l, size_t n, const double *precision, struct pace *pace, double *of_mean)
{
	struct centres s;

	centres_init(&s, prior, l, n);
	for (size_t c = 0; c < n; c++)
		add_lesson(&s, &l[c], precision);
	add_builtin(&s, prior);
	if (pace)
		step_centres(&s, prior, pace);
	else
		doubt_centres(&s, of_mean);
	free(s.curve);
	for (size_t c = 0; c < n; c++)
		follow(&l[c], prior, precision);
}

/* ---- the shifts of types */

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

static bool all_typed(struct dry_prior *prior, const struct lesson *l, size_t n)
{
	for (size_t c = 0; c < n; c++)
		for (size_t p = 0; p < l[c].charge->nprobes; p++)
			if (!group_of(&prior->type, l[c].charge->probe[p].type))
				return false;
	return true;
}

/*
 * Where every piece has a type, what all types have in common could be the works' mean as well: no reading tells them apart, only how wide
 * either is believed to be. So it is shared out by that, and the fits go along, for they stay what they are.
 */
static void share_lnk(struct dry_prior *prior, struct lesson *l, size_t n)
{
	double stiff = mean_stiffness(DRY_LNK) + (double)prior->type.n / DRY_UNKNOWN_GROUP, by = (dry_builtin.mean[DRY_LNK] - prior->mean[DRY_LNK]) * mean_stiffness(DRY_LNK);

	if (!all_typed(prior, l, n))
		return;
	for (size_t i = 0; i < prior->type.n; i++)
		by += prior->type.group[i].shift / DRY_UNKNOWN_GROUP;
	by /= stiff;
	prior->mean[DRY_LNK] += by;
	for (size_t i = 0; i < prior->type.n; i++)
		prior->type.group[i].shift -= by;
	for (size_t c = 0; c < n; c++) {
		l[c].fit.value[DRY_LNK] += by;
		for (size_t p = 0; p < l[c].charge->nprobes; p++)
			l[c].fit.value[DRY_SHARED + DRY_OWN * p + DRY_OWN_LNK] -= by;
	}
}

/* How far charges spread about what is expected of them, and how their values go together. */
static void move_between(struct dry_prior *prior, const struct lesson *l, size_t n)
{
	for (size_t i = 0; i < DRY_LEARNED; i++)
		for (size_t k = 0; k < DRY_LEARNED; k++) {
			double sum = i == k ? WORTH * dry_builtin.between_sd[i] * dry_builtin.between_sd[i] : 0;

			for (size_t c = 0; c < n; c++)
				sum += l[c].off[i] * l[c].off[k] + l[c].covariance[i * DRY_LEARNED + k];
			prior->between[i * DRY_LEARNED + k] = sum / (WORTH + (double)n);
		}
}

/* The part of a value that the readings settled, which the prior did not: spreads come to rest in few rounds if only that counts (MacKay 1992). */
static double settled(double variance, double believed)
{
	return fmax(0, 1 - variance / believed);
}

static void move_own(struct dry_prior *prior, const struct lesson *l, size_t n)
{
	double sum[DRY_OWN], count[DRY_OWN], unused;

	for (size_t i = 0; i < DRY_OWN; i++) {
		sum[i] = OWN_WORTH * dry_builtin.own_sd[i] * dry_builtin.own_sd[i];
		count[i] = OWN_WORTH;
	}
	for (size_t c = 0; c < n; c++)
		for (size_t p = 0; p < l[c].charge->nprobes; p++) {
			double shift = dry_group_shift(&prior->type, l[c].charge->probe[p].type, 0, &unused);

			for (size_t i = 0; i < DRY_OWN; i++) {
				size_t at = DRY_SHARED + DRY_OWN * p + i;
				double off = l[c].fit.value[at] - (i == DRY_OWN_LNK ? shift : 0);

				sum[i] += off * off;
				count[i] += settled(l[c].variance[at], prior->own[i]);
			}
		}
	for (size_t i = 0; i < DRY_OWN; i++)
		prior->own[i] = sum[i] / count[i];
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

		sum += settled(l->variance[i], v);
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
			double off = l[c].fit.value[DRY_DRIFT + k], days = dry_knot_days(l[c].fit.knot, k), believed = prior->drift * prior->drift * days;
			double weight = (DRY_DRIFT_TAILS + 1) / (DRY_DRIFT_TAILS + off * off / believed);

			sum += weight * off * off / days;
			count += settled(l[c].variance[DRY_DRIFT + k], believed / weight);
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

/* What is learned from, and what the threads that take the lessons of a round share: each writes its own lesson alone. */
struct school {
	struct lesson *lesson;
	const struct dry_charge *const *past;
	size_t n;
	const struct dry_prior *prior;
	const double *precision;   /* of what is believed of the charges' values; NULL in a round that does not move the means */
	size_t jobs;               /* as for parallel_run() */
};

static void take_one(void *context, size_t c)
{
	const struct school *school = context;

	take_lesson(&school->lesson[c], school->past[c], school->prior);
	if (school->precision)
		set_stiffness(&school->lesson[c], school->precision);
}

static void take_lessons(struct school *school, struct dry_prior *prior, const double *precision)
{
	static const double none[DRY_LEARNED * DRY_LEARNED];

	dry_prior_set_covariance(prior, none); /* charges are fitted about the means as they are believed to be */
	school->prior = prior;
	school->precision = precision;
	parallel_run(&(struct parallel){ .work = take_one, .context = school }, school->n, school->jobs);
}

/* Without a pace, as the last one: what was believed stays, and how little is known of it is worked out. */
static void learn_round(struct school *school, struct dry_prior *prior, struct pace *pace, double *of_mean)
{
	double precision[DRY_LEARNED * DRY_LEARNED];
	struct lesson *lesson = school->lesson;
	size_t n = school->n;

	precision_of(prior, precision);
	take_lessons(school, prior, precision);
	move_centres(prior, lesson, n, precision, pace, of_mean);
	move_types(prior, lesson, n, !pace);
	if (!pace)
		return;
	share_lnk(prior, lesson, n);
	move_between(prior, lesson, n);
	move_own(prior, lesson, n);
	move_noise(prior, lesson, n);
}

/* How far the beliefs moved in a round: means in built-in standard deviations, as with the least damping, and spreads in their logarithm. */
static double moved(const struct dry_prior *prior, const double *mean, const double *between, double damping)
{
	double most = 0;

	for (size_t i = 0; i < DRY_LEARNED; i++) {
		size_t at = i * DRY_LEARNED + i;

		most = fmax(most, (1 + damping) / (1 + DAMPING_LEAST) * fabs(prior->mean[i] - mean[i]) / dry_builtin.mean_sd[i]);
		most = fmax(most, fabs(log(prior->between[at] / between[at])) / 2);
	}
	return most;
}

static void learn_beliefs(struct school *school, struct dry_prior *prior, double *of_mean)
{
	double mean[DRY_LEARNED], between[DRY_LEARNED * DRY_LEARNED], off = HUGE_VAL;
	struct pace pace = { .damping = DAMPING_LEAST };

	prior->drift = 0;
	for (int i = 0; i < ROUNDS_MOST && off > MOVED_LEAST; i++) {
		double damping = pace.damping;

		memcpy(mean, prior->mean, sizeof mean);
		memcpy(between, prior->between, sizeof between);
		learn_round(school, prior, &pace, of_mean);
		off = moved(prior, mean, between, damping);
	}
	learn_round(school, prior, NULL, of_mean);
}

/* The drift is learned when the rest is: before, it would take what is the law's. */
static void learn_drift(struct school *school, struct dry_prior *prior)
{
	double was = HUGE_VAL;

	prior->drift = dry_builtin.drift;
	for (int i = 0; i < DRIFT_ROUNDS_MOST && fabs(log(prior->drift / was)) > DRIFT_MOVED_LEAST; i++) {
		was = prior->drift;
		take_lessons(school, prior, NULL);
		move_drift(prior, school->lesson, school->n);
	}
}

/* By the fits of the last round: they have come to rest but for the last digits. */
static void learn_air(struct dry_prior *prior, struct lesson *lesson, const struct dry_charge *const *past, size_t n)
{
	const struct dry_fit **fit = mem_array(n, sizeof *fit);

	for (size_t c = 0; c < n; c++)
		fit[c] = &lesson[c].fit;
	past_air_learn(prior, past, fit, n);
	free(fit);
}

/* Of fewer steps that pieces are moved by in a round, a thread is not worth its start. */
static const double STEPS_FOR_THREADS = 1000;

static bool worth_threads(const struct dry_charge *const *past, size_t n)
{
	double steps = 0;

	for (size_t c = 0; c < n; c++)
		steps += (double)past[c]->nprobes * dry_last_day(past[c]) / DRY_STEP;
	return steps > STEPS_FOR_THREADS;
}

static void learn_all(struct school *school, struct dry_prior *prior)
{
	double of_mean[DRY_LEARNED * DRY_LEARNED] = { 0 };

	school->jobs = worth_threads(school->past, school->n) ? 0 : 1;
	learn_beliefs(school, prior, of_mean);
	learn_drift(school, prior);
	dry_prior_set_covariance(prior, of_mean);
}

void dry_learn(struct dry_prior *prior, const struct dry_charge *const *past, size_t n)
{
	struct lesson *lesson = mem_zeroed(n, sizeof *lesson);
	struct school school = { .lesson = lesson, .past = past, .n = n };

	dry_prior_release(prior);
	dry_prior_init(prior);
	if (n)
		learn_all(&school, prior);
	prior->ncharges = n;
	for (size_t c = 0; c < n; c++)
		gaps_add(&prior->gaps, past[c], dry_last_day(past[c]), 1);
	learn_air(prior, lesson, past, n);
	for (size_t c = 0; c < n; c++)
		lesson_release(&lesson[c]);
	free(lesson);
}
