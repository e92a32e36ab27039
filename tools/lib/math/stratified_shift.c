#include "math/stratified_shift.h"

#include <math.h>

#include "math/distributions.h"
#include "math/stats.h"

/* ---- one stratum */

/* The pieces of a period, or of both. `n_squares` is the sum of the squares of the lots' numbers of pieces. */
struct part {
	double n, sum, squares, n_squares, of_lots; /* of_lots: the sum over lots of sum^2 / n */
	size_t lots;
};

static void part_add(struct part *p, const struct stratified_lot *lot)
{
	double n = (double)lot->n;

	p->n += n;
	p->sum += lot->sum;
	p->squares += lot->squares;
	p->n_squares += n * n;
	p->of_lots += lot->sum * lot->sum / n;
	p->lots++;
}

/* The rows first to end - 1 are one stratum; part[1] is the later period. */
static size_t read_stratum(const struct stratified_lot *lot, size_t first, size_t n, struct part *part)
{
	size_t end = first;

	part[0] = part[1] = (struct part){ .n = 0 };
	for (; end < n && lot[end].stratum == lot[first].stratum; end++)
		if (lot[end].n > 0)
			part_add(&part[lot[end].after], &lot[end]);
	return end;
}

/* ---- all strata */

struct totals {
	double moved, weight, variance;       /* Mantel's */
	double between, within;               /* sums of squares between and within lots */
	double df_between, df_within;
	double n, n_of_lots;                  /* pieces, and the sum of n_squares / n of the periods: Donner's mean size of a lot */
	double alike;                         /* what the weight grows by, times the correlation */
	struct stratified_shift *s;
};

static void add_lots(struct totals *t, const struct part *p)
{
	t->between += p->of_lots - p->sum * p->sum / p->n;
	t->within += p->squares - p->of_lots;
	t->df_between += (double)p->lots - 1;
	t->df_within += p->n - (double)p->lots;
	t->n += p->n;
	t->n_of_lots += p->n_squares / p->n;
}

static void add_stratum(struct totals *t, const struct part *part)
{
	double n = part[0].n + part[1].n, sum = part[0].sum + part[1].sum, weight;

	if (!(part[0].n > 0) || !(part[1].n > 0))
		return;
	weight = part[0].n * part[1].n / n;
	t->moved += part[1].sum - part[1].n * sum / n;
	t->weight += weight;
	t->variance += weight / (n - 1) * (part[0].squares + part[1].squares - sum * sum / n);
	for (int after = 0; after < 2; after++) {
		double other = part[!after].n / n;

		add_lots(t, &part[after]);
		t->alike += other * other * (part[after].n_squares - part[after].n);
	}
	t->s->before += (int64_t)part[0].n;
	t->s->after += (int64_t)part[1].n;
	t->s->strata++;
}

/* The correlation of two pieces of a lot, at least 0. */
static double correlation(const struct totals *t)
{
	double between = t->between / t->df_between, within = t->within / t->df_within, size = (t->n - t->n_of_lots) / t->df_between, r;

	if (!(between > within))
		return 0;
	r = (between - within) / (between + (size - 1) * within);
	return r < 1 ? r : 1;
}

static void finish(const struct totals *t)
{
	struct stratified_shift *s = t->s;
	double point = NORMAL_975, error;

	s->df = t->df_between;
	s->known = t->df_between >= STRATIFIED_LOTS_LEAST && t->df_within > 0;
	if (s->known) {
		s->design = 1 + correlation(t) * t->alike / t->weight;
		point = dist_t_q(0.975, s->df);
	}
	error = sqrt(t->variance * s->design);
	s->shift = t->moved / t->weight;
	s->z = t->moved / error;
	s->low = s->shift - point * error / t->weight;
	s->high = s->shift + point * error / t->weight;
	s->p = s->known ? dist_f_upper_p(s->z * s->z, 1, s->df) : dist_chi2_upper_p(s->z * s->z, 1);
}

struct stratified_shift stratified_shift_of(const struct stratified_lot *lot, size_t n)
{
	struct stratified_shift s = { .shift = NAN, .low = NAN, .high = NAN, .z = NAN, .p = NAN, .design = 1 };
	struct totals t = { .s = &s };
	struct part part[2];

	for (size_t first = 0; first < n;) {
		first = read_stratum(lot, first, n, part);
		add_stratum(&t, part);
	}
	if (t.variance > 0)
		finish(&t);
	return s;
}
