/*
 * kiln_air.h - the air of kilns and stores, moment by moment: what was measured, and what was set.
 *
 * What was measured has the offsets that checks of its instruments showed (air_book.h).
 */
#ifndef WITHY_KILN_AIR_H
#define WITHY_KILN_AIR_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "base/hash_index.h"
#include "base/text.h"

/* What was measured or set of the air of a place. Of what a line does not give, what was so before stays. */
struct dry_weather {
	int64_t utc_s;
	double temp_c, rh_pct;     /* with the instruments' offsets; NAN where none was given yet */
	double temp_off_c, rh_off_pct; /* the offsets that are in them; 0 for none */
	bool measured;
};

/* The air of a kiln or a store. */
struct dry_climate {
	struct slice id;
	struct dry_weather *weather;
	size_t n, cap;
};

struct dry_climates {
	struct dry_climate *list;
	size_t n, cap;
	struct hash_index index;   /* by id */
};

void dry_climates_release(struct dry_climates *set);

/* The climate of a place, or NULL. */
const struct dry_climate *dry_climates_find(const struct dry_climates *set, struct slice id);

/* Adds to the place's; `id` must last. */
void dry_climates_add(struct dry_climates *set, struct slice id, struct dry_weather w);

/* Puts all in the order of time and fills in what a line does not give. After the last is added. */
void dry_climates_settle(struct dry_climates *set);

/* The index of the first at that instant or after it; climate->n for none, 0 where `climate` is NULL. */
size_t dry_climate_from(const struct dry_climate *climate, int64_t utc_s);

/* The EMC of that air; `raw`: as its instruments showed it. NAN where there is none. */
double dry_weather_emc(const struct dry_weather *w, bool raw);

/*
 * The mean EMC of a place in the `days` before an instant, by time between readings at most three
 * days apart; NAN where there is none.
 */
double dry_climate_emc(const struct dry_climate *climate, int64_t utc_s, double days);

/* What is measured or set last before an instant; NULL for nothing. */
const struct dry_weather *dry_climate_last(const struct dry_climate *climate, int64_t utc_s);

#endif
