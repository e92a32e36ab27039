#include "book/select.h"

#include <stdlib.h>

#include "base/nearest.h"
#include "base/pattern.h"
#include "base/utf8.h"
#include "book/line.h"

enum { TYPES_MOST = 4, MINUTE = 59 };

enum about { ABOUT_EVENT, ABOUT_SUBJECT, ABOUT_DATE, ABOUT_TIME, ABOUT_REMARK, ABOUT_LINE, ABOUT_HAS, ABOUT_TOUCHES, ABOUT_FIELD };

static const struct slice ABOUT[] = { { "event", 5 }, { "subject", 7 }, { "date", 4 }, { "time", 4 }, { "remark", 6 },
	{ "line", 4 }, { "has", 3 }, { "touches", 7 } };

/* A field may be of other types in some events; a word is read as each of them. */
struct reading {
	int type;
	bool good;
	struct value v;
};

/* One of the words between the commas. */
struct choice {
	struct slice label, text;    /* label.p is NULL where none was asked for */
	bool below;                  /* text ended in a / that was taken off */
	int64_t low, high;           /* days, or seconds of a day */
	const struct event_def *event;
	int field;                   /* ABOUT_HAS: FIELD_..., or one of the two below */
	struct reading reading[TYPES_MOST];
};

enum { HAS_TIME = -1, HAS_REMARK = -2 };

struct condition {
	enum about about;
	bool opposite;
	const struct field_def *field;
	struct pattern *pattern;     /* or NULL, and choices */
	struct slice source;         /* of the pattern */
	struct choice *choice;
	size_t n, cap;
	int type[TYPES_MOST];        /* that the field has, here and there */
	size_t ntypes;
};

void select_init(struct select *s, const struct vocab *vocab)
{
	memset(s, 0, sizeof *s);
	s->vocab = vocab;
	s->scratch = pattern_scratch_new();
}

void select_release(struct select *s)
{
	for (size_t i = 0; i < s->n; i++) {
		pattern_free(s->condition[i].pattern);
		free(s->condition[i].choice);
	}
	free(s->condition);
	pattern_scratch_free(s->scratch);
	buf_release(&s->words);
	memset(s, 0, sizeof *s);
}

/* ---- reading a condition */

static bool is_id_char(char c)
{
	return (unsigned char)((c | 32) - 'a') < 26 || (unsigned char)(c - '0') <= 9 || c == '-' || c == '_';
}

static size_t name_length(struct slice word)
{
	size_t n = 0;

	while (n < word.n && is_id_char(word.p[n]))
		n++;
	return n;
}

static struct slice without_not(struct slice word)
{
	return slice_starts(word, SLICE("except:")) ? slice_from(word, 7) : word;
}

bool select_is_condition(struct slice word)
{
	size_t n;

	word = without_not(word);
	n = name_length(word);
	return n > 0 && n < word.n && (word.p[n] == '=' || word.p[n] == '~');
}

static bool wrong(struct buf *error, struct slice word, const char *why)
{
	buf_char(error, '\'');
	buf_add(error, word);
	buf_printf(error, "' %s", why);
	return false;
}

static bool name_unknown(const struct select *s, struct slice name, struct buf *error)
{
	struct nearest near = nearest_to(name);

	for (size_t i = 0; i < ABOUT_FIELD; i++)
		nearest_try(&near, ABOUT[i]);
	for (int i = 0; i < s->vocab->nfields; i++)
		nearest_try(&near, s->vocab->fields[i]->name);
	buf_str(error, "unknown field '");
	buf_add(error, name);
	if (near.best.n) {
		buf_str(error, "'; perhaps ");
		buf_add(error, near.best);
		buf_str(error, "=?");
	} else
		buf_str(error, "'; write a file whose name has = or ~ as ./NAME");
	return false;
}

static bool find_about(const struct select *s, struct condition *c, struct slice name, struct buf *error)
{
	for (size_t i = 0; i < ABOUT_FIELD; i++)
		if (slice_eq(ABOUT[i], name)) {
			c->about = (enum about)i;
			return true;
		}
	c->about = ABOUT_FIELD;
	c->field = vocab_field(s->vocab, name);
	return c->field || name_unknown(s, name, error);
}

static void add_type(struct condition *c, int type)
{
	for (size_t i = 0; i < c->ntypes; i++)
		if (c->type[i] == type)
			return;
	if (c->ntypes < TYPES_MOST)
		c->type[c->ntypes++] = type;
}

static void find_types(const struct select *s, struct condition *c)
{
	const struct field_use *use;

	if (c->about != ABOUT_FIELD)
		return;
	add_type(c, c->field->type);
	for (int i = 0; i < s->vocab->nevents; i++)
		if ((use = vocab_use(s->vocab->events[i], c->field->name)))
			add_type(c, use->type);
}

/* ---- one choice */

static bool all_digits(struct slice s)
{
	for (size_t i = 0; i < s.n; i++)
		if ((unsigned char)(s.p[i] - '0') > 9)
			return false;
	return s.n > 0;
}

static int number_of(struct slice digits)
{
	int v = 0;

	for (size_t i = 0; i < digits.n; i++)
		v = v * 10 + (digits.p[i] - '0');
	return v;
}

/* A year, a month or a day: its first and its last day. */
static bool read_period(struct slice s, int64_t *first, int64_t *last)
{
	int32_t day;
	int year, month;

	if (s.n == 10) {
		if (date_read(s, &day))
			return false;
		*first = *last = day;
		return true;
	}
	if (s.n < 4 || !all_digits(slice_upto(s, 4)) || !(year = number_of(slice_upto(s, 4))))
		return false;
	if (s.n == 4) {
		*first = day_of(year, 1, 1);
		*last = day_of(year, 12, 31);
		return true;
	}
	if (s.n != 7 || s.p[4] != '-' || !all_digits(slice_from(s, 5)))
		return false;
	month = number_of(slice_from(s, 5));
	if (month < 1 || month > 12)
		return false;
	*first = day_of(year, month, 1);
	*last = day_of(year, month, month_length(year, month));
	return true;
}

/* A minute or a second of the day: its first and its last second. */
static bool read_clock(struct slice s, int64_t *first, int64_t *last)
{
	struct stamp stamp;

	if ((s.n != 5 && s.n != 8) || !time_read(s, &stamp))
		return false;
	*first = stamp.second;
	*last = stamp.second + (s.n == 5 ? MINUTE : 0);
	return true;
}

typedef bool reads(struct slice s, int64_t *first, int64_t *last);

/* A..B, either of which may be left out, or one alone. */
static bool read_range(struct slice s, reads *read, int64_t *low, int64_t *high)
{
	size_t dots = 0;
	int64_t other;

	while (dots + 1 < s.n && (s.p[dots] != '.' || s.p[dots + 1] != '.'))
		dots++;
	if (dots + 1 >= s.n)
		return read(s, low, high);
	*low = INT64_MIN;
	*high = INT64_MAX;
	if (s.n == 2)
		return false;
	if (dots > 0 && !read(slice_upto(s, dots), low, &other))
		return false;
	if (dots + 2 < s.n && !read(slice_from(s, dots + 2), &other, high))
		return false;
	return *low <= *high;
}

static bool read_dates(struct choice *ch, struct slice s, struct buf *error)
{
	if (read_range(s, read_period, &ch->low, &ch->high))
		return true;
	return wrong(error, s, "is not a valid date; write YYYY-MM-DD, YYYY-MM or YYYY, or a range such as 2026-06..2026-08");
}

static bool read_times(struct choice *ch, struct slice s, struct buf *error)
{
	if (slice_eq(s, SLICE("-"))) {
		ch->low = ch->high = STAMP_NO_TIME;
		return true;
	}
	if (!read_range(s, read_clock, &ch->low, &ch->high))
		return wrong(error, s, "is not a valid time; write HH:MM or HH:MM:SS, a range of them, or - for no time");
	if (ch->low < 0)
		ch->low = 0;
	return true;
}

static bool read_event(const struct select *s, struct choice *ch, struct slice word, struct buf *error)
{
	struct slice near;

	ch->event = vocab_event(s->vocab, word);
	if (ch->event)
		return true;
	near = vocab_near_event(s->vocab, word);
	wrong(error, word, near.n ? "is not a known event; perhaps " : "is not a known event; withy-events(7) lists them");
	if (near.n) {
		buf_add(error, near);
		buf_char(error, '?');
	}
	return false;
}

static bool read_has(const struct select *s, struct choice *ch, struct slice word, struct buf *error)
{
	const struct field_def *field = vocab_field(s->vocab, word);

	ch->field = field ? field->id : slice_eq(word, SLICE("time")) ? HAS_TIME : HAS_REMARK;
	if (field || ch->field == HAS_TIME || slice_eq(word, SLICE("remark")))
		return true;
	return name_unknown(s, word, error);
}

/* An id, perhaps with a / behind it for all that is below it. */
static bool read_id(struct choice *ch, struct slice word, struct buf *error)
{
	ch->text = word;
	if (word.n > 1 && word.p[word.n - 1] == '/') {
		ch->text.n--;
		ch->below = true;
	}
	for (size_t i = 0; i < word.n; i++)
		if (!is_id_char(word.p[i]) && word.p[i] != '/')
			return wrong(error, word, "is not a valid id; for a pattern write ~ in place of =");
	return true;
}

static struct slice take_label(struct slice *word)
{
	size_t n = name_length(*word);
	struct slice label = { NULL, 0 };

	for (int slashes = 0; n && slashes < 2 && n < word->n && word->p[n] == '/'; slashes++)
		n += 1 + name_length(slice_from(*word, n + 1));
	if (!n || n == word->n || word->p[n] != ':')
		return label;
	label = slice_upto(*word, n);
	*word = slice_from(*word, n + 1);
	return label;
}

static void tell_fault(struct buf *error, const struct condition *c, struct slice word, enum value_fault fault)
{
	const struct type_def *type = vocab_type(c->field->type);

	wrong(error, word, "");
	switch (fault) {
	case VALUE_NO_UNIT:
		buf_str(error, "has no unit; write ");
		value_units_choice(error, c->field->type);
		break;
	case VALUE_BAD_UNIT:
	case VALUE_BAD_CURRENCY:
		buf_str(error, "does not end in a valid unit; use ");
		value_units_choice(error, c->field->type);
		break;
	case VALUE_INVERTED:
		buf_str(error, "ends before it starts");
		break;
	case VALUE_OUT_OF_RANGE:
		buf_str(error, "is outside the possible range of ");
		buf_add(error, c->field->name);
		break;
	default:
		buf_str(error, "is not ");
		buf_add(error, type->help);
		break;
	}
}

/* Reads a word as every number type that the field has; true when it is one of them. */
static bool read_numbers(const struct condition *c, struct choice *ch, enum value_fault *fault)
{
	bool good = false;

	*fault = VALUE_OK;
	for (size_t i = 0; i < c->ntypes; i++) {
		struct reading *r = &ch->reading[i];
		enum value_fault one = VALUE_MALFORMED;

		r->type = c->type[i];
		if (r->type == TYPE_DATE)
			r->good = slice_eq(ch->text, SLICE("-")) || read_range(ch->text, read_period, &ch->low, &ch->high);
		else if (value_is_number(r->type)) {
			one = value_read(r->type, USE_RANGE | USE_BEYOND | USE_ABSENT, ch->text, &r->v);
			r->good = !one;
		}
		good |= r->good;
		if (i == 0)
			*fault = one;
	}
	return good;
}

/* Whether a word on a field of numbers can only be meant as a label. */
static bool is_label(const struct condition *c, const struct choice *ch)
{
	if (ch->label.p || !(c->field->shape & (USE_LABEL_MAY | USE_LABEL_MUST)))
		return false;
	return (unsigned char)((ch->text.p[0] | 32) - 'a') < 26 || ch->text.p[0] == '_';
}

static bool known_word(const struct field_def *field, struct slice word, struct buf *error)
{
	for (int i = 0; i < field->nwords; i++)
		if (slice_eq(field->words[i], word))
			return true;
	wrong(error, word, "is not a valid value; use one of");
	for (int i = 0; i < field->nwords; i++) {
		buf_str(error, i ? ", " : " ");
		buf_add(error, field->words[i]);
	}
	return false;
}

static bool read_item(const struct condition *c, struct choice *ch, struct slice word, struct buf *error)
{
	enum value_fault fault;

	ch->label = take_label(&word);
	ch->text = word;
	if (!word.n)
		return ch->label.p || wrong(error, c->field->name, "has no value to compare with; has=FIELD matches any value");
	if (read_numbers(c, ch, &fault))
		return true;
	if (c->field->type == TYPE_DATE)
		return read_dates(ch, word, error);
	if (value_is_number(c->field->type) && !is_label(c, ch)) {
		tell_fault(error, c, word, fault);
		return false;
	}
	if (c->field->nwords)
		return known_word(c->field, word, error);
	return read_id(ch, word, error);
}

static bool read_choice(const struct select *s, struct condition *c, struct slice word, struct buf *error)
{
	struct choice *ch;

	c->choice = mem_grow(c->choice, &c->cap, c->n + 1, sizeof *c->choice);
	ch = &c->choice[c->n++];
	memset(ch, 0, sizeof *ch);
	switch (c->about) {
	case ABOUT_EVENT:
		return read_event(s, ch, word, error);
	case ABOUT_DATE:
		return read_dates(ch, word, error);
	case ABOUT_TIME:
		return read_times(ch, word, error);
	case ABOUT_HAS:
		return read_has(s, ch, word, error);
	case ABOUT_SUBJECT:
	case ABOUT_TOUCHES:
		return word.n ? read_id(ch, word, error) : wrong(error, word, "is not a valid id");
	case ABOUT_REMARK:
		ch->text = word;
		return true;
	case ABOUT_LINE:
		return wrong(error, SLICE("line"), "requires a pattern: line~PATTERN");
	case ABOUT_FIELD:
		break;
	}
	if (c->field->type != TYPE_TEXT)
		return read_item(c, ch, word, error);
	ch->text = word;
	return true;
}

static bool read_choices(const struct select *s, struct condition *c, struct slice value, struct buf *error)
{
	bool whole = c->about == ABOUT_REMARK || (c->about == ABOUT_FIELD && c->field->type == TYPE_TEXT);

	for (;;) {
		size_t n = whole ? value.n : slice_find(value, ',');

		if (!read_choice(s, c, slice_upto(value, n), error))
			return false;
		if (n == value.n)
			return true;
		value = slice_from(value, n + 1);
	}
}

static bool read_pattern(struct condition *c, struct slice value, struct buf *error)
{
	struct pattern_error wrong_at;

	if (c->about == ABOUT_HAS || c->about == ABOUT_TOUCHES)
		return wrong(error, ABOUT[c->about], "requires words, not a pattern; write = in place of ~");
	c->source = value;
	c->pattern = pattern_compile(value, 0, &wrong_at);
	if (c->pattern)
		return true;
	wrong(error, value, "is not a valid pattern: ");
	buf_printf(error, "%s, at its byte %zu", wrong_at.text, wrong_at.at + 1);
	return false;
}

bool select_add(struct select *s, struct slice word, struct buf *error)
{
	struct slice rest = without_not(word);
	size_t n = name_length(rest);
	struct condition *c;

	s->condition = mem_grow(s->condition, &s->cap, s->n + 1, sizeof *s->condition);
	c = &s->condition[s->n++];
	memset(c, 0, sizeof *c);
	c->opposite = rest.n != word.n;
	if (!find_about(s, c, slice_upto(rest, n), error))
		return false;
	find_types(s, c);
	if (rest.p[n] == '~')
		return read_pattern(c, slice_from(rest, n + 1), error);
	return read_choices(s, c, slice_from(rest, n + 1), error);
}

/* ---- matching */

static enum select_result yes_if(bool is)
{
	return is ? SELECT_YES : SELECT_NO;
}

static enum select_result pattern_failed(const struct condition *c, const char *why, struct buf *error)
{
	buf_str(error, "the pattern '");
	utf8_add_visible(error, c->source);
	buf_printf(error, "' %s", why);
	return SELECT_FAILED;
}

static enum select_result match_pattern(struct select *s, const struct condition *c, struct slice subject, struct buf *error)
{
	switch (pattern_match(c->pattern, s->scratch, subject)) {
	case PATTERN_NO:
		return SELECT_NO;
	case PATTERN_YES:
		return SELECT_YES;
	case PATTERN_LIMIT:
		return pattern_failed(c, "takes too many steps on this line; make it simpler", error);
	case PATTERN_BAD_UTF8:
		return pattern_failed(c, "cannot be matched: the line has bytes that are not UTF-8", error);
	case PATTERN_FAILED:
		break;
	}
	pattern_failed(c, "failed on this line", error);
	buf_printf(error, " (PCRE2 says %d)", pattern_said(s->scratch));
	return SELECT_FAILED;
}

/* `word` is `id`, or (`below`) begins with it and a slash. */
static bool is_or_below(struct slice word, struct slice id, bool below)
{
	return slice_eq(word, id) || (below && word.n > id.n && word.p[id.n] == '/' && slice_starts(word, id));
}

static struct slice remark_words(const struct line *l)
{
	return l->remark.n ? slice_trim(slice_from(l->remark, 1)) : l->remark;
}

/* The item's text as a reader has it: without quotes. Valid until the next. */
static struct slice words_of(struct select *s, int type, const struct item *item)
{
	if (type != TYPE_TEXT || !item->text.n || item->text.p[0] != '"')
		return item->text;
	s->words.n = 0;
	item_text(&s->words, item->text);
	return buf_slice(&s->words);
}

/* From where to where an item's value can lie. */
static void reach(const struct value *v, int64_t *low, int64_t *high)
{
	*low = v->mark == VALUE_BELOW ? INT64_MIN : v->fix;
	*high = v->mark == VALUE_ABOVE ? INT64_MAX : v->mark == VALUE_RANGE ? v->high : v->fix;
}

static bool same_kind(int type, const struct value *a, const struct value *b)
{
	if (type == TYPE_MONEY || type == TYPE_RATE)
		return a->unit == b->unit;
	if (type == TYPE_READING)
		return slice_eq(value_reading_base(a->unit), value_reading_base(b->unit));
	return true;
}

static bool fits_number(int type, const struct value *want, const struct value *v)
{
	int64_t low, high, from, to;

	if (want->mark == VALUE_ABSENT || v->mark == VALUE_ABSENT)
		return want->mark == v->mark;
	if (!same_kind(type, want, v))
		return false;
	if (want->mark == VALUE_ABOVE || want->mark == VALUE_BELOW)
		return want->mark == v->mark && want->fix == v->fix;
	reach(want, &from, &to);
	reach(v, &low, &high);
	return low <= to && from <= high;
}

static bool fits_date(const struct choice *ch, const struct value *v)
{
	int64_t low, high;

	if (v->mark == VALUE_ABSENT || slice_eq(ch->text, SLICE("-")))
		return v->mark == VALUE_ABSENT && slice_eq(ch->text, SLICE("-"));
	reach(v, &low, &high);
	return low <= ch->high && ch->low <= high;
}

static bool fits_item(struct select *s, const struct choice *ch, int type, const struct item *item)
{
	const struct reading *r = ch->reading;

	if (ch->label.p && !slice_eq(ch->label, item->label))
		return false;
	if (ch->label.p && !ch->text.n)
		return true;
	if (!value_is_number(type))
		return is_or_below(words_of(s, type, item), ch->text, ch->below);
	while (r < ch->reading + TYPES_MOST - 1 && r->type != type)
		r++;
	if (r->type != type || !r->good)
		return is_or_below(item->label, ch->text, ch->below);
	return type == TYPE_DATE ? fits_date(ch, &item->v) : fits_number(type, &r->v, &item->v);
}

static enum select_result match_item(struct select *s, const struct condition *c, int type, const struct item *item, struct buf *error)
{
	struct slice words = item->text;

	if (c->pattern) {
		if (item->label.n) /* it precedes the text, with a colon between */
			words = (struct slice){ item->label.p, item->label.n + 1 + item->text.n };
		return match_pattern(s, c, item->label.n ? words : words_of(s, type, item), error);
	}
	for (size_t i = 0; i < c->n; i++)
		if (fits_item(s, &c->choice[i], type, item))
			return SELECT_YES;
	return SELECT_NO;
}

static enum select_result match_field(struct select *s, const struct condition *c, const struct line *l, struct buf *error)
{
	const struct field *f = line_field(l, c->field->id);

	for (size_t i = 0; f && i < f->n; i++) {
		enum select_result r = match_item(s, c, f->use->type, &l->item[f->first + i], error);

		if (r != SELECT_NO)
			return r;
	}
	return SELECT_NO;
}

/* Whether the line has an id anywhere: as subject, as a value or as a label. */
static bool touches(const struct line *l, struct slice id)
{
	if (is_or_below(l->subject, id, true))
		return true;
	for (size_t i = 0; i < l->nfields; i++) {
		const struct field *f = &l->field[i];
		bool words = !value_is_number(f->use->type) && f->use->type != TYPE_TEXT;

		for (size_t k = f->first; k < f->first + f->n; k++)
			if (is_or_below(l->item[k].label, id, true) || (words && is_or_below(l->item[k].text, id, true)))
				return true;
	}
	return false;
}

static bool has(const struct line *l, int field)
{
	if (field == HAS_TIME)
		return l->time.n > 0;
	if (field == HAS_REMARK)
		return l->remark.n > 0;
	return line_field(l, field) != NULL;
}

static bool within(const struct choice *ch, int64_t value)
{
	return ch->low <= value && value <= ch->high;
}

static bool fits_choice(const struct condition *c, const struct choice *ch, const struct line *l)
{
	switch (c->about) {
	case ABOUT_EVENT:
		return l->event == ch->event;
	case ABOUT_SUBJECT:
		return is_or_below(l->subject, ch->text, ch->below);
	case ABOUT_DATE:
		return within(ch, l->stamp.day);
	case ABOUT_TIME:
		return within(ch, l->stamp.second);
	case ABOUT_HAS:
		return has(l, ch->field);
	case ABOUT_TOUCHES:
		return touches(l, ch->text);
	case ABOUT_REMARK:
		return slice_eq(remark_words(l), ch->text);
	case ABOUT_LINE:
	case ABOUT_FIELD:
		break;
	}
	return false;
}

static struct slice part_of(const struct condition *c, const struct line *l)
{
	switch (c->about) {
	case ABOUT_EVENT:
		return l->event->name;
	case ABOUT_SUBJECT:
		return l->subject;
	case ABOUT_DATE:
		return l->date;
	case ABOUT_TIME:
		return l->time;
	case ABOUT_REMARK:
		return remark_words(l);
	default:
		return l->text;
	}
}

static enum select_result match_one(struct select *s, const struct condition *c, const struct line *l, struct buf *error)
{
	enum select_result r = SELECT_NO;

	if (c->about == ABOUT_FIELD)
		r = match_field(s, c, l, error);
	else if (c->pattern)
		r = match_pattern(s, c, part_of(c, l), error);
	else
		for (size_t i = 0; i < c->n && r == SELECT_NO; i++)
			r = yes_if(fits_choice(c, &c->choice[i], l));
	if (r == SELECT_FAILED)
		return r;
	return yes_if((r == SELECT_YES) != c->opposite);
}

enum select_result select_match(struct select *s, const struct line *l, struct buf *error)
{
	for (size_t i = 0; i < s->n; i++) {
		enum select_result r = match_one(s, &s->condition[i], l, error);

		if (r == SELECT_FAILED || (r == SELECT_YES) == s->any)
			return r;
	}
	return yes_if(s->n == 0 || !s->any);
}
