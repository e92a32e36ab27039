#include <math.h>

#include "table/number_text.h"
#include "wood/moisture.h"
#include "wood/reckon_internal.h"

/* Fibre saturation point: above it wood does not move, and drying is not first-order (Wood Handbook, ch. 4 and 13). */
static const double FIBRE_SATURATION_PCT = 30;

/* ---- masses */

RECKON_FUNCTION(reckon_mc_of_masses)
{
	double mc = mc_of_masses_pct(in[0].v, in[1].v);

	(void)house;
	if (!(in[1].v > 0))
		return reckoned_refuse(r, "dry=%s must be above 0: it is the oven-dry mass", in[1].text.p);
	if (isnan(mc))
		return reckoned_refuse(r, "wet=%s is lighter than dry=%s: are they swapped?", in[0].text.p, in[1].text.p);
	reckoned_finding(r, "The moisture content was %.1f %% of the oven-dry mass.", mc);
	reckoned_note(r, "Oven-dry: at 103 \u00b1 2 \u00b0C until the mass changes by no more than 0.1 %% in 2 hours (EN 13183-1).");
	return reckoned_give(r, mc);
}

RECKON_FUNCTION(reckon_mc_of_wet_basis)
{
	double mc = mc_of_wet_basis_pct(in[0].v);

	(void)house;
	if (isnan(mc))
		return reckoned_refuse(r, "wetbasis=%s must be below 100%%", in[0].text.p);
	reckoned_finding(r, "That is a moisture content of %.1f %% of the oven-dry mass.", mc);
	return reckoned_give(r, mc);
}

RECKON_FUNCTION(reckon_wet_basis_of_mc)
{
	(void)house;
	reckoned_finding(r, "Water is %.1f %% of the whole mass.", wet_basis_of_mc_pct(in[0].v));
	return reckoned_give(r, wet_basis_of_mc_pct(in[0].v));
}

static bool weighs(struct reckoned *r, const struct reckon_input *in)
{
	return in->v > 0 ? true : reckoned_refuse(r, "mass=%s must be above 0", in->text.p);
}

static void write_row(struct buf *out, const struct reckoned_row *row)
{
	buf_real_shown(out, fabs(row->value), row->places);
	buf_char(out, ' ');
	buf_add(out, row->unit);
}

/* A finding with two rows of the answer, in their own unit and without a sign. Always true. */
static bool add_finding(struct reckoned *r, const char *before, size_t first, const char *between, size_t second, const char *after)
{
	struct buf text = BUF_INIT;

	buf_str(&text, before);
	write_row(&text, &r->row[first]);
	buf_str(&text, between);
	write_row(&text, &r->row[second]);
	buf_str(&text, after);
	reckoned_finding(r, "%s", buf_cstr(&text));
	buf_release(&text);
	return true;
}

RECKON_FUNCTION(reckon_oven_dry_of_mc)
{
	double dry = mass_oven_dry_g(in[0].v, in[1].v);

	(void)house;
	if (!weighs(r, &in[0]))
		return false;
	reckoned_give(r, dry);
	reckoned_give(r, in[0].v - dry);
	return add_finding(r, "The piece holds ", 1, " of water and weighs ", 0, " oven-dry.");
}

RECKON_FUNCTION(reckon_mass_at_mc)
{
	double mass = mass_at_mc_g(in[0].v, in[1].v, in[2].v);

	(void)house;
	if (!weighs(r, &in[0]))
		return false;
	reckoned_give(r, mass);
	reckoned_give(r, mass - in[0].v);
	return add_finding(r, "The piece then weighs ", 0, mass < in[0].v ? ", less by " : ", more by ", 1, ".");
}

/* ---- meters */

static void trust_notes(struct reckoned *r, const struct meter_rule *rule, double reading_pct)
{
	reckoned_note(r, "Published rules differ from 0.9 to 1.6 points per 10 C; a single reading is good to about 2 points.");
	if (reading_is_doubtful(rule, reading_pct))
		reckoned_caution(r, "a reading of %g %% is outside the trusted range of %g to %g %%",
			reading_pct, rule->trust_low_pct, rule->trust_high_pct);
}

/* The corrected reading, and below it the rule that made it. */
static bool give_corrected(struct reckoned *r, const struct meter_rule *rule, double reading_pct, double wood_c)
{
	double mc = reading_corrected_pct(rule, reading_pct, wood_c);

	if (mc < 0)
		return reckoned_refuse(r, "the rule gives %.1f %%, which is below 0; check the reading and the rule", mc);
	reckoned_finding(r, "The wood is at %.1f %% after correction.", mc);
	reckoned_give(r, mc);
	reckoned_give(r, reading_pct);
	reckoned_give(r, wood_c);
	reckoned_give(r, rule->reference_c);
	reckoned_give(r, rule->per10_pct);
	reckoned_give(r, rule->line_a);
	reckoned_give(r, rule->line_b);
	trust_notes(r, rule, reading_pct);
	return true;
}

/* `in` holds reading, wood, reference, per10C, a, b. */
RECKON_FUNCTION(reckon_correct_by_rule)
{
	struct meter_rule rule = meter_rule_none();

	(void)house;
	rule.reference_c = in[2].v;
	rule.per10_pct = in[3].v;
	if (in[4].given)
		rule.line_a = in[4].v;
	if (in[5].given)
		rule.line_b = in[5].v;
	return give_corrected(r, &rule, in[0].v, in[1].v);
}

static bool no_meter(struct reckoned *r, const struct reckon_house *house, struct slice id)
{
	struct slice near = house_near(house->house, HOUSE_METER, slice_upto(id, slice_find(id, '/')));

	return reckoned_refuse(r, "%s has no meter '%s'%s%.*s%s", house->path, id.p,
		near.n ? "; perhaps " : "", (int)near.n, near.p ? near.p : "", near.n ? "?" : "");
}

/* The meter `id` of the house file, on the day. */
static bool meter_of_house(struct reckoned *r, const struct reckon_house *house, struct slice id, struct meter_use *use)
{
	enum meter_fault fault = meter_use_on(house->house, id, house->day, use);

	if (fault == METER_UNKNOWN)
		return no_meter(r, house, id);
	if (fault == METER_NO_SETTING)
		return reckoned_refuse(r, "%s has no meter setting '%s'", house->path, id.p);
	if (fault == METER_NOT_OF_WOOD)
		return reckoned_refuse(r, "'%s' does not read the moisture of wood", id.p);
	if (!use->by_temperature && !use->line)
		return reckoned_refuse(r, "%s has no rule for '%s': it needs reference and per10C, or a line of its own", house->path, id.p);
	return true;
}

static void rule_notes(struct reckoned *r, const struct meter_use *use, double reading_pct)
{
	struct buf text = BUF_INIT;

	meter_use_write(&text, use);
	if (use->meter->rule.n)
		buf_printf(&text, " (%.*s)", (int)use->meter->rule.n, use->meter->rule.p);
	reckoned_note(r, "Rule of the house file: %s.", buf_cstr(&text));
	buf_release(&text);
	if (use->line && house_range_given(use->line->span) && !house_range_holds(use->line->span, fixed_of(reading_pct, VALUE_STEPS)))
		reckoned_caution(r, "the reading is outside the span of the meter's own line");
}

/* `in` holds reading, wood, meter. */
RECKON_FUNCTION(reckon_correct_by_meter)
{
	struct meter_use use;

	if (!meter_of_house(r, house, in[2].text, &use))
		return false;
	if (!use.by_temperature)
		use.rule.reference_c = in[1].v;
	if (!give_corrected(r, &use.rule, in[0].v, in[1].v))
		return false;
	rule_notes(r, &use, in[0].v);
	return true;
}

/* ---- movement */

static bool moves_at(struct reckoned *r, const char *name, const struct reckon_input *mc)
{
	if (!mc->given || mc->v <= FIBRE_SATURATION_PCT)
		return true;
	return reckoned_refuse(r, "%s=%s: above the fibre saturation point, about 30 %%, wood does not move; write %s=30%%",
		name, mc->text.p, name);
}

static void movement_caution(struct reckoned *r, double from_pct, double to_pct)
{
	if (movement_extrapolates(from_pct, to_pct))
		reckoned_caution(r, "the movement is published for moistures of 6 to 14 %%: this is extrapolated");
}

/* `in` starts with size, from, to. */
static bool give_movement(struct reckoned *r, const struct reckon_input *in, double per_point)
{
	double moved = movement_mm(in[0].v, per_point, in[1].v, in[2].v);

	if (!(in[0].v > 0))
		return reckoned_refuse(r, "size=%s must be above 0", in[0].text.p);
	if (!(per_point > 0 && per_point < 0.1))
		return reckoned_refuse(r, "a coefficient of movement must be above 0 and below 0.1; write 0.0011 (radial) or 0.0031 (tangential), for example");
	if (!moves_at(r, "from", &in[1]) || !moves_at(r, "to", &in[2]))
		return false;
	reckoned_give(r, moved);
	reckoned_give(r, in[0].v + moved);
	add_finding(r, moved < 0 ? "The wood shrinks by " : "The wood swells by ", 0, ", to ", 1, ".");
	movement_caution(r, in[1].v, in[2].v);
	return reckoned_give(r, per_point);
}

RECKON_FUNCTION(reckon_movement)
{
	(void)house;
	return give_movement(r, in, in[3].v);
}

RECKON_FUNCTION(reckon_movement_of_shrinkage)
{
	(void)house;
	reckoned_note(r, "The total shrinkage is spread evenly from 30 %% to oven-dry.");
	return give_movement(r, in, movement_per_point(in[3].v));
}

/* The source of a figure of the house file. */
static void constant_note(struct reckoned *r, const struct house_wood *wood, const struct house_constant *c, const char *direction)
{
	reckoned_note(r, "%.*s, %s: %g a point, %s (%.*s).", (int)wood->id.n, wood->id.p, direction, c->value,
		c->by == HOUSE_CONSTANT_BY_OWN ? "measured by the works" : "from a handbook", (int)c->source.n, c->source.p ? c->source.p : "");
}

static bool no_wood(struct reckoned *r, const struct reckon_house *house, struct slice id)
{
	struct slice near = house_near(house->house, HOUSE_WOOD, id);

	return reckoned_refuse(r, "%s has no wood '%s'%s%.*s%s", house->path, id.p,
		near.n ? "; perhaps " : "", (int)near.n, near.p ? near.p : "", near.n ? "?" : "");
}

/* `in` holds size, from, to, wood, direction. */
RECKON_FUNCTION(reckon_movement_of_house)
{
	const struct house_wood *wood = house_wood(house->house, in[3].text);
	const struct house_constant *c = wood ? house_constant(wood, (int)in[4].v) : NULL;

	if (!wood)
		return no_wood(r, house, in[3].text);
	if (!c)
		return reckoned_refuse(r, "%s has no %s coefficient of '%s'; add it there with its source, or write coefficient= or shrinkage=",
			house->path, in[4].text.p, in[3].text.p);
	constant_note(r, wood, c, in[4].text.p);
	return give_movement(r, in, c->value);
}

/* ---- the splice */

enum { AT_WIDTH, AT_HANDLE, AT_HANDLE_TO, AT_BLADE, AT_BLADE_TO, AT_CANE, AT_WILLOW };

/* How far the handle and the blade move; a blade that stays needs no coefficient. */
struct splice {
	double cane, willow, handle_mm, blade_mm;
};

static bool splice_good(struct reckoned *r, const struct reckon_input *in, const struct splice *s)
{
	if (!(in[AT_WIDTH].v > 0))
		return reckoned_refuse(r, "width=%s must be above 0", in[AT_WIDTH].text.p);
	if (!(s->cane > 0 && s->cane < 0.1) || s->willow <= 0 || s->willow >= 0.1)
		return reckoned_refuse(r, "a coefficient of movement must be above 0 and below 0.1; write 0.0020, for example");
	return moves_at(r, "handle", &in[AT_HANDLE]) && moves_at(r, "handleto", &in[AT_HANDLE_TO]) &&
		moves_at(r, "blade", &in[AT_BLADE]) && moves_at(r, "bladeto", &in[AT_BLADE_TO]);
}

static bool blade_stays(const struct reckon_input *in)
{
	return !in[AT_BLADE_TO].given || in[AT_BLADE_TO].v == in[AT_BLADE].v;
}

/* One caution for all the moistures; a blade that stays does not move. */
static void splice_caution(struct reckoned *r, const struct reckon_input *in)
{
	double low = fmin(in[AT_HANDLE].v, in[AT_HANDLE_TO].v), high = fmax(in[AT_HANDLE].v, in[AT_HANDLE_TO].v);

	if (!blade_stays(in)) {
		low = fmin(low, fmin(in[AT_BLADE].v, in[AT_BLADE_TO].v));
		high = fmax(high, fmax(in[AT_BLADE].v, in[AT_BLADE_TO].v));
	}
	movement_caution(r, low, high);
}

static bool give_gap(struct reckoned *r, const struct reckon_input *in, struct splice *s)
{
	double width = in[AT_WIDTH].v;

	if (!splice_good(r, in, s))
		return false;
	s->handle_mm = movement_mm(width, s->cane, in[AT_HANDLE].v, in[AT_HANDLE_TO].v);
	s->blade_mm = blade_stays(in) ? 0 : movement_mm(width, s->willow, in[AT_BLADE].v, in[AT_BLADE_TO].v);
	reckoned_give(r, s->blade_mm - s->handle_mm);
	reckoned_give(r, s->handle_mm);
	reckoned_give(r, s->blade_mm);
	reckoned_give(r, s->cane);
	reckoned_give(r, s->willow);
	add_finding(r, s->blade_mm > s->handle_mm ? "The joint opens by " : "The handle presses on the joint by ", 0,
		s->handle_mm < 0 ? "; the handle shrinks by " : "; the handle swells by ", 1, ".");
	reckoned_note(r, "Above 0 the joint opens; below 0 the handle presses on it. The glue is ignored.");
	splice_caution(r, in);
	return true;
}

RECKON_FUNCTION(reckon_splice)
{
	struct splice s = { .cane = in[AT_CANE].v, .willow = in[AT_WILLOW].v };

	(void)house;
	return give_gap(r, in, &s);
}

static bool no_cane(struct reckoned *r)
{
	return reckoned_refuse(r, "no gap can be calculated without a coefficient of the cane: no reliable one is published, and canes "
		"differ; measure it: mark a line across the splice end of ten handles or more, keep them some weeks in a dry room and then in a "
		"damp one, measure and weigh each both times, and get their moisture by the oven; the coefficient is the change of width, divided by "
		"the width and by the change of moisture in points; write the mean as cane=, or in the house file under wood");
}

/* What the house knows of the wood of a form, radially: across a face whose grain runs straight. NAN: nothing. */
static double house_radial(struct reckoned *r, const struct reckon_house *house, struct slice form)
{
	const struct house_wood *wood = house->house ? house_wood_of_form(house->house, form) : NULL;
	const struct house_constant *c = wood ? house_constant(wood, HOUSE_CONSTANT_OF_RADIAL) : NULL;

	if (!c)
		return NAN;
	constant_note(r, wood, c, "radial");
	return c->value;
}

/* What the house file allows of a splice: how wide a gap, and how far apart handle and blade. */
static void allowed_cautions(struct reckoned *r, const struct reckon_house *house, double gap_mm)
{
	int64_t gap = house->house ? house->house->splice.most_gap : HOUSE_NONE;
	int64_t apart = house->house ? house->house->splice.most_apart : HOUSE_NONE;
	double points = fabs(r->in[AT_HANDLE].v - r->in[AT_BLADE].v);

	if (gap != HOUSE_NONE && gap_mm > (double)gap / VALUE_STEPS)
		reckoned_caution(r, "the gap is wider than the %g mm that the house file allows", (double)gap / VALUE_STEPS);
	if (apart != HOUSE_NONE && points > (double)apart / VALUE_STEPS)
		reckoned_caution(r, "handle and blade are %g points apart, more than the %g that the house file allows", points, (double)apart / VALUE_STEPS);
}

RECKON_FUNCTION(reckon_splice_of_house)
{
	struct splice s;

	s.cane = in[AT_CANE].given ? in[AT_CANE].v : house_radial(r, house, SLICE("handle"));
	s.willow = in[AT_WILLOW].given ? in[AT_WILLOW].v : house_radial(r, house, SLICE("blade"));
	if (isnan(s.cane))
		return no_cane(r);
	if (isnan(s.willow) && !blade_stays(in))
		return reckoned_refuse(r, "the blade moves too, but the radial coefficient of its wood is missing; write willow=0.00112 (black willow), for example");
	if (!give_gap(r, in, &s))
		return false;
	allowed_cautions(r, house, s.blade_mm - s.handle_mm);
	return true;
}

/* ---- drying */

/* The days from one moisture to another at the rate k, 1 over the time constant. */
static double days_between(double from_pct, double to_pct, double emc, double k)
{
	return log((from_pct - emc) / (to_pct - emc)) / k;
}

/* `in` starts with from, to, emc. */
static bool dries(struct reckoned *r, const struct reckon_input *in)
{
	if (in[0].v <= in[2].v)
		return reckoned_refuse(r, "from=%s is not above the air's EMC of %s: wood does not dry in that air", in[0].text.p, in[2].text.p);
	if (in[1].v <= in[2].v)
		return reckoned_refuse(r, "to=%s is never reached in air with an EMC of %s; use drier air", in[1].text.p, in[2].text.p);
	if (in[1].v > in[0].v)
		return reckoned_refuse(r, "to=%s is above from=%s; write a lower moisture", in[1].text.p, in[0].text.p);
	return true;
}

static void drying_notes(struct reckoned *r, double from_pct)
{
	reckoned_note(r, "First order: the rate is proportional to the distance to the EMC. In a kiln whose air changes it is an estimate; "
		"pieces differ, and the wettest counts.");
	if (from_pct > FIBRE_SATURATION_PCT)
		reckoned_caution(r, "above the fibre saturation point, about 30 %%, drying is not first-order; start from there");
}

RECKON_FUNCTION(reckon_drying)
{
	(void)house;
	if (!dries(r, in))
		return false;
	if (!(in[3].v > 0))
		return reckoned_refuse(r, "k=%s must be above 0", in[3].text.p);
	drying_notes(r, in[0].v);
	reckoned_finding(r, "Drying from %g to %g %% takes about %.1f days.", in[0].v, in[1].v, days_between(in[0].v, in[1].v, in[2].v, in[3].v));
	return reckoned_give(r, days_between(in[0].v, in[1].v, in[2].v, in[3].v));
}

enum { HOURS_A_DAY = 24 };

/* `in` holds from, to, emc, then, after. */
RECKON_FUNCTION(reckon_drying_of_readings)
{
	double then = in[3].v, after_d = in[4].v / HOURS_A_DAY, k, days;

	(void)house;
	if (!dries(r, in))
		return false;
	if (then >= in[0].v || then <= in[2].v)
		return reckoned_refuse(r, "then=%s does not lie between from=%s and emc=%s: they give no rate",
			in[3].text.p, in[0].text.p, in[2].text.p);
	if (!(after_d > 0))
		return reckoned_refuse(r, "after=%s must be above 0: the second reading comes later", in[4].text.p);
	k = days_between(in[0].v, then, in[2].v, 1) / after_d;
	days = days_between(in[0].v, in[1].v, in[2].v, k);
	reckoned_give(r, days);
	reckoned_give(r, fmax(0, days - after_d));
	reckoned_finding(r, "Drying from %g to %g %% takes about %.1f days; %.1f of them are left.", in[0].v, in[1].v, days, fmax(0, days - after_d));
	reckoned_note(r, "The rate is from two readings, each good to about 2 points; repeat this with the next reading.");
	drying_notes(r, in[0].v);
	return reckoned_give(r, k);
}
