/*
 * r - distributions.h, tolerance.h and sampling.h beside R's own functions: reads what r.R prints, a line each of name, four
 * arguments and R's value.
 */
#include "math/sampling.h"
#include "math/stats.h"
#include "expect.h"

static double wilson(const double *a, bool high)
{
	double ends[2];

	wilson_interval((int64_t)a[0], (int64_t)a[1], dist_normal_q((1 + a[2]) / 2), &ends[0], &ends[1]);
	return ends[high];
}

static double normal_p(const double *a) { return dist_normal_p(a[0]); }
static double normal_q(const double *a) { return dist_normal_q(a[0]); }
static double t_q(const double *a) { return dist_t_q(a[0], a[1]); }
static double chi2_q(const double *a) { return dist_chi2_q(a[0], a[1]); }
static double beta_q(const double *a) { return dist_beta_q(a[0], a[1], a[2]); }
static double binomial_p(const double *a) { return dist_binomial_p((int64_t)a[0], a[1], (int64_t)a[2]); }
static double hypergeometric_p(const double *a) { return dist_hypergeometric_p((int64_t)a[0], (int64_t)a[1], (int64_t)a[2], (int64_t)a[3]); }
static double share_low(const double *a) { return sampling_share((int64_t)a[0], (int64_t)a[1], a[2]).low; }
static double share_high(const double *a) { return sampling_share((int64_t)a[0], (int64_t)a[1], a[2]).high; }
static double wilson_low(const double *a) { return wilson(a, false); }
static double wilson_high(const double *a) { return wilson(a, true); }
static double factor_one(const double *a) { return tolerance_one(a[0], a[1], a[2]); }
static double one_pooled(const double *a) { return tolerance_one_pooled(a[0], a[1], a[2], a[3]); }
static double mean_of(const double *a) { return tolerance_mean((int64_t)a[0], a[1]); }
static double free_one(const double *a) { return (double)sampling_free_one(a[0], a[1]); }
static double free_two(const double *a) { return (double)sampling_free_two(a[0], a[1]); }
static double sample(const double *a) { return (double)sampling_pieces(a[0], a[1], (int64_t)a[2]); }
static double read_on(const double *a) { return (double)sampling_pieces_on(a[0], a[1], (int64_t)a[2], 5); }
static double sample_of(const double *a) { return (double)sampling_pieces_of((int64_t)a[0], a[1], a[2], (int64_t)a[3]); }

static const struct {
	const char *name;
	double (*got)(const double *a);
	double within; /* of the value, or of 1 where that is more */
} KINDS[] = {
	{ "normal_p", normal_p, 1e-14 }, { "normal_q", normal_q, 1e-12 }, { "t_q", t_q, 1e-8 },
	{ "chi2_q", chi2_q, 1e-10 }, { "beta_q", beta_q, 1e-10 },
	{ "binomial_p", binomial_p, 1e-10 }, { "hypergeometric_p", hypergeometric_p, 1e-10 },
	{ "share_low", share_low, 1e-10 }, { "share_high", share_high, 1e-10 },
	{ "wilson_low", wilson_low, 1e-12 }, { "wilson_high", wilson_high, 1e-12 },
	{ "tolerance_one", factor_one, 1e-8 }, { "one_pooled", one_pooled, 1e-8 }, { "mean_of", mean_of, 1e-12 },
	{ "free_one", free_one, 0 }, { "free_two", free_two, 0 }, { "sample", sample, 0 }, { "sample_of", sample_of, 0 }, { "read_on", read_on, 0 },
};

/* The factor at the confidence that R found for it has to be the factor again; a[] is k, n, cover. */
static void factor_again(const char *what, bool one, const double *a, double fails)
{
	double sure = 1 - fails;

	if (sure < 0.3 || sure > 1 - 1e-6)
		expect_true(what, 0);
	expect_near(what, one ? tolerance_one(a[1], a[2], sure) : tolerance_two(a[1], a[2], sure), a[0], 1e-7 * a[0]);
}

static void check(const char *what, const char *name, const double *a, double value)
{
	if (!strcmp(name, "one_short") || !strcmp(name, "two_short")) {
		factor_again(what, !strcmp(name, "one_short"), a, value);
		return;
	}
	for (size_t i = 0; i < sizeof(KINDS) / sizeof(*KINDS); i++)
		if (!strcmp(KINDS[i].name, name)) {
			expect_near(what, KINDS[i].got(a), value, KINDS[i].within * fmax(1, fabs(value)));
			return;
		}
	expect_true(what, 0);
}

int main(void)
{
	char line[512], what[512];

	while (expect_line(stdin, line, sizeof(line))) {
		char *at = line;
		const char *name;
		double a[4], value;

		snprintf(what, sizeof(what), "%s", line);
		name = expect_field(&at);
		for (int i = 0; i < 4; i++)
			a[i] = expect_number(&at);
		value = expect_number(&at);
		check(what, name, a, value);
	}
	return expect_verdict(1000);
}
