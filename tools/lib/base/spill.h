/*
 * spill.h - records that are added at the end and read from anywhere, in bounded memory.
 *
 * The last records are in memory: some megabytes, and once there is a file less, for what is written soon is still in the
 * caches. What came before is in a file without a name (nameless_file.h). When that cannot be
 * written or read, the store cannot go on, as when memory is out (mem.h): the handler is called that the program set,
 * which must not return. Without a handler the process aborts.
 *
 * Records are packed one after the other; what is in one is the caller's. Several threads may read, each through a view of
 * its own, while none adds.
 */
#ifndef WITHY_SPILL_H
#define WITHY_SPILL_H

#include <stdbool.h>
#include <stddef.h>

enum { SPILL_HELD = 4 * 1024 * 1024, SPILL_STEP = 512 * 1024, SPILL_VIEW_MOST = 256 * 1024 };

struct spill {
	unsigned char *held;   /* the last records */
	size_t n, cap;
	size_t filed;          /* bytes of the records before them, which are in the file */
	size_t most;           /* bytes to hold in memory; 0: SPILL_HELD, and SPILL_STEP once there is a file */
	int file;              /* its descriptor, once `filed` is not 0 */
};

#define SPILL_INIT { .n = 0 }

/* A part of the file that was read. It grows while it is moved on; release it with spill_view_release(). */
struct spill_view {
	unsigned char *p;
	size_t at, n, cap;
	size_t most;           /* bytes of the largest part; 0: SPILL_VIEW_MOST */
};

#define SPILL_VIEW_INIT { .n = 0 }

/* Sets what happens when the file fails with this errno. `fn` must not return. */
void spill_on_failure(void (*fn)(int error));

void spill_release(struct spill *s);
void spill_view_release(struct spill_view *v);

/* Space for the next record, of `most` bytes at the most; spill_took() says how many it has. */
unsigned char *spill_space(struct spill *s, size_t most);

static inline void spill_took(struct spill *s, size_t n)
{
	s->n += n;
}

/* All bytes that were added. */
static inline size_t spill_size(const struct spill *s)
{
	return s->filed + s->n;
}

/* Moves a view to `at`, with `need` bytes or as many as the file has. For spill_read() alone. */
void spill_view_move(const struct spill *s, struct spill_view *v, size_t at, size_t need);

/*
 * The bytes from `at` on, which is in or at the start of a record: `need` of them, or as many as there are up to the end of
 * a record. Valid until a record is added or the view is read through again.
 */
static inline const unsigned char *spill_read(const struct spill *s, struct spill_view *v, size_t at, size_t need)
{
	if (at >= s->filed)
		return s->held + (at - s->filed);
	if (at < v->at || at - v->at > v->n || need > v->n - (at - v->at))
		spill_view_move(s, v, at, need);
	return v->p + (at - v->at);
}

#endif
