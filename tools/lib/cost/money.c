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
	int64_t size = amount < 0 ? -amount : amount, whole, rest;

	if (n == all || !amount)
		return amount;
	if (size > PART_TOTAL_MOST || all > PART_WHOLE_MOST)
		return (int64_t)divide((int128)amount * n, all);
	whole = part_floor(size, n, all, (double)size / (double)all, &rest);
	rest *= 2;
	whole += rest > all || (rest == all && whole % 2);
	return amount < 0 ? -whole : whole;
}

int64_t money_pass(int64_t *from, int64_t *to, size_t amounts, int64_t n, int64_t all)
{
	int64_t sum = 0;

	for (size_t i = 0; n == all && i < amounts; i++) {
		sum += from[i];
		to[i] += from[i];
		from[i] = 0;
	}
	for (size_t i = 0; n != all && i < amounts; i++) {
		int64_t part = from[i] ? money_part(from[i], n, all) : 0;

		sum += part;
		to[i] += part;
		from[i] -= part;
	}
	return sum;
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
static int excess(int128 largest)
{
	int bits = 0;

	for (; largest >> bits > MONEY_SMALL; bits++)
		;
	return bits;
}

/* The weights as apportion() takes them, or 1 each where all are 0. */
static void scale(const int128 *weight, size_t n, int64_t *small)
{
	int128 largest = 0;
	int bits;

	for (size_t i = 0; i < n; i++) {
		largest = weight[i] > largest ? weight[i] : largest;
		small[i] = (int64_t)weight[i];
	}
	bits = excess(largest);
	for (size_t i = 0; bits && i < n; i++)
		small[i] = (int64_t)(weight[i] >> bits);
	for (size_t i = 0; !largest && i < n; i++)
		small[i] = 1;
}

/* Few weights need no memory. */
enum { FEW = 12 };

void money_share_in(struct money_room *room, int64_t amount, const int128 *weight, size_t n, int64_t *share)
{
	int64_t few[FEW], *small = few;

	if (n == 1) {
		share[0] = amount;
		return;
	}
	if (n > FEW)
		small = room->small = mem_grow(room->small, &room->cap, n, sizeof *room->small);
	scale(weight, n, small);
	apportion_in(&room->claims, amount, small, n, share);
}

static void share_equally(struct money_room *room, int64_t amount, size_t n, int64_t *share)
{
	room->small = mem_grow(room->small, &room->cap, n, sizeof *room->small);
	for (size_t i = 0; i < n; i++)
		room->small[i] = 1;
	apportion_in(&room->claims, amount, room->small, n, share);
}

void money_share_small(struct money_room *room, int64_t amount, const int64_t *weight, size_t n, int64_t *share)
{
	if (!apportion_in(&room->claims, amount, weight, n, share))
		share_equally(room, amount, n, share);
}

void money_share_by(struct money_room *room, int64_t amount, int128 sum, const int64_t *weight, size_t n, int64_t *share)
{
	if (sum)
		apportion_by(&room->claims, amount, sum, weight, n, share);
	else
		share_equally(room, amount, n, share);
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
