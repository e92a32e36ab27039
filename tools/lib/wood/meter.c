#include "wood/meter.h"

#include <math.h>

#include "table/number_text.h"

enum { STEPS = 10000 }; /* of 0.0001 in a point or a degree */

static double in_units(int64_t steps)
{
	if (steps == INT64_MIN)
		return -INFINITY;
	return steps == INT64_MAX ? INFINITY : (double)steps / STEPS;
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
	*mc = (int64_t)llrint(STEPS * reading_corrected_pct(&use->rule, in_units(reading),
		use->by_temperature ? in_units(wood) : use->rule.reference_c));
	return true;
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
