#include "dry/model.h"

#include <math.h>
#include <stdlib.h>

#include "dry/prior.h"
#include "math/least_squares.h"
#include "math/wide.h"

/* The search is at rest when a step lowers the objective, a logarithm of likelihood, by less. */
static const double RESTS_BELOW = 1e-6;

/* Damping of a step (Levenberg and Marquardt), as a part of the curvature. */
static const double DAMPING_FIRST = 1e-4;
static const double DAMPING_TIMES = 10;  /* up when a step led upwards, down when it did not */
static const double DAMPING_MOST = 1e6;  /* no step that is left would move anything */

/* So many standard deviations out, the normal tail is taken from its asymptote: erfc() comes to 0 soon after. */
static const double TAIL_SDS = 30;
static const double LEAST_TAIL = 1e-300; /* what is divided by is no less */

/* Points a day that wood is taken to have lost up to its first reading, where the search begins. */
static const double FIRST_LOSS = 0.4;

/* An offset steps so often in a day, and by so many points (standard deviation): instruments are moved, kilns leak. */
static const double STEP_RATE = 0.01;
static const double STEP_SD = 1.5;

/* Points: where no knot is, the drift is held to 0 by this. */
static const double NO_DRIFT = 1e-3;

/* ---- the objective: how unlikely values are */

/* A search in hand. Values are scaled by nothing; `mean` and `precision` are their prior. */
struct search {
	const struct dry_charge *charge;
	const struct dry_prior *prior;
	double now;
	size_t n;
	struct dry_grid grid, air;    /* with and without the drift of the values in hand */
	double knot[DRY_KNOTS];
	size_t nknots;
	size_t step;                  /* the knot at which it steps; DRY_KNOTS for none */
	double *mean, *precision;     /* of the probes' own values; of the charge's: */
	double shared[DRY_LEARNED * DRY_LEARNED];
	struct dry_sight is, then;    /* of the values in hand, and of those that are tried */
	double *slope;                /* of the objective */
	struct arrow curve;           /* and its curvature */
	struct arrow damped;          /* that of a step, */
	double *next;                 /* and where it leads */
	int steps_most;               /* a search that has not come to rest by then is given up, and says so (`settled`) */
	bool at_rest;                 /* the curvature is wanted as it is, and not for a step */
};

static double side_of(const struct dry_reading *r)
{
	return r->mark == DRY_ABOVE ? 1 : -1;
}

/* The chance of what is more than -z standard deviations up. */
static double tail_of(double z)
{
	return fmax(0.5 * erfc(-z / sqrt(2)), LEAST_TAIL);
}

/* How unlikely a reading is when the model says `mc`. */
static double unlikely(const struct dry_reading *r, double noise, double mc)
{
	double z = (mc - r->mc) / (noise * r->noise);

	if (r->mark == DRY_AT)
		return (DRY_TAILS + 1) / 2 * log1p(z * z / DRY_TAILS);
	z *= side_of(r);
	return z < -TAIL_SDS ? 0.5 * z * z : -log(tail_of(z));
}

/* Its slope by mc, and a curvature for a step: above 0, and at or above the true one, so that no step is too long. */
static void derive_unlikely(const struct dry_reading *r, double noise, double mc, double *slope, double *curve)
{
	double sd = noise * r->noise, z = (mc - r->mc) / sd, hazard;

	if (r->mark == DRY_AT) {
		double weight = (DRY_TAILS + 1) / (DRY_TAILS + z * z);

		*slope = weight * z / sd;
		*curve = weight / (sd * sd);
		return;
	}
	z *= side_of(r);
	hazard = z < -TAIL_SDS ? -z : exp(-0.5 * z * z) / sqrt(2 * acos(-1)) / tail_of(z);
	*slope = -side_of(r) * hazard / sd;
	*curve = hazard * (hazard + z) / (sd * sd);
}

/* The true curvature there, 0 where it is below: a reading that is far off says nothing. That for a step
 * would make four readings count as five. */
static double knowledge(const struct dry_reading *r, double noise, double mc, double curve)
{
	double sd = noise * r->noise, z = (mc - r->mc) / sd, tails = DRY_TAILS + z * z;

	return r->mark == DRY_AT ? fmax((DRY_TAILS + 1) * (DRY_TAILS - z * z) / (tails * tails * sd * sd), 0) : curve;
}

/* The scale of what a knot drifts by; where there is no knot, so small that nothing moves it. */
static double drift_scale(const struct search *s, size_t knot)
{
	return knot < s->nknots ? s->prior->drift * sqrt(dry_knot_days(s->knot, knot)) : NO_DRIFT;
}

/* How unlikely the drift at a knot is, for a step: its slope, and a curvature as of unlikely(). */
static double unlikely_drift(const struct search *s, size_t knot, double drift, double *slope, double *curve)
{
	double scale = knot == s->step ? STEP_SD : drift_scale(s, knot), z = drift / scale;
	double weight = knot == s->step ? 1 : (DRY_DRIFT_TAILS + 1) / (DRY_DRIFT_TAILS + z * z);

	*slope = weight * z / scale;
	*curve = weight / (scale * scale);
	return knot == s->step ? 0.5 * z * z : (DRY_DRIFT_TAILS + 1) / 2 * log1p(z * z / DRY_DRIFT_TAILS);
}

static double prior_part(const struct search *s, const double *value)
{
	double sum = 0, slope, curve;

	for (size_t i = 0; i < DRY_LEARNED; i++)
		for (size_t k = 0; k < DRY_LEARNED; k++)
			sum += 0.5 * s->shared[i * DRY_LEARNED + k] * (value[i] - s->mean[i]) * (value[k] - s->mean[k]);
	for (size_t k = 0; k < DRY_KNOTS; k++)
		sum += unlikely_drift(s, k, value[DRY_DRIFT + k], &slope, &curve);
	for (size_t i = DRY_SHARED; i < s->n; i++)
		sum += 0.5 * s->precision[i] * (value[i] - s->mean[i]) * (value[i] - s->mean[i]);
	return sum;
}

static void set_drift(struct search *s, const double *value)
{
	memcpy(s->grid.me_pct, s->air.me_pct, s->grid.n * sizeof *s->grid.me_pct);
	dry_grid_drift(&s->grid, s->knot, value + DRY_DRIFT);
}

static size_t count_readings(const struct search *s)
{
	size_t n = 0;

	for (size_t p = 0; p < s->charge->nprobes; p++)
		n += dry_read_by(&s->charge->probe[p], s->now);
	return n;
}

static void sight_init(struct dry_sight *sight, size_t n)
{
	*sight = (struct dry_sight){ .mc = mem_array(n, sizeof *sight->mc), .slope = mem_array(n, DRY_SLOPES * sizeof *sight->slope) };
}

static void sight_release(struct dry_sight *sight)
{
	free(sight->mc);
	free(sight->slope);
	*sight = (struct dry_sight){ NULL, NULL, 0, false };
}

/* Moves every probe's piece along the air. What comes of it does not depend on what is believed of the values. */
static void look(struct search *s, const double *value, struct dry_sight *sight)
{
	size_t at = 0;

	set_drift(s, value);
	for (size_t from = 0; from < s->charge->nprobes; from += DRY_FOUR) {
		struct dry_walk walk[DRY_FOUR];
		size_t n = 0;

		for (; n < DRY_FOUR && from + n < s->charge->nprobes; n++) {
			const struct dry_probe *probe = &s->charge->probe[from + n];

			walk[n] = (struct dry_walk){ dry_piece_of(value, from + n), probe->reading, dry_read_by(probe, s->now), sight->mc + at, sight->slope + at * DRY_SLOPES };
			at += walk[n].n;
		}
		dry_path_slopes(&s->grid, s->knot, s->nknots, walk, n);
	}
	sight->nknots = s->nknots;
	sight->known = true;
}

/* How unlikely the values are of which that is the sight. */
static double objective(const struct search *s, const double *value, const struct dry_sight *sight)
{
	double sum = prior_part(s, value);
	size_t at = 0;

	for (size_t p = 0; p < s->charge->nprobes; p++) {
		const struct dry_probe *probe = &s->charge->probe[p];

		for (size_t i = 0; i < probe->n && probe->reading[i].day <= s->now; i++)
			sum += unlikely(&probe->reading[i], s->prior->noise, sight->mc[at++]);
	}
	return isfinite(sum) ? sum : HUGE_VAL;
}

/* ---- its slope and curvature */

/* Sums over the readings of a probe, of the charge's values: the slope, and the lower triangle of the curvature. */
struct pulls {
	size_t used;               /* values, */
	size_t padded;             /* and in whole fours */
	double slope[DRY_SLOPES], curve[DRY_SLOPES * DRY_SLOPES];
};

typedef double four __attribute__((vector_size(DRY_FOUR * sizeof(double)), aligned(sizeof(double)), may_alias));

/* x += factor y, of whole fours */
INLINE void add_times(double *restrict x, double factor, const double *restrict y, size_t n)
{
	for (size_t i = 0; i < n; i += DRY_FOUR)
		*(four *)(x + i) += factor * *(const four *)(y + i);
}

/* `row`: the derivatives of what the model shows at the reading. */
INLINE void add_reading(struct pulls *sum, const double *row, double slope, double curve)
{
	add_times(sum->slope, slope, row, sum->padded);
	for (size_t i = 0; i < sum->used; i++)
		add_times(sum->curve + i * DRY_SLOPES, curve * row[i], row, i / DRY_FOUR * DRY_FOUR + DRY_FOUR);
}

static double curve_of(const struct pulls *sum, size_t i, size_t k)
{
	return sum->curve[i < k ? k * DRY_SLOPES + i : i * DRY_SLOPES + k];
}

/* Derivatives of a value of the charge and of the probe's own are alike where both are there. */
static void add_pulls(struct search *s, size_t p, const struct pulls *sum)
{
	static const size_t SAME[DRY_OWN] = { DRY_LNK, DRY_START, DRY_OFFSET };
	double *side = s->curve.side + p * DRY_OWN * DRY_SHARED, *block = s->curve.block + p * DRY_OWN * DRY_OWN;

	for (size_t i = 0; i < sum->used; i++) {
		s->slope[i] += sum->slope[i];
		for (size_t k = 0; k <= i; k++)
			s->curve.top[i * DRY_SHARED + k] += sum->curve[i * DRY_SLOPES + k];
	}
	for (size_t i = 0; i < DRY_OWN; i++) {
		s->slope[DRY_SHARED + DRY_OWN * p + i] += sum->slope[SAME[i]];
		for (size_t k = 0; k < sum->used; k++)
			side[i * DRY_SHARED + k] = curve_of(sum, SAME[i], k);
		for (size_t k = 0; k <= i; k++)
			block[i * DRY_OWN + k] += curve_of(sum, SAME[i], SAME[k]);
	}
}

/* The readings of a probe, of which the first is at `at` in the sight. */
INLINE void add_readings(const struct search *s, const struct dry_probe *probe, size_t n, size_t at, struct pulls *sum)
{
	for (size_t r = 0; r < n; r++, at++) {
		double mc = s->is.mc[at], slope, curve;

		derive_unlikely(&probe->reading[r], s->prior->noise, mc, &slope, &curve);
		add_reading(sum, s->is.slope + at * DRY_SLOPES, slope, s->at_rest ? knowledge(&probe->reading[r], s->prior->noise, mc, curve) : curve);
	}
}

static void add_plainly(const struct search *s, const struct dry_probe *probe, size_t n, size_t at, struct pulls *sum)
{
	add_readings(s, probe, n, at, sum);
}

WIDE static void add_widely(const struct search *s, const struct dry_probe *probe, size_t n, size_t at, struct pulls *sum)
{
	add_readings(s, probe, n, at, sum);
}

/* `at`: its first reading in the sight; returns that of the next probe. */
static size_t add_probe(struct search *s, size_t p, size_t at)
{
	const struct dry_probe *probe = &s->charge->probe[p];
	size_t n = dry_read_by(probe, s->now);
	struct pulls sum;

	sum.used = DRY_DRIFT + s->nknots;
	sum.padded = dry_slopes_used(s->nknots);
	memset(sum.slope, 0, sum.padded * sizeof *sum.slope);
	memset(sum.curve, 0, sum.used * DRY_SLOPES * sizeof *sum.curve);
	(has_wide() ? add_widely : add_plainly)(s, probe, n, at, &sum);
	add_pulls(s, p, &sum);
	return at + n;
}

static void derive_drift(struct search *s, const double *value)
{
	for (size_t i = DRY_DRIFT; i < DRY_SHARED; i++)
		unlikely_drift(s, i - DRY_DRIFT, value[i], &s->slope[i], &s->curve.top[i * DRY_SHARED + i]);
}

static void derive(struct search *s, const double *value)
{
	size_t at = 0;

	memset(s->slope, 0, s->n * sizeof *s->slope);
	arrow_clear(&s->curve);
	for (size_t i = 0; i < DRY_LEARNED; i++)
		for (size_t k = 0; k < DRY_LEARNED; k++) {
			s->slope[i] += s->shared[i * DRY_LEARNED + k] * (value[k] - s->mean[k]);
			s->curve.top[i * DRY_SHARED + k] = s->shared[i * DRY_LEARNED + k];
		}
	derive_drift(s, value);
	for (size_t i = DRY_SHARED; i < s->n; i++) {
		s->slope[i] = s->precision[i] * (value[i] - s->mean[i]);
		s->curve.block[(i - DRY_SHARED) * DRY_OWN + (i - DRY_SHARED) % DRY_OWN] = s->precision[i];
	}
	for (size_t p = 0; p < s->charge->nprobes; p++)
		at = add_probe(s, p, at);
}

/* ---- the search */

static void set_shared_prior(struct search *s)
{
	const struct dry_prior *prior = s->prior;
	double kiln, season, offset, root[DRY_LEARNED * DRY_LEARNED];

	memcpy(s->mean, prior->mean, sizeof prior->mean);
	memcpy(root, prior->covariance, sizeof root);
	s->mean[DRY_LNK] += dry_group_shift(&prior->kiln, s->charge->kiln, DRY_UNKNOWN_GROUP, &kiln);
	s->mean[DRY_LNK] += dry_group_shift(&prior->season, s->charge->season, DRY_UNKNOWN_SEASON, &season);
	s->mean[DRY_OFFSET] += dry_group_shift(&prior->offset, s->charge->kiln, DRY_UNKNOWN_OFFSET, &offset);
	root[DRY_LNK * DRY_LEARNED + DRY_LNK] += kiln + season;
	root[DRY_OFFSET * DRY_LEARNED + DRY_OFFSET] += offset;
	fit_root(root, DRY_LEARNED);
	fit_inverse(root, DRY_LEARNED, s->shared);
}

static void set_own_priors(struct search *s)
{
	for (size_t p = 0; p < s->charge->nprobes; p++) {
		double *mean = s->mean + DRY_SHARED + DRY_OWN * p, *precision = s->precision + DRY_SHARED + DRY_OWN * p, type;

		mean[DRY_OWN_START] = mean[DRY_OWN_OFFSET] = 0;
		mean[DRY_OWN_LNK] = dry_group_shift(&s->prior->type, s->charge->probe[p].type, DRY_UNKNOWN_GROUP, &type);
		for (size_t i = 0; i < DRY_OWN; i++)
			precision[i] = 1 / (s->prior->own[i] + (i == DRY_OWN_LNK ? type : 0));
	}
}

/* What is believed of the values, for a search that begins. */
static void search_believe(struct search *s, const struct dry_prior *prior)
{
	s->prior = prior;
	s->at_rest = false;
	s->nknots = 0;
	while (prior->drift > 0 && s->nknots < DRY_KNOTS && !isnan(s->knot[s->nknots]))
		s->nknots++;
	s->curve.coupled = DRY_DRIFT + s->nknots;
	set_shared_prior(s);
	set_own_priors(s);
}

static void search_init(struct search *s, const struct dry_charge *charge, const struct dry_prior *prior, double now)
{
	size_t n = DRY_SHARED + DRY_OWN * charge->nprobes;

	*s = (struct search){ .charge = charge, .now = now, .n = n, .step = DRY_KNOTS, .steps_most = DRY_FIT_STEPS };
	dry_grid_set(&s->air, charge, now, now);
	dry_grid_copy(&s->grid, &s->air);
	dry_knots(now, s->knot);
	s->mean = mem_zeroed(n, sizeof *s->mean);
	s->precision = mem_array(n, sizeof *s->precision);
	sight_init(&s->is, count_readings(s));
	sight_init(&s->then, count_readings(s));
	s->slope = mem_array(n, sizeof *s->slope);
	s->next = mem_array(n, sizeof *s->next);
	arrow_init(&s->curve, DRY_SHARED, DRY_OWN, charge->nprobes);
	arrow_init(&s->damped, DRY_SHARED, DRY_OWN, charge->nprobes);
	search_believe(s, prior);
}

static void search_release(struct search *s)
{
	dry_grid_release(&s->grid);
	dry_grid_release(&s->air);
	free(s->mean);
	free(s->precision);
	sight_release(&s->is);
	sight_release(&s->then);
	free(s->slope);
	free(s->next);
	arrow_release(&s->curve);
	arrow_release(&s->damped);
}

/* Where to begin: the prior, with the starts that the first readings show. */
static void begin(const struct search *s, double *value)
{
	double sum = 0, first;
	size_t n = 0;

	memcpy(value, s->mean, s->n * sizeof *value);
	for (size_t p = 0; p < s->charge->nprobes; p++) {
		const struct dry_probe *probe = &s->charge->probe[p];

		if (!probe->n || probe->reading[0].day > s->now)
			continue;
		first = probe->reading[0].mc + FIRST_LOSS * probe->reading[0].day;
		sum += first;
		value[DRY_SHARED + DRY_OWN * p + DRY_OWN_START] = first;
		n++;
	}
	if (n == 0)
		return;
	value[DRY_START] = sum / (double)n;
	for (size_t p = 0; p < s->charge->nprobes; p++) {
		double *start = &value[DRY_SHARED + DRY_OWN * p + DRY_OWN_START];

		*start = *start > 0 ? *start - sum / (double)n : 0;
	}
}

/* One damped step; whether it led down. */
static bool step_down(struct search *s, double *value, double *at, double damping)
{
	double *next = s->next;
	struct dry_sight sight;
	double then;

	arrow_copy(&s->damped, &s->curve, 1 + damping);
	for (size_t i = 0; i < s->n; i++)
		next[i] = -s->slope[i];
	if (!arrow_root(&s->damped))
		return false;
	arrow_solve(&s->damped, next);
	for (size_t i = 0; i < s->n; i++)
		next[i] += value[i];
	look(s, next, &s->then);
	then = objective(s, next, &s->then);
	if (!(then < *at))
		return false;
	sight = s->is;
	s->is = s->then;
	s->then = sight;
	memcpy(value, next, s->n * sizeof *value);
	*at = then;
	return true;
}

/* `from` and `at`: the objective before and after. */
static bool search_run(struct search *s, double *value, double *from, double *at)
{
	double damping = DAMPING_FIRST;
	bool rests = false;

	if (!s->is.known || s->is.nknots != s->nknots)
		look(s, value, &s->is);
	*from = *at = objective(s, value, &s->is);
	for (int i = 0; i < s->steps_most && !rests; i++) {
		double was = *at;

		derive(s, value);
		while (!step_down(s, value, at, damping) && damping < DAMPING_MOST)
			damping = damping * DAMPING_TIMES + DAMPING_FIRST;
		rests = was - *at < RESTS_BELOW;
		damping /= DAMPING_TIMES;
	}
	return rests;
}

/* How likely the offset stepped at the knot, and the constants of the densities of a step and of a drift: as a logarithm. */
static double log_step_odds(const struct search *s)
{
	/* tgamma(), which unlike lgamma() sets nothing that threads share */
	double drift = log(tgamma((DRY_DRIFT_TAILS + 1) / 2) / tgamma(DRY_DRIFT_TAILS / 2)) - 0.5 * log(DRY_DRIFT_TAILS * acos(-1));
	double step = -0.5 * log(2 * acos(-1)) - log(STEP_SD);

	if (s->step == DRY_KNOTS)
		return 0;
	return log(STEP_RATE * dry_knot_days(s->knot, s->step)) + step - drift + log(drift_scale(s, s->step));
}

/* From the values of the fit on, in its place. */
static void fit_on(struct search *s, struct dry_fit *fit)
{
	double from, rests;

	fit->settled = search_run(s, fit->value, &from, &rests);
	fit->fallen = from - rests;
	s->at_rest = true;
	derive(s, fit->value);
	fit->curve = s->curve;
	s->curve = (struct arrow){ 0 };
	fit->sight = s->is;
	s->is = (struct dry_sight){ NULL, NULL, 0, false };
	fit->settled = arrow_root(&fit->curve) && fit->settled;
	fit->step = s->step;
	fit->evidence = log_step_odds(s) - rests - 0.5 * arrow_log_determinant(&fit->curve);
	memcpy(fit->knot, s->knot, sizeof fit->knot);
}

void dry_fit(const struct dry_charge *charge, const struct dry_prior *prior, double now, struct dry_fit *fit)
{
	dry_fit_roughly(charge, prior, now, DRY_FIT_STEPS, fit);
}

void dry_fit_roughly(const struct dry_charge *charge, const struct dry_prior *prior, double now, int steps, struct dry_fit *fit)
{
	struct search s;

	search_init(&s, charge, prior, now);
	s.steps_most = steps;
	*fit = (struct dry_fit){ .n = s.n, .now = now, .value = mem_array(s.n, sizeof *fit->value) };
	begin(&s, fit->value);
	fit_on(&s, fit);
	search_release(&s);
}

void dry_fit_again(const struct dry_charge *charge, const struct dry_prior *prior, int steps, struct dry_fit *fit)
{
	struct search *s = fit->kept;

	if (!s) {
		s = fit->kept = mem_array(1, sizeof *s);
		search_init(s, charge, prior, fit->now);
		arrow_release(&s->curve);
		sight_release(&s->is);
	}
	s->curve = fit->curve;
	s->is = fit->sight;
	s->steps_most = steps;
	search_believe(s, prior);
	fit_on(s, fit);
}

bool dry_fit_stepped(const struct dry_charge *charge, const struct dry_prior *prior, const struct dry_fit *fit, size_t knot,
	struct dry_fit *stepped)
{
	struct search s;

	if (isnan(fit->knot[knot]) || !(prior->drift > 0))
		return false;
	search_init(&s, charge, prior, fit->now);
	s.step = knot;
	*stepped = (struct dry_fit){ .n = fit->n, .now = fit->now, .value = mem_array(fit->n, sizeof *stepped->value) };
	memcpy(stepped->value, fit->value, fit->n * sizeof *fit->value);
	fit_on(&s, stepped);
	search_release(&s);
	if (stepped->settled)
		return true;
	dry_fit_release(stepped);
	return false;
}

void dry_fit_release(struct dry_fit *fit)
{
	if (fit->kept)
		search_release(fit->kept);
	free(fit->kept);
	free(fit->value);
	arrow_release(&fit->curve);
	sight_release(&fit->sight);
}

/* ---- what a fit says */

double dry_offset_now(const struct dry_fit *fit)
{
	double offset = fit->value[DRY_OFFSET];

	for (size_t k = 0; k < DRY_KNOTS && !isnan(fit->knot[k]); k++)
		offset += fit->value[DRY_DRIFT + k];
	return offset;
}

void dry_curve(const struct dry_charge *charge, const struct dry_fit *fit, size_t i, const double *days, size_t ndays, double *mc)
{
	struct dry_grid grid = { 0 };
	struct dry_piece piece = dry_piece_of(fit->value, i);
	double until = 0, *path;

	for (size_t d = 0; d < ndays; d++)
		until = fmax(until, days[d]);
	dry_grid_set(&grid, charge, fit->now, until);
	dry_grid_drift(&grid, fit->knot, fit->value + DRY_DRIFT);
	path = mem_array(grid.n + 1, sizeof *path);
	dry_path(&grid, &piece, grid.n, path);
	for (size_t d = 0; d < ndays; d++)
		mc[d] = dry_path_at(path, grid.n, dry_less_still(&grid.still, days[d]));
	free(path);
	dry_grid_release(&grid);
}

void dry_mean_path(const struct dry_charge *charge, const struct dry_fit *fit, bool out, double *mean)
{
	struct dry_grid grid = { 0 };
	double *path;
	size_t n = 0;

	dry_grid_set(&grid, charge, fit->now, fit->now);
	dry_grid_drift(&grid, fit->knot, fit->value + DRY_DRIFT);
	path = mem_array(grid.n + 1, sizeof *path);
	memset(mean, 0, (grid.n + 1) * sizeof *mean);
	for (size_t p = 0; p < charge->nprobes; p++) {
		struct dry_piece piece = dry_piece_of(fit->value, p);

		if (!(out ? charge->probe[p].ruled : dry_probe_counts(&charge->probe[p], fit->now)))
			continue;
		dry_path(&grid, &piece, grid.n, path);
		for (size_t i = 0; i <= grid.n; i++)
			mean[i] += path[i];
		n++;
	}
	for (size_t i = 0; i <= grid.n && n; i++)
		mean[i] /= (double)n;
	free(path);
	dry_grid_release(&grid);
}

/* What a piece that has the charge's values reads on days, when one of its own is `by` off. */
static void typical_at(const struct dry_charge *charge, const struct dry_fit *fit, const double *days, size_t n, size_t own, double by, double *mc)
{
	double value[DRY_SHARED + DRY_OWN] = { 0 };
	struct dry_fit typical = { .n = DRY_SHARED + DRY_OWN, .value = value, .now = fit->now };

	memcpy(typical.knot, fit->knot, sizeof typical.knot);
	memcpy(value, fit->value, DRY_SHARED * sizeof *value);
	value[DRY_SHARED + own] = by;
	dry_curve(charge, &typical, 0, days, n, mc);
}

void dry_spreads(const struct dry_charge *charge, const struct dry_prior *prior, const struct dry_fit *fit, const double *days, size_t n,
	double *spread)
{
	double *typical = mem_array(2 * n, sizeof *typical), *off = typical + n;

	memset(spread, 0, n * sizeof *spread);
	typical_at(charge, fit, days, n, 0, 0, typical);
	for (size_t i = 0; i < DRY_OWN; i++) {
		typical_at(charge, fit, days, n, i, sqrt(prior->own[i]), off);
		for (size_t d = 0; d < n; d++)
			spread[d] += (off[d] - typical[d]) * (off[d] - typical[d]);
	}
	for (size_t d = 0; d < n; d++)
		spread[d] = sqrt(spread[d]);
	free(typical);
}

double dry_spread(const struct dry_charge *charge, const struct dry_prior *prior, const struct dry_fit *fit, double day)
{
	double spread;

	dry_spreads(charge, prior, fit, &day, 1, &spread);
	return spread;
}
