#include "dry/charges.h"

#include <math.h>
#include <stdlib.h>

#include "base/mem.h"
#include "book/parse.h"
#include "wood/climate.h"
#include "wood/meter.h"
#include "wood/moisture.h"

enum { DAY_S = 86400, OTHERS_MOST = 24 };

static const double DOUBTFUL = 2.5, UNCORRECTED = 1.5, OVEN_NOISE = 1.5, RANDOM_NOISE = 1, WEIGHED_NOISE = 1.5;

/* What a line says of a charge, item by item. */
enum raw_kind { RAW_OUT, RAW_IN, RAW_READ, RAW_OVEN, RAW_RANDOM, RAW_MASS, RAW_LOAD_MASS };

struct dry_raw {
	int64_t utc_s;
	enum raw_kind kind;
	uint32_t label, piece;    /* ids */
	struct slice label_text, piece_text; /* while it is settled */
	double mc, noise, mass;
	enum dry_mark mark;
	int64_t raw;
	bool corrected;
};

static double points(int64_t fix)
{
	return fix == HOUSE_NONE ? NAN : (double)fix / 10000;
}

/* ---- the house's rule */

static void rule_init(struct charges *b)
{
	const struct house_ready *r = &b->house->ready;
	double target = points(r->target);

	b->has_rule = r->node && (house_range_given(r->band) || r->target != HOUSE_NONE);
	if (!b->has_rule)
		return;
	b->rule = (struct dry_rule){ .low = target - 1, .high = target + 1, .readings = (int)r->readings, .hold = points(r->hold) / 24,
		.spread = points(r->spread), .rate = points(r->rate), .share = points(r->share) / 100, .sure = points(r->sure) / 100 };
	if (house_range_given(r->band)) {
		b->rule.low = r->band.low == INT64_MIN ? 0 : points(r->band.low);
		b->rule.high = r->band.high == INT64_MAX ? 100 : points(r->band.high);
	}
	b->target = isnan(target) ? (b->rule.low + b->rule.high) / 2 : target;
}

void charges_init(struct charges *b, const struct house *house, const struct zone *zone)
{
	*b = (struct charges){ .house = house };
	intern_init(&b->ids);
	air_book_init(&b->air, zone, NULL);
	rule_init(b);
}

static void case_release(struct dry_case *c)
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
		case_release(&b->cases[i]);
	for (size_t i = 0; i < b->nclimates; i++)
		free(b->climates[i].weather);
	free(b->cases);
	free(b->climates);
	air_book_release(&b->air);
	intern_release(&b->ids);
}

/* ---- finding */

struct dry_case *charges_case(const struct charges *b, struct slice id)
{
	for (size_t i = 0; i < b->n; i++)
		if (slice_eq(b->cases[i].id, id))
			return &b->cases[i];
	return NULL;
}

static struct slice keep(struct charges *b, struct slice s)
{
	return intern_text(&b->ids, intern_id(&b->ids, s));
}

static struct dry_case *case_of(struct charges *b, struct slice id)
{
	struct dry_case *c = charges_case(b, id);

	if (c)
		return c;
	b->cases = mem_grow(b->cases, &b->cap, b->n + 1, sizeof *b->cases);
	c = &b->cases[b->n++];
	*c = (struct dry_case){ .id = keep(b, id), .load_s = INT64_MAX, .end_s = INT64_MAX };
	return c;
}

const struct dry_climate *charges_climate(const struct charges *b, struct slice id)
{
	for (size_t i = 0; i < b->nclimates; i++)
		if (slice_eq(b->climates[i].id, id))
			return &b->climates[i];
	return NULL;
}

static struct dry_climate *climate_of(struct charges *b, struct slice id)
{
	struct dry_climate *climate = (struct dry_climate *)(uintptr_t)charges_climate(b, id);

	if (climate)
		return climate;
	b->climates = mem_grow(b->climates, &b->climates_cap, b->nclimates + 1, sizeof *b->climates);
	climate = &b->climates[b->nclimates++];
	*climate = (struct dry_climate){ .id = keep(b, id) };
	return climate;
}

/* ---- lines taken in */

static double number_of(const struct line *l, int field)
{
	const struct item *item = line_item(l, field);

	return item && (item->v.mark == VALUE_EXACT) ? (double)item->v.fix / 10000 : NAN;
}

static void add_weather(struct dry_climate *climate, struct dry_weather w)
{
	climate->weather = mem_grow(climate->weather, &climate->cap, climate->n + 1, sizeof *climate->weather);
	climate->weather[climate->n++] = w;
}

static void add_set(struct charges *b, const struct line *l, int64_t utc_s)
{
	struct dry_weather w = { .utc_s = utc_s, .temp_c = number_of(l, FIELD_TEMP), .rh_pct = number_of(l, FIELD_RH) };
	double wet = number_of(l, FIELD_WETBULB);

	if (isnan(w.rh_pct) && !isnan(wet))
		w.rh_pct = rh_from_wet_bulb_pct(w.temp_c, wet, AIR_PRESSURE_PA);
	add_weather(climate_of(b, l->subject), w);
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
		c->kiln = keep(b, kiln);
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

static void correct(struct charges *b, const struct line *l, const struct item *item, struct dry_raw *raw)
{
	const struct item *wood = line_item(l, FIELD_WOOD);
	struct meter_use use;
	int64_t mc = item->v.fix;

	raw->raw = item->v.fix;
	raw->mark = item->v.mark == VALUE_ABOVE ? DRY_ABOVE : item->v.mark == VALUE_BELOW ? DRY_BELOW : DRY_AT;
	if (meter_use_on(b->house, line_word(l, FIELD_METER), l->stamp.day, &use) == METER_OK)
		raw->corrected = meter_correct(&use, item->v.fix, wood && wood->v.mark == VALUE_EXACT ? wood->v.fix : HOUSE_NONE, &mc);
	raw->mc = (double)mc / 10000;
	if (!raw->corrected) {
		raw->noise = UNCORRECTED;
		b->uncorrected++;
	}
	if (raw->mark == DRY_AT && reading_is_doubtful(&use.rule, (double)item->v.fix / 10000))
		raw->noise = DOUBTFUL;
}

static void add_readings(struct charges *b, struct dry_case *c, const struct line *l, int64_t utc_s)
{
	const struct field *f = line_field(l, FIELD_MC);

	for (size_t i = 0; f && i < f->n; i++) {
		const struct item *item = &l->item[f->first + i];
		struct dry_raw *raw;

		if (item->v.mark == VALUE_ABSENT)
			continue;
		raw = add_raw(c, utc_s, item->label.n ? RAW_READ : RAW_RANDOM);
		raw->label = intern_id(&b->ids, item->label);
		correct(b, l, item, raw);
		raw->noise = item->label.n ? raw->noise : fmax(raw->noise, RANDOM_NOISE);
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

/* ---- settling: probes */

double dry_case_day(const struct dry_case *c, int64_t utc_s)
{
	return utc_s == INT64_MAX ? INFINITY : (double)(utc_s - c->load_s) / DAY_S;
}

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
	reading[probe->n] = (struct dry_reading){ fmax(dry_case_day(s->c, raw->utc_s), 0), mc, raw->mark, noise, (double)raw->raw / 10000 };
	place->written[probe->n++] = (struct dry_written){ raw->utc_s, raw->raw, raw->corrected };
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

/* One that came out on this very line may still be read on it. */
static void settle_reading(struct settling *s, const struct dry_raw *raw)
{
	long p = latest(s, DRY_PROBE, raw->label);

	if (p < 0 || s->c->probe[p].until < dry_case_day(s->c, raw->utc_s))
		p = (long)new_probe(s, DRY_PROBE, raw);
	new_reading(s, (size_t)p, raw, raw->mc, raw->noise);
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

/* What is not known first. */
static int by_known(double x, double y)
{
	return isnan(x) || isnan(y) ? isnan(y) - isnan(x) : by_number(x, y);
}

static int by_instant(const void *a, const void *b)
{
	const struct dry_weather *x = a, *y = b;
	int order;

	if (x->utc_s != y->utc_s)
		return x->utc_s < y->utc_s ? -1 : 1;
	if (x->measured != y->measured)
		return x->measured - y->measured;
	order = by_known(x->temp_c, y->temp_c);
	return order ? order : by_known(x->rh_pct, y->rh_pct);
}

/* What was measured in a place, moment by moment. */
static void take_measured(struct charges *b, const struct air_record *from, struct air_points *points)
{
	struct dry_climate *climate = climate_of(b, from->id);
	const struct air_series *t = &points->track;

	air_book_points(&b->air, from, 0, points);
	for (size_t i = 0; i < t->n; i++) {
		double temp = t->v[AIR_TEMP][i], rh = t->v[AIR_RH][i];

		add_weather(climate, (struct dry_weather){ t->utc_s[i], temp, rh, temp - t->raw[AIR_TEMP][i], rh - t->raw[AIR_RH][i], true });
	}
}

/* What is not written stays as it was before. */
static void fill_weather(struct dry_climate *climate)
{
	double temp = NAN, rh = NAN, temp_off = 0, rh_off = 0;

	if (climate->n)
		qsort(climate->weather, climate->n, sizeof *climate->weather, by_instant);
	for (size_t i = 0; i < climate->n; i++) {
		struct dry_weather *w = &climate->weather[i];

		temp_off = w->temp_off_c = isnan(w->temp_c) ? temp_off : w->temp_off_c;
		rh_off = w->rh_off_pct = isnan(w->rh_pct) ? rh_off : w->rh_off_pct;
		temp = w->temp_c = isnan(w->temp_c) ? temp : w->temp_c;
		rh = w->rh_pct = isnan(w->rh_pct) ? rh : w->rh_pct;
	}
}

/* The first of a place's weather at that instant or behind it; NULL is a place of which nothing is known. */
static size_t weather_from(const struct dry_climate *climate, int64_t utc_s)
{
	size_t low = 0, high = climate ? climate->n : 0;

	while (low < high) {
		size_t mid = low + (high - low) / 2;

		if (climate->weather[mid].utc_s < utc_s)
			low = mid + 1;
		else
			high = mid;
	}
	return low;
}

static void settle_air(struct charges *b, struct dry_case *c)
{
	const struct dry_climate *climate = charges_climate(b, c->kiln);
	size_t from = weather_from(climate, c->load_s - DAY_S / 2);
	size_t to = weather_from(climate, c->end_s == INT64_MAX ? c->end_s : c->end_s + 1);
	struct dry_air *air = mem_array(to - from + 1, sizeof *air);

	c->weather = mem_zeroed(to - from + 1, sizeof *c->weather);
	air[0] = (struct dry_air){ 0, 30, b->has_rule ? b->rule.low : 8, true };
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

/* What was never loaded is no charge: a bat, a lot. */
static void drop_unloaded(struct charges *b)
{
	size_t n = 0;

	for (size_t i = 0; i < b->n; i++)
		if (b->cases[i].load_s == INT64_MAX)
			case_release(&b->cases[i]);
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
	for (size_t i = 0; i < b->nclimates; i++)
		fill_weather(&b->climates[i]);
	for (size_t i = 0; i < b->n; i++)
		settle_case(b, &b->cases[i]);
	if (b->n)
		qsort(b->cases, b->n, sizeof *b->cases, by_loading);
}

/* ---- places */

double dry_weather_emc(const struct dry_weather *w, bool raw)
{
	return raw ? emc_pct(w->temp_c - w->temp_off_c, w->rh_pct - w->rh_off_pct) : emc_pct(w->temp_c, w->rh_pct);
}

const struct dry_weather *dry_climate_last(const struct dry_climate *climate, int64_t utc_s)
{
	const struct dry_weather *last = NULL;

	for (size_t i = 0; climate && i < climate->n && climate->weather[i].utc_s <= utc_s; i++)
		last = &climate->weather[i];
	return last;
}

double dry_climate_emc(const struct dry_climate *climate, int64_t utc_s, double days)
{
	double sum = 0, time = 0;

	for (size_t i = 0; climate && i < climate->n; i++) {
		const struct dry_weather *w = &climate->weather[i];
		int64_t next = i + 1 < climate->n ? w[1].utc_s : w->utc_s + DAY_S;
		double me = dry_weather_emc(w, false), span;

		next = next < utc_s ? next : utc_s;
		span = fmin((double)(next - w->utc_s) / DAY_S, 3);
		if (!w->measured || isnan(me) || w->utc_s > utc_s || (double)(utc_s - w->utc_s) > days * DAY_S)
			continue;
		span = fmax(span, 1.0 / 24);
		sum += span * me;
		time += span;
	}
	return time > 0 ? sum / time : NAN;
}
