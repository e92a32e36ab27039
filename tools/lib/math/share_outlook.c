#include "math/share_outlook.h"

#include <math.h>
#include <stdlib.h>

#include "base/mem.h"
#include "math/distributions.h"

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

	if (m->periods < SHARE_PERIODS_LEAST || !(p > 0 && p < 1) || !(m->pairs > 0))
		return 0;
	r = (m->squares * periods / (periods - 1) / (p * (1 - p)) - m->n) / m->pairs;
	return r < 0 ? 0 : r > CORRELATION_MOST ? CORRELATION_MOST : r;
}

struct share_outlook share_outlook_of(const struct share_period *before, size_t n)
{
	struct moments m = add_up(before, n);
	double correlation = correlation_of(&m), design = m.n > 0 ? 1 + m.pairs / m.n * correlation : 1, wider = 1, mean, both, a, b;

	if (m.periods >= SHARE_PERIODS_LEAST)
		wider = dist_t_q(0.975, (double)m.periods - 1) / dist_normal_q(0.975);
	a = m.k / design + 0.5;
	b = (m.n - m.k) / design + 0.5;
	mean = a / (a + b);
	both = 1 / (a + b + 1) + wider * wider * correlation; /* of the variance m (1 - m) */
	both = both < 1 ? 1 / both - 1 : 1e-9;
	return (struct share_outlook){ m.n > 0 ? m.k / m.n : NAN, correlation, { mean * both, (1 - mean) * both } };
}

static bool can_answer(const struct share_outlook *o, int64_t n)
{
	return n >= 0 && n <= DIST_PIECES_MOST && o->is.a > 0 && o->is.b > 0;
}

/* The masses of the counts 0 to n; the caller frees them. */
static double *masses_of(const struct share_outlook *o, int64_t n)
{
	double *mass = mem_array((size_t)n + 1, sizeof *mass);

	beta_binomial_masses(o->is, n, mass);
	return mass;
}

bool share_outlook_range(const struct share_outlook *o, int64_t n, double sure, int64_t *low, int64_t *high)
{
	double tail = (1 - sure) / 2, *mass;

	if (!can_answer(o, n) || !dist_is_probability(sure))
		return false;
	mass = masses_of(o, n);
	*low = masses_quantile(mass, n, tail);
	*high = masses_quantile(mass, n, 1 - tail);
	free(mass);
	return true;
}

double share_outlook_tail(const struct share_outlook *o, int64_t k, int64_t n)
{
	double *mass, more, less, p;

	if (!can_answer(o, n))
		return NAN;
	mass = masses_of(o, n);
	more = masses_at_least(mass, n, k);
	less = 1 - masses_at_least(mass, n, k + 1);
	free(mass);
	p = 2 * (more < less ? more : less);
	return p < 1 ? p : 1;
}
