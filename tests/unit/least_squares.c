/* Least squares: what must be refused, and the small symmetric systems. */
#include <math.h>

#include "math/least_squares.h"
#include "check.h"

static void refusals(void)
{
	struct fit fit;

	fit_line((const double[]){ 1, 2 }, (const double[]){ 1 }, 1, 2, &fit);
	CHECK_INT(fit.outcome, FIT_UNFIT);
	fit_line((const double[]){ 1, 2, 1, 2, 1, 2 }, (const double[]){ 1, 2, 3 }, 3, 2, &fit);
	CHECK_INT(fit.outcome, FIT_LOOSE);
	fit_line((const double[]){ 1, NAN }, (const double[]){ 1, 2 }, 2, 1, &fit);
	CHECK_INT(fit.outcome, FIT_UNFIT);
}

static void systems(void)
{
	double a[9] = { 4, 2, 1, 2, 5, 3, 1, 3, 6 }, b[3] = { 9, 21, 25 }, inverse[9], z[3] = { 1, 2, 3 };
	double bad[4] = { 1, 2, 2, 1 };

	CHECK(fit_root(a, 3));
	CHECK_NEAR(a[0], 2, 1e-15);
	CHECK_NEAR(a[1], 0, 0);
	fit_solve(a, 3, b); /* 4 x + 2 y + z = 9 ... */
	CHECK_NEAR(4 * b[0] + 2 * b[1] + b[2], 9, 1e-12);
	CHECK_NEAR(2 * b[0] + 5 * b[1] + 3 * b[2], 21, 1e-12);
	CHECK_NEAR(b[0] + 3 * b[1] + 6 * b[2], 25, 1e-12);
	fit_inverse(a, 3, inverse);
	CHECK_NEAR(4 * inverse[0] + 2 * inverse[3] + inverse[6], 1, 1e-12);
	CHECK_NEAR(4 * inverse[1] + 2 * inverse[4] + inverse[7], 0, 1e-12);
	fit_spread(a, 3, z); /* R' x = z */
	CHECK_NEAR(a[0] * z[0] + a[3] * z[1] + a[6] * z[2], 1, 1e-12);
	CHECK_NEAR(a[8] * z[2], 3, 1e-12);
	CHECK(!fit_root(bad, 2));
}

int main(void)
{
	refusals();
	systems();
	return check_end();
}
