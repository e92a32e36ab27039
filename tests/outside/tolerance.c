/*
 * tolerance - tolerance factors and distribution-free bounds against published tables, every row.
 *  ISO 16269-6:2014, Annex F; Meeker, Hahn, Escobar (2017), tables J.5 and J.11; Montgomery and
 *  Runger (2018), table XII: the data's first lines tell more.
 *  check_values.tsv: computed in R, SciPy or mpmath as each row says.
 *  NIST/SEMATECH e-Handbook of Statistical Methods, 7.2.6.3 and 7.2.6.4.
 */
#include "math/sampling.h"
#include "expect.h"

static FILE *open_in(const char *folder, const char *name)
{
	char path[1024], line[512];
	FILE *f;

	snprintf(path, sizeof(path), "%s/%s", folder, name);
	f = expect_open(path);
	expect_line(f, line, sizeof(line)); /* the names */
	return f;
}

/* coverage and confidence come first, after the table's name where there is one */
struct asked {
	double cover, sure, n;
	char what[200];
};

static struct asked asked_of(const char *table, char **at)
{
	struct asked a;

	snprintf(a.what, sizeof(a.what), "%.60s: %.120s", table, *at);
	a.cover = expect_number(at);
	a.sure = expect_number(at);
	a.n = expect_number(at);
	return a;
}

/* Printed to four places, the last one rounded up. */
static void iso(const char *folder)
{
	FILE *f = open_in(folder, "iso16269_6_annexF.tsv");
	char line[512];

	while (expect_line(f, line, sizeof(line))) {
		char *at = line;
		struct asked a = (expect_field(&at), asked_of("ISO 16269-6", &at));
		double m = expect_number(&at), k = expect_number(&at);
		double got = tolerance_pooled(a.n, m * (a.n - 1), a.cover, a.sure);

		expect_near(a.what, ceil(got * 1e4 - 1e-6) / 1e4, k, 1e-9);
		if (m == 1)
			expect_near(a.what, tolerance_two(a.n, a.cover, a.sure), got, 0);
	}
	fclose(f);
}

static void two_sided(const char *folder)
{
	FILE *f = open_in(folder, "meeker_hahn_escobar_J5.tsv");
	char line[512];

	while (expect_line(f, line, sizeof(line))) {
		char *at = line;
		struct asked a = (expect_field(&at), asked_of("MHE J.5", &at));

		expect_near(a.what, tolerance_two(a.n, a.cover, a.sure), expect_number(&at), 0.0005 + 1e-9);
	}
	fclose(f);
}

static void one_sided(const char *folder)
{
	FILE *f = open_in(folder, "montgomery_runger_XII.tsv");
	char line[512];

	while (expect_line(f, line, sizeof(line))) {
		char *at = line;
		struct asked a = asked_of("Montgomery and Runger XII", &at);

		expect_near(a.what, tolerance_one(a.n, a.cover, a.sure), expect_number(&at), 0.0005 + 1e-9);
	}
	fclose(f);
}

/* From how many pieces on the least of the sample is a bound; the orders of others are not used. */
static void orders(const char *folder)
{
	FILE *f = open_in(folder, "meeker_hahn_escobar_J11.tsv");
	char line[512];

	while (expect_line(f, line, sizeof(line))) {
		char *at = line;
		struct asked a = asked_of("MHE J.11", &at);
		int none = strcmp(at, "NA") == 0;

		/* a bound is there from the least n on for which the least of the sample is one */
		expect_true(a.what, none == ((int64_t)a.n < sampling_free_one(a.cover, a.sure)));
	}
	fclose(f);
}

/* Howe's factor (e-Handbook 7.2.6.3), which Withy does not use, out of its quantiles. */
static double howe(double n, double cover, double sure)
{
	return dist_normal_q((1 + cover) / 2) * sqrt((n - 1) * (1 + 1 / n) / dist_chi2_q(1 - sure, n - 1));
}

/* The next single piece lies within mean +- f sd: out of the quantile of t. */
static double next_one(double n, double sure)
{
	return dist_t_q((1 + sure) / 2, n - 1) * sqrt(1 + 1 / n);
}

/* The limits of sigma over s: e-Handbook 7.2.3.1. */
static double sigma_over_s(double n, double p)
{
	return sqrt((n - 1) / dist_chi2_q(p, n - 1));
}

/* Accepting on c of n out of band, where the share p of all, or of a lot of so many, is. */
static double accepted(double n, double c, double all, double p)
{
	if (isnan(all))
		return dist_binomial_p((int64_t)c, p, (int64_t)n);
	return dist_hypergeometric_p((int64_t)c, (int64_t)round(all * p), (int64_t)all, (int64_t)n);
}

static int starts(const char *name, const char *head)
{
	return strncmp(name, head, strlen(head)) == 0;
}

static void share_row(const char *name, const char *inputs, double want, double tol)
{
	double sure;
	int k, n;

	if (sscanf(inputs, "%d/%d conf=%lf", &k, &n, &sure) == 3)
		expect_near(inputs, strcmp(name, "clopper_pearson_lo") ? sampling_share(k, n, sure).high : sampling_share(k, n, sure).low, want, tol);
}

static void factor_row(const char *name, const char *inputs, double want, double tol)
{
	double n, cover, sure;

	if (sscanf(inputs, "n=%lf P=%lf conf=%lf", &n, &cover, &sure) != 3)
		return;
	if (!strcmp(name, "k1_onesided"))
		expect_near(inputs, tolerance_one(n, cover, sure), want, tol);
	if (!strcmp(name, "k2_exact"))
		expect_near(inputs, tolerance_two(n, cover, sure), want, tol);
	if (!strcmp(name, "k2_howe"))
		expect_near(inputs, howe(n, cover, sure), want, tol);
}

static void plan_row(const char *inputs, double want, double tol)
{
	double n, c, all, p;

	if (sscanf(inputs, "n=%lf c=%lf N=%lf p=%lf", &n, &c, &all, &p) == 4)
		expect_near(inputs, accepted(n, c, all, p), want, tol);
	else if (sscanf(inputs, "n=%lf c=%lf N=None p=%lf", &n, &c, &p) == 3)
		expect_near(inputs, accepted(n, c, NAN, p), want, tol);
}

/* EMC, its inverse and Wilson's intervals are in emc.c and strd.c. */
static void value_row(const char *name, const char *inputs, double want, double tol)
{
	double df;

	factor_row(name, inputs, want, tol);
	if (starts(name, "clopper_pearson"))
		share_row(name, inputs, want, tol);
	if (!strcmp(name, "t975") && sscanf(inputs, "df=%lf", &df) == 1)
		expect_near(inputs, dist_t_q(0.975, df), want, tol * want);
	if (!strcmp(name, "pred1_factor"))
		expect_near(name, next_one(4, 0.95), want, tol);
	if (!strcmp(name, "sd_ci_lo"))
		expect_near(name, sigma_over_s(4, 0.975), want, tol);
	if (!strcmp(name, "sd_ci_hi"))
		expect_near(name, sigma_over_s(4, 0.025), want, tol);
	if (!strcmp(name, "oc_accept"))
		plan_row(inputs, want, tol);
}

static void values(const char *folder)
{
	FILE *f = open_in(folder, "check_values.tsv");
	char line[512];
	int before = expect_checked;

	while (expect_line(f, line, sizeof(line))) {
		char *at = line;
		const char *name = expect_field(&at), *inputs = expect_field(&at);
		double want = expect_number(&at), tol = expect_number(&at);

		value_row(name, inputs, want, tol);
	}
	fclose(f);
	expect_near("rows of check_values.tsv for this test", expect_checked - before, 112, 0);
}

/* The share that a band assures is the one whose factor reaches its nearer end. */
static void inverse(void)
{
	static const double COVER[] = { 0.01, 0.5, 0.9, 0.99, 0.99999 };
	static const double N[] = { 2, 3, 4, 8, 30, 500 };

	for (size_t c = 0; c < sizeof(COVER) / sizeof(*COVER); c++)
		for (size_t i = 0; i < sizeof(N) / sizeof(*N); i++) {
			double k1 = tolerance_one(N[i], COVER[c], 0.95), k2 = tolerance_two(N[i], COVER[c], 0.95);

			expect_near("band of two ends", tolerance_cover(N[i], k2, k2 + 1, 0.95), COVER[c], 1e-9);
			if (k1 > 0)
				expect_near("band of one end", tolerance_cover(N[i], INFINITY, k1, 0.95), COVER[c], 1e-9);
		}
}

int main(int argc, char **argv)
{
	if (argc != 2)
		return 2;
	iso(argv[1]);
	two_sided(argv[1]);
	one_sided(argv[1]);
	orders(argv[1]);
	values(argv[1]);
	inverse();
	return expect_verdict(690 + 69 + 1110 + 288 + 216 + 113 + 54);
}
