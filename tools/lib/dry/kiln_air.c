#include "dry/kiln_air.h"

#include <math.h>
#include <stdlib.h>

#include "time/calendar.h"
#include "wood/climate.h"

void dry_climates_release(struct dry_climates *set)
{
	for (size_t i = 0; i < set->n; i++)
		free(set->list[i].weather);
	free(set->list);
	hash_index_release(&set->index);
	*set = (struct dry_climates){ 0 };
}

const struct dry_climate *dry_climates_find(const struct dry_climates *set, struct slice id)
{
	struct hash_probe p = hash_probe_of(&set->index, slice_hash(id));

	while (hash_probe_next(&set->index, &p))
		if (slice_eq(set->list[p.row].id, id))
			return &set->list[p.row];
	return NULL;
}

static struct dry_climate *climate_of(struct dry_climates *set, struct slice id)
{
	const struct dry_climate *climate = dry_climates_find(set, id);

	if (climate)
		return &set->list[climate - set->list];
	set->list = mem_grow(set->list, &set->cap, set->n + 1, sizeof *set->list);
	set->list[set->n] = (struct dry_climate){ .id = id };
	hash_index_add(&set->index, slice_hash(id), (uint32_t)set->n);
	return &set->list[set->n++];
}

void dry_climates_add(struct dry_climates *set, struct slice id, struct dry_weather w)
{
	struct dry_climate *climate = climate_of(set, id);

	climate->weather = mem_grow(climate->weather, &climate->cap, climate->n + 1, sizeof *climate->weather);
	climate->weather[climate->n++] = w;
}

/* ---- settling */

static int by_number(double x, double y)
{
	return (x > y) - (x < y);
}

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

void dry_climates_settle(struct dry_climates *set)
{
	for (size_t i = 0; i < set->n; i++)
		fill_weather(&set->list[i]);
}

/* ---- asking */

/* A reading counts for the days up to the next, but for no more and no less than these. */
static const double SPAN_MOST = 3;
static const double SPAN_LEAST = 1.0 / 24;

static const double FOREVER = 1e6; /* days */

size_t dry_climate_from(const struct dry_climate *climate, int64_t utc_s)
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

double dry_weather_emc(const struct dry_weather *w, bool raw)
{
	return raw ? emc_pct(w->temp_c - w->temp_off_c, w->rh_pct - w->rh_off_pct) : emc_pct(w->temp_c, w->rh_pct);
}

const struct dry_weather *dry_climate_last(const struct dry_climate *climate, int64_t utc_s)
{
	size_t n = dry_climate_from(climate, utc_s + 1);

	return n ? &climate->weather[n - 1] : NULL;
}

/* The days up to an instant that a reading counts for. */
static double days_of(const struct dry_climate *climate, size_t i, int64_t utc_s)
{
	const struct dry_weather *w = &climate->weather[i];
	int64_t next = i + 1 < climate->n ? w[1].utc_s : w->utc_s + DAY_S;

	next = next < utc_s ? next : utc_s;
	return fmax(fmin((double)(next - w->utc_s) / DAY_S, SPAN_MOST), SPAN_LEAST);
}

double dry_climate_emc(const struct dry_climate *climate, int64_t utc_s, double days)
{
	double sum = 0, time = 0;

	for (size_t i = dry_climate_from(climate, utc_s - (int64_t)(fmin(days, FOREVER) * DAY_S)); climate && i < climate->n && climate->weather[i].utc_s <= utc_s; i++) {
		const struct dry_weather *w = &climate->weather[i];
		double me = w->measured ? dry_weather_emc(w, false) : NAN, span;

		if (isnan(me))
			continue;
		span = days_of(climate, i, utc_s);
		sum += span * me;
		time += span;
	}
	return time > 0 ? sum / time : NAN;
}
