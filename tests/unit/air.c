/* Air over time: straight lines, gaps, bands, spells, wood that follows, control charts. */
#include <math.h>

#include "air/control_chart.h"
#include "air/series.h"
#include "air/wood_lag.h"
#include "check.h"

enum { HOUR = 3600, DAY = 86400 };

static const struct air_band BAND = { 45, 55 }, OPEN = { -HUGE_VAL, 55 }, NONE = { NAN, NAN };

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
	struct air_series t = track_of(5, 4 * HOUR);
	struct air_sum s, half;

	for (int i = 0; i < 5; i++)
		at((size_t)i, STORY[i].h * HOUR, STORY[i].v);
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
	figures[1] = NAN;
	s = air_sum_of(&t, AIR_TEMP, INT64_MIN, 3 * HOUR, NONE);
	CHECK_NEAR(air_sum_mean(&s), 55, 1e-12);
	CHECK(s.judged_h == 0 && isnan(air_sum_mean(&(struct air_sum){ 0 })));
}

/* Periods one after another with one cursor are each what it is alone, also over holes, gaps and a start without the quantity. */
static void periods(void)
{
	struct air_series t = track_of(300, 3 * HOUR);
	int64_t now = 0;

	for (size_t i = 0; i < 300; i++) {
		now += i % 37 == 5 ? 7 * HOUR : (1 + (int64_t)(i * 7 % 5)) * 900;
		at(i, now, i < 3 || i % 11 == 4 || (i > 150 && i < 190) ? NAN : 50 + 8 * sin((double)i / 9));
	}
	for (int64_t width = 700; width < 3 * DAY; width += width / 3) {
		struct air_cursor c = { 0 };

		for (int64_t from = -HOUR; from < now + HOUR; from += width) {
			struct air_sum alone = air_sum_of(&t, AIR_RH, from, from + width, BAND), sum = { 0 };

			air_sum_add(&sum, &t, AIR_RH, &c, from, from + width, BAND);
			CHECK_CASE(from);
			CHECK(memcmp(&sum, &alone, sizeof sum) == 0);
		}
	}
	CHECK_CASE(-1);
}

/* By an instant: the last point that has it. */
static void points_by(void)
{
	struct air_series t = track_of(5, HOUR);

	for (size_t i = 0; i < 5; i++)
		at(i, 10 * (int64_t)i, i == 3 ? NAN : 1);
	CHECK_INT(air_point_by(&t, AIR_RH, -1), 0);
	CHECK_INT(air_point_by(&t, AIR_RH, 0), 0);
	CHECK_INT(air_point_by(&t, AIR_RH, 19), 1);
	CHECK_INT(air_point_by(&t, AIR_RH, 30), 2);
	CHECK_INT(air_point_by(&t, AIR_RH, 40), 4);
	CHECK_INT(air_point_by(&t, AIR_RH, INT64_MAX), 4);
}

static void spells(void)
{
	struct air_series t = track_of(5, 4 * HOUR);
	struct air_spell s;
	size_t where = 0;

	for (int i = 0; i < 5; i++)
		at((size_t)i, STORY[i].h * HOUR, STORY[i].v);
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
	at(0, 0, 65);
	at(1, 4 * HOUR, 25);
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

/* NIST/SEMATECH e-Handbook 6.3.2.2 (flow rates) and 6.3.2.4 (EWMA, its first values from a mean of 50). */
static void charts(void)
{
	static const double X[] = { 49.6, 47.6, 49.9, 51.3, 47.8, 51.2, 52.6, 52.4, 53.6, 52.1 };
	static const double Z[] = { 52, 47, 53, 49.3 }, EWMA[] = { 50.60, 49.52, 50.56, 50.18 };
	struct air_day day[11];
	struct air_limits l;
	double z = 50;

	for (int k = 0; k < 10; k++)
		day[k] = (struct air_day){ 100 + k, X[k] };
	day[10] = (struct air_day){ 110, 99 };
	CHECK(air_limits_of(day, 11, 100, 109, &l) && l.n == 10 && l.ranges == 9);
	CHECK_NEAR(l.centre, 50.81, 1e-12);
	CHECK_NEAR(l.low, 45.8159, 5e-5);
	CHECK_NEAR(l.high, 55.8041, 5e-5);
	CHECK_NEAR(l.range_high, 3.267 * 1.8778, 1e-3);
	CHECK_NEAR(50 - air_ewma_reach(2.0539), 47.4115, 1e-4); /* printed cut off, not rounded */
	CHECK_NEAR(50 + air_ewma_reach(2.0539), 52.5884, 1e-4);
	CHECK_NEAR(l.ewma_high - l.centre, air_ewma_reach(1.8778 / 1.128), 1e-4);
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
	periods();
	points_by();
	spells();
	wood();
	lag();
	charts();
	return check_end();
}
