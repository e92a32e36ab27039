/*
 * random_effect - random_effect.h beside what random_effect.R computes with lm() and aov(), and published results.
 */
#include "math/random_effect.h"
#include "expect.h"

enum { MOST = 60 };

static size_t read_effects(struct effect *list, size_t n)
{
	char line[200];
	size_t at;

	for (at = 0; at < n && at < MOST && expect_line(stdin, line, sizeof(line)); at++) {
		char *from = line;

		list[at].value = expect_number(&from);
		list[at].within = expect_number(&from);
	}
	return at;
}

static void fit(char *at)
{
	double mean = expect_number(&at), error = expect_number(&at), low = expect_number(&at), high = expect_number(&at), between = expect_number(&at);
	struct effect list[MOST];
	size_t n = read_effects(list, (size_t)expect_number(&at));
	struct random_effect r = random_effect_of(list, n);

	expect_near("mean", r.mean, mean, 1e-7);
	expect_near("error", r.error, error, 1e-7);
	expect_near("between", r.between, between, 1e-7);
	expect_near("low", r.mean - random_effect_half(&r, 0.9), low, 1e-6);
	expect_near("high", r.mean + random_effect_half(&r, 0.9), high, 1e-6);
	if (n == 13) {
		/* of these trials the variance between is 0.318 by this method, the mean -0.715 (published often; from memory) */
		expect_near("vaccine, between", r.between, 0.318, 0.0005);
		expect_near("vaccine, mean", r.mean, -0.715, 0.0005);
	}
}

static void anova(char *at)
{
	double mean = expect_number(&at), error = expect_number(&at), between = expect_number(&at);
	struct effect list[MOST];
	size_t n = read_effects(list, (size_t)expect_number(&at));
	struct random_effect r = random_effect_of(list, n);

	expect_near("mean of batches", r.mean, mean, 1e-9);
	expect_near("its error", r.error, error, 1e-9);
	expect_near("between batches", r.between, between, 1e-6);
	/* mean 1527.5, between batches 1764 (Davies and Goldsmith 1972; from memory) */
	expect_near("dyestuff, mean", r.mean, 1527.5, 1e-9);
	expect_near("dyestuff, between", r.between, 1764.05, 0.01);
}

int main(void)
{
	char line[200];
	struct effect one = { 3, 0.1 };
	struct random_effect r = random_effect_of(&one, 1);

	while (expect_line(stdin, line, sizeof(line))) {
		char *at = line;
		const char *name = expect_field(&at);

		if (!strcmp(name, "fit"))
			fit(at);
		else
			anova(at);
	}
	expect_true("one thing", r.mean == 3 && isnan(r.error) && isnan(random_effect_half(&r, 0.9)));
	expect_true("none", isnan(random_effect_of(&one, 0).mean));
	return expect_verdict(44);
}
