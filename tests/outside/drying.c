/*
 * drying DATA - drying curves that others measured, and R's figures for them.
 *
 *  granada  oven-drying of fruit peel, mass loss in per cent by minutes, 8 replicates at each time:
 *           the data set `granada` of the R package AgroReg (GPL >= 2); the fit by R's nls.
 *  BOD      Marske (1967), in Bates and Watts (1988), as R's data set `BOD`; nls and profile.
 *
 * nls comes to rest at one part in 10^5, and R's profile is a curve through a few points: the
 * tolerances are those of its figures, not ours. Sums of squares must not be above R's.
 *
 * Both follow A (1 - exp(-k t)), the first-order law that the model of wy-dry rests on. The
 * interval of a time comes from the profile of the sum of squares: Wald's would begin before 0.
 */
#include "math/distributions.h"
#include "math/least_squares.h"
#include "expect.h"

enum { ROWS = 100 };

struct curve {
	size_t n;
	double t[ROWS], y[ROWS];
};

static void law(const double *b, void *context, double *residual, double *jacobian)
{
	const struct curve *c = context;

	for (size_t i = 0; i < c->n; i++) {
		double e = exp(-b[1] * c->t[i]);

		residual[i] = b[0] * (1 - e) - c->y[i];
		if (jacobian) {
			jacobian[2 * i] = 1 - e;
			jacobian[2 * i + 1] = b[0] * c->t[i] * e;
		}
	}
}

static struct curve read_granada(const char *folder)
{
	struct curve c = { 0 };
	char path[1024], line[256], *at;
	FILE *f;

	snprintf(path, sizeof path, "%s/granada_drying.tsv", folder);
	f = expect_open(path);
	expect_line(f, line, sizeof line); /* the header */
	while (expect_line(f, line, sizeof line)) {
		at = line;
		c.t[c.n] = expect_number(&at);
		c.y[c.n++] = expect_number(&at);
	}
	fclose(f);
	return c;
}

static void granada(const char *folder)
{
	struct curve c = read_granada(folder);
	struct fit fit;

	expect_true("granada has 64 readings", c.n == 64);
	fit_curve(law, &c, c.n, 2, (const double[]){ 50, 0.01 }, NAN, &fit);
	expect_true("granada: a good fit", fit.outcome == FIT_GOOD);
	expect_near("granada A", fit.parameter[0], 71.36772, 3e-5);
	expect_near("granada se A", fit.error[0], 0.6308, 5e-5);
	expect_near("granada k", fit.parameter[1], 0.003506106, 1e-8);
	expect_near("granada se k", fit.error[1], 0.00012735, 5e-9);
}

/* Least sum of squares at this k, where A is a straight matter, less what the profile allows. */
struct profile {
	const struct curve *c;
	double allowed;
};

static double over_allowed(double k, void *context)
{
	const struct profile *p = context;
	double gg = 0, gy = 0, yy = 0;

	for (size_t i = 0; i < p->c->n; i++) {
		double g = 1 - exp(-k * p->c->t[i]);

		gg += g * g;
		gy += g * p->c->y[i];
		yy += p->c->y[i] * p->c->y[i];
	}
	return yy - gy * gy / gg - p->allowed;
}

static void bod(void)
{
	struct curve c = { 6, { 1, 2, 3, 4, 5, 7 }, { 8.3, 10.3, 19.0, 16.0, 15.6, 19.8 } };
	struct profile p = { &c, 0 };
	struct fit fit;
	double t = num_t_q(0.975, 4), low, high;

	fit_curve(law, &c, c.n, 2, (const double[]){ 10, 1 }, NAN, &fit);
	expect_near("BOD A", fit.parameter[0], 19.1425771, 3e-6);
	expect_near("BOD k", fit.parameter[1], 0.5310911987, 3e-7);
	expect_near("BOD rss", fit.rss, 25.99026728, 5e-9);
	p.allowed = fit.rss * (1 + t * t / 4);
	low = num_root(over_allowed, &p, 0.02, fit.parameter[1], 1e-12);
	high = num_root(over_allowed, &p, fit.parameter[1], 10, 1e-12);
	expect_near("BOD profile, low k", low, 0.135624, 0.005);
	expect_near("BOD profile, high k", high, 1.810125, 0.003);
	expect_near("BOD: t at 90 % of A", log(10) / fit.parameter[1], 4.336, 5e-4);
	expect_near("BOD: that t, profile from", log(10) / high, 1.27, 5e-3);
	expect_near("BOD: that t, profile to", log(10) / low, 16.98, 0.6);
}

int main(int argc, char **argv)
{
	if (argc != 2)
		return 2;
	granada(argv[1]);
	bod();
	return expect_verdict(14);
}
