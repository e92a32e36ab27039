#include <math.h>

#include "house/house.h"
#include "intake/intake_internal.h"

void intake_watch(struct intake *run, const struct house *house)
{
	run->house = house;
}

/* A place that the house file does not name may be a kiln. */
static struct plausible_limits limits_of(const struct intake *run, const struct record *rec, size_t sensor)
{
	const struct house_plausible *p = &run->house->plausible;
	const struct house_place *place = house_place(run->house, intake_record_subject(rec));
	bool room = place && place->kind != HOUSE_PLACE_KIND_KILN;
	struct house_range range = sensor ? p->rh : room ? p->room_temp : p->kiln_temp;

	return (struct plausible_limits){ range.low, range.high, room ? (sensor ? p->rh_jump : p->temp_jump) * VALUE_STEPS : HUGE_VAL,
		p->stuck / VALUE_STEPS * HOUR_S + p->stuck % VALUE_STEPS * HOUR_S / VALUE_STEPS };
}

static void limit_text(int type, int64_t low, int64_t high, struct buf *out)
{
	if (low != INT64_MIN)
		buf_printf(out, "%g", value_number(type, low));
	buf_str(out, "..");
	if (high != INT64_MAX)
		buf_printf(out, "%g", value_number(type, high));
	buf_str(out, type == TYPE_TEMPERATURE ? "C" : "%");
}

struct found {
	const struct record *rec;
	size_t field;
	int type;
	const struct plausible_limits *limits;
	const struct plausible_sensor *before;
};

static void start_text(struct intake *run, const struct found *f)
{
	struct slice value = intake_record_value(f->rec, f->field);

	buf_add(&run->text, intake_record_subject(f->rec));
	buf_printf(&run->text, ": %.*s=%.*s ", (int)f->rec->field[f->field].use->field->name.n, f->rec->field[f->field].use->field->name.p,
		(int)value.n, value.p);
}

static void say_outside(struct intake *run, const struct found *f)
{
	start_text(run, f);
	buf_str(&run->text, "is outside what is plausible here, ");
	limit_text(f->type, f->limits->low, f->limits->high, &run->text);
	buf_str(&run->text, "; is it the sensor, the unit, or the place?");
	intake_say(run, NOTE_IMPLAUSIBLE, LEVEL_WARNING, f->rec->place);
}

static void say_jump(struct intake *run, const struct found *f)
{
	int64_t by_s = f->rec->t_s - f->before->t_s;

	start_text(run, f);
	buf_printf(&run->text, "was %g%s ", value_number(f->type, f->before->value), f->type == TYPE_TEMPERATURE ? "C" : "%");
	intake_span_text(&run->text, by_s);
	buf_printf(&run->text, " %s; was the instrument moved?", by_s < 0 ? "later" : "before");
	intake_say(run, NOTE_JUMP, LEVEL_WARNING, f->rec->place);
}

static void say_stuck(struct intake *run, const struct found *f)
{
	start_text(run, f);
	buf_str(&run->text, "has not changed for ");
	intake_span_text(&run->text, f->rec->t_s - f->before->since_s);
	buf_printf(&run->text, ", since line %llu; does the sensor still work?", (unsigned long long)f->before->since_line);
	intake_say(run, NOTE_STUCK, LEVEL_WARNING, f->rec->place);
}

static void watch_field(struct intake *run, struct plausible_sensor *sensor, const struct record *rec, size_t i, size_t which)
{
	int type = which ? TYPE_HUMIDITY : TYPE_TEMPERATURE;
	struct plausible_limits limits = limits_of(run, rec, which);
	struct plausible_sensor before;
	struct found f = { rec, i, type, &limits, &before };
	struct value v;
	unsigned found;

	if (value_read(type, 0, intake_record_value(rec, i), &v) != VALUE_OK || v.mark != VALUE_EXACT)
		return;
	found = plausible_add(sensor, &limits, rec->t_s, v.fix, rec->place.line, &before);
	if (found & PLAUSIBLE_OUTSIDE)
		say_outside(run, &f);
	if (found & PLAUSIBLE_JUMP)
		say_jump(run, &f);
	if (found & PLAUSIBLE_STUCK)
		say_stuck(run, &f);
}

void intake_watch_record(struct source *s, struct series *series, const struct record *rec)
{
	struct intake *run = s->run;

	if (!run->house || rec->entry->event->id != EVENT_AIR)
		return;
	for (size_t i = 0; i < rec->nfields; i++) {
		int field = rec->field[i].use->field->id;

		if (field == FIELD_TEMP || field == FIELD_RH)
			watch_field(run, &series->sensor[field == FIELD_RH], rec, i, field == FIELD_RH);
	}
}
