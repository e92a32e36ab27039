/* text.c: slices and buffers. */
#include <limits.h>
#include <stdlib.h>

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

int main(void)
{
	comparing();
	parts();
	hashing();
	building();
	long_texts();
	integers();
	return check_end();
}
