/* nearest.c: distances between words, and the one rule of what is near. */
#include "base/nearest.h"
#include "check.h"

static void distances(void)
{
	static const struct { const char *a, *b; size_t most, want; } list[] = {
		{ "grade", "grade", 2, 0 },
		{ "grade", "grades", 2, 1 },   /* insertion */
		{ "grades", "grade", 2, 1 },   /* deletion */
		{ "grade", "grape", 2, 1 },    /* replacement */
		{ "grade", "garde", 2, 1 },    /* swap of neighbours */
		{ "ab", "ba", 1, 1 },
		{ "ca", "abc", 5, 3 },         /* no letter is touched twice: optimal alignment, not the full distance 2 */
		{ "kitten", "sitting", 5, 3 }, /* from memory: the usual textbook example */
		{ "kitten", "sitting", 2, 3 }, /* more than `most` is `most` + 1 */
		{ "kitten", "sitting", 1, 2 },
		{ "", "abc", 5, 3 },
		{ "abc", "", 5, 3 },
		{ "", "", 0, 0 },
		{ "abc", "", 1, 2 },
		{ "", "abc", 1, 2 },
		{ "a", "b", 0, 1 },
	};

	for (size_t i = 0; i < sizeof list / sizeof *list; i++) {
		CHECK_CASE(i);
		CHECK_INT(nearest_distance(slice_of(list[i].a), slice_of(list[i].b), list[i].most), list[i].want);
	}
	CHECK_CASE(-1);
}

/* The textbook recurrence without bounds or early ends, as a check on the quick one. */
static size_t plain_distance(struct slice a, struct slice b)
{
	size_t d[9][9] = { { 0 } };

	for (size_t i = 0; i <= a.n; i++) {
		for (size_t j = 0; j <= b.n; j++) {
			size_t best = i > j ? i : j;

			if (i && j) {
				best = d[i - 1][j - 1] + (a.p[i - 1] != b.p[j - 1]);
				best = d[i - 1][j] + 1 < best ? d[i - 1][j] + 1 : best;
				best = d[i][j - 1] + 1 < best ? d[i][j - 1] + 1 : best;
			}
			if (i > 1 && j > 1 && a.p[i - 1] == b.p[j - 2] && a.p[i - 2] == b.p[j - 1]
					&& d[i - 2][j - 2] + 1 < best)
				best = d[i - 2][j - 2] + 1;
			d[i][j] = best;
		}
	}
	return d[a.n][b.n];
}

static struct slice random_word(char word[8], uint32_t *state)
{
	size_t n;

	*state = *state * 1664525u + 1013904223u;
	n = *state >> 29;
	for (size_t i = 0; i < n; i++) {
		*state = *state * 1664525u + 1013904223u;
		word[i] = (char)('a' + (*state >> 30));
	}
	return (struct slice){ word, n };
}

static void distances_by_the_book(void)
{
	uint32_t state = 1;
	char a[8], b[8];

	for (int i = 0; i < 20000; i++) {
		struct slice x = random_word(a, &state), y = random_word(b, &state);
		size_t most = (size_t)(i % 5), want = plain_distance(x, y);

		if (want > most)
			want = most + 1;
		CHECK_CASE(i);
		CHECK_INT(nearest_distance(x, y, most), want);
	}
	CHECK_CASE(-1);
}

static void long_words(void)
{
	char a[200], b[200];

	memset(a, 'a', sizeof a);
	memset(b, 'a', sizeof b);
	CHECK_INT(nearest_distance((struct slice){ a, 200 }, (struct slice){ b, 200 }, 2), 0);
	b[100] = 'b';
	CHECK_INT(nearest_distance((struct slice){ a, 200 }, (struct slice){ b, 200 }, 2), 3);
	CHECK_INT(nearest_distance((struct slice){ a, 64 }, (struct slice){ b, 64 }, 2), 0);
	CHECK_INT(nearest_distance((struct slice){ a, 64 }, (struct slice){ b, 63 }, 2), 1);
}

/* What is near is the first of the nearest, or empty. */
static void words(void)
{
	static const struct { const char *word, *want; const char *const known[6]; } list[] = {
		{ "clf", "", { "cleft", NULL } },                      /* three letters allow one change */
		{ "clef", "cleft", { "cleave", "cleft", NULL } },
		{ "hail", "hale", { "north", "hale", NULL } },         /* four allow two */
		{ "xwilxowx", "", { "willow", NULL } },                /* eight allow no more */
		{ "xwillowxx", "willow", { "willow", NULL } },         /* nine allow three */
		{ "cleve", "cleave", { "grade", "cleave", NULL } },
		{ "garde", "grade", { "cleave", "grade", NULL } },     /* a swap */
		{ "unlaod", "unload", { "load", "unload", NULL } },
		{ "unlaodd", "unload", { "load", "unload", NULL } },
		{ "mave", "move", { "move", "mare", "mave2", NULL } }, /* equally near: the first */
		{ "Stock", "stock", { "shock", "stock", NULL } },      /* capitals alone are nearer than any change, however many */
		{ "STOCK", "stock", { "shock", "stock", NULL } },
		{ "l001", "L001", { "S001", "l002", "L001", NULL } },  /* also where the first letter of an id is of another kind */
		{ "k-1", "K-1", { "J-1", "K-1", NULL } },
		{ "SToke", "", { "stock", NULL } },                    /* with another change, a capital is another letter */
		{ "stok-shrot-pice", "stock-short-piece", { "stock-short-piece", NULL } }, /* three at most */
		{ "stok-shrot-picex", "", { "stock-short-piece", NULL } },
		{ "a", "", { "b", NULL } },                            /* some letter has to stay */
		{ "ab", "", { "a", NULL } },
		{ "ab", "abc", { "a", "abc", NULL } },
		{ "", "", { "a", "ab", NULL } },
		{ "zzz", "", { "move", NULL } },
		{ "B207", "", { "J007", NULL } },                      /* an id of another letter: that change alone */
		{ "B207", "J207", { "J207", NULL } },
		{ "B207", "B072", { "J007", "B072", NULL } },
	};

	for (size_t i = 0; i < sizeof list / sizeof *list; i++) {
		struct slice known[6];
		size_t n = 0;

		CHECK_CASE(i);
		CHECK_TEXT(nearest_cstr(slice_of(list[i].word), list[i].known), list[i].want);
		for (; list[i].known[n]; n++)
			known[n] = slice_of(list[i].known[n]);
		CHECK_TEXT(nearest_word(slice_of(list[i].word), known, n), list[i].want);
	}
	CHECK_CASE(-1);
}

int main(void)
{
	distances();
	distances_by_the_book();
	long_words();
	words();
	return check_end();
}
