/* distributions.h: where the library fails, and what has no answer. The figures are beside R's in tests/outside/r.c. */
#include <math.h>

#include "math/distributions.h"
#include "check.h"

static void where_the_library_fails(void)
{
	CHECK_NEAR(num_hypergeometric_p(3, 35, 3500, 200), 0.863522841698, 1e-11);
	/* qbeta in R 4.2; the library's own search fails here */
	CHECK_NEAR(num_beta_q(0.01, 5000, 40), 0.98887305617901289, 1e-12);
	CHECK_NEAR(num_beta_q(0.3, 5000, 0.5), 0.9998925809816932, 1e-12);
	CHECK(num_beta_q(0.3, 0, 4) == 0 && num_beta_q(0.3, 4, 0) == 1);
}

static void upper_tails(void)
{
	CHECK_NEAR(num_chi2_upper_p(num_chi2_q(0.95, 7), 7), 0.05, 1e-12);
	CHECK_NEAR(num_chi2_upper_q(0.05, 7), num_chi2_q(0.95, 7), 1e-9);
	CHECK(num_chi2_upper_q(1e-14, 3) > num_chi2_upper_q(1e-12, 3));
}

static void refusals(void)
{
	CHECK(!num_is_probability(0) && !num_is_probability(1) && !num_is_probability(NAN) && num_is_probability(0.5));
	CHECK(isnan(num_normal_q(0)) && isnan(num_normal_q(1)));
	CHECK(isnan(num_t_q(0.5, 0)) && isnan(num_chi2_q(0.5, 0)));
	CHECK(isnan(num_beta_q(0.5, 0, 0)) && isnan(num_beta_q(0.5, -1, 2)));
	CHECK(isnan(num_binomial_p(1, 0.5, NUM_PIECES_MOST + 1)) && isnan(num_binomial_p(1, 1.5, 4)));
	CHECK(isnan(num_hypergeometric_p(0, 5, 4, 1)));
	CHECK(num_binomial_p(-1, 0.5, 4) == 0 && num_binomial_p(4, 0.5, 4) == 1);
}

int main(void)
{
	where_the_library_fails();
	upper_tails();
	refusals();
	return check_end();
}
