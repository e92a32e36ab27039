/* distributions.h: where the library fails, and what has no answer. The figures are beside R's in tests/outside/r.c. */
#include <math.h>

#include "math/distributions.h"
#include "check.h"

static void where_the_library_fails(void)
{
	CHECK_NEAR(dist_hypergeometric_p(3, 35, 3500, 200), 0.863522841698, 1e-11);
	/* qbeta in R 4.2; the library's own search fails here */
	CHECK_NEAR(dist_beta_q(0.01, 5000, 40), 0.98887305617901289, 1e-12);
	CHECK_NEAR(dist_beta_q(0.3, 5000, 0.5), 0.9998925809816932, 1e-12);
	CHECK(dist_beta_q(0.3, 0, 4) == 0 && dist_beta_q(0.3, 4, 0) == 1);
}

static void upper_tails(void)
{
	CHECK_NEAR(dist_chi2_upper_p(dist_chi2_q(0.95, 7), 7), 0.05, 1e-12);
	CHECK_NEAR(dist_chi2_upper_q(0.05, 7), dist_chi2_q(0.95, 7), 1e-9);
	CHECK(dist_chi2_upper_q(1e-14, 3) > dist_chi2_upper_q(1e-12, 3));
}

static void refusals(void)
{
	CHECK(!dist_is_probability(0) && !dist_is_probability(1) && !dist_is_probability(NAN) && dist_is_probability(0.5));
	CHECK(isnan(dist_normal_q(0)) && isnan(dist_normal_q(1)));
	CHECK(isnan(dist_t_q(0.5, 0)) && isnan(dist_chi2_q(0.5, 0)));
	CHECK(isnan(dist_beta_q(0.5, 0, 0)) && isnan(dist_beta_q(0.5, -1, 2)));
	CHECK(isnan(dist_binomial_p(1, 0.5, DIST_PIECES_MOST + 1)) && isnan(dist_binomial_p(1, 1.5, 4)));
	CHECK(isnan(dist_hypergeometric_p(0, 5, 4, 1)));
	CHECK(dist_binomial_p(-1, 0.5, 4) == 0 && dist_binomial_p(4, 0.5, 4) == 1);
}

int main(void)
{
	where_the_library_fails();
	upper_tails();
	refusals();
	return check_end();
}
