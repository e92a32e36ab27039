#include "dry/prior.h"

#include <stdlib.h>

/* Common practice, from memory: willow clefts take two to six weeks. */
const struct dry_builtin dry_builtin = {
	/*           ln k  offset  gamma  beta  ln kappa  surface  start */
	.mean =       { -2.2, 0, 0.02, 0.25, 1.2, 0.6, 22 },
	.mean_sd =    { 0.4, 1.0, 0.03, 0.2, 1.0, 0.5, 5 },
	.between_sd = { 0.12, 0.3, 0.008, 0.05, 0.15, 0.05, 3 },
	/*           ln k  start  offset */
	.own_sd =     { 0.12, 2.0, 0.35 },
	.noise = 0.35,
	.drift = 0.06,
};

void dry_prior_set_covariance(struct dry_prior *prior, const double *of_mean)
{
	for (size_t i = 0; i < DRY_LEARNED * DRY_LEARNED; i++)
		prior->covariance[i] = prior->between[i] + of_mean[i];
}

void dry_prior_init(struct dry_prior *prior)
{
	double of_mean[DRY_LEARNED * DRY_LEARNED] = { 0 };

	*prior = (struct dry_prior){ .noise = dry_builtin.noise, .scatter = dry_builtin.noise, .drift = dry_builtin.drift };
	for (size_t i = 0; i < DRY_LEARNED; i++) {
		prior->mean[i] = dry_builtin.mean[i];
		prior->between[i * DRY_LEARNED + i] = dry_builtin.between_sd[i] * dry_builtin.between_sd[i];
		of_mean[i * DRY_LEARNED + i] = dry_builtin.mean_sd[i] * dry_builtin.mean_sd[i];
	}
	dry_prior_set_covariance(prior, of_mean);
	for (size_t i = 0; i < DRY_OWN; i++)
		prior->own[i] = dry_builtin.own_sd[i] * dry_builtin.own_sd[i];
}

void dry_prior_release(struct dry_prior *prior)
{
	for (size_t i = 0; prior->past && i < prior->ncharges; i++) {
		free(prior->past[i].mean);
		free(prior->past[i].temp_c);
		free(prior->past[i].me_pct);
	}
	free(prior->past);
	prior->past = NULL;
	gaps_release(&prior->gaps);
}

double dry_group_shift(const struct dry_groups *groups, uint32_t id, double unknown, double *variance)
{
	for (size_t i = 0; id && i < groups->n; i++)
		if (groups->group[i].id == id) {
			*variance = groups->group[i].variance;
			return groups->group[i].shift;
		}
	*variance = groups->n ? unknown : 0; /* where none was ever known, the spread of the charges has it in */
	return 0;
}

size_t dry_age(double day)
{
	static const double LATEST[DRY_AGES - 1] = { 5, 10 };
	size_t age = 0;

	while (age < DRY_AGES - 1 && day >= LATEST[age])
		age++;
	return age;
}

size_t dry_past_at(const struct dry_past *past, double mc, size_t from)
{
	while (from + 1 < past->n && past->mean[from + 1] > mc)
		from++;
	return from;
}

size_t dry_past_like(const struct dry_prior *prior, const struct dry_past *past, size_t step, double mc, size_t from)
{
	if (prior->by_time)
		return step < past->n ? step : past->n - 1;
	return dry_past_at(past, mc, from);
}
