/* mem.c: sizes that overflow, growth, and the handler for memory that is out. */
#include <setjmp.h>
#include <stdlib.h>

#include "check.h"

static jmp_buf out;

static _Noreturn void jump_out(void)
{
	longjmp(out, 1);
}

/* Whether asking for `n` objects of `size` bytes calls the handler. */
static bool array_fails(size_t n, size_t size)
{
	mem_on_failure(jump_out);
	if (setjmp(out))
		return true;
	free(mem_array(n, size));
	return false;
}

static bool growth_fails(size_t need, size_t size)
{
	size_t cap = 0;

	mem_on_failure(jump_out);
	if (setjmp(out))
		return true;
	free(mem_grow(NULL, &cap, need, size));
	return false;
}

static void failures(void)
{
	CHECK(array_fails(SIZE_MAX / 2, 3));      /* the product overflows */
	CHECK(array_fails(SIZE_MAX / 8 + 1, 8));  /* ... to 0, which must not pass for a small one */
	CHECK(growth_fails(SIZE_MAX / 16, 32));
	CHECK(!array_fails(0, 8));
	CHECK(!array_fails(8, 0));
	CHECK(!array_fails(100, 8));
	CHECK(!growth_fails(100, 8));
}

static void zeroes(void)
{
	unsigned char *p = mem_zeroed(1000, 3);
	size_t set = 0;

	for (size_t i = 0; i < 3000; i++)
		set += p[i] != 0;
	CHECK_INT(set, 0);
	free(p);
}

/* What is asked for once a heap is expected, small and large, stays what it was written to be. */
static void expected(void)
{
	enum { N = 2000 };
	unsigned char *p[N];
	size_t wrong = 0;

	mem_expect(8 * 1024 * 1024);
	for (size_t i = 0; i < N; i++) {
		p[i] = mem_array(i * 7 + 1, 1);
		memset(p[i], (int)(i % 251), i * 7 + 1);
	}
	for (size_t i = 0; i < N; i++) {
		wrong += p[i][0] != i % 251 || p[i][i * 7] != i % 251;
		free(p[i]);
	}
	CHECK_INT(wrong, 0);
}

/* Growing one at a time keeps what is there and moves seldom. */
static void growth(void)
{
	uint32_t *list = NULL;
	size_t cap = 0, steps = 0;

	for (uint32_t i = 0; i < 100000; i++) {
		size_t before = cap;

		list = mem_grow(list, &cap, i + 1, sizeof *list);
		steps += cap != before;
		list[i] = i * 7;
	}
	CHECK(cap >= 100000);
	CHECK(steps < 40);
	for (uint32_t i = 0; i < 100000; i += 997)
		CHECK_INT(list[i], i * 7);
	free(list);
}

static void growth_keeps_when_enough(void)
{
	size_t cap = 0;
	char *p = mem_grow(NULL, &cap, 500, 1), *q;
	size_t before = cap;

	CHECK(cap >= 500);
	q = mem_grow(p, &cap, 500, 1);
	CHECK(q == p);
	CHECK_INT(cap, before);
	free(q);
}

static void copies(void)
{
	char *p = mem_copy("a\0b", 3);

	CHECK(memcmp(p, "a\0b", 4) == 0);
	free(p);
	p = mem_copy(NULL, 0);
	CHECK_INT(p[0], 0);
	free(p);
}

int main(void)
{
	expected();
	failures();
	zeroes();
	growth();
	growth_keeps_when_enough();
	copies();
	return check_end();
}
