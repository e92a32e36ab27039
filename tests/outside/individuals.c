/*
 * individuals - the limits of a chart of individual values.
 *  NIST/SEMATECH e-Handbook of Statistical Methods, 6.3.2.2.2, the flow rates of ten batches: mean 50.81, limits 45.8159 and 55.8041.
 */
#include "math/individuals.h"
#include "expect.h"

int main(void)
{
	static const double flow[] = { 49.6, 47.6, 49.9, 51.3, 47.8, 51.2, 52.6, 52.4, 53.6, 52.1 };
	struct individuals limits;

	expect_true("ten values have limits", individuals_of(flow, 10, &limits));
	expect_near("centre", limits.centre, 50.81, 0.00005);
	expect_near("low", limits.low, 45.8159, 0.00005);
	expect_near("high", limits.high, 55.8041, 0.00005);
	expect_true("four values have none", !individuals_of(flow, 4, &limits));
	return expect_verdict(5);
}
