#include "math/sampling.h"

#include <math.h>

/* What a probability may be off by its rounding where it meets what is asked. */
static const double HAIR = 1e-12;

/* ---- proportions */

struct sampling_interval sampling_share(int64_t k, int64_t n, double sure)
{
	struct sampling_interval i = { NAN, NAN };
	double tail = (1 - sure) / 2;

	if (n <= 0 || n > DIST_PIECES_MOST || k < 0 || k > n || !dist_is_probability(sure))
		return i;
	i.low = k == 0 ? 0 : dist_beta_q(tail, (double)k, (double)(n - k + 1));
	i.high = k == n ? 1 : dist_beta_q(1 - tail, (double)(k + 1), (double)(n - k));
	return i;
}

int64_t sampling_bad_most(int64_t k, int64_t n, int64_t all, double sure)
{
	int64_t low = k, high = all - (n - k);

	if (n <= 0 || k < 0 || k > n || n > all || all > DIST_PIECES_MOST || !dist_is_probability(sure))
		return -1;
	while (low < high) {
		int64_t mid = low + (high - low + 1) / 2;

		if (dist_hypergeometric_p(k, mid, all, n) > 1 - sure)
			low = mid;
		else
			high = mid - 1;
	}
	return low;
}

/* ---- without a distribution */

int64_t sampling_free_one(double cover, double sure)
{
	return dist_is_probability(cover) && dist_is_probability(sure) ? (int64_t)ceil(log(1 - sure) / log(cover) - 1e-9) : -1;
}

/* 1 - n c^(n-1) + (n-1) c^n: the sureness that least and most of n cover c (Wilks 1941). */
double sampling_free_sure(int64_t n, double cover)
{
	if (n < 2 || !dist_is_probability(cover))
		return n < 2 ? 0 : NAN;
	return 1 - (double)n * pow(cover, (double)(n - 1)) + (double)(n - 1) * pow(cover, (double)n);
}

/* What a sample is to show. */
struct claim {
	double cover, sure;
	int64_t bad;
};

/* The least n for which `enough` holds, which holds from some n on. */
static int64_t least_n(bool (*enough)(int64_t n, const struct claim *c), const struct claim *c, int64_t from)
{
	int64_t low = from, high = from + 1;

	while (!enough(high, c) && high < DIST_PIECES_MOST)
		high *= 2;
	while (low < high) {
		int64_t mid = low + (high - low) / 2;

		if (enough(mid, c))
			high = mid;
		else
			low = mid + 1;
	}
	return low >= DIST_PIECES_MOST ? -1 : low;
}

static bool free_two_enough(int64_t n, const struct claim *c)
{
	return sampling_free_sure(n, c->cover) >= c->sure - HAIR;
}

int64_t sampling_free_two(double cover, double sure)
{
	struct claim claim = { .cover = cover, .sure = sure };

	return dist_is_probability(cover) && dist_is_probability(sure) ? least_n(free_two_enough, &claim, 2) : -1;
}

static bool sample_enough(int64_t n, const struct claim *c)
{
	return dist_binomial_p(c->bad, 1 - c->cover, n) <= 1 - c->sure + HAIR;
}

int64_t sampling_pieces(double cover, double sure, int64_t bad)
{
	struct claim claim = { .cover = cover, .sure = sure, .bad = bad };

	return dist_is_probability(cover) && dist_is_probability(sure) && bad >= 0 && bad < DIST_PIECES_MOST ? least_n(sample_enough, &claim, bad + 1) : -1;
}

/* In a lot that does not conform at least `out` are bad; n of it are drawn. */
struct lot {
	int64_t all, out, bad;
	double sure;
};

static bool lot_shown(int64_t n, const struct lot *lot)
{
	return dist_hypergeometric_p(lot->bad, lot->out, lot->all, n) <= 1 - lot->sure + HAIR;
}

enum { ROWS_MOST = 16 };

int64_t sampling_pieces_on(double cover, double sure, int64_t bad, int64_t most)
{
	double at[ROWS_MOST] = { 1 }, stopped = 0; /* by pieces out: the chance to be there and not to have stopped */
	int64_t row = 0;

	if (!dist_is_probability(cover) || !dist_is_probability(sure) || bad < 0 || bad > most || most >= ROWS_MOST)
		return -1;
	for (int64_t n = 1; n <= DIST_PIECES_MOST; n++) {
		double stop = 0;

		for (int64_t k = most; k >= 0; k--)
			at[k] = at[k] * cover + (k ? at[k - 1] * (1 - cover) : 0);
		for (int64_t k = 0; k <= row; k++)
			stop += at[k];
		if (n <= row || stopped + stop > (1 - sure) * (double)(row + 1) / (double)(most + 1) + 1e-15)
			continue;
		if (row == bad)
			return n;
		for (int64_t k = 0; k <= row; k++)
			at[k] = 0;
		stopped += stop;
		row++;
	}
	return -1;
}

int64_t sampling_pieces_of(int64_t all, double cover, double sure, int64_t bad)
{
	struct lot lot = { all, (int64_t)floor((double)all * (1 - cover) + 1e-9) + 1, bad, sure };
	int64_t low = bad + 1, high = all;

	if (!dist_is_probability(cover) || !dist_is_probability(sure) || all < 1 || all > DIST_PIECES_MOST || bad < 0 || bad >= lot.out || !lot_shown(all, &lot))
		return -1;
	while (low < high) {
		int64_t mid = low + (high - low) / 2;

		if (lot_shown(mid, &lot))
			high = mid;
		else
			low = mid + 1;
	}
	return low;
}
