#include "jot/jot_choices.h"

#include <stdlib.h>

enum { LISTED_MOST = 12 };

void jot_choices_release(struct jot_choices *c)
{
	free(c->at);
	*c = (struct jot_choices){ .n = 0 };
}

void jot_choices_add(struct jot_choices *c, struct slice word, struct slice help)
{
	c->at = mem_grow(c->at, &c->cap, c->n + 1, sizeof *c->at);
	c->at[c->n++] = (struct jot_choice){ word, help };
}

static int by_word(const void *a, const void *b)
{
	const struct jot_choice *x = a, *y = b;

	return slice_cmp(x->word, y->word);
}

void jot_choices_sort(struct jot_choices *c)
{
	size_t n = 0;

	if (c->n)
		qsort(c->at, c->n, sizeof *c->at, by_word);
	for (size_t i = 0; i < c->n; i++)
		if (n == 0 || !slice_eq(c->at[n - 1].word, c->at[i].word))
			c->at[n++] = c->at[i];
	c->n = n;
}

/* What follows the slash of a word, or the word. */
static struct slice tail_of(struct slice word)
{
	size_t slash = slice_find(word, '/');

	return slash < word.n ? slice_from(word, slash + 1) : word;
}

/* How well a choice goes with what is typed: 3 it is it, 2 its tail is it, 1 it begins so, 0 not at all. */
static int fit_of(struct slice word, struct slice typed)
{
	struct slice tail = tail_of(word);

	if (slice_eq(word, typed))
		return 3;
	if (slice_eq(tail, typed))
		return 2;
	return slice_starts(word, typed) || slice_starts(tail, typed);
}

enum jot_found jot_choices_find(const struct jot_choices *c, struct slice typed, struct slice *word)
{
	int best = 0;
	size_t n = 0;

	for (size_t i = 0; i < c->n && typed.n; i++) {
		int fit = fit_of(c->at[i].word, typed);

		if (fit > best) {
			best = fit;
			n = 0;
		}
		if (!fit || fit != best || (n && slice_eq(*word, c->at[i].word)))
			continue;
		*word = c->at[i].word;
		n++;
	}
	return n == 0 ? JOT_NONE : n == 1 ? JOT_ONE : JOT_MANY;
}

void jot_choices_list(const struct jot_choices *c, struct slice typed, struct buf *out)
{
	size_t all = 0, n = 0;

	for (size_t i = 0; i < c->n; i++)
		all += !typed.n || fit_of(c->at[i].word, typed);
	for (size_t i = 0; i < c->n && n < LISTED_MOST; i++) {
		if (typed.n && !fit_of(c->at[i].word, typed))
			continue;
		if (n)
			buf_str(out, n + 1 == all ? " or " : ", ");
		buf_add(out, c->at[i].word);
		n++;
	}
	if (n < all)
		buf_printf(out, " or %zu more", all - n);
}
