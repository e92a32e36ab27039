/*
 * climate.h - the air around wood, and the moisture that wood settles at in it.
 *
 * Temperatures are in degrees Celsius, relative humidities and moistures in per cent
 * (humidity over liquid water, also below freezing; moisture on the dry basis), pressures in
 * pascals. A function that has no answer for its arguments returns NAN: what each can
 * answer is beside it. All are pure: the same arguments, the same bits.
 *
 * Sources:
 *  EMC         USDA Wood Handbook FPL-GTR-282 (2021), equation 4-5 with the Celsius set
 *              (Hailwood and Horrobin, two hydrates, fitted to many species together).
 *  saturation  ASHRAE Handbook Fundamentals 2017, chapter 1, over liquid water.
 *  dew point   Magnus formula with the WMO's constants over water, -45 to 60 C.
 *  pressure    ASHRAE 2017, chapter 1, equation 3 (the standard atmosphere).
 *  wet bulb    thermodynamic: ASHRAE 2017, chapter 1, energy balance of adiabatic
 *              saturation; psychrometer: e = es(wet) - A p (dry - wet).
 */
#ifndef WITHY_CLIMATE_H
#define WITHY_CLIMATE_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

/* Between these the EMC equation rises with humidity all the way from 0 to 100 %. */
#define EMC_TEMP_LOWEST_C (-40.0)
#define EMC_TEMP_HIGHEST_C 132.5

/* What Table 4-2 of the Wood Handbook covers: 30 to 270 F, 5 to 95 %. */
#define EMC_TABLE_COLDEST_C (-10.0 / 9)
#define EMC_TABLE_HOTTEST_C (1190.0 / 9)
#define EMC_TABLE_DRIEST_PCT 5.0
#define EMC_TABLE_DAMPEST_PCT 95.0

/* How far the equation may be off for one species at rest, in points of moisture. */
#define EMC_GOOD_TO_PCT 1.0

#define AIR_PRESSURE_PA 101325.0        /* at sea level */
#define PSYCHROMETER_ASPIRATED 0.000662 /* A in 1/K of a wet bulb in a draught of 3 m/s or more */

/*
 * Equilibrium moisture content of wood in air of `temp_c` and `rh_pct`. One division, no
 * call: it is asked millions of times. NAN outside 0..100 % and EMC_TEMP_LOWEST_C to
 * EMC_TEMP_HIGHEST_C.
 */
double emc_pct(double temp_c, double rh_pct);

/* The same for `n` pairs, to the last bit and several at a time. */
void emc_pct_each(double *restrict emc_pct, const double *restrict temp_c, const double *restrict rh_pct, size_t n);

/*
 * The equation at one temperature, for who asks at few temperatures and millions of times: its
 * four coefficients there, and whether the temperature is one that emc_pct() answers for.
 */
struct emc_curve {
	double w, k, k1, k12;  /* k12 is K1 K2 */
	bool holds;
};

struct emc_curve emc_curve_at(double temp_c);

/*
 * What emc_pct() answers at the curve's temperature, in steps of 0.0001 % rounded half to even: sums of it do not
 * depend on how a file was cut. EMC_NONE without an answer.
 */
#define EMC_NONE INT64_MIN
int64_t emc_curve_fixed(const struct emc_curve *curve, double rh_pct);

/*
 * Humidity at which wood settles at `mc_pct`: the inverse of emc_pct(), to the last bit or
 * two. NAN where no humidity from 0 to 100 % does.
 */
double rh_for_emc_pct(double temp_c, double mc_pct);

/* Whether emc_pct() is asked outside the published table, so that its answer is a guess. */
bool emc_extrapolates(double temp_c, double rh_pct);

/* Pressure of the standard atmosphere at a height above the sea, -500 to 11000 m; else NAN. */
double pressure_at_pa(double altitude_m);

/* Pressure of water vapour over liquid water. NAN outside -45..200 C. */
double saturation_pa(double temp_c);

/* Temperature to which this air must cool before water falls out. NAN for 0 % or less. */
double dew_point_c(double temp_c, double rh_pct);

/* Whether dew_point_c() leaves the range that its constants are stated for. */
bool dew_point_extrapolates(double temp_c);

/*
 * Thermodynamic wet bulb at `pressure_pa`, and the humidity that a dry and a wet bulb mean.
 * NAN where the wet bulb is below 0 C (a wick freezes, and other constants hold) or above
 * the dry one, where the dry one is not below boiling, and where no air could be so dry.
 */
double wet_bulb_c(double temp_c, double rh_pct, double pressure_pa);
double rh_from_wet_bulb_pct(double temp_c, double wet_c, double pressure_pa);

/*
 * The humidity that a dry and a wet bulb of a book mean: rh_from_wet_bulb_pct() at sea level, all in
 * steps of 0.0001 (value.h), rounded half to even. RH_NONE where that gives NAN: such a pair of readings
 * is kept, and has no humidity.
 */
#define RH_NONE INT64_MIN
int64_t rh_from_wet_bulb_fixed(int64_t temp, int64_t wet);

/* The same two by the psychrometer's own equation with its coefficient, above 0, in 1/K. */
double psychrometer_wet_c(double temp_c, double rh_pct, double pressure_pa, double coefficient);
double psychrometer_rh_pct(double temp_c, double wet_c, double pressure_pa, double coefficient);

#endif
