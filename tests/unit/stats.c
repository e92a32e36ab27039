/* stats.c: merging, rounding, ends, ties. The figures are in tests/outside/strd.c. */
#include <math.h>
#include <stdio.h>

#include "math/stats.h"

static int failures;

#define CHECK(what) do { if (!(what)) { failures++; printf("%d: %s\n", __LINE__, #what); } } while (0)

static void empty_says_nothing(void)
{
	struct sums none = { 0 }, one = { 0 };

	CHECK(isnan(sums_mean(&none, 1)) && isnan(sums_sd(&none, 1)));
	sums_add(&one, -7);
	sums_merge(&one, &none);
	CHECK(one.n == 1 && one.least == -7 && one.most == -7);
	CHECK(sums_mean(&one, 10) == -0.7 && isnan(sums_sd(&one, 1)));
	sums_merge(&none, &one);
	CHECK(none.n == 1 && none.least == -7 && none.most == -7);
}

/* Any cut of the same readings into parts, merged in any order, is the same to the last bit. */
static void parts_merge_to_the_whole(void)
{
	struct sums whole = { 0 };
	int64_t reading[200];

	for (int i = 0; i < 200; i++) {
		reading[i] = (int64_t)i * i * 7919 % 2000003 - 1000000;
		sums_add(&whole, reading[i]);
	}
	for (int cut = 0; cut <= 200; cut++) {
		struct sums a = { 0 }, b = { 0 };

		for (int i = 0; i < 200; i++)
			sums_add(i < cut ? &a : &b, reading[i]);
		sums_merge(&b, &a);
		CHECK(b.n == whole.n && b.sum == whole.sum && b.squares == whole.squares);
		CHECK(b.least == whole.least && b.most == whole.most);
		CHECK(sums_sd(&b, 1e4) == sums_sd(&whole, 1e4));
	}
}

static void values_round_half_to_even(void)
{
	CHECK(fixed_of(0.5, 1) == 0 && fixed_of(1.5, 1) == 2 && fixed_of(-2.5, 1) == -2);
	CHECK(fixed_of(10.10129578, 1e4) == 101013);
}

static void large_readings_do_not_overflow(void)
{
	struct sums s = { 0 };

	for (int i = 0; i < 1000; i++)
		sums_add(&s, 9000000000000000 + i % 2);
	CHECK(sums_mean(&s, 1) == 9000000000000000.0);
	CHECK(fabs(sums_sd(&s, 1) - sqrt(0.25 * 1000 / 999)) < 1e-15);
}

static void check_shares(int64_t total, const int64_t *weight, size_t n, const int64_t *want)
{
	int64_t share[8], sum = 0;

	CHECK(apportion(total, weight, n, share));
	for (size_t i = 0; i < n; i++)
		sum += share[i];
	CHECK(sum == total);
	if (memcmp(share, want, n * sizeof(*share))) {
		failures++;
		printf("shares of %lld: %lld %lld %lld\n", (long long)total, (long long)share[0],
			(long long)share[1], (long long)share[2]);
	}
}

#define LIST(...) ((const int64_t[]){ __VA_ARGS__ })

static void shares_and_ties(void)
{
	check_shares(10, LIST(1, 1, 1), 3, LIST(4, 3, 3));          /* tie: the earlier */
	check_shares(11, LIST(1, 1, 1), 3, LIST(4, 4, 3));
	check_shares(6, LIST(1, 3, 8), 3, LIST(0, 2, 4));           /* tie at a half: the heavier */
	check_shares(-10, LIST(1, 1, 1), 3, LIST(-4, -3, -3));
	check_shares(5, LIST(0, 7, 0), 3, LIST(0, 5, 0));
	check_shares(0, LIST(2, 3), 2, LIST(0, 0));
	check_shares(INT64_MAX, LIST(INT64_MAX, 0), 2, LIST(INT64_MAX, 0));
}

enum { MANY = 600 };

/* The largest remainders by going through all of them for each unit. */
static void shares_by_hand(int64_t total, const int64_t *weight, size_t n, int64_t *share)
{
	int128 sum = 0, left[MANY];
	int64_t over = total;

	for (size_t i = 0; i < n; i++)
		sum += weight[i];
	for (size_t i = 0; i < n; i++) {
		share[i] = (int64_t)((int128)total * weight[i] / sum);
		left[i] = (int128)total * weight[i] % sum;
		over -= share[i];
	}
	for (; over > 0; over--) {
		size_t most = 0;

		for (size_t i = 1; i < n; i++)
			if (left[i] > left[most] || (left[i] == left[most] && weight[i] > weight[most]))
				most = i;
		share[most]++;
		left[most] = -1;
	}
}

static uint64_t word = 7;

/* Below 2^bits. */
static int64_t rnd(int bits)
{
	word = word * 6364136223846793005u + 1442695040888963407u;
	return (int64_t)(word >> 2 >> (62 - bits));
}

/* Few different weights have many ties. Small and vast totals and weights are reckoned in different ways. */
static void shares_of_many(void)
{
	static const int WEIGHT_BITS[] = { 1, 10, 40, 52, 54 }, TOTAL_BITS[] = { 3, 9, 30, 50, 51, 62 };

	for (int round = 0; round < 3000; round++) {
		size_t n = 1 + (size_t)rnd(round % 5 ? 5 : 10) % MANY;
		int64_t weight[MANY], share[MANY], want[MANY], total = rnd(TOTAL_BITS[round % 6]);
		struct apportion_room room = { .cap = 0 };
		int128 sum = 0;

		for (size_t i = 0; i < n; i++) {
			weight[i] = rnd(WEIGHT_BITS[round % 5]) + (i == 0);
			sum += weight[i];
		}
		shares_by_hand(total, weight, n, want);
		CHECK(apportion(total, weight, n, share) && memcmp(share, want, n * sizeof *want) == 0);
		apportion_by(&room, -total, sum, weight, n, share);
		for (size_t i = 0; i < n; i++)
			CHECK(share[i] == -want[i]);
		apportion_room_release(&room);
	}
}

static void check_part(int64_t total, int64_t part, int64_t whole)
{
	int128 product = (int128)total * part;
	int64_t rest, floor = part_floor(total, part, whole, (double)total / (double)whole, &rest);

	CHECK(floor == (int64_t)(product / whole) && rest == (int64_t)(product % whole));
}

/* Near its bounds, and where the quotient is nearly whole, which is where doubles are off. */
static void parts_are_exact(void)
{
	for (int round = 0; round < 200000; round++) {
		int64_t whole = PART_WHOLE_MOST - rnd(round % 61), total = PART_TOTAL_MOST - rnd(round % 50), part = rnd(61) % (whole + 1);

		check_part(total, part, whole);
		check_part(total, whole - rnd(10), whole);
		check_part(total, (int64_t)((int128)rnd(50) * whole / total), whole);
		check_part(rnd(20), rnd(20), 1 << 20);
	}
	check_part(PART_TOTAL_MOST, PART_WHOLE_MOST, PART_WHOLE_MOST);
	check_part(PART_TOTAL_MOST, PART_WHOLE_MOST - 1, PART_WHOLE_MOST);
	check_part(PART_TOTAL_MOST, 0, 1);
	check_part(0, 1, 1);
}

static void weights_that_do_not_serve(void)
{
	int64_t share[3];

	CHECK(!apportion(5, LIST(0, 0, 0), 3, share));
	CHECK(!apportion(5, LIST(1, -1, 3), 3, share));
	CHECK(!apportion(5, NULL, 0, share));
}

int main(void)
{
	empty_says_nothing();
	parts_merge_to_the_whole();
	values_round_half_to_even();
	large_readings_do_not_overflow();
	shares_and_ties();
	shares_of_many();
	parts_are_exact();
	weights_that_do_not_serve();
	return failures > 0;
}
