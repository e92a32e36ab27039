#include "base/mem.h"

#include <limits.h>
#include <stdatomic.h>
#include <stdbool.h>
#include <stdint.h>
#include <stdlib.h>
#include <sys/mman.h>
#include <sys/resource.h>
#include <unistd.h>

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

#if defined M_TOP_PAD && defined MADV_HUGEPAGE && !defined __SANITIZE_ADDRESS__ && !defined __SANITIZE_THREAD__

/* What malloc() takes from the heap at most, as it begins. */
enum { FROM_HEAP = 120 * 1024 };

/* Two of them are more than what is left of the first heap; a compiler must not know that nobody uses them. */
static void grow_heap(void)
{
	void *volatile first = malloc(FROM_HEAP), *volatile second = malloc(FROM_HEAP);

	free(second);
	free(first);
}

/* A heap of a thread reserves more addresses than a program that may have few of them can spare. */
static bool is_limited(void)
{
	struct rlimit limit;

	return getrlimit(RLIMIT_AS, &limit) != 0 || limit.rlim_cur != RLIM_INFINITY;
}

/* What is expected of each other thread. */
static atomic_size_t of_thread;

void mem_expect(size_t bytes)
{
	uintptr_t begin = ((uintptr_t)sbrk(0) + HUGE_PAGE - 1) / HUGE_PAGE * HUGE_PAGE, end;

	mallopt(M_TOP_PAD, bytes > INT_MAX ? INT_MAX : (int)bytes);
	mallopt(M_TRIM_THRESHOLD, INT_MAX);
	if (is_limited())
		mallopt(M_ARENA_MAX, 1);
	else
		atomic_store(&of_thread, bytes);
	grow_heap();
	end = (uintptr_t)sbrk(0);
	if (end > begin)
		madvise((void *)begin, end - begin, MADV_HUGEPAGE);
}

/* The heap of another thread grows in small steps: so it is asked for all at once, which it keeps when it gets that back. */
void mem_begin_thread(void)
{
	enum { BLOCKS_MOST = 128 };
	static _Thread_local bool begun;
	void *volatile block[BLOCKS_MOST];
	size_t n = atomic_load(&of_thread) / FROM_HEAP;

	if (begun)
		return;
	begun = n > 0;
	if (n > BLOCKS_MOST)
		n = BLOCKS_MOST;
	for (size_t i = 0; i < n; i++)
		block[i] = malloc(FROM_HEAP);
	for (size_t i = n; i-- > 0;)
		free(block[i]);
}

#else

void mem_expect(size_t bytes)
{
	(void)bytes;
}

void mem_begin_thread(void)
{
}

#endif

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
