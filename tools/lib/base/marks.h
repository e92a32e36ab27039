/*
 * marks.h - where the bytes of a text are that no id has: blanks, line ends, signs, and all beyond ASCII.
 *
 * A line of a book is ids with one such byte between them. Whoever has their places takes a line apart without a look at
 * each byte. They are found by vectors of 16, 32 or 64 bytes, as the processor has them; the answer is the same.
 */
#ifndef WITHY_MARKS_H
#define WITHY_MARKS_H

#include <stddef.h>
#include <stdint.h>

enum {
	MARKS_BLOCK = 64,     /* bytes behind the text that must be readable */
	MARKS_MOST = 8192,    /* bytes of the longest text */
	MARKS_WAYS = 4        /* at most so many ways to find them on one processor */
};

struct marks {
	void (*find_all)(struct marks *m, const char *p, size_t n);
	size_t n;
	uint16_t at[MARKS_MOST + MARKS_BLOCK]; /* their places */
	uint16_t places[256][8];  /* of the bits of a byte, and how many it has */
	uint8_t count[256], each[MARKS_BLOCK];
};

/* The quickest way for this processor. marks_init_way(): a certain one, the plainest first; how many there are. */
void marks_init(struct marks *m);
int marks_init_way(struct marks *m, int way);

/* Finds the places in [p, p + n) of the bytes other than 0-9 A-Z a-z - _; n is at most MARKS_MOST. */
static inline void marks_find(struct marks *m, const char *p, size_t n)
{
	m->find_all(m, p, n);
}

#endif
