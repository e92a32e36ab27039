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

	dry_grid_set(&grid, &(struct dry_charge){ .air = &air, .nair = 1 }, 30, 30);
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

	dry_grid_set(&grid, &(struct dry_charge){ .air = air, .nair = 3 }, 9, 2);
	CHECK_NEAR(grid.me_pct[0], 14, 1e-12); /* the first is a guess, and what comes soon holds for it */
	CHECK_NEAR(grid.me_pct[3], 6, 1e-12);
	dry_grid_set(&grid, &(struct dry_charge){ .air = air, .nair = 3 }, 1, 2); /* as of day 1 the last is not known */
	CHECK_NEAR(grid.me_pct[3], 14, 1e-12);
	dry_grid_set(&grid, &(struct dry_charge){ .air = air, .nair = 3 }, 0.5, 2); /* and as of noon of the first day nothing is */
	CHECK_NEAR(grid.me_pct[0], 10, 1e-12);
	air[0].guessed = false;
	dry_grid_set(&grid, &(struct dry_charge){ .air = air, .nair = 3 }, 9, 2);
	CHECK_NEAR(grid.me_pct[1], 12, 1e-12); /* half of it each */
	dry_grid_release(&grid);
}

/* Time that is left out has no steps; what was known of the air before it goes on after it, and the drift is where it was. */
static void air_without_still_time(void)
{
	const struct dry_air air[] = { { 0, 20, 10, false }, { 3, 30, 14, false } };
	struct dry_charge charge = { .air = air, .nair = 2 };
	double drift[DRY_KNOTS] = { 1 }, knot[DRY_KNOTS];
	struct dry_grid all = { 0 }, some = { 0 };

	dry_knots(1000, knot);
	dry_grid_set(&all, &charge, 1000, 1000.3);
	dry_grid_drift(&all, knot, drift);
	charge.still = (struct dry_still){ 400, 500 };
	dry_grid_set(&some, &charge, 1000, 1000.3);
	dry_grid_drift(&some, knot, drift);
	CHECK_INT(all.n, 2001);
	CHECK_INT(some.n, 1001);
	for (size_t i = 0; i < some.n; i++) {
		size_t then = i < 800 ? i : i + 1000;

		CHECK(some.temp_c[i] == all.temp_c[then] && some.me_pct[i] == all.me_pct[then]);
	}
	CHECK_INT(dry_step_of(&some.still, 998.5), 997);
	dry_grid_release(&all);
	dry_grid_release(&some);
}

/* The derivatives of a path, each against a small move of its value. */
static void slopes(void)
{
	static const double value[DRY_SHARED + DRY_OWN] = { -2.1, 0.3, 0.03, 0.3, 0.8, 0.6, 33, 0.4, -0.7, 0.2 };
	struct dry_air air[] = { { 0, 22, 13, false }, { 4, 30, 9, false }, { 11, 36, 7, false } };
	double knot[DRY_KNOTS], mc[37], moved[37], slope[37 * DRY_SLOPES];
	struct dry_reading at[37];
	struct dry_grid grid = { 0 };

	for (int i = 0; i <= 36; i++)
		at[i] = (struct dry_reading){ .day = i * DRY_STEP };
	dry_knots(18, knot);
	CHECK(!isnan(knot[5]) && isnan(knot[6])); /* 17 days before is day 1, 23 is none */
	for (size_t v = 0; v <= DRY_SHARED; v++) {
		double other[DRY_SHARED + DRY_OWN];
		struct dry_piece piece;

		memcpy(other, value, sizeof other);
		if (v < DRY_SHARED)
			other[v] += 1e-6;
		piece = dry_piece_of(other, 0);
		dry_grid_set(&grid, &(struct dry_charge){ .air = air, .nair = 3 }, 18, 18);
		dry_grid_drift(&grid, knot, other + DRY_DRIFT);
		dry_path(&grid, &piece, 36, moved);
		piece = dry_piece_of(value, 0);
		dry_grid_set(&grid, &(struct dry_charge){ .air = air, .nair = 3 }, 18, 18);
		dry_grid_drift(&grid, knot, value + DRY_DRIFT);
		dry_path_slopes(&grid, knot, 5, &(struct dry_walk){ piece, at, 37, mc, slope }, 1);
		for (int i = 0; i <= 36 && v < DRY_DRIFT + 5; i++) {
			CHECK_CASE((int)v * 100 + i);
			CHECK_NEAR(slope[(size_t)i * DRY_SLOPES + v], (moved[i] - mc[i]) / 1e-6, 1e-3);
		}
	}
	CHECK_CASE(-1);
	CHECK(mc[0] > 30 && mc[36] < 15);
	dry_grid_release(&grid);
}

/* Six pieces in fours, as the processor does it and as any would, show what each alone does, bit by bit: wet and dry, slow and too quick for the series. */
static void in_fours(void)
{
	enum { PIECES = 6, STEPS = 20 };
	static const double k[PIECES] = { 0.05, 0.14, 0.3, 0.9, 0.14, 0.2 }, start[PIECES] = { 35, 22, 41, 30, 12, 26 };
	struct dry_air air[] = { { 0, 22, 13, false }, { 4, 30, 9, false } };
	struct dry_piece piece[PIECES];
	struct dry_state all[PIECES], plain[PIECES], begin[PIECES];
	struct dry_quartet quartet[2];
	double path[STEPS + 1];
	struct dry_grid grid = { 0 };

	dry_grid_set(&grid, &(struct dry_charge){ .air = air, .nair = 2 }, 10, 10);
	for (int i = 0; i < PIECES; i++) {
		piece[i] = (struct dry_piece){ .k = k[i], .offset = 0.1 * i, .gamma = 0.03, .beta = 0.3, .kappa = 2.5 + 3 * i, .surface = 0.5, .start = start[i] };
		all[i] = plain[i] = begin[i] = dry_begin(&piece[i], grid.me_pct[0]);
	}
	dry_move_along(&grid, piece, all, PIECES, STEPS);
	grid.plain = true;
	dry_move_along(&grid, piece, plain, PIECES, STEPS);
	dry_quartets_set(quartet, piece, begin, PIECES);
	for (size_t step = 0; step < STEPS; step++)
		dry_quartets_move(quartet, PIECES, grid.warmth[step], grid.me_pct[step]);
	CHECK_INT(dry_quartets(PIECES), 2);
	for (int i = 0; i < PIECES; i++) {
		CHECK_CASE(i);
		dry_path(&grid, &piece[i], STEPS, path);
		CHECK(all[i].mc == path[STEPS] && plain[i].mc == path[STEPS] && quartet[i / 4].mc[i % 4] == path[STEPS]);
		CHECK(all[i].surface == plain[i].surface && all[i].surface == quartet[i / 4].surface[i % 4]);
	}
	CHECK_CASE(-1);
	dry_grid_release(&grid);
}

/* The derivatives of three pieces with readings on other days, together and alone, and as any processor has them. */
static void walks(void)
{
	enum { PIECES = 3, READINGS = 5 };
	static const double value[DRY_SHARED + PIECES * DRY_OWN] = { -2.1, 0.3, 0.03, 0.3, 0.8, 0.6, 33, [DRY_SHARED] = 0.4, -7, 0.2, -0.3, 1, 0, 0.9, 4, -0.5 };
	struct dry_air air[] = { { 0, 22, 13, false }, { 4, 30, 9, false } };
	struct dry_reading at[PIECES][READINGS];
	double knot[DRY_KNOTS], mc[3][PIECES][READINGS], slope[3][PIECES][READINGS * DRY_SLOPES];
	struct dry_grid grid = { 0 };

	dry_grid_set(&grid, &(struct dry_charge){ .air = air, .nair = 2 }, 12, 12);
	dry_knots(12, knot);
	for (size_t way = 0; way < 3; way++) {
		struct dry_walk walk[PIECES];

		for (size_t p = 0; p < PIECES; p++) {
			for (size_t i = 0; i < READINGS; i++)
				at[p][i].day = 0.3 * (double)p + (double)(p + 1) * 0.7 * (double)i;
			walk[p] = (struct dry_walk){ dry_piece_of(value, p), at[p], READINGS - p, mc[way][p], slope[way][p] };
			if (way == 2)
				dry_path_slopes(&grid, knot, 4, &walk[p], 1);
		}
		grid.plain = way == 1;
		if (way < 2)
			dry_path_slopes(&grid, knot, 4, walk, PIECES);
		for (size_t p = 0; p < PIECES && way > 0; p++) {
			CHECK_CASE((int)(10 * way + p));
			CHECK(memcmp(mc[way][p], mc[0][p], (READINGS - p) * sizeof(double)) == 0);
			for (size_t i = 0; i < READINGS - p; i++)
				CHECK(memcmp(slope[way][p] + i * DRY_SLOPES, slope[0][p] + i * DRY_SLOPES, dry_slopes_used(4) * sizeof(double)) == 0);
		}
	}
	CHECK_CASE(-1);
	dry_grid_release(&grid);
}

int main(void)
{
	in_fours();
	walks();
	first_order();
	air_in_steps();
	air_without_still_time();
	slopes();
	return check_end();
}
