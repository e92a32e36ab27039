/* money.c: parts, shares and conversions lose no unit and round once. */
#include <stdio.h>
#include <stdlib.h>

#include "cost/money.h"
#include "math/stats.h"

static int failures;

#define CHECK(what) do { if (!(what)) { failures++; printf("%d: %s\n", __LINE__, #what); } } while (0)

static uint64_t state = 7;

static int64_t rnd(int64_t n)
{
	state = state * 6364136223846793005u + 1442695040888963407u;
	return (int64_t)((state >> 33) % (uint64_t)n);
}

static void a_part_is_rounded_half_to_even(void)
{
	CHECK(money_part(100, 1, 3) == 33 && money_part(100, 2, 3) == 67 && money_part(100, 3, 3) == 100);
	CHECK(money_part(5, 1, 2) == 2 && money_part(7, 1, 2) == 4 && money_part(-5, 1, 2) == -2 && money_part(-7, 1, 2) == -4);
	CHECK(money_part(0, 1, 9) == 0 && money_part(9, 0, 4) == 0);
	CHECK(money_part(INT64_MAX / 2, INT64_MAX / 4, INT64_MAX / 2) == INT64_MAX / 4);
}

static void a_price_is_converted_once(void)
{
	int64_t out = 0;

	CHECK(money_convert(1111480, 2, 222780000, 2, &out) && out == 2476155); /* 11114.80 at 2.2278: 24761.55144 */
	CHECK(money_convert(1000, 0, 1550000, 2, &out) && out == 1550);         /* 1000 yen at 0.0155 */
	CHECK(money_convert(1, 3, 500000000, 2, &out) && out == 0);             /* 0.001 at 5: half a cent, to even */
	CHECK(money_convert(3, 3, 500000000, 2, &out) && out == 2);
	CHECK(money_convert(-3, 3, 500000000, 2, &out) && out == -2);
	CHECK(money_convert(250, 2, 100000000, 0, &out) && out == 2);
	CHECK(!money_convert(INT64_MAX / 4, 0, 100000000000000000, 3, &out));
}

static int64_t sum_of(const int64_t *share, size_t n)
{
	int64_t sum = 0;

	for (size_t i = 0; i < n; i++)
		sum += share[i];
	return sum;
}

static void shares_are_those_of_the_largest_remainder(void)
{
	for (int round = 0; round < 4000; round++) {
		size_t n = (size_t)(1 + rnd(30));
		int64_t amount = rnd(round % 3 ? 200 : 1000000000000), plain[30], share[30], want[30], all = 0;
		int128 weight[30];

		amount -= rnd(100);
		for (size_t i = 0; i < n; i++) {
			plain[i] = rnd(round % 2 ? 4 : 100000);
			weight[i] = plain[i];
			all += plain[i];
		}
		money_share(amount, weight, n, share);
		CHECK(sum_of(share, n) == amount);
		if (all && apportion(amount, plain, n, want))
			for (size_t i = 0; i < n; i++)
				CHECK(share[i] == want[i]);
	}
}

static void weights_may_be_vast_or_nothing(void)
{
	int128 vast[] = { (int128)1 << 100, (int128)1 << 100, (int128)1 << 101 }, none[] = { 0, 0, 0 };
	struct money_room room = { .cap = 0 };
	int64_t share[3];

	money_share(101, vast, 3, share);
	CHECK(sum_of(share, 3) == 101 && share[2] == 51 && share[0] == 25);
	money_share(100, none, 3, share);
	CHECK(share[0] == 34 && share[1] == 33 && share[2] == 33);
	money_share(-100, none, 3, share);
	CHECK(share[0] == -34 && share[1] == -33 && share[2] == -33);
	money_share(-7, vast, 1, share);
	CHECK(share[0] == -7);
	money_share_by(&room, 100, 0, (int64_t[]){ 0, 0, 0 }, 3, share);
	CHECK(share[0] == 34 && share[1] == 33 && share[2] == 33);
	money_share_by(&room, 100, 4, (int64_t[]){ 1, 0, 3 }, 3, share);
	CHECK(share[0] == 25 && share[1] == 0 && share[2] == 75);
	money_room_release(&room);
}

int main(void)
{
	a_part_is_rounded_half_to_even();
	a_price_is_converted_once();
	shares_are_those_of_the_largest_remainder();
	weights_may_be_vast_or_nothing();
	return failures != 0;
}
