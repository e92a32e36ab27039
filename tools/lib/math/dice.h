/*
 * dice.h - random draws from a seed: the same seed, the same draws on every machine.
 *
 * splitmix64 (Steele, Lea and Flood, 2014), and Marsaglia's polar method.
 */
#ifndef WITHY_DICE_H
#define WITHY_DICE_H

#include <stdbool.h>
#include <stdint.h>

/* Begins with { .state = seed }. */
struct dice {
	uint64_t state;
	double spare;
	bool has_spare;
};

double dice_share(struct dice *dice);  /* between 0 and 1, never 0 */
double dice_normal(struct dice *dice); /* mean 0, standard deviation 1 */

#endif
