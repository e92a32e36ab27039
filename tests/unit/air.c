/* Air over time: straight lines, gaps, bands, spells, wood that follows, control charts. */
#include "check.h"
#include "air_track.h"
#include "air_ahead.h"
#include "air_chart.h"
#include "numerics.h"

#include <math.h>

enum { HOUR = 3600, DAY = 86400 };

static const struct air_band BAND = { 45, 55 }, OPEN = { -HUGE_VAL, 55 }, NONE = { NAN, NAN };

static struct air_point at(int64_t utc_s, double v)
{
	return (struct air_point){ .utc_s = utc_s, .v = { v, v, v }, .raw = { v - 1, v - 1, v - 1 }, .n = 1 };
}

static void shares(void)
{
	CHECK_NEAR(air_share_in(40, 60, BAND), 0.5, 1e-15);
	CHECK_NEAR(air_share_in(60, 40, BAND), 0.5, 1e-15);
	CHECK_NEAR(air_share_in(50, 60, BAND), 0.5, 1e-15);
	CHECK_NEAR(air_share_in(40, 60, OPEN), 0.75, 1e-15);
	CHECK(air_share_in(55, 55, BAND) == 1 && air_share_in(55.1, 55.1, BAND) == 0 && air_share_in(56, 60, BAND) == 0);
	CHECK(air_band_given(BAND) && air_band_given(OPEN) && !air_band_given(NONE));
}

/* 50 for an hour, up to 60 in two, a gap of ten hours, 40 up to 50 in four. */
static const struct { int64_t h; double v; } STORY[] = { { 0, 50 }, { 1, 50 }, { 3, 60 }, { 13, 40 }, { 17, 50 } };

static void sums(void)
{
	struct air_point p[6];
	struct air_track t = { p, 5, 4 * HOUR };
	struct air_sum s, half;

	for (int i = 0; i < 5; i++)
		p[i] = at(STORY[i].h * HOUR, STORY[i].v);
	s = air_sum_of(&t, AIR_RH, INT64_MIN, INT64_MAX, BAND);
	CHECK_NEAR(s.covered_h, 7, 1e-12);
	CHECK_NEAR(s.gap_h, 10, 1e-12);
	CHECK_NEAR(air_sum_mean(&s), (50 + 110 + 180) / 7.0, 1e-12); /* 1 h of 50, 2 h of 55, 4 h of 45 */
	CHECK_NEAR(air_sum_raw_mean(&s), 340 / 7.0 - 1, 1e-12);
	CHECK_NEAR(s.in_h, 1 + 1 + 2, 1e-12);
	CHECK_NEAR(s.judged_h, 7, 1e-12);
	CHECK(s.least == 40 && s.most == 60);
	/* the same, cut in two anywhere */
	for (int64_t cut = 0; cut <= 17 * HOUR; cut += 1777) {
		s = air_sum_of(&t, AIR_RH, INT64_MIN, cut, BAND);
		half = air_sum_of(&t, AIR_RH, cut, INT64_MAX, BAND);
		air_sum_merge(&s, &half);
		CHECK_CASE(cut);
		CHECK_NEAR(s.area, 340, 1e-9);
		CHECK_NEAR(s.in_h, 4, 1e-9);
		CHECK_NEAR(s.gap_h, 10, 1e-9);
		CHECK(s.least == 40 && s.most == 60);
	}
	CHECK_CASE(-1);
	/* a limit as long as the stretch still joins */
	t.limit_s = 10 * HOUR;
	CHECK_NEAR(air_sum_of(&t, AIR_RH, INT64_MIN, INT64_MAX, NONE).gap_h, 0, 0);
	/* a point without the quantity is passed over, and its neighbours joined */
	p[1].v[AIR_TEMP] = NAN;
	s = air_sum_of(&t, AIR_TEMP, INT64_MIN, 3 * HOUR, NONE);
	CHECK_NEAR(air_sum_mean(&s), 55, 1e-12);
	CHECK(s.judged_h == 0 && isnan(air_sum_mean(&(struct air_sum){ 0 })));
}

static void spells(void)
{
	struct air_point p[6];
	struct air_track t = { p, 5, 4 * HOUR };
	struct air_spell s;
	size_t where = 0;

	for (int i = 0; i < 5; i++)
		p[i] = at(STORY[i].h * HOUR, STORY[i].v);
	CHECK(air_next_spell(&t, AIR_RH, BAND, &where, &s));
	CHECK(s.side == 1 && s.worst == 60 && s.worst_s == 3 * HOUR && !s.cut_before && s.cut_after);
	CHECK_NEAR(s.from_s, 2 * HOUR, 1e-6);
	CHECK_NEAR(s.to_s, 3 * HOUR, 1e-6);
	CHECK(air_next_spell(&t, AIR_RH, BAND, &where, &s));
	CHECK(s.side == -1 && s.worst == 40 && s.cut_before && !s.cut_after);
	CHECK_NEAR(s.from_s, 13 * HOUR, 1e-6);
	CHECK_NEAR(s.to_s, 15 * HOUR, 1e-6);
	CHECK(!air_next_spell(&t, AIR_RH, BAND, &where, &s));
	/* straight from above to below: two spells, with the band between them */
	p[0] = at(0, 65);
	p[1] = at(4 * HOUR, 25);
	t.n = 2;
	where = 0;
	CHECK(air_next_spell(&t, AIR_RH, BAND, &where, &s) && s.cut_before && !s.cut_after);
	CHECK_NEAR(s.to_s, 1 * HOUR, 1e-6);
	CHECK(air_next_spell(&t, AIR_RH, BAND, &where, &s) && s.side == -1 && !s.cut_before && s.cut_after);
	CHECK_NEAR(s.from_s, 2 * HOUR, 1e-6);
	CHECK(!air_next_spell(&t, AIR_RH, BAND, &where, &s));
	/* a single reading */
	t.n = 1;
	where = 0;
	CHECK(air_next_spell(&t, AIR_RH, BAND, &where, &s) && s.cut_before && s.cut_after && s.from_s == s.to_s);
}

/* The lag against small steps of its own equation, over an EMC that goes up, down and has a gap. */
static double by_small_steps(const struct air_track *t, double lag_h, int64_t to_s)
{
	struct air_stretch s;
	double mc = t->point[0].v[AIR_EMC];

	for (size_t where = 0; air_next(t, AIR_EMC, &where, &s);)
		for (int64_t now = s.from->utc_s; !s.gap && now < s.to->utc_s && now < to_s; now += 10)
			mc += (air_at(&s, AIR_EMC, (double)now + 5) - mc) * 10 / 3600 / lag_h;
	return mc;
}

static void wood(void)
{
	static const double EMC[] = { 9, 12, 7, 7, 15 };
	struct air_point p[5];
	struct air_track t = { p, 5, 30 * HOUR };
	struct air_wood w;

	for (int i = 0; i < 5; i++)
		p[i] = at((i < 3 ? i : i + 2) * (int64_t)DAY, EMC[i]);
	w = air_wood_at(&t, 48, 6 * DAY - 6 * HOUR);
	CHECK_NEAR(w.mc_pct, by_small_steps(&t, 48, 6 * DAY - 6 * HOUR), 1e-4);
	CHECK_NEAR(w.known, 1 - exp(-18 / 48.0) + (1 - exp(-1)) * exp(-(72 + 18) / 48.0), 1e-9);
	CHECK(isnan(air_wood_at(&t, 48, -1).mc_pct));
	/* 63.2 % of the way in one lag */
	CHECK_NEAR(air_wood_later(8, 10, 500, 500), 10 - 2 / exp(1), 1e-12);
	/* long in one air, it is at its EMC */
	p[0] = at(0, 9);
	for (int i = 1; i < 5; i++)
		p[i] = at(i * (int64_t)DAY, 11);
	CHECK_NEAR(air_wood_at(&t, 1, 4 * DAY).mc_pct, 11, 1e-9);
}

/* Pieces made with a lag of 10 days in an air that swings: the fit finds it; few weights, or none that tell, give none. */
static void lag(void)
{
	static struct air_point p[400];
	struct air_track t = { p, 400, 30 * HOUR }, still;
	struct air_weight w[20];
	struct air_lag got;
	size_t n = 0;

	for (int i = 0; i < 400; i++)
		p[i] = at(i * (int64_t)DAY / 2, 10 + 3 * sin(i / 25.0));
	for (int piece = 0; piece < 2; piece++)
		for (int i = 0; i < 10; i++) {
			struct air_track upto = t;
			int64_t when = (20 + 17 * (int64_t)i) * DAY;
			double noise = (i * 7 + piece * 3) % 5 - 2;

			w[n++] = (struct air_weight){ when, piece, (1500 + 90 * piece) * (1 + air_wood_at(&upto, 240, when).mc_pct / 100) + 0.2 * noise };
		}
	got = air_lag_of(&t, w, n);
	CHECK(got.n == 20);
	CHECK_NEAR(got.lag_h, 240, 15);
	CHECK(got.low_h < 240 && got.high_h > 240 && got.low_h > 200 && got.high_h < 290);
	CHECK(isnan(air_lag_of(&t, w, 7).lag_h));
	CHECK(isnan(air_lag_of(&t, w, 0).lag_h));
	/* an air that never changes cannot tell */
	still = t;
	for (int i = 0; i < 400; i++)
		p[i] = at(i * (int64_t)DAY / 2, 10);
	CHECK(isnan(air_lag_of(&still, w, n).lag_h));
}

/* NIST/SEMATECH e-Handbook 6.3.2.2 (flow rates) and 6.3.2.4 (EWMA, its first values from a mean of 50). */
static void charts(void)
{
	static const double X[] = { 49.6, 47.6, 49.9, 51.3, 47.8, 51.2, 52.6, 52.4, 53.6, 52.1 };
	static const double Z[] = { 52, 47, 53, 49.3 }, EWMA[] = { 50.60, 49.52, 50.56, 50.18 };
	struct air_day day[11];
	struct air_limits l;
	struct num_interval i;
	double mean, z = 50;

	for (int k = 0; k < 10; k++)
		day[k] = (struct air_day){ 100 + k, X[k] };
	day[10] = (struct air_day){ 110, 99 };
	CHECK(air_limits_of(day, 11, 100, 109, &l) && l.n == 10 && l.ranges == 9);
	CHECK_NEAR(l.centre, 50.81, 1e-12);
	CHECK_NEAR(l.low, 45.8159, 5e-5);
	CHECK_NEAR(l.high, 55.8041, 5e-5);
	CHECK_NEAR(l.range_high, 3.267 * 1.8778, 1e-3);
	i = num_individuals(X, 10, &mean);
	CHECK_NEAR(i.low, l.low, 1e-9);
	/* a missing day has no range over it */
	day[5].day = day[6].day = 0;
	CHECK(air_limits_of(day, 11, 100, 109, &l) && l.n == 8 && l.ranges == 6);
	CHECK(!air_limits_of(day, 11, 100, 100, &l));
	for (int k = 0; k < 4; k++) {
		z = air_ewma_next(z, Z[k]);
		CHECK_CASE(k);
		CHECK_NEAR(z, EWMA[k], 0.0051);
	}
}

int main(void)
{
	shares();
	sums();
	spells();
	wood();
	lag();
	charts();
	return check_end();
}
