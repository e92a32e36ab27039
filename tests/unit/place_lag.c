/* The time constant of a place: the house's or an assumed one without weights; how long a reading says something. */
#include "air/place_lag.h"
#include "air/series.h"
#include "book/value.h"
#include "house/house.h"
#include "check.h"

int main(void)
{
	const struct air_series none = { .n = 0 };
	struct house_place place = { .lag = HOUSE_NONE };
	const char *from = NULL;

	CHECK(place_lag_of(&none, NULL, NULL, 0, &from).lag_h == AIR_LAG_USUAL_H);
	CHECK_TEXT(slice_of(from), "assumed");
	CHECK(place_lag_of(&none, &place, NULL, 0, &from).lag_h == AIR_LAG_USUAL_H);
	CHECK_TEXT(slice_of(from), "assumed");
	place.lag = 240 * VALUE_STEPS;
	CHECK(place_lag_of(&none, &place, NULL, 0, &from).lag_h == 240);
	CHECK_TEXT(slice_of(from), "house");
	/* 42 days, or two time constants */
	CHECK(place_recent_h(21 * 24) == 42 * 24);
	CHECK(place_recent_h(5) == 42 * 24);
	CHECK(place_recent_h(45 * 24) == 90 * 24);
	return check_end();
}
