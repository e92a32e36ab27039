/*
 * pair_rooms.h - the air of the places that pieces are in, and how the wood of each form follows it.
 *
 * The time constant is the place's by weights or by the house file; else it is found from what was read of the lots of
 * that form in the place (wood_lag.h), else assumed.
 */
#ifndef WITHY_PAIR_ROOMS_H
#define WITHY_PAIR_ROOMS_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "air/wood_lag.h"

struct air_book;
struct air_points;
struct house;
struct intern;
struct read_days;

struct pair_room {
	uint32_t place;            /* of the intern table */
	bool handles;
	const struct air_series *air;
	struct air_points *points; /* holds them */
	struct wood_lag lag;
	const char *lag_from;      /* "weighed", "house", "read" or "assumed" */
	double emc_pct, temp_c;    /* the means of the last four weeks; NAN without */
};

struct pair_rooms {
	const struct house *house; /* or NULL */
	const struct air_book *air; /* settled */
	const struct read_days *days;
	const struct intern *ids;
	const bool *is_handle;     /* by id: whether it is a lot of handles */
	int64_t now_s;             /* what is later does not count */
	struct pair_room **room;   /* those that were asked for */
	size_t n, cap;
};

/* What is handed in must last; the caller sets it. */
void pair_rooms_release(struct pair_rooms *r);

/* The place for that form, or NULL where its air was never read. Holds as long as the rooms. */
const struct pair_room *pair_room_of(struct pair_rooms *r, uint32_t place, bool handles);

/* What wood that was of `mc_pct` at an instant is now; and in so many days, if the air stays as in the last four weeks. */
double pair_room_now(const struct pair_room *room, int64_t now_s, int64_t from_s, double mc_pct);
double pair_room_later(const struct pair_room *room, double mc_pct, int days);

#endif
