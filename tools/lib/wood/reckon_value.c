#include "wood/reckon_value.h"

#include <math.h>
#include <stdio.h>

#include "book/value.h"
#include "book/value_mend.h"
#include "house_words.h"
#include "wood/reckon_way.h"

/* ---- complaints */

/* "temp=20 has no unit; write 20C or 20F" */
static void report_no_unit(const char *name, int type, struct slice text, struct buf *error)
{
	const struct type_def *def = vocab_type(type);

	if (strpbrk(text.p, "abcdefghijklmnopqrstuvwxyz")) {
		buf_printf(error, "%s=%s ends without a unit; write it as in 2lb9.5oz", name, text.p);
		return;
	}
	buf_printf(error, "%s=%s has no unit; write ", name, text.p);
	for (int i = 0; i < def->nunits; i++) {
		buf_str(error, i == 0 ? "" : i + 1 < def->nunits ? ", " : " or ");
		buf_add(error, text);
		buf_add(error, vocab_unit(def->first_unit + i)->name);
	}
	if (type == TYPE_MASS && slice_find(text, '.') < text.n)
		buf_str(error, " (2.7 lb is not 2 lb 7 oz, which is written 2lb7oz)");
}

static void report_out_of_range(const char *name, int type, struct slice text, struct buf *error)
{
	const struct type_def *def = vocab_type(type);

	buf_printf(error, "%s=%s is out of range; write a value between ", name, text.p);
	value_write_fix(error, def->least, def->places);
	buf_add(error, def->base);
	buf_str(error, " and ");
	value_write_fix(error, def->most, def->places);
	buf_add(error, def->base);
}

/* "mass=1e5g has an exponent; write 100000g"; false where the value has none. */
static bool report_exponent(const char *name, struct slice text, struct buf *error)
{
	struct buf plain = BUF_INIT;
	bool has = value_expand(&plain, text);

	if (has)
		buf_printf(error, "%s=%s has an exponent; write %s", name, text.p, buf_cstr(&plain));
	buf_release(&plain);
	return has;
}

/* A number that is in a form that no value has. */
static bool report_form(const char *name, int type, struct slice text, enum value_fault fault, struct buf *error)
{
	if (report_exponent(name, text, error))
		return true;
	if (fault != VALUE_BAD_PARTS)
		return false;
	buf_printf(error, "%s=%s has too much of its smaller unit, or decimals in the larger; write ", name, text.p);
	value_parts(error, type, text);
	return true;
}

/* `at` is where reading stopped. */
static void report_fault(const char *name, int type, struct slice text, enum value_fault fault, const char *at, struct buf *error)
{
	if (report_form(name, type, text, fault, error))
		return;
	if (fault == VALUE_NO_UNIT && at == text.p + text.n)
		report_no_unit(name, type, text, error);
	else if (fault == VALUE_OUT_OF_RANGE)
		report_out_of_range(name, type, text, error);
	else if (fault == VALUE_TOO_LONG)
		buf_printf(error, "%s=%s has more than 15 digits", name, text.p);
	else if (fault == VALUE_BAD_UNIT) {
		buf_printf(error, "'%s' is not a unit of %s; write ", at, name);
		value_units_choice(error, type);
	} else
		buf_printf(error, "'%s' is not a valid %s for %s; write one %s", text.p, vocab_type(type)->name.p, name, vocab_type(type)->nunits
			? "number, with a point for decimals and the unit directly after it" : "whole number");
}

/* Reads a value of one of the book's types; what was written is called `name` in the error. */
static bool read_value(const char *name, int type, struct slice text, struct value *v, struct buf *error)
{
	enum value_fault fault;
	const char *end = text.p + text.n, *at = value_scan(type, 0, text.p, end, v, &fault);

	if (!fault && at == end)
		return true;
	report_fault(name, type, text, fault, at, error);
	return false;
}

/* ---- units */

int reckon_type_of_unit(struct slice name, int *unit)
{
	for (int type = 0; type < TYPES_END; type++)
		for (int i = 0; i < vocab_type(type)->nunits; i++) {
			*unit = vocab_type(type)->first_unit + i;
			if (slice_eq(vocab_unit(*unit)->name, name))
				return type;
		}
	return -1;
}

/* The type whose units the word's are, or -1 for a bare number or none. */
static int unit_type(const struct reckon_arg *arg)
{
	if (arg->type == RECKON_DEGREES)
		return TYPE_TEMPERATURE;
	if (arg->type == RECKON_POINTS)
		return TYPE_MOISTURE;
	return arg->type < TYPES_END && vocab_type(arg->type)->nunits ? arg->type : -1;
}

bool reckon_has_units(const struct reckon_arg *arg)
{
	return arg->type == RECKON_VALUE || unit_type(arg) >= 0;
}

bool reckon_takes_unit(const struct reckon_arg *arg, int unit)
{
	int type = unit_type(arg);
	const struct type_def *def = type < 0 ? NULL : vocab_type(type);

	for (int i = 0; def && i < def->nunits; i++)
		if (slice_eq(vocab_unit(def->first_unit + i)->name, vocab_unit(unit)->name))
			return true;
	return arg->type == RECKON_VALUE;
}

void reckon_units(const struct reckon_arg *arg, struct buf *out)
{
	int type = unit_type(arg);

	if (type >= 0 && vocab_type(type)->nunits > 1)
		value_units(out, type);
}

long double reckon_worth(const struct unit_def *u)
{
	return (long double)u->times / ((long double)u->over * powl(10, u->times_places));
}

/* A book keeps an ounce to the microgram, this all of its 28.349523125 g. */
long double reckon_exact(struct slice text, const struct unit_def *u)
{
	char *end;
	long double sum = (strtold(text.p, &end) + (long double)u->plus) * reckon_worth(u);

	end += u->name.n;
	return *end ? sum + strtold(end, NULL) * reckon_worth(vocab_unit(u->then)) : sum;
}

/* ---- values that are none of the book's */

/* How long the plain decimal at the start of `s` is, 0 when there is none; with an exponent where `full`. */
static size_t decimal(struct slice s, bool full)
{
	size_t at = s.n && s.p[0] == '-', digits = strspn(s.p + at, "0123456789"), more;

	if (!digits)
		return 0;
	at += digits;
	more = s.p[at] == '.' ? strspn(s.p + at + 1, "0123456789") : 0;
	at += more ? more + 1 : 0;
	if (full && (s.p[at] == 'e' || s.p[at] == 'E')) {
		size_t sign = s.p[at + 1] == '-' || s.p[at + 1] == '+', power = strspn(s.p + at + 1 + sign, "0123456789");

		at += power ? 1 + sign + power : 0;
	}
	return at;
}

enum { BARE_LONGEST = 16 };

/* A bare decimal, followed by % where that is allowed. */
static bool read_bare(const struct reckon_arg *arg, struct slice text, bool full, double *v, struct buf *error)
{
	size_t n = decimal(text, full), left = text.n - n;

	*v = strtod(text.p, NULL);
	if (n && (full || n - (text.p[0] == '-') <= BARE_LONGEST) &&
	    (left == 0 || (left == 1 && arg->type == RECKON_POINTS && text.p[n] == '%')))
		return true;
	buf_printf(error, "'%s' is not a valid number for %s; write it as in %s=%s", text.p, arg->name, arg->name, arg->sample);
	return false;
}

/* A difference of temperatures: 9F is 5C, for no ice point is taken off. */
static bool read_degrees(const struct reckon_arg *arg, struct slice text, bool full, struct reckon_input *in, struct buf *error)
{
	size_t n = decimal(text, full);
	bool fahrenheit = text.n == n + 1 && text.p[n] == 'F';

	in->v = strtod(text.p, NULL) * (fahrenheit ? 5.0 / 9 : 1);
	in->unit = fahrenheit ? UNIT_TEMPERATURE_F : UNIT_TEMPERATURE_C;
	if (n && (fahrenheit || (text.n == n + 1 && text.p[n] == 'C')) && in->v >= 0)
		return true;
	if (n && n == text.n)
		buf_printf(error, "%s=%s has no unit; write %sC or %sF", arg->name, text.p, text.p, text.p);
	else if (n && in->v < 0)
		buf_printf(error, "%s=%s is below 0; write the dry bulb less the wet bulb", arg->name, text.p);
	else
		buf_printf(error, "'%s' is not a temperature difference for %s; write 5C or 9F, which are the same", text.p, arg->name);
	return false;
}

static bool read_unit(const struct reckon_arg *arg, struct slice text, struct reckon_input *in, struct buf *error)
{
	int unit;

	if (reckon_type_of_unit(text, &in->unit) >= 0)
		return true;
	buf_printf(error, "%s=%s is not a unit; write one of ", arg->name, text.p);
	for (int i = 0; i < UNITS_END; i++)
		if (reckon_type_of_unit(vocab_unit(i)->name, &unit) >= 0 && unit == i)
			buf_printf(error, "%s%s", i ? ", " : "", vocab_unit(i)->name.p);
	return false;
}

static bool read_direction(const struct reckon_arg *arg, struct slice text, struct reckon_input *in, struct buf *error)
{
	static const struct { const char *word; int of; } words[] = {
		{ "radial", HOUSE_CONSTANT_OF_RADIAL }, { "tangential", HOUSE_CONSTANT_OF_TANGENTIAL }, { "axial", HOUSE_CONSTANT_OF_AXIAL },
	};

	for (size_t i = 0; i < sizeof words / sizeof *words; i++)
		if (slice_eq(slice_of(words[i].word), text)) {
			in->v = words[i].of;
			return true;
		}
	buf_printf(error, "%s=%s is not a direction; write radial, tangential or axial", arg->name, text.p);
	return false;
}

/* ---- words and cells */

/* `full`: all of a double's digits count, and the value is not rounded to the book's places. */
static bool read_typed(const struct reckon_arg *arg, struct slice text, bool full, struct reckon_input *in, struct buf *error)
{
	struct value v;

	if (!read_value(arg->name, arg->type, text, &v, error))
		return false;
	in->v = value_number(arg->type, v.fix);
	in->unit = v.unit;
	if (full && vocab_type(arg->type)->nunits)
		in->v = (double)reckon_exact(text, vocab_unit(v.unit));
	return true;
}

static bool read_input(const struct reckon_arg *arg, struct slice text, bool full, struct reckon_input *in, struct buf *error)
{
	*in = (struct reckon_input){ .given = true, .text = text };
	error->n = 0;
	switch (arg->type) {
	case RECKON_VALUE:
		return full || !report_exponent(arg->name, text, error);
	case RECKON_ID:
		return true;
	case RECKON_UNIT:
		return read_unit(arg, text, in, error);
	case RECKON_DIRECTION:
		return read_direction(arg, text, in, error);
	case RECKON_DEGREES:
		return read_degrees(arg, text, full, in, error);
	case RECKON_FACTOR:
	case RECKON_POINTS:
		return read_bare(arg, text, full, &in->v, error);
	default:
		return read_typed(arg, text, full, in, error);
	}
}

bool reckon_read(const struct reckon_arg *arg, struct slice text, struct reckon_input *in, struct buf *error)
{
	return read_input(arg, text, false, in, error);
}

/* A number with more digits than a book keeps, or with an exponent, is read here and its bounds seen to. */
static bool read_long(const struct reckon_arg *arg, struct slice text, struct reckon_input *in)
{
	const struct type_def *def = arg->type < TYPES_END ? vocab_type(arg->type) : NULL;
	size_t n = decimal(text, true);
	double step;

	if (!def || !def->nunits || !n)
		return false;
	for (int i = 0; i < def->nunits; i++) {
		in->unit = def->first_unit + i;
		if (!slice_eq(vocab_unit(in->unit)->name, slice_from(text, n)))
			continue;
		in->v = (double)((strtold(text.p, NULL) + (long double)vocab_unit(in->unit)->plus) * reckon_worth(vocab_unit(in->unit)));
		step = in->v * pow(10, def->places);
		return step >= (double)def->least && step <= (double)def->most;
	}
	return false;
}

bool reckon_read_cell(const struct reckon_arg *arg, struct slice cell, int unit, struct buf *scratch, struct reckon_input *in, struct buf *error)
{
	struct slice text;
	char last;

	cell = slice_trim(cell);
	scratch->n = 0;
	buf_add(scratch, cell);
	last = cell.n ? cell.p[cell.n - 1] : 'x';
	if (unit >= 0 && ((last >= '0' && last <= '9') || last == '.'))
		buf_add(scratch, vocab_unit(unit)->name);
	buf_cstr(scratch);
	text = buf_slice(scratch);
	*in = (struct reckon_input){ .given = true, .text = text };
	return read_long(arg, text, in) || read_input(arg, text, true, in, error);
}
