/* Beta-binomial masses, tails and quantiles, and a sum of two numbers, against R (beta_binomial.R). */
#include "expect.h"
#include "math/beta_binomial.h"

static double next(char **at)
{
	return strtod(expect_field(at), NULL);
}

static double moment(const double *mass, int64_t n, int power)
{
	double sum = 0;

	for (int64_t k = 0; k <= n; k++)
		sum += mass[k] * pow((double)k, power);
	return sum;
}

/* P(X = k) of 12 pieces out of two of 6: the beta is so narrow that it is binomial. */
static void check_sum(double share, int64_t n, double k, double want)
{
	double x[16], sum[31];
	struct beta narrow = { share * 1e9, (1 - share) * 1e9 };

	beta_binomial_masses(narrow, n, x);
	masses_add(x, n, x, n, sum);
	expect_near("sum", sum[(int)k], want, 1e-7);
}

static void check(const char *what, char *at)
{
	static double mass[1000];
	struct beta beta;
	int64_t n;
	double x, want;

	beta.a = next(&at);
	beta.b = next(&at);
	n = (int64_t)next(&at);
	x = next(&at);
	want = next(&at);
	if (!strcmp(what, "sum")) {
		check_sum(beta.b, n, x, want);
		return;
	}
	beta_binomial_masses(beta, n, mass);
	if (!strcmp(what, "mass"))
		expect_near(what, mass[(int)x], want, 1e-10 * want + 1e-300);
	else if (!strcmp(what, "upper"))
		expect_near(what, masses_at_least(mass, n, (int64_t)x), want, 1e-10);
	else if (!strcmp(what, "quantile"))
		expect_near(what, (double)masses_quantile(mass, n, x), want, 0);
	else {
		expect_near("mean", moment(mass, n, 1), want, 1e-10 * want);
		expect_near("square", moment(mass, n, 2), next(&at), 1e-6);
	}
}

/* The variance of beta_of() is the one asked for; the formula of the mean and variance of a beta is in every table. */
static void check_beta_of(void)
{
	struct beta b = beta_of(0.3, 0.05);
	double sum = b.a + b.b;

	expect_near("beta mean", b.a / sum, 0.3, 1e-12);
	expect_near("beta sd", sqrt(b.a * b.b / (sum * sum * (sum + 1))), 0.05, 1e-12);
}

int main(void)
{
	char line[512];

	while (expect_line(stdin, line, sizeof line)) {
		char *at = line, *what = expect_field(&at);

		check(what, at);
	}
	check_beta_of();
	return expect_verdict(400);
}
