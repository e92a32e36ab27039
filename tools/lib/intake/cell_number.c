#include "intake/cell_number.h"

#include <strings.h>

#include "time/time_format.h"

enum {
	MOST_DIGITS = 15,      /* that the book can keep */
	READ_DIGITS = 40,      /* that a cell may have before it is rounded; binary numbers print up to 17 */
	MOST_POWER = 20
};

static bool is_digit(char c)
{
	return c >= '0' && c <= '9';
}

static char lower(char c)
{
	return c >= 'A' && c <= 'Z' ? (char)(c + 32) : c;
}

struct slice cell_number_trim(struct slice s)
{
	size_t n;

	s = slice_from(s, time_format_blanks(s));
	for (n = s.n; n; n--) {
		unsigned char c = (unsigned char)s.p[n - 1];

		if (c == ' ' || c == '\t')
			continue;
		if (c >= 0x80 && n >= 2 && time_format_blanks((struct slice){ s.p + n - 2, 2 }) == 2)
			n -= 1;
		else if (c >= 0x80 && n >= 3 && time_format_blanks((struct slice){ s.p + n - 3, 3 }) == 3)
			n -= 2;
		else
			break;
	}
	return slice_upto(s, n);
}

/* --- numbers -------------------------------------------------------------------------------- */

/* A number taken apart: all of its digits, and the place of its point. */
struct parts {
	char digit[READ_DIGITS + 1];
	size_t n;
	size_t point;            /* digits before it */
	bool minus, too_long;
};

static void add_digit(struct parts *p, char c)
{
	if (p->n == READ_DIGITS)
		p->too_long = true;
	else
		p->digit[p->n++] = c;
}

static size_t sign_length(struct slice s, bool *minus)
{
	*minus = slice_starts(s, SLICE("-")) || slice_starts(s, SLICE("\xe2\x88\x92"));
	if (*minus)
		return s.p[0] == '-' ? 1 : 3;
	return s.n && s.p[0] == '+';
}

/* A mark between thousands, if three digits and no fourth follow it. */
static size_t thousands_length(struct slice s, const struct cell_style *style)
{
	size_t n = style->thousands.n;

	if (!n || !slice_starts(s, style->thousands) || s.n < n + 3)
		return 0;
	for (size_t i = n; i < n + 3; i++)
		if (!is_digit(s.p[i]))
			return 0;
	return s.n > n + 3 && is_digit(s.p[n + 3]) ? 0 : n;
}

static size_t whole_part(struct slice s, const struct cell_style *style, struct parts *p)
{
	size_t at = 0, first = 0;

	while (at < s.n) {
		size_t mark;

		if (is_digit(s.p[at])) {
			add_digit(p, s.p[at++]);
			first += 1;
			continue;
		}
		mark = first && first <= 3 ? thousands_length(slice_from(s, at), style) : 0;
		if (!mark)
			break;
		for (at += mark, mark = 0; mark < 3; mark++)
			add_digit(p, s.p[at++]);
	}
	p->point = p->n;
	return at;
}

/* The point and what follows it; a point before anything but a digit ends the number. */
static size_t fraction_part(struct slice s, char decimal, struct parts *p)
{
	size_t at = 1;

	if (!s.n || s.p[0] != decimal)
		return 0;
	while (at < s.n && is_digit(s.p[at]))
		add_digit(p, s.p[at++]);
	return at > 1 || p->point ? at : 0;
}

static size_t power_part(struct slice s, int *power)
{
	size_t at = 1, digits = 0;
	bool minus;

	*power = 0;
	if (s.n < 2 || lower(s.p[0]) != 'e')
		return 0;
	at += sign_length(slice_from(s, 1), &minus);
	while (at < s.n && is_digit(s.p[at]) && digits < 3) {
		*power = *power * 10 + (s.p[at++] - '0');
		digits++;
	}
	*power = minus ? -*power : *power;
	return digits ? at : 0;
}

/* Moves the point by the power, with zeros where digits lack. */
static bool shift_point(struct parts *p, int power)
{
	char digit[sizeof p->digit + MOST_POWER];
	size_t before = power < 0 && (size_t)-power > p->point ? (size_t)-power - p->point : 0, n = p->n + before, point;

	if (power < -MOST_POWER || power > MOST_POWER || n > sizeof digit)
		return false;
	memset(digit, '0', before);
	memcpy(digit + before, p->digit, p->n);
	point = (size_t)((int)(p->point + before) + power);
	while (n < point && n < sizeof digit)
		digit[n++] = '0';
	if (n > READ_DIGITS || point > n)
		return false;
	memcpy(p->digit, digit, n);
	p->n = n;
	p->point = point;
	return true;
}

static void put(struct cell_number *r, char c)
{
	r->text[r->n++] = c;
}

static void write_parts(const struct parts *p, struct cell_number *r)
{
	size_t i = 0;

	if (p->minus)
		put(r, '-');
	while (i + 1 < p->point && p->digit[i] == '0')
		i++;
	if (i == p->point)
		put(r, '0');
	for (; i < p->n; i++) {
		if (i == p->point)
			put(r, '.');
		put(r, p->digit[i]);
	}
	r->decimals = p->n - p->point;
}

/* Rounds to `places` digits after the point, a half away from zero. */
static void round_parts(struct parts *p, size_t places)
{
	size_t keep = p->point + places;
	bool up = keep < p->n && p->digit[keep] >= '5';

	if (keep >= p->n)
		return;
	p->n = keep;
	for (size_t i = keep; up && i-- > 0;) {
		up = p->digit[i] == '9';
		p->digit[i] = up ? '0' : (char)(p->digit[i] + 1);
	}
	if (!up)
		return;
	memmove(p->digit + 1, p->digit, p->n++);
	p->digit[0] = '1';
	p->point++;
}

/* A number that is 0 has no sign once it is rounded. */
static bool is_zero(const struct parts *p)
{
	for (size_t i = 0; i < p->n; i++)
		if (p->digit[i] != '0')
			return false;
	return true;
}

/* Moves the point and rounds, as the mapping says. False when the book cannot keep all digits. */
static bool adjust(struct parts *p, int power, const struct cell_change *change)
{
	power += change ? change->power : 0;
	if (power && !shift_point(p, power))
		return false;
	if (change && change->rounds) {
		round_parts(p, change->places);
		p->minus = p->minus && !is_zero(p);
	}
	return p->n <= MOST_DIGITS;
}

static size_t mark_before(struct slice s, enum reading_mark *mark)
{
	*mark = CELL_EXACT;
	if (s.n && s.p[0] == '>')
		*mark = CELL_ABOVE;
	else if (s.n && s.p[0] == '<')
		*mark = CELL_BELOW;
	return *mark != CELL_EXACT;
}

enum reading_fault cell_number_read(struct slice cell, const struct cell_style *style, struct cell_number *r)
{
	return cell_number_change(cell, style, NULL, r);
}

enum reading_fault cell_number_change(struct slice cell, const struct cell_style *style, const struct cell_change *change,
	struct cell_number *r)
{
	struct parts p = { .n = 0 };
	struct slice s = cell;
	int power;
	char other = style->decimal == ',' ? '.' : ',';

	*r = (struct cell_number){ .n = 0 };
	s = slice_from(s, mark_before(s, &r->mark));
	s = slice_from(s, time_format_blanks(s));
	s = slice_from(s, sign_length(s, &p.minus));
	s = slice_from(s, whole_part(s, style, &p));
	s = slice_from(s, fraction_part(s, style->decimal, &p));
	if (!p.n)
		return CELL_NO_NUMBER;
	if (s.n && s.p[0] == other)
		return CELL_OTHER_DECIMAL;
	if (p.too_long)
		return CELL_TOO_LONG;
	s = slice_from(s, power_part(s, &power));
	if (!adjust(&p, power, change))
		return CELL_TOO_LONG;
	write_parts(&p, r);
	r->unit = cell_number_trim(s);
	if (r->unit.n && r->unit.p[r->unit.n - 1] == '+' && r->mark == CELL_EXACT) {
		r->mark = CELL_ABOVE;
		r->unit = cell_number_trim(slice_upto(r->unit, r->unit.n - 1));
	}
	return CELL_OK;
}

double cell_number_value(struct slice number)
{
	double v = 0, scale = 1;
	bool past = false;

	for (size_t i = 0; i < number.n; i++) {
		if (number.p[i] == '.') {
			past = true;
		} else if (number.p[i] != '-') {
			v = v * 10 + (number.p[i] - '0');
			scale *= past ? 10 : 1;
		}
	}
	return number.n && number.p[0] == '-' ? -v / scale : v / scale;
}

/* --- units ---------------------------------------------------------------------------------- */

#define WORD(literal) { literal, sizeof(literal) - 1 }

/* Spelled in small letters without blanks and points, and the book's word. */
static const struct {
	struct slice spelled, unit;
} units[] = {
	{ WORD("c"), WORD("C") }, { WORD("\xc2\xb0" "c"), WORD("C") }, { WORD("\xc2\xba" "c"), WORD("C") },
	{ WORD("\xcb\x9a" "c"), WORD("C") }, { WORD("\xe2\x84\x83"), WORD("C") }, { WORD("degc"), WORD("C") },
	{ WORD("celsius"), WORD("C") }, { WORD("degreescelsius"), WORD("C") }, { WORD("gradc"), WORD("C") },
	{ WORD("\xef\xbf\xbd" "c"), WORD("C") }, { WORD("cel"), WORD("C") }, { WORD("*c"), WORD("C") },
	{ WORD("f"), WORD("F") }, { WORD("\xc2\xb0" "f"), WORD("F") }, { WORD("\xc2\xba" "f"), WORD("F") },
	{ WORD("\xcb\x9a" "f"), WORD("F") }, { WORD("\xe2\x84\x89"), WORD("F") }, { WORD("degf"), WORD("F") },
	{ WORD("fahrenheit"), WORD("F") }, { WORD("degreesfahrenheit"), WORD("F") }, { WORD("gradf"), WORD("F") },
	{ WORD("\xef\xbf\xbd" "f"), WORD("F") }, { WORD("*f"), WORD("F") },
	{ WORD("rh"), WORD("%") }, { WORD("rf"), WORD("%") }, { WORD("hr"), WORD("%") }, { WORD("ur"), WORD("%") },
	{ WORD("percent"), WORD("%") }, { WORD("prozent"), WORD("%") }, { WORD("pct"), WORD("%") },
	{ WORD("g"), WORD("g") }, { WORD("kg"), WORD("kg") }, { WORD("lb"), WORD("lb") }, { WORD("lbs"), WORD("lb") },
	{ WORD("oz"), WORD("oz") }, { WORD("mm"), WORD("mm") }, { WORD("cm"), WORD("cm") }, { WORD("m"), WORD("m") },
	{ WORD("in"), WORD("in") }, { WORD("ft"), WORD("ft") }, { WORD("kwh"), WORD("kWh") }, { WORD("m3"), WORD("m3") },
	{ WORD("m\xc2\xb3"), WORD("m3") },
};

/* Small letters, no blanks, no points; false when it is too long to be a unit. */
static bool squeeze(struct slice s, char *out, size_t cap, size_t *n)
{
	*n = 0;
	while (s.n) {
		size_t blanks = time_format_blanks(s);

		if (blanks || s.p[0] == '.') {
			s = slice_from(s, blanks ? blanks : 1);
			continue;
		}
		if (*n == cap)
			return false;
		out[(*n)++] = lower(s.p[0]);
		s = slice_from(s, 1);
	}
	return *n > 0;
}

/* A few letters before or after mark a percentage: %RH, % rel. F., rF%. */
static bool is_percent(const char *p, size_t n)
{
	size_t signs = 0, letters = 0;

	for (size_t i = 0; i < n; i++) {
		signs += p[i] == '%';
		letters += p[i] >= 'a' && p[i] <= 'z';
	}
	return signs == 1 && letters + signs == n && letters <= 6;
}

struct slice cell_number_unit(struct slice spelled)
{
	char word[24];
	size_t n;

	if (!squeeze(spelled, word, sizeof word, &n))
		return (struct slice){ "", 0 };
	if (is_percent(word, n))
		return SLICE("%");
	for (size_t i = 0; i < sizeof units / sizeof *units; i++)
		if (slice_eq(units[i].spelled, (struct slice){ word, n }))
			return units[i].unit;
	return (struct slice){ "", 0 };
}

static struct slice in_brackets(struct slice s, char open, char close)
{
	for (size_t i = 0; i < s.n; i++)
		if (s.p[i] == open) {
			struct slice inner = slice_from(s, i + 1), unit;

			inner = slice_upto(inner, slice_find(inner, close));
			unit = cell_number_unit(inner);
			if (!unit.n)
				unit = cell_number_unit(slice_upto(inner, slice_find(inner, ',')));
			if (unit.n)
				return unit;
		}
	return (struct slice){ "", 0 };
}

/* Temp_C, T F: behind a word for a temperature one letter is enough. */
static bool is_degree_letter(struct slice head, struct slice unit)
{
	size_t start;

	head = cell_number_trim(head);
	for (start = head.n; start && head.p[start - 1] != ' ' && head.p[start - 1] != '_'; start--)
		;
	head = slice_from(head, start);
	return (unit.p[0] == 'C' || unit.p[0] == 'F') && head.n && lower(head.p[0]) == 't' &&
		(head.n == 1 || (head.n >= 4 && strncasecmp(head.p, "temp", 4) == 0));
}

/* Else a single letter, and `in` or `m`, is a unit only where a bracket or a comma sets it apart. */
static bool is_word_unit(struct slice head, struct slice s, struct slice unit)
{
	return unit.n && (s.n > 2 || (s.n == 2 && unit.p[0] == '%') || s.p[0] == '%' || is_degree_letter(head, unit));
}

struct slice cell_number_heading_unit(struct slice heading)
{
	struct slice unit = in_brackets(heading, '(', ')');
	static const char apart[] = ",/;: _";

	if (!unit.n)
		unit = in_brackets(heading, '[', ']');
	if (!unit.n)
		unit = cell_number_unit(heading);
	for (size_t k = 0; !unit.n && k < sizeof apart - 1; k++)
		for (size_t i = 0; !unit.n && i < heading.n; i++)
			if (heading.p[i] == apart[k]) {
				struct slice tail = cell_number_trim(slice_from(heading, i + 1));

				tail = slice_upto(tail, slice_find(tail, ','));
				tail = cell_number_trim(slice_upto(tail, slice_find(tail, '(')));
				unit = cell_number_unit(tail);
				if (k > 2 && !is_word_unit(slice_upto(heading, i), tail, unit))
					unit = (struct slice){ "", 0 };
			}
	return unit;
}
