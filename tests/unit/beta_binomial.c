/* Sums of numbers of blades: what is gathered up to a number is what all the masses come to, in the far tail too. */
#include "math/beta_binomial.h"

#include <math.h>
#include <stdlib.h>

#include "base/mem.h"
#include "check.h"

/* Of three batches with these odds and numbers, the masses of the sum, by all pairs. */
enum { BATCHES = 3, ALL = 30 + 200 + 7 };
static const struct beta ODDS[BATCHES] = { { 3, 2 }, { 0.4, 60 }, { 5000, 5000 } };
static const int64_t N[BATCHES] = { 30, 200, 7 };

static void by_pairs(double *sum)
{
	int64_t so_far = 0;

	sum[0] = 1;
	for (int64_t k = 1; k <= ALL; k++)
		sum[k] = 0;
	for (int i = 0; i < BATCHES; i++) {
		double mass[ALL + 1], next[ALL + 1] = { 0 };

		beta_binomial_masses(ODDS[i], N[i], mass);
		for (int64_t a = 0; a <= so_far; a++)
			for (int64_t b = 0; b <= N[i]; b++)
				next[a + b] += sum[a] * mass[b];
		so_far += N[i];
		for (int64_t k = 0; k <= so_far; k++)
			sum[k] = next[k];
	}
}

static void gather_up_to(const double *pairs, int64_t most)
{
	double *sum = mem_zeroed((size_t)most + 1, sizeof *sum), above = 0;

	sum[0] = 1;
	for (int i = 0; i < BATCHES; i++) {
		double mass[ALL + 1];

		beta_binomial_masses(ODDS[i], N[i], mass);
		masses_gather(sum, most, mass, N[i]);
	}
	for (int64_t k = ALL; k >= most; k--)
		above += pairs[k];
	for (int64_t k = 0; k < most; k++)
		CHECK_NEAR(sum[k], k <= ALL ? pairs[k] : 0, 1e-15);
	CHECK_NEAR(sum[most], above, 1e-9 * above);
	CHECK(sum[most] <= 1);
	free(sum);
}

/* Several ends of one sum are, to the bit, what sums up to each of them have last. */
enum { ENDS = 6 };

static void ends_together(void)
{
	int64_t at[ENDS] = { 0, 3, 30, 31, 190, ALL + 9 };
	double end[ENDS] = { 1 }, *sum = mem_zeroed(ALL + 10, sizeof *sum), *own[ENDS];
	const struct mass_ends ends = { at, end, ENDS };

	for (int k = 0; k < ENDS; k++) {
		own[k] = mem_zeroed((size_t)at[k] + 1, sizeof *own[k]);
		own[k][0] = 1;
	}
	sum[0] = 1;
	for (int i = 0; i < BATCHES; i++) {
		double mass[ALL + 1];

		beta_binomial_masses(ODDS[i], N[i], mass);
		masses_gather_ends(sum, ALL + 9, &ends, mass, N[i]);
		for (int k = 0; k < ENDS; k++) {
			masses_gather(own[k], at[k], mass, N[i]);
			CHECK_CASE(k);
			CHECK(end[k] == own[k][at[k]]);
		}
	}
	for (int64_t k = 0; k < at[ENDS - 1]; k++)
		CHECK(sum[k] == own[ENDS - 1][k]);
	for (int k = 0; k < ENDS; k++)
		free(own[k]);
	free(sum);
}

/* Two uniform proportions: the mean of the product is 1/4, that of its square 1/9. All, and none, of a proportion. */
static void products(void)
{
	const struct beta u = { 1, 1 }, all = { 1, 0 }, none = { 0, 1 };
	struct beta p = beta_product(u, u);
	double sum = p.a + p.b;

	CHECK_NEAR(p.a / sum, 0.25, 1e-12);
	CHECK_NEAR(p.a * p.b / (sum * sum * (sum + 1)), 1 / 9.0 - 1 / 16.0, 1e-12);
	CHECK(beta_product(u, all).b == 1 && beta_product(all, u).a == 1 && !(beta_product(all, all).b > 0));
	CHECK(!(beta_product(u, none).a > 0) && !(beta_product(none, all).a > 0));
}

/* As far as `most` the same masses, whatever n is. */
static void cut_short(void)
{
	for (int i = 0; i < BATCHES; i++)
		for (int64_t most = 0; most <= N[i] + 2; most++) {
			double all[ALL + 1], cut[ALL + 1], above = 0;

			beta_binomial_masses(ODDS[i], N[i], all);
			beta_binomial_masses_to(ODDS[i], N[i], most, cut);
			for (int64_t k = most; k <= N[i]; k++)
				above += all[k];
			for (int64_t k = 0; k < most; k++)
				CHECK_NEAR(cut[k], k <= N[i] ? all[k] : 0, 1e-11);
			CHECK_NEAR(cut[most], above, 1e-10);
		}
}

int main(void)
{
	double pairs[ALL + 1];

	by_pairs(pairs);
	for (int64_t most = 0; most <= ALL + 20; most++)
		gather_up_to(pairs, most);
	ends_together();
	products();
	cut_short();
	gather_up_to(pairs, 2000000); /* far more than there are: it ends */
	return check_end();
}
