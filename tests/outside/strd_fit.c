/*
 * strd_fit DATA - straight least squares against NIST's Statistical Reference Datasets: six sets with 15
 * certified digits. The digits reached are printed, set by set, and at least six are asked of every
 * parameter and every standard error.
 */
#include "math/least_squares.h"
#include "expect.h"

enum { ROWS = 260, XS = 6, PARAMETERS = 12 };

struct set {
	const char *name;
	size_t n, p, nx;
	double y[ROWS], x[ROWS][XS];
	double value[PARAMETERS], error[PARAMETERS];
};

/* ---- a file */

/* "B0  12.3  4.5"; what else there is, is passed over. */
static void read_parameter(struct set *s, char *line)
{
	double v[2];
	char *at = line + strspn(line, " ");

	if (*at != 'B' || at[1] < '0' || at[1] > '9')
		return;
	at += strcspn(at, " ");
	for (int i = 0; i < 2; i++) {
		char *end;

		v[i] = strtod(at, &end);
		if (end == at)
			return;
		at = end;
	}
	s->value[s->p] = v[0];
	s->error[s->p++] = v[1];
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

static struct set read_set(const char *folder, const char *name)
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
			read_parameter(&s, line);
	fclose(f);
	return s;
}

static void judge(const struct set *s, const struct fit *fit)
{
	double value = 16, error = 16;

	for (size_t k = 0; k < s->p; k++) {
		value = fmin(value, expect_digits(fit->parameter[k], s->value[k]));
		error = fmin(error, expect_digits(fit->error[k], s->error[k]));
	}
	printf("%s: digits of the parameters %.1f, of their standard errors %.1f\n", s->name, value, error);
	expect_true("the fit is called good", fit->outcome == FIT_GOOD);
	expect_true("six digits of every parameter", value >= 6);
	expect_true("six digits of every standard error", error >= 6);
}

static void straight(const char *folder, const char *name, int from_power, int powers)
{
	struct set s = read_set(folder, name);
	double x[ROWS * PARAMETERS];
	struct fit fit;

	for (size_t i = 0; i < s.n; i++)
		for (size_t k = 0; k < s.p; k++)
			x[i * s.p + k] = powers ? pow(s.x[i][0], (double)k + from_power) : k == 0 ? 1 : s.x[i][k - 1];
	fit_line(x, s.y, s.n, s.p, &fit);
	judge(&s, &fit);
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
	return expect_verdict(18);
}
