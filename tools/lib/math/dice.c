#include "math/dice.h"

#include <math.h>

static uint64_t dice_next(struct dice *dice)
{
	uint64_t z = dice->state += UINT64_C(0x9e3779b97f4a7c15);

	z = (z ^ (z >> 30)) * UINT64_C(0xbf58476d1ce4e5b9);
	z = (z ^ (z >> 27)) * UINT64_C(0x94d049bb133111eb);
	return z ^ (z >> 31);
}

double dice_share(struct dice *dice)
{
	return ((double)(dice_next(dice) >> 11) + 0.5) / 9007199254740992.0;
}

double dice_normal(struct dice *dice)
{
	double x, y, r;

	if (dice->has_spare) {
		dice->has_spare = false;
		return dice->spare;
	}
	do {
		x = 2 * dice_share(dice) - 1;
		y = 2 * dice_share(dice) - 1;
		r = x * x + y * y;
	} while (r >= 1);
	r = sqrt(-2 * log(r) / r);
	dice->spare = y * r;
	dice->has_spare = true;
	return x * r;
}
