#include <errno.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>

#include "base/utf8.h"
#include "intake/workbook_internal.h"
#include "time/stamp.h"

enum { DIGITS_KEPT = 15, NUMBER_LONGEST = 40, SERIAL_LAST = 2958465 };

/* --- names of cells ----------------------------------------------------------------------------- */

void workbook_cell_name(uint64_t row, uint64_t col, struct buf *out)
{
	char letters[16];
	size_t n = sizeof letters;

	for (; col; col = (col - 1) / 26)
		letters[--n] = (char)('A' + (col - 1) % 26);
	buf_add(out, (struct slice){ letters + n, sizeof letters - n });
	buf_printf(out, "%llu", (unsigned long long)row);
}

bool workbook_cell_read(struct slice s, uint32_t *row, uint32_t *col)
{
	size_t i = 0;

	*col = 0;
	for (; i < s.n && s.p[i] >= 'A' && s.p[i] <= 'Z' && *col <= WORKBOOK_COLUMNS; i++)
		*col = *col * 26 + (uint32_t)(s.p[i] - 'A') + 1;
	*row = i && i < s.n && s.p[i] != '0' ? whole_number(slice_from(s, i)) : 0;
	return *row >= 1 && *row <= WORKBOOK_ROWS && *col <= WORKBOOK_COLUMNS;
}

uint32_t whole_number(struct slice s)
{
	uint64_t v = 0;

	for (size_t i = 0; i < s.n; i++) {
		if (s.p[i] < '0' || s.p[i] > '9' || v > UINT32_MAX / 10 - 1)
			return UINT32_MAX;
		v = v * 10 + (uint64_t)(s.p[i] - '0');
	}
	return s.n ? (uint32_t)v : UINT32_MAX;
}

/* --- number formats ----------------------------------------------------------------------------- */

/* ECMA-376 part 1, 18.8.30: the formats that every workbook has; 27 to 36 and 50 to 58 are days of east Asia. */
unsigned format_known(uint32_t id)
{
	if (id == 9 || id == 10)
		return SHOWS_PERCENT;
	if ((id >= 14 && id <= 17) || (id >= 27 && id <= 31) || id == 36 || (id >= 50 && id <= 54) || id == 57 || id == 58)
		return SHOWS_DAY;
	if (id == 22)
		return SHOWS_DAY | SHOWS_TIME;
	if ((id >= 18 && id <= 21) || (id >= 32 && id <= 35) || (id >= 45 && id <= 47) || id == 55 || id == 56)
		return SHOWS_TIME;
	return 0;
}

/* What is quoted, escaped, a colour, a condition or a language: from s.p[i] so many characters are not of the code. */
static size_t not_code(struct slice s, size_t i)
{
	char c = s.p[i];
	size_t n = 0;

	if (c == '\\' || c == '_' || c == '*')
		return 2;
	if (c != '"' && c != '[')
		return 0;
	if (c == '[' && i + 2 < s.n && memchr("hHmMsS", s.p[i + 1], 6) && (s.p[i + 2] == ']' || s.p[i + 2] == s.p[i + 1]))
		return 0;
	n = slice_find(slice_from(s, i + 1), c == '"' ? '"' : ']');
	return n + 2;
}

static bool is_half_day(struct slice s)
{
	return slice_starts(s, SLICE("AM/PM")) || slice_starts(s, SLICE("am/pm")) || slice_starts(s, SLICE("A/P")) ||
		slice_starts(s, SLICE("a/p"));
}

unsigned format_shows(struct slice code)
{
	unsigned shows = 0;
	bool months = false;

	if (slice_starts(code, SLICE("General")))
		return 0;
	for (size_t i = 0; i < code.n && code.p[i] != ';';) {
		size_t skip = not_code(code, i);

		if (is_half_day(slice_from(code, i))) {
			shows |= SHOWS_TIME;
			skip = 3;
		}
		if (!skip && memchr("yYdD", code.p[i], 4))
			shows |= SHOWS_DAY;
		else if (!skip && memchr("hHsS", code.p[i], 4))
			shows |= SHOWS_TIME;
		else if (!skip && (code.p[i] == 'm' || code.p[i] == 'M'))
			months = true;
		else if (!skip && code.p[i] == '%')
			shows |= SHOWS_PERCENT;
		i += skip ? skip : 1;
	}
	return months && !(shows & (SHOWS_DAY | SHOWS_TIME)) ? shows | SHOWS_DAY : shows;
}

/* --- numbers ------------------------------------------------------------------------------------ */

static bool read_number(struct slice s, double *out)
{
	char text[NUMBER_LONGEST + 1], *end;

	if (!s.n || s.n > NUMBER_LONGEST)
		return false;
	for (size_t i = 0; i < s.n; i++)
		if (!memchr("0123456789+-.eE", s.p[i], 15))
			return false;
	memcpy(text, s.p, s.n);
	text[s.n] = '\0';
	*out = strtod(text, &end);
	return end == text + s.n && isfinite(*out);
}

static size_t significant(struct slice s)
{
	size_t n = 0;

	for (size_t i = 0; i < s.n && s.p[i] != 'e' && s.p[i] != 'E'; i++)
		n += s.p[i] >= '0' && s.p[i] <= '9' && (n || s.p[i] != '0');
	return n;
}

static void add_plain(struct slice number, double v, char decimal, struct buf *out)
{
	size_t at = out->n;

	if (number.n && significant(number) <= DIGITS_KEPT)
		buf_add(out, number);
	else
		buf_printf(out, "%.*g", DIGITS_KEPT, v);
	for (; at < out->n; at++)
		if (out->p[at] == '.')
			out->p[at] = decimal;
}

/* The day of a count of days; false for none, such as the 60 of the first system, a 29 February 1900. */
static bool serial_day(int64_t n, bool days_1904, int32_t *day)
{
	if (n < 0 || n > SERIAL_LAST || (!days_1904 && (n == 0 || n == 60)))
		return false;
	*day = days_1904 ? day_of(1904, 1, 1) + (int32_t)n : day_of(1899, 12, n > 60 ? 30 : 31) + (int32_t)n;
	return true;
}

static bool add_moment(double v, unsigned shows, bool days_1904, struct buf *out)
{
	int64_t seconds, s;
	int32_t day = 0;

	if (v < 0 || v > SERIAL_LAST)
		return false;
	seconds = (int64_t)floor(v * DAY_S + 0.5);
	s = seconds % DAY_S;
	if ((shows & SHOWS_DAY) || seconds >= DAY_S) {
		if (!serial_day(seconds / DAY_S, days_1904, &day))
			return false;
		day_write(out, day);
		if (!(shows & SHOWS_TIME) && !s)
			return true;
		buf_char(out, ' ');
	}
	buf_printf(out, "%02d:%02d:%02d", (int)(s / HOUR_S), (int)(s / MINUTE_S % 60), (int)(s % 60));
	return true;
}

bool cell_add_number(struct slice number, unsigned shows, bool days_1904, char decimal, struct buf *out)
{
	double v;

	if (!read_number(number, &v))
		return false;
	if ((shows & (SHOWS_DAY | SHOWS_TIME)) && add_moment(v, shows, days_1904, out))
		return true;
	if (shows == SHOWS_PERCENT) {
		add_plain((struct slice){ "", 0 }, v * 100, decimal, out);
		buf_char(out, '%');
	} else {
		add_plain(number, v, decimal, out);
	}
	return true;
}

/* --- texts -------------------------------------------------------------------------------------- */

static int hex(char c)
{
	const char *digit = c ? strchr("0123456789ABCDEFabcdef", c) : NULL;
	int v = digit ? (int)(digit - "0123456789ABCDEFabcdef") : -1;

	return v > 15 ? v - 6 : v;
}

/* ECMA-376 part 1, 22.4.2.4: a character that XML does not have is written _xHHHH_. */
static bool escaped(struct slice s, uint32_t *point)
{
	*point = 0;
	if (s.n < 7 || s.p[0] != '_' || s.p[1] != 'x' || s.p[6] != '_')
		return false;
	for (size_t i = 2; i < 6; i++) {
		if (hex(s.p[i]) < 0)
			return false;
		*point = *point * 16 + (uint32_t)hex(s.p[i]);
	}
	return *point < 0xd800 || *point > 0xdfff;
}

void cell_add_text(struct slice text, struct buf *out)
{
	while (text.n) {
		uint32_t point = (unsigned char)text.p[0];
		bool is_escape = escaped(text, &point);

		if (!is_escape)
			point = (unsigned char)text.p[0];
		if (point < 0x20)
			buf_char(out, ' ');
		else if (is_escape)
			utf8_add(out, point);
		else
			buf_char(out, text.p[0]);
		text = slice_from(text, is_escape ? 7 : 1);
	}
}
