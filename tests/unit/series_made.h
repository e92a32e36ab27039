/*
 * series_made.h - a record of air that a test makes, point by point; for tests/unit alone.
 */
#ifndef WITHY_SERIES_MADE_H
#define WITHY_SERIES_MADE_H

#include "air/series.h"

enum { HOUR = 3600, DAY = 86400 };

/* The points of the track in hand; its raw figures are all one less. */
static int64_t utc_s[400];
static double figures[400], raw_figures[400];

static void at(size_t i, int64_t when_s, double v)
{
	utc_s[i] = when_s;
	figures[i] = v;
	raw_figures[i] = v - 1;
}

static struct air_series track_of(size_t n, int64_t limit_s)
{
	return (struct air_series){ .utc_s = utc_s, .v = { figures, figures, figures },
		.raw = { raw_figures, raw_figures, raw_figures }, .n = n, .limit_s = limit_s };
}

#endif
