#include "base/json.h"

#include "base/utf8.h"

struct json {
	const char *p, *end, *start;
	json_leaf_fn *take;
	void *arg;
	struct json_error *error;
	struct buf key, text;
	int depth;
};

static bool fail(struct json *j, const char *at, const char *text)
{
	if (!j->error->text)
		*j->error = (struct json_error){ (size_t)(at - j->start) + 1, text };
	return false;
}

static void skip_blanks(struct json *j)
{
	while (j->p < j->end && (*j->p == ' ' || *j->p == '\t' || *j->p == '\n' || *j->p == '\r'))
		j->p++;
}

/* Whether the next character is `c`, which is then passed. */
static bool next_is(struct json *j, char c)
{
	skip_blanks(j);
	if (j->p == j->end || *j->p != c)
		return false;
	j->p++;
	return true;
}

/* --- strings ------------------------------------------------------------------------------------ */

static int hex_digit(char c)
{
	if (c >= '0' && c <= '9')
		return c - '0';
	if (c >= 'a' && c <= 'f')
		return c - 'a' + 10;
	return c >= 'A' && c <= 'F' ? c - 'A' + 10 : -1;
}

/* The four digits after \u; -1 when they are not there. */
static int32_t unit(const struct json *j, const char *p)
{
	int32_t v = 0;

	for (int i = 0; i < 4; i++) {
		int d = p + i < j->end ? hex_digit(p[i]) : -1;

		if (d < 0)
			return -1;
		v = v * 16 + d;
	}
	return v;
}

/* A lone half of a surrogate pair becomes U+FFFD. */
static bool read_unicode(struct json *j, struct buf *out)
{
	int32_t v = unit(j, j->p), low;

	if (v < 0)
		return fail(j, j->p - 2, "\\u requires four hexadecimal digits");
	j->p += 4;
	if (v >= 0xd800 && v <= 0xdbff && j->end - j->p >= 6 && j->p[0] == '\\' && j->p[1] == 'u' &&
	    (low = unit(j, j->p + 2)) >= 0xdc00 && low <= 0xdfff) {
		j->p += 6;
		v = 0x10000 + ((v - 0xd800) << 10) + (low - 0xdc00);
	}
	utf8_add(out, v >= 0xd800 && v <= 0xdfff ? 0xfffd : (uint32_t)v);
	return true;
}

static bool read_escape(struct json *j, struct buf *out)
{
	static const char from[] = "\"\\/bfnrt", to[] = "\"\\/\b\f\n\r\t";
	const char *which = j->p < j->end && *j->p ? strchr(from, *j->p) : NULL;

	if (j->p < j->end && *j->p == 'u') {
		j->p++;
		return read_unicode(j, out);
	}
	if (!which)
		return fail(j, j->p - 1, "this is not a valid escape in a string");
	buf_char(out, to[which - from]);
	j->p++;
	return true;
}

/* After the opening quote. */
static bool read_string(struct json *j, struct buf *out)
{
	const char *open = j->p - 1;

	while (j->p < j->end && *j->p != '"') {
		if ((unsigned char)*j->p < 0x20)
			return fail(j, j->p, "a string has a control character; write it as an escape");
		if (*j->p == '\\') {
			j->p++;
			if (!read_escape(j, out))
				return false;
		} else {
			buf_char(out, *j->p++);
		}
	}
	if (j->p == j->end)
		return fail(j, open, "the string is not closed");
	j->p++;
	return true;
}

/* --- numbers and words -------------------------------------------------------------------------- */

static const char *digits(const struct json *j, const char *p)
{
	while (p < j->end && *p >= '0' && *p <= '9')
		p++;
	return p;
}

/* Where the number that starts at p ends; NULL when it is not one. */
static const char *number_end(const struct json *j, const char *p)
{
	const char *from = p + (p < j->end && *p == '-');

	p = digits(j, from);
	if (p == from || (*from == '0' && p > from + 1))
		return NULL;
	if (p < j->end && *p == '.') {
		from = p + 1;
		p = digits(j, from);
		if (p == from)
			return NULL;
	}
	if (p < j->end && (*p == 'e' || *p == 'E')) {
		from = p + 1;
		from += from < j->end && (*from == '-' || *from == '+');
		p = digits(j, from);
		if (p == from)
			return NULL;
	}
	return p;
}

static bool leaf(struct json *j, enum json_kind kind, struct slice text, const char *at)
{
	struct json_leaf l = { buf_slice(&j->key), text, kind, (size_t)(at - j->start) + 1 };

	j->take(j->arg, &l);
	return true;
}

static bool read_plain(struct json *j)
{
	static const struct { struct slice word; enum json_kind kind; } words[] = {
		{ { "true", 4 }, JSON_TRUE }, { { "false", 5 }, JSON_FALSE }, { { "null", 4 }, JSON_NULL },
	};
	const char *at = j->p, *end = number_end(j, at);

	for (size_t i = 0; i < sizeof words / sizeof *words; i++)
		if (slice_starts(slice_between(at, j->end), words[i].word)) {
			j->p += words[i].word.n;
			return leaf(j, words[i].kind, words[i].word, at);
		}
	if (!end)
		return fail(j, at, "this is not a JSON value");
	j->p = end;
	return leaf(j, JSON_NUMBER, slice_between(at, end), at);
}

/* --- values ------------------------------------------------------------------------------------- */

static bool read_value(struct json *j);

static bool read_items(struct json *j)
{
	size_t key_n = j->key.n, i = 0;

	if (next_is(j, ']'))
		return true;
	do {
		buf_printf(&j->key, "%s%zu", key_n ? "." : "", ++i);
		if (!read_value(j))
			return false;
		j->key.n = key_n;
	} while (next_is(j, ','));
	return next_is(j, ']') || fail(j, j->p, "an array requires , or ] here");
}

static bool read_members(struct json *j)
{
	size_t key_n = j->key.n;

	if (next_is(j, '}'))
		return true;
	do {
		if (!next_is(j, '"'))
			return fail(j, j->p, "an object requires a key in quotes here");
		if (key_n)
			buf_char(&j->key, '.');
		if (!read_string(j, &j->key))
			return false;
		if (!next_is(j, ':'))
			return fail(j, j->p, "a : is required after a key");
		if (!read_value(j))
			return false;
		j->key.n = key_n;
	} while (next_is(j, ','));
	return next_is(j, '}') || fail(j, j->p, "an object requires , or } here");
}

static bool read_value(struct json *j)
{
	const char *at;
	bool good;

	skip_blanks(j);
	at = j->p;
	if (next_is(j, '"')) {
		j->text.n = 0;
		return read_string(j, &j->text) && leaf(j, JSON_STRING, buf_slice(&j->text), at);
	}
	if (at == j->end || (*at != '{' && *at != '['))
		return read_plain(j);
	if (++j->depth > JSON_DEPTH)
		return fail(j, at, "the values are nested too deeply");
	good = next_is(j, '{') ? read_members(j) : next_is(j, '[') && read_items(j);
	j->depth--;
	return good;
}

bool json_read(struct slice text, json_leaf_fn *take, void *arg, struct json_error *error)
{
	struct json j = { .p = text.p, .end = text.p + text.n, .start = text.p, .take = take, .arg = arg, .error = error };
	size_t bad = 0;
	bool good;

	*error = (struct json_error){ 0, NULL };
	skip_blanks(&j);
	if (!utf8_check(text, &bad))
		good = fail(&j, text.p + bad, "this is not UTF-8");
	else if (j.p == j.end || *j.p != '{')
		good = fail(&j, j.p, "a line must be one JSON object, which starts with {");
	else
		good = read_value(&j);
	skip_blanks(&j);
	if (good && j.p < j.end)
		good = fail(&j, j.p, "something follows the object");
	buf_release(&j.key);
	buf_release(&j.text);
	return good;
}
