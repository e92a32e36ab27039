/*
 * spread - spread.h beside what spread.R computes with glm(), and how often its intervals hold the true share of
 * beta-binomial lots: those of a lot and those of all lots.
 */
#include "math/spread.h"
#include "math/stats.h"
#include "expect.h"

static void read_lots(struct spread *s, size_t n)
{
	char line[200];

	for (size_t i = 0; i < n && expect_line(stdin, line, sizeof(line)); i++) {
		char *at = line;
		int64_t k = (int64_t)expect_number(&at);

		spread_add(s, i, (uint32_t)i, k, (int64_t)expect_number(&at));
	}
}

static void fit(char *at)
{
	double correlation = expect_number(&at), df = expect_number(&at);
	size_t n = (size_t)expect_number(&at);
	struct spread s = { 0 };

	read_lots(&s, n);
	spread_end(&s, n, true); /* rows of one lot say nothing of their own: all lots serve */
	expect_near("correlation", s.rows.correlation, correlation, 1e-7);
	expect_near("degrees of freedom", s.rows.df, df, 0);
	expect_true("known", s.all.known && s.lots == n);
	spread_release(&s);
}

struct held {
	double all, lots, lots_plain, n;
};

static int holds(double p, double share, double n, double z)
{
	double low, high;

	wilson_share(share, n, z, &low, &high);
	return low <= p && p <= high;
}

static void one_answer(size_t n, double p, struct held *h)
{
	struct spread s = { 0 };
	double k = 0, all = 0, point;

	read_lots(&s, n);
	spread_end(&s, n, false);
	point = spread_point(&s.all, 0.975);
	for (size_t i = 0; i < s.n; i++) {
		double cases = (double)s.lot[i].n, share = (double)s.lot[i].k / cases;

		k += (double)s.lot[i].k;
		all += cases;
		h->lots += holds(p, share, cases / s.design[i], point) / (double)n;
		h->lots_plain += holds(p, share, cases, NORMAL_975) / (double)n;
	}
	h->all += holds(p, k / all, all / s.design_all, point);
	h->n++;
	spread_release(&s);
}

static void cover(char *at)
{
	double correlation = expect_number(&at), p = expect_number(&at);
	int answers = (int)expect_number(&at);
	size_t n = (size_t)expect_number(&at);
	struct held h = { 0, 0, 0, 0 };

	for (int i = 0; i < answers; i++)
		one_answer(n, p, &h);
	printf("correlation %g, share %g: 95 %% intervals hold it: of all lots %.1f, of one lot %.1f, of one lot by chance alone %.1f\n",
		correlation, p, 100 * h.all / h.n, 100 * h.lots / h.n, 100 * h.lots_plain / h.n);
	expect_true("all lots", h.all / h.n > 0.91 && h.all / h.n < 0.995);
	expect_true("one lot", h.lots / h.n > 0.93 && h.lots / h.n < 0.985);
	expect_true("by chance alone", correlation > 0 ? h.lots_plain / h.n < 0.80 : h.lots_plain / h.n > 0.93);
}

int main(void)
{
	char line[200];

	while (expect_line(stdin, line, sizeof(line))) {
		char *at = line;
		const char *name = expect_field(&at);

		if (!strcmp(name, "fit"))
			fit(at);
		else
			cover(at);
	}
	return expect_verdict(27);
}
