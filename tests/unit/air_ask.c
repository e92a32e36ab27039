/* air_ask.h: spans of days, places that are asked for, and settings of a state that tell bands apart. */
#include "air/air_ask.h"
#include "house/house_open.h"
#include "time/stamp.h"
#include "check.h"

static void baselines(void)
{
	static const char *const bad[] = { "", "2026-01-01", "2026-01-01..", "..2026-01-01", "2026-01-01.2026-01-02",
		"2026-02-30..2026-03-01", "2026-01-02..2026-01-01", "2026-01-01..2026-01-02 " };
	struct air_ask ask = { .base_from = 0 };

	CHECK(air_ask_reference(&ask, SLICE("2026-01-01..2026-01-31")));
	CHECK_INT(ask.base_from, day_of(2026, 1, 1));
	CHECK_INT(ask.base_to, day_of(2026, 1, 31));
	CHECK(air_ask_reference(&ask, SLICE("2026-01-01..2026-01-01")));
	for (size_t i = 0; i < sizeof bad / sizeof *bad; i++) {
		CHECK_CASE(i);
		CHECK(!air_ask_reference(&ask, slice_of(bad[i])));
	}
	CHECK_CASE(-1);
}

static void what_is_asked(void)
{
	const char *const place[] = { "north", "store/r1" };
	struct air_ask ask = { .from = 10, .to = 12 };

	CHECK(air_ask_covers(&ask, 10) && air_ask_covers(&ask, 12) && !air_ask_covers(&ask, 13) && !air_ask_covers(&ask, 9));
	CHECK(air_ask_place(&ask, SLICE("south")));
	ask.place = place;
	ask.nplaces = 2;
	CHECK(air_ask_place(&ask, SLICE("store/r1")) && !air_ask_place(&ask, SLICE("store")) && !air_ask_place(&ask, SLICE("south")));
}

/* The settings of a house with one place, whose band of humidity ends at `high`. */
static void write_settings(const char *high, struct buf *out)
{
	struct buf text = BUF_INIT;
	struct air_ask ask = { .wants = { true, false, true } };
	struct house *house;

	buf_printf(&text, "places:\n  r1: {kind: rack, rh: 50%%..%s}\n", high);
	house = house_read(buf_slice(&text), NULL, NULL);
	CHECK(house != NULL);
	ask.house = house;
	air_ask_settings(&ask, out);
	house_free(house);
	buf_release(&text);
}

static void settings(void)
{
	struct buf a = BUF_INIT, b = BUF_INIT, c = BUF_INIT;

	write_settings("60%", &a);
	write_settings("60.0%", &b);
	write_settings("61%", &c);
	CHECK(slice_starts(buf_slice(&a), SLICE(" of=101 bands=")));
	CHECK(slice_eq(buf_slice(&a), buf_slice(&b)) && !slice_eq(buf_slice(&a), buf_slice(&c)));
	buf_release(&a);
	buf_release(&b);
	buf_release(&c);
}

int main(void)
{
	baselines();
	what_is_asked();
	settings();
	return check_end();
}
