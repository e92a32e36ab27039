/*
 * place_lag.h - the time constant of the wood of a place: by the weights of its reference pieces, else the house file's,
 * else an assumed one.
 */
#ifndef WITHY_PLACE_LAG_H
#define WITHY_PLACE_LAG_H

#include "air/wood_lag.h"
#include "base/text.h"

struct air_book;
struct house_place;

#define AIR_LAG_USUAL_H 504.0  /* 21 days; assumed, not measured */

/* The weights of the place's reference pieces before an instant, piece by piece; the caller frees them. */
struct air_weight *place_weights(const struct air_book *b, struct slice place, int64_t before_s, size_t *n);

/* `place` may be NULL. *from is set to "weighed", "house" or "assumed". */
struct wood_lag place_lag_of(const struct air_series *t, const struct house_place *place, const struct air_weight *w, size_t n, const char **from);

/* How many hours a reading of the wood says something of today: six weeks, or two time constants where those are longer. */
double place_recent_h(double lag_h);

#endif
