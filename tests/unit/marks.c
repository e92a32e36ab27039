/*
 * marks.c: every way of finding marks that this processor has finds what a look at each byte finds, in texts of any
 * length, of any bytes, and from any place.
 */
#include <stdlib.h>

#include "base/marks.h"
#include "check.h"

static uint32_t seed = 20261130;

static uint32_t dice(uint32_t sides)
{
	seed = seed * 1664525u + 1013904223u;
	return (uint32_t)((uint64_t)(seed >> 8) * sides >> 24);
}

static bool is_mark(char c)
{
	return !c || !strchr("0123456789ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz-_", c);
}

/* The marks of the line at p, as bits and as a list. */
static void check_line(struct marks *m, const char *p, size_t n)
{
	struct marks_line l;
	size_t found = 0;

	marks_places(m, p);
	for (size_t i = 0; i <= n; i++)
		if (is_mark(p[i]))
			CHECK(m->at[found++] == i);
	if (!CHECK(marks_line(m, p, &l) == (n < 56 * MARKS_WORDS)) || n >= 56 * MARKS_WORDS)
		return;
	CHECK_INT(l.n, n);
	for (size_t i = 0; i < 56 * MARKS_WORDS; i++)
		CHECK((l.bit[i / 56] >> i % 56 & 1) == (i <= n && is_mark(p[i])));
	CHECK(!((l.bit[0] | l.bit[1] | l.bit[2] | l.bit[3]) >> 56));
}

/* Every line of the text that ends in it. */
static void check_marks(struct marks *m, const char *p, size_t n)
{
	const char *end = p + n, *lf;

	marks_forget(m);
	for (; (lf = memchr(p, '\n', (size_t)(end - p))); p = lf + 1) {
		if (!CHECK(marks_have(m, p, end) == (lf - p < MARKS_MOST)))
			return;
		if (lf - p < MARKS_MOST)
			check_line(m, p, (size_t)(lf - p));
	}
	CHECK(p == end || !marks_have(m, p, end));
}

/* Bytes of a book, but for some that are anything. */
static void fill(char *text, size_t n, uint32_t odd)
{
	static const char USUAL[] = "2026-06-09 14:00 air store/r1 temp=20.5C rh=54% in=a:L061/SH,b:L062 by=jo\n";

	for (size_t i = 0; i < n; i++)
		text[i] = dice(100) < odd ? (char)dice(256) : USUAL[dice(sizeof USUAL - 1)];
}

int main(void)
{
	static const uint32_t ODD[] = { 0, 10, 100 };
	static char text[3 * MARKS_MOST + 2 * MARKS_BLOCK];
	struct marks *m = mem_zeroed(1, sizeof *m);
	int ways = marks_init_way(m, 0);

	CHECK(ways >= 1 && ways <= MARKS_WAYS);
	for (int way = 0; way < ways; way++) {
		marks_init_way(m, way);
		for (int i = 0; i < 600; i++) {
			size_t n = i % 20 ? dice(300) : 3 * MARKS_MOST - dice(100), from = dice(MARKS_BLOCK);

			CHECK_CASE(way * 1000 + i);
			fill(text, from + n + MARKS_BLOCK, ODD[i % 3]);
			check_marks(m, text + from, n);
		}
	}
	memset(text, '\n', sizeof text);
	CHECK_CASE(-1);
	marks_init(m);
	check_marks(m, text, MARKS_MOST);
	free(m);
	return check_end();
}
