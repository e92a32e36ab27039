#include "dry/charges.h"

#include <math.h>
#include <stdlib.h>

#include "book/parse.h"
#include "dry/charges_internal.h"
#include "wood/climate.h"

/* How many times the noise of a good reading others have, as wy-dry(1) and charges.h say. */
static const double DOUBTFUL = 2.5;
static const double UNCORRECTED = 1.5;
static const double OVEN_NOISE = 1.5;

static double points(int64_t fix)
{
	return fix == HOUSE_NONE ? NAN : (double)fix / VALUE_STEPS;
}

/* ---- the house's rule */

static void rule_init(struct charges *b)
{
	const struct house_ready *r = &b->house->ready;
	double target = points(r->target);

	b->has_rule = r->node && (house_range_given(r->band) || r->target != HOUSE_NONE);
	if (!b->has_rule)
		return;
	b->rule = (struct dry_rule){ .low = target - 1, .high = target + 1, .readings = (int)r->readings, .apart = points(r->apart) / 24, .hold = points(r->hold) / 24,
		.spread = points(r->spread), .rate = points(r->rate), .share = points(r->share) / 100, .sure = points(r->sure) / 100 };
	if (house_range_given(r->band)) {
		b->rule.low = r->band.low == INT64_MIN ? 0 : points(r->band.low);
		b->rule.high = r->band.high == INT64_MAX ? 100 : points(r->band.high);
	}
	b->target = isnan(target) ? (b->rule.low + b->rule.high) / 2 : target;
}

void charges_init(struct charges *b, const struct house *house, const struct zone *zone)
{
	*b = (struct charges){ .house = house, .zone = zone };
	intern_init(&b->ids);
	air_book_init(&b->air, zone, NULL);
	rule_init(b);
}

void dry_case_release(struct dry_case *c)
{
	for (size_t p = 0; p < c->charge.nprobes; p++) {
		free((void *)(uintptr_t)c->probe[p].reading);
		free(c->place[p].written);
	}
	free(c->probe);
	free(c->place);
	free((void *)(uintptr_t)c->charge.air);
	free(c->weather);
	free(c->raw);
}

void charges_release(struct charges *b)
{
	for (size_t i = 0; i < b->n; i++)
		dry_case_release(&b->cases[i]);
	free(b->cases);
	free(b->case_at);
	dry_climates_release(&b->climates);
	air_book_release(&b->air);
	intern_release(&b->ids);
}

/* ---- finding */

struct dry_case *charges_case(const struct charges *b, struct slice id)
{
	uint32_t number = intern_find(&b->ids, id);
	uint32_t at = number < b->case_at_cap ? b->case_at[number] : 0;

	return at ? &b->cases[at - 1] : NULL;
}

struct slice charges_keep(struct charges *b, struct slice s)
{
	return intern_text(&b->ids, intern_id(&b->ids, s));
}

void charges_index(struct charges *b, size_t i)
{
	uint32_t number = intern_find(&b->ids, b->cases[i].id);
	size_t had = b->case_at_cap;

	b->case_at = mem_grow(b->case_at, &b->case_at_cap, number + 1u, sizeof *b->case_at);
	if (b->case_at_cap > had)
		memset(b->case_at + had, 0, (b->case_at_cap - had) * sizeof *b->case_at);
	b->case_at[number] = (uint32_t)i + 1;
}

static struct dry_case *case_of(struct charges *b, struct slice id)
{
	struct dry_case *c = charges_case(b, id);

	if (c)
		return c;
	b->cases = mem_grow(b->cases, &b->cap, b->n + 1, sizeof *b->cases);
	c = &b->cases[b->n++];
	*c = (struct dry_case){ .id = charges_keep(b, id), .load_s = INT64_MAX, .end_s = INT64_MAX };
	charges_index(b, b->n - 1);
	return c;
}

/* ---- lines taken in */

static double number_of(const struct line *l, int field)
{
	const struct item *item = line_item(l, field);

	return item && (item->v.mark == VALUE_EXACT) ? (double)item->v.fix / VALUE_STEPS : NAN;
}

static void add_set(struct charges *b, const struct line *l, int64_t utc_s)
{
	struct dry_weather w = { .utc_s = utc_s, .temp_c = number_of(l, FIELD_TEMP), .rh_pct = number_of(l, FIELD_RH) };
	double wet = number_of(l, FIELD_WETBULB);

	if (isnan(w.rh_pct) && !isnan(wet))
		w.rh_pct = rh_from_wet_bulb_pct(w.temp_c, wet, AIR_PRESSURE_PA);
	dry_climates_add(&b->climates, charges_keep(b, l->subject), w);
}

static struct dry_raw *add_raw(struct dry_case *c, int64_t utc_s, enum raw_kind kind)
{
	c->raw = mem_grow(c->raw, &c->raw_cap, c->nraw + 1, sizeof *c->raw);
	c->raw[c->nraw] = (struct dry_raw){ .utc_s = utc_s, .kind = kind, .noise = 1 };
	return &c->raw[c->nraw++];
}

static void add_load(struct charges *b, const struct line *l, int64_t utc_s)
{
	struct dry_case *c = case_of(b, l->subject);
	const struct field *count = line_field(l, FIELD_COUNT);
	struct slice kiln = line_word(l, FIELD_KILN);

	if (utc_s < c->load_s || (utc_s == c->load_s && slice_cmp(kiln, c->kiln) < 0))
		c->kiln = charges_keep(b, kiln);
	c->load_s = utc_s < c->load_s ? utc_s : c->load_s;
	for (size_t i = 0; count && i < count->n; i++)
		c->pieces += l->item[count->first + i].v.fix;
}

static void add_labels(struct charges *b, struct dry_case *c, const struct line *l, int field, enum raw_kind kind, int64_t utc_s)
{
	const struct field *f = line_field(l, field);

	for (size_t i = 0; f && i < f->n; i++) {
		const struct item *item = &l->item[f->first + i];
		struct dry_raw *raw = add_raw(c, utc_s, kind);

		raw->label = intern_id(&b->ids, kind == RAW_IN ? item->label : item->text);
		raw->piece = kind == RAW_IN ? intern_id(&b->ids, item->text) : 0;
	}
}

static enum dry_mark mark_of(const struct item *item)
{
	return item->v.mark == VALUE_ABOVE ? DRY_ABOVE : item->v.mark == VALUE_BELOW ? DRY_BELOW : DRY_AT;
}

/* How many times the noise of a good reading it has. */
static double noise_of(const struct meter_reading *reading, enum dry_mark mark)
{
	if (mark == DRY_AT && reading->doubtful)
		return DOUBTFUL;
	return reading->corrected ? 1 : UNCORRECTED;
}

static void add_reading(struct charges *b, struct dry_case *c, int64_t utc_s, const struct item *item, const struct meter_reading *reading,
	const struct meter_use *use)
{
	struct dry_raw *raw = add_raw(c, utc_s, item->label.n ? RAW_READ : RAW_RANDOM);

	raw->label = intern_id(&b->ids, item->label);
	raw->raw = item->v.fix;
	raw->mark = mark_of(item);
	raw->mc = (double)reading->mc / VALUE_STEPS;
	raw->corrected = reading->corrected;
	raw->lacks_wood = use->by_temperature && !reading->corrected;
	raw->rule = use->rule;
	raw->noise = noise_of(reading, raw->mark);
}

static void add_readings(struct charges *b, struct dry_case *c, const struct line *l, int64_t utc_s)
{
	const struct field *f = line_field(l, FIELD_MC);
	struct meter_use use = meter_use_of_line(b->house, l);

	for (size_t i = 0; f && i < f->n; i++) {
		const struct item *item = &l->item[f->first + i];
		struct meter_reading reading;

		if (item->v.mark == VALUE_ABSENT)
			continue;
		reading = meter_reading_of(&use, l, item);
		add_reading(b, c, utc_s, item, &reading, &use);
	}
}

static void add_probe(struct charges *b, const struct line *l, int64_t utc_s)
{
	struct dry_case *c = case_of(b, l->subject);

	add_labels(b, c, l, FIELD_OUT, RAW_OUT, utc_s);
	add_labels(b, c, l, FIELD_IN, RAW_IN, utc_s);
	add_readings(b, c, l, utc_s);
}

static void add_oven(struct charges *b, const struct line *l, int64_t utc_s)
{
	const struct field *wet = line_field(l, FIELD_WET), *dry = line_field(l, FIELD_DRY);
	struct buf piece = BUF_INIT;

	if (!wet || !dry || wet->n != dry->n)
		return;
	buf_add(&piece, line_word(l, FIELD_LOT));
	buf_char(&piece, '/');
	buf_add(&piece, line_word(l, FIELD_TYPE));
	for (size_t i = 0; i < wet->n; i++) {
		double mc = mc_of_masses_pct((double)l->item[wet->first + i].v.fix, (double)l->item[dry->first + i].v.fix);
		struct dry_raw *raw;

		if (isnan(mc))
			continue;
		raw = add_raw(case_of(b, l->subject), utc_s, RAW_OVEN);
		raw->label = intern_id(&b->ids, l->item[wet->first + i].label);
		raw->piece = intern_id(&b->ids, buf_slice(&piece));
		raw->mc = mc;
		raw->noise = OVEN_NOISE;
		raw->corrected = true;
	}
	buf_release(&piece);
}

/* Several masses without labels are pieces at random, whose moisture they do not tell. */
static void add_weigh(struct charges *b, const struct line *l, int64_t utc_s)
{
	const struct field *f = line_field(l, FIELD_MASS);

	for (size_t i = 0; f && i < f->n; i++) {
		const struct item *item = &l->item[f->first + i];
		bool whole = f->n == 1 && !item->label.n && !line_field(l, FIELD_LOT);
		struct dry_raw *raw;

		if (item->v.mark != VALUE_EXACT || (!item->label.n && !whole))
			continue;
		raw = add_raw(case_of(b, l->subject), utc_s, whole ? RAW_LOAD_MASS : RAW_MASS);
		raw->label = intern_id(&b->ids, item->label);
		raw->mass = (double)item->v.fix;
	}
}

void charges_add(struct charges *b, const struct line *l, int64_t utc_s)
{
	switch (l->event->id) {
	case EVENT_LOAD:
		add_load(b, l, utc_s);
		break;
	case EVENT_SET:
		add_set(b, l, utc_s);
		break;
	case EVENT_AIR:
	case EVENT_METER:
		air_book_take(&b->air, l);
		break;
	case EVENT_PROBE:
		if (!line_field(l, FIELD_AT)) /* with it: of a lot in a place, or of a bat */
			add_probe(b, l, utc_s);
		break;
	case EVENT_OVEN:
		add_oven(b, l, utc_s);
		break;
	case EVENT_WEIGH:
		add_weigh(b, l, utc_s);
		break;
	default:
		break;
	}
}

void charges_end(struct charges *b, struct slice charge, int64_t utc_s)
{
	struct dry_case *c = charges_case(b, charge);

	if (c)
		c->end_s = utc_s;
}

/* ---- days */

int32_t charges_day(const struct charges *b, int64_t utc_s)
{
	return seconds_day(utc_s + zone_offset(b->zone, utc_s));
}

int64_t charges_day_end(const struct charges *b, int32_t day)
{
	return zone_day_end(b->zone, day);
}

double dry_case_day(const struct dry_case *c, int64_t utc_s)
{
	return utc_s == INT64_MAX ? INFINITY : (double)(utc_s - c->load_s) / DAY_S;
}
