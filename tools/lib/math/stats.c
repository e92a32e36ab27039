#include "math/stats.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "base/mem.h"

int64_t fixed_of(double value, double scale)
{
	return (int64_t)llrint(value * scale);
}

void sums_add(struct sums *s, int64_t reading)
{
	struct sums one = { 1, reading, (int128)reading * reading, reading, reading };

	sums_merge(s, &one);
}

void sums_merge(struct sums *into, const struct sums *from)
{
	if (from->n == 0)
		return;
	if (into->n == 0 || from->least < into->least)
		into->least = from->least;
	if (into->n == 0 || from->most > into->most)
		into->most = from->most;
	into->n += from->n;
	into->sum += from->sum;
	into->squares += from->squares;
}

double sums_mean(const struct sums *s, double scale)
{
	return s->n ? (double)s->sum / ((double)s->n * scale) : NAN;
}

double sums_sd(const struct sums *s, double scale)
{
	int128 spread = s->n * s->squares - s->sum * s->sum;

	if (s->n < 2)
		return NAN;
	return sqrt((double)spread / ((double)s->n * (double)(s->n - 1))) / scale;
}

void wilson_share(double share, double n, double z, double *low, double *high)
{
	double zz = z * z / n;
	double half = sqrt((share * (1 - share) + zz / 4) * zz);

	*low = share > 0 ? (share + zz / 2 - half) / (1 + zz) : 0;
	*high = share < 1 ? (share + zz / 2 + half) / (1 + zz) : 1;
}

bool wilson_interval(int64_t k, int64_t n, double z, double *low, double *high)
{
	*low = 0;
	*high = 1;
	if (n <= 0 || k < 0 || k > n)
		return false;
	wilson_share((double)k / (double)n, (double)n, z, low, high);
	return true;
}

struct apportion_claim {
	int128 left;
	int64_t weight;
	size_t place;
};

/* Whoever has the first right to a unit that is left over comes first; no two are equal. */
static bool claims_before(const struct apportion_claim *x, const struct apportion_claim *y)
{
	if (x->left != y->left)
		return x->left > y->left;
	if (x->weight != y->weight)
		return x->weight > y->weight;
	return x->place < y->place;
}

static void claims_swap(struct apportion_claim *x, struct apportion_claim *y)
{
	struct apportion_claim was = *x;

	*x = *y;
	*y = was;
}

/* Puts those before the one in the middle before it, and the others after it; returns where it then is. */
static size_t claims_part(struct apportion_claim *claim, size_t n)
{
	size_t before = 0;

	claims_swap(&claim[n / 2], &claim[n - 1]);
	for (size_t i = 0; i + 1 < n; i++)
		if (claims_before(&claim[i], &claim[n - 1]))
			claims_swap(&claim[before++], &claim[i]);
	claims_swap(&claim[before], &claim[n - 1]);
	return before;
}

/* Puts the first `k` of the claims before the others, in no order among them (Hoare's selection). */
static void claims_select(struct apportion_claim *claim, size_t n, size_t k)
{
	while (n > 1 && k > 0 && k < n) {
		size_t at = claims_part(claim, n);

		if (k <= at) {
			n = at;
			continue;
		}
		claim += at + 1;
		n -= at + 1;
		k -= at + 1;
	}
}

/* The sum of the weights, or 0 where they do not serve. */
static int128 weights_sum(const int64_t *weight, size_t n)
{
	int128 sum = 0;

	for (size_t i = 0; i < n; i++) {
		if (weight[i] < 0)
			return 0;
		sum += weight[i];
	}
	return sum;
}

/* Quotas rounded down into `share`, remainders into `claim`; returns what is left over. */
static int128 quotas_floor(int128 total, const int64_t *weight, size_t n, int128 sum,
	int64_t *share, struct apportion_claim *claim)
{
	int128 over = total;

	for (size_t i = 0; i < n; i++) {
		int128 product = total * weight[i];

		share[i] = (int64_t)(product / sum);
		claim[i] = (struct apportion_claim){ product % sum, weight[i], i };
		over -= share[i];
	}
	return over;
}

static void share_out_vast(struct apportion_room *room, int128 total, int128 sum, const int64_t *weight, size_t n, int64_t *share)
{
	int128 over;

	room->claim = mem_grow(room->claim, &room->cap, n, sizeof *room->claim);
	over = quotas_floor(total, weight, n, sum, share, room->claim);
	claims_select(room->claim, n, over < (int128)n ? (size_t)over : n);
	for (size_t i = 0; (int128)i < over && i < n; i++)
		share[room->claim[i].place]++;
}

/* Few shares need no memory. */
enum { FEW = 12 };

static void share_few(int64_t total, int64_t sum, const int64_t *weight, size_t n, int64_t *share)
{
	double rate = (double)total / (double)sum;
	int64_t left[FEW], over = total;

	for (size_t i = 0; i < n; i++) {
		share[i] = part_floor(total, weight[i], sum, rate, &left[i]);
		over -= share[i];
	}
	for (size_t k = over < (int64_t)n ? (size_t)over : n; k; k--) {
		size_t first = 0;
		int64_t most = left[0];

		for (size_t i = 1; i < n; i++)
			if (left[i] > most || (left[i] == most && most >= 0 && weight[i] > weight[first])) {
				first = i;
				most = left[i];
			}
		share[first]++;
		left[first] = -1;
	}
}

/* Remainders are counted in bins by their first bits: about as many bins as there are shares. */
enum { BIN_BITS = 10 };

static unsigned bits_of(uint64_t n)
{
	unsigned bits = 0;

	for (; n; n >>= 1)
		bits++;
	return bits;
}

static unsigned bin_shift(int64_t sum, size_t n)
{
	unsigned bins = bits_of(n) < BIN_BITS ? bits_of(n) : BIN_BITS, bits = bits_of((uint64_t)sum);

	return bits > bins ? bits - bins : 0;
}

/*
 * Gives `k` units, fewer than there are shares, to those with the first right to them; `at` is the last bin. The bins above the one in which the last of
 * them falls get a unit each, and in that one the claims are compared.
 */
static void share_over(struct apportion_room *room, const uint32_t *bin, int64_t at, unsigned shift, size_t k, const int64_t *weight, size_t n, int64_t *share)
{
	size_t claims = 0;

	for (; bin[at] <= k; at--)
		k -= bin[at];
	room->claim = mem_grow(room->claim, &room->cap, bin[at], sizeof *room->claim);
	for (size_t i = 0; i < n; i++) {
		int64_t of = room->left[i] >> shift;

		share[i] += of > at;
		if (of == at && k)
			room->claim[claims++] = (struct apportion_claim){ room->left[i], weight[i], i };
	}
	claims_select(room->claim, claims, k);
	for (size_t i = 0; i < k; i++)
		share[room->claim[i].place]++;
}

static void share_many(struct apportion_room *room, int64_t total, int64_t sum, const int64_t *weight, size_t n, int64_t *share)
{
	double rate = (double)total / (double)sum;
	uint32_t bin[1 << BIN_BITS];
	unsigned shift = bin_shift(sum, n);
	int64_t over = total, last = (sum - 1) >> shift;

	memset(bin, 0, (size_t)(last + 1) * sizeof *bin);
	room->left = mem_grow(room->left, &room->left_cap, n, sizeof *room->left);
	for (size_t i = 0; i < n; i++) {
		share[i] = part_floor(total, weight[i], sum, rate, &room->left[i]);
		over -= share[i];
		bin[room->left[i] >> shift]++;
	}
	if (over > 0 && over < (int64_t)n)
		share_over(room, bin, last, shift, (size_t)over, weight, n, share);
	for (size_t i = 0; over >= (int64_t)n && i < n; i++)
		share[i]++;
}

static void share_out(struct apportion_room *room, int128 total, int128 sum, const int64_t *weight, size_t n, int64_t *share)
{
	if (total > PART_TOTAL_MOST || sum > PART_WHOLE_MOST || n > UINT32_MAX)
		share_out_vast(room, total, sum, weight, n, share);
	else if (n <= FEW)
		share_few((int64_t)total, (int64_t)sum, weight, n, share);
	else
		share_many(room, (int64_t)total, (int64_t)sum, weight, n, share);
}

void apportion_by(struct apportion_room *room, int64_t total, int128 sum, const int64_t *weight, size_t n, int64_t *share)
{
	share_out(room, total < 0 ? -(int128)total : total, sum, weight, n, share);
	for (size_t i = 0; total < 0 && i < n; i++)
		share[i] = -share[i];
}

bool apportion_in(struct apportion_room *room, int64_t total, const int64_t *weight, size_t n, int64_t *share)
{
	int128 sum = weights_sum(weight, n);

	if (sum == 0)
		return false;
	apportion_by(room, total, sum, weight, n, share);
	return true;
}

void apportion_room_release(struct apportion_room *room)
{
	free(room->claim);
	free(room->left);
	*room = (struct apportion_room){ .cap = 0 };
}

bool apportion(int64_t total, const int64_t *weight, size_t n, int64_t *share)
{
	struct apportion_room room = { .cap = 0 };
	bool served = apportion_in(&room, total, weight, n, share);

	apportion_room_release(&room);
	return served;
}

void apportion_some(int64_t total, int64_t sum, const int64_t *weight, size_t n, int64_t *share)
{
	struct apportion_room room = { .cap = 0 };

	share_out(&room, total, sum, weight, n, share);
	apportion_room_release(&room);
}
