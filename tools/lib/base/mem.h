/*
 * mem.h - memory: sizes are computed with overflow checks here, and nowhere else.
 *
 * The rule of the house: per-run data may go with the process, per-line data is reused,
 * library objects have `_init` and `_release`. None of these functions returns NULL:
 * when memory is out they call the handler that the program set, which must not return
 * (a tool prints one line and exits 2). Without a handler the process aborts.
 */
#ifndef WITHY_MEM_H
#define WITHY_MEM_H

#include <stddef.h>

/* Sets what happens when memory is out. `fn` must not return. */
void mem_on_failure(void (*fn)(void));

/* `n` objects of `size` bytes each, not cleared / all zero. n or size may be 0. */
void *mem_array(size_t n, size_t size);
void *mem_zeroed(size_t n, size_t size);

/*
 * The same as mem_zeroed(), for a hash table: a large one is on large pages where the system has
 * them, so that going to and fro in it costs less.
 */
void *mem_table(size_t n, size_t size);

/* The same for a store that is filled from its start: not cleared. */
void *mem_store(size_t n, size_t size);

/*
 * Says that megabytes will be needed: the heap grows by `bytes` at once then, and lies on large pages where the system has them.
 * Only what is used of it takes memory. Another thread calls mem_begin_thread() before its work: it gets such a heap of its own, if
 * one was expected, so that threads do not wait for each other; where addresses are limited all take from the one.
 */
void mem_expect(size_t bytes);
void mem_begin_thread(void);

/* For another thread, before its work: it gets such a heap of its own, if one was expected, so that threads do not wait for each other. */
void mem_begin_thread(void);

/*
 * Makes space in a growing array of objects of `size` bytes: `*cap` counts objects and is
 * raised by half again until it is at least `need`. Returns the array, perhaps moved. Most calls find
 * space, and cost a comparison.
 */
void *mem_grow_now(void *array, size_t *cap, size_t need, size_t size);

static inline void *mem_grow(void *array, size_t *cap, size_t need, size_t size)
{
	return need <= *cap ? array : mem_grow_now(array, cap, need, size);
}

/* A copy of `n` bytes with a NUL after it, which the caller frees. */
char *mem_copy(const char *bytes, size_t n);

#endif
