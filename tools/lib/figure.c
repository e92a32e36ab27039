#include "figure.h"

#include <float.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>

static uint64_t magnitude(int64_t v)
{
	return v < 0 ? 0 - (uint64_t)v : (uint64_t)v;
}

/* The digits of `v` with a point before the last `places` of them. */
static void add_decimal(struct buf *b, uint64_t v, bool minus, unsigned places)
{
	char digits[FIGURE_MOST_PLACES + 24];
	size_t at = sizeof digits;
	unsigned done = 0;

	minus = minus && v;
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
	add_decimal(b, magnitude(v), v < 0, places < FIGURE_MOST_PLACES ? places : FIGURE_MOST_PLACES);
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

	if (places > FIGURE_MOST_PLACES)
		places = FIGURE_MOST_PLACES;
	if (shown >= places) {
		buf_fixed(b, v, places);
		return;
	}
	for (unsigned i = shown; i < places; i++)
		unit *= 10;
	add_decimal(b, round_half_even(magnitude(v), unit), v < 0, shown);
}

/*
 * The fewest significant digits that read back as `v` (> 0), in text[0..n) as d.ddde+xx. Up to
 * 15 digits every decimal survives the way through a double, so that there is no need to try fewer;
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

	if (shown > FIGURE_MOST_PLACES || fabs(v) >= 1e15) {
		buf_real(b, v);
		return;
	}
	n = snprintf(text, sizeof text, "%.*f", (int)shown, fabs(v));
	if (v < 0 && !all_zero((struct slice){ text, (size_t)n }))
		buf_char(b, '-');
	buf_add(b, (struct slice){ text, (size_t)n });
}
