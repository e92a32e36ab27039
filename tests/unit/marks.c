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

static void check_marks(struct marks *m, const char *p, size_t n)
{
	size_t found = 0;

	marks_find(m, p, n);
	for (size_t i = 0; i < n; i++)
		if (is_mark(p[i])) {
			CHECK(found < m->n && m->at[found] == i);
			found++;
		}
	CHECK_INT(m->n, found);
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
	static char text[MARKS_MOST + 2 * MARKS_BLOCK];
	struct marks *m = mem_zeroed(1, sizeof *m);
	int ways = marks_init_way(m, 0);

	CHECK(ways >= 1 && ways <= MARKS_WAYS);
	for (int way = 0; way < ways; way++) {
		marks_init_way(m, way);
		for (int i = 0; i < 600; i++) {
			size_t n = i % 20 ? dice(300) : MARKS_MOST - dice(100), from = dice(MARKS_BLOCK);

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
