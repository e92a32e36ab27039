#include "math/dice.h"

#include <math.h>

static uint64_t dice_next(struct dice *dice)
{
	uint64_t z = dice->state += UINT64_C(0x9e3779b97f4a7c15);

	z = (z ^ (z >> 30)) * UINT64_C(0xbf58476d1ce4e5b9);
	z = (z ^ (z >> 27)) * UINT64_C(0x94d049bb133111eb);
	return z ^ (z >> 31);
}

/* Mixed twice, so that neighbours have nothing in common. */
struct dice dice_of(uint64_t seed, uint64_t i)
{
	struct dice of_seed = { .state = seed }, of_i = { .state = i };
	struct dice both = { .state = dice_next(&of_seed) ^ dice_next(&of_i) };

	return (struct dice){ .state = dice_next(&both) };
}

double dice_share(struct dice *dice)
{
	return ((double)(dice_next(dice) >> 11) + 0.5) / 9007199254740992.0;
}

/* A point in the unit circle, and its distance from the middle, squared. */
static double in_circle(struct dice *dice, double *x, double *y)
{
	double square;

	do {
		*x = 2 * dice_share(dice) - 1;
		*y = 2 * dice_share(dice) - 1;
		square = *x * *x + *y * *y;
	} while (square >= 1);
	return square;
}

double dice_normal(struct dice *dice)
{
	double x, y, r;

	if (dice->has_spare) {
		dice->has_spare = false;
		return dice->spare;
	}
	r = in_circle(dice, &x, &y);
	r = sqrt(-2 * log(r) / r);
	dice->spare = y * r;
	dice->has_spare = true;
	return x * r;
}

double dice_t3(struct dice *dice)
{
	double x, y, r = in_circle(dice, &x, &y), root = cbrt(r);

	return x * sqrt(3 * (1 / (root * root) - 1) / r);
}

size_t dice_index(struct dice *dice, const double *weight, size_t n, double sum)
{
	double at = sum * dice_share(dice);
	size_t i = 0;

	while (i + 1 < n && (at -= weight[i]) >= 0)
		i++;
	return i;
}
