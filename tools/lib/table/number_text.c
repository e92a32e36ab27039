#include "table/number_text.h"

#include <float.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>

#include "base/int128.h"
#include "base/text.h"

static uint64_t magnitude(int64_t v)
{
	return v < 0 ? 0 - (uint64_t)v : (uint64_t)v;
}

/* The digits of `v` with a point before the last `places` of them. */
static void add_decimal(struct buf *b, uint64_t v, bool minus, unsigned places)
{
	char digits[NUMBER_TEXT_MOST_PLACES + 24];
	size_t at = sizeof digits;
	unsigned done = 0;

	minus = minus && v;
	for (; v >= 100 && done + 2 < places; done += 2, v /= 100) {
		unsigned pair = (unsigned)(v % 100);

		digits[--at] = (char)('0' + pair % 10);
		digits[--at] = (char)('0' + pair / 10);
	}
	do {
		digits[--at] = (char)('0' + v % 10);
		v /= 10;
		if (++done == places)
			digits[--at] = '.';
	} while (v || done <= places);
	if (minus)
		digits[--at] = '-';
	buf_add(b, (struct slice){ digits + at, sizeof digits - at });
}

void buf_fixed(struct buf *b, int64_t v, unsigned places)
{
	add_decimal(b, magnitude(v), v < 0, places < NUMBER_TEXT_MOST_PLACES ? places : NUMBER_TEXT_MOST_PLACES);
}

static uint64_t round_half_even(uint64_t v, uint64_t unit)
{
	uint64_t whole = v / unit, left = v % unit;

	if (left > unit / 2 || (left == unit / 2 && whole % 2))
		whole++;
	return whole;
}

void buf_fixed_shown(struct buf *b, int64_t v, unsigned places, unsigned shown)
{
	uint64_t unit = 1;

	if (places > NUMBER_TEXT_MOST_PLACES)
		places = NUMBER_TEXT_MOST_PLACES;
	if (shown >= places) {
		buf_fixed(b, v, places);
		return;
	}
	for (unsigned i = shown; i < places; i++)
		unit *= 10;
	add_decimal(b, round_half_even(magnitude(v), unit), v < 0, shown);
}

/* v as m / 2^shift with whole numbers. */
struct binary {
	int128 m;
	int shift;
};

/* m / 2^shift times `unit`, rounded half to even. */
static int128 rounded(const struct binary *x, int128 unit)
{
	int128 scaled = x->m * unit, whole = scaled >> x->shift, left = scaled - (whole << x->shift), half = (int128)1 << (x->shift - 1);

	return whole + (left > half || (left == half && whole % 2));
}

/* Whether whole / unit is nearer to m / 2^shift than to the doubles beside it; half-way it goes to an even m. */
static bool reads_back(const struct binary *x, int128 whole, int128 unit)
{
	int128 off = (whole << x->shift) - x->m * unit;

	off = off < 0 ? -off : off;
	return 2 * off < unit || (2 * off == unit && x->m % 2 == 0);
}

static void add_stripped(struct buf *b, uint64_t v, unsigned places)
{
	for (; places && v % 10 == 0; places--)
		v /= 10;
	add_decimal(b, v, false, places);
}

static const double TENS[] = { 1e-4, 1e-3, 1e-2, 1e-1, 1e0, 1e1, 1e2, 1e3, 1e4, 1e5, 1e6, 1e7, 1e8, 1e9, 1e10, 1e11, 1e12, 1e13, 1e14, 1e15 };
enum { PLACES_OF_LEAST = 19 };

static const uint64_t UNITS[PLACES_OF_LEAST + 1] = { 1, 10, 100, 1000, 10000, 100000, 1000000, 10000000, 100000000,
	1000000000, 10000000000, 100000000000, 1000000000000, 10000000000000, 100000000000000, 1000000000000000,
	10000000000000000, 100000000000000000, 1000000000000000000, 10000000000000000000u };

/*
 * What shortest() finds of a number of everyday size, found in whole numbers of 128 bits and so many
 * times sooner. False where the number is not of that kind: those beside a power of two are not evenly apart.
 */
static bool add_everyday(struct buf *b, double v)
{
	const uint64_t top = (uint64_t)1 << 52;
	unsigned size = 0, places;
	uint64_t bits;
	int128 unit, whole;
	struct binary x;

	if (!(v >= TENS[0] / 10 && v < 1e15))
		return false;
	memcpy(&bits, &v, sizeof bits);
	x = (struct binary){ (bits & (top - 1)) | top, 1075 - (int)(bits >> 52) };
	if (x.m == top)
		return false;
	while (v >= TENS[size])
		size++;
	places = PLACES_OF_LEAST - size;
	unit = UNITS[places];
	for (int digits = DBL_DIG; digits <= 17; digits++, places++, unit *= 10) {
		whole = rounded(&x, unit);
		if (reads_back(&x, whole, unit)) {
			add_stripped(b, (uint64_t)whole, places);
			return true;
		}
	}
	return false;
}

/*
 * The fewest significant digits that read back as `v` (> 0), in text[0..n) as d.ddde+xx. Up to
 * 15 digits every decimal survives the way through a double, so that fewer need not be tried;
 * below the normal range, there is.
 */
static void shortest(double v, char text[32])
{
	for (int digits = v < DBL_MIN ? 1 : DBL_DIG; digits <= 17; digits++) {
		snprintf(text, 32, "%.*e", digits - 1, v);
		if (strtod(text, NULL) >= v && strtod(text, NULL) <= v)
			return;
	}
}

/* Takes "d.ddde-xx" apart: its digits without the zeros at their end, and its exponent. */
static int take_apart(const char *text, char digits[20], size_t *n)
{
	const char *c = text;

	for (*n = 0; *c != 'e'; c++)
		if (*c != '.')
			digits[(*n)++] = *c;
	while (*n > 1 && digits[*n - 1] == '0')
		--*n;
	return (int)strtol(c + 1, NULL, 10);
}

/* Numbers of up to 21 digits before the point or 5 zeros behind it are written out. */
enum { EXP_MOST = 20, EXP_LEAST = -6 };

static void place_point(struct buf *b, struct slice digits, int exp)
{
	size_t whole = exp >= 0 && exp <= EXP_MOST ? (size_t)exp + 1 : 1;
	bool written_out = exp >= EXP_LEAST && exp <= EXP_MOST;

	if (written_out && exp < 0) {
		buf_str(b, "0.");
		buf_fill(b, '0', (size_t)(-exp - 1));
		buf_add(b, digits);
		return;
	}
	if (whole >= digits.n) {
		buf_add(b, digits);
		buf_fill(b, '0', whole - digits.n);
	} else {
		buf_add(b, slice_upto(digits, whole));
		buf_char(b, '.');
		buf_add(b, slice_from(digits, whole));
	}
	if (!written_out)
		buf_printf(b, "e%d", exp);
}

void buf_real(struct buf *b, double v)
{
	char text[32], digits[20];
	size_t n;
	int exp;

	if (v < 0)
		buf_char(b, '-');
	if (v >= 0 && v <= 0) {
		buf_char(b, '0');
		return;
	}
	if (add_everyday(b, fabs(v)))
		return;
	shortest(fabs(v), text);
	exp = take_apart(text, digits, &n);
	place_point(b, (struct slice){ digits, n }, exp);
}

static bool all_zero(struct slice s)
{
	for (size_t i = 0; i < s.n; i++)
		if (s.p[i] != '0' && s.p[i] != '.')
			return false;
	return true;
}

void buf_real_shown(struct buf *b, double v, unsigned shown)
{
	char text[64];
	int n;

	if (shown > NUMBER_TEXT_MOST_PLACES || fabs(v) >= 1e15) {
		buf_real(b, v);
		return;
	}
	n = snprintf(text, sizeof text, "%.*f", (int)shown, fabs(v));
	if (v < 0 && !all_zero((struct slice){ text, (size_t)n }))
		buf_char(b, '-');
	buf_add(b, (struct slice){ text, (size_t)n });
}

void buf_real_down(struct buf *b, double v, unsigned shown)
{
	double step = pow(10, -(double)shown);
	double rounded = round(v / step) * step;

	buf_real_shown(b, rounded > v ? rounded - step : rounded, shown);
}
