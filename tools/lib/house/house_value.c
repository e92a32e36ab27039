#include <math.h>

#include "base/utf8.h"
#include "book/value.h"
#include "house/house_keys_internal.h"
#include "time/stamp.h"
#include "time/zone.h"

#define SLICE_ROW(literal) { literal, sizeof(literal) - 1 }

enum { DIGITS_MOST = 15 };

/* ---- single values: each writes to `out` what it read, and leaves it alone when it cannot */

const char *house_kind_word(const struct yaml *node)
{
	static const char *const word[] = { "a single value", "a list", "a mapping" };

	return word[node->kind];
}

bool house_is_nothing(const struct yaml *node)
{
	return node->kind == YAML_SCALAR && !node->quoted && node->text.n == 0;
}

bool house_want_kind(struct house_loader *l, const struct yaml *node, enum yaml_kind kind, struct slice name)
{
	struct yaml wanted = { .kind = kind };

	if (node->kind == kind)
		return true;
	if (house_is_nothing(node))
		HOUSE_WRONG(l, PROBLEM_KIND, node, "'$1' has no value", "write $2", name, slice_of(house_kind_word(&wanted)));
	else
		HOUSE_WRONG(l, PROBLEM_KIND, node, "the value of '$1' is $2", "write $3", name, slice_of(house_kind_word(node)),
			slice_of(house_kind_word(&wanted)));
	return false;
}

static bool is_plain_word(const struct house_key *key, struct slice s)
{
	for (size_t i = 0; i < key->nwords; i++)
		if (slice_eq(key->words[i], s))
			return true;
	return false;
}

static bool is_id_char(char c)
{
	return ((unsigned char)((c | 32) - 'a') < 26) || (unsigned char)(c - '0') < 10 || c == '-' || c == '_';
}

bool house_is_id(struct slice s)
{
	for (size_t i = 0; i < s.n; i++)
		if (!is_id_char(s.p[i]))
			return false;
	return s.n > 0 && !(s.n == 1 && s.p[0] == '-');
}

bool house_check_quoted(struct house_loader *l, const struct house_key *key, const struct yaml *node)
{
	if (!yaml_ambiguous(node) || is_plain_word(key, node->text))
		return true;
	HOUSE_WRONG(l, PROBLEM_UNQUOTED, node, "other YAML readers do not read '$1' as text", "write it in quotes: \"$1\"", node->text);
	return false;
}

/* An escape such as "\x1b" brings in what may not be written as it is. */
static bool has_control(struct slice text)
{
	struct buf shown = BUF_INIT;
	bool has;

	utf8_add_visible(&shown, text);
	has = !slice_eq(buf_slice(&shown), text);
	buf_release(&shown);
	return has;
}

static bool read_text(struct house_loader *l, const struct house_key *key, const struct yaml *node, struct slice *out)
{
	if (!house_want_kind(l, node, YAML_SCALAR, key->name))
		return false;
	if (node->text.n == 0) {
		HOUSE_WRONG(l, PROBLEM_VALUE, node, "the text of '$1' is empty", "write a text, or remove the key", key->name);
		return false;
	}
	if (has_control(node->text)) {
		HOUSE_WRONG(l, PROBLEM_VALUE, node, "the text of '$1' has a control character", "leave it out; text is for every editor and page", key->name);
		return false;
	}
	*out = node->text;
	return house_check_quoted(l, key, node);
}

bool house_check_id(struct house_loader *l, const struct yaml *node)
{
	if (house_is_id(node->text))
		return true;
	HOUSE_WRONG(l, PROBLEM_ID, node, "'$1' is not a valid id", "use only ASCII letters, digits, - and _; write the full name as its value", node->text);
	return false;
}

static bool read_id(struct house_loader *l, const struct house_key *key, const struct yaml *node, struct slice *out)
{
	struct slice text;

	if (!read_text(l, key, node, &text) || !house_check_id(l, node))
		return false;
	*out = text;
	return true;
}

static bool read_label(struct house_loader *l, const struct house_key *key, const struct yaml *node, struct slice *out)
{
	if (node->kind == YAML_SCALAR && node->quoted && node->text.n == 0) {
		*out = node->text;
		return true;
	}
	return read_id(l, key, node, out);
}

static void add_words(struct buf *b, const struct slice *word, size_t n)
{
	for (size_t i = 0; i < n; i++) {
		buf_str(b, i == 0 ? "" : i + 1 == n ? " or " : ", ");
		buf_add(b, word[i]);
	}
}

/* `what` is the key whose value the word is. */
void house_wrong_word(struct house_loader *l, const struct yaml *node, const struct slice *word, size_t n, struct slice what)
{
	struct slice near = nearest_word(node->text, word, n);
	struct buf all = BUF_INIT;

	if (l->told > HOUSE_PROBLEMS_MOST)
		return;
	if (near.n) {
		HOUSE_WRONG(l, PROBLEM_WORD, node, "'$1' is not a valid word for '$3'", "perhaps '$2'?", node->text, near, what);
		return;
	}
	buf_str(&all, "write ");
	add_words(&all, word, n);
	HOUSE_WRONG(l, PROBLEM_WORD, node, "'$1' is not a valid word for '$2'", buf_cstr(&all), node->text, what);
	buf_release(&all);
}

int house_word_index(const struct slice *word, size_t n, struct slice s)
{
	for (size_t i = 0; i < n; i++)
		if (slice_eq(word[i], s))
			return (int)i;
	return -1;
}

static void read_word(struct house_loader *l, const struct house_key *key, const struct yaml *node, void *out)
{
	int i;

	if (!house_want_kind(l, node, YAML_SCALAR, key->name))
		return;
	i = house_word_index(key->words, key->nwords, node->text);
	if (i < 0)
		house_wrong_word(l, node, key->words, key->nwords, key->name);
	else
		*(int *)out = i;
}

static void read_boolean(struct house_loader *l, const struct house_key *key, const struct yaml *node, void *out)
{
	static const struct slice word[] = { SLICE_ROW("yes"), SLICE_ROW("no"), SLICE_ROW("true"), SLICE_ROW("false") };
	int i;

	if (!house_want_kind(l, node, YAML_SCALAR, key->name))
		return;
	i = house_word_index(word, 4, node->text);
	if (i < 0)
		house_wrong_word(l, node, word, 2, key->name);
	else
		*(bool *)out = i % 2 == 0;
}

static void wrong_value(struct house_loader *l, const struct yaml *node, int type, enum value_fault fault)
{
	struct slice name = vocab_type(type)->name;
	struct buf units = BUF_INIT;

	if (fault == VALUE_NO_UNIT || fault == VALUE_BAD_UNIT)
		value_units_choice(&units, type);
	else
		value_units(&units, type);
	switch (fault) {
	case VALUE_NO_UNIT:
		HOUSE_WRONG(l, PROBLEM_VALUE, node, "'$1' has no unit", "write $2 right after the number", node->text, buf_slice(&units));
		break;
	case VALUE_BAD_UNIT:
		HOUSE_WRONG(l, PROBLEM_VALUE, node, "the unit of '$1' is not valid for a $3", "use $2", node->text, buf_slice(&units), name);
		break;
	case VALUE_OUT_OF_RANGE:
		HOUSE_WRONG(l, PROBLEM_VALUE, node, "'$1' is outside the possible range of a $2", "correct the number or its unit", node->text, name);
		break;
	case VALUE_TOO_LONG:
		HOUSE_WRONG(l, PROBLEM_VALUE, node, "'$1' has a number of more than 15 digits", "write at most 15 digits", node->text);
		break;
	case VALUE_INVERTED:
		HOUSE_WRONG(l, PROBLEM_RANGE, node, "the range '$1' ends before it starts", "write the lower end first", node->text);
		break;
	default:
		HOUSE_WRONG(l, PROBLEM_VALUE, node, "'$1' is not a valid $2", "write a number and its unit ($3)", node->text, name,
			buf_slice(&units));
	}
	buf_release(&units);
}

static void read_measure(struct house_loader *l, const struct house_key *key, const struct yaml *node, void *out)
{
	struct value v;
	enum value_fault fault;

	if (!house_want_kind(l, node, YAML_SCALAR, key->name))
		return;
	fault = value_read(key->type, 0, node->text, &v);
	if (fault && !value_read(key->type, USE_RANGE, node->text, &v) && v.mark == VALUE_RANGE)
		HOUSE_WRONG(l, PROBLEM_RANGE, node, "'$1' is a range, but one value is required", "write one value", node->text);
	else if (fault)
		wrong_value(l, node, key->type, fault);
	else
		*(int64_t *)out = v.fix;
}

static void read_range(struct house_loader *l, const struct house_key *key, const struct yaml *node, void *out)
{
	struct buf range = BUF_INIT;
	struct value v;
	enum value_fault fault;

	if (!house_want_kind(l, node, YAML_SCALAR, key->name))
		return;
	fault = value_read(key->type, USE_RANGE, node->text, &v);
	if (fault && value_undash(&range, key->type, node->text))
		HOUSE_WRONG(l, PROBLEM_VALUE, node, "'$1' is not a valid range", "write $2", node->text, buf_slice(&range));
	else if (fault)
		wrong_value(l, node, key->type, fault);
	else if (v.mark != VALUE_RANGE)
		HOUSE_WRONG(l, PROBLEM_RANGE, node, "'$1' is one value, but a range is required", "write both ends, as in LOW..HIGH", node->text);
	else
		*(struct house_range *)out = (struct house_range){ v.fix, v.high };
	buf_release(&range);
}

static bool is_digits(struct slice s)
{
	for (size_t i = 0; i < s.n; i++)
		if ((unsigned char)(s.p[i] - '0') > 9)
			return false;
	return s.n > 0;
}

static void too_large(struct house_loader *l, const struct yaml *node)
{
	struct buf most = BUF_INIT;

	buf_int(&most, vocab_type(TYPE_COUNT)->most);
	HOUSE_WRONG(l, PROBLEM_VALUE, node, "'$1' is too large", "write at most $2", node->text, buf_slice(&most));
	buf_release(&most);
}

static void read_count(struct house_loader *l, const struct house_key *key, const struct yaml *node, void *out)
{
	struct value v;

	if (!house_want_kind(l, node, YAML_SCALAR, key->name))
		return;
	if (!value_read(TYPE_COUNT, 0, node->text, &v))
		*(int64_t *)out = v.fix;
	else if (is_digits(node->text))
		too_large(l, node);
	else
		HOUSE_WRONG(l, PROBLEM_VALUE, node, "'$1' is not a valid count", "write a whole number", node->text);
}

/* Digits with a point among them: at most fifteen, so that digits and power of ten are both exact. */
static bool number_of(struct slice s, double *out)
{
	static const double power[] = { 1, 1e1, 1e2, 1e3, 1e4, 1e5, 1e6, 1e7, 1e8, 1e9, 1e10, 1e11, 1e12, 1e13, 1e14, 1e15 };
	bool minus = s.n && s.p[0] == '-';
	double digits = 0;
	size_t n = 0, point = 0;

	for (size_t i = minus; i < s.n; i++) {
		if (s.p[i] == '.' && n && !point && i + 1 < s.n) {
			point = i + 1;
			continue;
		}
		if ((unsigned char)(s.p[i] - '0') > 9 || ++n > DIGITS_MOST)
			return false;
		digits = digits * 10 + (s.p[i] - '0');
	}
	if (n)
		*out = (minus ? -digits : digits) / power[point ? s.n - point : 0];
	return n > 0;
}

/* A number but for its length. */
static bool is_too_long(struct slice s)
{
	struct slice rest = s.n && s.p[0] == '-' ? slice_from(s, 1) : s;
	size_t point = slice_find(rest, '.');

	if (point < rest.n && !is_digits(slice_from(rest, point + 1)))
		return false;
	return is_digits(slice_upto(rest, point)) && rest.n - (point < rest.n) > DIGITS_MOST;
}

static void read_number(struct house_loader *l, const struct house_key *key, const struct yaml *node, void *out)
{
	if (!house_want_kind(l, node, YAML_SCALAR, key->name))
		return;
	if (number_of(node->text, out))
		return;
	if (is_too_long(node->text))
		HOUSE_WRONG(l, PROBLEM_VALUE, node, "'$1' has more than 15 digits", "write at most 15 digits", node->text);
	else
		HOUSE_WRONG(l, PROBLEM_VALUE, node, "'$1' is not a valid number", "write digits, with a point before the decimals", node->text);
}

static void read_date(struct house_loader *l, const struct house_key *key, const struct yaml *node, void *out)
{
	char why[80];

	if (!house_want_kind(l, node, YAML_SCALAR, key->name))
		return;
	switch (date_read(node->text, out)) {
	case DATE_OK:
		break;
	case DATE_IMPOSSIBLE:
		date_why(node->text, why, sizeof why);
		HOUSE_WRONG(l, PROBLEM_DATE, node, "'$1' is not a valid date: $2", "correct the date", node->text, slice_of(why));
		break;
	default:
		HOUSE_WRONG(l, PROBLEM_DATE, node, "'$1' is not a valid date", "write YYYY-MM-DD", node->text);
	}
}

static void read_unit(struct house_loader *l, const struct house_key *key, const struct yaml *node, void *out)
{
	const struct type_def *type = vocab_type(key->type);
	struct buf units = BUF_INIT;

	if (!house_want_kind(l, node, YAML_SCALAR, key->name))
		return;
	for (int u = type->first_unit; u < type->first_unit + type->nunits; u++) {
		if (slice_eq(vocab_unit(u)->name, node->text)) {
			*(int *)out = u;
			return;
		}
	}
	value_units(&units, key->type);
	HOUSE_WRONG(l, PROBLEM_WORD, node, "'$1' is not a unit of $2", "use one of $3", node->text, type->name, buf_slice(&units));
	buf_release(&units);
}

/* An offset, or what can be the name of a zone; whether the system has it shows when it is loaded. */
static bool is_clock(struct slice s)
{
	int32_t offset;

	if (zone_offset_parse(s, &offset))
		return true;
	if ((unsigned char)((s.p[0] | 32) - 'a') >= 26)
		return false;
	for (size_t i = 0; i < s.n; i++)
		if (!is_id_char(s.p[i]) && s.p[i] != '/' && s.p[i] != '+')
			return false;
	return true;
}

static void read_clock(struct house_loader *l, const struct house_key *key, const struct yaml *node, void *out)
{
	struct slice text;

	if (!read_text(l, key, node, &text))
		return;
	if (is_clock(text))
		*(struct slice *)out = text;
	else
		HOUSE_WRONG(l, PROBLEM_VALUE, node, "'$1' is not a valid clock", "write a zone such as Pacific/Auckland, or an offset such as \"+12:00\"", text);
}

static void read_currency(struct house_loader *l, const struct house_key *key, const struct yaml *node, void *out)
{
	int currency = -1;

	if (!house_want_kind(l, node, YAML_SCALAR, key->name))
		return;
	if (node->text.n == 3)
		currency = vocab_currency(node->text.p);
	if (currency < 0)
		HOUSE_WRONG(l, PROBLEM_WORD, node, "'$1' is not a valid currency code", "write an ISO 4217 code, such as NZD", node->text);
	else
		*(int *)out = currency;
}

static struct slice near_value_type(struct slice s)
{
	struct nearest near = nearest_to(s);

	for (int i = 0; i < TYPES_END; i++)
		nearest_try(&near, vocab_type(i)->name);
	return near.best;
}

static void read_value_type(struct house_loader *l, const struct house_key *key, const struct yaml *node, void *out)
{
	int type;
	struct slice near;

	if (!house_want_kind(l, node, YAML_SCALAR, key->name))
		return;
	type = vocab_type_named(node->text);
	near = near_value_type(node->text);
	if (type >= 0)
		*(int *)out = type;
	else if (near.n)
		HOUSE_WRONG(l, PROBLEM_WORD, node, "'$1' is not a value type", "perhaps '$2'?", node->text, near);
	else
		HOUSE_WRONG(l, PROBLEM_WORD, node, "'$1' is not a value type", "use a type of book(5), such as count, mass or text", node->text);
}

/* ---- lists of single values */

struct listed {
	struct slice text;
	const struct yaml *at;
};

static int by_text(const void *a, const void *b)
{
	const struct listed *x = a, *y = b;
	int order = slice_cmp(x->text, y->text);

	return order ? order : (x->at > y->at) - (x->at < y->at);
}

static void check_once(struct house_loader *l, const struct yaml *item, size_t n)
{
	struct listed *sorted = mem_array(n, sizeof *sorted);

	for (size_t i = 0; i < n; i++)
		sorted[i] = (struct listed){ item[i].text, &item[i] };
	qsort(sorted, n, sizeof *sorted, by_text);
	for (size_t i = 1; i < n; i++)
		if (slice_eq(sorted[i].text, sorted[i - 1].text) && sorted[i].text.n)
			HOUSE_WRONG(l, PROBLEM_ID_TWICE, sorted[i].at, "'$1' is in this list twice", "remove one of them", sorted[i].text);
	free(sorted);
}

/* The items of a list; a single value is a list of one. NULL when it is neither. */
static const struct yaml *items_of(struct house_loader *l, const struct house_key *key, const struct yaml *node, size_t *n)
{
	if (node->kind == YAML_MAP) {
		HOUSE_WRONG(l, PROBLEM_KIND, node, "the value of '$1' is a mapping", "write a list, such as [a, b]", key->name);
		return NULL;
	}
	*n = node->kind == YAML_LIST ? node->n : 1;
	return node->kind == YAML_LIST ? node->item : node;
}

bool house_read_form(struct house_loader *l, const struct house_key *key, const struct yaml *node, struct slice *out)
{
	if (!read_id(l, key, node, out))
		return false;
	if (vocab_form_named(*out) >= 0)
		return true;
	HOUSE_WRONG(l, PROBLEM_WORD, node, "'$1' is not a valid form", "use cleft, blade, handle or bat", node->text);
	return false;
}

static bool read_item(struct house_loader *l, const struct house_key *key, const struct yaml *node, struct slice *out)
{
	switch (key->is) {
	case IS_TEXTS:
		return read_text(l, key, node, out);
	case IS_FORMS:
		return house_read_form(l, key, node, out);
	default:
		return read_id(l, key, node, out);
	}
}

static void read_words(struct house_loader *l, const struct house_key *key, const struct yaml *node, void *out)
{
	size_t n, good = 0;
	const struct yaml *item = items_of(l, key, node, &n);
	struct slice *word;

	if (!item)
		return;
	word = house_take(l->house, n, sizeof *word);
	for (size_t i = 0; i < n; i++)
		good += read_item(l, key, &item[i], &word[good]);
	if (key->is != IS_GRADES)
		check_once(l, item, n);
	*(struct house_words *)out = (struct house_words){ word, node, good };
}

static void read_numbers(struct house_loader *l, const struct house_key *key, const struct yaml *node, void *out)
{
	size_t n;
	const struct yaml *item = items_of(l, key, node, &n);
	double *number;

	if (!item)
		return;
	number = house_take(l->house, n, sizeof *number);
	for (size_t i = 0; i < n; i++)
		read_number(l, key, &item[i], &number[i]);
	*(struct house_numbers *)out = (struct house_numbers){ number, n };
}

static void read_subjects(struct house_loader *l, const struct house_key *key, const struct yaml *node, void *out)
{
	size_t n;
	const struct yaml *item = items_of(l, key, node, &n);

	for (size_t i = 0; item && i < n; i++) {
		struct slice text;
		unsigned bit;

		if (!read_id(l, key, &item[i], &text))
			continue;
		bit = vocab_subject_named(text);
		if (!bit)
			HOUSE_WRONG(l, PROBLEM_WORD, &item[i], "'$1' is not a kind of subject", "use a kind of book(5), such as tree, lot, charge or place", text);
		*(unsigned *)out |= bit;
	}
	if (item)
		check_once(l, item, n);
}

/* ---- any of them */

static void read_text_value(struct house_loader *l, const struct house_key *key, const struct yaml *node, void *out)
{
	read_text(l, key, node, out);
}

static void read_id_value(struct house_loader *l, const struct house_key *key, const struct yaml *node, void *out)
{
	read_id(l, key, node, out);
}

static void read_label_value(struct house_loader *l, const struct house_key *key, const struct yaml *node, void *out)
{
	read_label(l, key, node, out);
}

typedef void value_reader(struct house_loader *l, const struct house_key *key, const struct yaml *node, void *out);

static value_reader *const READ[IS_RECORD] = {
	[IS_TEXT] = read_text_value, [IS_ID] = read_id_value, [IS_LABEL] = read_label_value, [IS_WORD] = read_word,
	[IS_COUNT] = read_count, [IS_NUMBER] = read_number, [IS_MEASURE] = read_measure, [IS_RANGE] = read_range,
	[IS_DATE] = read_date, [IS_BOOLEAN] = read_boolean, [IS_UNIT] = read_unit, [IS_CLOCK] = read_clock,
	[IS_CURRENCY] = read_currency, [IS_PATTERN] = read_text_value, [IS_VALUE_TYPE] = read_value_type,
	[IS_IDS] = read_words, [IS_GRADES] = read_words, [IS_TEXTS] = read_words, [IS_NUMBERS] = read_numbers, [IS_FORMS] = read_words,
	[IS_SUBJECTS] = read_subjects
};

void house_value_read(struct house_loader *l, const struct house_key *key, const struct yaml *node, void *out)
{
	READ[key->is](l, key, node, out);
}

/* ---- defaults */

static void set_measure(const struct house_key *key, int64_t *out)
{
	struct value v;

	*out = HOUSE_NONE;
	if (key->otherwise.n && !value_read(key->is == IS_COUNT ? TYPE_COUNT : key->type, 0, key->otherwise, &v))
		*out = v.fix;
}

static void set_unit(const struct house_key *key, int *out)
{
	const struct type_def *type = vocab_type(key->type);

	for (int u = type->first_unit; u < type->first_unit + type->nunits; u++)
		if (slice_eq(vocab_unit(u)->name, key->otherwise))
			*out = u;
}

static void set_word(const struct house_key *key, int *out)
{
	int i = house_word_index(key->words, key->nwords, key->otherwise);

	*out = i < 0 ? 0 : i;
}

/* The defaults that are an index. */
static void set_index(const struct house_key *key, int *out)
{
	switch (key->is) {
	case IS_WORD:
		set_word(key, out);
		break;
	case IS_UNIT:
		set_unit(key, out);
		break;
	case IS_VALUE_TYPE:
		*out = TYPE_TEXT;
		break;
	default:
		*out = -1; /* no currency */
	}
}

static void set_range(const struct house_key *key, struct house_range *out)
{
	struct value v;

	if (key->otherwise.n && !value_read(key->type, USE_RANGE, key->otherwise, &v))
		*out = (struct house_range){ v.fix, v.high };
	else
		*out = (struct house_range){ HOUSE_NONE, HOUSE_NONE };
}

static void set_number(const struct house_key *key, double *out)
{
	if (!number_of(key->otherwise, out))
		*out = NAN;
}

void house_value_default(const struct house_key *key, void *out)
{
	switch (key->is) {
	case IS_COUNT:
	case IS_MEASURE:
		set_measure(key, out);
		break;
	case IS_RANGE:
		set_range(key, out);
		break;
	case IS_NUMBER:
		set_number(key, out);
		break;
	case IS_DATE:
		*(int32_t *)out = HOUSE_NO_DAY;
		break;
	case IS_WORD:
	case IS_UNIT:
	case IS_CURRENCY:
	case IS_VALUE_TYPE:
		set_index(key, out);
		break;
	case IS_TEXT:
	case IS_ID:
	case IS_LABEL:
	case IS_CLOCK:
	case IS_PATTERN:
		*(struct slice *)out = key->otherwise;
		break;
	default:
		break; /* lists, truths and subjects: none */
	}
}
