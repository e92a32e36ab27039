#include "wood/reckon.h"

#include <math.h>
#include <stdarg.h>
#include <stdio.h>

#include "base/nearest.h"
#include "table/table.h"
#include "wood/reckon_internal.h"

/* ---- the quantities */

#define TEMP { "temp", TYPE_TEMPERATURE, "20C", "temperature of the air", false }
#define RH { "rh", TYPE_HUMIDITY, "55%", "relative humidity of the air", false }
#define WET { "wetbulb", TYPE_TEMPERATURE, "15C", "temperature that a wet bulb shows", false }
#define ALTITUDE { "altitude", TYPE_LENGTH, "300m", "height above the sea, for the air's pressure", true }
#define COEFFICIENT { "coefficient", RECKON_FACTOR, "0.000662", "of a psychrometer in 1/K, to use its equation", true }
#define MC { "mc", TYPE_MOISTURE, "10%", "moisture content of the wood (dry basis)", false }
#define MASS { "mass", TYPE_MASS, "1800g", "mass of the piece at that moisture", false }
#define SIZE { "size", TYPE_LENGTH, "108mm", "the dimension at the first moisture", false }
#define FROM { "from", TYPE_MOISTURE, "12%", "the first moisture", false }
#define TO { "to", TYPE_MOISTURE, "9%", "the other moisture", false }
#define WIDTH { "width", TYPE_LENGTH, "38mm", "width of the handle in the splice", false }
#define HANDLE { "handle", TYPE_MOISTURE, "12%", "moisture of the handle when it is glued in", false }
#define HANDLE_TO { "handleto", TYPE_MOISTURE, "9%", "moisture at which the handle equilibrates", false }
#define BLADE { "blade", TYPE_MOISTURE, "9%", "moisture of the blade when the handle is glued in", false }
#define BLADE_TO { "bladeto", TYPE_MOISTURE, "9%", "moisture at which the blade equilibrates; else it stays", true }
#define WET_WOOD { "from", TYPE_MOISTURE, "28%", "moisture at the start", false }
#define EMC { "emc", TYPE_MOISTURE, "8%", "equilibrium moisture of the kiln's air", false }
#define DRY_WOOD { "to", TYPE_MOISTURE, "10%", "moisture at the end", false }
#define COVER { "cover", TYPE_HUMIDITY, "90%", "proportion of all pieces to cover", false }
#define SURE { "sure", TYPE_HUMIDITY, "95%", "confidence", false }
#define N { "n", TYPE_COUNT, "4", "pieces measured", false }
#define MEAN { "mean", TYPE_MOISTURE, "9.1%", "mean moisture of these pieces", false }
#define SD { "sd", RECKON_POINTS, "0.3%", "standard deviation between these pieces", false }
#define BAD { "bad", TYPE_COUNT, "1", "how many of them may be out of band (0)", true }

const struct reckon_way reckon_ways[] = {
	{ "emc", "the moisture at which wood equilibrates in air (EMC)", { TEMP, RH },
		{ { "emc", "%", 1 } }, reckon_emc_of_rh, 0 },
	{ "emc", "the same from a wet bulb", { TEMP, WET, ALTITUDE, COEFFICIENT },
		{ { "emc", "%", 1 }, { "rh", "%", 1 } }, reckon_emc_of_wet, 0 },
	{ "rh", "the humidity that keeps wood at a moisture",
		{ TEMP, { "emc", TYPE_MOISTURE, "9%", "moisture at which the wood equilibrates", false } },
		{ { "rh", "%", 1 } }, reckon_rh_of_emc, 0 },
	{ "rh", "humidity from a dry and a wet bulb", { TEMP, WET, ALTITUDE, COEFFICIENT },
		{ { "rh", "%", 1 } }, reckon_rh_of_wet, 0 },
	{ "dewpoint", "the temperature below which this air leaves water on a surface", { TEMP, RH },
		{ { "dew_point", "C", 2 } }, reckon_dew_of_rh, 0 },
	{ "dewpoint", "the same from a wet bulb", { TEMP, WET, ALTITUDE, COEFFICIENT },
		{ { "dew_point", "C", 2 }, { "rh", "%", 1 } }, reckon_dew_of_wet, 0 },
	{ "wetbulb", "the temperature of a wet bulb in this air", { TEMP, RH, ALTITUDE, COEFFICIENT },
		{ { "wet_bulb", "C", 2 }, { "depression", "C", 2 } }, reckon_wet_of_rh, 0 },
	{ "depression", "the air in which a wet bulb is that much colder than the dry one",
		{ TEMP, { "depression", RECKON_DEGREES, "5C", "dry bulb less wet bulb", false }, ALTITUDE, COEFFICIENT },
		{ { "rh", "%", 1 }, { "emc", "%", 1 }, { "wet_bulb", "C", 2 } }, reckon_depression, 0 },
	{ "equalize", "the air that equalizes a charge: EMC two points below the target",
		{ TEMP, { "target", TYPE_MOISTURE, "9%", "target moisture of the charge", false }, ALTITUDE },
		{ { "emc", "%", 1 }, { "rh", "%", 1 }, { "wet_bulb", "C", 1 }, { "depression", "C", 1 } }, reckon_equalize, 0 },
	{ "mc", "moisture content from the mass before and after the oven",
		{ { "wet", TYPE_MASS, "182.4g", "mass before the oven", false },
		  { "dry", TYPE_MASS, "80.0g", "mass when oven-dry", false } },
		{ { "mc", "%", 1 } }, reckon_mc_of_masses, 0 },
	{ "mc", "moisture content from water in per cent of the whole mass",
		{ { "wetbasis", TYPE_HUMIDITY, "20%", "water in per cent of the whole mass", false } },
		{ { "mc", "%", 1 } }, reckon_mc_of_wet_basis, 0 },
	{ "wetbasis", "water in per cent of the whole mass", { MC },
		{ { "wet_basis", "%", 1 } }, reckon_wet_basis_of_mc, 0 },
	{ "ovendry", "oven-dry mass of a piece, and the water in it", { MASS, MC },
		{ { "oven_dry_mass", NULL, 3 }, { "water", NULL, 3 } }, reckon_oven_dry_of_mc, 0 },
	{ "mass", "the mass of a piece at another moisture", { MASS, MC, TO },
		{ { "mass", NULL, 3 }, { "change", NULL, 3 } }, reckon_mass_at_mc, 0 },
	{ "movement", "how a dimension changes with moisture", { SIZE, FROM, TO,
		  { "coefficient", RECKON_FACTOR, "0.00308", "change of size for a point, as a part of the size", false } },
		{ { "movement", NULL, 3 }, { "size", NULL, 3 }, { "coefficient", "", 5 } }, reckon_movement, 0 },
	{ "movement", "the same from the total shrinkage", { SIZE, FROM, TO,
		  { "shrinkage", TYPE_HUMIDITY, "8.7%", "from green to oven-dry, of the green size", false } },
		{ { "movement", NULL, 3 }, { "size", NULL, 3 }, { "coefficient", "", 5 } }, reckon_movement_of_shrinkage, 0 },
	{ "movement", "the same by the house file's constants", { SIZE, FROM, TO,
		  { "wood", RECKON_ID, "willow", "the wood, as the house file names it", false },
		  { "direction", RECKON_DIRECTION, "tangential", "radial, tangential or axial", false } },
		{ { "movement", NULL, 3 }, { "size", NULL, 3 }, { "coefficient", "", 5 } }, reckon_movement_of_house, RECKON_MUST_HOUSE },
	{ "splice", "the gap in a splice after handle and blade change moisture",
		{ WIDTH, HANDLE, HANDLE_TO, BLADE, BLADE_TO,
		  { "cane", RECKON_FACTOR, "0.0020", "measured coefficient of the handle's wood, across the splice", false },
		  { "willow", RECKON_FACTOR, "0.00112", "coefficient of the blade's, across the splice", false } },
		{ { "gap", NULL, 3 }, { "handle_movement", NULL, 3 }, { "blade_movement", NULL, 3 }, { "cane", "", 5 }, { "willow", "", 5 } },
		reckon_splice, 0 },
	{ "splice", "the same by the house file's constants",
		{ WIDTH, HANDLE, HANDLE_TO, BLADE, BLADE_TO,
		  { "cane", RECKON_FACTOR, "0.0020", "measured coefficient of the handle's wood, across the splice", true },
		  { "willow", RECKON_FACTOR, "0.00112", "coefficient of the blade's, across the splice", true } },
		{ { "gap", NULL, 3 }, { "handle_movement", NULL, 3 }, { "blade_movement", NULL, 3 }, { "cane", "", 5 }, { "willow", "", 5 } },
		reckon_splice_of_house, RECKON_MAY_HOUSE },
	{ "drying", "the time that wood takes to dry (first order)", { WET_WOOD, DRY_WOOD, EMC,
		  { "k", RECKON_FACTOR, "0.1189", "rate: 1 over the time constant in days", false } },
		{ { "time", "d", 1 } }, reckon_drying, 0 },
	{ "drying", "the same with the rate from two readings", { WET_WOOD, DRY_WOOD, EMC,
		  { "then", TYPE_MOISTURE, "22%", "a later reading of the same pieces", false },
		  { "after", TYPE_SPAN, "3d", "time from the first reading to that one", false } },
		{ { "time", "d", 1 }, { "left", "d", 1 }, { "k", "1/d", 4 } }, reckon_drying_of_readings, 0 },
	{ "tolerance", "tolerance factors: the sds from the mean that cover a proportion", { N, COVER, SURE },
		{ { "k1", "", 3 }, { "k2", "", 3 } }, reckon_tolerance, 0 },
	{ "tolerance", "the same, and the limits for a mean and sd", { N, COVER, SURE, MEAN, SD },
		{ { "k1", "", 3 }, { "k2", "", 3 }, { "low", "%", 2 }, { "high", "%", 2 }, { "low_alone", "%", 2 }, { "high_alone", "%", 2 } },
		reckon_tolerance_limits, 0 },
	{ "tolerance", "the lower bound of the proportion in a band", { N, SURE, MEAN, SD,
		  { "low", TYPE_MOISTURE, "8%", "lower end of the band", true },
		  { "high", TYPE_MOISTURE, "10%", "upper end of the band", true } },
		{ { "share", "%", TABLE_DOWN + 1 }, { "share_fitted", "%", TABLE_DOWN + 1 } }, reckon_tolerance_share, 0 },
	{ "sample", "the number of pieces to measure", { COVER, SURE, BAD },
		{ { "pieces", "", 0 }, { "one_end", "", 0 }, { "both_ends", "", 0 } }, reckon_sample, 0 },
	{ "sample", "the same in a lot of known size", { COVER, SURE,
		  { "all", TYPE_COUNT, "3500", "pieces in the lot", false }, BAD },
		{ { "pieces", "", 0 } }, reckon_sample_of_lot, 0 },
	{ "share", "the interval of a proportion", {
		  { "k", TYPE_COUNT, "3", "pieces that count, such as those out of band", false }, { "n", TYPE_COUNT, "50", "pieces examined", false }, SURE },
		{ { "share", "", 4 }, { "lower", "", 4 }, { "upper", "", 4 }, { "lower_alone", "", 4 }, { "upper_alone", "", 4 },
		  { "wilson_lower", "", 4 }, { "wilson_upper", "", 4 } }, reckon_share, 0 },
	{ "share", "the same in a lot of known size", {
		  { "k", TYPE_COUNT, "3", "pieces that count, such as those out of band", false }, { "n", TYPE_COUNT, "50", "pieces examined", false }, SURE,
		  { "all", TYPE_COUNT, "3500", "pieces in the lot", false } },
		{ { "share", "", 4 }, { "lower", "", 4 }, { "upper", "", 4 }, { "lower_alone", "", 4 }, { "upper_alone", "", 4 },
		  { "fewest", "", 0 }, { "most", "", 0 } }, reckon_share_of_lot, 0 },
	{ "correct", "a resistance meter's reading, corrected for warm or cold wood",
		{ { "reading", TYPE_MOISTURE, "12%", "the reading of the meter", false },
		  { "wood", TYPE_TEMPERATURE, "28C", "temperature of the wood", false },
		  { "reference", TYPE_TEMPERATURE, "20C", "wood temperature at which the meter is correct", false },
		  { "per10C", RECKON_POINTS, "0.9%", "points that it reads too high for each 10 C above that", false },
		  { "a", RECKON_POINTS, "0.4%", "of its own line, true = a + b x reading: points", true },
		  { "b", RECKON_FACTOR, "0.95", "of its own line: points a point read", true } },
		{ { "mc", "%", 1 }, { "reading", "%", 1 }, { "wood", "C", 1 }, { "reference", "C", 1 }, { "per10C", "%", 1 },
		  { "a", "%", 2 }, { "b", "", 3 } }, reckon_correct_by_rule, 0 },
	{ "correct", "the same by the house file's rule for a meter",
		{ { "reading", TYPE_MOISTURE, "12%", "the reading of the meter", false },
		  { "wood", TYPE_TEMPERATURE, "28C", "temperature of the wood", false },
		  { "meter", RECKON_ID, "pin2", "the meter and its setting, as in the book", false } },
		{ { "mc", "%", 1 }, { "reading", "%", 1 }, { "wood", "C", 1 }, { "reference", "C", 1 }, { "per10C", "%", 1 },
		  { "a", "%", 2 }, { "b", "", 3 } }, reckon_correct_by_meter, RECKON_MUST_HOUSE },
	{ "convert", "a value in another unit",
		{ { "value", RECKON_VALUE, "2lb9.5oz", "the value; value= is optional", false },
		  { "to", RECKON_UNIT, "g", "the new unit", false } }, { { NULL, NULL, 4 } }, reckon_convert, 0 },
	{ .quantity = NULL }
};

const struct reckon_way *reckon_first(struct slice quantity)
{
	for (const struct reckon_way *w = reckon_ways; w->quantity; w++)
		if (slice_eq(slice_of(w->quantity), quantity))
			return w;
	return NULL;
}

const struct reckon_way *reckon_next(const struct reckon_way *w)
{
	return w[1].quantity && strcmp(w->quantity, w[1].quantity) == 0 ? w + 1 : NULL;
}

bool reckon_any_takes(const struct reckon_way *w, struct slice name)
{
	for (; w; w = reckon_next(w))
		if (reckon_arg_at(w, name) >= 0)
			return true;
	return false;
}

struct slice reckon_near_arg(const struct reckon_way *w, struct slice name)
{
	struct nearest near = nearest_to(name);

	for (; w; w = reckon_next(w))
		for (int i = 0; i < reckon_nargs(w); i++)
			nearest_try(&near, slice_of(w->arg[i].name));
	return near.best;
}

struct slice reckon_near_quantity(struct slice word)
{
	struct nearest near = nearest_to(word);

	for (const struct reckon_way *w = reckon_ways; w->quantity; w++)
		nearest_try(&near, slice_of(w->quantity));
	return near.best;
}

/* ---- the rows of an answer */

/* A way that answers in words' units has a row without a name or a unit at `i`; others end there. */
int reckon_nrows(const struct reckon_way *w)
{
	int n = 0;

	while (n < RECKON_ROWS && (w->gives[n].name || (n == 0 && w->reckon == reckon_convert)))
		n++;
	return n;
}

bool reckon_run(const struct reckon_way *w, const struct reckon_input *in, const struct reckon_house *house, struct reckoned *r)
{
	r->way = w;
	r->in = in;
	r->n = r->ntexts = 0;
	r->words.n = r->refusal.n = 0;
	return w->reckon(r, in, house);
}
