#include "math/kappa.h"

#include <math.h>
#include <stdbool.h>
#include <stdlib.h>

#include "base/mem.h"
#include "math/stats.h"

static const struct kappa UNKNOWN = { NAN, NAN, NAN, NAN };

static void set_interval(struct kappa *kappa)
{
	double slope = 1 - kappa->value * kappa->value;

	if (!(kappa->se > 0) || slope <= 0) {
		kappa->se = kappa->low = kappa->high = NAN;
		return;
	}
	kappa->low = tanh(atanh(kappa->value) - NORMAL_975 * kappa->se / slope);
	kappa->high = tanh(atanh(kappa->value) + NORMAL_975 * kappa->se / slope);
}

/* ---- two graders */

static double weight(size_t i, size_t j, size_t k, enum kappa_weights weights)
{
	double steps = (i > j ? (double)(i - j) : (double)(j - i)) / (double)(k - 1);

	if (weights == KAPPA_PLAIN)
		return i == j;
	return 1 - (weights == KAPPA_LINEAR ? steps : steps * steps);
}

/* The proportions of rows and columns, and the mean weight of each by the other's. */
struct margins {
	double *row, *column, *row_weight, *column_weight;
	double n;
};

static void find_margins(struct margins *m, const int64_t *table, size_t k, enum kappa_weights weights)
{
	m->row = mem_zeroed(4 * k, sizeof *m->row);
	m->column = m->row + k;
	m->row_weight = m->column + k;
	m->column_weight = m->row_weight + k;
	for (size_t i = 0; i < k; i++)
		for (size_t j = 0; j < k; j++) {
			m->row[i] += (double)table[i * k + j];
			m->column[j] += (double)table[i * k + j];
			m->n += (double)table[i * k + j];
		}
	for (size_t i = 0; i < k; i++) {
		m->row[i] /= m->n;
		m->column[i] /= m->n;
	}
	for (size_t i = 0; i < k; i++)
		for (size_t j = 0; j < k; j++) {
			m->row_weight[i] += m->column[j] * weight(i, j, k, weights);
			m->column_weight[j] += m->row[i] * weight(i, j, k, weights);
		}
}

/* Fleiss, Cohen and Everitt (1969), formula 14. */
static double standard_error(const struct margins *m, const int64_t *table, size_t k, enum kappa_weights weights, double value, double by_chance)
{
	double sum = 0, less = value - by_chance * (1 - value), variance;

	for (size_t i = 0; i < k; i++)
		for (size_t j = 0; j < k; j++) {
			double d = weight(i, j, k, weights) - (m->row_weight[i] + m->column_weight[j]) * (1 - value);

			sum += (double)table[i * k + j] / m->n * d * d;
		}
	variance = (sum - less * less) / (m->n * (1 - by_chance) * (1 - by_chance));
	return variance > 1e-15 ? sqrt(variance) : 0;
}

struct kappa kappa_of_two(const int64_t *table, size_t k, enum kappa_weights weights)
{
	struct margins m = { .n = 0 };
	struct kappa kappa = UNKNOWN;
	double seen = 0, by_chance = 0;

	if (k < 2)
		return kappa;
	find_margins(&m, table, k, weights);
	for (size_t i = 0; i < k; i++) {
		by_chance += m.row[i] * m.row_weight[i];
		for (size_t j = 0; j < k; j++)
			seen += (double)table[i * k + j] / m.n * weight(i, j, k, weights);
	}
	if (m.n > 0 && by_chance < 1 - 1e-12) {
		kappa.value = (seen - by_chance) / (1 - by_chance);
		kappa.se = standard_error(&m, table, k, weights, kappa.value, by_chance);
		set_interval(&kappa);
	}
	free(m.row);
	return kappa;
}

/* ---- several graders */

/* Sums over pieces with two graders or more: of the proportion of pairs that agree, and of each grade's share. */
struct many {
	double n, agree, *share;
};

/* Adds (sign 1) or takes away (-1) a piece; false when it does not count. */
static bool add_piece(struct many *sums, const int64_t *count, size_t k, double sign)
{
	double graders = 0, pairs = 0;

	for (size_t j = 0; j < k; j++) {
		graders += (double)count[j];
		pairs += (double)count[j] * (double)(count[j] - 1);
	}
	if (graders < 2)
		return false;
	sums->n += sign;
	sums->agree += sign * pairs / (graders * (graders - 1));
	for (size_t j = 0; j < k; j++)
		sums->share[j] += sign * (double)count[j] / graders;
	return true;
}

static double value_of(const struct many *sums, size_t k)
{
	double by_chance = 0;

	for (size_t j = 0; j < k; j++)
		by_chance += sums->share[j] / sums->n * (sums->share[j] / sums->n);
	return sums->n > 0 && by_chance < 1 - 1e-12 ? (sums->agree / sums->n - by_chance) / (1 - by_chance) : NAN;
}

/* The error of the mean of the pseudo-values, in two passes. */
static double jackknife(struct many *sums, const int64_t *count, size_t pieces, size_t k)
{
	double n = sums->n, mean = 0, squares = 0;

	for (int pass = 0; pass < 2; pass++)
		for (size_t i = 0; i < pieces; i++) {
			double value;

			if (!add_piece(sums, count + i * k, k, -1))
				continue;
			value = value_of(sums, k);
			add_piece(sums, count + i * k, k, 1);
			mean += pass ? 0 : value / n;
			squares += pass ? (value - mean) * (value - mean) : 0;
		}
	return squares > 1e-15 ? sqrt(squares * (n - 1) / n) : 0; /* NAN compares as false, too */
}

struct kappa kappa_of_many(const int64_t *count, size_t pieces, size_t k)
{
	struct many sums = { 0, 0, mem_zeroed(k + 1, sizeof *sums.share) };
	struct kappa kappa = UNKNOWN;

	for (size_t i = 0; i < pieces; i++)
		add_piece(&sums, count + i * k, k, 1);
	kappa.value = value_of(&sums, k);
	if (!isnan(kappa.value)) {
		kappa.se = jackknife(&sums, count, pieces, k);
		set_interval(&kappa);
	}
	free(sums.share);
	return kappa;
}

/* ---- in words */

const char *kappa_word(double value)
{
	static const char *const WORD[] = { "slight", "fair", "moderate", "substantial", "almost perfect" };
	int fifth = (int)ceil(value * 5 - 1e-12) - 1;

	if (!(value >= 0))
		return "poor";
	return WORD[fifth < 0 ? 0 : fifth > 4 ? 4 : fifth];
}
