#include "wood/reckon_words.h"

#include "wood/reckon_rows.h"

static void complain(struct reckon_complaints *wrong, struct buf *text)
{
	buf_add(&wrong->text, buf_slice(text));
	buf_char(&wrong->text, '\0');
	buf_release(text);
}

/* The same of the use itself; always false. */
static bool misuse(struct reckon_complaints *wrong, struct buf *text)
{
	complain(wrong, text);
	wrong->misused = true;
	return false;
}

static const struct reckon_word *word_named(const struct reckon_words *words, const char *name)
{
	for (size_t i = 0; i < words->n; i++)
		if (slice_eq(words->at[i].name, slice_of(name)))
			return &words->at[i];
	return NULL;
}

/* ---- words */

/* NAME=VALUE; a word without = is the value itself, where the quantity has one. */
static bool split(const struct reckon_way *w, const char *operand, struct reckon_word *word, struct reckon_complaints *wrong)
{
	struct slice all = slice_of(operand);
	size_t at = slice_find(all, '=');
	struct buf text = BUF_INIT;

	if (at < all.n) {
		*word = (struct reckon_word){ slice_upto(all, at), slice_from(all, at + 1) };
		return true;
	}
	*word = (struct reckon_word){ SLICE("value"), all };
	if (reckon_any_takes(w, word->name))
		return true;
	buf_printf(&text, "'%s' has no name; write %s=%s, for example", operand, w->arg[0].name, w->arg[0].sample);
	return misuse(wrong, &text);
}

/* Whether the quantity knows this word, and sees it for the first time. */
static bool is_good(const struct reckon_way *w, const struct reckon_words *before, const struct reckon_word *word, struct reckon_complaints *wrong)
{
	struct slice near = reckon_near_arg(w, word->name);
	int n = (int)word->name.n;
	struct buf text = BUF_INIT;

	if (!reckon_any_takes(w, word->name))
		buf_printf(&text, "'%.*s' is not a word of %s%s%.*s%s", n, word->name.p, w->quantity,
			near.n ? "; perhaps " : "", (int)near.n, near.p, near.n ? "?" : "");
	for (size_t i = 0; i < before->n && !text.n; i++)
		if (slice_eq(before->at[i].name, word->name))
			buf_printf(&text, "%.*s is given twice", n, word->name.p);
	if (!text.n)
		return true;
	complain(wrong, &text);
	return false;
}

static bool take(struct reckon_words *words, const struct reckon_way *way, char **operands, size_t n, struct reckon_complaints *wrong)
{
	struct buf text = BUF_INIT;
	bool good = true;

	words->n = 0;
	if (n > RECKON_WORDS_MOST) {
		buf_printf(&text, "more than %d words", RECKON_WORDS_MOST);
		return misuse(wrong, &text);
	}
	for (size_t i = 0; i < n; i++) {
		struct reckon_word word;

		if (!split(way, operands[i], &word, wrong))
			return false;
		good = is_good(way, words, &word, wrong) && good;
		words->at[words->n++] = word;
	}
	return good;
}

/* ---- choosing the way */

static bool takes_all(const struct reckon_way *w, const struct reckon_words *words)
{
	for (size_t i = 0; i < words->n; i++)
		if (reckon_arg_at(w, words->at[i].name) < 0)
			return false;
	return true;
}

/* Adds what the way still lacks, "temp and rh, as in temp=20C rh=55%", to `out`; how many. */
static size_t add_lacking(const struct reckon_way *w, const struct reckon_words *words, struct buf *out)
{
	struct buf names = BUF_INIT, samples = BUF_INIT;
	size_t n = 0;

	for (int i = 0; i < reckon_nargs(w); i++) {
		if (w->arg[i].may || word_named(words, w->arg[i].name))
			continue;
		buf_printf(&names, "%s%s", n ? " and " : "", w->arg[i].name);
		buf_printf(&samples, " %s=%s", w->arg[i].name, w->arg[i].sample);
		n++;
	}
	if (n)
		buf_printf(out, "%s%s, as in%s", out->n ? "; or " : "", buf_cstr(&names), buf_cstr(&samples));
	buf_release(&names);
	buf_release(&samples);
	return n;
}

static const struct reckon_way *way_of(const struct reckon_words *words, const struct reckon_way *first, struct reckon_complaints *wrong)
{
	struct buf lacking = BUF_INIT, text = BUF_INIT;

	for (const struct reckon_way *w = first; w; w = reckon_next(w)) {
		if (!takes_all(w, words) || add_lacking(w, words, &lacking) > 0)
			continue;
		buf_release(&lacking);
		return w;
	}
	if (lacking.n)
		buf_printf(&text, "missing: %s", buf_cstr(&lacking));
	else
		buf_printf(&text, "these words do not go together; see wy-reckon %s --help", first->quantity);
	buf_release(&lacking);
	misuse(wrong, &text);
	return NULL;
}

const struct reckon_way *reckon_words_take(struct reckon_words *words, const struct reckon_way *first, char **operands, size_t n,
	struct reckon_complaints *wrong)
{
	return take(words, first, operands, n, wrong) ? way_of(words, first, wrong) : NULL;
}

/* ---- values */

bool reckon_words_read(const struct reckon_words *words, const struct reckon_way *way, struct reckon_input *in, struct reckon_complaints *wrong)
{
	bool good = true;

	for (int i = 0; i < reckon_nargs(way); i++) {
		const struct reckon_word *word = word_named(words, way->arg[i].name);
		struct buf error = BUF_INIT;

		if (!word || reckon_read(&way->arg[i], word->text, &in[i], &error)) {
			buf_release(&error);
			continue;
		}
		complain(wrong, &error);
		good = false;
	}
	return good;
}

/* ---- columns */

static bool is_column(const struct reckon_word *word)
{
	return word->text.n && word->text.p[0] == '@';
}

bool reckon_words_any_column(const struct reckon_words *words)
{
	for (size_t i = 0; i < words->n; i++)
		if (is_column(&words->at[i]))
			return true;
	return false;
}

bool reckon_words_bind(const struct reckon_words *words, const struct reckon_way *way, struct reckon_rows *rows, struct reckon_complaints *wrong)
{
	struct reckon_input in[RECKON_ARGS] = { { .given = false } };
	struct reckon_words constants = { .n = 0 };

	for (size_t i = 0; i < words->n; i++) {
		if (is_column(&words->at[i]))
			reckon_rows_column(rows, reckon_arg_at(way, words->at[i].name), slice_from(words->at[i].text, 1));
		else
			constants.at[constants.n++] = words->at[i];
	}
	if (!reckon_words_read(&constants, way, in, wrong))
		return false;
	for (int i = 0; i < reckon_nargs(way); i++)
		if (in[i].given)
			reckon_rows_constant(rows, i, in[i]);
	return true;
}
