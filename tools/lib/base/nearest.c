#include "base/nearest.h"

enum { WORD_MOST = 64, SHORT_MOST = 3, MIDDLING_MOST = 8, CHANGES_MOST = 3 };

static size_t least(size_t a, size_t b)
{
	return a < b ? a : b;
}

size_t nearest_distance(struct slice word, struct slice other, size_t most)
{
	size_t row[3][WORD_MOST + 1];

	if (word.n > WORD_MOST || other.n > WORD_MOST)
		return slice_eq(word, other) ? 0 : most + 1;
	for (size_t j = 0; j <= other.n; j++)
		row[0][j] = j;
	for (size_t i = 1; i <= word.n; i++) {
		size_t *now = row[i % 3], *last = row[(i + 2) % 3], *before = row[(i + 1) % 3];
		size_t best = now[0] = i;

		for (size_t j = 1; j <= other.n; j++) {
			size_t change = last[j - 1] + (word.p[i - 1] != other.p[j - 1]);

			now[j] = least(change, least(last[j], now[j - 1]) + 1);
			if (i > 1 && j > 1 && word.p[i - 1] == other.p[j - 2] && word.p[i - 2] == other.p[j - 1])
				now[j] = least(now[j], before[j - 2] + 1);
			best = least(best, now[j]);
		}
		if (best > most)
			return most + 1;
	}
	return least(row[word.n % 3][other.n], most + 1);
}

/* How many changes a word of that length may have. */
static size_t changes_most(size_t letters)
{
	return letters <= SHORT_MOST ? 1 : letters <= MIDDLING_MOST ? 2 : CHANGES_MOST;
}

/* A word that begins with a letter and has a digit. */
static bool is_id(struct slice word)
{
	bool letter = word.n && (unsigned)((word.p[0] | 0x20) - 'a') < 26;

	for (size_t i = 1; letter && i < word.n; i++)
		if ((unsigned)(word.p[i] - '0') < 10)
			return true;
	return false;
}

/* An id's first letter says of what it is. */
static bool is_other_kind(struct slice word, struct slice known)
{
	return is_id(word) && is_id(known) && word.p[0] != known.p[0];
}

bool nearest_lengths(struct slice word, struct slice known)
{
	size_t most = changes_most(word.n);

	return known.n <= word.n + most && word.n <= known.n + most;
}

static char small_letter(char c)
{
	return c >= 'A' && c <= 'Z' ? (char)(c | 0x20) : c;
}

static bool is_same_but_case(struct slice word, struct slice known)
{
	size_t i = 0;

	if (word.n != known.n)
		return false;
	while (i < word.n && small_letter(word.p[i]) == small_letter(known.p[i]))
		i++;
	return i == word.n;
}

bool nearest_is_near(struct slice word, struct slice known, size_t *distance)
{
	size_t most = changes_most(word.n);

	if (is_same_but_case(word, known)) {
		*distance = 0;
		return known.n;
	}
	if (!nearest_lengths(word, known))
		return false;
	*distance = nearest_distance(word, known, most);
	if (*distance > 1 && is_other_kind(word, known))
		return false;
	return *distance <= most && *distance < known.n;
}

struct nearest nearest_to(struct slice word)
{
	return (struct nearest){ word, SLICE(""), CHANGES_MOST + 1 };
}

void nearest_try(struct nearest *n, struct slice known)
{
	size_t distance;

	if (!nearest_is_near(n->word, known, &distance) || distance >= n->distance)
		return;
	n->best = known;
	n->distance = distance;
}

struct slice nearest_word(struct slice word, const struct slice *known, size_t n)
{
	struct nearest near = nearest_to(word);

	for (size_t i = 0; i < n; i++)
		nearest_try(&near, known[i]);
	return near.best;
}

struct slice nearest_cstr(struct slice word, const char *const *known)
{
	struct nearest near = nearest_to(word);

	for (; *known; known++)
		nearest_try(&near, slice_of(*known));
	return near.best;
}

void nearest_say(struct buf *out, struct slice best, const char *otherwise)
{
	if (best.n)
		buf_printf(out, "perhaps %.*s? Otherwise check %s", (int)best.n, best.p, otherwise);
	else
		buf_printf(out, "check the ID and %s", otherwise);
}
