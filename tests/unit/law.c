/* The law of drying: against the one that was worked by hand, and the air in steps. */
#include <math.h>

#include "dry/law.h"
#include "dry/observed.h"
#include "check.h"

/*
 * Me 8, M0 28: days 0, 3, 6, 9 give 28.0, 22.0, 17.8, 14.86 with k = 0.1189 a day, and 10.0 % at 19.4 days
 * (worked by hand from the first-order law). A surface that follows at once makes the model that law.
 */
static void first_order(void)
{
	static const double day[] = { 0, 3, 6, 9, 19.4 }, want[] = { 28.0, 22.0, 17.8, 14.86, 10.0 };
	struct dry_air air = { 0, 30, 8, false };
	struct dry_grid grid = { 0 };
	struct dry_piece piece = { .k = 0.1189, .kappa = 1e6, .start = 28 };
	double mc[61];

	dry_grid_set(&grid, &air, 1, 30, 30);
	CHECK_INT(grid.n, 60);
	dry_path(&grid, &piece, 60, mc);
	for (int i = 0; i < 5; i++) {
		CHECK_CASE(i);
		CHECK_NEAR(dry_path_at(mc, 60, day[i]), want[i], 0.011);
	}
	CHECK_CASE(-1);
	piece.start = 40; /* above fibre saturation: 0.1189 * 22 points a day */
	dry_path(&grid, &piece, 60, mc);
	CHECK_NEAR(mc[0] - mc[2], 0.1189 * 22, 0.01);
	piece = (struct dry_piece){ .k = 0.1189, .kappa = 1e6, .gamma = 0.05, .start = 25 };
	dry_path(&grid, &piece, 60, mc);
	CHECK_NEAR((mc[0] - mc[1]) / 17, 1 - exp(-0.1189 * exp(0.5) / 2), 0.001); /* quicker while wet */
	dry_grid_release(&grid);
}

static void air_in_steps(void)
{
	struct dry_air air[] = { { 0, 20, 10, true }, { 0.75, 30, 14, false }, { 1.5, 40, 6, false } };
	struct dry_grid grid = { 0 };

	dry_grid_set(&grid, air, 3, 9, 2);
	CHECK_NEAR(grid.me_pct[0], 14, 1e-12); /* the first is a guess, and what comes soon holds for it */
	CHECK_NEAR(grid.me_pct[3], 6, 1e-12);
	dry_grid_set(&grid, air, 3, 1, 2); /* as of day 1 the last is not known */
	CHECK_NEAR(grid.me_pct[3], 14, 1e-12);
	dry_grid_set(&grid, air, 3, 0.5, 2); /* and as of noon of the first day nothing is */
	CHECK_NEAR(grid.me_pct[0], 10, 1e-12);
	air[0].guessed = false;
	dry_grid_set(&grid, air, 3, 9, 2);
	CHECK_NEAR(grid.me_pct[1], 12, 1e-12); /* half of it each */
	dry_grid_release(&grid);
}

int main(void)
{
	first_order();
	air_in_steps();
	return check_end();
}
