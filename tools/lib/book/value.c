#include "book/value.h"

#include "base/int128.h"
#include "book/vocab.h"
#include "time/stamp.h"

enum { MOST_DIGITS = 15, RATE_PLACES = 8 };

static const int64_t POW10[] = { 1, 10, 100, 1000, 10000, 100000, 1000000, 10000000, 100000000, 1000000000,
	10000000000, 100000000000, 1000000000000, 10000000000000, 100000000000000, 1000000000000000 };

struct number {
	int64_t digits;   /* the value is digits / 10^places */
	int places;
	bool minus;
};

/* What reading one value hands from step to step. */
struct cursor {
	int type;
	unsigned shape;
	const char *p, *end;
	struct value *v;
	enum value_fault *fault;
};

bool value_is_number(int type)
{
	return type <= TYPE_DATE;
}

static const char *fault_at(struct cursor *s, enum value_fault fault, const char *at)
{
	*s->fault = fault;
	return at;
}

static bool is_digit(const char *p, const char *end)
{
	return p < end && (unsigned char)(*p - '0') <= 9;
}

static bool is_unit_char(const char *p, const char *end)
{
	return p < end && ((unsigned char)((*p | 32) - 'a') < 26 || *p == '%' || (unsigned char)*p >= 0x80);
}

static bool is_range(const char *p, const char *end)
{
	return end - p >= 2 && p[0] == '.' && p[1] == '.';
}

/* Digits, with a point between digits; NULL when there are none, or at a fault. */
static const char *scan_number(struct cursor *s, struct number *n)
{
	const char *p = s->p, *start;
	int count;

	n->minus = *p == '-';
	p += n->minus;
	start = p;
	n->digits = 0;
	n->places = 0;
	for (; is_digit(p, s->end) && p - start <= MOST_DIGITS; p++)
		n->digits = n->digits * 10 + (*p - '0');
	count = (int)(p - start);
	if (count == 0)
		return NULL;
	if (p < s->end && *p == '.' && is_digit(p + 1, s->end)) {
		start = ++p;
		for (; is_digit(p, s->end) && count + (p - start) <= MOST_DIGITS; p++)
			n->digits = n->digits * 10 + (*p - '0');
		n->places = (int)(p - start);
		count += n->places;
	}
	if (count > MOST_DIGITS) {
		fault_at(s, VALUE_TOO_LONG, p);
		return NULL;
	}
	return p;
}

/* num / den to the nearest, half to even. den > 0. */
static int128 divide(int128 num, int128 den)
{
	int128 q = num / den, r = num % den;

	if (r < 0)
		r = -r;
	if (r * 2 > den || (r * 2 == den && q % 2 != 0))
		q += num < 0 ? -1 : 1;
	return q;
}

static int128 fix_of(const struct number *n, const struct unit_def *unit, int places)
{
	int128 num = n->minus ? -n->digits : n->digits;

	if (unit->times == 1 && unit->over == 1 && unit->plus == 0 && n->places <= places)
		return num * POW10[places - n->places];
	num = (num + (int128)unit->plus * POW10[n->places]) * unit->times * POW10[places];
	return divide(num, (int128)POW10[n->places] * POW10[unit->times_places] * unit->over);
}

/* The unit of `type` at p, as UNIT_..., or -1. */
static int scan_unit(const struct type_def *type, const char **p, const char *end)
{
	int best = -1;
	size_t longest = 0;

	for (int i = type->first_unit; i < type->first_unit + type->nunits; i++) {
		struct slice name = vocab_unit(i)->name;

		if ((size_t)(end - *p) < name.n || name.n <= longest || !bytes_eq(*p, name.p, name.n))
			continue;
		if (is_unit_char(*p + name.n, end))
			continue;
		best = i;
		longest = name.n;
	}
	*p += longest;
	return best;
}

static const char *within(struct cursor *s, int64_t least, int64_t most, int128 fix, const char *start, const char *p, int64_t *out)
{
	if (least != most && (fix < least || fix > most))
		return fault_at(s, VALUE_OUT_OF_RANGE, start);
	*out = (int64_t)fix;
	return p;
}

static const char *bounded(struct cursor *s, int128 fix, const char *start, const char *p, int64_t *out)
{
	return within(s, vocab_type(s->type)->least, vocab_type(s->type)->most, fix, start, p, out);
}

static const char *bounded_of(struct cursor *s, int unit, int128 fix, const char *start, const char *p, int64_t *out)
{
	return within(s, vocab_unit(unit)->least, vocab_unit(unit)->most, fix, start, p, out);
}

/* How many of the smaller unit make one of this: 16 ounces a pound, 12 inches a foot. */
static int64_t each_of(const struct unit_def *unit)
{
	const struct unit_def *then = vocab_unit(unit->then);

	return (int64_t)((double)unit->times / (double)then->times * (double)POW10[then->times_places] / (double)POW10[unit->times_places] + 0.5);
}

/* Before a smaller unit the number is whole, and of the smaller there are fewer than make one. */
static bool are_parts(const struct number *n, const struct number *more, int64_t each)
{
	return n->places == 0 && (int128)more->digits < (int128)each * POW10[more->places];
}

/* A number with a unit, and with the smaller unit behind it (2lb9.5oz) where there is one. */
static const char *scan_measure(struct cursor *s, int64_t *out, int *unit)
{
	const struct type_def *type = vocab_type(s->type);
	const char *start = s->p, *p;
	struct number n, more;
	int128 fix;
	int then;

	p = scan_number(s, &n);
	if (!p)
		return fault_at(s, *s->fault ? *s->fault : VALUE_MALFORMED, start);
	if (!is_unit_char(p, s->end)) {
		if (*unit < 0)
			return fault_at(s, VALUE_NO_UNIT, p);
		return bounded_of(s, *unit, fix_of(&n, vocab_unit(*unit), type->places), start, p, out);
	}
	*unit = scan_unit(type, &p, s->end);
	if (*unit < 0)
		return fault_at(s, VALUE_BAD_UNIT, p);
	fix = fix_of(&n, vocab_unit(*unit), type->places);
	then = vocab_unit(*unit)->then;
	if (then >= 0 && is_digit(p, s->end)) {
		s->p = p;
		p = scan_number(s, &more);
		if (!p)
			return fault_at(s, *s->fault, s->p);
		if (scan_unit(type, &p, s->end) != then)
			return fault_at(s, is_unit_char(p, s->end) ? VALUE_BAD_UNIT : VALUE_NO_UNIT, p);
		if (!are_parts(&n, &more, each_of(vocab_unit(*unit))))
			return fault_at(s, VALUE_BAD_PARTS, start);
		fix += fix_of(&more, vocab_unit(then), type->places);
	}
	return bounded_of(s, *unit, fix, start, p, out);
}

static const char *scan_count(struct cursor *s, int64_t *out)
{
	const char *start = s->p, *p;
	struct number n;

	p = scan_number(s, &n);
	if (!p || n.places)
		return fault_at(s, *s->fault ? *s->fault : VALUE_MALFORMED, start);
	return bounded(s, n.minus ? -n.digits : n.digits, start, p, out);
}

/* Money and rates: a number and the code of a currency. */
static const char *scan_money(struct cursor *s, int64_t *out, int *unit)
{
	const char *start = s->p, *p;
	struct number n;
	int places;

	p = scan_number(s, &n);
	if (!p)
		return fault_at(s, *s->fault ? *s->fault : VALUE_MALFORMED, start);
	if (!is_unit_char(p, s->end))
		return fault_at(s, VALUE_NO_UNIT, p);
	if (s->end - p < 3 || is_unit_char(p + 3, s->end) || (*unit = vocab_currency(p)) < 0)
		return fault_at(s, VALUE_BAD_CURRENCY, p);
	places = s->type == TYPE_RATE ? RATE_PLACES : vocab_currency_places(*unit);
	if (n.places > places || (s->type == TYPE_MONEY && n.places && n.places != places))
		return fault_at(s, VALUE_BAD_PLACES, start);
	return bounded(s, (int128)(n.minus ? -n.digits : n.digits) * POW10[places - n.places], start, p + 3, out);
}

static const char *scan_date(struct cursor *s, int64_t *out)
{
	const char *p = s->p;
	int32_t day = 0;
	enum date_fault fault;

	if (s->end - p < 10)
		return fault_at(s, VALUE_BAD_DATE, p);
	fault = date_read((struct slice){ p, 10 }, &day);
	if (fault)
		return fault_at(s, fault == DATE_MALFORMED ? VALUE_BAD_DATE : VALUE_IMPOSSIBLE_DATE, p);
	*out = day;
	return p + 10;
}

static const char *scan_single(struct cursor *s, int64_t *out, int *unit)
{
	switch (s->type) {
	case TYPE_COUNT:
		return scan_count(s, out);
	case TYPE_MONEY:
	case TYPE_RATE:
		return scan_money(s, out, unit);
	case TYPE_DATE:
		return scan_date(s, out);
	default:
		return scan_measure(s, out, unit);
	}
}

static bool ends(const char *p, const char *end)
{
	return p == end || *p == ',' || *p == ' ' || *p == '\t';
}

/* The unit of the upper end, for a lower end that has none (8..10%). A number that is too large has its unit all the same. */
static int unit_of_high(const struct cursor *s, const char *p)
{
	p += p < s->end && *p == '-';
	while (is_digit(p, s->end) || (p < s->end && *p == '.' && is_digit(p + 1, s->end)))
		p++;
	return scan_unit(vocab_type(s->type), &p, s->end);
}

/* Where a number without a range would end: at the two dots of its range, or NULL. */
static const char *dots_after_number(const struct cursor *s)
{
	struct cursor look = *s;
	struct number n;
	enum value_fault quiet = VALUE_OK;
	const char *p;

	look.fault = &quiet;
	p = s->p < s->end ? scan_number(&look, &n) : NULL;
	return p && is_range(p, s->end) ? p : NULL;
}

static const char *scan_high(struct cursor *s, const char *p, int *unit)
{
	struct value *v = s->v;

	if (!(s->shape & USE_RANGE))
		return fault_at(s, VALUE_NOT_RANGE, p);
	v->mark = VALUE_RANGE;
	p += 2;
	v->high = INT64_MAX;
	if (ends(p, s->end))
		return v->fix == INT64_MIN ? fault_at(s, VALUE_MALFORMED, p) : p;
	s->p = p;
	p = scan_single(s, &v->high, unit);
	if (!*s->fault && v->high < v->fix)
		return fault_at(s, VALUE_INVERTED, p);
	return p;
}

static const char *scan_beyond(struct cursor *s, const char *p)
{
	if (!(s->shape & USE_BEYOND))
		return fault_at(s, VALUE_NOT_BEYOND, p);
	s->v->mark = *p == '+' ? VALUE_ABOVE : VALUE_BELOW;
	return p + 1;
}

const char *value_scan(int type, unsigned shape, const char *p, const char *end, struct value *v, enum value_fault *fault)
{
	struct cursor s = { type, shape, p, end, v, fault };
	const char *dots, *start = p;
	int unit = -1;

	*fault = VALUE_OK;
	v->mark = VALUE_EXACT;
	v->fix = v->high = 0;
	v->unit = 0;
	if (p == end)
		return fault_at(&s, VALUE_MALFORMED, p);
	if (*p == '-' && ends(p + 1, end)) {
		v->mark = VALUE_ABSENT;
		return shape & USE_ABSENT ? p + 1 : fault_at(&s, VALUE_NOT_ABSENT, p);
	}
	if (is_range(p, end))
		v->fix = INT64_MIN;
	else {
		dots = shape & USE_RANGE ? dots_after_number(&s) : NULL;
		if (dots)
			unit = unit_of_high(&s, dots + 2);
		p = scan_single(&s, &v->fix, &unit);
		if (*fault)
			return p;
		v->high = v->fix;
	}
	if (is_range(p, end)) {
		p = scan_high(&s, p, &unit);
		if (*fault == VALUE_NOT_RANGE)
			p = start;
	} else if (p < end && (*p == '+' || *p == '-') && ends(p + 1, end)) {
		p = scan_beyond(&s, p);
		if (*fault)
			p = start;
	}
	v->unit = (uint8_t)(unit < 0 ? 0 : unit);
	return p;
}

enum value_fault value_read(int type, unsigned shape, struct slice s, struct value *v)
{
	enum value_fault fault;
	const char *stop = value_scan(type, shape, s.p, s.p + s.n, v, &fault);

	return !fault && stop != s.p + s.n ? VALUE_MALFORMED : fault;
}

bool value_parts(struct buf *out, int type, struct slice text)
{
	const struct type_def *def = vocab_type(type);
	enum value_fault quiet = VALUE_OK;
	struct cursor s = { type, 0, text.p, text.p + text.n, NULL, &quiet };
	struct number n, more;
	int unit, places;
	int128 all, each;

	s.p = scan_number(&s, &n);
	unit = s.p ? scan_unit(def, &s.p, s.end) : -1;
	if (unit < 0 || vocab_unit(unit)->then < 0)
		return false;
	s.p = scan_number(&s, &more);
	if (!s.p || scan_unit(def, &s.p, s.end) != vocab_unit(unit)->then || s.p != s.end)
		return false;
	places = n.places > more.places ? n.places : more.places;
	each = (int128)each_of(vocab_unit(unit)) * POW10[places];
	all = (int128)n.digits * POW10[places - n.places] * each_of(vocab_unit(unit)) + (int128)more.digits * POW10[places - more.places];
	buf_printf(out, "%s%lld%.*s", n.minus ? "-" : "", (long long)(all / each), (int)vocab_unit(unit)->name.n, vocab_unit(unit)->name.p);
	value_write_fix(out, (int64_t)(all % each), places);
	buf_add(out, vocab_unit(vocab_unit(unit)->then)->name);
	return true;
}

double value_number(int type, int64_t fix)
{
	return (double)fix / (double)POW10[vocab_type(type)->places];
}

double value_in(int type, int unit, int64_t fix)
{
	const struct unit_def *u = vocab_unit(unit);

	return value_number(type, fix) * (double)u->over * (double)POW10[u->times_places] / (double)u->times - (double)u->plus;
}

struct slice value_reading_base(int unit)
{
	switch (unit) {
	case UNIT_READING_PCT:
		return SLICE("%");
	case UNIT_READING_C:
	case UNIT_READING_F:
		return SLICE("C");
	default:
		return SLICE("g");
	}
}

/* Ounces are rounded before the pounds are taken out of them, so that there are never 16. */
void value_write_mass(struct buf *out, int unit, int64_t micrograms)
{
	int64_t tenths = (int64_t)(value_in(TYPE_MASS, UNIT_MASS_OZ, micrograms) * 10 + 0.5);

	if (unit != UNIT_MASS_LB && unit != UNIT_MASS_OZ) {
		buf_printf(out, "%.0fg", value_in(TYPE_MASS, UNIT_MASS_G, micrograms));
		return;
	}
	buf_printf(out, "%lldlb", (long long)(tenths / 160));
	value_write_fix(out, tenths % 160, 1);
	buf_str(out, "oz");
}

void value_write_fix(struct buf *out, int64_t fix, int places)
{
	uint64_t whole = fix < 0 ? 0 - (uint64_t)fix : (uint64_t)fix;
	uint64_t part = whole % (uint64_t)POW10[places];
	char digits[sizeof "18446744073709551615"];

	if (fix < 0)
		buf_char(out, '-');
	buf_int(out, (int64_t)(whole / (uint64_t)POW10[places]));
	if (!part)
		return;
	while (part % 10 == 0) {
		part /= 10;
		places--;
	}
	digits[0] = '.';
	for (int i = places; i > 0; i--, part /= 10)
		digits[i] = (char)('0' + part % 10);
	buf_add(out, (struct slice){ digits, (size_t)places + 1 });
}

void value_units(struct buf *out, int type)
{
	const struct type_def *t = vocab_type(type);

	if (t->nunits == 0)
		buf_str(out, "NZD, GBP or another ISO 4217 code");
	for (int i = 0; i < t->nunits; i++) {
		if (i)
			buf_str(out, ", ");
		buf_add(out, vocab_unit(t->first_unit + i)->name);
	}
}

void value_units_choice(struct buf *out, int type)
{
	buf_str(out, vocab_type(type)->nunits == 1 ? "" : "one of ");
	value_units(out, type);
}

bool value_undash(struct buf *out, int type, struct slice s)
{
	size_t start = out->n;
	struct value v;

	for (size_t i = 1; i < s.n; i++) {
		if (s.p[i] != '-')
			continue;
		out->n = start;
		buf_add(out, slice_upto(s, i));
		buf_str(out, "..");
		buf_add(out, slice_from(s, i + 1));
		if (!value_read(type, USE_RANGE, slice_from(buf_slice(out), start), &v))
			return true;
	}
	out->n = start;
	return false;
}
