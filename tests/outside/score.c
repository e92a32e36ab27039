/*
 * score - day_odds.h, turnbull.h and cluster_mean.h beside what score.R computes: closed forms and integrals of the CRPS, the
 * nonrandomized histogram of Czado, Gneiting and Held, Turnbull's estimate by survfit(), and intervals.
 */
#include "math/cluster_mean.h"
#include "math/day_odds.h"
#include "math/distributions.h"
#include "math/turnbull.h"
#include "expect.h"

enum { DAYS = 12000, BINS = 10, CASES_MOST = 60, DAYS_CHECKED = 80 };

static double share[DAYS + 2];

static char *next_line(char *line, int size)
{
	expect_true("a line more", expect_line(stdin, line, size));
	return line;
}

/* A day is 1/100 wide, and its chance "by then" is that of its middle: the midpoint rule for the integral. */
static const double WIDE = 0.01;

static double normal_crps(double mu, double sigma, double after, double by)
{
	const struct day_odds odds = { share, DAYS };
	struct day_seen seen = { (int)lround(after / WIDE), isnan(by) ? DAY_UNSEEN : (int)lround(by / WIDE) + 1 };
	double before = 0;

	for (int d = 1; d <= DAYS; d++) {
		double come = dist_normal_p(((d - 0.5) * WIDE - mu) / sigma);

		share[d] = come - before;
		before = come;
	}
	share[DAYS + 1] = 1 - before;
	return WIDE * day_odds_crps(&odds, seen);
}

static void normal(char *at)
{
	double mu = expect_number(&at), sigma = expect_number(&at), y = expect_number(&at);

	expect_near("CRPS of a normal distribution", normal_crps(mu, sigma, y, y), expect_number(&at), 1e-5);
}

static void censored(char *at)
{
	double mu = expect_number(&at), sigma = expect_number(&at), after = expect_number(&at), by = expect_number(&at);

	expect_near("CRPS of a censored time", normal_crps(mu, sigma, after, by), expect_number(&at), 1e-5);
}

static void members(char *at)
{
	const struct day_odds odds = { share, DAYS };
	int y = (int)expect_number(&at), n = 0, day[CASES_MOST];
	double want = expect_number(&at);

	memset(share, 0, sizeof share);
	while (*at)
		day[n++] = (int)expect_number(&at);
	for (int i = 0; i < n; i++)
		share[day[i]] += 1.0 / n;
	expect_near("CRPS of an ensemble", day_odds_crps(&odds, (struct day_seen){ y - 1, y }), want, 1e-10);
}

static void poisson(double lambda)
{
	double p = exp(-lambda), rest = 1;

	for (int d = 1; d <= DAYS; d++) {
		share[d] = p;
		rest -= p;
		p *= lambda / d;
	}
	share[DAYS + 1] = fmax(rest, 0);
}

static struct day_seen read_seen(char **at)
{
	double after = expect_number(at), by = expect_number(at);

	return (struct day_seen){ (int)after, isnan(by) ? DAY_UNSEEN : (int)by };
}

static void pit(char *at)
{
	const struct day_odds odds = { share, DAYS };
	int n = (int)expect_number(&at);
	double bin[BINS] = { 0 };

	for (int i = 0; i < n; i++) {
		char line[200], *here = next_line(line, sizeof line);

		poisson(expect_number(&here));
		day_odds_pit(&odds, read_seen(&here), bin, BINS);
	}
	for (int i = 0; i < BINS; i++)
		expect_near("bin of the histogram", bin[i], expect_number(&at), 1e-7);
}

/*
 * Whether no chance can be moved to a day where it makes the cases likelier: Gentleman and Geyer 1994 (Biometrika 81).
 */
static void is_likeliest(const struct day_seen *seen, size_t n)
{
	double gain[DAYS_CHECKED + 1] = { 0 };

	for (size_t i = 0; i < n; i++) {
		double p = 0;

		for (int d = seen[i].after + 1; d <= DAYS_CHECKED && d <= seen[i].by; d++)
			p += share[d];
		for (int d = seen[i].after + 1; d <= DAYS_CHECKED && d <= seen[i].by; d++)
			gain[d] += 1 / p / (double)n;
	}
	for (int d = 1; d <= DAYS_CHECKED; d++)
		expect_true("nothing to gain", gain[d] < 1 + 1e-5);
}

/* survfit() ends its steps early. */
static const double STEPS = 1e-3;

static void days_taken(char *at)
{
	size_t n = (size_t)expect_number(&at), checks = (size_t)expect_number(&at);
	struct day_seen seen[CASES_MOST];
	char line[200], *here;

	for (size_t i = 0; i < n; i++) {
		here = next_line(line, sizeof line);
		seen[i] = read_seen(&here);
	}
	expect_true("an estimate", turnbull(seen, n, share, DAYS));
	is_likeliest(seen, n);
	for (size_t i = 0; i < checks; i++) {
		double come = 0;
		int day;

		here = next_line(line, sizeof line);
		day = (int)expect_number(&here);
		for (int d = 0; d <= day; d++)
			come += share[d];
		expect_near("Turnbull's estimate", come, expect_number(&here), STEPS);
	}
}

static void wilson(char *at)
{
	int k = (int)expect_number(&at), n = (int)expect_number(&at);
	struct cluster_mean m = { 0 };
	struct cluster_found f;

	for (int i = 0; i < n; i++)
		for (int twice = 0; twice < 2; twice++) /* two that say the same are no more than one */
			cluster_mean_add(&m, (size_t)i, i < k);
	f = cluster_share_end(&m);
	expect_near("lower end of a share", f.low, expect_number(&at), 1e-9);
	expect_near("upper end of a share", f.high, expect_number(&at), 1e-9);
	cluster_mean_release(&m);
}

static void mean(char *at)
{
	double want = expect_number(&at), low = expect_number(&at), high = expect_number(&at);
	size_t n = (size_t)expect_number(&at);
	struct cluster_mean m = { 0 };
	struct cluster_found f;

	for (size_t i = 0; i < n; i++) {
		char line[400], *here = next_line(line, sizeof line);

		while (*here)
			cluster_mean_add(&m, i, expect_number(&here));
	}
	f = cluster_mean_end(&m);
	expect_near("mean", f.mean, want, 1e-9);
	expect_near("its lower end", f.low, low, 1e-9);
	expect_near("its upper end", f.high, high, 1e-9);
	cluster_mean_release(&m);
}

int main(void)
{
	static const struct { const char *name; void (*run)(char *at); } CASES[] = {
		{ "normal", normal }, { "censored", censored }, { "members", members }, { "pit", pit }, { "turnbull", days_taken }, { "share", wilson },
		{ "mean", mean },
	};
	char line[400];

	while (expect_line(stdin, line, sizeof(line))) {
		char *at = line;
		const char *name = expect_field(&at);
		size_t i = 0;

		while (i < sizeof CASES / sizeof *CASES && strcmp(name, CASES[i].name))
			i++;
		expect_true(name, i < sizeof CASES / sizeof *CASES);
		if (i < sizeof CASES / sizeof *CASES)
			CASES[i].run(at);
	}
	return expect_verdict(90);
}
