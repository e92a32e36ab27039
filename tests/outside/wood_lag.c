/*
 * wood_lag - how often the 90 % interval of wood_lag.h holds the mean lag of all pieces, of which wood_lag.R draws a
 * few.
 */
#include "air/series.h"
#include "air/wood_lag.h"
#include "expect.h"

enum { POINTS_MOST = 400, WEIGHTS_MOST = 100, HALF_DAY_S = 43200 };

static int64_t utc_s[POINTS_MOST];
static double emc[POINTS_MOST];
static struct air_series air = { .utc_s = utc_s, .v = { emc, emc, emc }, .raw = { emc, emc, emc }, .limit_s = 30 * 3600 };

static double next_number(void)
{
	char line[100], *at = line;

	return expect_line(stdin, line, sizeof(line)) ? expect_number(&at) : NAN;
}

static void read_air(size_t n)
{
	for (air.n = 0; air.n < n && air.n < POINTS_MOST; air.n++) {
		utc_s[air.n] = (int64_t)air.n * HALF_DAY_S;
		emc[air.n] = next_number();
	}
}

static void cover(char *at)
{
	double spread = expect_number(&at);
	int pieces = (int)expect_number(&at), sets = (int)expect_number(&at), each = (int)expect_number(&at);
	double lag_h = 24 * expect_number(&at), noise = expect_number(&at), held = 0, told = 0, width = 0, off = 0;
	struct air_weight w[WEIGHTS_MOST];

	for (int s = 0; s < sets; s++) {
		struct wood_lag got;
		size_t n = 0;

		for (int p = 0; p < pieces; p++)
			for (int i = 0; i < each; i++)
				w[n++] = (struct air_weight){ (8 + 22 * (int64_t)i) * HALF_DAY_S, p, next_number() };
		got = wood_lag_of(&air, w, n);
		if (isnan(got.low_h))
			continue;
		told++;
		held += got.low_h <= lag_h && lag_h <= got.high_h;
		width += log(got.high_h / got.low_h) / 2;
		off += log(got.lag_h / lag_h);
	}
	printf("spread %2.0f %%, %d pieces, noise %g g: %.1f %% of %.0f intervals hold the mean lag; half width %.0f %%, bias %.1f %%\n",
		100 * spread, pieces, noise, 100 * held / told, told, 100 * width / told, 100 * off / told);
	expect_true("told", told > 0.95 * sets);
	expect_true("held", held / told >= 0.85 && held / told <= 0.95);
}

int main(void)
{
	char line[200];

	while (expect_line(stdin, line, sizeof(line))) {
		char *at = line;
		const char *name = expect_field(&at);

		if (!strcmp(name, "air"))
			read_air((size_t)expect_number(&at));
		else
			cover(at);
	}
	return expect_verdict(36);
}
