#include <math.h>
#include <stdlib.h>

#include "book/value.h"
#include "dry/charges_internal.h"

/* Pieces from the oven and at random that join in, the first ones: each adds values to the fit. */
enum { OTHERS_MOST = 24 };

/* Wood is as warm as the kiln's air so long after loading, and air that was measured so long ago still tells. */
enum { WARM_AFTER_S = DAY_S / 2, WARM_FOR_S = 2 * DAY_S };

/* How many times the noise of a good reading a moisture by mass has. */
static const double WEIGHED_NOISE = 1.5;

/* The air of a kiln of which nothing is known; where the house has a rule, its EMC is the foot of the band. */
static const double GUESSED_C = 30;
static const double GUESSED_EMC_PCT = 8;

/* ---- settling: probes */

static int by_number(double x, double y)
{
	return (x > y) - (x < y);
}

static int by_value(const struct dry_raw *x, const struct dry_raw *y)
{
	int order = by_number(x->mc, y->mc);

	if (!order)
		order = by_number(x->mass, y->mass);
	if (!order)
		order = by_number(x->noise, y->noise);
	if (!order)
		order = (int)x->mark - (int)y->mark;
	return order ? order : (x->raw > y->raw) - (x->raw < y->raw);
}

/* By time, of one moment out before in before readings; then by what they say, for the order of lines means nothing. */
static int by_time(const void *a, const void *b)
{
	const struct dry_raw *x = a, *y = b;
	int order;

	if (x->utc_s != y->utc_s)
		return x->utc_s < y->utc_s ? -1 : 1;
	if (x->kind != y->kind)
		return x->kind < y->kind ? -1 : 1;
	order = slice_cmp(x->label_text, y->label_text);
	if (!order)
		order = slice_cmp(x->piece_text, y->piece_text);
	return order ? order : by_value(x, y);
}

static void sort_raw(struct charges *b, struct dry_case *c)
{
	for (size_t i = 0; i < c->nraw; i++) {
		c->raw[i].label_text = intern_text(&b->ids, c->raw[i].label);
		c->raw[i].piece_text = intern_text(&b->ids, c->raw[i].piece);
	}
	if (c->nraw)
		qsort(c->raw, c->nraw, sizeof *c->raw, by_time);
}

static uint32_t type_of(struct charges *b, uint32_t piece)
{
	struct slice text = intern_text(&b->ids, piece);
	size_t stroke = slice_find(text, '/');

	return stroke < text.n ? intern_id(&b->ids, slice_from(text, stroke + 1)) : 0;
}

/* A case being settled: space for its probes, as many as it has raw items at the most. */
struct settling {
	struct charges *book;
	struct dry_case *c;
	uint32_t *label;
	size_t *fitting;             /* how many readings fit each */
	size_t others;
};

static size_t new_probe(struct settling *s, enum dry_source source, const struct dry_raw *raw)
{
	size_t p = s->c->charge.nprobes++;
	double day = dry_case_day(s->c, raw->utc_s);

	s->c->probe[p] = (struct dry_probe){ .type = raw->piece ? type_of(s->book, raw->piece) : 0, .from = source == DRY_PROBE ? day : 0,
		.until = INFINITY, .ruled = source == DRY_PROBE, .scaled = source != DRY_PROBE && source != DRY_RANDOM };
	s->c->place[p] = (struct dry_place){ source, intern_text(&s->book->ids, raw->label), intern_text(&s->book->ids, raw->piece), NULL };
	s->label[p] = raw->label;
	s->fitting[p] = 0;
	return p;
}

static void new_reading(struct settling *s, size_t p, const struct dry_raw *raw, double mc, double noise)
{
	struct dry_probe *probe = &s->c->probe[p];
	struct dry_place *place = &s->c->place[p];
	struct dry_reading *reading = (struct dry_reading *)(uintptr_t)probe->reading;
	size_t cap = s->fitting[p];

	reading = mem_grow(reading, &cap, probe->n + 1, sizeof *reading);
	place->written = mem_grow(place->written, &s->fitting[p], probe->n + 1, sizeof *place->written);
	reading[probe->n] = (struct dry_reading){ fmax(dry_case_day(s->c, raw->utc_s), 0), mc, raw->mark, noise, (double)raw->raw / VALUE_STEPS };
	place->written[probe->n++] = (struct dry_written){ raw->utc_s, raw->raw, raw->corrected, raw->lacks_wood };
	probe->reading = reading;
}

/* The last probe of that source and label, or -1. */
static long latest(const struct settling *s, enum dry_source source, uint32_t label)
{
	for (size_t p = s->c->charge.nprobes; p-- > 0;)
		if (s->label[p] == label && s->c->place[p].source == source)
			return (long)p;
	return -1;
}

/*
 * What a reading means that lacks the temperature of the wood: wood in a kiln comes to that of the air within half a day. Before
 * that, and where the air was not measured for a day, it stays what the meter showed.
 */
static double at_kiln_temperature(const struct settling *s, const struct dry_raw *raw)
{
	const struct dry_climate *climate = dry_climates_find(&s->book->climates, s->c->kiln);
	size_t next = dry_climate_from(climate, raw->utc_s + 1);
	const struct dry_weather *w = next ? &climate->weather[next - 1] : NULL;

	if (!w || w->utc_s < s->c->load_s || raw->utc_s - w->utc_s > WARM_FOR_S || raw->utc_s - s->c->load_s < WARM_AFTER_S || isnan(w->temp_c))
		return raw->mc;
	return reading_corrected_pct(&raw->rule, (double)raw->raw / VALUE_STEPS, w->temp_c);
}

/* One that came out on this very line may still be read on it. */
static void settle_reading(struct settling *s, const struct dry_raw *raw)
{
	long p = latest(s, DRY_PROBE, raw->label);

	if (p < 0 || s->c->probe[p].until < dry_case_day(s->c, raw->utc_s))
		p = (long)new_probe(s, DRY_PROBE, raw);
	new_reading(s, (size_t)p, raw, raw->lacks_wood ? at_kiln_temperature(s, raw) : raw->mc, raw->noise);
}

static void settle_item(struct settling *s, const struct dry_raw *raw)
{
	long p;

	switch (raw->kind) {
	case RAW_OUT:
		p = latest(s, DRY_PROBE, raw->label);
		if (p >= 0)
			s->c->probe[p].until = dry_case_day(s->c, raw->utc_s);
		break;
	case RAW_IN:
		new_probe(s, DRY_PROBE, raw);
		break;
	case RAW_READ:
		settle_reading(s, raw);
		break;
	case RAW_OVEN:
	case RAW_RANDOM:
		if (s->others++ < OTHERS_MOST)
			new_reading(s, new_probe(s, raw->kind == RAW_OVEN ? DRY_OVEN : DRY_RANDOM, raw), raw, raw->mc, raw->noise);
		break;
	default:
		break;
	}
}

/* ---- settling: masses */

/* Mean moisture near an instant of the sections (or probes) of that label, or of all probes for 0. */
static double moisture_near(const struct settling *s, int64_t utc_s, uint32_t label, enum dry_source source)
{
	double sum = 0;
	size_t n = 0;

	for (size_t p = 0; p < s->c->charge.nprobes; p++)
		for (size_t i = 0; s->c->place[p].source == source && (!label || s->label[p] == label) && i < s->c->probe[p].n; i++)
			if (s->c->probe[p].reading[i].mark == DRY_AT && llabs(s->c->place[p].written[i].utc_s - utc_s) <= DAY_S) {
				sum += s->c->probe[p].reading[i].mc;
				n++;
				break;
			}
	return n ? sum / (double)n : NAN;
}

static void settle_mass(struct settling *s, const struct dry_raw *raw, size_t n)
{
	enum dry_source source = raw->kind == RAW_MASS ? DRY_WEIGHED : DRY_LOAD;
	double first = moisture_near(s, raw->utc_s, raw->label, DRY_OVEN), dry;
	size_t p;

	if (source == DRY_LOAD || isnan(first))
		first = moisture_near(s, raw->utc_s, raw->label, DRY_PROBE);
	if (isnan(first))
		return;
	dry = mass_oven_dry_g(raw->mass, first);
	p = new_probe(s, source, raw);
	for (size_t i = 0; i < n; i++)
		if (raw[i].kind == raw->kind && raw[i].label == raw->label) {
			struct dry_raw mass = raw[i];

			mass.corrected = true;
			new_reading(s, p, &mass, mc_of_masses_pct(raw[i].mass, dry), WEIGHED_NOISE);
		}
}

/* Series of masses: each begins with the first of its label. One mass alone says nothing. */
static void settle_masses(struct settling *s)
{
	const struct dry_raw *raw = s->c->raw;

	for (size_t i = 0; i < s->c->nraw; i++) {
		size_t before = 0, after = 0;

		if (raw[i].kind < RAW_MASS)
			continue;
		for (size_t k = 0; k < s->c->nraw; k++)
			if (raw[k].kind == raw[i].kind && raw[k].label == raw[i].label) {
				before += k < i;
				after += k > i;
			}
		if (!before && after)
			settle_mass(s, &raw[i], s->c->nraw - i);
	}
}

/* ---- settling: the air */

/* What was measured in a place, moment by moment. */
static void take_measured(struct charges *b, const struct air_record *from, struct air_points *points)
{
	struct slice id = charges_keep(b, from->id);
	const struct air_series *t = &points->track;

	air_book_points(&b->air, from, 0, points);
	for (size_t i = 0; i < t->n; i++) {
		double temp = t->v[AIR_TEMP][i], rh = t->v[AIR_RH][i];

		dry_climates_add(&b->climates, id, (struct dry_weather){ t->utc_s[i], temp, rh, temp - t->raw[AIR_TEMP][i], rh - t->raw[AIR_RH][i], true });
	}
}

static void settle_air(struct charges *b, struct dry_case *c)
{
	const struct dry_climate *climate = dry_climates_find(&b->climates, c->kiln);
	size_t from = dry_climate_from(climate, c->load_s - DAY_S / 2);
	size_t to = dry_climate_from(climate, c->end_s == INT64_MAX ? c->end_s : c->end_s + 1);
	struct dry_air *air = mem_array(to - from + 1, sizeof *air);

	c->weather = mem_zeroed(to - from + 1, sizeof *c->weather);
	air[0] = (struct dry_air){ 0, GUESSED_C, b->has_rule ? b->rule.low : GUESSED_EMC_PCT, true };
	c->charge.nair = 1;
	for (size_t i = from; i < to; i++) {
		const struct dry_weather *w = &climate->weather[i];
		double me = dry_weather_emc(w, false), day = dry_case_day(c, w->utc_s);

		if (isnan(me))
			continue;
		c->weather[c->charge.nair] = w;
		air[c->charge.nair++] = (struct dry_air){ day, w->temp_c, me, false };
	}
	c->charge.air = air;
}

/* ---- settling */

static uint32_t season_of(int64_t utc_s)
{
	int year, month, date;

	day_split((int32_t)(utc_s / DAY_S), &year, &month, &date);
	return (uint32_t)(month % 12 / 3 + 1);
}

static void settle_case(struct charges *b, struct dry_case *c)
{
	struct settling s = { .book = b, .c = c };

	sort_raw(b, c);
	c->probe = mem_array(c->nraw, sizeof *c->probe);
	c->place = mem_array(c->nraw, sizeof *c->place);
	s.label = mem_array(c->nraw, sizeof *s.label);
	s.fitting = mem_array(c->nraw, sizeof *s.fitting);
	for (size_t i = 0; i < c->nraw; i++)
		settle_item(&s, &c->raw[i]);
	settle_masses(&s);
	c->charge.probe = c->probe;
	c->charge.kiln = intern_id(&b->ids, c->kiln);
	c->charge.season = season_of(c->load_s);
	c->charge.end = dry_case_day(c, c->end_s);
	settle_air(b, c);
	free(s.label);
	free(s.fitting);
}

static int by_loading(const void *a, const void *b)
{
	const struct dry_case *x = a, *y = b;

	if (x->load_s != y->load_s)
		return x->load_s < y->load_s ? -1 : 1;
	return slice_cmp(x->id, y->id);
}

/* Only things that were loaded are charges: not a bat, not a lot. */
static void drop_unloaded(struct charges *b)
{
	size_t n = 0;

	for (size_t i = 0; i < b->n; i++)
		if (b->cases[i].load_s == INT64_MAX)
			dry_case_release(&b->cases[i]);
		else
			b->cases[n++] = b->cases[i];
	b->n = n;
}

void charges_settle(struct charges *b)
{
	struct air_points points = { 0 };

	drop_unloaded(b);
	air_book_settle(&b->air);
	for (size_t i = 0; i < b->air.nrecords; i++)
		take_measured(b, &b->air.record[i], &points);
	air_points_release(&points);
	dry_climates_settle(&b->climates);
	for (size_t i = 0; i < b->n; i++)
		settle_case(b, &b->cases[i]);
	if (b->n)
		qsort(b->cases, b->n, sizeof *b->cases, by_loading);
	if (b->case_at_cap)
		memset(b->case_at, 0, b->case_at_cap * sizeof *b->case_at);
	for (size_t i = 0; i < b->n; i++)
		charges_index(b, i);
}
