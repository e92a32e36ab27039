/*
 * Which line a blank is foretold by: none with too few pairs, the line of all within its masses for a key with few, lines
 * of their own where they differ; and how often lines that do not differ are taken for different.
 */
#include <math.h>

#include "base/intern.h"
#include "weigh/mass_lines.h"
#include "check.h"
#include "thrown.h"

enum { MOST = 400 };

static struct mass_pair row[MOST];
static struct intern ids;

static double about_normal(void)
{
	double sum = -6;

	for (int i = 0; i < 12; i++)
		sum += thrown_share();
	return sum;
}

/* n pairs more of one key, on the line a + b x but for the scatter. */
static size_t add(size_t at, size_t n, uint32_t key, double middle, double a, double b, double sd)
{
	for (size_t i = 0; i < n; i++) {
		double x = middle + 10 * ((double)i - (double)(n - 1) / 2);

		row[at + i] = (struct mass_pair){ .key = { key, key, key }, .blank_g = x, .finished_g = a + b * x + sd * about_normal() };
	}
	return at + n;
}

static struct mass_lines lines_of(size_t n)
{
	struct mass_pairs pairs = { .row = row, .n = n };
	struct mass_lines m;

	mass_lines_find(&m, &pairs, MASS_BY_TYPE, NULL, &ids);
	return m;
}

static void check_few(void)
{
	struct prediction p;
	struct mass_lines m = lines_of(add(0, 7, 1, 1600, 372, 0.5, 20));

	CHECK_INT(m.model, MASS_NONE);
	CHECK_INT(mass_lines_at(&m, 1, 1600, &p), MASS_USE_NONE);
	CHECK(isnan(p.value) && isnan(mass_lines_of(&m, &m.all).b));
	mass_lines_release(&m);
	m = lines_of(0);
	CHECK_INT(m.model, MASS_NONE);
	mass_lines_release(&m);
	for (size_t i = add(0, 12, 1, 1600, 372, 0.5, 20); i-- > 0;)
		row[i].blank_g = 1600; /* one mass settles no slope */
	m = lines_of(12);
	CHECK_INT(m.model, MASS_NONE);
	mass_lines_release(&m);
}

/* A key with few pairs, or none, is foretold within the masses of all pairs, 1545 to 1655, and not beyond. */
static void check_span(void)
{
	struct prediction p;
	struct mass_lines m = lines_of(add(add(0, 12, 1, 1600, 372, 0.5, 20), 3, 2, 1600, 372, 0.5, 20));

	CHECK_INT(m.model, MASS_ONE);
	CHECK(isnan(m.slopes.p));
	CHECK_INT(mass_lines_at(&m, 2, 1655, &p), MASS_USE_ALL);
	CHECK_INT(mass_lines_at(&m, 2, 1655.1, &p), MASS_USE_BEYOND);
	CHECK(isnan(p.value));
	CHECK_INT(mass_lines_at(&m, 3, 1544.9, &p), MASS_USE_BEYOND);
	CHECK_INT(mass_lines_at(&m, 3, 1600, &p), MASS_USE_ALL);
	CHECK_INT(mass_lines_at(&m, 1, 1900, &p), MASS_USE_ALL); /* enough of its own: the range widens instead */
	CHECK(p.error > m.one.sd);
	mass_lines_release(&m);
}

static void check_levels(void)
{
	struct prediction p;
	struct mass_lines m = lines_of(add(add(add(0, 20, 1, 1600, 372, 0.5, 5), 20, 2, 1400, 420, 0.5, 5), 3, 3, 1500, 372, 0.5, 5));

	CHECK_INT(m.model, MASS_LEVELS);
	CHECK_INT(mass_lines_at(&m, 2, 1400, &p), MASS_USE_OWN);
	CHECK_NEAR(p.value, 1120, 4);
	CHECK_INT(mass_lines_at(&m, 3, 1500, &p), MASS_USE_ALL); /* 3 pairs of its own are too few */
	CHECK_INT(m.several.n, 40);
	CHECK_INT(m.one.n, 43);
	CHECK(mass_lines_has(&m, 1) && !mass_lines_has(&m, 3));
	CHECK_NEAR(mass_lines_of(&m, mass_lines_group(&m, 1)).b, 0.5, 0.05);
	CHECK_NEAR(mass_lines_of(&m, mass_lines_group(&m, 2)).a_g - mass_lines_of(&m, mass_lines_group(&m, 1)).a_g, 48, 12);
	mass_lines_release(&m);
}

static void check_slopes(void)
{
	struct mass_lines m = lines_of(add(add(0, 20, 1, 1600, 372, 0.5, 5), 20, 2, 1600, -428, 1, 5));

	CHECK_INT(m.model, MASS_OWN);
	CHECK_NEAR(mass_lines_of(&m, mass_lines_group(&m, 2)).b, 1, 0.1);
	mass_lines_release(&m);
}

/* Two keys whose lines are one are taken for two in one of ten works at most: two tests at 5 %. */
static void check_alike(void)
{
	enum { WORKS = 1000 };
	int different = 0;

	for (int w = 0; w < WORKS; w++) {
		struct mass_lines m = lines_of(add(add(0, 15, 1, 1600, 372, 0.5, 20), 12, 2, 1450, 372, 0.5, 20));

		different += m.model != MASS_ONE;
		mass_lines_release(&m);
	}
	CHECK(different > 0 && different < WORKS * (0.0975 + 4 * sqrt(0.0975 * 0.9025 / WORKS)));
}

/* More keys than a fit has room for: those after the twelfth have the line of all. */
static void check_many(void)
{
	size_t n = 0;
	struct prediction p;
	struct mass_lines m;

	for (uint32_t key = 1; key <= 14; key++)
		n = add(n, 9, key, 1600, 300 + 20 * key, 0.5, 2);
	m = lines_of(n);
	CHECK_INT(m.own, MASS_GROUPS_MOST);
	CHECK_INT(m.model, MASS_LEVELS);
	CHECK_INT(mass_lines_at(&m, m.group[0].key, 1600, &p), MASS_USE_OWN);
	CHECK_INT(mass_lines_at(&m, m.group[13].key, 1600, &p), MASS_USE_ALL);
	mass_lines_release(&m);
}

int main(void)
{
	thrown_seed = 20270202;
	intern_init(&ids);
	for (char c = 'a'; c < 'p'; c++)
		intern_id(&ids, (struct slice){ &c, 1 });
	check_few();
	check_span();
	check_levels();
	check_slopes();
	check_alike();
	check_many();
	intern_release(&ids);
	return check_end();
}
