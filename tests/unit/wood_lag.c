/* Wood that follows its air, and how far it is behind. */
#include <math.h>

#include "air/wood_lag.h"
#include "check.h"
#include "series_made.h"

/* The lag against small steps of its own equation, over an EMC that goes up, down and has a gap. */
static double by_small_steps(const struct air_series *t, double lag_h, int64_t to_s)
{
	struct air_stretch s;
	double mc = t->v[AIR_EMC][0];

	for (size_t where = 0; air_next(t, AIR_EMC, &where, &s);)
		for (int64_t now = t->utc_s[s.from]; !s.gap && now < t->utc_s[s.to] && now < to_s; now += 10)
			mc += (air_at(t, &s, AIR_EMC, (double)now + 5) - mc) * 10 / 3600 / lag_h;
	return mc;
}

static void wood(void)
{
	static const double EMC[] = { 9, 12, 7, 7, 15 };
	struct air_series t = track_of(5, 30 * HOUR);
	struct air_wood w;

	for (int i = 0; i < 5; i++)
		at((size_t)i, (i < 3 ? i : i + 2) * (int64_t)DAY, EMC[i]);
	w = air_wood_at(&t, 48, 6 * DAY - 6 * HOUR);
	CHECK_NEAR(w.mc_pct, by_small_steps(&t, 48, 6 * DAY - 6 * HOUR), 1e-4);
	CHECK_NEAR(w.known, 1 - exp(-18 / 48.0) + (1 - exp(-1)) * exp(-(72 + 18) / 48.0), 1e-9);
	CHECK(isnan(air_wood_at(&t, 48, -1).mc_pct));
	/* from what it was found to be: 8 % a day in, blind through the gap, known from the start on */
	w = air_wood_since(&t, 48, DAY, 8, 6 * DAY - 6 * HOUR);
	CHECK_NEAR(w.mc_pct, air_wood_at(&t, 48, 6 * DAY - 6 * HOUR).mc_pct + (8 - air_wood_at(&t, 48, DAY).mc_pct) * exp(-(24 + 18) / 48.0), 1e-9);
	CHECK_NEAR(w.known, 1 - (1 - exp(-72 / 48.0)) * exp(-18 / 48.0), 1e-9);
	/* before the first reading and after the last nothing moves it */
	w = air_wood_since(&t, 48, -2 * DAY, 8, -DAY);
	CHECK(w.mc_pct == 8);
	CHECK_NEAR(w.known, exp(-0.5), 1e-12);
	CHECK(air_wood_since(&t, 48, 6 * DAY + HOUR, 8, 9 * DAY).mc_pct == 8);
	/* 63.2 % of the way in one lag */
	CHECK_NEAR(air_wood_later(8, 10, 500, 500), 10 - 2 / exp(1), 1e-12);
	/* long in one air, it is at its EMC */
	at(0, 0, 9);
	for (int i = 1; i < 5; i++)
		at((size_t)i, i * (int64_t)DAY, 11);
	CHECK_NEAR(air_wood_at(&t, 1, 4 * DAY).mc_pct, 11, 1e-9);
}

/* Pieces made with a lag of 10 days in an air that swings: the fit finds it; few weights, or none that tell, give none. */
static void lag(void)
{
	struct air_series t = track_of(400, 30 * HOUR);
	struct air_weight w[20];
	struct wood_lag got;
	size_t n = 0;

	for (int i = 0; i < 400; i++)
		at((size_t)i, i * (int64_t)DAY / 2, 10 + 3 * sin(i / 25.0));
	for (int piece = 0; piece < 2; piece++)
		for (int i = 0; i < 10; i++) {
			int64_t when = (20 + 17 * (int64_t)i) * DAY;
			double noise = (i * 7 + piece * 3) % 5 - 2;

			w[n++] = (struct air_weight){ when, piece, (1500 + 90 * piece) * (1 + air_wood_at(&t, 240, when).mc_pct / 100) + 0.2 * noise };
		}
	got = wood_lag_of(&t, w, n);
	CHECK(got.n == 20);
	CHECK_NEAR(got.lag_h, 240, 15);
	CHECK(got.low_h < 240 && got.high_h > 240 && got.low_h > 200 && got.high_h < 290);
	CHECK(isnan(wood_lag_of(&t, w, 7).lag_h));
	CHECK(isnan(wood_lag_of(&t, w, 0).lag_h));
	/* an air that never changes cannot tell */
	for (int i = 0; i < 400; i++)
		at((size_t)i, i * (int64_t)DAY / 2, 10);
	CHECK(isnan(wood_lag_of(&t, w, n).lag_h));
}

/* Lots that rest with a lag of 45 days, in an air whose EMC is 0.7 points off for them; what has come to rest tells nothing. */
static void lag_by_readings(void)
{
	struct air_series t = track_of(400, 30 * HOUR);
	struct air_weight r[12];
	struct wood_lag got;
	size_t n = 0;

	for (int i = 0; i < 400; i++)
		at((size_t)i, i * (int64_t)DAY / 2, 10 + 0.7 + sin(i / 25.0));
	for (int lot = 0; lot < 2; lot++)
		for (int i = 0; i < 6; i++) {
			int64_t first = (10 + 30 * (int64_t)lot) * DAY, when = first + 24 * (int64_t)i * DAY;
			double noise = 0.1 * ((i * 7 + lot * 3) % 5 - 2);

			r[n++] = (struct air_weight){ when, lot, air_wood_since(&t, 45 * 24, first, 17 - lot, when).mc_pct + noise };
		}
	for (int i = 0; i < 400; i++)
		figures[i] -= 0.7;
	got = wood_lag_of_readings(&t, r, n);
	CHECK_INT(got.n, 12);
	CHECK_INT(got.pieces, 2);
	CHECK_NEAR(got.lag_h / 24, 45, 4.5);
	CHECK(got.low_h < 45 * 24 && got.high_h > 45 * 24 && got.high_h / got.low_h < 2);
	/* too few of each; too few in all; in an order of its own */
	CHECK(isnan(wood_lag_of_readings(&t, r, AIR_READINGS_EACH - 1).lag_h));
	CHECK(isnan(wood_lag_of_readings(&t, r, AIR_READINGS_EACH).lag_h));
	CHECK(isnan(wood_lag_of_readings(&t, r, 0).lag_h));
	for (size_t i = 0; i < n; i++)
		r[i].mass = 10.2 + (i % 2 ? 0.2 : -0.2);
	CHECK(isnan(wood_lag_of_readings(&t, r, n).lag_h));
}

int main(void)
{
	wood();
	lag();
	lag_by_readings();
	return check_end();
}
