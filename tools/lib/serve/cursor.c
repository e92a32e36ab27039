#include "serve/cursor.h"

#include "book/token.h"

static struct slice before(struct slice word, const char *place)
{
	size_t n = place < word.p ? 0 : (size_t)(place - word.p);

	return slice_upto(word, n < word.n ? n : word.n);
}

/* The word at p: of a field with its value, quoted or not. */
static const char *word_end(const char *p, const char *end)
{
	const char *equals = p;

	while (token_is(equals, end, TOKEN_ID))
		equals++;
	if (equals < end && equals > p && *equals == '=')
		return token_value_end(equals + 1, end);
	return token_word_end(p, end);
}

static bool is_time(struct slice word)
{
	return word.n && word.p[0] >= '0' && word.p[0] <= '9';
}

/* The item of a value that holds the place: its label, or what comes after that. */
static void find_item(struct cursor *c, const char *p, const char *end, const char *place)
{
	const char *stop = token_item_end(p, end), *colon;

	while (stop < end && place > stop && *stop == ',') {
		p = stop + 1;
		stop = token_item_end(p, end);
	}
	colon = memchr(p, ':', (size_t)(stop - p));
	if (p < stop && *p == '"')
		colon = NULL;
	c->labelled = colon != NULL;
	c->part = colon && place <= colon ? CURSOR_LABEL : CURSOR_VALUE;
	if (colon && place <= colon)
		c->word = slice_between(p, colon);
	else
		c->word = slice_between(colon ? colon + 1 : p, stop);
}

static void find_in_field(struct cursor *c, struct slice word, const char *end, const char *place)
{
	size_t equals = slice_find(word, '=');

	c->key = slice_upto(word, equals);
	c->use = c->event ? vocab_use(c->event, c->key) : NULL;
	if (place > word.p + equals && equals < word.n)
		find_item(c, word.p + equals + 1, word.p + word.n < end ? word.p + word.n : end, place);
	else {
		c->part = CURSOR_KEY;
		c->word = c->key;
	}
}

/* The part that a word is, by those before it. */
static enum cursor_part next_part(enum cursor_part last, struct slice word)
{
	switch (last) {
	case CURSOR_DATE:
		return CURSOR_TIME_OR_EVENT;
	case CURSOR_TIME_OR_EVENT:
		return is_time(word) ? CURSOR_EVENT : CURSOR_SUBJECT;
	case CURSOR_EVENT:
		return CURSOR_SUBJECT;
	default:
		return CURSOR_KEY;
	}
}

static void pass_word(struct cursor *c, const struct vocab *vocab, struct slice word)
{
	if (c->part == CURSOR_DATE)
		c->date = word;
	else if (c->part == CURSOR_EVENT || (c->part == CURSOR_TIME_OR_EVENT && !is_time(word)))
		c->event = vocab_event(vocab, word);
	else if (c->part == CURSOR_SUBJECT)
		c->subject = word;
	c->part = next_part(c->part, word);
}

static void settle(struct cursor *c, const struct vocab *vocab, struct slice word, const char *end, const char *place)
{
	c->word = word;
	if (c->part == CURSOR_KEY)
		find_in_field(c, word, end, place);
	else if ((c->part == CURSOR_EVENT || c->part == CURSOR_TIME_OR_EVENT) && !is_time(word))
		c->event = vocab_event(vocab, word);
	c->typed = before(c->word, place);
}

struct cursor cursor_at(const struct vocab *vocab, struct slice text, size_t byte)
{
	const char *p = text.p, *end = text.p + text.n, *place = text.p + byte;
	struct cursor c = { .part = CURSOR_DATE };

	for (;;) {
		const char *start = token_skip_blanks(p, end), *stop;

		if (start > place || start == end) {
			c.word = c.typed = slice_between(place, place);
			return c;
		}
		if (*start == '#') {
			c.part = CURSOR_REMARK;
			c.word = slice_between(start, end);
			c.typed = slice_between(start, place);
			return c;
		}
		stop = c.part == CURSOR_KEY ? word_end(start, end) : token_word_end(start, end);
		if (place <= stop) {
			settle(&c, vocab, slice_between(start, stop), end, place);
			return c;
		}
		pass_word(&c, vocab, slice_between(start, stop));
		p = stop;
	}
}

bool cursor_has_field(struct slice text, struct slice key)
{
	const char *p = text.p, *end = text.p + text.n;

	for (;;) {
		const char *stop;

		p = token_skip_blanks(p, end);
		if (p == end || *p == '#')
			return false;
		stop = word_end(p, end);
		if ((size_t)(stop - p) > key.n && p[key.n] == '=' && slice_eq((struct slice){ p, key.n }, key))
			return true;
		p = stop > p ? stop : p + 1;
	}
}
