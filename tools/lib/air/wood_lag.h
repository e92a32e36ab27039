/*
 * wood_lag.h - the outlook of the wood in a place.
 *
 * The moisture of wood follows the EMC of its air with a time constant, dM/dt = (EMC(t) - M)/lag.
 * Through a gap in the air its moisture is taken as constant. It starts from its latest measurement,
 * else at the EMC of the first reading. `known` is the part of the moisture now that was measured; the
 * rest comes from that guessed start and those gaps.
 * Moisture in per cent of dry mass, times in seconds, lags in hours.
 */
#ifndef WITHY_WOOD_LAG_H
#define WITHY_WOOD_LAG_H

#include <stddef.h>
#include <stdint.h>

struct air_series;

struct air_wood {
	double mc_pct;   /* NAN without an EMC */
	double known;    /* 0 to 1 */
	double left;     /* the share of its start that is still in it, 0 to 1 */
};

/* The wood of a place at an instant, from the first EMC on; exact for EMC in straight lines. */
struct air_wood air_wood_at(const struct air_series *t, double lag_h, int64_t now_s);

/* Wood found to be of `mc_pct` at `from_s`, at an instant not before. */
struct air_wood air_wood_since(const struct air_series *t, double lag_h, int64_t from_s, double mc_pct, int64_t now_s);

/* Its moisture `hours` later when the EMC stays at `emc_pct` from now on. */
double air_wood_later(double mc_pct, double emc_pct, double lag_h, double hours);

/* The weight of one reference piece at one moment. */
struct air_weight {
	int64_t utc_s;
	int piece;       /* pieces are numbered from 0, and come one after another */
	double mass;
};

enum { AIR_WEIGHTS_EACH = 4, AIR_WEIGHTS_LEAST = 8 };

/*
 * The lag of the wood of a place from the weights of reference pieces. Each piece has a lag of its own, a dry mass
 * and a first moisture, found by least squares; the noise of the weights is that of all pieces together. A piece that
 * was weighed fewer than AIR_WEIGHTS_EACH times while the air is known is not used, nor one whose weights do not
 * distinguish between lags (the best is at an end of the range that is tried, 12 h to 200 days, or its log has a
 * standard error above 0.5).
 *
 * `lag_h` is the mean of pieces (of the logs, random_effect.h). `low` to `high` is its 90 % interval, for
 * pieces of which these are a sample: it allows for how much they differ. They are NAN for one piece, which does
 * not show that. `n` is how many weights were used, of `pieces`. `lag_h` is NAN with fewer than
 * AIR_WEIGHTS_LEAST weights that tell a lag.
 */
struct wood_lag {
	double lag_h, low_h, high_h;
	size_t n, pieces;
};

struct wood_lag wood_lag_of(const struct air_series *t, const struct air_weight *w, size_t n);

enum { AIR_READINGS_EACH = 3 };

/*
 * The lag from meter readings: r[i].mass is the mean moisture, in per cent, that was read of the lot r[i].piece in that
 * place at one time. All lots have one lag, and each a first moisture of its own, found by least squares. The EMC may be off
 * by an amount that is the same for all; it is found with them, and is taken to be within a point or so. A lot that was read
 * fewer than AIR_READINGS_EACH times while the air is known is not used. `low` to `high` is the 90 % interval, by readings
 * that are never taken to be better than 0.3 points. `lag_h` is NAN where the readings do not distinguish between lags, as
 * above. Readings of wood that has come to rest say nothing of it.
 */
struct wood_lag wood_lag_of_readings(const struct air_series *t, const struct air_weight *r, size_t n);

/*
 * The moisture of a piece at its last weight. It follows from the dry mass that fits the weights when wood
 * follows the air with that lag. The weights are those of w[0..n) while the air is known. The result is NAN
 * when the weights do not determine it.
 */
double air_weighed_mc(const struct air_series *t, const struct air_weight *w, size_t n, double lag_h, int64_t *last_s);

#endif
