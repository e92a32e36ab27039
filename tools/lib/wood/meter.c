#include "wood/meter.h"

#include <math.h>

#include "book/parse.h"
#include "table/number_text.h"

/* ---- the formula */

struct meter_rule meter_rule_none(void)
{
	return (struct meter_rule){
		.line_b = 1,
		.trust_low_pct = METER_TRUST_LOW_PCT,
		.trust_high_pct = METER_TRUST_HIGH_PCT,
	};
}

double reading_corrected_pct(const struct meter_rule *rule, double reading_pct, double wood_c)
{
	double at_reference = reading_pct - rule->per10_pct * (wood_c - rule->reference_c) / 10;

	return rule->line_a + rule->line_b * at_reference;
}

bool reading_is_doubtful(const struct meter_rule *rule, double reading_pct)
{
	return !(reading_pct >= rule->trust_low_pct && reading_pct <= rule->trust_high_pct);
}

/* ---- the house's rule */

static double in_units(int64_t steps)
{
	if (steps == INT64_MIN)
		return -INFINITY;
	return steps == INT64_MAX ? INFINITY : (double)steps / VALUE_STEPS;
}

static struct meter_rule rule_of(const struct house_meter *meter, const struct house_calibration *line)
{
	struct meter_rule rule = meter_rule_none();

	if (house_range_given(meter->trust)) {
		rule.trust_low_pct = in_units(meter->trust.low);
		rule.trust_high_pct = in_units(meter->trust.high);
	}
	if (!isnan(meter->per10c) && meter->reference != HOUSE_NONE) {
		rule.per10_pct = meter->per10c;
		rule.reference_c = in_units(meter->reference);
	}
	if (line) {
		rule.line_a = line->a;
		rule.line_b = line->b;
	}
	return rule;
}

static bool has_setting(const struct house_meter *meter, struct slice label)
{
	return label.n == 0 || house_setting(meter, label);
}

enum meter_fault meter_use_on(const struct house *house, struct slice id, int32_t day, struct meter_use *use)
{
	size_t stroke = slice_find(id, '/');
	struct slice label = stroke < id.n ? slice_from(id, stroke + 1) : slice_from(id, id.n);
	const struct house_meter *meter = house_meter(house, slice_upto(id, stroke));

	*use = (struct meter_use){ .rule = meter_rule_none() };
	if (!meter)
		return METER_UNKNOWN;
	if (meter->kind > HOUSE_METER_KIND_CAPACITANCE)
		return METER_NOT_OF_WOOD;
	if (!has_setting(meter, label))
		return METER_NO_SETTING;
	use->meter = meter;
	use->line = house_calibration(meter, label, day);
	use->rule = rule_of(meter, use->line);
	use->by_temperature = !isnan(meter->per10c) && meter->reference != HOUSE_NONE;
	return METER_OK;
}

bool meter_correct(const struct meter_use *use, int64_t reading, int64_t wood, int64_t *mc)
{
	*mc = reading;
	if (!use->by_temperature && !use->line)
		return false;
	if (use->by_temperature && wood == HOUSE_NONE)
		return false;
	*mc = (int64_t)llrint(VALUE_STEPS * reading_corrected_pct(&use->rule, in_units(reading),
		use->by_temperature ? in_units(wood) : use->rule.reference_c));
	return true;
}

struct meter_use meter_use_of_line(const struct house *house, const struct line *l)
{
	struct meter_use use = { .rule = meter_rule_none() };

	if (house)
		meter_use_on(house, line_word(l, FIELD_METER), l->stamp.day, &use);
	return use;
}

struct meter_reading meter_reading_of(const struct meter_use *use, const struct line *l, const struct item *item)
{
	const struct item *wood = line_item(l, FIELD_WOOD);
	struct meter_reading reading;

	reading.corrected = meter_correct(use, item->v.fix, wood ? wood->v.fix : HOUSE_NONE, &reading.mc);
	reading.doubtful = reading_is_doubtful(&use->rule, (double)item->v.fix / VALUE_STEPS);
	return reading;
}

void meter_use_write(struct buf *out, const struct meter_use *use)
{
	if (use->by_temperature) {
		buf_real(out, use->rule.per10_pct);
		buf_str(out, " points per 10 C above ");
		buf_real(out, use->rule.reference_c);
		buf_str(out, use->line ? " C, then " : " C");
	}
	if (use->line) {
		buf_real(out, use->rule.line_a);
		buf_str(out, use->rule.line_b < 0 ? " - " : " + ");
		buf_real(out, fabs(use->rule.line_b));
		buf_str(out, " x reading");
	}
	if (!use->by_temperature && !use->line)
		buf_str(out, "uncorrected");
}
