/*
 * strd_fit DATA - least squares against NIST's Statistical Reference Datasets: six straight sets
 * and twenty-one curved ones, these from both of NIST's starts. Certified are 15 digits of the
 * straight sets and 11 of the curved ones; the digits reached are printed, set by set, and at least
 * six are asked of every parameter and every standard error.
 *
 * The models are NIST's; their derivatives are worked out here.
 */
#include "math/least_squares.h"
#include "expect.h"

enum { ROWS = 260, XS = 6, PARAMETERS = 12 };

struct set {
	const char *name;
	size_t n, p, nx;
	double y[ROWS], x[ROWS][XS];
	double start[2][PARAMETERS], value[PARAMETERS], error[PARAMETERS];
	void (*at)(const double *b, const double *x, double *y, double *d);
};

/* ---- the models: y, and its derivatives by each parameter */

static void misra1a(const double *b, const double *x, double *y, double *d)
{
	double e = exp(-b[1] * x[0]);

	*y = b[0] * (1 - e);
	d[0] = 1 - e;
	d[1] = b[0] * x[0] * e;
}

static void misra1b(const double *b, const double *x, double *y, double *d)
{
	double u = 1 + b[1] * x[0] / 2;

	*y = b[0] * (1 - 1 / (u * u));
	d[0] = 1 - 1 / (u * u);
	d[1] = b[0] * x[0] / (u * u * u);
}

static void misra1c(const double *b, const double *x, double *y, double *d)
{
	double u = 1 + 2 * b[1] * x[0];

	*y = b[0] * (1 - 1 / sqrt(u));
	d[0] = 1 - 1 / sqrt(u);
	d[1] = b[0] * x[0] / (u * sqrt(u));
}

static void misra1d(const double *b, const double *x, double *y, double *d)
{
	double u = 1 + b[1] * x[0];

	*y = b[0] * b[1] * x[0] / u;
	d[0] = b[1] * x[0] / u;
	d[1] = b[0] * x[0] / (u * u);
}

static void chwirut(const double *b, const double *x, double *y, double *d)
{
	double u = b[1] + b[2] * x[0], e = exp(-b[0] * x[0]);

	*y = e / u;
	d[0] = -x[0] * e / u;
	d[1] = -e / (u * u);
	d[2] = -x[0] * e / (u * u);
}

static void danwood(const double *b, const double *x, double *y, double *d)
{
	double power = pow(x[0], b[1]);

	*y = b[0] * power;
	d[0] = power;
	d[1] = b[0] * power * log(x[0]);
}

static void eckerle4(const double *b, const double *x, double *y, double *d)
{
	double z = (x[0] - b[2]) / b[1], e = exp(-0.5 * z * z);

	*y = b[0] / b[1] * e;
	d[0] = e / b[1];
	d[1] = b[0] * e * (z * z - 1) / (b[1] * b[1]);
	d[2] = b[0] * e * z / (b[1] * b[1]);
}

static void bump(double height, double middle, double width, double x, double *y, double *d)
{
	double z = (x - middle) / width, e = exp(-z * z);

	*y += height * e;
	d[0] = e;
	d[1] = 2 * height * e * z / width;
	d[2] = 2 * height * e * z * z / width;
}

static void gauss(const double *b, const double *x, double *y, double *d)
{
	double e = exp(-b[1] * x[0]);

	*y = b[0] * e;
	d[0] = e;
	d[1] = -b[0] * x[0] * e;
	bump(b[2], b[3], b[4], x[0], y, d + 2);
	bump(b[5], b[6], b[7], x[0], y, d + 5);
}

static void lanczos(const double *b, const double *x, double *y, double *d)
{
	*y = 0;
	for (int i = 0; i < 6; i += 2) {
		double e = exp(-b[i + 1] * x[0]);

		*y += b[i] * e;
		d[i] = e;
		d[i + 1] = -b[i] * x[0] * e;
	}
}

static void mgh17(const double *b, const double *x, double *y, double *d)
{
	double e4 = exp(-x[0] * b[3]), e5 = exp(-x[0] * b[4]);

	*y = b[0] + b[1] * e4 + b[2] * e5;
	d[0] = 1;
	d[1] = e4;
	d[2] = e5;
	d[3] = -b[1] * x[0] * e4;
	d[4] = -b[2] * x[0] * e5;
}

static void mgh09(const double *b, const double *x, double *y, double *d)
{
	double top = x[0] * x[0] + x[0] * b[1], u = x[0] * x[0] + x[0] * b[2] + b[3];

	*y = b[0] * top / u;
	d[0] = top / u;
	d[1] = b[0] * x[0] / u;
	d[2] = -*y * x[0] / u;
	d[3] = -*y / u;
}

/* A polynomial of `top` terms over one with the constant 1 and `under` further terms. */
static void rational(int top, int under, const double *b, double x, double *y, double *d)
{
	double above = 0, below = 1, power = 1;

	for (int i = 0; i < top; i++, power *= x)
		above += b[i] * power;
	power = x;
	for (int i = 0; i < under; i++, power *= x)
		below += b[top + i] * power;
	*y = above / below;
	power = 1;
	for (int i = 0; i < top; i++, power *= x)
		d[i] = power / below;
	power = x;
	for (int i = 0; i < under; i++, power *= x)
		d[top + i] = -*y * power / below;
}

static void kirby2(const double *b, const double *x, double *y, double *d)
{
	rational(3, 2, b, x[0], y, d);
}

static void cubic(const double *b, const double *x, double *y, double *d)
{
	rational(4, 3, b, x[0], y, d);
}

static void rat42(const double *b, const double *x, double *y, double *d)
{
	double e = exp(b[1] - b[2] * x[0]), u = 1 + e;

	*y = b[0] / u;
	d[0] = 1 / u;
	d[1] = -b[0] * e / (u * u);
	d[2] = b[0] * x[0] * e / (u * u);
}

static void rat43(const double *b, const double *x, double *y, double *d)
{
	double e = exp(b[1] - b[2] * x[0]), u = 1 + e, power = pow(u, -1 / b[3]);

	*y = b[0] * power;
	d[0] = power;
	d[1] = -*y * e / (u * b[3]);
	d[2] = *y * x[0] * e / (u * b[3]);
	d[3] = *y * log(u) / (b[3] * b[3]);
}

static void nelson(const double *b, const double *x, double *y, double *d)
{
	double e = exp(-b[2] * x[1]);

	*y = b[0] - b[1] * x[0] * e;
	d[0] = 1;
	d[1] = -x[0] * e;
	d[2] = b[1] * x[0] * x[1] * e;
}

/* ---- a file */

/* "B0  12.3  4.5" or "b1 =  500  250  2.38E+02  2.70E+00"; what else there is, is passed over. */
static void read_parameter(struct set *s, char *line, int curved)
{
	double v[4];
	char *at = line + strspn(line, " ");

	if ((*at != 'B' && *at != 'b') || at[1] < '0' || at[1] > '9')
		return;
	at += strcspn(at, " ");
	at += strspn(at, " =");
	for (int i = 0; i < (curved ? 4 : 2); i++) {
		char *end;

		v[i] = strtod(at, &end);
		if (end == at)
			return;
		at = end;
	}
	for (int k = 0; curved && k < 2; k++)
		s->start[k][s->p] = v[k];
	s->value[s->p] = v[curved ? 2 : 0];
	s->error[s->p++] = v[curved ? 3 : 1];
}

static void read_row(struct set *s, char *at)
{
	char *end;
	double v = strtod(at, &end);

	if (end == at)
		return;
	s->y[s->n] = v;
	for (s->nx = 0; at = end, v = strtod(at, &end), end != at; s->nx++)
		s->x[s->n][s->nx] = v;
	s->n++;
}

static struct set read_set(const char *folder, const char *name, int curved)
{
	struct set s = { .name = name };
	char path[1024], line[256];
	FILE *f;

	snprintf(path, sizeof path, "%s/strd/%s.dat", folder, name);
	f = expect_open(path);
	for (int number = 1; expect_line(f, line, sizeof line); number++)
		if (number > 60)
			read_row(&s, line);
		else if (number > 28)
			read_parameter(&s, line, curved);
	fclose(f);
	return s;
}

static void judge(const struct set *s, const char *from, const struct fit *fit)
{
	double value = 16, error = 16;

	for (size_t k = 0; k < s->p; k++) {
		value = fmin(value, expect_digits(fit->parameter[k], s->value[k]));
		error = fmin(error, expect_digits(fit->error[k], s->error[k]));
	}
	printf("%s%s: digits of the parameters %.1f, of their standard errors %.1f\n", s->name, from, value, error);
	expect_true("the fit is called good", fit->outcome == FIT_GOOD);
	expect_true("six digits of every parameter", value >= 6);
	expect_true("six digits of every standard error", error >= 6);
}

/* ---- straight sets */

static void straight(const char *folder, const char *name, int from_power, int powers)
{
	struct set s = read_set(folder, name, 0);
	double x[ROWS * PARAMETERS];
	struct fit fit;

	for (size_t i = 0; i < s.n; i++)
		for (size_t k = 0; k < s.p; k++)
			x[i * s.p + k] = powers ? pow(s.x[i][0], (double)k + from_power) : k == 0 ? 1 : s.x[i][k - 1];
	fit_line(x, s.y, s.n, s.p, &fit);
	judge(&s, "", &fit);
}

/* ---- curved sets */

static void residuals(const double *b, void *context, double *residual, double *jacobian)
{
	const struct set *s = context;
	double d[PARAMETERS], y;

	for (size_t i = 0; i < s->n; i++) {
		s->at(b, s->x[i], &y, jacobian ? jacobian + i * s->p : d);
		residual[i] = y - s->y[i];
	}
}

static double level(const struct set *s)
{
	double mean = 0, rss = 0;

	for (size_t i = 0; i < s->n; i++)
		mean += s->y[i] / (double)s->n;
	for (size_t i = 0; i < s->n; i++)
		rss += (s->y[i] - mean) * (s->y[i] - mean);
	return rss;
}

static void curved(const char *folder, const char *name, void (*at)(const double *, const double *, double *, double *), int logs)
{
	struct set s = read_set(folder, name, 1);
	struct fit fit;

	s.at = at;
	for (size_t i = 0; logs && i < s.n; i++)
		s.y[i] = log(s.y[i]);
	for (int k = 0; k < 2; k++) {
		fit_curve(residuals, &s, s.n, s.p, s.start[k], level(&s), &fit);
		judge(&s, k ? " from start 2" : " from start 1", &fit);
	}
}

int main(int argc, char **argv)
{
	const char *folder = argv[1];

	if (argc != 2)
		return 2;
	straight(folder, "Norris", 0, 1);
	straight(folder, "Pontius", 0, 1);
	straight(folder, "NoInt1", 1, 1);
	straight(folder, "NoInt2", 1, 1);
	straight(folder, "Filip", 0, 1);
	straight(folder, "Longley", 0, 0);
	curved(folder, "Misra1a", misra1a, 0);
	curved(folder, "Misra1b", misra1b, 0);
	curved(folder, "Misra1c", misra1c, 0);
	curved(folder, "Misra1d", misra1d, 0);
	curved(folder, "Chwirut1", chwirut, 0);
	curved(folder, "Chwirut2", chwirut, 0);
	curved(folder, "DanWood", danwood, 0);
	curved(folder, "Eckerle4", eckerle4, 0);
	curved(folder, "Gauss1", gauss, 0);
	curved(folder, "Gauss2", gauss, 0);
	curved(folder, "Gauss3", gauss, 0);
	curved(folder, "Lanczos3", lanczos, 0);
	curved(folder, "BoxBOD", misra1a, 0);
	curved(folder, "MGH09", mgh09, 0);
	curved(folder, "MGH17", mgh17, 0);
	curved(folder, "Kirby2", kirby2, 0);
	curved(folder, "Hahn1", cubic, 0);
	curved(folder, "Thurber", cubic, 0);
	curved(folder, "Rat42", rat42, 0);
	curved(folder, "Rat43", rat43, 0);
	curved(folder, "Nelson", nelson, 1);
	return expect_verdict(144);
}
