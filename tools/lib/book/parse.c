#include "book/parse.h"

#include <stdio.h>
#include <stdlib.h>

#include "base/marks.h"
#include "base/utf8.h"
#include "book/parse_internal.h"
#include "book/value_mend.h"

/* Items that there is space for at first. */
enum { ITEMS_FIRST = 128 };

void parser_init(struct parser *ps, const struct vocab *vocab, struct diags *diags)
{
	memset(ps, 0, sizeof *ps);
	ps->vocab = vocab;
	ps->diags = diags;
	ps->line.item = mem_grow(NULL, &ps->item_cap, ITEMS_FIRST, sizeof *ps->line.item);
	ps->line.field = mem_grow(NULL, &ps->field_cap, USE_MOST, sizeof *ps->line.field);
	ps->cache = mem_zeroed((size_t)vocab->nevents, sizeof *ps->cache);
	ps->marks = mem_zeroed(1, sizeof *ps->marks);
	marks_init(ps->marks);
	parse_alike_init(ps);
	for (int i = 0; i < vocab->nevents; i++) {
		const struct event_def *event = vocab->events[i];

		for (int u = 0; u < event->nuses; u++) {
			ps->cache[i].needed = (uint8_t)(ps->cache[i].needed + !!(event->uses[u].shape & USE_NEEDED));
			ps->cache[i].one_of |= !!(event->uses[u].shape & USE_ONE_OF);
		}
	}
}

void parse_forget(struct parser *ps)
{
	marks_forget(ps->marks);
}

void parser_release(struct parser *ps)
{
	free(ps->line.item);
	free(ps->line.field);
	free(ps->cache);
	free(ps->marks);
	parse_fast_release(ps);
	parse_alike_release(ps);
	memset(ps, 0, sizeof *ps);
}

/* ---- bytes */

/* The bytes of a control character at p, other than a tab or a NUL: one of C0, DEL, or one of C1, which are U+0080 to U+009F. */
static size_t control_length(const char *p, const char *end)
{
	unsigned char c = (unsigned char)*p, next = p + 1 < end ? (unsigned char)p[1] : 0;

	if (c == 0xc2)
		return next >= 0x80 && next < 0xa0 ? 2 : 0;
	return (c < 0x20 && c != '\t' && c != 0) || c == 0x7f ? 1 : 0;
}

static void check_controls(struct parser *ps, struct slice text)
{
	const char *end = text.p + text.n;
	char code[8];

	for (const char *p = text.p; p < end; p++) {
		size_t n = control_length(p, end);

		if (!n)
			continue;
		snprintf(code, sizeof code, "U+%04X", (unsigned char)p[n - 1]);
		PARSE_WRONG(ps, RULE_CONTROL_CHARACTER, slice_between(p, p + n), slice_of(code));
		return;
	}
}

static void check_bytes(struct parser *ps, struct slice text)
{
	size_t at;
	const char *nul = text.n ? memchr(text.p, '\0', text.n) : NULL;

	if (nul)
		PARSE_WRONG0(ps, RULE_NUL_BYTE, slice_between(nul, nul + 1));
	else if (!utf8_check(text, &at))
		PARSE_WRONG0(ps, RULE_BAD_UTF8, slice_between(text.p + at, text.p + at + 1));
	check_controls(ps, text);
}

/* ---- fields */

static void list_uses(struct buf *out, const struct event_def *event, const struct line *l, unsigned shape)
{
	size_t start = out->n;

	for (int i = 0; i < event->nuses; i++) {
		if (shape && !(event->uses[i].shape & shape))
			continue;
		if (shape == USE_NEEDED && l->slot[event->uses[i].field->id])
			continue;
		if (out->n > start)
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
		PARSE_WRONG(ps, RULE_FIELD_NOT_HERE, key, key, event->name, buf_slice(&words));
	} else {
		if (near.n) {
			buf_str(&words, "perhaps ");
			buf_add(&words, near);
			buf_str(&words, "=?");
		} else {
			buf_add(&words, event->name);
			buf_str(&words, " takes ");
			list_uses(&words, event, &ps->line, 0);
		}
		PARSE_WRONG(ps, RULE_FIELD_UNKNOWN, key, key, buf_slice(&words));
	}
	buf_release(&words);
}

/* Which field is at p; *value is set to the byte after its =. NULL where it is not a field of the event. */
static const struct field_use *find_use(struct parser *ps, const char *p, const char *end, const char **value)
{
	const char *stop = p;
	const struct field_use *use;

	if (!parse_is_key(p, end))
		return NULL;
	while (*stop != '=')
		stop++;
	*value = stop + 1;
	use = vocab_use(ps->line.event, slice_between(p, stop));
	if (!use)
		field_wrong(ps, slice_between(p, stop));
	return use;
}

static const struct field_use *expected_use(const struct event_cache *g, size_t i, const char *p, const char *end, const char **value)
{
	struct slice name;

	if (i >= g->n)
		return NULL;
	name = g->use[i]->field->name;
	if ((size_t)(end - p) <= name.n || !bytes_eq(p, name.p, name.n) || p[name.n] != '=')
		return NULL;
	*value = p + name.n + 1;
	return g->use[i];
}

static void remember(struct event_cache *g, size_t i, const struct field_use *use)
{
	if (i >= sizeof g->use / sizeof *g->use)
		return;
	g->use[i] = use;
	g->n = (uint8_t)(i + 1);
}

/* One more of a field that the line has already. */
static void count_again(struct parser *ps, struct slice key, const struct field_use *use)
{
	for (size_t i = 0; i < ps->nagain; i++)
		if (ps->again[i].use == use) {
			ps->again[i].times++;
			return;
		}
	ps->again[ps->nagain++] = (struct repeated_field){ use, key, 2 };
	ps->bad = true;
}

/* Of each field that the line has more than once, how often. */
static void tell_again(struct parser *ps)
{
	struct buf times = BUF_INIT;

	for (size_t i = 0; i < ps->nagain; i++) {
		const struct repeated_field *again = &ps->again[i];

		times.n = 0;
		if (again->times == 2)
			buf_str(&times, "twice");
		else
			buf_printf(&times, "%u times", again->times);
		PARSE_WRONG(ps, RULE_FIELD_TWICE, again->key, again->key, buf_slice(&times));
	}
	buf_release(&times);
}

static struct field *next_field(struct parser *ps, const struct field_use *use, const char *p, const char *value)
{
	struct line *l = &ps->line;
	struct field *f = &l->field[l->nfields];

	*f = (struct field){ .use = use, .key = slice_between(p, value - 1), .first = ps->nitems };
	if (l->slot[use->field->id]) {
		count_again(ps, f->key, use);
		return NULL;
	}
	l->slot[use->field->id] = (uint8_t)++l->nfields;
	ps->needed = (uint8_t)(ps->needed + !!(use->shape & USE_NEEDED));
	ps->one_of |= (use->shape & USE_ONE_OF) != 0;
	return f;
}

/* The field at p; returns where it ends. */
static const char *parse_field(struct parser *ps, const char *p, const char *end)
{
	struct event_cache *g = &ps->cache[ps->line.event->id];
	const char *value = NULL, *stop;
	const struct field_use *use = expected_use(g, ps->line.nfields, p, end, &value);
	struct field *f;

	if (!use) {
		use = find_use(ps, p, end, &value);
		if (!use)
			return value ? token_value_end(value, end) : parse_stray(ps, p, end);
		remember(g, ps->line.nfields, use);
	}
	f = next_field(ps, use, p, value);
	if (!f)
		return token_value_end(value, end);
	if (token_stops(value, end)) {
		if (parse_spaced(ps, f, value, end, &stop))
			return stop;
		*parse_next_item(ps) = (struct item){ .label = slice_between(value, value), .text = slice_between(value, value) };
		f->n = 1;
		PARSE_WRONG(ps, RULE_VALUE_MISSING, slice_between(value, value), f->key);
		return value;
	}
	stop = parse_plain_item(ps, f, value, end);
	if (!stop)
		stop = parse_items(ps, f, value, end);
	f->text = slice_between(value, stop);
	return stop;
}

static void check_needed(struct parser *ps)
{
	const struct line *l = &ps->line;
	const struct event_def *event = l->event;
	struct buf words = BUF_INIT;

	if (ps->bad)
		return;
	if (ps->needed < ps->cache[event->id].needed) {
		list_uses(&words, event, l, USE_NEEDED);
		PARSE_WRONG(ps, RULE_FIELD_MISSING, l->word, event->name, buf_slice(&words));
	} else if (ps->cache[event->id].one_of && !ps->one_of) {
		list_uses(&words, event, l, USE_ONE_OF);
		PARSE_WRONG(ps, RULE_FIELD_ONE_OF, l->word, event->name, buf_slice(&words));
	}
	buf_release(&words);
}

/* ---- date, event and subject */

static void bad_entry_date(struct parser *ps, struct slice word)
{
	struct buf how = BUF_INIT;

	buf_str(&how, "write ");
	if (!value_mend_date(&how, word)) {
		how.n = 0;
		buf_str(&how, "start an entry with a date such as 2026-03-05, and a comment with #");
	}
	PARSE_WRONG(ps, RULE_DATE_MALFORMED, word, word, buf_slice(&how));
	if (how.n == sizeof "write 2026-03-05" - 1)
		parse_fix(ps, RULE_DATE_MALFORMED, word, slice_from(buf_slice(&how), 6));
	buf_release(&how);
}

static const char *parse_date(struct parser *ps, const char *p, const char *end)
{
	struct line *l = &ps->line;
	const char *stop = p + 10;
	char why[64];

	if (end - p > 10 && bytes_eq(p, ps->date, 10) && TOKEN_CLASS[(unsigned char)p[10]] & TOKEN_BLANK) {
		l->stamp.day = ps->day;
		l->date = slice_between(p, stop);
		return stop;
	}
	stop = token_word_end(p, end);
	l->date = slice_between(p, stop);
	switch (date_read(l->date, &l->stamp.day)) {
	case DATE_OK:
		memcpy(ps->date, p, 10);
		ps->day = l->stamp.day;
		return stop;
	case DATE_IMPOSSIBLE:
		date_why(l->date, why, sizeof why);
		PARSE_WRONG(ps, RULE_DATE_IMPOSSIBLE, l->date, l->date, slice_of(why));
		return NULL;
	case DATE_MALFORMED:
		break;
	}
	bad_entry_date(ps, l->date);
	return NULL;
}

static void bad_time(struct parser *ps, struct slice word)
{
	struct buf how = BUF_INIT;
	bool sure;

	buf_str(&how, "write ");
	sure = value_mend_time(&how, word);
	if (!sure) {
		how.n = 0;
		buf_str(&how, "write HH:MM or HH:MM:SS on the 24-hour clock, such as 09:30; if the offset matters, 09:30+12:00 (at most 18:00)");
	}
	PARSE_WRONG(ps, RULE_TIME_MALFORMED, word, word, buf_slice(&how));
	if (sure)
		parse_fix(ps, RULE_TIME_MALFORMED, word, slice_from(buf_slice(&how), 6));
	buf_release(&how);
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
	stop = token_word_end(p, end);
	l->time = slice_between(p, stop);
	if (!time_read(l->time, &l->stamp)) {
		bad_time(ps, l->time);
		return NULL;
	}
	return token_skip_blanks(stop, end);
}

static const char *parse_event(struct parser *ps, const char *p, const char *end)
{
	struct line *l = &ps->line;
	const struct event_def *last = l->event;
	const char *stop = token_word_end(p, end);
	struct buf near = BUF_INIT;
	struct slice word = slice_between(p, stop), best;

	l->word = word;
	if (!word.n || word.p[0] == '#') {
		PARSE_WRONG0(ps, RULE_EVENT_MISSING, slice_between(l->date.p + l->date.n, l->date.p + l->date.n));
		return NULL;
	}
	l->event = last && slice_eq(last->name, word) ? last : vocab_event(ps->vocab, word);
	if (l->event)
		return token_skip_blanks(stop, end);
	best = vocab_near_event(ps->vocab, word);
	buf_str(&near, best.n ? "perhaps '" : "run wy-check --events for a list of the events");
	buf_add(&near, best);
	buf_str(&near, best.n ? "'?" : "");
	PARSE_WRONG(ps, RULE_EVENT_UNKNOWN, word, word, buf_slice(&near));
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

static bool subject_fits(unsigned subjects, struct slice s)
{
	bool slash = slice_find(s, '/') < s.n;
	const char *end = s.p + s.n;

	if (token_id_end(s.p, end, true) != end)
		return false;
	if (subjects == SUBJECT_CURRENCY)
		return s.n == 3 && vocab_currency(s.p) >= 0;
	if (subjects == SUBJECT_PIECE)
		return slash;
	return !slash || subjects & SUBJECT_SLASHED;
}

static const char *parse_subject(struct parser *ps, const char *p, const char *end)
{
	struct line *l = &ps->line;
	const char *stop = token_word_end(p, end);
	struct slice word = slice_between(p, stop);
	struct buf kinds = BUF_INIT;
	bool missing = !word.n || word.p[0] == '#' || slice_find(word, '=') < word.n;

	l->subject = word;
	if (!missing && subject_fits(l->event->subjects, word))
		return stop;
	subject_kinds(&kinds, l->event->subjects);
	if (missing)
		PARSE_WRONG(ps, RULE_SUBJECT_MISSING, slice_between(p, p), l->event->name, buf_slice(&kinds));
	else
		PARSE_WRONG(ps, RULE_SUBJECT_MALFORMED, word, word, buf_slice(&kinds));
	buf_release(&kinds);
	return missing ? p : stop;
}

static void parse_fields(struct parser *ps, const char *p, const char *end)
{
	for (;;) {
		p = token_skip_blanks(p, end);
		if (p == end)
			return;
		if (*p == '#') {
			ps->line.remark = slice_between(p, end);
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
	l->remark = slice_between(text.p + text.n, text.p + text.n);
	ps->nitems = 0;
	ps->unitless = NULL;
	ps->needed = 0;
	ps->one_of = false;
	ps->bad = false;
	ps->nagain = 0;
}

/* Lines that start with # speak to the reader of the file: a version, or an end that broke off. */
static void check_remark(struct parser *ps, struct slice text)
{
	struct slice word;

	if (slice_starts(text, SLICE("#! incomplete"))) {
		PARSE_WRONG0(ps, RULE_INCOMPLETE, text);
		return;
	}
	if (ps->line.number != 1 || ps->within || !slice_starts(text, SLICE("# withy ")))
		return;
	word = slice_trim(slice_from(text, 8));
	if (word.n && (unsigned char)(word.p[0] - '0') <= 9 && !slice_eq(word, SLICE("1")))
		PARSE_WRONG(ps, RULE_VERSION_UNKNOWN, word, word);
}

/* How many of one character a conflict's mark has at least. */
enum { MERGE_MARK_LEAST = 7 };

/* Whether the line is a mark that a merge left, and reports it. */
static bool is_merge_mark(struct parser *ps, struct slice text)
{
	static const char MARKS[] = "<|=>";
	static const char *const WHAT[] = { "the lines of one side follow", "the lines of the base follow", "the lines of the other side follow",
		"the conflict ends here" };
	const char *mark = text.n >= MERGE_MARK_LEAST ? strchr(MARKS, text.p[0]) : NULL;
	size_t n = 0;

	if (!mark || !*mark)
		return false;
	while (n < text.n && text.p[n] == *mark)
		n++;
	if (n < MERGE_MARK_LEAST || (n < text.n && text.p[n] != ' '))
		return false;
	PARSE_WRONG(ps, RULE_MERGE_MARK, text, slice_upto(text, n), slice_of(WHAT[mark - MARKS]));
	return true;
}

static void parse_entry(struct parser *ps, const char *p, const char *end)
{
	p = parse_date(ps, p, end);
	if (p)
		p = parse_time(ps, token_skip_blanks(p, end), end);
	if (p)
		p = parse_event(ps, p, end);
	if (!p)
		return;
	p = parse_subject(ps, p, end);
	parse_fields(ps, p, end);
	if (ps->nagain)
		tell_again(ps);
	if (ps->needed < ps->cache[ps->line.event->id].needed || ps->one_of != ps->cache[ps->line.event->id].one_of)
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

const struct line *parse_line(struct parser *ps, struct slice text, uint64_t number, uint32_t file)
{
	struct line *l = &ps->line;
	const char *p, *end;

	line_reset(ps, text, number, file);
	if (text.n > LINE_LONGEST) {
		PARSE_WRONG0(ps, RULE_LINE_OVER_LIMIT, slice_upto(text, 1));
		l->kind = LINE_BAD;
		return l;
	}
	if (!is_plain(text))
		check_bytes(ps, text);
	end = text.p + text.n;
	p = token_skip_blanks(text.p, end);
	l->kind = p == end ? LINE_BLANK : *p == '#' ? LINE_REMARK : LINE_EVENT;
	if (l->kind == LINE_REMARK)
		check_remark(ps, slice_between(p, end));
	else if (l->kind == LINE_EVENT && !ps->bad && !is_merge_mark(ps, text))
		parse_entry(ps, p, end);
	if (ps->bad)
		l->kind = LINE_BAD;
	else if (l->kind == LINE_EVENT) {
		if (!ps->cache[l->event->id].learnt)
			parse_fast_learn(ps);
		parse_alike_learn(ps);
	}
	return l;
}
