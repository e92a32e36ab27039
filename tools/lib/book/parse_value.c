#include <stdlib.h>

#include "book/parse_internal.h"
#include "book/value_mend.h"

struct item *parse_next_item(struct parser *ps)
{
	ps->line.item = mem_grow(ps->line.item, &ps->item_cap, ps->nitems + 1, sizeof *ps->line.item);
	return &ps->line.item[ps->nitems++];
}

/* Faults whose message needs only the item and the field's name. */
static void told_plainly(struct parser *ps, struct slice name, struct slice item, enum value_fault fault)
{
	switch (fault) {
	case VALUE_TOO_LONG:
		PARSE_WRONG(ps, RULE_NUMBER_TOO_LONG, item, item);
		break;
	case VALUE_NOT_ABSENT:
		PARSE_WRONG(ps, RULE_ABSENT_NOT_ALLOWED, item, name);
		break;
	case VALUE_NOT_BEYOND:
		PARSE_WRONG(ps, RULE_BEYOND_NOT_ALLOWED, item, name);
		break;
	case VALUE_NOT_RANGE:
		PARSE_WRONG(ps, RULE_RANGE_NOT_ALLOWED, item, name);
		break;
	default:
		PARSE_WRONG(ps, RULE_RANGE_INVERTED, item, item);
		break;
	}
}

/* The unit of an instrument's reading that is a mass, else NULL. */
static const struct unit_def *mass_unit_of(const struct field_use *use, struct slice item)
{
	const struct type_def *type = vocab_type(use->type);

	for (int i = type->first_unit; use->type == TYPE_READING && i < type->first_unit + type->nunits; i++) {
		struct slice name = vocab_unit(i)->name;

		if (slice_eq(value_reading_base(i), SLICE("g")) && item.n > name.n && slice_eq(slice_from(item, item.n - name.n), name))
			return vocab_unit(i);
	}
	return NULL;
}

static void out_of_range(struct parser *ps, const struct field_use *use, struct slice item)
{
	const struct type_def *type = vocab_type(use->type);
	const struct unit_def *unit = mass_unit_of(use, item);
	struct slice base = unit ? SLICE("g") : type->base;
	struct buf least = BUF_INIT, most = BUF_INIT;

	value_write_fix(&least, unit ? unit->least : type->least, type->places);
	value_write_fix(&most, unit ? unit->most : type->most, type->places);
	buf_add(&least, base);
	buf_add(&most, base);
	PARSE_WRONG(ps, RULE_NUMBER_OUT_OF_RANGE, item, item, use->field->name, buf_slice(&least), buf_slice(&most));
	buf_release(&least);
	buf_release(&most);
}

/* Whether the list can be read with the unit; counts those that it can have. */
static bool can_have(const struct field_use *use, struct slice list, struct slice unit, int *n)
{
	struct buf ignored = BUF_INIT;
	bool can = value_mend_units(&ignored, use, list, unit);

	buf_release(&ignored);
	*n += can;
	return can;
}

/* The list or value with each unit that it could have: 24C or 24F. */
static void add_units_each(struct buf *out, const struct field_use *use, struct slice list)
{
	const struct type_def *t = vocab_type(use->type);
	bool *may = mem_zeroed((size_t)t->nunits, sizeof *may);
	int n = 0;

	for (int i = 0; i < t->nunits; i++)
		may[i] = can_have(use, list, vocab_unit(t->first_unit + i)->name, &n);
	for (int i = 0; i < t->nunits; i++) {
		if (!may[i])
			continue;
		value_mend_units(out, use, list, vocab_unit(t->first_unit + i)->name);
		n--;
		buf_str(out, n > 1 ? ", " : n ? " or " : "");
	}
	free(may);
}

/* 2.7 pounds are easily read as 2 pounds 7 ounces; 2.75 and 2.16 are not. */
static void add_pounds_note(struct buf *out, struct slice item)
{
	size_t point = slice_find(item, '.');
	struct slice ounces = slice_from(item, point < item.n ? point + 1 : item.n);
	bool may = point && (ounces.n == 1 || (ounces.n == 2 && ounces.p[0] == '1' && ounces.p[1] <= '5'));

	if (may)
		buf_printf(out, "; %.*s alone could mean %.*slb%.*soz or %.*slb", (int)item.n, item.p, (int)point, item.p,
			(int)ounces.n, ounces.p, (int)item.n, item.p);
}

/* The whole value that an item is part of. */
static struct slice whole_value(const struct parser *ps, struct slice item)
{
	const char *start = item.p;

	while (start > ps->line.text.p && start[-1] != '=')
		start--;
	return slice_between(start, token_value_end(start, ps->line.text.p + ps->line.text.n));
}

static void add_how(struct buf *out, const struct vocab *vocab, int type)
{
	if (type == TYPE_DATE)
		buf_str(out, "write YYYY-MM-DD");
	else if (vocab_type(type)->nunits) {
		buf_str(out, "write digits, a point for decimals, and right after them the unit, ");
		value_units_choice(out, type);
	} else if (type == TYPE_MONEY || type == TYPE_RATE) {
		buf_str(out, "write digits, a point for decimals, and the currency code, such as ");
		value_sample_money(out, vocab);
	} else
		buf_str(out, "write digits");
}

/* A decimal comma or an exponent, in a field that takes one value. */
static void fix_number(struct parser *ps, const struct field_use *use, struct slice text)
{
	struct buf fixed = BUF_INIT;

	if (!(use->shape & USE_MANY) && value_mend_surely(&fixed, use, text))
		parse_fix(ps, RULE_NUMBER_MALFORMED, text, buf_slice(&fixed));
	buf_release(&fixed);
}

static void malformed(struct parser *ps, const struct field_use *use, struct slice item)
{
	struct buf how = BUF_INIT;

	buf_str(&how, "write ");
	if (!value_mend(&how, ps->vocab, use, item)) {
		how.n = 0;
		add_how(&how, ps->vocab, use->type);
	}
	PARSE_WRONG(ps, RULE_NUMBER_MALFORMED, item, item, use->field->name, vocab_type(use->type)->help, buf_slice(&how));
	fix_number(ps, use, item);
	buf_release(&how);
}

/* Whether a number without a unit can hardly be a fraction of one, as 0.54 for 54%. */
static bool is_one_or_more(struct slice list)
{
	struct slice number = slice_from(list, slice_find(list, ':') < list.n ? slice_find(list, ':') + 1 : 0);

	return number.n && number.p[0] >= '1' && number.p[0] <= '9';
}

/* A whole list without units is one mistake. */
static void no_unit(struct parser *ps, const struct field_use *use, struct slice item)
{
	struct buf units = BUF_INIT;
	struct slice list = whole_value(ps, item);

	add_units_each(&units, use, list);
	if (!units.n) {
		list = item;
		add_units_each(&units, use, item);
	}
	if (units.n && use->type == TYPE_MASS && list.n == item.n)
		add_pounds_note(&units, item);
	if (!units.n)
		malformed(ps, use, item); /* a second number has a unit that the first one does not go with: 2lb9kg */
	else if (ps->unitless != use) {
		PARSE_WRONG(ps, RULE_UNIT_MISSING, item, list, use->field->name, buf_slice(&units));
		if (slice_find(buf_slice(&units), ' ') == units.n && is_one_or_more(list))
			parse_fix(ps, RULE_UNIT_MISSING, list, buf_slice(&units));
	}
	ps->unitless = use;
	ps->bad = true;
	buf_release(&units);
}

/* Where `..` is, or the end. */
static size_t find_dots(struct slice text)
{
	size_t at = 0;

	while (at < text.n && !slice_starts(slice_from(text, at), SLICE("..")))
		at++;
	return at;
}

/* Adds the date, or the range of two, as a book has it; false where there is not one way to read it. */
static bool add_dates(struct buf *out, struct slice item)
{
	size_t dots = find_dots(item), start = out->n;

	if (!value_mend_date(out, slice_upto(item, dots)))
		return false;
	if (dots == item.n)
		return true;
	buf_str(out, "..");
	return value_mend_date(out, slice_from(item, dots + 2)) && slice_find(slice_from(buf_slice(out), start), ' ') == out->n - start;
}

/* A date in another order or with other signs is written as it must be: due=2026-12-15. */
static void bad_date(struct parser *ps, struct slice item)
{
	struct buf how = BUF_INIT;
	bool sure;

	buf_str(&how, "write ");
	sure = add_dates(&how, item);
	if (!sure) {
		how.n = 0;
		buf_str(&how, "write the date as YYYY-MM-DD, such as 2026-03-05");
	}
	PARSE_WRONG(ps, RULE_DATE_MALFORMED, item, item, buf_slice(&how));
	if (sure && slice_find(slice_from(buf_slice(&how), 6), ' ') == how.n - 6)
		parse_fix(ps, RULE_DATE_MALFORMED, item, slice_from(buf_slice(&how), 6));
	buf_release(&how);
}

static bool same_letters(struct slice a, struct slice b)
{
	if (a.n != b.n)
		return false;
	for (size_t i = 0; i < a.n; i++)
		if ((a.p[i] | 32) != (b.p[i] | 32))
			return false;
	return true;
}

/* The one unit of the type that the text is but for capitals and a degree sign before it; empty where there is none. */
static struct slice meant_unit(int type, struct slice text)
{
	const struct type_def *t = vocab_type(type);
	struct slice meant = SLICE("");

	if (slice_starts(text, SLICE("\xc2\xb0")))
		text = slice_from(text, 2);
	for (int i = 0; i < t->nunits; i++) {
		struct slice unit = vocab_unit(t->first_unit + i)->name;

		if (!same_letters(unit, text))
			continue;
		if (meant.n)
			return SLICE("");
		meant = unit;
	}
	return meant;
}

static void bad_unit(struct parser *ps, const struct field_use *use, struct slice rest)
{
	struct buf units = BUF_INIT;
	struct slice meant = meant_unit(use->type, rest);

	value_units_choice(&units, use->type);
	PARSE_WRONG(ps, RULE_UNIT_UNKNOWN, rest, rest, use->field->name, buf_slice(&units));
	if (meant.n)
		parse_fix(ps, RULE_UNIT_UNKNOWN, rest, meant);
	buf_release(&units);
}

static void bad_places(struct parser *ps, const struct field_use *use, struct slice item)
{
	struct slice code = slice_from(item, item.n >= 3 ? item.n - 3 : 0);
	int currency = code.n == 3 ? vocab_currency(code.p) : -1;
	struct buf places = BUF_INIT;
	bool sure = value_mend(&places, ps->vocab, use, item);

	if (!sure) {
		buf_int(&places, use->type == TYPE_RATE ? 8 : currency < 0 ? 2 : vocab_currency_places(currency));
		buf_str(&places, " decimals");
	}
	PARSE_WRONG(ps, RULE_MONEY_PLACES, item, item, code, buf_slice(&places));
	if (sure)
		parse_fix(ps, RULE_MONEY_PLACES, item, buf_slice(&places));
	buf_release(&places);
}

static void bad_currency(struct parser *ps, const struct field_use *use, struct slice item, struct slice rest)
{
	struct buf sample = BUF_INIT;

	if (!value_mend(&sample, ps->vocab, use, item))
		value_sample_money(&sample, ps->vocab);
	PARSE_WRONG(ps, RULE_CURRENCY_UNKNOWN, item, rest, buf_slice(&sample));
	buf_release(&sample);
}

static void no_such_date(struct parser *ps, struct slice item, struct slice rest)
{
	struct slice date = slice_upto(rest, rest.n < 10 ? rest.n : 10);
	char why[64];

	date_why(date, why, sizeof why);
	PARSE_WRONG(ps, RULE_DATE_IMPOSSIBLE, item, date, slice_of(why));
}

/* A range with a dash for its dots can look like many a mistake. */
static bool dashed(struct parser *ps, const struct field_use *use, struct slice item)
{
	struct buf how = BUF_INIT;
	bool is_range;

	buf_str(&how, "write the range as ");
	is_range = use->shape & USE_RANGE && value_undash(&how, use->type, item);
	if (is_range)
		PARSE_WRONG(ps, RULE_NUMBER_MALFORMED, item, item, use->field->name, vocab_type(use->type)->help, buf_slice(&how));
	buf_release(&how);
	return is_range;
}

/* In a list, a comma that was meant for a point makes a value without a unit, and another behind it. */
static bool comma_for_point(struct parser *ps, const struct field_use *use, struct slice item)
{
	const char *end = ps->line.text.p + ps->line.text.n, *comma = item.p + item.n, *stop = comma;
	struct buf how = BUF_INIT;
	struct value v;
	size_t start;
	bool meant;

	if (comma >= end || *comma != ',')
		return false;
	for (stop = comma + 1; stop < end && *stop != ',' && *stop != ' ' && *stop != '\t';)
		stop++;
	buf_str(&how, "write decimals with a point: ");
	start = how.n;
	buf_add(&how, item);
	buf_char(&how, '.');
	buf_add(&how, slice_between(comma + 1, stop));
	meant = value_read(use->type, 0, slice_from(buf_slice(&how), start), &v) == VALUE_OK;
	if (meant)
		PARSE_WRONG(ps, RULE_NUMBER_MALFORMED, item, slice_between(item.p, stop), use->field->name, vocab_type(use->type)->help, buf_slice(&how));
	buf_release(&how);
	return meant;
}

static bool has_exponent(struct slice item)
{
	struct buf ignored = BUF_INIT;
	bool has = value_expand(&ignored, item);

	buf_release(&ignored);
	return has;
}

/* `at` is where reading stopped. */
static void value_wrong(struct parser *ps, const struct field_use *use, struct slice item, const char *at, enum value_fault fault)
{
	struct slice name = use->field->name, rest = slice_between(at, item.p + item.n);

	if (dashed(ps, use, item) || (fault == VALUE_NO_UNIT && comma_for_point(ps, use, item)))
		return;
	switch (fault) {
	case VALUE_MALFORMED:
	case VALUE_BAD_PARTS:
		malformed(ps, use, item);
		break;
	case VALUE_OUT_OF_RANGE:
		out_of_range(ps, use, item);
		break;
	case VALUE_NO_UNIT:
		no_unit(ps, use, item);
		break;
	case VALUE_BAD_UNIT:
		if (has_exponent(item))
			malformed(ps, use, item);
		else
			bad_unit(ps, use, rest);
		break;
	case VALUE_BAD_CURRENCY:
		if (has_exponent(item))
			malformed(ps, use, item);
		else
			bad_currency(ps, use, item, rest);
		break;
	case VALUE_BAD_PLACES:
		bad_places(ps, use, item);
		break;
	case VALUE_BAD_DATE:
		bad_date(ps, item);
		break;
	case VALUE_IMPOSSIBLE_DATE:
		no_such_date(ps, item, rest);
		break;
	default:
		told_plainly(ps, name, item, fault);
		break;
	}
}

static void check_quoted(struct parser *ps, struct slice item)
{
	const char *p = item.p + 1, *end = item.p + item.n;

	for (; p < end && *p != '"'; p++) {
		if (*p != '\\')
			continue;
		if (p + 1 == end || (p[1] != '"' && p[1] != '\\')) {
			PARSE_WRONG0(ps, RULE_QUOTE_ESCAPE, slice_between(p, p + 1));
			parse_fix(ps, RULE_QUOTE_ESCAPE, slice_between(p, p + 1), SLICE("\\\\"));
			return;
		}
		p++;
	}
	if (p >= end)
		PARSE_WRONG0(ps, RULE_QUOTE_OPEN, item);
	else if (p + 1 < end)
		PARSE_WRONG0(ps, RULE_QUOTE_AFTER, slice_between(p + 1, end));
}

static void unquoted(struct parser *ps, struct slice item)
{
	struct buf quoted = BUF_INIT;

	parse_add_quoted(&quoted, item);
	PARSE_WRONG(ps, RULE_TEXT_UNQUOTED, item, item);
	parse_fix(ps, RULE_TEXT_UNQUOTED, item, buf_slice(&quoted));
	buf_release(&quoted);
}

static void check_text(struct parser *ps, struct slice item)
{
	if (item.p[0] == '"') {
		check_quoted(ps, item);
		return;
	}
	for (size_t i = 0; i < item.n; i++)
		if (!token_is_bare(item.p[i])) {
			unquoted(ps, item);
			return;
		}
}

static void check_words(struct parser *ps, const struct field_def *field, struct slice item)
{
	struct buf words = BUF_INIT;

	for (int i = 0; i < field->nwords; i++)
		if (slice_eq(field->words[i], item))
			return;
	for (int i = 0; i < field->nwords; i++) {
		if (i)
			buf_str(&words, ", ");
		buf_add(&words, field->words[i]);
	}
	PARSE_WRONG(ps, RULE_WORD_UNKNOWN, item, item, field->name, buf_slice(&words));
	buf_release(&words);
}

static void type_word(struct parser *ps, const struct field_use *use, struct slice item, struct value *v)
{
	const char *end = item.p + item.n;

	*v = (struct value){ .mark = VALUE_EXACT };
	if (use->type == TYPE_TEXT)
		check_text(ps, item);
	else if (item.n == 1 && item.p[0] == '-') {
		v->mark = VALUE_ABSENT;
		if (!(use->shape & USE_ABSENT))
			PARSE_WRONG(ps, RULE_ABSENT_NOT_ALLOWED, item, use->field->name);
	} else if (token_id_end(item.p, end, vocab_type_slash(use->type)) != end)
		PARSE_WRONG(ps, RULE_ID_MALFORMED, item, item, use->field->name);
	else if (use->field->nwords)
		check_words(ps, use->field, item);
}

static void type_number(struct parser *ps, const struct field_use *use, struct slice item, struct value *v)
{
	enum value_fault fault;
	const char *end = item.p + item.n;
	const char *stop = value_scan(use->type, use->shape, item.p, end, v, &fault);

	if (!fault && stop != end)
		fault = VALUE_MALFORMED;
	if (fault)
		value_wrong(ps, use, item, stop, fault);
}

/* The end of a label: an id with at most one slash, or TYPE/GRADE/CLASS. */
static const char *label_end(const struct field_use *use, struct slice item)
{
	const char *end = item.p + item.n, *stop = token_id_end(item.p, end, true), *last;

	if (use->field->label_of != OF_WHAT || stop == item.p || stop == end || *stop != '/')
		return stop;
	last = token_id_end(stop + 1, end, false);
	return last == stop + 1 ? stop : last;
}

/* Takes a label off the item. */
static struct slice take_label(const struct field_use *use, struct slice *item)
{
	const char *end = item->p + item->n, *colon = label_end(use, *item);
	struct slice label = { "", 0 };

	if (colon > item->p && colon < end && *colon == ':') {
		label = slice_between(item->p, colon);
		*item = slice_between(colon + 1, end);
	}
	return label;
}

static void label_missing(struct parser *ps, const struct field_use *use, struct slice text)
{
	const struct vocab_own *own = &ps->vocab->own;
	struct buf example = BUF_INIT;

	if (use->field->label_of == OF_CULL)
		buf_printf(&example, "CAUSE:1, such as %.*s:1", (int)own->cause.n, own->cause.p);
	else if (use->type == TYPE_PICK)
		buf_printf(&example, "PROBE:LOT/TYPE, such as a:L061/%.*s", (int)own->type.n, own->type.p);
	else if (use->field->label_of == OF_WHAT)
		buf_printf(&example, "WHAT:%.*s, such as %.*s:%.*s, or the whole number without a comma", (int)text.n, text.p, (int)own->type.n,
			own->type.p, (int)text.n, text.p);
	else
		buf_str(&example, "WHAT:1, such as L061:34");
	PARSE_WRONG(ps, RULE_LABEL_MISSING, text, use->field->name, buf_slice(&example));
	buf_release(&example);
}

static void type_item(struct parser *ps, const struct field_use *use, struct slice text)
{
	struct item *item = parse_next_item(ps);
	struct slice name = use->field->name;

	item->label = use->type == TYPE_TEXT ? (struct slice){ "", 0 } : take_label(use, &text);
	item->text = text;
	item->v = (struct value){ .mark = VALUE_EXACT };
	if (!text.n) {
		if (parse_goes_on(text.p, ps->line.text.p + ps->line.text.n))
			ps->bad = true; /* the words after the space are reported with the value */
		else
			PARSE_WRONG(ps, RULE_ITEM_EMPTY, text, name);
		return;
	}
	if (item->label.n && !(use->shape & (USE_LABEL_MAY | USE_LABEL_MUST)))
		PARSE_WRONG(ps, RULE_LABEL_NOT_ALLOWED, item->label, name);
	else if (!item->label.n && use->shape & USE_LABEL_MUST && !(value_is_number(use->type) && text.n == 1 && text.p[0] == '0')) {
		label_missing(ps, use, text); /* and shows the value, too: a cause without its number is one mistake */
		return;
	}
	if (value_is_number(use->type))
		type_number(ps, use, text, &item->v);
	else
		type_word(ps, use, text, &item->v);
}

static int label_order(const void *a, const void *b)
{
	const struct slice *x = a, *y = b;
	int order = slice_cmp(*x, *y);

	return order ? order : (x->p > y->p) - (x->p < y->p);
}

/* The same label on two items: the second is reported. */
static void check_label_twice(struct parser *ps, const struct field *f)
{
	struct slice *label = mem_array(f->n, sizeof *label);

	for (size_t i = 0; i < f->n; i++)
		label[i] = ps->line.item[f->first + i].label;
	qsort(label, f->n, sizeof *label, label_order);
	for (size_t i = 1; i < f->n; i++)
		if (label[i].n && slice_eq(label[i], label[i - 1]))
			PARSE_WRONG(ps, RULE_LABEL_TWICE, label[i], label[i], f->use->field->name);
	free(label);
}

/* Pieces that nothing is said of are one item: 1,200 is not 201. */
static void check_label_lacks(struct parser *ps, const struct field *f)
{
	bool bare = false;

	for (size_t i = 0; i < f->n; i++) {
		const struct item *item = &ps->line.item[f->first + i];

		if (item->label.n)
			continue;
		if (bare) {
			label_missing(ps, f->use, item->text);
			return;
		}
		bare = true;
	}
}

/* More than one value, unless the comma was meant for a decimal point. */
static void list_not_allowed(struct parser *ps, const struct field_use *use, struct slice whole, const char *comma)
{
	struct buf how = BUF_INIT;

	buf_str(&how, "write decimals with a point: ");
	if (value_is_number(use->type) && value_mend(&how, ps->vocab, use, whole)) {
		PARSE_WRONG(ps, RULE_NUMBER_MALFORMED, whole, whole, use->field->name, vocab_type(use->type)->help, buf_slice(&how));
		fix_number(ps, use, whole);
	} else
		PARSE_WRONG(ps, RULE_LIST_NOT_ALLOWED, slice_between(comma, whole.p + whole.n), use->field->name);
	buf_release(&how);
}

/* The value at p in full: a list, labels, quotes. Returns its end. */
const char *parse_items(struct parser *ps, struct field *f, const char *p, const char *end)
{
	const struct field_use *use = f->use;
	const char *stop;
	bool labelled = false;

	for (;;) {
		stop = token_item_end(p, end);
		if (stop < end && *stop == ',' && !(use->shape & USE_MANY)) {
			list_not_allowed(ps, use, slice_between(p, token_value_end(p, end)), stop);
			return token_value_end(p, end);
		}
		type_item(ps, use, slice_between(p, stop));
		f->n++;
		labelled |= ps->line.item[ps->nitems - 1].label.n > 0;
		if (stop == end || *stop != ',')
			break;
		p = stop + 1;
	}
	if (labelled && f->n > 1)
		check_label_twice(ps, f);
	if (f->n > 1 && use->field->label_of == OF_WHAT)
		check_label_lacks(ps, f);
	return stop;
}

/* The value at p when it is one plain item, as most are; NULL when it is not. */
const char *parse_plain_item(struct parser *ps, struct field *f, const char *p, const char *end)
{
	const struct field_use *use = f->use;
	struct item *item = parse_next_item(ps);
	enum value_fault fault = VALUE_OK;
	const char *stop;

	if (use->shape & USE_LABEL_MUST || use->type == TYPE_TEXT || use->field->nwords) {
		ps->nitems--;
		return NULL;
	}
	if (value_is_number(use->type))
		stop = value_scan(use->type, use->shape, p, end, &item->v, &fault);
	else {
		stop = token_id_end(p, end, vocab_type_slash(use->type));
		item->v = (struct value){ .mark = VALUE_EXACT };
	}
	if (fault || stop == p || !token_stops(stop, end)) {
		ps->nitems--;
		return NULL;
	}
	item->label = (struct slice){ "", 0 };
	item->text = slice_between(p, stop);
	f->n = 1;
	return stop;
}
