#include "intake/guess_internal.h"

enum { WORD_MOST = 120 }; /* bytes: a longer text is prose, and no word that a column repeats */

void guess_word_add(struct guess_words *words, struct slice text)
{
	for (size_t i = 0; i < words->n; i++)
		if (slice_eq(buf_slice(&words->word[i].text), text)) {
			words->word[i].n++;
			return;
		}
	if (words->n == GUESS_WORDS || text.n > WORD_MOST) {
		words->more = true;
		return;
	}
	words->word[words->n] = (struct guess_word){ BUF_INIT, 1 };
	buf_add(&words->word[words->n++].text, text);
}

void guess_words_release(struct guess_words *words)
{
	for (size_t i = 0; i < words->n; i++)
		buf_release(&words->word[i].text);
	words->n = 0;
}
