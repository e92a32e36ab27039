#include "dry/past_air.h"

#include <math.h>
#include <stdlib.h>

#include "base/mem.h"
#include "dry/lead.h"
#include "dry/prior.h"

static void past_set(struct dry_past *past, const struct dry_charge *charge, const struct dry_fit *fit)
{
	struct dry_grid grid = { 0 };

	dry_grid_set(&grid, charge, fit->now, fit->now);
	*past = (struct dry_past){ .n = grid.n, .mean = mem_array(grid.n + 1, sizeof *past->mean), .temp_c = grid.temp_c, .me_pct = grid.me_pct,
		.kiln = charge->kiln };
	dry_mean_path(charge, fit, true, past->mean);
	free(grid.warmth);
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

/* What instruments show differs from kiln to kiln: the wood says by how much. */
static void level_kilns(struct dry_prior *prior, size_t n)
{
	for (size_t c = 0; c < n; c++) {
		double unused, shift = dry_group_shift(&prior->offset, prior->past[c].kiln, 0, &unused);

		for (size_t i = 0; i < prior->past[c].n; i++)
			prior->past[c].me_pct[i] += shift;
	}
}

/* Moments that the built-in belief is worth: that charges differ by a point. */
static const double USUAL = 1;
static const double USUAL_WORTH = 10;

/* Sums of an age of a charge. */
struct squares {
	double sum, count;
};

/* How the air of `a` differed from that of `b`, which it follows, half day by half day. */
static void differences(const struct dry_prior *prior, const struct dry_past *a, const struct dry_past *b, double *off)
{
	size_t at = 0;

	for (size_t i = 0; i < a->n; i++) {
		at = dry_past_like(prior, b, i, a->mean[i], at);
		off[i] = a->me_pct[i] - b->me_pct[at];
	}
}

static void add_levels(const double *off, size_t n, struct squares *of_age)
{
	double keep = exp(-DRY_STEP / DRY_LEVEL_DAYS), weight = 0, level = 0;

	for (size_t i = 0; i < n; i++) {
		struct squares *s = &of_age[dry_age((double)i * DRY_STEP)];

		weight = keep * weight + 1;
		level = keep * level + off[i];
		s->sum += level / weight * (level / weight);
		s->count++;
	}
}

/* The difference of each charge from the mean of all others that it may follow. */
static void learn_levels(struct dry_prior *prior, size_t n)
{
	struct squares of_age[DRY_AGES] = { { 0, 0 } };

	for (size_t a = 0; a < n; a++) {
		double *off = mem_array(prior->past[a].n, sizeof *off), *mean = mem_zeroed(prior->past[a].n, sizeof *mean);

		for (size_t b = 0; b < n; b++) {
			if (a == b)
				continue;
			differences(prior, &prior->past[a], &prior->past[b], off);
			for (size_t i = 0; i < prior->past[a].n; i++)
				mean[i] += off[i] / (double)(n - 1);
		}
		if (n > 1)
			add_levels(mean, prior->past[a].n, of_age);
		free(off);
		free(mean);
	}
	for (size_t i = 0; i < DRY_AGES; i++)
		prior->usual[i] = sqrt((of_age[i].sum + USUAL_WORTH * USUAL * USUAL) / (of_age[i].count + USUAL_WORTH));
}

void past_air_learn(struct dry_prior *prior, const struct dry_charge *const *past, const struct dry_fit *const *fit, size_t n)
{
	double by_time = 0, by_moisture = 0;

	prior->past = mem_zeroed(n, sizeof *prior->past);
	for (size_t c = 0; c < n; c++)
		past_set(&prior->past[c], past[c], fit[c]);
	level_kilns(prior, n);
	for (size_t a = 0; a < n; a++)
		for (size_t b = 0; b < n; b++)
			if (a != b)
				compare(&prior->past[a], &prior->past[b], &by_time, &by_moisture);
	prior->by_time = by_time < by_moisture;
	learn_levels(prior, n);
}

