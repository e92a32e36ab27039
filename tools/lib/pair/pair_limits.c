#include "pair/pair_limits.h"

#include <math.h>

#include "book/value.h"
#include "book/vocab.h"
#include "wood/moisture.h"

static double limit_of(int64_t value)
{
	return value == HOUSE_NONE ? INFINITY : (double)value / VALUE_STEPS;
}

struct pair_limits pair_limits_of(const struct house *house)
{
	const struct house_wood *wood = house ? house_wood_of_form(house, SLICE("handle")) : NULL;
	const struct house_constant *c = wood ? house_constant(wood, HOUSE_CONSTANT_OF_RADIAL) : NULL;
	struct pair_limits limits = { INFINITY, INFINITY, NAN, c ? c->value : NAN, INT64_MIN, INT64_MAX };

	if (house) {
		limits.most_apart_pct = limit_of(house->splice.most_apart);
		limits.most_gap_mm = limit_of(house->splice.most_gap);
		limits.width_mm = (double)house->splice.width / VALUE_STEPS;
	}
	return limits;
}

static bool read_limit(int type, const char *text, double *limit, const char *option, const char *example, struct buf *why)
{
	struct value v;

	if (!text)
		return true;
	if (value_read(type, 0, slice_of(text), &v) != VALUE_OK) {
		buf_printf(why, "--%s: '%s' is not a limit; write it as %s", option, text, example);
		return false;
	}
	*limit = (double)v.fix / VALUE_STEPS;
	return true;
}

static bool read_mass(struct pair_limits *limits, const char *text, struct buf *why)
{
	struct value v;

	if (!text)
		return true;
	if (value_read(TYPE_MASS, USE_RANGE, slice_of(text), &v) != VALUE_OK || v.mark != VALUE_RANGE) {
		buf_printf(why, "--mass: '%s' is not a range of masses; write it as 1850g..1950g", text);
		return false;
	}
	limits->mass_least = v.fix;
	limits->mass_most = v.high;
	return true;
}

bool pair_limits_ask(struct pair_limits *limits, const char *most_apart, const char *most_gap, const char *mass, struct buf *why)
{
	return read_limit(TYPE_MOISTURE, most_apart, &limits->most_apart_pct, "most-apart", "1%", why) &&
		read_limit(TYPE_LENGTH, most_gap, &limits->most_gap_mm, "most-gap", "0.1mm", why) && read_mass(limits, mass, why);
}

/* In steps of 0.0001, as the book has figures. */
static bool is_within(double v, double limit)
{
	return !isfinite(limit) || isnan(v) || llround(v * VALUE_STEPS) <= llround(limit * VALUE_STEPS);
}

bool pair_apart_allowed(const struct pair_limits *limits, double apart_pct)
{
	return is_within(fabs(apart_pct), limits->most_apart_pct);
}

bool pair_gap_allowed(const struct pair_limits *limits, double gap_mm)
{
	return is_within(gap_mm, limits->most_gap_mm);
}

bool pair_mass_matters(const struct pair_limits *limits)
{
	return limits->mass_least != INT64_MIN || limits->mass_most != INT64_MAX;
}

double pair_gap_mm(const struct pair_limits *limits, double blade_pct, double handle_pct)
{
	return -movement_mm(limits->width_mm, limits->cane, handle_pct, blade_pct);
}
