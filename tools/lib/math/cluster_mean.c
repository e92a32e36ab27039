#include "math/cluster_mean.h"

#include <math.h>
#include <stdlib.h>

#include "base/mem.h"
#include "math/distributions.h"
#include "math/stats.h"

/* Two-sided 95 %. */
static const double POINT = 0.975;

void cluster_mean_add(struct cluster_mean *m, size_t key, double value)
{
	if (m->n == 0 || m->key != key) {
		m->cluster = mem_grow(m->cluster, &m->cap, m->n + 1, sizeof *m->cluster);
		m->cluster[m->n++] = (struct cluster){ 0, 0 };
		m->key = key;
	}
	m->cluster[m->n - 1].sum += value;
	m->cluster[m->n - 1].n++;
}

void cluster_mean_release(struct cluster_mean *m)
{
	free(m->cluster);
	*m = (struct cluster_mean){ 0 };
}

static struct cluster_found mean_of(const struct cluster_mean *m)
{
	struct cluster_found f = { 0, m->n, 0, NAN, NAN };

	for (size_t i = 0; i < m->n; i++) {
		f.mean += m->cluster[i].sum;
		f.values += m->cluster[i].n;
	}
	f.mean = f.values ? f.mean / (double)f.values : NAN;
	return f;
}

struct cluster_found cluster_mean_end(const struct cluster_mean *m)
{
	struct cluster_found f = mean_of(m);
	double squares = 0, clusters = (double)m->n, reach;

	if (m->n < 2)
		return f;
	for (size_t i = 0; i < m->n; i++) {
		double off = m->cluster[i].sum - f.mean * (double)m->cluster[i].n;

		squares += off * off;
	}
	reach = dist_t_q(POINT, clusters - 1) * sqrt(clusters / (clusters - 1) * squares) / (double)f.values;
	f.low = f.mean - reach;
	f.high = f.mean + reach;
	return f;
}

struct cluster_found cluster_share_end(const struct cluster_mean *m)
{
	struct cluster_found f = mean_of(m);

	if (m->n)
		wilson_share(fmin(fmax(f.mean, 0), 1), (double)m->n, NORMAL_975, &f.low, &f.high);
	return f;
}
