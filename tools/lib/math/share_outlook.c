#include "math/share_outlook.h"

#include <math.h>

#include "math/distributions.h"
#include "math/spread.h"
#include "math/stats.h"

#define CORRELATION_MOST 0.99

/* Of periods with pieces: how many, and the sums of k, n, n (n - 1) and (k - n p)^2. */
struct moments {
	size_t periods;
	double k, n, pairs, squares;
};

static struct moments add_up(const struct share_period *before, size_t n)
{
	struct moments m = { 0, 0, 0, 0, 0 };

	for (size_t i = 0; i < n; i++) {
		m.periods += before[i].n > 0;
		m.k += (double)before[i].k;
		m.n += (double)before[i].n;
		m.pairs += (double)before[i].n * (double)(before[i].n - 1);
	}
	for (size_t i = 0; m.n > 0 && i < n; i++) {
		double off = (double)before[i].k - (double)before[i].n * m.k / m.n;

		m.squares += off * off;
	}
	return m;
}

static double correlation_of(const struct moments *m)
{
	double p = m->k / m->n, periods = (double)m->periods, r;

	if (m->periods < SPREAD_LOTS_LEAST || !(p > 0 && p < 1) || !(m->pairs > 0))
		return 0;
	r = (m->squares * periods / (periods - 1) / (p * (1 - p)) - m->n) / m->pairs;
	return r < 0 ? 0 : r > CORRELATION_MOST ? CORRELATION_MOST : r;
}

struct share_outlook share_outlook_of(const struct share_period *before, size_t n)
{
	struct moments m = add_up(before, n);
	double correlation = correlation_of(&m), design = m.n > 0 ? 1 + m.pairs / m.n * correlation : 1, wider = 1, mean, both, a, b;

	if (m.periods >= SPREAD_LOTS_LEAST)
		wider = dist_t_q(0.975, (double)m.periods - 1) / NORMAL_975;
	a = m.k / design + 0.5;
	b = (m.n - m.k) / design + 0.5;
	mean = a / (a + b);
	both = 1 / (a + b + 1) + wider * wider * correlation; /* of the variance m (1 - m) */
	both = both < 1 ? 1 / both - 1 : 1e-9;
	return (struct share_outlook){ m.n > 0 ? m.k / m.n : NAN, correlation, mean * both, (1 - mean) * both };
}

static double log_beta(double a, double b)
{
	return lgamma(a) + lgamma(b) - lgamma(a + b);
}

static double chance(const struct share_outlook *o, int64_t k, int64_t n)
{
	double x = (double)k, y = (double)(n - k);

	return exp(log_beta(x + o->a, y + o->b) - log_beta(o->a, o->b) - log((double)n + 1) - log_beta(x + 1, y + 1));
}

static bool can_answer(const struct share_outlook *o, int64_t n)
{
	return n >= 0 && n <= DIST_PIECES_MOST && o->a > 0 && o->b > 0;
}

double share_outlook_p(const struct share_outlook *o, int64_t k, int64_t n)
{
	double sum = 0;

	if (!can_answer(o, n))
		return NAN;
	if (k >= n)
		return 1;
	for (int64_t i = 0; i <= k; i++)
		sum += chance(o, i, n);
	return sum < 1 ? sum : 1;
}

bool share_outlook_range(const struct share_outlook *o, int64_t n, double sure, int64_t *low, int64_t *high)
{
	double tail = (1 - sure) / 2, sum = 0;
	int64_t k = 0;

	if (!can_answer(o, n) || !dist_is_probability(sure))
		return false;
	for (; k < n && (sum += chance(o, k, n)) < tail; k++)
		;
	*low = k;
	for (; k < n && sum < 1 - tail; sum += chance(o, ++k, n))
		;
	*high = k;
	return true;
}

double share_outlook_tail(const struct share_outlook *o, int64_t k, int64_t n)
{
	double most = share_outlook_p(o, k, n), least = k > 0 ? 1 - share_outlook_p(o, k - 1, n) : 1;
	double p = 2 * (most < least ? most : least);

	return p < 1 ? p : isnan(p) ? NAN : 1;
}
