/* climate.c: where it answers and where not, that inverses undo, that EMC rises with humidity. */
#include <math.h>
#include <stdio.h>

#include "wood/climate.h"

static int failures;

#define CHECK(what) do { if (!(what)) { failures++; printf("%d: %s\n", __LINE__, #what); } } while (0)

static void emc_rises_with_humidity(void)
{
	for (double t = EMC_TEMP_LOWEST_C; t <= EMC_TEMP_HIGHEST_C; t += 0.5)
		for (double rh = 0.25; rh <= 100; rh += 0.25)
			if (!(emc_pct(t, rh) > emc_pct(t, rh - 0.25))) {
				failures++;
				printf("EMC does not rise at %g C, %g %%\n", t, rh);
			}
}

/* Many at a time are each what it is alone, to the last bit, also where there is no answer. */
static void emc_each(void)
{
	double t[200], rh[200], many[200];

	for (int i = 0; i < 200; i++) {
		t[i] = i % 13 == 0 ? NAN : -45.05 + 0.9 * i;
		rh[i] = i % 17 == 0 ? NAN : (double)(i * 37 % 211) / 2;
	}
	for (size_t n = 197; n <= 200; n++) {
		emc_pct_each(many, t, rh, n);
		for (size_t i = 0; i < n; i++) {
			double one = emc_pct(t[i], rh[i]);

			CHECK(isnan(one) ? isnan(many[i]) : memcmp(&one, &many[i], sizeof one) == 0);
		}
	}
}

static void emc_answers_only_where_it_holds(void)
{
	struct emc_curve at_20 = emc_curve_at(20);

	CHECK(emc_pct(20, 0) == 0);
	CHECK(emc_pct(20, 100) > 28 && emc_pct(20, 100) < 30);
	CHECK(isnan(emc_pct(20, -0.1)));
	CHECK(isnan(emc_pct(20, 100.1)));
	CHECK(isnan(emc_pct(20, NAN)));
	CHECK(isnan(emc_pct(NAN, 50)));
	CHECK(isnan(emc_pct(-40.1, 50)));
	CHECK(isnan(emc_pct(132.6, 50)));
	CHECK(emc_curve_fixed(&at_20, 55) == 101013);
	CHECK(emc_curve_fixed(&at_20, 101) == EMC_NONE);
}

static void emc_says_where_it_guesses(void)
{
	CHECK(!emc_extrapolates(-1.1, 5));
	CHECK(!emc_extrapolates(132.2, 95));
	CHECK(emc_extrapolates(-1.2, 50));
	CHECK(emc_extrapolates(132.3, 50));
	CHECK(emc_extrapolates(20, 4.9));
	CHECK(emc_extrapolates(20, 95.1));
}

static void rh_for_emc_undoes_emc(void)
{
	for (double t = -40; t <= 130; t += 10)
		for (double rh = 0; rh <= 100; rh += 2.5) {
			double back = rh_for_emc_pct(t, emc_pct(t, rh));

			if (!(fabs(back - rh) < 1e-10)) {
				failures++;
				printf("%g C, %g %%: back at %.15g\n", t, rh, back);
			}
		}
	CHECK(isnan(rh_for_emc_pct(20, -1)));
	CHECK(isnan(rh_for_emc_pct(20, 29)));
	CHECK(isnan(rh_for_emc_pct(140, 5)));
	CHECK(isnan(rh_for_emc_pct(20, NAN)));
}

static void dew_point_bounds(void)
{
	CHECK(dew_point_c(20, 100) == 20);
	CHECK(dew_point_c(20, 99.999) < 20);
	CHECK(isnan(dew_point_c(20, 0)));
	CHECK(isnan(dew_point_c(20, 101)));
	CHECK(isnan(dew_point_c(-250, 50)));
	CHECK(!dew_point_extrapolates(60) && !dew_point_extrapolates(-45));
	CHECK(dew_point_extrapolates(60.1) && dew_point_extrapolates(-45.1));
	CHECK(isnan(pressure_at_pa(-501)) && isnan(pressure_at_pa(11001)) && isnan(pressure_at_pa(NAN)));
	CHECK(isnan(saturation_pa(-46)) && isnan(saturation_pa(201)) && isnan(saturation_pa(NAN)));
}

static void wet_bulbs_undo(double pressure_pa, double coefficient)
{
	for (double t = 10; t <= 90; t += 5)
		for (double rh = 30; rh <= 100; rh += 5) {
			double wet = coefficient > 0 ? psychrometer_wet_c(t, rh, pressure_pa, coefficient)
				: wet_bulb_c(t, rh, pressure_pa);
			double back = coefficient > 0 ? psychrometer_rh_pct(t, wet, pressure_pa, coefficient)
				: rh_from_wet_bulb_pct(t, wet, pressure_pa);

			if (!(fabs(back - rh) < 1e-9) || wet > t) {
				failures++;
				printf("%g C, %g %%: wet %.15g, back %.15g\n", t, rh, wet, back);
			}
		}
}

static void wet_bulb_answers_only_where_it_holds(void)
{
	CHECK(rh_from_wet_bulb_pct(20, 20, AIR_PRESSURE_PA) == 100);
	CHECK(wet_bulb_c(20, 100, AIR_PRESSURE_PA) == 20);
	CHECK(isnan(rh_from_wet_bulb_pct(20, 20.1, AIR_PRESSURE_PA)));
	CHECK(isnan(rh_from_wet_bulb_pct(2, -0.1, AIR_PRESSURE_PA)));
	CHECK(isnan(rh_from_wet_bulb_pct(40, 1, AIR_PRESSURE_PA)));
	CHECK(isnan(rh_from_wet_bulb_pct(101, 90, AIR_PRESSURE_PA)));
	CHECK(isnan(rh_from_wet_bulb_pct(NAN, 15, AIR_PRESSURE_PA)));
	CHECK(isnan(rh_from_wet_bulb_pct(20, NAN, AIR_PRESSURE_PA)));
	CHECK(isnan(rh_from_wet_bulb_pct(20, 15, 0)));
	CHECK(rh_from_wet_bulb_fixed(200000, 200000) == 1000000);
	CHECK(rh_from_wet_bulb_fixed(200000, 150000) == llrint(10000 * rh_from_wet_bulb_pct(20, 15, AIR_PRESSURE_PA)));
	CHECK(rh_from_wet_bulb_fixed(200000, 200001) == RH_NONE && rh_from_wet_bulb_fixed(400000, 10000) == RH_NONE);
	CHECK(isnan(wet_bulb_c(2, 20, AIR_PRESSURE_PA)));
	CHECK(isnan(wet_bulb_c(20, 101, AIR_PRESSURE_PA)));
	CHECK(isnan(psychrometer_rh_pct(20, 15, AIR_PRESSURE_PA, -1)));
	CHECK(isnan(psychrometer_rh_pct(20, 15, AIR_PRESSURE_PA, 0)));
	CHECK(isnan(psychrometer_wet_c(20, 50, AIR_PRESSURE_PA, 0)));
}

int main(void)
{
	emc_rises_with_humidity();
	emc_each();
	emc_answers_only_where_it_holds();
	emc_says_where_it_guesses();
	rh_for_emc_undoes_emc();
	dew_point_bounds();
	wet_bulbs_undo(AIR_PRESSURE_PA, 0);
	wet_bulbs_undo(85000, 0);
	wet_bulbs_undo(AIR_PRESSURE_PA, PSYCHROMETER_ASPIRATED);
	wet_bulb_answers_only_where_it_holds();
	return failures > 0;
}
