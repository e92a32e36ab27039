#include "supply/stock_parts.h"

#include <math.h>
#include <stdlib.h>

#include "air/air_view.h"
#include "book/value.h"
#include "house/house.h"

enum { DAYS_A_WEEK = 7 };

static const double USUAL_BANDS[] = { 13, 26, 52 }; /* weeks */

enum { EMC_UNKNOWN = -1, EMC_NOT_ASKED = -2 };

void stock_parts_init(struct stock_parts *p, const struct house *house, const struct zone *zone, struct stock *stock, int32_t today, unsigned want)
{
	memset(p, 0, sizeof *p);
	p->house = house;
	p->zone = zone;
	p->stock = stock;
	p->today = today;
	p->want = want;
	p->cost_ask = (struct cost_ask){ .today = today, .from = INT32_MIN, .to = INT32_MAX, .since = INT32_MIN };
	costing_init(&p->costing, &p->cost_ask, house, stock);
	intern_init(&p->where);
	if (!(want & PARTS_MOISTURE))
		return;
	readings_init(&p->readings, house, zone, (struct readings_want){ INT32_MIN, today, true });
	air_book_init(&p->air, zone, NULL);
}

void stock_parts_release(struct stock_parts *p)
{
	costing_release(&p->costing);
	if (p->want & PARTS_MOISTURE) {
		readings_release(&p->readings);
		air_book_release(&p->air);
	}
	lot_readings_release(&p->lots);
	intern_release(&p->where);
	buf_release(&p->band_text);
	free(p->emc);
	free(p->part);
	free(p->band);
	memset(p, 0, sizeof *p);
}

void stock_parts_add(struct stock_parts *p, const struct line *l)
{
	costing_add(&p->costing, l);
	if (!(p->want & PARTS_MOISTURE))
		return;
	readings_take(&p->readings, l);
	air_book_take(&p->air, l);
}

void stock_parts_read(struct stock_parts *p)
{
	costing_read(&p->costing);
}

void stock_parts_flow(void *context, const struct stock_flow *flow)
{
	struct stock_parts *p = context;

	costing_flow(&p->costing, flow);
}

/* ---- age bands: "..13", "13..26", "26..52", "52.." */

static void add_band(struct stock_parts *p, const double *low, const double *high)
{
	if (low)
		buf_printf(&p->band_text, "%g", *low);
	buf_str(&p->band_text, "..");
	if (high)
		buf_printf(&p->band_text, "%g", *high);
	buf_char(&p->band_text, '\n');
}

static const double *band_ends(const struct stock_parts *p, size_t *n)
{
	const bool given = p->house && p->house->age_bands.n;

	*n = given ? p->house->age_bands.n : sizeof USUAL_BANDS / sizeof *USUAL_BANDS;
	return given ? p->house->age_bands.number : USUAL_BANDS;
}

static void make_bands(struct stock_parts *p)
{
	size_t n;
	const double *end = band_ends(p, &n);
	const char *at;

	for (size_t i = 0; i <= n; i++)
		add_band(p, i ? &end[i - 1] : NULL, i < n ? &end[i] : NULL);
	p->nbands = n + 1;
	p->band = mem_array(p->nbands, sizeof *p->band);
	at = p->band_text.p;
	for (size_t i = 0; i < p->nbands; i++) {
		size_t length = (size_t)(strchr(at, '\n') - at);

		p->band[i] = (struct slice){ at, length };
		at += length + 1;
	}
}

/* A piece of exactly 13 weeks is in the band from 13 weeks on. */
static size_t band_of(const struct stock_parts *p, int32_t since)
{
	size_t n, band = 0;
	const double *end = band_ends(p, &n);

	while (band < n && p->today - since >= DAYS_A_WEEK * end[band])
		band++;
	return band;
}

/* ---- moisture */

static uint32_t where_id(struct stock_parts *p, uint32_t lot, uint32_t place)
{
	const uint32_t key[] = { lot, place };

	return intern_id(&p->where, (struct slice){ (const char *)key, sizeof key });
}

static void take_reading(struct stock_parts *p, const struct reading_facts *facts, const struct reading *x)
{
	struct reading_of of = reading_of(facts, x);
	uint32_t lot = intern_find(&p->stock->ids, of.lot), place = intern_find(&p->stock->ids, readings_name(&p->readings, of.place));
	uint32_t bat = of.single && of.part == facts->blade ? intern_find(&p->stock->ids, readings_name(&p->readings, x->subject)) : 0;

	if (x->mark != VALUE_EXACT)
		return;
	if (lot)
		lot_readings_add(&p->lots, where_id(p, lot, place), x->day, x->mc, x->n, 0);
	if (bat && bat != lot)
		lot_readings_add(&p->lots, where_id(p, bat, 0), x->day, x->mc, x->n, 0);
}

static void read_moisture(struct stock_parts *p)
{
	struct reading_facts facts = readings_resolve(&p->readings);
	struct reading x;

	while (readings_next(&p->readings, &x))
		take_reading(p, &facts, &x);
	lot_readings_end(&p->lots);
}

/* The later of what is found so far and what was read of that lot in that place. */
static void later_reading(struct stock_parts *p, uint32_t lot, uint32_t place, struct stock_part *part)
{
	uint32_t id = lot ? where_id(p, lot, place) : 0;
	int32_t day = id ? lot_readings_last_day(&p->lots, id, p->today) : INT32_MIN;

	if (day <= part->read_day)
		return;
	part->read_day = day;
	part->read = part->n;
	part->mc = part->n * llround(VALUE_STEPS * lot_readings_last(&p->lots, id, p->today));
}

static void find_moisture(struct stock_parts *p, struct cohort_key key, struct stock_part *part)
{
	later_reading(p, part->kind.lot, part->kind.place, part);
	later_reading(p, part->kind.lot, 0, part);
	if (part->kind.form == FORM_BAT)
		return;
	later_reading(p, key.lot, part->kind.place, part);
	if (!key.charge)
		return;
	later_reading(p, part->kind.lot, key.charge, part);
	later_reading(p, key.lot, key.charge, part);
}

/* ---- air */

static int64_t mean_emc(const struct stock_parts *p, const struct air_record *record)
{
	const struct house_place *place = p->house ? house_place(p->house, record->id) : NULL;
	const struct air_band all = { -HUGE_VAL, HUGE_VAL };
	struct air_points points = { .first = NULL };
	int64_t now_s = zone_day_end(p->zone, p->today);
	struct air_sum sum;

	air_book_points(&p->air, record, AIR_WITH_EMC, &points);
	points.track.limit_s = llround(HOUR_S * air_view_limit_h(p->house, place));
	sum = air_sum_of(&points.track, AIR_EMC, now_s - (int64_t)PARTS_AIR_DAYS * DAY_S, now_s, all);
	air_points_release(&points);
	return sum.covered_h > 0 ? llround(VALUE_STEPS * air_sum_mean(&sum)) : EMC_UNKNOWN;
}

static const struct air_record *record_of(const struct stock_parts *p, struct slice place)
{
	for (size_t i = 0; i < p->air.nrecords; i++)
		if (slice_eq(p->air.record[i].id, place))
			return &p->air.record[i];
	return NULL;
}

/* A charge has the air of its kiln. */
static void find_air(struct stock_parts *p, struct stock_part *part)
{
	uint32_t place = part->kind.place;
	int64_t *emc = &p->emc[place];

	if (*emc == EMC_NOT_ASKED) {
		uint32_t kiln = holdings_charge(&p->costing.holdings, place) ? cost_book_kiln(&p->costing.book, place) : 0;
		const struct air_record *record = record_of(p, stock_text(p->stock, kiln ? kiln : place));

		*emc = record ? mean_emc(p, record) : EMC_UNKNOWN;
	}
	if (*emc < 0)
		return;
	part->airy = part->n;
	part->air = part->n * *emc;
}

/* ---- rest */

static void find_rest(const struct stock_parts *p, int32_t here, struct stock_part *part)
{
	const struct stock *s = p->stock;
	const struct house_rest *rest = house_rest_of(p->house, part->kind.form, stock_text(s, part->kind.type), stock_text(s, part->kind.place));
	int32_t done;

	if (!rest || holdings_charge(&p->costing.holdings, part->kind.place))
		return;
	done = here + (int32_t)ceil((double)rest->span / VALUE_STEPS / 24);
	part->must_rest = part->n;
	part->resting = done > p->today ? part->n : 0;
	part->rested = done > p->today ? done : INT32_MIN;
}

/* ---- the parts */

static void add_layer(struct stock_parts *p, const struct batch *b, const struct layer_facts *blade, const struct held_layer *l, const int64_t *money)
{
	struct stock_part part = { .kind = b->kind, .n = l->is.handle ? 0 : l->n, .since = l->is.handle ? INT32_MAX : l->is.since,
		.band = band_of(p, blade->since), .rested = INT32_MIN, .read_day = INT32_MIN };

	for (size_t e = 0; e < p->costing.holdings.nmoney; e++)
		part.value += money[e];
	if (part.n && p->want & PARTS_MOISTURE) {
		find_moisture(p, p->costing.holdings.cohort[l->is.cohort].key, &part);
		find_air(p, &part);
	}
	if (part.n)
		find_rest(p, l->is.here, &part);
	p->part = mem_grow(p->part, &p->parts_cap, p->nparts + 1, sizeof *p->part);
	p->part[p->nparts++] = part;
}

/* The handle of a bat is of the bat's age. */
static const struct layer_facts *blade_of(const struct holdings *h, const struct batch *b)
{
	for (uint32_t at = b->first; at; at = h->layer[at - 1].next)
		if (!h->layer[at - 1].is.handle)
			return &h->layer[at - 1].is;
	return &h->layer[b->first - 1].is;
}

static void add_batch(struct stock_parts *p, uint32_t batch)
{
	const struct holdings *h = &p->costing.holdings;
	const struct batch *b = &h->batch[batch];
	size_t n, i = 0;
	int64_t *money;

	if (!b->first || b->stage >= ACCOUNT_STAGES)
		return;
	money = holdings_money(h, batch, &n);
	for (uint32_t at = b->first; at; at = h->layer[at - 1].next, i++) {
		const struct held_layer *l = &h->layer[at - 1];

		add_layer(p, b, b->kind.form == FORM_BAT ? blade_of(h, b) : &l->is, l, money + i * h->nmoney);
	}
	free(money);
}

void stock_parts_end(struct stock_parts *p)
{
	const struct cost_book *book = &p->costing.book;

	costing_end(&p->costing, NULL);
	make_bands(p);
	if (p->want & PARTS_MOISTURE) {
		air_book_settle(&p->air);
		read_moisture(p);
		p->emc = mem_array(p->stock->ids.n, sizeof *p->emc);
		for (size_t i = 0; i < p->stock->ids.n; i++)
			p->emc[i] = EMC_NOT_ASKED;
	}
	for (uint32_t id = 1; id < p->costing.holdings.nbatches; id++)
		add_batch(p, id);
	p->facts = (struct stock_facts){ .part = p->part, .nparts = p->nparts, .band = p->band, .nbands = p->nbands, .rest = p->want & PARTS_REST, .value = p->want & PARTS_VALUE,
		.moisture = p->want & PARTS_MOISTURE, .currency = book->own < 0 ? SLICE("") : vocab_currency_code(book->own), .places = (unsigned)book->places };
}
