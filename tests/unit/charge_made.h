/*
 * charge_made.h - a charge of four pieces that follow the law, with a little noise from a seed, and a rule.
 * Include it once, in the test's only file.
 */
#ifndef WITHY_CHARGE_MADE_H
#define WITHY_CHARGE_MADE_H

#include <math.h>

#include "math/dice.h"
#include "dry/law.h"
#include "dry/observed.h"
#include "dry/readiness.h"

static const struct dry_rule plain = { .low = 8, .high = 10.2, .readings = 2, .hold = NAN, .spread = 2, .rate = NAN, .share = NAN,
	.sure = 0.9 };

enum { DAYS = 30, PIECES = 4 };

static struct dry_reading reading[PIECES][DAYS];
static struct dry_probe probe[PIECES];
static struct dry_air air[] = { { 0, 28, 13, false }, { 8, 30, 10, false }, { 15, 32, 8, false } };

static inline struct dry_charge charge_made(double k, uint64_t seed)
{
	static const double start[PIECES] = { 21, 22.5, 24, 20 }, by[PIECES] = { 1, 0.9, 1.05, 1.1 };
	struct dice dice = { .state = seed };
	struct dry_grid grid = { 0 };
	double mc[2 * DAYS + 1];

	dry_grid_set(&grid, &(struct dry_charge){ .air = air, .nair = 3 }, DAYS, DAYS);
	for (int p = 0; p < PIECES; p++) {
		struct dry_piece piece = { .k = k * by[p], .kappa = 8, .surface = 0.6, .beta = 0.25, .start = start[p] };

		dry_path(&grid, &piece, 2 * DAYS, mc);
		for (int i = 0; i < DAYS; i++) {
			double shown = mc[2 * i] + 0.2 * dice_normal(&dice);

			reading[p][i] = (struct dry_reading){ i, shown, DRY_AT, 1, shown };
		}
		probe[p] = (struct dry_probe){ reading[p], DAYS, 1, 0, INFINITY, true, false };
	}
	dry_grid_release(&grid);
	return (struct dry_charge){ probe, PIECES, air, 3, 1, 1, INFINITY, { 0, 0 } };
}

#endif
