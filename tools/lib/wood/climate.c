#include "wood/climate.h"

#include <math.h>

#include "book/value.h"

static bool emc_holds(double temp_c)
{
	return temp_c >= EMC_TEMP_LOWEST_C && temp_c <= EMC_TEMP_HIGHEST_C;
}

struct emc_curve emc_curve_at(double t)
{
	double k1 = 6.27 - (0.00938 + 0.000303 * t) * t;
	double k2 = 1.91 + (0.0407 - 0.000293 * t) * t;

	return (struct emc_curve){
		.w = 349 + (1.29 + 0.0135 * t) * t,
		.k = 0.805 + (0.000736 - 0.00000273 * t) * t,
		.k1 = k1,
		.k12 = k1 * k2,
		.holds = emc_holds(t),
	};
}

/* Equation 4-5 over one denominator. */
static inline double curve_pct(const struct emc_curve *c, double rh_pct)
{
	double x = c->k * rh_pct * 0.01;
	double hydrates = 1 + (c->k1 + c->k12 * x) * x;
	double bound = (c->k1 + 2 * c->k12 * x) * x;

	return 1800 * (x * hydrates + bound * (1 - x)) / (c->w * (1 - x) * hydrates);
}

static bool curve_holds(const struct emc_curve *c, double rh_pct)
{
	return c->holds && rh_pct >= 0 && rh_pct <= 100;
}

double emc_pct(double temp_c, double rh_pct)
{
	struct emc_curve curve = emc_curve_at(temp_c);

	return curve_holds(&curve, rh_pct) ? curve_pct(&curve, rh_pct) : NAN;
}

/* The first loop has no branch, so that the machine can take two pairs in one step. */
void emc_pct_each(double *restrict emc, const double *restrict temp_c, const double *restrict rh_pct, size_t n)
{
	for (size_t i = 0; i < n; i++) {
		struct emc_curve curve = emc_curve_at(temp_c[i]);

		emc[i] = curve_pct(&curve, rh_pct[i]);
	}
	for (size_t i = 0; i < n; i++)
		if (!emc_holds(temp_c[i]) || !(rh_pct[i] >= 0 && rh_pct[i] <= 100))
			emc[i] = NAN;
}

/*
 * The nearest whole number, half to even, of a number far under 2^51: at 1.5 x 2^52 a double has no places left. llrint()
 * is a call, for each reading of a large book.
 */
static inline int64_t nearest(double x)
{
	const double no_places = 0x1.8p52;

	return (int64_t)((x + no_places) - no_places);
}

int64_t emc_curve_fixed(const struct emc_curve *curve, double rh_pct)
{
	return curve_holds(curve, rh_pct) ? nearest(curve_pct(curve, rh_pct) * VALUE_STEPS) : EMC_NONE;
}

/*
 * Where `rises(x, arg)`, which rises with x, reaches `goal` between `low` and `high`: halving
 * until no double lies between the two ends.
 */
static double halve_to(double (*rises)(double x, const void *arg), const void *arg,
	double goal, double low, double high)
{
	for (;;) {
		double mid = low + (high - low) / 2;

		if (mid <= low || mid >= high)
			return high;
		if (rises(mid, arg) < goal)
			low = mid;
		else
			high = mid;
	}
}

static double emc_by_rh_pct(double rh_pct, const void *temp_c)
{
	return emc_pct(*(const double *)temp_c, rh_pct);
}

double rh_for_emc_pct(double temp_c, double mc_pct)
{
	if (!emc_holds(temp_c) || !(mc_pct >= 0 && mc_pct <= emc_pct(temp_c, 100)))
		return NAN;
	return halve_to(emc_by_rh_pct, &temp_c, mc_pct, 0, 100);
}

bool emc_extrapolates(double temp_c, double rh_pct)
{
	return temp_c < EMC_TABLE_COLDEST_C || temp_c > EMC_TABLE_HOTTEST_C
		|| rh_pct < EMC_TABLE_DRIEST_PCT || rh_pct > EMC_TABLE_DAMPEST_PCT;
}

double pressure_at_pa(double altitude_m)
{
	if (!(altitude_m >= -500 && altitude_m <= 11000))
		return NAN;
	return AIR_PRESSURE_PA * pow(1 - 2.25577e-5 * altitude_m, 5.2559);
}

double saturation_pa(double temp_c)
{
	double t = temp_c + 273.15;

	if (!(temp_c >= -45 && temp_c <= 200))
		return NAN;
	return exp(-5800.2206 / t + 1.3914993
		+ (-0.048640239 + (4.1764768e-5 - 1.4452093e-8 * t) * t) * t + 6.5459673 * log(t));
}

/* ln(e / 6.112 hPa) is 17.62 t / (243.12 + t) at saturation. */
#define MAGNUS_SLOPE 17.62
#define MAGNUS_SHIFT_C 243.12

double dew_point_c(double temp_c, double rh_pct)
{
	double l;

	if (!(rh_pct > 0 && rh_pct <= 100 && temp_c >= -100 && temp_c <= 200))
		return NAN;
	if (rh_pct == 100)
		return temp_c;
	l = log(rh_pct * 0.01) + MAGNUS_SLOPE * temp_c / (MAGNUS_SHIFT_C + temp_c);
	return MAGNUS_SHIFT_C * l / (MAGNUS_SLOPE - l);
}

bool dew_point_extrapolates(double temp_c)
{
	return temp_c < -45 || temp_c > 60;
}

/* A wet-bulb question; a coefficient of 0 means the thermodynamic wet bulb. */
struct psychrometer {
	double temp_c, pressure_pa, coefficient;
};

static double adiabatic_vapour_pa(double t, double wet, double p)
{
	double es = saturation_pa(wet);
	double ws = 0.621945 * es / (p - es);
	double w = ((2501 - 2.326 * wet) * ws - 1.006 * (t - wet)) / (2501 + 1.86 * t - 4.186 * wet);

	return p * w / (0.621945 + w);
}

/* Pressure of the vapour in air whose wet bulb shows `wet_c`; below 0 where it cannot. */
static double vapour_pa(double wet_c, const void *psychrometer)
{
	const struct psychrometer *c = psychrometer;

	if (c->coefficient == 0)
		return adiabatic_vapour_pa(c->temp_c, wet_c, c->pressure_pa);
	return saturation_pa(wet_c) - c->coefficient * c->pressure_pa * (c->temp_c - wet_c);
}

/* Saturation at the dry bulb, or NAN where none of the four functions has an answer. */
static double vapour_most_pa(const struct psychrometer *c)
{
	double most = saturation_pa(c->temp_c);

	return c->temp_c >= 0 && most < c->pressure_pa ? most : NAN;
}

static double rh_of_wet_pct(double wet_c, struct psychrometer c)
{
	double most = vapour_most_pa(&c), e;

	if (isnan(most) || !(wet_c >= 0 && wet_c <= c.temp_c))
		return NAN;
	if (wet_c == c.temp_c)
		return 100;
	e = vapour_pa(wet_c, &c);
	return e >= 0 ? 100 * e / most : NAN;
}

static double wet_of_rh_c(double rh_pct, struct psychrometer c)
{
	double e = vapour_most_pa(&c) * rh_pct * 0.01;

	if (!(rh_pct >= 0 && rh_pct <= 100) || !(e >= vapour_pa(0, &c)))
		return NAN;
	if (rh_pct == 100)
		return c.temp_c;
	return halve_to(vapour_pa, &c, e, 0, c.temp_c);
}

double wet_bulb_c(double temp_c, double rh_pct, double pressure_pa)
{
	return wet_of_rh_c(rh_pct, (struct psychrometer){ temp_c, pressure_pa, 0 });
}

double rh_from_wet_bulb_pct(double temp_c, double wet_c, double pressure_pa)
{
	return rh_of_wet_pct(wet_c, (struct psychrometer){ temp_c, pressure_pa, 0 });
}

int64_t rh_from_wet_bulb_fixed(int64_t temp, int64_t wet)
{
	double pct = rh_from_wet_bulb_pct((double)temp / VALUE_STEPS, (double)wet / VALUE_STEPS, AIR_PRESSURE_PA);

	return isnan(pct) ? RH_NONE : (int64_t)llrint(pct * VALUE_STEPS);
}

double psychrometer_wet_c(double temp_c, double rh_pct, double pressure_pa, double coefficient)
{
	if (!(coefficient > 0))
		return NAN;
	return wet_of_rh_c(rh_pct, (struct psychrometer){ temp_c, pressure_pa, coefficient });
}

double psychrometer_rh_pct(double temp_c, double wet_c, double pressure_pa, double coefficient)
{
	if (!(coefficient > 0))
		return NAN;
	return rh_of_wet_pct(wet_c, (struct psychrometer){ temp_c, pressure_pa, coefficient });
}
