/* text.c: slices, buffers, distances between words. */
#include <limits.h>
#include <stdlib.h>

#include "base/mem.h"
#include "check.h"

static const struct slice nothing = { NULL, 0 };

static void comparing(void)
{
	CHECK(slice_eq(SLICE("L061"), slice_of("L061")));
	CHECK(!slice_eq(SLICE("L061"), SLICE("L062")));
	CHECK(!slice_eq(SLICE("L06"), SLICE("L061")));
	CHECK(slice_eq(nothing, SLICE("")));
	CHECK(slice_eq(slice_of(NULL), nothing));
	CHECK(slice_eq(SLICE("a\0b"), SLICE("a\0b")) && !slice_eq(SLICE("a\0b"), SLICE("a\0c")));
	CHECK(slice_cmp(SLICE("a"), SLICE("b")) < 0);
	CHECK(slice_cmp(SLICE("b"), SLICE("a")) > 0);
	CHECK(slice_cmp(SLICE("a"), SLICE("ab")) < 0);
	CHECK(slice_cmp(SLICE("ab"), SLICE("a")) > 0);
	CHECK(slice_cmp(SLICE("a\0b"), SLICE("a\0c")) < 0); /* nor ended by a NUL */
	CHECK(slice_cmp(nothing, SLICE("a")) < 0);
	CHECK_INT(slice_cmp(nothing, SLICE("")), 0);
	CHECK(slice_cmp(SLICE("\xc5\xab"), SLICE("z")) > 0); /* bytes are not signed */
}

static void parts(void)
{
	CHECK(slice_starts(SLICE("yard/b1"), SLICE("yard/")));
	CHECK(!slice_starts(SLICE("yar"), SLICE("yard")));
	CHECK(slice_starts(SLICE("yard"), SLICE("")));
	CHECK(slice_starts(nothing, nothing));
	CHECK_INT(slice_find(SLICE("a=b=c"), '='), 1);
	CHECK_INT(slice_find(SLICE("abc"), '='), 3);
	CHECK_INT(slice_find(nothing, '='), 0);
	CHECK_INT(slice_find(SLICE("ab\0="), '='), 3);
	CHECK_TEXT(slice_from(SLICE("yard/b1"), 5), "b1");
	CHECK_TEXT(slice_from(SLICE("yard"), 4), "");
	CHECK_TEXT(slice_upto(SLICE("yard/b1"), 4), "yard");
	CHECK_TEXT(slice_trim(SLICE(" \t a b\t ")), "a b");
	CHECK_TEXT(slice_trim(SLICE(" \t ")), "");
	CHECK_TEXT(slice_trim(SLICE("\na\r")), "\na\r"); /* line ends are no blanks */
	CHECK_TEXT(slice_trim(nothing), "");
}

/* Hashes of near ids differ, also in their low bits; length counts, so that zero bytes do. */
static void hashing(void)
{
	enum { IDS = 20000, SLOTS = 1 << 16 };
	unsigned char *used = mem_zeroed(SLOTS, 1);
	size_t taken = 0;
	char id[16];

	for (int i = 0; i < IDS; i++) {
		int n = snprintf(id, sizeof id, "L%05d", i);
		uint64_t h = slice_hash((struct slice){ id, (size_t)n });

		taken += !used[h % SLOTS];
		used[h % SLOTS] = 1;
	}
	CHECK(taken > 16600); /* a random function would take 17235 of them, give or take 50 */
	CHECK(slice_hash(SLICE("a")) != slice_hash(SLICE("a\0")));
	CHECK(slice_hash(SLICE("12345678")) != slice_hash(SLICE("12345678\0")));
	CHECK(slice_hash(nothing) == slice_hash(SLICE("")));
	CHECK(slice_hash(SLICE("store/r1")) == slice_hash(slice_of("store/r1")));
	free(used);
}

static void building(void)
{
	struct buf b = BUF_INIT;

	CHECK_TEXT(buf_slice(&b), "");
	buf_add(&b, nothing);
	buf_fill(&b, '.', 0);
	CHECK(b.p == NULL);
	buf_add(&b, SLICE("a\0b"));
	buf_char(&b, '|');
	buf_fill(&b, '.', 3);
	buf_str(&b, "xy");
	buf_str(&b, NULL);
	buf_printf(&b, "[%d%%]", 7);
	buf_printf(&b, "%s", "");
	CHECK_SLICE(buf_slice(&b), SLICE("a\0b|...xy[7%]"));
	CHECK_INT(strlen(buf_cstr(&b)), 1);
	CHECK_INT(buf_cstr(&b)[b.n], 0);
	CHECK_INT(b.n, 13);
	buf_release(&b);
	CHECK(b.p == NULL && b.n == 0 && b.cap == 0);
}

static void long_texts(void)
{
	struct buf b = BUF_INIT, copy = BUF_INIT;

	for (int i = 0; i < 5000; i++)
		buf_printf(&b, "%d,", i);
	CHECK_INT(b.n, 10 * 2 + 90 * 3 + 900 * 4 + 4000 * 5);
	buf_printf(&copy, "%s", buf_cstr(&b));
	CHECK(slice_eq(buf_slice(&copy), buf_slice(&b)));
	buf_release(&b);
	buf_release(&copy);
}

static void integers(void)
{
	static const struct { int64_t v; const char *text; } list[] = {
		{ 0, "0" }, { 7, "7" }, { -7, "-7" }, { 10, "10" }, { 3500, "3500" },
		{ INT64_MAX, "9223372036854775807" }, { INT64_MIN, "-9223372036854775808" },
	};
	struct buf b = BUF_INIT;

	for (size_t i = 0; i < sizeof list / sizeof *list; i++) {
		CHECK_CASE(i);
		b.n = 0;
		buf_int(&b, list[i].v);
		CHECK_TEXT(buf_slice(&b), list[i].text);
	}
	CHECK_CASE(-1);
	buf_release(&b);
}

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
		CHECK_INT(slice_distance(slice_of(list[i].a), slice_of(list[i].b), list[i].most), list[i].want);
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
		CHECK_INT(slice_distance(x, y, most), want);
	}
	CHECK_CASE(-1);
}

static void long_words(void)
{
	char a[200], b[200];

	memset(a, 'a', sizeof a);
	memset(b, 'a', sizeof b);
	CHECK_INT(slice_distance((struct slice){ a, 200 }, (struct slice){ b, 200 }, 2), 0);
	b[100] = 'b';
	CHECK_INT(slice_distance((struct slice){ a, 200 }, (struct slice){ b, 200 }, 2), 3);
	CHECK_INT(slice_distance((struct slice){ a, 64 }, (struct slice){ b, 64 }, 2), 0);
	CHECK_INT(slice_distance((struct slice){ a, 64 }, (struct slice){ b, 63 }, 2), 1);
}

int main(void)
{
	comparing();
	parts();
	hashing();
	building();
	long_texts();
	integers();
	distances();
	distances_by_the_book();
	long_words();
	return check_end();
}
