/* numeric.h: a root that is there and one that is not, an integral, nodes that are exact for a polynomial. */
#include <math.h>

#include "math/numeric.h"
#include "check.h"

static double square_less(double x, void *context)
{
	return x * x - *(const double *)context;
}

static double bell(double x, void *context)
{
	(void)context;
	return exp(-x * x / 2);
}

static double pole(double x, void *context)
{
	(void)context;
	return 1 / x;
}

static void roots(void)
{
	double two = 2, below = -1;

	CHECK_NEAR(numeric_root(square_less, &two, 0, 2, 1e-13), sqrt(2), 1e-12);
	CHECK(isnan(numeric_root(square_less, &below, 0, 2, 1e-13)));
}

static void integrals(void)
{
	CHECK_NEAR(numeric_integral(bell, NULL, -9, 9), sqrt(2 * M_PI), 1e-12);
	CHECK(isnan(numeric_integral(pole, NULL, 0, 1)));
}

/* Four nodes are exact up to x^7: from 1 to 3 that is (3^8 - 1) / 8. */
static void nodes(void)
{
	double x[4], weight[4], sum = 0;

	CHECK(numeric_nodes(1, 3, 4, x, weight));
	for (int i = 0; i < 4; i++)
		sum += weight[i] * pow(x[i], 7);
	CHECK_NEAR(sum, 820, 1e-10);
}

int main(void)
{
	roots();
	integrals();
	nodes();
	return check_end();
}
