#include "cost/money.h"

#include <stdlib.h>

#include "base/mem.h"

/* a / b rounded half to even; b is above 0. */
static int128 divide(int128 a, int128 b)
{
	int128 size = a < 0 ? -a : a, whole = size / b, twice = size % b * 2;

	if (twice > b || (twice == b && whole % 2))
		whole++;
	return a < 0 ? -whole : whole;
}

int64_t money_part(int64_t amount, int64_t n, int64_t all)
{
	if (n == all || !amount)
		return amount;
	return (int64_t)divide((int128)amount * n, all);
}

static int128 power_of_ten(int n)
{
	int128 power = 1;

	while (n-- > 0)
		power *= 10;
	return power;
}

bool money_convert(int64_t amount, int places, int64_t rate, int own_places, int64_t *out)
{
	int128 most = power_of_ten(18);
	int128 result = divide((int128)amount * rate, power_of_ten(8 + places - own_places)); /* no currency has 8 decimals */

	if (result > most || result < -most)
		return false;
	*out = (int64_t)result;
	return true;
}

/* How many bits the largest weight has above those that apportion() can take. */
static int excess(const int128 *weight, size_t n)
{
	int128 largest = 0;
	int bits = 0;

	for (size_t i = 0; i < n; i++)
		largest = weight[i] > largest ? weight[i] : largest;
	for (; largest >> bits > INT64_MAX / 4; bits++)
		;
	return bits;
}

/* Few shares need no memory: quotas rounded down, then a unit each to the largest remainders. */
enum { FEW = 12 };

static void share_few(int64_t amount, const int64_t *weight, size_t n, int128 sum, int64_t *share)
{
	int128 left[FEW], total = amount < 0 ? -(int128)amount : amount, over = total;

	for (size_t i = 0; i < n; i++) {
		share[i] = (int64_t)(total * weight[i] / sum);
		left[i] = total * weight[i] % sum;
		over -= share[i];
	}
	for (; over > 0; over--) {
		size_t first = 0;

		for (size_t i = 1; i < n; i++)
			if (left[i] > left[first] || (left[i] == left[first] && left[i] >= 0 && weight[i] > weight[first]))
				first = i;
		share[first]++;
		left[first] = -1;
	}
	for (size_t i = 0; amount < 0 && i < n; i++)
		share[i] = -share[i];
}

static int128 sum_of(const int64_t *weight, size_t n)
{
	int128 sum = 0;

	for (size_t i = 0; i < n; i++)
		sum += weight[i];
	return sum;
}

/* The weights as apportion() takes them, into `small`; returns their sum, or that of 1 each where all are 0. */
static int128 scale(const int128 *weight, size_t n, int64_t *small)
{
	int bits = excess(weight, n);
	int128 sum;

	for (size_t i = 0; i < n; i++)
		small[i] = (int64_t)(weight[i] >> bits);
	sum = sum_of(small, n);
	for (size_t i = 0; sum == 0 && i < n; i++)
		small[i] = 1;
	return sum ? sum : (int128)n;
}

void money_share_in(struct money_room *room, int64_t amount, const int128 *weight, size_t n, int64_t *share)
{
	int64_t few[FEW];

	if (n == 1) {
		share[0] = amount;
	} else if (n <= FEW) {
		int128 sum = scale(weight, n, few);

		share_few(amount, few, n, sum, share);
	} else {
		room->small = mem_grow(room->small, &room->cap, n, sizeof *room->small);
		scale(weight, n, room->small);
		apportion_in(&room->claims, amount, room->small, n, share);
	}
}

void money_room_release(struct money_room *room)
{
	free(room->small);
	apportion_room_release(&room->claims);
	*room = (struct money_room){ .cap = 0 };
}

void money_share(int64_t amount, const int128 *weight, size_t n, int64_t *share)
{
	struct money_room room = { .cap = 0 };

	money_share_in(&room, amount, weight, n, share);
	money_room_release(&room);
}
