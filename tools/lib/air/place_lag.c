#include "air/place_lag.h"

#include <math.h>
#include <stdlib.h>

#include "air/air_book.h"
#include "book/value.h"
#include "house/house.h"

struct labelled {
	struct slice label;
	struct air_weight w;
};

static int by_label(const void *a, const void *b)
{
	const struct labelled *x = a, *y = b;
	int order = slice_cmp(x->label, y->label);

	if (!order)
		order = (x->w.utc_s > y->w.utc_s) - (x->w.utc_s < y->w.utc_s);
	return order ? order : (x->w.mass > y->w.mass) - (x->w.mass < y->w.mass);
}

struct air_weight *place_weights(const struct air_book *b, struct slice place, int64_t before_s, size_t *n)
{
	struct labelled *all = mem_array(b->nweighings, sizeof *all);
	struct air_weight *w = mem_array(b->nweighings, sizeof *w);

	*n = 0;
	for (size_t i = 0; i < b->nweighings; i++)
		if (slice_eq(intern_text(&b->ids, b->weighing[i].place), place) && b->weighing[i].utc_s < before_s)
			all[(*n)++] = (struct labelled){ intern_text(&b->ids, b->weighing[i].label), { b->weighing[i].utc_s, 0, (double)b->weighing[i].mass } };
	if (*n)
		qsort(all, *n, sizeof *all, by_label);
	for (size_t i = 0; i < *n; i++) {
		w[i] = all[i].w;
		w[i].piece = i ? w[i - 1].piece + !slice_eq(all[i].label, all[i - 1].label) : 0;
	}
	free(all);
	return w;
}

struct wood_lag place_lag_of(const struct air_series *t, const struct house_place *place, const struct air_weight *w, size_t n, const char **from)
{
	struct wood_lag lag = wood_lag_of(t, w, n);

	*from = "weighed";
	if (!isnan(lag.lag_h))
		return lag;
	if (place && place->lag != HOUSE_NONE) {
		lag.lag_h = (double)place->lag / VALUE_STEPS;
		*from = "house";
	} else {
		lag.lag_h = AIR_LAG_USUAL_H;
		*from = "assumed";
	}
	return lag;
}

double place_recent_h(double lag_h)
{
	static const double RECENT_H = 42 * 24;

	return fmax(RECENT_H, 2 * lag_h);
}
