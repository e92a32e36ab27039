/*
 * series.h - what the air of one place was, hour by hour, from readings at moments.
 *
 * A track is a row of points in the order of time, no two at one moment, kept as an array for each
 * quantity. Between two neighbours that both have a quantity it goes in a straight line; where they
 * are further apart than the track's `limit_s` there is a gap, of which nothing is known and which
 * nothing joins. EMC is reckoned at the points and goes in a straight line like the others.
 *
 * All is in seconds since 1970 UTC, degrees Celsius and per cent; hours where a name ends in _h.
 * What is not there is NAN. All functions are pure. None may be asked for a quantity whose array is
 * NULL.
 */
#ifndef WITHY_SERIES_H
#define WITHY_SERIES_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "table/table.h"

enum { AIR_TEMP, AIR_RH, AIR_EMC, AIR_QUANTITIES };

struct air_series {
	const int64_t *utc_s;
	const double *v[AIR_QUANTITIES];    /* with the instruments' offsets */
	const double *raw[AIR_QUANTITIES];  /* as read; the same array where no offset is put in */
	size_t n;
	int64_t limit_s;                    /* points further apart are not joined */
};

/* A band; an open end is infinite. None has a NAN. */
struct air_band {
	double low, high;
};

bool air_band_given(struct air_band b);

/* The share of a straight way from `a` to `b` that lies in the band, its ends counted in. */
double air_share_in(double a, double b, struct air_band band);

/* ---- stretches: from one point that has the quantity to the next that has */

struct air_stretch {
	size_t from, to;
	bool gap;
};

/* The next one whose `from` is at or after point *at; false after the last. */
bool air_next(const struct air_series *t, int quantity, size_t *at, struct air_stretch *s);

/* The last point that has the quantity at or before an instant, or the track's first point. */
size_t air_point_by(const struct air_series *t, int quantity, int64_t utc_s);

/* The quantity at a moment within a stretch that is not a gap. */
double air_at(const struct air_series *t, const struct air_stretch *s, int quantity, double utc_s);

/* ---- sums over time */

struct air_sum {
	double covered_h, gap_h;     /* known and not */
	double area, raw_area;       /* per cent (or degrees) times hours */
	double judged_h, in_h;       /* covered hours for which there was a band, and those within it */
	double least, most;          /* of what was covered; meaningless while that is nothing */
};

/* Where in a track the next period begins; {0} is its start. */
struct air_cursor {
	size_t from, to;
};

/* Adds what lies in [from_s, to_s), and moves the cursor to where periods from to_s on have to look. */
void air_sum_add(struct air_sum *sum, const struct air_series *t, int quantity, struct air_cursor *c, int64_t from_s, int64_t to_s, struct air_band band);
void air_sum_merge(struct air_sum *into, const struct air_sum *from);
double air_sum_mean(const struct air_sum *sum);
double air_sum_raw_mean(const struct air_sum *sum);

/* The sum of a track from one moment to another. */
struct air_sum air_sum_of(const struct air_series *t, int quantity, int64_t from_s, int64_t to_s, struct air_band band);

/* ---- spells: how long at a stretch it was out of band */

struct air_spell {
	double from_s, to_s;
	int side;                    /* 1 above the band, -1 below */
	double worst;
	int64_t worst_s;             /* when it was first that far out */
	bool cut_before, cut_after;  /* the air before, or after, is not known */
};

/*
 * The next spell; *at is where to look and is moved on, from 0. A spell that only touches a moment
 * (one reading out, with gaps at both sides) is one of no length. False when there is none.
 */
bool air_next_spell(const struct air_series *t, int quantity, struct air_band band, size_t *at, struct air_spell *spell);

#endif
