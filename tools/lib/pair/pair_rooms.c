#include "pair/pair_rooms.h"

#include <math.h>
#include <stdlib.h>

#include "air/air_book.h"
#include "air/air_view.h"
#include "air/place_lag.h"
#include "house/house.h"
#include "pair/read_days.h"

void pair_rooms_release(struct pair_rooms *r)
{
	for (size_t i = 0; i < r->n; i++) {
		air_points_release(r->room[i]->points);
		free(r->room[i]->points);
		free(r->room[i]);
	}
	free(r->room);
	r->room = NULL;
	r->n = r->cap = 0;
}

static const struct air_record *record_of(const struct air_book *b, struct slice place)
{
	for (size_t i = 0; i < b->nrecords; i++)
		if (slice_eq(b->record[i].id, place) && b->record[i].n)
			return &b->record[i];
	return NULL;
}

/* Until now, and without the points after it. */
static void fill_air(const struct pair_rooms *r, struct pair_room *room, const struct air_record *record, const struct house_place *place)
{
	struct air_series *track = &room->points->track;

	air_book_points(r->air, record, AIR_WITH_EMC, room->points);
	track->limit_s = llround(HOUR_S * air_view_limit_h(r->house, place));
	while (track->n && track->utc_s[track->n - 1] >= r->now_s)
		track->n--;
	room->air = track;
}

static double mean_of(const struct pair_rooms *r, const struct pair_room *room, int quantity)
{
	static const struct air_band NONE = { NAN, NAN };
	struct air_sum sum = air_sum_of(room->air, quantity, r->now_s - 28 * DAY_S, r->now_s, NONE);

	return sum.covered_h > 0 ? air_sum_mean(&sum) : NAN;
}

/* ---- the lag by what was read there */

struct looked {
	struct slice lot;
	struct air_weight w;
};

static int by_lot(const void *a, const void *b)
{
	const struct looked *x = a, *y = b;
	int order = slice_cmp(x->lot, y->lot);

	return order ? order : (x->w.utc_s > y->w.utc_s) - (x->w.utc_s < y->w.utc_s);
}

static struct wood_lag lag_by_readings(const struct pair_rooms *r, const struct pair_room *room)
{
	struct looked *all = mem_array(r->days->n, sizeof *all);
	struct air_weight *w = mem_array(r->days->n, sizeof *w);
	struct wood_lag lag;
	size_t n = 0;

	for (size_t i = 0; i < r->days->n; i++) {
		const struct read_day *d = &r->days->row[i];

		if (d->place == room->place && d->n && !d->off && !d->judged && r->is_handle[d->whose] == room->handles)
			all[n++] = (struct looked){ intern_text(r->ids, d->whose), { d->utc_s, 0, read_day_mean(d) } };
	}
	if (n)
		qsort(all, n, sizeof *all, by_lot);
	for (size_t i = 0; i < n; i++) {
		w[i] = all[i].w;
		w[i].piece = i ? w[i - 1].piece + !slice_eq(all[i].lot, all[i - 1].lot) : 0;
	}
	lag = wood_lag_of_readings(room->air, w, n);
	free(w);
	free(all);
	return lag;
}

static void find_lag(const struct pair_rooms *r, struct pair_room *room, const struct house_place *place)
{
	size_t n;
	struct air_weight *w = place_weights(r->air, intern_text(r->ids, room->place), r->now_s, &n);

	room->lag = place_lag_of(room->air, place, w, n, &room->lag_from);
	free(w);
	if (slice_eq(slice_of(room->lag_from), SLICE("assumed"))) {
		struct wood_lag read = lag_by_readings(r, room);

		if (!isnan(read.lag_h)) {
			room->lag = read;
			room->lag_from = "read";
		}
	}
}

static struct pair_room *add_room(struct pair_rooms *r, uint32_t place, bool handles, const struct air_record *record)
{
	const struct house_place *known = r->house ? house_place(r->house, intern_text(r->ids, place)) : NULL;
	struct pair_room *room = mem_zeroed(1, sizeof *room);

	*room = (struct pair_room){ .place = place, .handles = handles, .points = mem_zeroed(1, sizeof *room->points) };
	fill_air(r, room, record, known);
	find_lag(r, room, known);
	room->emc_pct = mean_of(r, room, AIR_EMC);
	room->temp_c = mean_of(r, room, AIR_TEMP);
	r->room = mem_grow(r->room, &r->cap, r->n + 1, sizeof *r->room);
	r->room[r->n++] = room;
	return room;
}

const struct pair_room *pair_room_of(struct pair_rooms *r, uint32_t place, bool handles)
{
	const struct air_record *record;

	for (size_t i = 0; i < r->n; i++)
		if (r->room[i]->place == place && r->room[i]->handles == handles)
			return r->room[i];
	record = place ? record_of(r->air, intern_text(r->ids, place)) : NULL;
	return record ? add_room(r, place, handles, record) : NULL;
}

double pair_room_now(const struct pair_room *room, int64_t now_s, int64_t from_s, double mc_pct)
{
	return room->air->n ? air_wood_since(room->air, room->lag.lag_h, from_s, mc_pct, now_s).mc_pct : mc_pct;
}

double pair_room_later(const struct pair_room *room, double mc_pct, int days)
{
	return isnan(room->emc_pct) ? mc_pct : air_wood_later(mc_pct, room->emc_pct, room->lag.lag_h, 24.0 * days);
}
