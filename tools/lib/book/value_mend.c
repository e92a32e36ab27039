#include "book/value_mend.h"

#include "book/token.h"
#include "book/value.h"
#include "book/vocab.h"
#include "time/stamp.h"

static bool is_digit(char c)
{
	return c >= '0' && c <= '9';
}

/* Whether what `out` has from `start` on is a good value; if not, it is taken off. */
static bool is_good(struct buf *out, size_t start, const struct field_use *use)
{
	struct value v;

	if (value_read(use->type, use->shape, slice_from(buf_slice(out), start), &v) == VALUE_OK)
		return true;
	out->n = start;
	return false;
}

static void add_pointed(struct buf *out, struct slice text)
{
	for (size_t i = 0; i < text.n; i++)
		buf_char(out, text.p[i] == ',' ? '.' : text.p[i]);
}

/* Minor units that are not written: 12.5 becomes 12.50, and 12 becomes 12.00. */
static void add_places(struct buf *out, size_t start, int places)
{
	size_t point = slice_find(slice_from(buf_slice(out), start), '.'), n = out->n - start;
	size_t have = point < n ? n - point - 1 : 0;

	if (places && point == n)
		buf_char(out, '.');
	for (; have < (size_t)places; have++)
		buf_char(out, '0');
}

/* The currency that three letters of the text name, or the works' own. */
static int currency_in(const struct vocab *v, struct slice text)
{
	for (size_t i = 0; i + 3 <= text.n; i++)
		if (vocab_currency(text.p + i) >= 0)
			return vocab_currency(text.p + i);
	return v->own.currency;
}

/* An amount with its sign or code in a wrong place or form: one run of digits, with a point or comma in it. */
static bool mend_money(struct buf *out, const struct vocab *v, const struct field_use *use, struct slice text)
{
	size_t start = out->n, from = 0, to;
	int currency = currency_in(v, text);

	while (from < text.n && !is_digit(text.p[from]))
		from++;
	for (to = from; to < text.n && (is_digit(text.p[to]) || text.p[to] == '.' || text.p[to] == ',');)
		to++;
	for (size_t i = to; i < text.n; i++)
		if (is_digit(text.p[i]))
			return false;
	if (from == to || slice_find(slice_upto(text, from), '-') < from)
		return false;
	add_pointed(out, slice_between(text.p + from, text.p + to));
	if (use->type == TYPE_MONEY)
		add_places(out, start, vocab_currency_places(currency));
	buf_add(out, vocab_currency_code(currency));
	return is_good(out, start, use);
}

static size_t digits_at(struct slice text, size_t at)
{
	size_t n = 0;

	while (at + n < text.n && is_digit(text.p[at + n]))
		n++;
	return n;
}

/* The digits of a number and where its point is, moved by the exponent. */
static void add_shifted(struct buf *out, struct slice digits, long point)
{
	for (long i = point < 1 ? point - 1 : 0; i < (long)digits.n || i < point; i++) {
		if (i == point)
			buf_char(out, '.');
		buf_char(out, i >= 0 && i < (long)digits.n ? digits.p[i] : '0');
	}
}

bool value_expand(struct buf *out, struct slice text)
{
	enum { POWER_MOST = 2 };
	size_t at = text.n && text.p[0] == '-', whole = digits_at(text, at), part = 0, sign, power;
	struct buf digits = BUF_INIT;
	long shift = 0;

	buf_add(&digits, slice_upto(slice_from(text, at), whole));
	at += whole;
	if (whole && at < text.n && text.p[at] == '.') {
		part = digits_at(text, at + 1);
		buf_add(&digits, slice_upto(slice_from(text, at + 1), part));
		at += part + 1;
	}
	sign = at + 1 < text.n && (text.p[at + 1] == '-' || text.p[at + 1] == '+');
	power = at < text.n && (text.p[at] | 32) == 'e' ? digits_at(text, at + 1 + sign) : 0;
	for (size_t i = 0; i < power && power <= POWER_MOST; i++)
		shift = shift * 10 + (text.p[at + 1 + sign + i] - '0');
	if (whole && power && power <= POWER_MOST) {
		buf_str(out, text.p[0] == '-' ? "-" : "");
		add_shifted(out, buf_slice(&digits), (long)whole + (sign && text.p[at + 1] == '-' ? -shift : shift));
		buf_add(out, slice_from(text, at + 1 + sign + power));
	}
	buf_release(&digits);
	return whole && power && power <= POWER_MOST;
}

bool value_mend(struct buf *out, const struct vocab *v, const struct field_use *use, struct slice text)
{
	const struct type_def *type = vocab_type(use->type);
	size_t start = out->n;

	if (use->type == TYPE_MONEY || use->type == TYPE_RATE)
		return mend_money(out, v, use, text);
	if ((value_expand(out, text) || value_parts(out, use->type, text)) && is_good(out, start, use))
		return true;
	add_pointed(out, text);
	if (is_good(out, start, use))
		return true;
	if (type->nunits != 1)
		return false;
	add_pointed(out, text);
	buf_add(out, type->base);
	return is_good(out, start, use);
}

/* ---- lists */

/* The label of an item with its colon; empty where it has none. */
static struct slice label_of(struct slice item)
{
	const char *end = item.p + item.n, *colon = token_id_end(item.p, end, true);

	return slice_between(item.p, colon > item.p && colon < end && *colon == ':' ? colon + 1 : item.p);
}

/* The length of the first item. One without a label after one with a label is what a decimal comma parted: a:10,4%. */
static size_t item_end(struct slice list)
{
	size_t n = slice_find(list, ','), label = label_of(slice_upto(list, n)).n;
	struct slice next = slice_from(list, n + (n < list.n));
	size_t more = slice_find(next, ',');

	if (!label || !next.n || !is_digit(next.p[0]) || label_of(slice_upto(next, more)).n || label + digits_at(list, label) < n)
		return n;
	return n + 1 + more;
}

/* The item with the unit, where it can be read only with it, and with a point for decimals. */
static bool add_item_unit(struct buf *out, const struct field_use *use, struct slice item, struct slice unit)
{
	struct slice label = label_of(item), text = slice_from(item, label.n);
	struct value v;
	size_t start;

	buf_add(out, label);
	start = out->n;
	add_pointed(out, text);
	if (value_read(use->type, use->shape, slice_from(buf_slice(out), start), &v) == VALUE_OK)
		return true;
	buf_add(out, unit);
	return is_good(out, start, use);
}

bool value_mend_units(struct buf *out, const struct field_use *use, struct slice list, struct slice unit)
{
	size_t start = out->n, n;

	for (;; list = slice_from(list, n + 1)) {
		n = item_end(list);
		if (!add_item_unit(out, use, slice_upto(list, n), unit))
			break;
		if (n == list.n)
			return true;
		buf_char(out, ',');
	}
	out->n = start;
	return false;
}

/* ---- dates */

/* The number at p, at most four digits, and what comes after it; -1 where there is none. */
static int take_number(struct slice *text)
{
	size_t n = 0;
	int number = 0;

	while (n < text->n && is_digit(text->p[n]))
		n++;
	if (!n || n > 4)
		return -1;
	for (size_t i = 0; i < n; i++)
		number = number * 10 + (text->p[i] - '0');
	*text = slice_from(*text, n);
	return number;
}

/* Adds the date if the calendar has it and `out` does not end in it. */
static void add_date(struct buf *out, size_t start, int year, int month, int date)
{
	struct buf text = BUF_INIT;
	int32_t day;
	bool same;

	buf_printf(&text, "%04d-%02d-%02d", year, month, date);
	same = slice_eq(slice_from(buf_slice(out), start), buf_slice(&text));
	if (!same && date_read(buf_slice(&text), &day) == DATE_OK)
		buf_printf(out, "%s%.*s", out->n > start ? " or " : "", (int)text.n, text.p);
	buf_release(&text);
}

/* Whether the text is three numbers with the same sign between them. */
static bool three_numbers(struct slice text, int number[3])
{
	char sign = 0;

	for (int i = 0; i < 3; i++) {
		if (i && (!text.n || !strchr("-./", text.p[0]) || (sign && sign != text.p[0])))
			return false;
		if (i) {
			sign = text.p[0];
			text = slice_from(text, 1);
		}
		number[i] = take_number(&text);
		if (number[i] < 0)
			return false;
	}
	return text.n == 0;
}

bool value_mend_date(struct buf *out, struct slice text)
{
	size_t start = out->n;
	int n[3];

	if (!three_numbers(text, n))
		return false;
	if (n[0] > 999)
		add_date(out, start, n[0], n[1], n[2]);
	else if (n[2] > 999) {
		add_date(out, start, n[2], n[1], n[0]);
		add_date(out, start, n[2], n[0], n[1]);
	}
	return out->n > start;
}

bool value_mend_time(struct buf *out, struct slice text)
{
	size_t hours = text.n == 4 && digits_at(text, 0) == 4 ? 2 : digits_at(text, 0);
	bool sign = hours < text.n && strchr(":.", text.p[hours]);
	size_t start = out->n;
	struct stamp stamp;

	if (!hours || hours > 2 || text.n != hours + sign + 2 || (!sign && text.n != 4))
		return false;
	buf_str(out, hours == 1 ? "0" : "");
	buf_add(out, slice_upto(text, hours));
	buf_char(out, ':');
	buf_add(out, slice_from(text, hours + sign));
	if (time_read(slice_from(buf_slice(out), start), &stamp))
		return true;
	out->n = start;
	return false;
}

bool value_mend_surely(struct buf *out, const struct field_use *use, struct slice text)
{
	size_t start = out->n, comma = slice_find(text, ',');

	if (comma == text.n)
		return value_expand(out, text) && is_good(out, start, use);
	if (digits_at(text, comma + 1) == 3)
		return false;
	add_pointed(out, text);
	return is_good(out, start, use);
}

void value_sample_money(struct buf *out, const struct vocab *v)
{
	size_t start = out->n;

	buf_str(out, "240");
	add_places(out, start, vocab_currency_places(v->own.currency));
	buf_add(out, vocab_currency_code(v->own.currency));
}
