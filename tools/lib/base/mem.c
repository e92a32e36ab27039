#include "base/mem.h"

#include <stdlib.h>
#include <sys/mman.h>

#ifdef __GLIBC__
#include <malloc.h>
#endif

static void (*out_of_memory)(void) = abort;

void mem_on_failure(void (*fn)(void))
{
	out_of_memory = fn;
}

static void *checked(void *p)
{
	if (!p) {
		out_of_memory();
		abort();
	}
	return p;
}

static size_t bytes_of(size_t n, size_t size)
{
	size_t bytes;

	if (__builtin_mul_overflow(n, size, &bytes)) {
		out_of_memory();
		abort();
	}
	return bytes ? bytes : 1;
}

void *mem_array(size_t n, size_t size)
{
	return checked(malloc(bytes_of(n, size)));
}

void *mem_zeroed(size_t n, size_t size)
{
	return checked(calloc(1, bytes_of(n, size)));
}

enum { LARGE = 1024 * 1024, HUGE_PAGE = 2 * 1024 * 1024 };

/* Not cleared, on large pages where they fit in. */
static void *on_pages(size_t bytes)
{
	void *p = NULL;

	if (posix_memalign(&p, HUGE_PAGE, bytes))
		p = NULL;
	checked(p);
#ifdef MADV_HUGEPAGE
	madvise(p, bytes, MADV_HUGEPAGE);
#endif
	return p;
}

void *mem_table(size_t n, size_t size)
{
	size_t bytes = bytes_of(n, size);

	return bytes < HUGE_PAGE ? mem_zeroed(n, size) : memset(on_pages(bytes), 0, bytes);
}

void *mem_store(size_t n, size_t size)
{
	size_t bytes = bytes_of(n, size);

	return bytes < HUGE_PAGE ? mem_array(n, size) : on_pages(bytes);
}

/*
 * The GNU C library takes ever larger blocks from its heap once one was given back. An array that grows
 * there is copied each time and leaves a hole; outside, its pages are moved.
 */
static void keep_large_apart(void)
{
#ifdef M_MMAP_THRESHOLD
	mallopt(M_MMAP_THRESHOLD, LARGE);
#endif
}

void *mem_grow_now(void *array, size_t *cap, size_t need, size_t size)
{
	size_t want = *cap;

	want += want / 2;
	if (want < 16)
		want = 16;
	if (want < need)
		want = need;
	if (bytes_of(want, size) >= LARGE && *cap * size < LARGE)
		keep_large_apart();
	array = checked(realloc(array, bytes_of(want, size)));
	*cap = want;
	return array;
}

char *mem_copy(const char *bytes, size_t n)
{
	char *copy = mem_array(n + 1, 1);

	if (n)
		memcpy(copy, bytes, n);
	copy[n] = '\0';
	return copy;
}
