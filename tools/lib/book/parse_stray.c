#include "book/parse_internal.h"

bool parse_is_key(const char *p, const char *end)
{
	const char *stop = p;

	while (token_is(stop, end, TOKEN_ID))
		stop++;
	return stop > p && stop < end && *stop == '=';
}

/* A text without quotation marks, and the values of a list with spaces in it, are one mistake up to the next field. */
static const char *stray_end(const char *p, const char *end)
{
	const char *stop, *next = p;

	do {
		stop = token_value_end(next, end);
		next = token_skip_blanks(stop, end);
	} while (next < end && *next != '#' && !parse_is_key(next, end));
	return stop;
}

/* Adds the words with `between` in place of the spaces; none where a word ends in a comma or the next starts with one. */
static void add_joined(struct buf *out, struct slice words, char between)
{
	const char *p = words.p, *end = words.p + words.n;

	while (p < end) {
		const char *stop = token_word_end(p, end), *next = token_skip_blanks(stop, end);

		buf_add(out, slice_between(p, stop));
		if (next < end && between && stop[-1] != ',' && *next != ',' && stop[-1] != '=' && *next != '=')
			buf_char(out, between);
		p = next;
	}
}

void parse_add_quoted(struct buf *out, struct slice words)
{
	buf_char(out, '"');
	for (size_t i = 0; i < words.n; i++) {
		if (words.p[i] == '"' || words.p[i] == '\\')
			buf_char(out, '\\');
		buf_char(out, words.p[i]);
	}
	buf_char(out, '"');
}

/* The field that ends where the words begin; NULL where there is none. */
static const struct field *field_before(const struct parser *ps)
{
	return ps->line.nfields ? &ps->line.field[ps->line.nfields - 1] : NULL;
}

/* with = wax: the words are a field with spaces round its =. */
static bool add_unspaced(struct buf *out, struct slice words)
{
	size_t equals = slice_find(words, '=');
	struct buf joined = BUF_INIT;
	bool good;

	add_joined(&joined, words, 0);
	good = equals < words.n && joined.n > 2 && parse_is_key(joined.p, joined.p + joined.n) && joined.p[joined.n - 1] != '=';
	if (good)
		buf_printf(out, "put no spaces around =: %.*s", (int)joined.n, joined.p);
	buf_release(&joined);
	return good;
}

/* The value of the field with all the words in it: quoted in a text, without spaces in a list, with - in an id. */
static void add_value(struct buf *out, const struct field_use *use, struct slice whole)
{
	const struct slice name = use->field->name;
	bool text = use->type == TYPE_TEXT, id = use->type == TYPE_ID;

	buf_printf(out, "%s: %.*s=", text ? "put the text in quotation marks" : id ? "an id has no spaces" : "put no spaces in a value",
		(int)name.n, name.p);
	if (text)
		parse_add_quoted(out, whole);
	else
		add_joined(out, whole, id ? '-' : 0);
}

/* Whether all the words are of characters that an id has. */
static bool are_ids(struct slice words)
{
	for (size_t i = 0; i < words.n; i++)
		if (!(TOKEN_CLASS[(unsigned char)words.p[i]] & (TOKEN_ID | TOKEN_BLANK)))
			return false;
	return true;
}

/* Adds the value with the words in it, where they can be more of it. */
static bool add_more(struct buf *out, const struct field *f, struct slice words)
{
	if (!f || !f->text.n || (f->use->type == TYPE_TEXT && f->text.p[0] == '"'))
		return false;
	if (f->use->type != TYPE_TEXT && f->text.p[f->text.n - 1] != ',' && (words.p[0] != ',' || words.n == 1)
			&& (f->use->type != TYPE_ID || !are_ids(words)))
		return false;
	add_value(out, f->use, slice_between(f->text.p, words.p + words.n));
	return true;
}

static bool has_word(struct slice words)
{
	for (size_t i = 0; i < words.n; i++)
		if (TOKEN_CLASS[(unsigned char)words.p[i]] & TOKEN_ID || (unsigned char)words.p[i] >= 0x80)
			return true;
	return false;
}

static void add_how(const struct parser *ps, struct buf *out, struct slice words)
{
	const struct field *f = field_before(ps);
	bool more;

	if (add_unspaced(out, words))
		return;
	if (!has_word(words)) {
		buf_str(out, "remove it");
		return;
	}
	more = add_more(out, f, words);
	if (more && f->text.p[f->text.n - 1] == ',')
		return;
	buf_str(out, more ? "; or make it a comment: # " : "write it as a field, such as by=NAME, or make it a comment: # ");
	buf_add(out, words);
}

/* What `how` says to write, where it says one thing: the words after its colon. */
static void fix_as_said(struct parser *ps, struct slice part, struct slice how)
{
	static const char *const SAID[] = { "put no spaces around =: ", "put no spaces in a value: ", "put the text in quotation marks: " };

	for (size_t i = 0; i < sizeof SAID / sizeof *SAID; i++)
		if (slice_starts(how, slice_of(SAID[i])))
			parse_fix(ps, RULE_FIELD_MALFORMED, part, slice_from(how, strlen(SAID[i])));
}

const char *parse_stray(struct parser *ps, const char *p, const char *end)
{
	struct slice words = slice_between(p, stray_end(p, end));
	const struct field *f = field_before(ps);
	struct buf how = BUF_INIT;
	bool unspaced = add_unspaced(&how, words);

	how.n = 0;
	add_how(ps, &how, words);
	PARSE_WRONG(ps, RULE_FIELD_MALFORMED, slice_between(p, token_word_end(p, end)), words, buf_slice(&how));
	if (unspaced)
		fix_as_said(ps, words, buf_slice(&how));
	else if (f && f->text.n && f->use->type != TYPE_TEXT && f->text.p[f->text.n - 1] == ',')
		fix_as_said(ps, slice_between(f->key.p, words.p + words.n), buf_slice(&how));
	buf_release(&how);
	return words.p + words.n;
}

bool parse_goes_on(const char *p, const char *end)
{
	const char *next = token_skip_blanks(p, end);

	return next > p && next < end && *next != '#' && !parse_is_key(next, end);
}

bool parse_spaced(struct parser *ps, const struct field *f, const char *value, const char *end, const char **stop)
{
	const char *next = token_skip_blanks(value, end);
	struct buf how = BUF_INIT;

	if (!parse_goes_on(value, end))
		return false;
	*stop = stray_end(next, end);
	if (f->use->type == TYPE_TEXT)
		add_value(&how, f->use, slice_between(next, *stop));
	else
		add_unspaced(&how, slice_between(f->key.p, *stop));
	PARSE_WRONG(ps, RULE_FIELD_MALFORMED, slice_between(f->key.p, value), slice_between(f->key.p, *stop), buf_slice(&how));
	fix_as_said(ps, slice_between(f->key.p, *stop), buf_slice(&how));
	buf_release(&how);
	return true;
}
