#include <math.h>

#include "base/mem.h"
#include "base/utf8.h"
#include "base/yaml.h"
#include "book/value.h"
#include "book/vocab.h"
#include "house/house_internal.h"
#include "time/stamp.h"
#include "time/zone.h"

enum is {
	IS_TEXT, IS_ID, IS_LABEL, IS_WORD, IS_COUNT, IS_NUMBER, IS_MEASURE, IS_RANGE, IS_DATE, IS_BOOLEAN, IS_UNIT,
	IS_CLOCK, IS_CURRENCY, IS_PATTERN, IS_VALUE_TYPE, IS_IDS, IS_TEXTS, IS_NUMBERS, IS_FORMS, IS_SUBJECTS, IS_RECORD
};

enum as { AS_ONE, AS_LIST, AS_MAP };

enum id_kind { ID_ID, ID_PLACE, ID_TYPE, ID_PARTY, ID_FORM, ID_LABEL, ID_RULE, ID_WORDS };

struct key {
	struct slice name;
	int is, as, id;
	bool needed;
	int type;                    /* TYPE_... of a measure, a range or a unit */
	int shape;                   /* row of SHAPES, of a record */
	size_t at, count_at;         /* offsets of the member, and of the one that counts its rows */
	const struct slice *words;
	size_t nwords;
	struct slice otherwise;      /* the default, as it would be written */
};

struct shape {
	const struct key *key;
	size_t nkeys, size;
	bool bare;
	int short_key;               /* the one that a single value stands for, where a list is wanted; or -1 */
};

struct problem_def {
	struct slice rule;
	int level;
};

#define SLICE_ROW(literal) { literal, sizeof(literal) - 1 }

#include "house_tables.h"

enum { SHOWN_MOST = 60, DIGITS_MOST = 15, LEVEL_IS_ERROR = 3 };

/* ---- telling */

static void add_shown(struct buf *b, struct slice s)
{
	size_t n = s.n;

	if (n > SHOWN_MOST) {
		n = SHOWN_MOST;
		while (n && ((unsigned char)s.p[n] & 0xc0) == 0x80)
			n--;
	}
	utf8_add_visible(b, slice_upto(s, n));
	if (n < s.n)
		buf_str(b, "...");
}

static void add_template(struct buf *b, const char *words, const struct slice *args, size_t nargs)
{
	for (; *words; words++) {
		size_t arg = (size_t)(words[1] - '1');

		if (*words == '$' && words[1] && arg < nargs) {
			add_shown(b, args[arg]);
			words++;
		} else {
			buf_char(b, *words);
		}
	}
}

static void hand_over(struct house_loader *l, int problem, size_t line, size_t col)
{
	struct house_problem p = { line, col, PROBLEMS[problem].level == LEVEL_IS_ERROR, PROBLEMS[problem].rule,
		buf_slice(&l->text), buf_slice(&l->mend) };

	*(p.error ? &l->house->errors : &l->house->warnings) += 1;
	l->told++;
	if (l->tell)
		l->tell(l->arg, &p);
}

void house_wrong(struct house_loader *l, int problem, const struct yaml *at, const char *text, const char *mend,
	const struct slice *args, size_t nargs)
{
	if (l->told > HOUSE_PROBLEMS_MOST)
		return;
	l->text.n = l->mend.n = 0;
	if (l->told == HOUSE_PROBLEMS_MOST) {
		problem = PROBLEM_MANY;
		text = "the file has more problems than the 200 reported";
		mend = "correct those first";
	}
	add_template(&l->text, text, args, nargs);
	add_template(&l->mend, mend, args, nargs);
	hand_over(l, problem, at->line, at->col);
}

/* ---- single values: each writes to `out` what it read, and leaves it alone when it cannot */

static const char *kind_word(const struct yaml *node)
{
	static const char *const word[] = { "a single value", "a list", "a mapping" };

	return word[node->kind];
}

static bool is_nothing(const struct yaml *node)
{
	return node->kind == YAML_SCALAR && !node->quoted && node->text.n == 0;
}

static bool want_kind(struct house_loader *l, const struct yaml *node, enum yaml_kind kind, struct slice name)
{
	struct yaml wanted = { .kind = kind };

	if (node->kind == kind)
		return true;
	if (is_nothing(node))
		WRONG(l, PROBLEM_KIND, node, "'$1' has no value", "write $2", name, slice_of(kind_word(&wanted)));
	else
		WRONG(l, PROBLEM_KIND, node, "the value of '$1' is $2", "write $3", name, slice_of(kind_word(node)),
			slice_of(kind_word(&wanted)));
	return false;
}

static bool is_plain_word(const struct key *key, struct slice s)
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

static bool is_id(struct slice s)
{
	for (size_t i = 0; i < s.n; i++)
		if (!is_id_char(s.p[i]))
			return false;
	return s.n > 0 && !(s.n == 1 && s.p[0] == '-');
}

static bool check_quoted(struct house_loader *l, const struct key *key, const struct yaml *node)
{
	if (!yaml_ambiguous(node) || is_plain_word(key, node->text))
		return true;
	WRONG(l, PROBLEM_UNQUOTED, node, "other YAML readers do not read '$1' as text", "write it in quotes: \"$1\"", node->text);
	return false;
}

static bool read_text(struct house_loader *l, const struct key *key, const struct yaml *node, struct slice *out)
{
	if (!want_kind(l, node, YAML_SCALAR, key->name))
		return false;
	if (node->text.n == 0) {
		WRONG(l, PROBLEM_VALUE, node, "the text of '$1' is empty", "write a text, or remove the key", key->name);
		return false;
	}
	*out = node->text;
	return check_quoted(l, key, node);
}

static bool check_id(struct house_loader *l, const struct yaml *node)
{
	if (is_id(node->text))
		return true;
	WRONG(l, PROBLEM_ID, node, "'$1' is not a valid id", "use only ASCII letters, digits, - and _; write the full name as its value", node->text);
	return false;
}

static bool read_id(struct house_loader *l, const struct key *key, const struct yaml *node, struct slice *out)
{
	struct slice text;

	if (!read_text(l, key, node, &text) || !check_id(l, node))
		return false;
	*out = text;
	return true;
}

static bool read_label(struct house_loader *l, const struct key *key, const struct yaml *node, struct slice *out)
{
	if (node->kind == YAML_SCALAR && node->quoted && node->text.n == 0) {
		*out = node->text;
		return true;
	}
	return read_id(l, key, node, out);
}

static struct slice nearest_word(const struct slice *word, size_t n, struct slice s)
{
	struct slice best = SLICE("");
	size_t least = s.n < 4 ? 1 : 2;

	for (size_t i = 0; i < n; i++) {
		size_t far = slice_distance(s, word[i], least);

		if (far <= least && far < word[i].n) {
			best = word[i];
			least = far ? far - 1 : 0;
		}
	}
	return best;
}

static void add_words(struct buf *b, const struct slice *word, size_t n)
{
	for (size_t i = 0; i < n; i++) {
		buf_str(b, i == 0 ? "" : i + 1 == n ? " or " : ", ");
		buf_add(b, word[i]);
	}
}

/* `what` is the key that the word stands behind. */
static void wrong_word(struct house_loader *l, const struct yaml *node, const struct slice *word, size_t n, struct slice what)
{
	struct slice near = nearest_word(word, n, node->text);
	struct buf all = BUF_INIT;

	if (l->told > HOUSE_PROBLEMS_MOST)
		return;
	if (near.n) {
		WRONG(l, PROBLEM_WORD, node, "'$1' is not a valid word for '$3'", "did you mean '$2'?", node->text, near, what);
		return;
	}
	buf_str(&all, "write ");
	add_words(&all, word, n);
	WRONG(l, PROBLEM_WORD, node, "'$1' is not a valid word for '$2'", buf_cstr(&all), node->text, what);
	buf_release(&all);
}

static int word_index(const struct slice *word, size_t n, struct slice s)
{
	for (size_t i = 0; i < n; i++)
		if (slice_eq(word[i], s))
			return (int)i;
	return -1;
}

static void read_word(struct house_loader *l, const struct key *key, const struct yaml *node, int *out)
{
	int i;

	if (!want_kind(l, node, YAML_SCALAR, key->name))
		return;
	i = word_index(key->words, key->nwords, node->text);
	if (i < 0)
		wrong_word(l, node, key->words, key->nwords, key->name);
	else
		*out = i;
}

static void read_boolean(struct house_loader *l, const struct key *key, const struct yaml *node, bool *out)
{
	static const struct slice word[] = { SLICE_ROW("yes"), SLICE_ROW("no"), SLICE_ROW("true"), SLICE_ROW("false") };
	int i;

	if (!want_kind(l, node, YAML_SCALAR, key->name))
		return;
	i = word_index(word, 4, node->text);
	if (i < 0)
		wrong_word(l, node, word, 2, key->name);
	else
		*out = i % 2 == 0;
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
		WRONG(l, PROBLEM_VALUE, node, "'$1' has no unit", "write $2 right after the number", node->text, buf_slice(&units));
		break;
	case VALUE_BAD_UNIT:
		WRONG(l, PROBLEM_VALUE, node, "the unit of '$1' is not valid for a $3", "use $2", node->text, buf_slice(&units), name);
		break;
	case VALUE_OUT_OF_RANGE:
		WRONG(l, PROBLEM_VALUE, node, "'$1' is outside the possible range of a $2", "correct the number or its unit", node->text, name);
		break;
	case VALUE_INVERTED:
		WRONG(l, PROBLEM_RANGE, node, "the range '$1' ends before it starts", "write the lower end first", node->text);
		break;
	default:
		WRONG(l, PROBLEM_VALUE, node, "'$1' is not a valid $2", "write a number and its unit ($3)", node->text, name,
			buf_slice(&units));
	}
	buf_release(&units);
}

static void read_measure(struct house_loader *l, const struct key *key, const struct yaml *node, int64_t *out)
{
	struct value v;
	enum value_fault fault;

	if (!want_kind(l, node, YAML_SCALAR, key->name))
		return;
	fault = value_read(key->type, 0, node->text, &v);
	if (fault && !value_read(key->type, USE_RANGE, node->text, &v) && v.mark == VALUE_RANGE)
		WRONG(l, PROBLEM_RANGE, node, "'$1' is a range, but one value is required", "write one value", node->text);
	else if (fault)
		wrong_value(l, node, key->type, fault);
	else
		*out = v.fix;
}

static void read_range(struct house_loader *l, const struct key *key, const struct yaml *node, struct house_range *out)
{
	struct buf range = BUF_INIT;
	struct value v;
	enum value_fault fault;

	if (!want_kind(l, node, YAML_SCALAR, key->name))
		return;
	fault = value_read(key->type, USE_RANGE, node->text, &v);
	if (fault && value_undash(&range, key->type, node->text))
		WRONG(l, PROBLEM_VALUE, node, "'$1' is not a valid range", "write $2", node->text, buf_slice(&range));
	else if (fault)
		wrong_value(l, node, key->type, fault);
	else if (v.mark != VALUE_RANGE)
		WRONG(l, PROBLEM_RANGE, node, "'$1' is one value, but a range is required", "write both ends, as in LOW..HIGH", node->text);
	else
		*out = (struct house_range){ v.fix, v.high };
	buf_release(&range);
}

static void read_count(struct house_loader *l, const struct key *key, const struct yaml *node, int64_t *out)
{
	struct value v;

	if (!want_kind(l, node, YAML_SCALAR, key->name))
		return;
	if (value_read(TYPE_COUNT, 0, node->text, &v))
		WRONG(l, PROBLEM_VALUE, node, "'$1' is not a valid count", "write a whole number", node->text);
	else
		*out = v.fix;
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

static void read_number(struct house_loader *l, const struct key *key, const struct yaml *node, double *out)
{
	if (!want_kind(l, node, YAML_SCALAR, key->name))
		return;
	if (!number_of(node->text, out))
		WRONG(l, PROBLEM_VALUE, node, "'$1' is not a valid number", "write digits, with a point before the decimals", node->text);
}

static void read_date(struct house_loader *l, const struct key *key, const struct yaml *node, int32_t *out)
{
	char why[80];

	if (!want_kind(l, node, YAML_SCALAR, key->name))
		return;
	switch (date_read(node->text, out)) {
	case DATE_OK:
		break;
	case DATE_IMPOSSIBLE:
		date_why(node->text, why, sizeof why);
		WRONG(l, PROBLEM_DATE, node, "'$1' is not a valid date: $2", "correct the date", node->text, slice_of(why));
		break;
	default:
		WRONG(l, PROBLEM_DATE, node, "'$1' is not a valid date", "write YYYY-MM-DD", node->text);
	}
}

static void read_unit(struct house_loader *l, const struct key *key, const struct yaml *node, int *out)
{
	const struct type_def *type = vocab_type(key->type);
	struct buf units = BUF_INIT;

	if (!want_kind(l, node, YAML_SCALAR, key->name))
		return;
	for (int u = type->first_unit; u < type->first_unit + type->nunits; u++) {
		if (slice_eq(vocab_unit(u)->name, node->text)) {
			*out = u;
			return;
		}
	}
	value_units(&units, key->type);
	WRONG(l, PROBLEM_WORD, node, "'$1' is not a unit of $2", "use one of $3", node->text, type->name, buf_slice(&units));
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

static void read_clock(struct house_loader *l, const struct key *key, const struct yaml *node, struct slice *out)
{
	struct slice text;

	if (!read_text(l, key, node, &text))
		return;
	if (is_clock(text))
		*out = text;
	else
		WRONG(l, PROBLEM_VALUE, node, "'$1' is not a valid clock", "write a zone such as Pacific/Auckland, or an offset such as \"+12:00\"", text);
}

static void read_currency(struct house_loader *l, const struct key *key, const struct yaml *node, int *out)
{
	int currency = -1;

	if (!want_kind(l, node, YAML_SCALAR, key->name))
		return;
	if (node->text.n == 3)
		currency = vocab_currency(node->text.p);
	if (currency < 0)
		WRONG(l, PROBLEM_WORD, node, "'$1' is not a valid currency code", "write an ISO 4217 code, such as NZD", node->text);
	else
		*out = currency;
}

static struct slice near_value_type(struct slice s)
{
	struct slice name[TYPES_END];

	for (int i = 0; i < TYPES_END; i++)
		name[i] = vocab_type(i)->name;
	return nearest_word(name, TYPES_END, s);
}

static void read_value_type(struct house_loader *l, const struct key *key, const struct yaml *node, int *out)
{
	int type;
	struct slice near;

	if (!want_kind(l, node, YAML_SCALAR, key->name))
		return;
	type = vocab_type_named(node->text);
	near = near_value_type(node->text);
	if (type >= 0)
		*out = type;
	else if (near.n)
		WRONG(l, PROBLEM_WORD, node, "'$1' is not a value type", "did you mean '$2'?", node->text, near);
	else
		WRONG(l, PROBLEM_WORD, node, "'$1' is not a value type", "use a type of book(5), such as count, mass or text", node->text);
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
			WRONG(l, PROBLEM_ID_TWICE, sorted[i].at, "'$1' is in this list twice", "remove one of them", sorted[i].text);
	free(sorted);
}

/* The items of a list; a single value is a list of one. NULL when it is neither. */
static const struct yaml *items_of(struct house_loader *l, const struct key *key, const struct yaml *node, size_t *n)
{
	if (node->kind == YAML_MAP) {
		WRONG(l, PROBLEM_KIND, node, "the value of '$1' is a mapping", "write a list, such as [a, b]", key->name);
		return NULL;
	}
	*n = node->kind == YAML_LIST ? node->n : 1;
	return node->kind == YAML_LIST ? node->item : node;
}

static bool read_form(struct house_loader *l, const struct key *key, const struct yaml *node, struct slice *out)
{
	if (!read_id(l, key, node, out))
		return false;
	if (vocab_form_named(*out) >= 0)
		return true;
	WRONG(l, PROBLEM_WORD, node, "'$1' is not a valid form", "use cleft, blade, handle or bat", node->text);
	return false;
}

static bool read_item(struct house_loader *l, const struct key *key, const struct yaml *node, struct slice *out)
{
	switch (key->is) {
	case IS_TEXTS:
		return read_text(l, key, node, out);
	case IS_FORMS:
		return read_form(l, key, node, out);
	default:
		return read_id(l, key, node, out);
	}
}

static void read_words(struct house_loader *l, const struct key *key, const struct yaml *node, struct house_words *out)
{
	size_t n, good = 0;
	const struct yaml *item = items_of(l, key, node, &n);
	struct slice *word;

	if (!item)
		return;
	word = house_take(l->house, n, sizeof *word);
	for (size_t i = 0; i < n; i++)
		good += read_item(l, key, &item[i], &word[good]);
	check_once(l, item, n);
	*out = (struct house_words){ word, node, good };
}

static void read_numbers(struct house_loader *l, const struct key *key, const struct yaml *node, struct house_numbers *out)
{
	size_t n;
	const struct yaml *item = items_of(l, key, node, &n);
	double *number;

	if (!item)
		return;
	number = house_take(l->house, n, sizeof *number);
	for (size_t i = 0; i < n; i++)
		read_number(l, key, &item[i], &number[i]);
	*out = (struct house_numbers){ number, n };
}

static void read_subjects(struct house_loader *l, const struct key *key, const struct yaml *node, unsigned *out)
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
			WRONG(l, PROBLEM_WORD, &item[i], "'$1' is not a kind of subject", "use a kind of book(5), such as tree, lot, charge or place", text);
		*out |= bit;
	}
	if (item)
		check_once(l, item, n);
}

/* ---- records */

static void read_record(struct house_loader *l, const struct shape *shape, const struct yaml *node, struct slice name, char *out);

static void set_measure(const struct key *key, int64_t *out)
{
	struct value v;

	*out = HOUSE_NONE;
	if (key->otherwise.n && !value_read(key->is == IS_COUNT ? TYPE_COUNT : key->type, 0, key->otherwise, &v))
		*out = v.fix;
}

static void set_unit(const struct key *key, int *out)
{
	const struct type_def *type = vocab_type(key->type);

	for (int u = type->first_unit; u < type->first_unit + type->nunits; u++)
		if (slice_eq(vocab_unit(u)->name, key->otherwise))
			*out = u;
}

static void set_word(const struct key *key, int *out)
{
	int i = word_index(key->words, key->nwords, key->otherwise);

	*out = i < 0 ? 0 : i;
}

static void set_defaults(const struct shape *shape, char *out);

/* All of `out` is zero before. */
static void set_default(const struct key *key, void *out)
{
	switch (key->is) {
	case IS_COUNT:
	case IS_MEASURE:
		set_measure(key, out);
		break;
	case IS_RANGE:
		*(struct house_range *)out = (struct house_range){ HOUSE_NONE, HOUSE_NONE };
		break;
	case IS_NUMBER:
		*(double *)out = NAN;
		break;
	case IS_DATE:
		*(int32_t *)out = HOUSE_NO_DAY;
		break;
	case IS_WORD:
		set_word(key, out);
		break;
	case IS_UNIT:
		set_unit(key, out);
		break;
	case IS_CURRENCY:
		*(int *)out = -1;
		break;
	case IS_VALUE_TYPE:
		*(int *)out = TYPE_TEXT;
		break;
	case IS_TEXT:
	case IS_ID:
	case IS_LABEL:
	case IS_CLOCK:
	case IS_PATTERN:
		*(struct slice *)out = key->otherwise;
		break;
	case IS_RECORD:
		if (key->as == AS_ONE)
			set_defaults(&SHAPES[key->shape], out);
		break;
	default:
		break; /* lists, booleans and subjects: none */
	}
}

static void set_defaults(const struct shape *shape, char *out)
{
	for (size_t i = 0; i < shape->nkeys; i++)
		set_default(&shape->key[i], out + shape->key[i].at);
}

/* The start of every row, whatever its struct is; rows are written by offset, as bytes are. */
struct row {
	HOUSE_ROW;
};

static void set_id(char *row, struct slice id)
{
	memcpy(row + offsetof(struct row, id), &id, sizeof id);
}

static void begin_row(const struct shape *shape, char *row, const struct yaml *at, const struct yaml *node)
{
	set_defaults(shape, row);
	memcpy(row + offsetof(struct row, at), &at, sizeof at);
	memcpy(row + offsetof(struct row, node), &node, sizeof node);
}

static void read_value(struct house_loader *l, const struct key *key, const struct yaml *node, void *out);

/* A single value where a list is wanted: one row with that key alone. */
static void read_short(struct house_loader *l, const struct key *key, const struct yaml *node, char *at, size_t *n)
{
	const struct shape *shape = &SHAPES[key->shape];
	struct key one = shape->key[shape->short_key];
	char *row = house_take(l->house, 1, shape->size);

	one.name = key->name;
	memcpy(at, &row, sizeof row);
	*n = 1;
	begin_row(shape, row, NULL, node);
	read_value(l, &one, node, row + one.at);
}

static void read_rows_of_list(struct house_loader *l, const struct key *key, const struct yaml *node, char *at, size_t *n)
{
	const struct shape *shape = &SHAPES[key->shape];
	char *row;

	if (shape->short_key >= 0 && node->kind == YAML_SCALAR) {
		read_short(l, key, node, at, n);
		return;
	}
	if (!want_kind(l, node, YAML_LIST, key->name))
		return;
	*n = node->n;
	row = house_take(l->house, node->n, shape->size);
	memcpy(at, &row, sizeof row);
	for (size_t i = 0; i < node->n; i++, row += shape->size) {
		begin_row(shape, row, NULL, &node->item[i]);
		read_record(l, shape, &node->item[i], key->name, row);
	}
}

static bool check_place_id(struct house_loader *l, const struct yaml *at)
{
	size_t stroke = slice_find(at->text, '/');

	if (is_id(slice_upto(at->text, stroke)) && (stroke == at->text.n || is_id(slice_from(at->text, stroke + 1))))
		return true;
	WRONG(l, PROBLEM_ID, at, "'$1' is not a valid place", "use only ASCII letters, digits, - and _, and one slash before a bay", at->text);
	return false;
}

static bool has_letter(struct slice s)
{
	for (size_t i = 0; i < s.n; i++)
		if ((unsigned char)((s.p[i] | 32) - 'a') < 26)
			return true;
	return false;
}

static bool check_type_id(struct house_loader *l, const struct yaml *at)
{
	if (!check_id(l, at))
		return false;
	if (!has_letter(at->text))
		WRONG(l, PROBLEM_TYPE_LETTER, at, "the type '$1' has no letter, so it looks like a count", "add a letter, as in S$1", at->text);
	return true;
}

static bool check_word_id(struct house_loader *l, const struct key *key, const struct yaml *at)
{
	if (word_index(key->words, key->nwords, at->text) >= 0)
		return true;
	wrong_word(l, at, key->words, key->nwords, key->name);
	return false;
}

static bool check_row_id(struct house_loader *l, const struct key *key, const struct yaml *at)
{
	struct slice form;

	switch (key->id) {
	case ID_FORM:
		return read_form(l, key, at, &form);
	case ID_WORDS:
		return check_word_id(l, key, at);
	case ID_LABEL:
		return at->text.n == 0 || (check_quoted(l, key, at) && check_id(l, at));
	case ID_PLACE:
		return check_quoted(l, key, at) && check_place_id(l, at);
	case ID_TYPE:
		return check_quoted(l, key, at) && check_type_id(l, at);
	default:
		return check_quoted(l, key, at) && check_id(l, at);
	}
}

static void read_bare(struct house_loader *l, const struct shape *shape, const struct yaml *at, const struct yaml *node, char *row)
{
	struct key key = shape->key[0];

	key.name = at->text;
	read_value(l, &key, node, row + key.at);
}

static void read_rows_of_map(struct house_loader *l, const struct key *key, const struct yaml *node, char *at, size_t *n)
{
	const struct shape *shape = &SHAPES[key->shape];
	char *row;

	if (!want_kind(l, node, YAML_MAP, key->name))
		return;
	row = house_take(l->house, node->n, shape->size);
	memcpy(at, &row, sizeof row);
	for (size_t i = 0; i < node->n; i++) {
		bool good = check_row_id(l, key, &node->key[i]);

		begin_row(shape, row, &node->key[i], &node->item[i]);
		set_id(row, node->key[i].text);
		if (shape->bare)
			read_bare(l, shape, &node->key[i], &node->item[i], row);
		else
			read_record(l, shape, &node->item[i], node->key[i].text, row);
		if (good) {
			*n += 1;
			row += shape->size;
		} else {
			memset(row, 0, shape->size);
		}
	}
}

static void read_one_record(struct house_loader *l, const struct key *key, const struct yaml *node, char *out)
{
	if (node->kind == YAML_MAP)
		memcpy(out, &node, sizeof node); /* the first member of such a struct */
	read_record(l, &SHAPES[key->shape], node, key->name, out);
}

static void read_value(struct house_loader *l, const struct key *key, const struct yaml *node, void *out)
{
	switch (key->is) {
	case IS_TEXT:
	case IS_PATTERN:
		read_text(l, key, node, out);
		break;
	case IS_ID:
		read_id(l, key, node, out);
		break;
	case IS_LABEL:
		read_label(l, key, node, out);
		break;
	case IS_WORD:
		read_word(l, key, node, out);
		break;
	case IS_COUNT:
		read_count(l, key, node, out);
		break;
	case IS_NUMBER:
		read_number(l, key, node, out);
		break;
	case IS_MEASURE:
		read_measure(l, key, node, out);
		break;
	case IS_RANGE:
		read_range(l, key, node, out);
		break;
	case IS_DATE:
		read_date(l, key, node, out);
		break;
	case IS_BOOLEAN:
		read_boolean(l, key, node, out);
		break;
	case IS_UNIT:
		read_unit(l, key, node, out);
		break;
	case IS_CLOCK:
		read_clock(l, key, node, out);
		break;
	case IS_CURRENCY:
		read_currency(l, key, node, out);
		break;
	case IS_VALUE_TYPE:
		read_value_type(l, key, node, out);
		break;
	case IS_NUMBERS:
		read_numbers(l, key, node, out);
		break;
	case IS_SUBJECTS:
		read_subjects(l, key, node, out);
		break;
	case IS_RECORD:
		read_one_record(l, key, node, out);
		break;
	default:
		read_words(l, key, node, out);
	}
}

static void read_key(struct house_loader *l, const struct key *key, const struct yaml *node, char *record)
{
	char *at = record + key->at;
	void *count = record + key->count_at;

	if (is_nothing(node))
		return;
	if (key->as == AS_LIST)
		read_rows_of_list(l, key, node, at, count);
	else if (key->as == AS_MAP)
		read_rows_of_map(l, key, node, at, count);
	else
		read_value(l, key, node, at);
}

static const struct key *key_named(const struct shape *shape, struct slice name)
{
	for (size_t i = 0; i < shape->nkeys; i++)
		if (slice_eq(shape->key[i].name, name))
			return &shape->key[i];
	return NULL;
}

/* The root has no name. */
static const char *in_what(struct slice name, const char *text)
{
	return name.n ? text : "'$1' is not a key of the house file";
}

static void wrong_key(struct house_loader *l, const struct shape *shape, const struct yaml *at, struct slice name)
{
	struct slice known[64], near;

	if (l->told > HOUSE_PROBLEMS_MOST)
		return;
	for (size_t i = 0; i < shape->nkeys; i++)
		known[i] = shape->key[i].name;
	near = nearest_word(known, shape->nkeys, at->text);
	if (near.n)
		WRONG(l, PROBLEM_KEY_UNKNOWN, at, in_what(name, "'$1' is not a key of '$2'"), "did you mean '$3'?", at->text, name, near);
	else
		WRONG(l, PROBLEM_KEY_UNKNOWN, at, in_what(name, "'$1' is not a key of '$2'"),
			"remove it, or make it a comment; house(5) lists the keys", at->text, name);
}

static void check_needed(struct house_loader *l, const struct shape *shape, const struct yaml *node, struct slice name)
{
	for (size_t i = 0; i < shape->nkeys; i++) {
		const struct key *key = &shape->key[i];
		bool stands = false;

		for (size_t k = 0; key->needed && k < node->n; k++)
			stands |= slice_eq(node->key[k].text, key->name) && !is_nothing(&node->item[k]);
		if (key->needed && !stands)
			WRONG(l, PROBLEM_KEY_MISSING, node, "'$2' is missing in '$1'", "add $2: with its value", name, key->name);
	}
}

/* `out` has its defaults already. */
static void read_record(struct house_loader *l, const struct shape *shape, const struct yaml *node, struct slice name, char *out)
{
	if (!want_kind(l, node, YAML_MAP, name))
		return;
	for (size_t i = 0; i < node->n; i++) {
		const struct key *key = key_named(shape, node->key[i].text);

		if (key)
			read_key(l, key, &node->item[i], out);
		else
			wrong_key(l, shape, &node->key[i], name);
	}
	check_needed(l, shape, node, name);
}

void house_fill(struct house_loader *l, const struct yaml *root)
{
	char *house = (void *)l->house;

	set_defaults(&SHAPES[0], house);
	l->house->node = root;
	if (root && root->kind == YAML_MAP)
		read_record(l, &SHAPES[0], root, SLICE(""), house);
	else if (root)
		WRONG(l, PROBLEM_KIND, root, "the file is $1", "write a mapping, such as works: NAME", slice_of(kind_word(root)));
}

int house_ids_kind(struct slice word)
{
	return word_index(WORDS_HOUSE_IDS, HOUSE_IDS_END, word);
}

void house_fail(struct house_loader *l, size_t line, size_t col, struct slice why)
{
	l->text.n = l->mend.n = 0;
	utf8_add_visible(&l->text, why);
	buf_str(&l->mend, "the rest of the file is not checked until this is corrected");
	hand_over(l, PROBLEM_YAML, line, col);
}
