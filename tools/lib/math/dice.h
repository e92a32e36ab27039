/*
 * dice.h - random draws from a seed: the same seed, the same draws on every machine.
 *
 * splitmix64 (Steele, Lea and Flood, 2014), Marsaglia's polar method, and Bailey's for Student's t (Polar generation of
 * random variates with the t-distribution, Mathematics of Computation 62, 1994).
 */
#ifndef WITHY_DICE_H
#define WITHY_DICE_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

/* Begins with { .state = seed }, or as one of many of a seed: dice_of(). */
struct dice {
	uint64_t state;
	double spare;
	bool has_spare;
};

/* The i-th of many that one seed gives, so that each piece of a work has its own. */
struct dice dice_of(uint64_t seed, uint64_t i);

double dice_share(struct dice *dice);  /* between 0 and 1, never 0 */
double dice_normal(struct dice *dice); /* mean 0, standard deviation 1 */
double dice_t3(struct dice *dice);     /* Student's t of three degrees of freedom */

/* The index of one of n weights, each as likely as it is great; `sum` is their sum. */
size_t dice_index(struct dice *dice, const double *weight, size_t n, double sum);

#endif
