#include <math.h>

#include "wood/climate.h"
#include "wood/reckon_internal.h"

static double in_metres(struct reckon_input in)
{
	return in.given ? in.v / 1000 : 0;
}

static bool give_emc(struct reckoned *r, double temp_c, double rh_pct)
{
	double emc = emc_pct(temp_c, rh_pct);

	if (isnan(emc))
		return reckoned_refuse(r, "the EMC equation does not hold at %g C; its range is %g to %g C",
			temp_c, EMC_TEMP_LOWEST_C, EMC_TEMP_HIGHEST_C);
	return reckoned_give(r, emc);
}

static void emc_notes(struct reckoned *r, double temp_c, double rh_pct)
{
	reckoned_note(r, "EMC is good to about 1 point: species differ, and wood that dries stays wetter than wood that takes up water.");
	if (emc_extrapolates(temp_c, rh_pct))
		reckoned_caution(r, "this lies outside the published table (-1.1 to 132.2 C, 5 to 95 %%): the EMC equation is extrapolated");
}

static void emc_finding(struct reckoned *r, double temp_c, double rh_pct)
{
	reckoned_finding(r, "Wood equilibrates at %.1f %% in air of %.1f C and %.0f %% humidity.", emc_pct(temp_c, rh_pct), temp_c, rh_pct);
}

RECKON_FUNCTION(reckon_emc_of_rh)
{
	(void)house;
	if (!give_emc(r, in[0].v, in[1].v))
		return false;
	emc_finding(r, in[0].v, in[1].v);
	emc_notes(r, in[0].v, in[1].v);
	return true;
}

static bool holds_a_wet_bulb(struct reckoned *r, double temp_c, double pressure_pa, const struct reckon_input *coefficient)
{
	if (temp_c > 0 && saturation_pa(temp_c) >= pressure_pa)
		return reckoned_refuse(r, "at %g C water boils: there is no wet bulb", temp_c);
	if (coefficient->given && !(coefficient->v > 0))
		return reckoned_refuse(r, "coefficient must be above 0; write coefficient=0.000662 for a good draught");
	return true;
}

static bool no_such_wet_bulb(struct reckoned *r, double temp_c, double wet_c)
{
	if (wet_c > temp_c)
		return reckoned_refuse(r, "a wet bulb of %g C cannot be above the dry bulb's %g C", wet_c, temp_c);
	if (wet_c < 0)
		return reckoned_refuse(r, "a wick below 0 C is frozen; use a hygrometer");
	return reckoned_refuse(r, "no air of %g C has a wet bulb of %g C: is the wick dry, or one of the two misread?", temp_c, wet_c);
}

/* Humidity by wet bulb; `in` holds temp, (anything), altitude, coefficient. */
static bool rh_by_wet(struct reckoned *r, const struct reckon_input *in, double wet_c, double *rh)
{
	double pressure = pressure_at_pa(in_metres(in[2])), temp_c = in[0].v;

	if (!holds_a_wet_bulb(r, temp_c, pressure, &in[3]))
		return false;
	if (in[3].given)
		*rh = psychrometer_rh_pct(temp_c, wet_c, pressure, in[3].v);
	else
		*rh = rh_from_wet_bulb_pct(temp_c, wet_c, pressure);
	return isnan(*rh) ? no_such_wet_bulb(r, temp_c, wet_c) : true;
}

static bool wet_note(struct reckoned *r, const struct reckon_input *coefficient)
{
	reckoned_note(r, "%s", coefficient->given
		? "By the psychrometer's equation with that coefficient (0.000662 in a draught of 3 m/s or more)."
		: "By the thermodynamic wet bulb; a clean wet wick in a good draught is close to it.");
	return true;
}

RECKON_FUNCTION(reckon_emc_of_wet)
{
	double rh;

	(void)house;
	if (!rh_by_wet(r, in, in[1].v, &rh) || !give_emc(r, in[0].v, rh))
		return false;
	reckoned_give(r, rh);
	emc_finding(r, in[0].v, rh);
	emc_notes(r, in[0].v, rh);
	return wet_note(r, &in[3]);
}

RECKON_FUNCTION(reckon_rh_of_wet)
{
	double rh;

	(void)house;
	if (!rh_by_wet(r, in, in[1].v, &rh))
		return false;
	reckoned_give(r, rh);
	return wet_note(r, &in[3]);
}

/* The humidity that keeps wood at `emc`, at `temp_c`. */
static bool rh_for(struct reckoned *r, double temp_c, double emc, double *rh)
{
	double wettest = emc_pct(temp_c, 100);

	*rh = rh_for_emc_pct(temp_c, emc);
	if (isnan(wettest))
		return give_emc(r, temp_c, 100);
	if (isnan(*rh))
		return reckoned_refuse(r, "no air of %g C keeps wood at %g %%: at 100 %% humidity it equilibrates at %.1f %%", temp_c, emc, wettest);
	return true;
}

RECKON_FUNCTION(reckon_rh_of_emc)
{
	double rh;

	(void)house;
	if (!rh_for(r, in[0].v, in[1].v, &rh))
		return false;
	reckoned_give(r, rh);
	reckoned_finding(r, "Air of %.1f C keeps wood at %g %% if its humidity is %.0f %%.", in[0].v, in[1].v, rh);
	emc_notes(r, in[0].v, rh);
	return true;
}

static bool give_dew_point(struct reckoned *r, double temp_c, double rh_pct)
{
	double dew = dew_point_c(temp_c, rh_pct);

	if (isnan(dew))
		return reckoned_refuse(r, "air of 0 %% humidity has no dew point");
	if (dew_point_extrapolates(temp_c))
		reckoned_caution(r, "the constants of the dew point hold from -45 to 60 C: this is extrapolated");
	reckoned_finding(r, "This air leaves water on a surface colder than %.1f C.", dew);
	return reckoned_give(r, dew);
}

RECKON_FUNCTION(reckon_dew_of_rh)
{
	(void)house;
	return give_dew_point(r, in[0].v, in[1].v);
}

RECKON_FUNCTION(reckon_dew_of_wet)
{
	double rh;

	(void)house;
	if (!rh_by_wet(r, in, in[1].v, &rh) || !give_dew_point(r, in[0].v, rh))
		return false;
	reckoned_give(r, rh);
	return wet_note(r, &in[3]);
}

static bool frozen_wick(struct reckoned *r)
{
	return reckoned_refuse(r, "the wet bulb would be below 0 C, where a wick freezes; use a hygrometer");
}

/* `in` holds temp, rh, altitude, coefficient. */
RECKON_FUNCTION(reckon_wet_of_rh)
{
	double pressure = pressure_at_pa(in_metres(in[2])), wet;

	(void)house;
	if (!holds_a_wet_bulb(r, in[0].v, pressure, &in[3]))
		return false;
	if (in[3].given)
		wet = psychrometer_wet_c(in[0].v, in[1].v, pressure, in[3].v);
	else
		wet = wet_bulb_c(in[0].v, in[1].v, pressure);
	if (isnan(wet))
		return frozen_wick(r);
	reckoned_give(r, wet);
	reckoned_give(r, in[0].v - wet);
	reckoned_finding(r, "A wet bulb shows %.1f C, %.1f C below the dry bulb.", wet, in[0].v - wet);
	return wet_note(r, &in[3]);
}

/* `in` holds temp, depression, altitude, coefficient. */
RECKON_FUNCTION(reckon_depression)
{
	double wet = in[0].v - in[1].v, rh;

	(void)house;
	if (!rh_by_wet(r, in, wet, &rh))
		return false;
	reckoned_give(r, rh);
	if (!give_emc(r, in[0].v, rh))
		return false;
	reckoned_give(r, wet);
	emc_finding(r, in[0].v, rh);
	emc_notes(r, in[0].v, rh);
	return wet_note(r, &in[3]);
}

enum { EQUALIZE_BELOW = 2 }; /* points below the target; USDA Agriculture Handbook 188 */

/* `in` holds temp, target, altitude. */
RECKON_FUNCTION(reckon_equalize)
{
	static const struct reckon_input none;
	double target = in[1].v, emc = target - EQUALIZE_BELOW, pressure = pressure_at_pa(in_metres(in[2])), rh, wet;

	(void)house;
	if (!(emc > 0))
		return reckoned_refuse(r, "target=%s: equalizing holds the air's EMC %d points below the target, which must be above that",
			in[1].text.p, EQUALIZE_BELOW);
	if (!holds_a_wet_bulb(r, in[0].v, pressure, &none) || !rh_for(r, in[0].v, emc, &rh))
		return false;
	wet = wet_bulb_c(in[0].v, rh, pressure);
	if (isnan(wet))
		return frozen_wick(r);
	reckoned_give(r, emc);
	reckoned_give(r, rh);
	reckoned_give(r, wet);
	reckoned_give(r, in[0].v - wet);
	reckoned_finding(r, "Set a wet bulb of %.1f C, %.1f C below the dry bulb; the EMC is then %g %%.", wet, in[0].v - wet, emc);
	reckoned_note(r, "Start when the driest sample is at %g %%, end when the wettest is at %g %% (Agriculture Handbook 188).", emc, target);
	reckoned_note(r, "Setting, opening and entering a kiln follow its maker's and the local rules.");
	emc_notes(r, in[0].v, rh);
	return wet_note(r, &none);
}
