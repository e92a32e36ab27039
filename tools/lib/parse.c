#include "text.h"
#include "vocab_words.h"
#include "vocab.h"
#include "value.h"
#include "stamp.h"
#include "rules_words.h"
#include "diag.h"
#include "parse.h"

#include <stdio.h>
#include <stdlib.h>

#include "mem.h"
#include "utf8.h"

/* What a byte may be part of. */
enum { C_ID = 1, C_BLANK = 2, C_BARE = 4 };

static const uint8_t CLASS[256] = {
	['0'] = 5, ['1'] = 5, ['2'] = 5, ['3'] = 5, ['4'] = 5, ['5'] = 5, ['6'] = 5, ['7'] = 5, ['8'] = 5, ['9'] = 5,
	['A'] = 5, ['B'] = 5, ['C'] = 5, ['D'] = 5, ['E'] = 5, ['F'] = 5, ['G'] = 5, ['H'] = 5, ['I'] = 5, ['J'] = 5,
	['K'] = 5, ['L'] = 5, ['M'] = 5, ['N'] = 5, ['O'] = 5, ['P'] = 5, ['Q'] = 5, ['R'] = 5, ['S'] = 5, ['T'] = 5,
	['U'] = 5, ['V'] = 5, ['W'] = 5, ['X'] = 5, ['Y'] = 5, ['Z'] = 5, ['a'] = 5, ['b'] = 5, ['c'] = 5, ['d'] = 5,
	['e'] = 5, ['f'] = 5, ['g'] = 5, ['h'] = 5, ['i'] = 5, ['j'] = 5, ['k'] = 5, ['l'] = 5, ['m'] = 5, ['n'] = 5,
	['o'] = 5, ['p'] = 5, ['q'] = 5, ['r'] = 5, ['s'] = 5, ['t'] = 5, ['u'] = 5, ['v'] = 5, ['w'] = 5, ['x'] = 5,
	['y'] = 5, ['z'] = 5, ['-'] = 5, ['_'] = 5,
	[' '] = C_BLANK, ['\t'] = C_BLANK,
	['.'] = C_BARE, ['/'] = C_BARE, [':'] = C_BARE, ['+'] = C_BARE, ['%'] = C_BARE, ['@'] = C_BARE,
};

static bool is_class(const char *p, const char *end, int class)
{
	return p < end && CLASS[(unsigned char)*p] & class;
}

static bool at_stop(const char *p, const char *end)
{
	return p == end || CLASS[(unsigned char)*p] & C_BLANK;
}

static const char *skip_blanks(const char *p, const char *end)
{
	while (is_class(p, end, C_BLANK))
		p++;
	return p;
}

static const char *word_end(const char *p, const char *end)
{
	while (!at_stop(p, end))
		p++;
	return p;
}

static struct slice between(const char *p, const char *end)
{
	return (struct slice){ p, (size_t)(end - p) };
}

uint32_t line_col(const struct line *l, struct slice part)
{
	return (uint32_t)(part.p - l->text.p) + 1;
}

struct place line_place(const struct line *l, struct slice part)
{
	uint32_t col = line_col(l, part);

	return (struct place){ l->file, col, col + (uint32_t)part.n, l->number };
}

#define WRONG(ps, rule, part, ...) \
	((ps)->bad = true, DIAG((ps)->diags, rule, line_place(&(ps)->line, part), __VA_ARGS__))
#define WRONG0(ps, rule, part) \
	((ps)->bad = true, DIAG0((ps)->diags, rule, line_place(&(ps)->line, part)))

void item_text(struct buf *out, struct slice text)
{
	if (!text.n || text.p[0] != '"') {
		buf_add(out, text);
		return;
	}
	for (size_t i = 1; i + 1 < text.n; i++) {
		if (text.p[i] == '\\' && i + 2 < text.n)
			i++;
		buf_char(out, text.p[i]);
	}
}

bool parse_is_bare(char c)
{
	return CLASS[(unsigned char)c] & (C_ID | C_BARE) || (unsigned char)c >= 0x80;
}

void parser_init(struct parser *ps, const struct vocab *vocab, struct diags *diags)
{
	memset(ps, 0, sizeof *ps);
	ps->vocab = vocab;
	ps->diags = diags;
	ps->line.item = mem_grow(NULL, &ps->item_cap, 64, sizeof *ps->line.item);
	ps->line.field = mem_grow(NULL, &ps->field_cap, USE_MOST, sizeof *ps->line.field);
	ps->guess = mem_zeroed((size_t)vocab->nevents, sizeof *ps->guess);
	for (int i = 0; i < vocab->nevents; i++) {
		const struct event_def *event = vocab->events[i];

		for (int u = 0; u < event->nuses; u++) {
			ps->guess[i].needed = (uint8_t)(ps->guess[i].needed + !!(event->uses[u].shape & USE_NEEDED));
			ps->guess[i].one_of |= !!(event->uses[u].shape & USE_ONE_OF);
		}
	}
}

void parser_release(struct parser *ps)
{
	free(ps->line.item);
	free(ps->line.field);
	free(ps->guess);
	memset(ps, 0, sizeof *ps);
}

/* ---- bytes */

static void check_controls(struct parser *ps, struct slice text)
{
	char code[8];

	for (size_t i = 0; i < text.n; i++) {
		unsigned char c = (unsigned char)text.p[i];

		if ((c >= 0x20 && c != 0x7f) || c == '\t' || c == 0)
			continue;
		snprintf(code, sizeof code, "0x%02x", c);
		WRONG(ps, RULE_CONTROL_CHARACTER, between(text.p + i, text.p + i + 1), slice_of(code));
		return;
	}
}

static void check_bytes(struct parser *ps, struct slice text)
{
	size_t at;
	const char *nul = text.n ? memchr(text.p, '\0', text.n) : NULL;

	if (nul)
		WRONG0(ps, RULE_NUL_BYTE, between(nul, nul + 1));
	else if (!utf8_check(text, &at))
		WRONG0(ps, RULE_BAD_UTF8, between(text.p + at, text.p + at + 1));
	check_controls(ps, text);
}

/* ---- items */

static struct item *next_item(struct parser *ps)
{
	ps->line.item = mem_grow(ps->line.item, &ps->item_cap, ps->nitems + 1, sizeof *ps->line.item);
	return &ps->line.item[ps->nitems++];
}

static void value_wrong(struct parser *ps, const struct field_use *use, struct slice item, const char *at, enum value_fault fault)
{
	struct slice name = use->field->name, rest = between(at, item.p + item.n);
	const struct type_def *type = vocab_type(use->type);
	struct buf extra = BUF_INIT, most = BUF_INIT;
	char why[64];

	switch (fault) {
	case VALUE_OK:
		break;
	case VALUE_MALFORMED:
		WRONG(ps, RULE_NUMBER_MALFORMED, item, item, name, type->help);
		break;
	case VALUE_TOO_LONG:
		WRONG(ps, RULE_NUMBER_TOO_LONG, item, item);
		break;
	case VALUE_OUT_OF_RANGE:
		value_write_fix(&extra, type->least, type->places);
		value_write_fix(&most, type->most, type->places);
		buf_add(&extra, type->base);
		buf_add(&most, type->base);
		WRONG(ps, RULE_NUMBER_OUT_OF_RANGE, item, item, name, buf_slice(&extra), buf_slice(&most));
		break;
	case VALUE_NO_UNIT:
		value_units(&extra, use->type);
		if (use->type == TYPE_MASS)
			buf_str(&extra, "; a bare 2.7 could be 2 lb 7 oz or 2.7 lb");
		if (ps->unitless != use) /* a whole list without units is one mistake */
			WRONG(ps, RULE_UNIT_MISSING, item, item, name, buf_slice(&extra));
		ps->unitless = use;
		ps->bad = true;
		break;
	case VALUE_BAD_UNIT:
		value_units(&extra, use->type);
		WRONG(ps, RULE_UNIT_UNKNOWN, rest, rest, name, buf_slice(&extra));
		break;
	case VALUE_BAD_CURRENCY:
		WRONG(ps, RULE_CURRENCY_UNKNOWN, item, rest);
		break;
	case VALUE_BAD_PLACES: {
		struct slice code = slice_from(item, item.n >= 3 ? item.n - 3 : 0);
		int currency = code.n == 3 ? vocab_currency(code.p) : -1;

		buf_int(&extra, use->type == TYPE_RATE ? 8 : currency < 0 ? 2 : vocab_currency_places(currency));
		WRONG(ps, RULE_MONEY_PLACES, item, item, code, buf_slice(&extra));
		break;
	}
	case VALUE_NOT_ABSENT:
		WRONG(ps, RULE_ABSENT_NOT_ALLOWED, item, name);
		break;
	case VALUE_NOT_BEYOND:
		WRONG(ps, RULE_BEYOND_NOT_ALLOWED, item, name);
		break;
	case VALUE_NOT_RANGE:
		WRONG(ps, RULE_RANGE_NOT_ALLOWED, item, name);
		break;
	case VALUE_INVERTED:
		WRONG(ps, RULE_RANGE_INVERTED, item, item);
		break;
	case VALUE_BAD_DATE:
		WRONG(ps, RULE_DATE_MALFORMED, item, item);
		break;
	case VALUE_IMPOSSIBLE_DATE:
		date_why(slice_upto(rest, rest.n < 10 ? rest.n : 10), why, sizeof why);
		WRONG(ps, RULE_DATE_IMPOSSIBLE, item, slice_upto(rest, rest.n < 10 ? rest.n : 10), slice_of(why));
		break;
	}
	buf_release(&extra);
	buf_release(&most);
}

static bool type_has_slash(int type)
{
	return type == TYPE_PLACE || type == TYPE_PIECE || type == TYPE_SETTING || type == TYPE_PICK;
}

/* The end of an id at p: id characters, and at most one / between them where `slash`. */
static const char *scan_id(const char *p, const char *end, bool slash)
{
	const char *start = p;

	if (p < end && *p == '-')
		return p;
	while (is_class(p, end, C_ID))
		p++;
	if (slash && p > start && p < end && *p == '/' && is_class(p + 1, end, C_ID))
		for (p++; is_class(p, end, C_ID);)
			p++;
	return p;
}

/* The end of the item at p: a comma or a blank that no quote holds. */
static const char *item_end(const char *p, const char *end)
{
	bool quoted = false;

	for (; p < end; p++) {
		if (quoted && *p == '\\' && p + 1 < end)
			p++;
		else if (*p == '"')
			quoted = !quoted;
		else if (!quoted && (*p == ',' || CLASS[(unsigned char)*p] & C_BLANK))
			break;
	}
	return p;
}

static const char *value_end(const char *p, const char *end)
{
	while ((p = item_end(p, end)) < end && *p == ',')
		p++;
	return p;
}

static void check_quoted(struct parser *ps, struct slice item)
{
	const char *p = item.p + 1, *end = item.p + item.n;

	for (; p < end && *p != '"'; p++) {
		if (*p != '\\')
			continue;
		if (p + 1 == end || (p[1] != '"' && p[1] != '\\')) {
			WRONG0(ps, RULE_QUOTE_ESCAPE, between(p, p + 1));
			return;
		}
		p++;
	}
	if (p >= end)
		WRONG0(ps, RULE_QUOTE_OPEN, item);
	else if (p + 1 < end)
		WRONG0(ps, RULE_QUOTE_AFTER, between(p + 1, end));
}

static void check_text(struct parser *ps, struct slice item)
{
	if (item.p[0] == '"') {
		check_quoted(ps, item);
		return;
	}
	for (size_t i = 0; i < item.n; i++)
		if (!parse_is_bare(item.p[i])) {
			WRONG(ps, RULE_TEXT_UNQUOTED, item, item);
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
	WRONG(ps, RULE_WORD_UNKNOWN, item, item, field->name, buf_slice(&words));
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
			WRONG(ps, RULE_ABSENT_NOT_ALLOWED, item, use->field->name);
	} else if (scan_id(item.p, end, type_has_slash(use->type)) != end)
		WRONG(ps, RULE_ID_MALFORMED, item, item, use->field->name);
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

/* Takes a label off the item; labels look like ids with at most one slash. */
static struct slice take_label(struct slice *item)
{
	const char *end = item->p + item->n, *colon = scan_id(item->p, end, true);
	struct slice label = { "", 0 };

	if (colon > item->p && colon < end && *colon == ':') {
		label = between(item->p, colon);
		*item = between(colon + 1, end);
	}
	return label;
}

static struct slice label_example(const struct field_use *use)
{
	if (use->field->label_of == OF_CULL)
		return SLICE("CAUSE:1, such as split:1");
	if (use->type == TYPE_PICK)
		return SLICE("PROBE:LOT/TYPE, such as a:L061/SH");
	return SLICE("WHAT:1, such as L061:34");
}

static void type_item(struct parser *ps, const struct field_use *use, struct slice text)
{
	struct item *item = next_item(ps);
	struct slice name = use->field->name;

	item->label = use->type == TYPE_TEXT ? (struct slice){ "", 0 } : take_label(&text);
	item->text = text;
	item->v = (struct value){ .mark = VALUE_EXACT };
	if (!text.n) {
		WRONG(ps, RULE_ITEM_EMPTY, text, name);
		return;
	}
	if (item->label.n && !(use->shape & (USE_LABEL_MAY | USE_LABEL_MUST)))
		WRONG(ps, RULE_LABEL_NOT_ALLOWED, item->label, name);
	else if (!item->label.n && use->shape & USE_LABEL_MUST)
		if (!(value_is_number(use->type) && text.n == 1 && text.p[0] == '0'))
			WRONG(ps, RULE_LABEL_MISSING, text, name, label_example(use));
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

/* The same label on two items, the second of which is told. */
static void check_label_twice(struct parser *ps, const struct field *f)
{
	struct slice *label = mem_array(f->n, sizeof *label);

	for (size_t i = 0; i < f->n; i++)
		label[i] = ps->line.item[f->first + i].label;
	qsort(label, f->n, sizeof *label, label_order);
	for (size_t i = 1; i < f->n; i++)
		if (label[i].n && slice_eq(label[i], label[i - 1]))
			WRONG(ps, RULE_LABEL_TWICE, label[i], label[i], f->use->field->name);
	free(label);
}

/* The value at p in full: a list, labels, quotes. Returns its end. */
static const char *scan_items(struct parser *ps, struct field *f, const char *p, const char *end)
{
	const struct field_use *use = f->use;
	const char *stop;
	bool labelled = false;

	for (;;) {
		stop = item_end(p, end);
		if (stop < end && *stop == ',' && !(use->shape & USE_MANY)) {
			WRONG(ps, RULE_LIST_NOT_ALLOWED, between(stop, value_end(p, end)), use->field->name);
			return value_end(p, end);
		}
		type_item(ps, use, between(p, stop));
		f->n++;
		labelled |= ps->line.item[ps->nitems - 1].label.n > 0;
		if (stop == end || *stop != ',')
			break;
		p = stop + 1;
	}
	if (labelled && f->n > 1)
		check_label_twice(ps, f);
	return stop;
}

/* The value at p when it is one plain item, as most are; NULL when it is not. */
static const char *scan_plain(struct parser *ps, struct field *f, const char *p, const char *end)
{
	const struct field_use *use = f->use;
	struct item *item = next_item(ps);
	enum value_fault fault = VALUE_OK;
	const char *stop;

	if (use->shape & USE_LABEL_MUST || use->type == TYPE_TEXT || use->field->nwords) {
		ps->nitems--;
		return NULL;
	}
	if (value_is_number(use->type))
		stop = value_scan(use->type, use->shape, p, end, &item->v, &fault);
	else {
		stop = scan_id(p, end, type_has_slash(use->type));
		item->v = (struct value){ .mark = VALUE_EXACT };
	}
	if (fault || stop == p || !at_stop(stop, end)) {
		ps->nitems--;
		return NULL;
	}
	item->label = (struct slice){ "", 0 };
	item->text = between(p, stop);
	f->n = 1;
	return stop;
}

/* ---- fields */

static void list_uses(struct buf *out, const struct event_def *event, const struct line *l, unsigned shape)
{
	for (int i = 0; i < event->nuses; i++) {
		if (shape && !(event->uses[i].shape & shape))
			continue;
		if (shape == USE_NEEDED && l->slot[event->uses[i].field->id])
			continue;
		if (out->n)
			buf_str(out, ", ");
		buf_add(out, event->uses[i].field->name);
		buf_char(out, '=');
	}
}

static void field_wrong(struct parser *ps, struct slice key)
{
	const struct event_def *event = ps->line.event;
	struct slice near = vocab_near_use(event, key);
	struct buf words = BUF_INIT;

	if (vocab_field(ps->vocab, key)) {
		list_uses(&words, event, &ps->line, 0);
		WRONG(ps, RULE_FIELD_NOT_HERE, key, key, event->name, buf_slice(&words));
	} else {
		if (near.n) {
			buf_str(&words, "did you mean ");
			buf_add(&words, near);
			buf_str(&words, "=?");
		} else {
			buf_add(&words, event->name);
			buf_str(&words, " takes ");
			list_uses(&words, event, &ps->line, 0);
		}
		WRONG(ps, RULE_FIELD_UNKNOWN, key, key, buf_slice(&words));
	}
	buf_release(&words);
}

/* Which field stands at p; *value is set behind its =. NULL after telling what is wrong. */
static const struct field_use *find_use(struct parser *ps, const char *p, const char *end, const char **value)
{
	const char *stop = p;
	const struct field_use *use;

	while (is_class(stop, end, C_ID))
		stop++;
	if (stop == p || stop == end || *stop != '=') {
		WRONG(ps, RULE_FIELD_MALFORMED, between(p, word_end(p, end)), between(p, word_end(p, end)));
		return NULL;
	}
	*value = stop + 1;
	use = vocab_use(ps->line.event, between(p, stop));
	if (!use)
		field_wrong(ps, between(p, stop));
	return use;
}

static const struct field_use *guess_use(const struct guess *g, size_t i, const char *p, const char *end, const char **value)
{
	struct slice name;

	if (i >= g->n)
		return NULL;
	name = g->use[i]->field->name;
	if ((size_t)(end - p) <= name.n || memcmp(p, name.p, name.n) != 0 || p[name.n] != '=')
		return NULL;
	*value = p + name.n + 1;
	return g->use[i];
}

static void remember(struct guess *g, size_t i, const struct field_use *use)
{
	if (i >= sizeof g->use / sizeof *g->use)
		return;
	g->use[i] = use;
	g->n = (uint8_t)(i + 1);
}

static struct field *next_field(struct parser *ps, const struct field_use *use, const char *p, const char *value)
{
	struct line *l = &ps->line;
	struct field *f = &l->field[l->nfields];

	*f = (struct field){ .use = use, .key = between(p, value - 1), .first = ps->nitems };
	if (l->slot[use->field->id]) {
		WRONG(ps, RULE_FIELD_TWICE, f->key, f->key);
		return NULL;
	}
	l->slot[use->field->id] = (uint8_t)++l->nfields;
	return f;
}

/* The field at p; returns where it ends. */
static const char *parse_field(struct parser *ps, const char *p, const char *end)
{
	struct guess *g = &ps->guess[ps->line.event->id];
	const char *value = NULL, *stop;
	const struct field_use *use = guess_use(g, ps->line.nfields, p, end, &value);
	struct field *f;

	if (!use) {
		use = find_use(ps, p, end, &value);
		if (!use)
			return value_end(value ? value : p, end);
		remember(g, ps->line.nfields, use);
	}
	f = next_field(ps, use, p, value);
	if (!f)
		return value_end(value, end);
	if (at_stop(value, end)) {
		*next_item(ps) = (struct item){ .label = between(value, value), .text = between(value, value) };
		f->n = 1;
		WRONG(ps, RULE_VALUE_MISSING, between(value, value), f->key);
		return value;
	}
	stop = scan_plain(ps, f, value, end);
	if (!stop)
		stop = scan_items(ps, f, value, end);
	f->text = between(value, stop);
	return stop;
}

static void check_needed(struct parser *ps)
{
	const struct line *l = &ps->line;
	const struct event_def *event = l->event;
	struct buf words = BUF_INIT;
	bool some = false, missing = false;

	for (int i = 0; i < event->nuses; i++) {
		bool there = l->slot[event->uses[i].field->id] != 0;

		missing |= event->uses[i].shape & USE_NEEDED && !there;
		some |= event->uses[i].shape & USE_ONE_OF && there;
	}
	if (missing && !ps->bad) {
		list_uses(&words, event, l, USE_NEEDED);
		WRONG(ps, RULE_FIELD_MISSING, l->word, event->name, buf_slice(&words));
	} else if (ps->guess[event->id].one_of && !some && !ps->bad) {
		list_uses(&words, event, l, USE_ONE_OF);
		WRONG(ps, RULE_FIELD_ONE_OF, l->word, event->name, buf_slice(&words));
	}
	buf_release(&words);
}

/* ---- date, event and subject */

static const char *parse_date(struct parser *ps, const char *p, const char *end)
{
	struct line *l = &ps->line;
	const char *stop = p + 10;
	char why[64];

	if (end - p > 10 && memcmp(p, ps->date, 10) == 0 && CLASS[(unsigned char)p[10]] & C_BLANK) {
		l->stamp.day = ps->day;
		l->date = between(p, stop);
		return stop;
	}
	stop = word_end(p, end);
	l->date = between(p, stop);
	switch (date_read(l->date, &l->stamp.day)) {
	case DATE_OK:
		memcpy(ps->date, p, 10);
		ps->day = l->stamp.day;
		return stop;
	case DATE_IMPOSSIBLE:
		date_why(l->date, why, sizeof why);
		WRONG(ps, RULE_DATE_IMPOSSIBLE, l->date, l->date, slice_of(why));
		return NULL;
	case DATE_MALFORMED:
		break;
	}
	WRONG(ps, RULE_DATE_MALFORMED, l->date, l->date);
	return NULL;
}

static const char *parse_time(struct parser *ps, const char *p, const char *end)
{
	struct line *l = &ps->line;
	const char *stop;

	l->stamp.second = STAMP_NO_TIME;
	l->stamp.offset = STAMP_NO_OFFSET;
	l->time = (struct slice){ "", 0 };
	if (p == end || (unsigned char)(*p - '0') > 9)
		return p;
	stop = word_end(p, end);
	l->time = between(p, stop);
	if (!time_read(l->time, &l->stamp)) {
		WRONG(ps, RULE_TIME_MALFORMED, l->time, l->time);
		return NULL;
	}
	return skip_blanks(stop, end);
}

static const char *parse_event(struct parser *ps, const char *p, const char *end)
{
	struct line *l = &ps->line;
	const struct event_def *last = l->event;
	const char *stop = word_end(p, end);
	struct buf near = BUF_INIT;
	struct slice word = between(p, stop), best;

	l->word = word;
	if (!word.n || word.p[0] == '#') {
		WRONG0(ps, RULE_EVENT_MISSING, between(l->date.p + l->date.n, l->date.p + l->date.n));
		return NULL;
	}
	l->event = last && slice_eq(last->name, word) ? last : vocab_event(ps->vocab, word);
	if (l->event)
		return skip_blanks(stop, end);
	best = vocab_near_event(ps->vocab, word);
	buf_str(&near, best.n ? "did you mean '" : "the events are listed in withy(7) and by wy-check --events");
	buf_add(&near, best);
	buf_str(&near, best.n ? "'?" : "");
	WRONG(ps, RULE_EVENT_UNKNOWN, word, word, buf_slice(&near));
	buf_release(&near);
	return NULL;
}

static void subject_kinds(struct buf *out, unsigned subjects)
{
	for (unsigned left = subjects; left; left &= left - 1) {
		if (out->n)
			buf_str(out, (left & (left - 1)) ? ", " : " or ");
		buf_add(out, vocab_subject(left & (0 - left)));
	}
}

enum { SLASHED = SUBJECT_PIECE | SUBJECT_PLACE | SUBJECT_KILN | SUBJECT_METER };

static bool subject_fits(unsigned subjects, struct slice s)
{
	bool slash = slice_find(s, '/') < s.n;
	const char *end = s.p + s.n;

	if (scan_id(s.p, end, true) != end)
		return false;
	if (subjects == SUBJECT_CURRENCY)
		return s.n == 3 && vocab_currency(s.p) >= 0;
	if (subjects == SUBJECT_PIECE)
		return slash;
	return !slash || subjects & SLASHED;
}

static const char *parse_subject(struct parser *ps, const char *p, const char *end)
{
	struct line *l = &ps->line;
	const char *stop = word_end(p, end);
	struct slice word = between(p, stop);
	struct buf kinds = BUF_INIT;
	bool missing = !word.n || word.p[0] == '#' || slice_find(word, '=') < word.n;

	l->subject = word;
	if (!missing && subject_fits(l->event->subjects, word))
		return stop;
	subject_kinds(&kinds, l->event->subjects);
	if (missing)
		WRONG(ps, RULE_SUBJECT_MISSING, between(p, p), l->event->name, buf_slice(&kinds));
	else
		WRONG(ps, RULE_SUBJECT_MALFORMED, word, word, buf_slice(&kinds));
	buf_release(&kinds);
	return missing ? p : stop;
}

static void parse_fields(struct parser *ps, const char *p, const char *end)
{
	for (;;) {
		p = skip_blanks(p, end);
		if (p == end)
			return;
		if (*p == '#') {
			ps->line.remark = between(p, end);
			return;
		}
		p = parse_field(ps, p, end);
	}
}

/* ---- the line */

static void line_reset(struct parser *ps, struct slice text, uint64_t number, uint32_t file)
{
	struct line *l = &ps->line;

	for (size_t i = 0; i < l->nfields; i++)
		l->slot[l->field[i].use->field->id] = 0;
	l->text = text;
	l->number = number;
	l->file = file;
	l->nfields = 0;
	l->remark = between(text.p + text.n, text.p + text.n);
	ps->nitems = 0;
	ps->unitless = NULL;
	ps->bad = false;
	ps->shape = NULL;
}

/* Lines that start with # speak to the reader of the file: a version, or an end that broke off. */
static void check_remark(struct parser *ps, struct slice text)
{
	struct slice word;

	if (slice_starts(text, SLICE("#! incomplete"))) {
		WRONG0(ps, RULE_INCOMPLETE, text);
		return;
	}
	if (ps->line.number != 1 || ps->within || !slice_starts(text, SLICE("# withy ")))
		return;
	word = slice_trim(slice_from(text, 8));
	if (word.n && (unsigned char)(word.p[0] - '0') <= 9 && !slice_eq(word, SLICE("1")))
		WRONG(ps, RULE_VERSION_UNKNOWN, word, word);
}

static void parse_entry(struct parser *ps, const char *p, const char *end)
{
	p = parse_date(ps, p, end);
	if (p)
		p = parse_time(ps, skip_blanks(p, end), end);
	if (p)
		p = parse_event(ps, p, end);
	if (!p)
		return;
	p = parse_subject(ps, p, end);
	parse_fields(ps, p, end);
	if (ps->guess[ps->line.event->id].needed || ps->guess[ps->line.event->id].one_of)
		check_needed(ps);
}

/* Whether the bytes are printable ASCII and tabs, as most lines are. */
static bool is_plain(struct slice s)
{
	const uint64_t ones = 0x0101010101010101u, high = 0x8080808080808080u;
	uint64_t bad = 0, word;
	size_t i = 0;

	for (; i + 8 <= s.n; i += 8) {
		memcpy(&word, s.p + i, 8);
		bad |= (word | (word - 0x20 * ones) | (word + ones)) & high;
	}
	for (; i < s.n; i++)
		bad |= (unsigned char)s.p[i] < 0x20 || (unsigned char)s.p[i] >= 0x7f;
	return !bad;
}

/* The fast lane takes words of eight bytes apart by shifting. */
#define LOW_BYTE_FIRST (__BYTE_ORDER__ == __ORDER_LITTLE_ENDIAN__)

static uint64_t word_at(const char *p)
{
	uint64_t word;

	memcpy(&word, p, 8);
	return word;
}

/* Up to seven bytes and one behind them as a word, and the mask that keeps them. */
static uint64_t word_of(struct slice s, char last, uint64_t *mask)
{
	char bytes[8] = { 0 }, keep[8] = { 0 };

	memcpy(bytes, s.p, s.n);
	bytes[s.n] = last;
	memset(keep, 0xff, s.n + 1);
	*mask = word_at(keep);
	return word_at(bytes);
}

static bool learn_number(struct shape_field *f, const struct field_use *use, const struct item *item)
{
	const struct type_def *type = vocab_type(use->type);
	const struct unit_def *unit;

	f->places = (uint8_t)type->places;
	f->least = type->least;
	f->most = type->most;
	if (use->type == TYPE_COUNT)
		return true;
	if (!type->nunits)
		return false;
	unit = vocab_unit(item->v.unit);
	if (f->unit != unit->name.p[0])
		memset(f->like, 0, sizeof f->like);
	f->unit = unit->name.p[0];
	return unit->name.n == 1 && unit->times == 1 && unit->over == 1 && !unit->plus && unit->then < 0;
}

static bool learn_field(struct parser *ps, struct shape_field *f, const struct field *field)
{
	const struct field_use *use = field->use;
	const struct item *item = &ps->line.item[field->first];
	uint64_t key, mask;

	if (field->n != 1 || item->label.n || item->v.mark != VALUE_EXACT || use->shape & USE_LABEL_MUST)
		return false;
	if (field->key.n > 7 || use->type == TYPE_TEXT || use->field->nwords)
		return false;
	key = word_of(field->key, '=', &mask);
	if (key != f->key || mask != f->mask)
		*f = (struct shape_field){ .key = key, .mask = mask, .key_n = (uint8_t)(field->key.n + 1) };
	f->number = value_is_number(use->type);
	if (f->number)
		return learn_number(f, use, item);
	f->slash = type_has_slash(use->type);
	return true;
}

/* Keeps what a good line looks like, if another like it can be read at a glance. */
static void learn(struct parser *ps)
{
	struct line *l = &ps->line;
	struct shape *shape = &ps->guess[l->event->id].shape;

	shape->event = NULL;
	if (l->remark.n || l->nfields > SHAPE_MOST || l->nfields == 0 || l->word.n > 7 || l->nfields != ps->nitems)
		return;
	if ((l->time.n != 0 && l->time.n != 5) || !(l->event->subjects & ~(unsigned)(SUBJECT_CURRENCY | SUBJECT_PIECE)))
		return;
	for (size_t i = 0; i < l->nfields; i++)
		if (!learn_field(ps, &shape->field[i], &l->field[i]))
			return;
	shape->n = (uint8_t)l->nfields;
	shape->timed = l->time.n != 0;
	shape->slash = (l->event->subjects & SLASHED) != 0;
	shape->word = word_of(l->word, ' ', &shape->word_mask);
	shape->word_n = (uint8_t)(l->word.n + 1);
	shape->event = l->event;
	shape->clock = 0;
	ps->shape = shape;
}

static inline bool clock_at(struct shape *shape, const char *p)
{
	static const char SIX[9] = "\xff\xff\xff\xff\xff\xff\0\0";
	const uint64_t clock = word_at(p) & word_at(SIX);
	unsigned h1 = (unsigned char)p[0] - '0', h2 = (unsigned char)p[1] - '0';
	unsigned m1 = (unsigned char)p[3] - '0', m2 = (unsigned char)p[4] - '0';
	unsigned hours = h1 * 10 + h2;

	if (clock == shape->clock)
		return true;
	if (h1 > 2 || h2 > 9 || hours > 23 || m1 > 5 || m2 > 9 || p[2] != ':' || p[5] != ' ')
		return false;
	shape->clock = clock;
	shape->second = (int32_t)(hours * 3600 + (m1 * 10 + m2) * 60);
	return true;
}

static const int64_t SCALE[] = { 1, 10, 100, 1000, 10000, 100000, 1000000, 10000000, 100000000 };

/* A number written plainly, with the shape's unit; NULL for any other. */
static const char *number_plain(const struct shape_field *f, const char *p, struct value *v)
{
	bool minus = *p == '-';
	unsigned digit;
	int64_t fix;
	int left = 9, places = f->places;

	p += minus;
	digit = (unsigned char)*p - '0';
	if (digit > 9)
		return NULL;
	fix = digit;
	for (p++; (digit = (unsigned char)*p - '0') <= 9; p++) {
		if (!--left)
			return NULL;
		fix = fix * 10 + digit;
	}
	if (*p == '.') {
		const char *start = ++p;

		for (; (digit = (unsigned char)*p - '0') <= 9; p++) {
			if (!places--)
				return NULL;
			fix = fix * 10 + digit;
		}
		if (p == start)
			return NULL;
	}
	fix *= SCALE[places];
	fix = minus ? -fix : fix;
	if (fix < f->least || fix > f->most || (f->unit && *p++ != f->unit))
		return NULL;
	v->fix = v->high = fix;
	return p;
}

/* Eight digits as values, the first in the lowest byte, as a number: pairs, then fours, then all. */
static inline uint32_t number_of_digits(uint64_t digits)
{
	const uint64_t ends = 0x000000ff000000ffu;

	digits = digits * 10 + (digits >> 8);
	return (uint32_t)(((digits & ends) * (100 + (1000000ull << 32)) + ((digits >> 16) & ends) * (1 + (10000ull << 32))) >> 32);
}

/* Keeps how the number in [p, stop) is written, which number_plain() has read. */
static void learn_like(struct shape_number *like, const struct shape_field *f, const char *p, const char *stop)
{
	unsigned last = 0, places = 0;
	bool point = false;

	*like = (struct shape_number){ .n = (uint8_t)(stop - p) };
	for (unsigned i = 0; i < like->n; i++) {
		uint64_t here = 0xffull << (8 * i);
		bool digit = (unsigned char)(p[i] - '0') <= 9;

		like->expect |= (uint64_t)(digit ? '0' : (unsigned char)p[i]) << (8 * i);
		like->mask |= here;
		like->add |= (digit ? 0x76ull : 0x7full) << (8 * i);
		point |= p[i] == '.';
		if (!digit)
			continue;
		like->whole |= point ? 0 : here;
		like->part |= point ? here >> 8 : 0;
		last = point ? i - 1 : i;
		places += point;
	}
	like->lift = (uint8_t)(8 * (7 - last));
	like->scale = SCALE[f->places - places] * (*p == '-' ? -1 : 1);
}

static const char *number_other(struct shape_field *f, const char *p, struct value *v)
{
	const char *stop = number_plain(f, p, v);

	if (stop && stop - p <= 8 && LOW_BYTE_FIRST)
		learn_like(&f->like[f->oldest++ % SHAPE_NUMBERS], f, p, stop);
	return stop;
}

/* The same, at a glance when it is written like one before it. */
static inline const char *number_alike(struct shape_field *f, const char *p, struct value *v)
{
	uint64_t word = word_at(p), bytes;

	for (int i = 0; i < SHAPE_NUMBERS; i++) {
		const struct shape_number *like = &f->like[i];

		bytes = (word ^ like->expect) & like->mask;
		if (!like->n || ((bytes + like->add) | bytes) & 0x8080808080808080u)
			continue;
		bytes = (bytes & like->whole) | (bytes >> 8 & like->part);
		v->fix = v->high = (int64_t)number_of_digits(bytes << like->lift) * like->scale;
		return v->fix < f->least || v->fix > f->most ? NULL : p + like->n;
	}
	return number_other(f, p, v);
}

/* The same day as the last line's, and a blank behind it. */
static inline bool date_alike(const char *date, const char *p)
{
	uint16_t a, b;

	memcpy(&a, date + 8, 2);
	memcpy(&b, p + 8, 2);
	return word_at(date) == word_at(p) && a == b && p[10] == ' ';
}

/* An id or a place, up to where it stops. */
static inline const char *id_alike(const char *p, bool slash)
{
	const char *start = p;

	if (*p == '-')
		return NULL;
	while (CLASS[(unsigned char)*p] & C_ID)
		p++;
	if (*p == '/' && slash && p > start && CLASS[(unsigned char)p[1]] & C_ID)
		for (p++; CLASS[(unsigned char)*p] & C_ID;)
			p++;
	return p == start ? NULL : p;
}

/* Whether the subject at p is that one. */
static inline bool is_subject(const struct shape_subject *kept, const struct shape *shape, const char *p)
{
	return ((word_at(p) ^ kept->word[0]) & kept->mask[0]) == 0 && ((word_at(p + 8) ^ kept->word[1]) & kept->mask[1]) == 0
		&& kept->n && kept->slash <= shape->slash;
}

/* Puts an id of up to fifteen bytes and the blank behind it in place of the one kept longest. */
static uint8_t keep_subject(struct parser *ps, const char *p, size_t n)
{
	uint8_t at = (uint8_t)(ps->oldest++ % SHAPE_SUBJECTS);
	struct shape_subject *kept = &ps->subject[at];
	char bytes[16] = { 0 }, mask[16] = { 0 };

	memcpy(bytes, p, n + 1);
	memset(mask, 0xff, n + 1);
	memcpy(kept->word, bytes, sizeof bytes);
	memcpy(kept->mask, mask, sizeof mask);
	kept->n = n;
	kept->slash = memchr(p, '/', n) != NULL;
	return at;
}

/* Finds the subject that comes after the last one this time. */
static const char *subject_other(struct parser *ps, struct shape *shape, const char *p)
{
	const char *stop;
	uint8_t at = 0;

	while (at < SHAPE_SUBJECTS && !is_subject(&ps->subject[at], shape, p))
		at++;
	stop = at < SHAPE_SUBJECTS ? p + ps->subject[at].n : id_alike(p, shape->slash);
	if (!stop || *stop != ' ' || stop - p > 15)
		return stop;
	if (at == SHAPE_SUBJECTS)
		at = keep_subject(ps, p, (size_t)(stop - p));
	ps->subject[ps->subject_at].after = at;
	ps->subject_at = at;
	return stop;
}

/* A subject; lines mostly go through some subjects in the same turn again and again. */
static inline const char *subject_alike(struct parser *ps, struct shape *shape, const char *p)
{
	uint8_t after = ps->subject[ps->subject_at].after;

	if (!is_subject(&ps->subject[after], shape, p))
		return subject_other(ps, shape, p);
	ps->subject_at = after;
	return p + ps->subject[after].n;
}

static inline bool is_word(const struct shape_word *kept, const char *p)
{
	return (word_at(p) & kept->mask) == kept->word && kept->n;
}

/* Finds the id that comes after the last one this time. */
static const char *word_other(struct shape_field *f, const char *p)
{
	const char *stop;
	uint8_t at = 0;

	while (at < SHAPE_WORDS && !is_word(&f->word[at], p))
		at++;
	stop = at < SHAPE_WORDS ? p + f->word[at].n : id_alike(p, f->slash);
	if (!stop || stop - p > 7)
		return stop;
	if (at == SHAPE_WORDS) {
		at = f->oldest++ % SHAPE_WORDS;
		f->word[at].word = word_of(between(p, stop), *stop, &f->word[at].mask);
		f->word[at].n = (uint8_t)(stop - p);
	}
	f->word[f->word_at].after = at;
	f->word_at = at;
	return stop;
}

/* An id, most often one that stood here before. */
static inline const char *word_alike(struct shape_field *f, const char *p)
{
	uint8_t after = f->word[f->word_at].after;

	if (!is_word(&f->word[after], p))
		return word_other(f, p);
	f->word_at = after;
	return p + f->word[after].n;
}

/* The fields behind the subject; the LF that ends the line, or NULL. */
static inline const char *fields_alike(struct line *l, struct shape *shape, const char *p)
{
	for (size_t i = 0; i < shape->n; i++) {
		struct shape_field *f = &shape->field[i];
		struct field *field = &l->field[i];
		struct item *item = &l->item[i];
		const char *value = p + 1 + f->key_n, *stop;

		if (*p != ' ' || (word_at(p + 1) & f->mask) != f->key)
			return NULL;
		stop = f->number ? number_alike(f, value, &item->v) : word_alike(f, value);
		if (!stop || (*stop != ' ' && *stop != '\n'))
			return NULL;
		field->key.p = p + 1;
		field->text.p = item->text.p = value;
		field->text.n = item->text.n = (size_t)(stop - value);
		p = stop;
	}
	return *p == '\n' ? p : NULL;
}

const struct line *parse_alike(struct parser *ps, const char *start, uint64_t number)
{
	struct shape *shape = ps->shape;
	struct line *l = &ps->line;
	const char *p = start, *stop;

	if (!shape || !date_alike(ps->date, p))
		return NULL;
	p += 11;
	if (shape->timed) {
		if (!clock_at(shape, p))
			goto other;
		l->stamp.second = shape->second;
		p += 6;
	}
	if ((word_at(p) & shape->word_mask) != shape->word)
		goto other;
	stop = subject_alike(ps, shape, p + shape->word_n);
	if (!stop)
		goto other;
	l->subject.p = p + shape->word_n;
	l->subject.n = (size_t)(stop - l->subject.p);
	l->word.p = p;
	p = fields_alike(l, shape, stop);
	if (!p)
		goto other;
	l->text.p = start;
	l->text.n = (size_t)(p - start);
	l->number = number;
	l->date.p = start;
	l->time.p = start + 11;
	l->remark.p = p;
	return l;
other:
	ps->shape = NULL;
	return NULL;
}

const struct line *parse_line(struct parser *ps, struct slice text, uint64_t number, uint32_t file)
{
	struct line *l = &ps->line;
	const char *p, *end;

	line_reset(ps, text, number, file);
	if (text.n > LINE_LONGEST) {
		WRONG0(ps, RULE_LINE_TOO_LONG, slice_upto(text, 1));
		l->kind = LINE_BAD;
		return l;
	}
	if (!is_plain(text))
		check_bytes(ps, text);
	end = text.p + text.n;
	p = skip_blanks(text.p, end);
	l->kind = p == end ? LINE_BLANK : *p == '#' ? LINE_REMARK : LINE_EVENT;
	if (l->kind == LINE_REMARK)
		check_remark(ps, between(p, end));
	else if (l->kind == LINE_EVENT && !ps->bad)
		parse_entry(ps, p, end);
	if (ps->bad)
		l->kind = LINE_BAD;
	else if (l->kind == LINE_EVENT)
		learn(ps);
	return l;
}
