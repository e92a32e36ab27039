/* figure.c: exact decimals, shortest reals, rounding for reading. */
#include <float.h>
#include <math.h>
#include <stdlib.h>

#include "table/number_text.h"
#include "check.h"

static struct buf out = BUF_INIT;

static struct slice fixed(int64_t v, unsigned places)
{
	out.n = 0;
	buf_fixed(&out, v, places);
	return buf_slice(&out);
}

static struct slice fixed_shown(int64_t v, unsigned places, unsigned shown)
{
	out.n = 0;
	buf_fixed_shown(&out, v, places, shown);
	return buf_slice(&out);
}

static struct slice real(double v)
{
	out.n = 0;
	buf_real(&out, v);
	return buf_slice(&out);
}

static struct slice real_shown(double v, unsigned shown)
{
	out.n = 0;
	buf_real_shown(&out, v, shown);
	return buf_slice(&out);
}

static struct slice real_down(double v, unsigned shown)
{
	out.n = 0;
	buf_real_down(&out, v, shown);
	return buf_slice(&out);
}

static void down(void)
{
	CHECK_TEXT(real_down(99.998, 1), "99.9");
	CHECK_TEXT(real_down(0.9999999, 3), "0.999");
	CHECK_TEXT(real_down(0.29, 2), "0.29");
	CHECK_TEXT(real_down(100, 1), "100.0");
	CHECK_TEXT(real_down(0.04, 1), "0.0");
	CHECK_TEXT(real_down(-0.04, 1), "-0.1");
	CHECK_TEXT(real_down(7.5, 0), "7");
}

static void exact(void)
{
	CHECK_TEXT(fixed(12345, 2), "123.45");
	CHECK_TEXT(fixed(-12345, 2), "-123.45");
	CHECK_TEXT(fixed(5, 3), "0.005");
	CHECK_TEXT(fixed(-5, 3), "-0.005");
	CHECK_TEXT(fixed(0, 2), "0.00");
	CHECK_TEXT(fixed(0, 0), "0");
	CHECK_TEXT(fixed(100, 2), "1.00");
	CHECK_TEXT(fixed(77, 0), "77");
	CHECK_TEXT(fixed(INT64_MAX, 0), "9223372036854775807");
	CHECK_TEXT(fixed(INT64_MIN, 2), "-92233720368547758.08");
	CHECK_TEXT(fixed(INT64_MIN, 18), "-9.223372036854775808");
	CHECK_TEXT(fixed(1, 18), "0.000000000000000001");
}

/* Half goes to the even neighbour; a zero bears no minus. */
static void exact_rounded(void)
{
	CHECK_TEXT(fixed_shown(12345, 2, 1), "123.4");
	CHECK_TEXT(fixed_shown(12355, 2, 1), "123.6");
	CHECK_TEXT(fixed_shown(123451, 3, 1), "123.5");
	CHECK_TEXT(fixed_shown(25, 1, 0), "2");
	CHECK_TEXT(fixed_shown(35, 1, 0), "4");
	CHECK_TEXT(fixed_shown(-25, 1, 0), "-2");
	CHECK_TEXT(fixed_shown(-35, 1, 0), "-4");
	CHECK_TEXT(fixed_shown(-4, 2, 1), "0.0");
	CHECK_TEXT(fixed_shown(999, 2, 1), "10.0");
	CHECK_TEXT(fixed_shown(12345, 2, 2), "123.45");
	CHECK_TEXT(fixed_shown(12345, 2, 4), "123.45"); /* no places are made up */
	CHECK_TEXT(fixed_shown(INT64_MIN, 18, 0), "-9");
	CHECK_TEXT(fixed_shown(INT64_MAX, 18, 17), "9.22337203685477581");
}

static void shortest(void)
{
	CHECK_TEXT(real(0), "0");
	CHECK_TEXT(real(-0.0), "0");
	CHECK_TEXT(real(1), "1");
	CHECK_TEXT(real(-1.5), "-1.5");
	CHECK_TEXT(real(0.1), "0.1");
	CHECK_TEXT(real(0.1 + 0.2), "0.30000000000000004");
	CHECK_TEXT(real(1.0 / 3), "0.3333333333333333");
	CHECK_TEXT(real(10.1013), "10.1013");
	CHECK_TEXT(real(100), "100");
	CHECK_TEXT(real(1e15), "1000000000000000");
	CHECK_TEXT(real(9007199254740993.0), "9007199254740992");
	CHECK_TEXT(real(1e20), "100000000000000000000");
	CHECK_TEXT(real(1e21), "1e21");
	CHECK_TEXT(real(-1.5e300), "-1.5e300");
	CHECK_TEXT(real(1e-6), "0.000001");
	CHECK_TEXT(real(1.5e-6), "0.0000015");
	CHECK_TEXT(real(1e-7), "1e-7");
	CHECK_TEXT(real(DBL_MAX), "1.7976931348623157e308");
	CHECK_TEXT(real(DBL_MIN), "2.2250738585072014e-308");
	CHECK_TEXT(real(DBL_TRUE_MIN), "5e-324");
}

/* Any double comes back from what was written. That it is the shortest: tests/oracles/table.js. */
static void there_and_back(void)
{
	uint64_t state = 88172645463325252u;
	unsigned long lost = 0, odd = 0;

	for (int i = 0; i < 200000; i++) {
		double v;

		state ^= state << 13;
		state ^= state >> 7;
		state ^= state << 17;
		memcpy(&v, &state, sizeof v);
		if (!isfinite(v))
			continue;
		real(v);
		lost += memcmp(&(double){ strtod(buf_cstr(&out), NULL) }, &v, sizeof v) != 0;
		odd += out.n > 25;
	}
	CHECK_INT(lost, 0);
	CHECK_INT(odd, 0);
}

static double neighbour(double v, int by)
{
	for (; by > 0; by--)
		v = nextafter(v, HUGE_VAL);
	for (; by < 0; by++)
		v = nextafter(v, 0);
	return v;
}

/* Takes the zeros off behind a point, and the point when nothing is left behind it. */
static void strip(char *text)
{
	size_t n = strlen(text);

	if (!strchr(text, '.'))
		return;
	while (text[n - 1] == '0')
		n--;
	text[text[n - 1] == '.' ? n - 1 : n] = '\0';
}

/* The fewest digits by trying, with the library's printf and strtod. */
static void fewest(double v, char text[64])
{
	int size = (int)floor(log10(v)); /* may be one off: a digit more or less at first, which changes nothing */

	for (int digits = DBL_DIG; digits < 18; digits++) {
		snprintf(text, 64, "%.*f", digits - 1 - size > 0 ? digits - 1 - size : 0, v);
		if (memcmp(&(double){ strtod(text, NULL) }, &v, sizeof v) == 0)
			break;
	}
	strip(text);
}

/* A number of everyday size, or one beside a power of ten or of two. */
static double some_number(int i, uint64_t state)
{
	switch (i % 4) {
	case 0:
		return ldexp((double)(state >> 11), -(int)(state % 75) - 1);
	case 1:
		return (double)(state % 100000000) / 10000;
	case 2:
		return neighbour(pow(10, i / 4 % 21 - 5), (int)(state >> 60) - 8);
	default:
		return neighbour(ldexp(1, i / 4 % 70 - 20), (int)(state >> 60) - 8);
	}
}

static void everyday(void)
{
	uint64_t state = 88172645463325252u;
	char want[64];

	for (int i = 0; i < 60000; i++) {
		double v;

		state = state * 6364136223846793005u + 1442695040888963407u;
		v = some_number(i, state);
		if (v < 1e-5 || v >= 1e17)
			continue;
		fewest(v, want);
		CHECK_CASE(i);
		CHECK_TEXT(real(v), want);
	}
	CHECK_CASE(-1);
}

static void rounded(void)
{
	CHECK_TEXT(real_shown(9.3125, 1), "9.3");
	CHECK_TEXT(real_shown(0.125, 2), "0.12");
	CHECK_TEXT(real_shown(0.375, 2), "0.38");
	CHECK_TEXT(real_shown(2.5, 0), "2");
	CHECK_TEXT(real_shown(-0.04, 1), "0.0");
	CHECK_TEXT(real_shown(-0.05, 1), "-0.1"); /* the double is a little more than a half */
	CHECK_TEXT(real_shown(-0.0, 2), "0.00");
	CHECK_TEXT(real_shown(999999999999999.0, 1), "999999999999999.0");
	CHECK_TEXT(real_shown(1e15, 1), "1000000000000000");
	CHECK_TEXT(real_shown(-1e300, 1), "-1e300");
	CHECK_TEXT(real_shown(0.1, 18), "0.100000000000000006");
	CHECK_TEXT(real_shown(0.1, 255), "0.1");
}

int main(void)
{
	exact();
	down();
	exact_rounded();
	shortest();
	there_and_back();
	everyday();
	rounded();
	buf_release(&out);
	return check_end();
}
