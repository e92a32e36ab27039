/* moist_ask.h: shares and targets that are asked for, and settings that tell meters' rules apart. */
#include "house/house.h"
#include "house/house_open.h"
#include "moist/moist_ask.h"
#include "check.h"

static void shares(void)
{
	double share = 0.9;

	CHECK_INT(moist_ask_share(SLICE("80%"), &share), MOIST_SHARE_OK);
	CHECK(share == 0.8);
	CHECK_INT(moist_ask_share(SLICE("80"), &share), MOIST_SHARE_MALFORMED);
	CHECK_INT(moist_ask_share(SLICE("0%"), &share), MOIST_SHARE_END);
	CHECK_INT(moist_ask_share(SLICE("100%"), &share), MOIST_SHARE_END);
	moist_ask_house_share(0, &share);
	moist_ask_house_share(HOUSE_NONE, &share);
	CHECK(share == 0.8);
	moist_ask_house_share(950000, &share);
	CHECK(share == 0.95);
}

static void targets(void)
{
	struct moist_ask ask = { .target = HOUSE_NONE };

	CHECK(!moist_ask_target(&ask, SLICE("0%")) && !moist_ask_target(&ask, SLICE("x")) && ask.target == HOUSE_NONE);
	CHECK(moist_ask_target(&ask, SLICE("8.5%")));
	CHECK_INT(ask.target, 85000);
}

static struct buf settings_of(const char *text)
{
	struct buf out = BUF_INIT;
	struct house *house = house_read(slice_of(text), NULL, NULL);

	CHECK(house && house->nmeters == 1);
	moist_ask_settings(house, &out);
	house_free(house);
	return out;
}

static void settings(void)
{
	struct buf a = settings_of("meters:\n  pin: {kind: pin, reference: 20C, per10C: 0.9}\n");
	struct buf b = settings_of("meters:\n  pin: {kind: pin, reference: 20.0C, per10C: 0.90}\n");
	struct buf c = settings_of("meters:\n  pin: {kind: pin, reference: 20C, per10C: 1.0}\n");
	struct buf d = settings_of("meters:\n  pin: {kind: pin, reference: 20C, per10C: 0.9, own: [{date: 2026-05-01, a: -0.5, b: 0.9, pairs: 12, sd: 0.3}]}\n");
	struct buf none = BUF_INIT;

	moist_ask_settings(NULL, &none);
	CHECK(slice_starts(buf_slice(&none), SLICE("clock=Z meters=")));
	CHECK(slice_eq(buf_slice(&a), buf_slice(&b)) && !slice_eq(buf_slice(&a), buf_slice(&c)) && !slice_eq(buf_slice(&a), buf_slice(&d)));
	buf_release(&a);
	buf_release(&b);
	buf_release(&c);
	buf_release(&d);
	buf_release(&none);
}

int main(void)
{
	shares();
	targets();
	settings();
	return check_end();
}
