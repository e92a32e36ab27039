/*
 * wy-reckon - the bench calculator.
 *
 * A quantity is reckoned in one or more ways. A way is a row of `ways`: the words that it takes,
 * and one small function that gets their values in that order and adds rows to the answer. The
 * way is chosen by the words that were written, so the rows also make the help, the list and
 * every complaint. To add a quantity: write its function, and its row.
 */
#include "text.h"
#include "vocab_words.h"
#include "vocab.h"
#include "value.h"
#include "stamp.h"
#include "house_words.h"
#include "diag.h"
#include "parse.h"
#include "reader.h"
#include "house.h"
#include "opt.h"
#include "table.h"
#include "tool.h"
#include "tool_book.h"
#include "climate.h"
#include "wood.h"
#include "meter.h"
#include "wide.h"
#include "stats.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>

#include "mem.h"

enum { ARGS_MOST = 6, WORDS_MOST = 64 };

/* What a word's value may be, beside the types of the book. */
enum {
	IS_FACTOR = TYPES_END, /* a bare number */
	IS_POINTS,             /* points of moisture, with or without % */
	IS_UNIT,               /* the name of a unit */
	IS_ANY                 /* looked at by the way itself */
};

struct arg {
	const char *name;
	int type;
	const char *sample, *help;
	bool may;              /* it can be left out */
};

/* The value of an arg: in the type's base unit, with the unit as it was written. */
struct input {
	bool given;
	double v;
	int unit;              /* UNIT_... */
	struct slice text;
};

struct way {
	const char *quantity, *says;
	struct arg arg[ARGS_MOST];
	void (*reckon)(struct table *t, const struct input *in);
};

static bool list_asked;

static const struct opt options[] = {
	OPT_TEXT('H', "house", &tool.house, "FILE", "the house file with the meters"),
	OPT_FLAG(0, "list", &list_asked, "list the quantities and what each needs"),
	OPT_PART(tool_on_options),
	OPT_PART(tool_form_options),
	OPT_END
};

/* ---- complaints */

/* "temp=20 has no unit; write 20C or 20F" */
static void tell_no_unit(struct slice name, int type, struct slice text)
{
	const struct type_def *def = vocab_type(type);
	struct buf units = BUF_INIT;

	if (strpbrk(text.p, "abcdefghijklmnopqrstuvwxyz")) {
		tool_warn("%.*s=%.*s ends without a unit; write it as in 2lb9.5oz", (int)name.n, name.p, (int)text.n, text.p);
		return;
	}
	for (int i = 0; i < def->nunits; i++) {
		buf_str(&units, i == 0 ? "" : i + 1 < def->nunits ? ", " : " or ");
		buf_add(&units, text);
		buf_add(&units, vocab_unit(def->first_unit + i)->name);
	}
	if (type == TYPE_MASS && slice_find(text, '.') < text.n)
		buf_str(&units, " (2.7 lb is not 2 lb 7 oz, which is written 2lb7oz)");
	tool_warn("%.*s=%.*s has no unit; write %s", (int)name.n, name.p, (int)text.n, text.p, buf_cstr(&units));
	buf_release(&units);
}

static void tell_bad_unit(struct slice name, int type, const char *unit)
{
	struct buf units = BUF_INIT;

	value_units(&units, type);
	tool_warn("'%s' is no unit of %.*s; write one of %s", unit, (int)name.n, name.p, buf_cstr(&units));
	buf_release(&units);
}

static void tell_out_of_range(struct slice name, int type, struct slice text)
{
	const struct type_def *def = vocab_type(type);
	struct buf bounds = BUF_INIT;

	value_write_fix(&bounds, def->least, def->places);
	buf_add(&bounds, def->base);
	buf_str(&bounds, " and ");
	value_write_fix(&bounds, def->most, def->places);
	buf_add(&bounds, def->base);
	tool_warn("%.*s=%.*s cannot be; it lies between %s", (int)name.n, name.p, (int)text.n, text.p, buf_cstr(&bounds));
	buf_release(&bounds);
}

/* `at` is where reading stopped. */
static void tell_fault(struct slice name, int type, struct slice text, enum value_fault fault, const char *at)
{
	if (fault == VALUE_NO_UNIT)
		tell_no_unit(name, type, text);
	else if (fault == VALUE_BAD_UNIT)
		tell_bad_unit(name, type, at);
	else if (fault == VALUE_OUT_OF_RANGE)
		tell_out_of_range(name, type, text);
	else if (fault == VALUE_TOO_LONG)
		tool_warn("%.*s=%.*s has more digits than can be kept: 15 at most", (int)name.n, name.p, (int)text.n, text.p);
	else
		tool_warn("'%.*s' is no value of %.*s; write one number, with a point for decimals and the unit glued on",
			(int)text.n, text.p, (int)name.n, name.p);
}

/* Reads one value of the book's types; says what is wrong with it. */
static bool read_value(struct slice name, int type, struct slice text, struct value *v)
{
	enum value_fault fault;
	const char *end = text.p + text.n, *at = value_scan(type, 0, text.p, end, v, &fault);

	if (!fault && at == end)
		return true;
	tell_fault(name, type, text, fault, at);
	return false;
}

/* ---- answering */

static void row_in(struct table *t, struct slice quantity, double value, struct slice unit, unsigned shown)
{
	table_text(t, quantity);
	table_real_shown(t, value, shown);
	table_text(t, unit);
}

static void row(struct table *t, const char *quantity, double value, const char *unit, unsigned shown)
{
	row_in(t, slice_of(quantity), value, slice_of(unit), shown);
}

static void note(struct table *t, const char *text)
{
	table_note(t, slice_of(text));
}

/* A caution that must be seen: below the table where that form has notes, else on standard error. */
static void caution(struct table *t, const char *text)
{
	int form = tool_form();

	struct buf marked = BUF_INIT;

	if (form == TABLE_AS_TSV || form == TABLE_AS_CSV || form == TABLE_AS_JSON) {
		tool_warn("%s", text);
		return;
	}
	buf_printf(&marked, "Caution: %s.", text);
	table_note(t, buf_slice(&marked));
	buf_release(&marked);
}

/* A value in the base unit, in another unit of the type. */
static double in_unit(double base, int unit)
{
	const struct unit_def *u = vocab_unit(unit);

	return base * (double)u->over * pow(10, u->times_places) / (double)u->times - (double)u->plus;
}

static double in_metres(struct input in)
{
	return in.given ? in.v / 1000 : 0;
}

/* ---- air */

static void add_emc(struct table *t, double temp_c, double rh_pct)
{
	double emc = emc_pct(temp_c, rh_pct);

	if (isnan(emc))
		tool_fail("the EMC equation does not hold at %g C; it serves from %g to %g C",
			temp_c, EMC_TEMP_LOWEST_C, EMC_TEMP_HIGHEST_C);
	row(t, "emc", emc, "%", 1);
}

static void emc_notes(struct table *t, double temp_c, double rh_pct)
{
	note(t, "EMC is good to about 1 point: species differ, and wood that dries stays wetter than wood that takes up water.");
	if (emc_extrapolates(temp_c, rh_pct))
		caution(t, "this lies outside the published table (-1.1 to 132.2 C, 5 to 95 %): the EMC equation is extrapolated");
}

static void emc_of_rh(struct table *t, const struct input *in)
{
	add_emc(t, in[0].v, in[1].v);
	emc_notes(t, in[0].v, in[1].v);
}

static void must_hold_a_wet_bulb(const struct input *temp, double pressure_pa, const struct input *coefficient)
{
	if (temp->v > 0 && saturation_pa(temp->v) >= pressure_pa)
		tool_fail("at %g C water boils: there is no wet bulb", temp->v);
	if (coefficient->given && !(coefficient->v > 0))
		tool_fail("a psychrometer's coefficient is above 0: 0.000662 in a good draught");
}

/* Humidity by wet bulb; `in` holds temp, wetbulb, altitude, coefficient. */
static double rh_by_wet(const struct input *in)
{
	double pressure = pressure_at_pa(in_metres(in[2])), rh;

	must_hold_a_wet_bulb(&in[0], pressure, &in[3]);
	if (in[3].given)
		rh = psychrometer_rh_pct(in[0].v, in[1].v, pressure, in[3].v);
	else
		rh = rh_from_wet_bulb_pct(in[0].v, in[1].v, pressure);
	if (!isnan(rh))
		return rh;
	if (in[1].v > in[0].v)
		tool_fail("a wet bulb of %g C cannot be above the dry bulb's %g C", in[1].v, in[0].v);
	if (in[1].v < 0)
		tool_fail("a wick below 0 C is frozen, and the wet bulb says nothing; use a hygrometer");
	tool_fail("no air of %g C has a wet bulb of %g C: is the wick dry, or one of the two misread?", in[0].v, in[1].v);
}

static void wet_note(struct table *t, const struct input *coefficient)
{
	note(t, coefficient->given
		? "By the psychrometer's equation with that coefficient (0.000662 in a draught of 3 m/s or more)."
		: "By the thermodynamic wet bulb: a clean wet wick in a good draught comes near it.");
}

static void emc_of_wet(struct table *t, const struct input *in)
{
	double rh = rh_by_wet(in);

	add_emc(t, in[0].v, rh);
	row(t, "rh", rh, "%", 1);
	emc_notes(t, in[0].v, rh);
	wet_note(t, &in[3]);
}

static void rh_of_wet(struct table *t, const struct input *in)
{
	row(t, "rh", rh_by_wet(in), "%", 1);
	wet_note(t, &in[3]);
}

static void rh_of_emc(struct table *t, const struct input *in)
{
	double rh = rh_for_emc_pct(in[0].v, in[1].v);

	if (isnan(emc_pct(in[0].v, 100)))
		add_emc(t, in[0].v, 100);
	if (isnan(rh))
		tool_fail("no air of %g C keeps wood at %g %%: at 100 %% humidity it settles at %.1f %%",
			in[0].v, in[1].v, emc_pct(in[0].v, 100));
	row(t, "rh", rh, "%", 1);
	emc_notes(t, in[0].v, rh);
}

static void add_dew_point(struct table *t, double temp_c, double rh_pct)
{
	double dew = dew_point_c(temp_c, rh_pct);

	if (isnan(dew))
		tool_fail("air without any water has no dew point");
	row(t, "dew_point", dew, "C", 2);
	if (dew_point_extrapolates(temp_c))
		caution(t, "the constants of the dew point are stated for -45 to 60 C: this is extrapolated");
}

static void dew_of_rh(struct table *t, const struct input *in)
{
	add_dew_point(t, in[0].v, in[1].v);
}

static void dew_of_wet(struct table *t, const struct input *in)
{
	double rh = rh_by_wet(in);

	add_dew_point(t, in[0].v, rh);
	row(t, "rh", rh, "%", 1);
	wet_note(t, &in[3]);
}

/* `in` holds temp, rh, altitude, coefficient. */
static void wet_of_rh(struct table *t, const struct input *in)
{
	double pressure = pressure_at_pa(in_metres(in[2])), wet;

	must_hold_a_wet_bulb(&in[0], pressure, &in[3]);
	if (in[3].given)
		wet = psychrometer_wet_c(in[0].v, in[1].v, pressure, in[3].v);
	else
		wet = wet_bulb_c(in[0].v, in[1].v, pressure);
	if (isnan(wet))
		tool_fail("the wet bulb would be below 0 C, where a wick freezes; use a hygrometer");
	row(t, "wet_bulb", wet, "C", 2);
	row(t, "depression", in[0].v - wet, "C", 2);
	wet_note(t, &in[3]);
}

/* ---- masses */

static void mc_of_masses(struct table *t, const struct input *in)
{
	double mc = mc_of_masses_pct(in[0].v, in[1].v);

	if (!(in[1].v > 0))
		tool_fail("dry=%.*s: without an oven-dry mass there is no moisture content", (int)in[1].text.n, in[1].text.p);
	if (isnan(mc))
		tool_fail("wet=%.*s is lighter than dry=%.*s: are they changed over?",
			(int)in[0].text.n, in[0].text.p, (int)in[1].text.n, in[1].text.p);
	row(t, "mc", mc, "%", 1);
	note(t, "Oven-dry: at 103 \u00b1 2 \u00b0C until the mass changes by no more than 0.1 % in 2 hours (EN 13183-1).");
}

static void mc_of_wet_basis(struct table *t, const struct input *in)
{
	double mc = mc_of_wet_basis_pct(in[0].v);

	if (isnan(mc))
		tool_fail("wetbasis=%.*s: the water is less than the whole", (int)in[0].text.n, in[0].text.p);
	row(t, "mc", mc, "%", 1);
}

static void wet_basis_of_mc(struct table *t, const struct input *in)
{
	row(t, "wet_basis", wet_basis_of_mc_pct(in[0].v), "%", 1);
}

static void mass_row(struct table *t, const char *quantity, double mass_g, int unit)
{
	row_in(t, slice_of(quantity), in_unit(mass_g, unit), vocab_unit(unit)->name, unit == UNIT_MASS_G ? 1 : 3);
}

static void must_weigh(const struct input *in)
{
	if (!(in->v > 0))
		tool_fail("mass=%.*s: a piece weighs more than nothing", (int)in->text.n, in->text.p);
}

static void oven_dry_of_mc(struct table *t, const struct input *in)
{
	double dry = mass_oven_dry_g(in[0].v, in[1].v);

	must_weigh(&in[0]);
	mass_row(t, "oven_dry_mass", dry, in[0].unit);
	mass_row(t, "water", in[0].v - dry, in[0].unit);
}

static void mass_at_mc(struct table *t, const struct input *in)
{
	double mass = mass_at_mc_g(in[0].v, in[1].v, in[2].v);

	must_weigh(&in[0]);
	mass_row(t, "mass", mass, in[0].unit);
	mass_row(t, "change", mass - in[0].v, in[0].unit);
}

/* ---- meters */

static void trust_note(struct table *t, const struct meter_rule *rule, double reading_pct)
{
	struct buf text = BUF_INIT;

	note(t, "Published rules differ from 0.9 to 1.6 points per 10 C; a single reading is good to about 2 points.");
	if (!reading_is_doubtful(rule, reading_pct))
		return;
	buf_printf(&text, "a meter is not to be trusted at %g %%: it serves from %g to %g %%",
		reading_pct, rule->trust_low_pct, rule->trust_high_pct);
	caution(t, buf_cstr(&text));
	buf_release(&text);
}

/* The corrected reading, and below it the rule that made it. */
static void add_corrected(struct table *t, const struct meter_rule *rule, double reading_pct, double wood_c)
{
	double mc = reading_corrected_pct(rule, reading_pct, wood_c);

	if (mc < 0)
		tool_fail("that rule makes %.1f %% of the reading: less water than none", mc);
	row(t, "mc", mc, "%", 1);
	row(t, "reading", reading_pct, "%", 1);
	row(t, "wood", wood_c, "C", 1);
	row(t, "reference", rule->reference_c, "C", 1);
	row(t, "per10C", rule->per10_pct, "%", 1);
	row(t, "a", rule->line_a, "%", 2);
	row(t, "b", rule->line_b, "", 3);
	trust_note(t, rule, reading_pct);
}

/* `in` holds reading, wood, reference, per10C, a, b. */
static void correct_by_rule(struct table *t, const struct input *in)
{
	struct meter_rule rule = meter_rule_none();

	rule.reference_c = in[2].v;
	rule.per10_pct = in[3].v;
	if (in[4].given)
		rule.line_a = in[4].v;
	if (in[5].given)
		rule.line_b = in[5].v;
	add_corrected(t, &rule, in[0].v, in[1].v);
}

/* The meter `id` in the house file, on the day; none of the words is a book to be read. */
static struct meter_use must_have_meter(struct book *book, struct slice id)
{
	struct meter_use use;
	struct slice near;
	enum meter_fault fault;
	int n = (int)id.n;

	tool.n_operands = 0;
	book_start(book, BOOK_HOUSE);
	fault = meter_use_on(book->house, id, book_today(book), &use);
	near = house_near(book->house, HOUSE_METER, slice_upto(id, slice_find(id, '/')));
	if (fault == METER_UNKNOWN)
		tool_fail("%s has no meter '%.*s'%s%.*s%s", book->house_path, n, id.p,
			near.n ? "; did you mean " : "", (int)near.n, near.p, near.n ? "?" : "");
	if (fault == METER_NO_SETTING)
		tool_fail("%s has no such setting of a meter: '%.*s'", book->house_path, n, id.p);
	if (fault == METER_NOT_OF_WOOD)
		tool_fail("'%.*s' does not read the moisture of wood", n, id.p);
	if (!use.by_temperature && !use.line)
		tool_fail("%s gives no rule for '%.*s': it needs reference and per10C, or a line of its own",
			book->house_path, n, id.p);
	return use;
}

static void rule_notes(struct table *t, const struct meter_use *use, double reading_pct)
{
	struct buf text = BUF_INIT;

	buf_str(&text, "By the house's rule: ");
	meter_use_write(&text, use);
	if (use->meter->rule.n)
		buf_printf(&text, " (%.*s)", (int)use->meter->rule.n, use->meter->rule.p);
	buf_char(&text, '.');
	table_note(t, buf_slice(&text));
	buf_release(&text);
	if (use->line && house_range_given(use->line->span) && !house_range_holds(use->line->span, fixed_of(reading_pct, 10000)))
		caution(t, "the meter's own line was not fitted to readings as far out as this");
}

/* `in` holds reading, wood, meter. */
static void correct_by_meter(struct table *t, const struct input *in)
{
	struct book book;
	struct meter_use use = must_have_meter(&book, in[2].text);

	if (!use.by_temperature)
		use.rule.reference_c = in[1].v;
	add_corrected(t, &use.rule, in[0].v, in[1].v);
	rule_notes(t, &use, in[0].v);
}

/* ---- units */

/* The type of which `name` is a unit, and that unit; -1 when there is none. */
static int type_of_unit(struct slice name, int *unit)
{
	for (int type = 0; type < TYPES_END; type++)
		for (int i = 0; i < vocab_type(type)->nunits; i++) {
			*unit = vocab_type(type)->first_unit + i;
			if (slice_eq(vocab_unit(*unit)->name, name))
				return type;
		}
	return -1;
}

/* A unit's worth in the base unit. */
static long double worth(const struct unit_def *u)
{
	return (long double)u->times / ((long double)u->over * powl(10, u->times_places));
}

/*
 * The value of `text`, which value_read() found good in that unit, in the base unit and to the
 * last digit: a book keeps an ounce to the microgram, a conversion all of its 28.349523125 g.
 */
static long double exact_value(struct slice text, const struct unit_def *u)
{
	char *end;
	long double sum = (strtold(text.p, &end) + (long double)u->plus) * worth(u);

	end += u->name.n;
	return *end ? sum + strtold(end, NULL) * worth(vocab_unit(u->then)) : sum;
}

/* What weights and lengths look like on an old scale: 2lb9.5oz, to a hundredth of the smaller. */
static void compound_note(struct table *t, long double base, const struct unit_def *u)
{
	const struct unit_def *then = vocab_unit(u->then);
	long long each = llroundl(worth(u) / worth(then)) * 100;
	long long all = llroundl(base / worth(then) * 100);
	struct buf text = BUF_INIT;

	if (all < each)
		return;
	buf_printf(&text, "That is %lld%.*s", all / each, (int)u->name.n, u->name.p);
	value_write_fix(&text, all % each, 2);
	buf_add(&text, then->name);
	table_note(t, buf_slice(&text));
	buf_release(&text);
}

/* As many places as it has, within reason: for reading. */
static unsigned places_of(double v)
{
	unsigned most = v != 0 && fabs(v) < 1 ? (unsigned)(3 - floor(log10(fabs(v)))) : 4, places = 0;

	while (places < most && fabs(v * pow(10, places) - round(v * pow(10, places))) > 1e-9)
		places++;
	return places;
}

static void convert(struct table *t, const struct input *in)
{
	int unit, type = type_of_unit(in[1].text, &unit);
	const struct unit_def *to = vocab_unit(unit);
	struct value v;
	long double base;
	double answer;

	if (!read_value(SLICE("value"), type, in[0].text, &v))
		tool_give_up();
	base = exact_value(in[0].text, vocab_unit(v.unit));
	answer = (double)(base / worth(to) - (long double)to->plus);
	row_in(t, vocab_type(type)->name, answer, to->name, places_of(answer));
	if (to->then >= 0)
		compound_note(t, base, to);
}

/* ---- what can be reckoned */

#define TEMP { "temp", TYPE_TEMPERATURE, "20C", "temperature of the air", false }
#define RH { "rh", TYPE_HUMIDITY, "55%", "relative humidity of the air", false }
#define WET { "wetbulb", TYPE_TEMPERATURE, "15C", "temperature that a wet bulb shows", false }
#define ALTITUDE { "altitude", TYPE_LENGTH, "300m", "height above the sea, for the air's pressure", true }
#define COEFFICIENT { "coefficient", IS_FACTOR, "0.000662", "of a psychrometer in 1/K, by whose equation it is then reckoned", true }
#define MC { "mc", TYPE_MOISTURE, "10%", "moisture of the wood, of its oven-dry mass", false }
#define MASS { "mass", TYPE_MASS, "1800g", "mass of the piece at that moisture", false }

static const struct way ways[] = {
	{ "emc", "the moisture that wood settles at in air", { TEMP, RH }, emc_of_rh },
	{ "emc", "the same from a wet bulb", { TEMP, WET, ALTITUDE, COEFFICIENT }, emc_of_wet },
	{ "rh", "the humidity in which wood settles at a moisture",
		{ TEMP, { "emc", TYPE_MOISTURE, "9%", "moisture that the wood is to settle at", false } }, rh_of_emc },
	{ "rh", "humidity from a dry and a wet bulb", { TEMP, WET, ALTITUDE, COEFFICIENT }, rh_of_wet },
	{ "dewpoint", "the temperature below which this air wets what it touches", { TEMP, RH }, dew_of_rh },
	{ "dewpoint", "the same from a wet bulb", { TEMP, WET, ALTITUDE, COEFFICIENT }, dew_of_wet },
	{ "wetbulb", "what a wet bulb shows in this air", { TEMP, RH, ALTITUDE, COEFFICIENT }, wet_of_rh },
	{ "mc", "moisture content from the mass before and after the oven",
		{ { "wet", TYPE_MASS, "182.4g", "mass before the oven", false },
		  { "dry", TYPE_MASS, "80.0g", "mass when oven-dry", false } }, mc_of_masses },
	{ "mc", "moisture content from water in per cent of the whole",
		{ { "wetbasis", TYPE_HUMIDITY, "20%", "water in per cent of the whole mass", false } }, mc_of_wet_basis },
	{ "wetbasis", "water in per cent of the whole mass", { MC }, wet_basis_of_mc },
	{ "ovendry", "oven-dry mass of a piece, and the water in it", { MASS, MC }, oven_dry_of_mc },
	{ "mass", "what a piece weighs at another moisture",
		{ MASS, MC, { "to", TYPE_MOISTURE, "9%", "the other moisture", false } }, mass_at_mc },
	{ "correct", "what a resistance meter's reading means in warm or cold wood",
		{ { "reading", TYPE_MOISTURE, "12%", "what the meter shows", false },
		  { "wood", TYPE_TEMPERATURE, "28C", "temperature of the wood", false },
		  { "reference", TYPE_TEMPERATURE, "20C", "wood temperature at which the meter reads true", false },
		  { "per10C", IS_POINTS, "0.9%", "points that it reads high for each 10 C above that", false },
		  { "a", IS_POINTS, "0.4%", "of its own line, true = a + b x reading: points", true },
		  { "b", IS_FACTOR, "0.95", "of its own line: points a point read", true } }, correct_by_rule },
	{ "correct", "the same by the house file's rule for a meter",
		{ { "reading", TYPE_MOISTURE, "12%", "what the meter shows", false },
		  { "wood", TYPE_TEMPERATURE, "28C", "temperature of the wood", false },
		  { "meter", IS_ANY, "pin2", "the meter and its setting, as in the book", false } }, correct_by_meter },
	{ "convert", "a value in another unit",
		{ { "value", IS_ANY, "2lb9.5oz", "the value; value= can be left out", false },
		  { "to", IS_UNIT, "g", "the unit wanted", false } }, convert },
	{ 0 }
};

/* The first way of a quantity, or NULL; the others follow it. */
static const struct way *first_way(struct slice quantity)
{
	for (const struct way *w = ways; w->quantity; w++)
		if (slice_eq(slice_of(w->quantity), quantity))
			return w;
	return NULL;
}

/* The next way of the same quantity, or NULL. */
static const struct way *next_way(const struct way *w)
{
	return w[1].quantity && strcmp(w->quantity, w[1].quantity) == 0 ? w + 1 : NULL;
}

/* Where in the way's words this one stands, or -1. */
static int arg_at(const struct way *w, struct slice name)
{
	for (int i = 0; i < ARGS_MOST && w->arg[i].name; i++)
		if (slice_eq(slice_of(w->arg[i].name), name))
			return i;
	return -1;
}

static bool any_way_takes(const struct way *w, struct slice name)
{
	for (; w; w = next_way(w))
		if (arg_at(w, name) >= 0)
			return true;
	return false;
}

/* ---- the words written */

struct word {
	struct slice name, text;
};

struct words {
	struct word at[WORDS_MOST];
	size_t n;
};

static const struct word *word_named(const struct words *words, const char *name)
{
	for (size_t i = 0; i < words->n; i++)
		if (slice_eq(words->at[i].name, slice_of(name)))
			return &words->at[i];
	return NULL;
}

/* NAME=VALUE; a word without = is the value itself, where the quantity has one. */
static struct word word_split(const struct way *w, const char *operand)
{
	struct slice all = slice_of(operand);
	size_t at = slice_find(all, '=');

	if (at < all.n)
		return (struct word){ slice_upto(all, at), slice_from(all, at + 1) };
	if (!any_way_takes(w, SLICE("value")))
		tool_misused("'%s' has no name; write %s=%s or the like", operand, w->arg[0].name, w->arg[0].sample);
	return (struct word){ SLICE("value"), all };
}

static const char *near_arg(const struct way *w, struct slice name)
{
	const char *names[ARGS_MOST * 8 + 1];
	size_t n = 0;

	for (; w; w = next_way(w))
		for (int i = 0; i < ARGS_MOST && w->arg[i].name && n < ARGS_MOST * 8; i++)
			names[n++] = w->arg[i].name;
	names[n] = NULL;
	return opt_nearest(name, names);
}

/* Whether the quantity knows this word, and sees it for the first time. */
static bool word_good(const struct way *w, const struct words *before, const struct word *word)
{
	const char *near = near_arg(w, word->name);
	int n = (int)word->name.n;

	if (!any_way_takes(w, word->name)) {
		tool_warn("'%.*s' is no word of %s%s%s%s", n, word->name.p, w->quantity,
			near ? "; did you mean " : "", near ? near : "", near ? "?" : "");
		return false;
	}
	for (size_t i = 0; i < before->n; i++)
		if (slice_eq(before->at[i].name, word->name)) {
			tool_warn("%.*s is given twice", n, word->name.p);
			return false;
		}
	return true;
}

static void take_words(const struct way *w, char **operands, size_t n, struct words *words)
{
	bool good = true;

	if (n > WORDS_MOST)
		tool_misused("more than %d words", WORDS_MOST);
	for (size_t i = 0; i < n; i++) {
		struct word word = word_split(w, operands[i]);

		good = word_good(w, words, &word) && good;
		words->at[words->n++] = word;
	}
	if (!good)
		tool_give_up();
}

/* ---- choosing the way */

static bool way_takes_all(const struct way *w, const struct words *words)
{
	for (size_t i = 0; i < words->n; i++)
		if (arg_at(w, words->at[i].name) < 0)
			return false;
	return true;
}

/* Adds what the way still lacks, "temp and rh, as in temp=20C rh=55%", to `out`; how many. */
static size_t add_lacking(const struct way *w, const struct words *words, struct buf *out)
{
	struct buf names = BUF_INIT, samples = BUF_INIT;
	size_t n = 0;

	for (int i = 0; i < ARGS_MOST && w->arg[i].name; i++) {
		if (w->arg[i].may || word_named(words, w->arg[i].name))
			continue;
		buf_printf(&names, "%s%s", n ? " and " : "", w->arg[i].name);
		buf_printf(&samples, " %s=%s", w->arg[i].name, w->arg[i].sample);
		n++;
	}
	if (n)
		buf_printf(out, "%s%s, as in%s", out->n ? "; or " : "", buf_cstr(&names), buf_cstr(&samples));
	buf_release(&names);
	buf_release(&samples);
	return n;
}

static _Noreturn void no_way(const struct way *w)
{
	tool_misused("these words do not go together; the ways to reckon %s are in its help", w->quantity);
}

/* The way that takes all the words and lacks none; else the end, with all that is lacking told. */
static const struct way *way_for(const struct way *w, const struct words *words)
{
	struct buf lacking = BUF_INIT;
	const struct way *first = w;

	for (; w; w = next_way(w)) {
		if (!way_takes_all(w, words))
			continue;
		if (add_lacking(w, words, &lacking) == 0) {
			buf_release(&lacking);
			return w;
		}
	}
	if (!lacking.n)
		no_way(first);
	tool_misused("lacking: %s", buf_cstr(&lacking));
}

/* ---- reading the values */

/* A bare decimal, with % behind it where that is allowed. */
static bool read_bare(struct slice text, bool percent, double *v)
{
	struct slice left = text;
	size_t whole, part = 0;

	if (percent && left.n && left.p[left.n - 1] == '%')
		left.n--;
	if (left.n && left.p[0] == '-')
		left = slice_from(left, 1);
	whole = strspn(left.p, "0123456789");
	if (left.n > whole + 1 && left.p[whole] == '.')
		part = 1 + strspn(left.p + whole + 1, "0123456789");
	*v = strtod(text.p, NULL);
	return whole > 0 && part != 1 && whole + part == left.n && left.n <= 16;
}

static bool read_factor(const struct arg *arg, struct slice text, double *v)
{
	if (read_bare(text, arg->type == IS_POINTS, v))
		return true;
	tool_warn("'%.*s' is no number for %s; write it as in %s=%s", (int)text.n, text.p, arg->name, arg->name, arg->sample);
	return false;
}

static bool read_unit(const struct arg *arg, struct slice text)
{
	struct buf units = BUF_INIT;
	int unit;

	if (type_of_unit(text, &unit) >= 0)
		return true;
	for (int i = 0; i < UNITS_END; i++)
		if (type_of_unit(vocab_unit(i)->name, &unit) >= 0 && unit == i)
			buf_printf(&units, "%s%s", i ? ", " : "", vocab_unit(i)->name.p);
	tool_warn("%s=%.*s is no unit; write one of %s", arg->name, (int)text.n, text.p, buf_cstr(&units));
	buf_release(&units);
	return false;
}

static bool read_input(const struct arg *arg, struct slice text, struct input *in)
{
	struct value v;

	*in = (struct input){ .given = true, .text = text };
	switch (arg->type) {
	case IS_ANY:
		return true;
	case IS_UNIT:
		return read_unit(arg, text);
	case IS_FACTOR:
	case IS_POINTS:
		return read_factor(arg, text, &in->v);
	default:
		if (!read_value(slice_of(arg->name), arg->type, text, &v))
			return false;
		in->v = value_number(arg->type, v.fix);
		in->unit = v.unit;
		return true;
	}
}

static void read_inputs(const struct way *w, const struct words *words, struct input *in)
{
	bool good = true;

	for (int i = 0; i < ARGS_MOST && w->arg[i].name; i++) {
		const struct word *word = word_named(words, w->arg[i].name);

		if (word)
			good = read_input(&w->arg[i], word->text, &in[i]) && good;
	}
	if (!good)
		tool_give_up();
}

static void reckon(const struct way *w, char **operands, size_t n)
{
	static const struct table_column columns[] = {
		{ "quantity", TABLE_TEXT, 0 }, { "value", TABLE_REAL, TABLE_EXACT }, { "unit", TABLE_TEXT, 0 },
	};
	struct input in[ARGS_MOST] = { 0 };
	struct words words = { .n = 0 };
	struct table t;

	take_words(w, operands, n, &words);
	w = way_for(w, &words);
	read_inputs(w, &words, in);
	table_init(&t, columns, 3);
	w->reckon(&t, in);
	tool_print_table(&t);
	table_release(&t);
}

/* ---- help and the list, from the same rows */

static void add_usage(const struct way *w, struct buf *out)
{
	for (int i = 0; i < ARGS_MOST && w->arg[i].name; i++) {
		const struct arg *arg = &w->arg[i];

		buf_printf(out, arg->may ? "%s[%s=%s]" : "%s%s=%s", i ? " " : "", arg->name, arg->sample);
	}
}

static void add_quantities(struct buf *out)
{
	for (const struct way *w = ways; w->quantity; w++)
		if (w == first_way(slice_of(w->quantity)))
			buf_printf(out, "\n  %-10s %s", w->quantity, w->says);
}

static void add_arg(const struct arg *arg, struct buf *out)
{
	buf_printf(out, "\n  %-12s %s", arg->name, arg->help);
	if (arg->type < TYPES_END && vocab_type(arg->type)->nunits > 1) {
		buf_str(out, " (");
		value_units(out, arg->type);
		buf_char(out, ')');
	}
}

static void add_args(const struct way *w, struct buf *out)
{
	const struct way *first = w;

	for (; w; w = next_way(w))
		for (int i = 0; i < ARGS_MOST && w->arg[i].name; i++) {
			const struct arg *arg = &w->arg[i];
			const struct way *before = first;

			while (before < w && arg_at(before, slice_of(arg->name)) < 0)
				before++;
			if (before == w)
				add_arg(arg, out);
		}
}

static struct buf page_name, page_purpose, page_usage, page_example;

static struct opt_page page_of_quantity(const struct way *w)
{
	buf_printf(&page_name, "wy-reckon %s", w->quantity);
	buf_printf(&page_purpose, "%s\n\nwords:", w->says);
	add_args(w, &page_purpose);
	buf_printf(&page_example, "wy-reckon %s ", w->quantity);
	for (int i = 0; i < ARGS_MOST && w->arg[i].name && !w->arg[i].may; i++)
		buf_printf(&page_example, "%s%s=%s", i ? " " : "", w->arg[i].name, w->arg[i].sample);
	for (; w; w = next_way(w)) {
		if (page_usage.n)
			buf_char(&page_usage, '\n');
		add_usage(w, &page_usage);
	}
	return (struct opt_page){ buf_cstr(&page_name), buf_cstr(&page_purpose), buf_cstr(&page_usage),
		options, "0  done\n2  wrong use, or a question without an answer", buf_cstr(&page_example) };
}

static struct opt_page page_of_all(void)
{
	buf_str(&page_purpose, "the bench calculator: air, moisture, masses, meters, units\n\nquantities:");
	add_quantities(&page_purpose);
	return (struct opt_page){ "wy-reckon", buf_cstr(&page_purpose),
		"QUANTITY NAME=VALUE... [options]\nQUANTITY --help\n--list",
		options, "0  done\n2  wrong use, or a question without an answer",
		"wy-reckon emc temp=20C rh=55%\nwhat wood settles at in a room of 20 C and 55 % humidity" };
}

/* The quantity that the command line names, wherever it stands among the options, or NULL. */
static const struct way *way_in(int argc, char **argv)
{
	const struct way *w = NULL;

	for (int i = 1; i < argc && !w; i++)
		w = first_way(slice_of(argv[i]));
	return w;
}

static void print_list(void)
{
	static const struct table_column columns[] = {
		{ "quantity", TABLE_TEXT, 0 }, { "words", TABLE_TEXT, 0 }, { "says", TABLE_TEXT, 0 },
	};
	struct buf usage = BUF_INIT;
	struct table t;

	table_init(&t, columns, 3);
	for (const struct way *w = ways; w->quantity; w++) {
		usage.n = 0;
		add_usage(w, &usage);
		table_cstr(&t, w->quantity);
		table_text(&t, buf_slice(&usage));
		table_cstr(&t, w->says);
	}
	tool_print_table(&t);
	table_release(&t);
	buf_release(&usage);
}

static _Noreturn void no_quantity(const char *word)
{
	const char *names[sizeof ways / sizeof *ways], *near;
	size_t n = 0;

	for (const struct way *w = ways; w->quantity; w++)
		names[n++] = w->quantity;
	names[n] = NULL;
	if (!word)
		tool_misused("say what to reckon; --list tells what there is");
	if (strchr(word, '='))
		tool_misused("say first what to reckon, then %s", word);
	near = opt_nearest(slice_of(word), names);
	tool_misused("'%s' is nothing that can be reckoned%s%s%s", word,
		near ? "; did you mean " : "", near ? near : "", near ? "?" : "");
}

int main(int argc, char **argv)
{
	const struct way *w = way_in(argc, argv);
	struct opt_page page = w ? page_of_quantity(w) : page_of_all();

	tool_start(&page, argc, argv);
	if (list_asked) {
		print_list();
		return tool_finish(TOOL_DONE);
	}
	w = tool.n_operands ? first_way(slice_of(tool.operands[0])) : NULL;
	if (!w)
		no_quantity(tool.operands[0]);
	reckon(w, tool.operands + 1, tool.n_operands - 1);
	return tool_finish(TOOL_DONE);
}
