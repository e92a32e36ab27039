/* The air of a place over time: straight lines, gaps, bands, spells. */
#include <math.h>

#include "check.h"
#include "series_made.h"

static const struct air_band BAND = { 45, 55 }, OPEN = { -HUGE_VAL, 55 }, NONE = { NAN, NAN };

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

int main(void)
{
	shares();
	sums();
	periods();
	points_by();
	spells();
	return check_end();
}
