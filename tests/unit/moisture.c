/* moisture.c: what is refused. The figures themselves are in tests/outside/moisture.c. */
#include <math.h>
#include <stdio.h>

#include "wood/moisture.h"

static int failures;

#define CHECK(what) do { if (!(what)) { failures++; printf("%d: %s\n", __LINE__, #what); } } while (0)

static void masses_are_refused(void)
{
	CHECK(isnan(mc_of_masses_pct(80, -1)));
	CHECK(isnan(mc_of_masses_pct(NAN, 80)));
	CHECK(isnan(mass_at_mc_g(0, 10, 9)));
	CHECK(isnan(mass_at_mc_g(100, -1, 9)));
	CHECK(isnan(mass_at_mc_g(100, 10, -1)));
	CHECK(isnan(mass_oven_dry_g(-5, 10)));
	CHECK(isnan(mc_of_wet_basis_pct(100)));
	CHECK(isnan(mc_of_wet_basis_pct(-1)));
	CHECK(isnan(wet_basis_of_mc_pct(-1)));
}

static void movements_are_refused(void)
{
	CHECK(isnan(movement_mm(0, 0.001, 12, 9)));
	CHECK(isnan(movement_mm(38, 0.001, -1, 9)));
	CHECK(isnan(movement_per_point(100)));
	CHECK(isnan(movement_per_point(-1)));
	CHECK(movement_mm(100, 0.001, 8, 10) > 0.19999 && movement_mm(100, 0.001, 8, 10) < 0.20001);
}

int main(void)
{
	masses_are_refused();
	movements_are_refused();
	return failures > 0;
}
