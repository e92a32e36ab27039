/*
 * marks.h - where the bytes of a text are that no id has: blanks, line ends, signs, and all beyond ASCII.
 *
 * A line of a book is ids with one such byte between them. Whoever has their places takes a line apart without a look at
 * each byte. They are found by vectors of 16, 32 or 64 bytes, as the processor has them; the answer is the same. They are
 * found for many lines at once, and asked for by the line: as bits, or as a list.
 */
#ifndef WITHY_MARKS_H
#define WITHY_MARKS_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>
#include <string.h>

enum {
	MARKS_BLOCK = 64,     /* bytes behind the text that must be readable */
	MARKS_MOST = 8192,    /* bytes that are looked at at once, and of the longest line */
	MARKS_WAYS = 4,       /* at most so many ways to find them on one processor */
	MARKS_WORDS = 4       /* of the bits of a line that marks_line() gives: 56 in each */
};

/* What its users may use too: nothing, vectors of 16 bytes, and with them SSSE3 and BMI2. */
enum marks_use { MARKS_USE_NOTHING, MARKS_USE_16, MARKS_USE_BMI2 };

struct marks {
	void (*find)(struct marks *m, const char *p, size_t n);
	enum marks_use use;
	const char *base;         /* the text whose marks are in hand, */
	size_t limit;             /* up to behind its last line end */
	uint64_t mark[MARKS_MOST / 64 + MARKS_WORDS + 1], end[MARKS_MOST / 64 + MARKS_WORDS + 1]; /* of each byte a bit: of marks, of line ends */
	uint16_t at[MARKS_MOST + MARKS_BLOCK]; /* of marks_places() */
	uint16_t places[256][8];  /* of the bits of a byte, and how many it has */
	uint8_t count[256];
};

/*
 * Where the marks of a line of up to 223 bytes are: a bit for each byte, the first the lowest, 56 to the word; the last is
 * its line end.
 */
struct marks_line {
	uint64_t bit[MARKS_WORDS];
	size_t n;                 /* bytes before the line end */
};

/* The quickest way for this processor. marks_init_way(): a certain one, the plainest first; how many there are. */
void marks_init(struct marks *m);
int marks_init_way(struct marks *m, int way);

/* Takes in the lines from p on; false when the first of them has no end before `end`, or is longer than MARKS_MOST. */
bool marks_look(struct marks *m, const char *p, const char *end);

/* The same for the line at p; mostly it was taken in with one before it, for the bytes up to `end` do not change. */
static inline bool marks_have(struct marks *m, const char *p, const char *end)
{
	return (size_t)((uintptr_t)p - (uintptr_t)m->base) < m->limit || marks_look(m, p, end);
}

/* The bytes may change: nothing is in hand. */
static inline void marks_forget(struct marks *m)
{
	m->limit = 0;
}

/* The places of the marks of the line at p, which is in hand, counted from p, up to its line end: in m->at. */
void marks_places(struct marks *m, const char *p);

/* 64 bits from that one of the word on. */
static inline uint64_t marks_bits(const uint64_t *word, unsigned from)
{
	return word[0] >> from | word[1] << 1 << (63 - from);
}

#define MARKS_LOW ((UINT64_C(1) << 56) - 1)

#if __BYTE_ORDER__ == __ORDER_LITTLE_ENDIAN__

/* At least 56 bits from the one on that is the bit `from` of the byte. */
static inline uint64_t marks_from(const unsigned char *byte, unsigned from)
{
	uint64_t word;

	memcpy(&word, byte, sizeof word);
	return word >> from;
}

/* The same where the line is as long as most are not. */
static inline bool marks_long_line(const unsigned char *mark, const unsigned char *end, unsigned from, struct marks_line *l)
{
	const uint64_t third = marks_from(end + 14, from) & MARKS_LOW, fourth = marks_from(end + 21, from) & MARKS_LOW;

	l->bit[2] = marks_from(mark + 14, from) & MARKS_LOW & (third ^ (third - 1));
	l->bit[3] = third ? 0 : marks_from(mark + 21, from) & MARKS_LOW & (fourth ^ (fourth - 1));
	l->n = third ? 112 + (size_t)__builtin_ctzll(third) : fourth ? 168 + (size_t)__builtin_ctzll(fourth) : 0;
	return l->n != 0;
}

/* The marks of the line at p, which is in hand; false when it is longer. */
static inline bool marks_line(const struct marks *m, const char *p, struct marks_line *l)
{
	const size_t at = (size_t)(p - m->base);
	const unsigned char *mark = (const unsigned char *)m->mark + at / 8, *end = (const unsigned char *)m->end + at / 8;
	const unsigned from = at % 8;
	const uint64_t first = marks_from(end, from) & MARKS_LOW, second = marks_from(end + 7, from) & MARKS_LOW;

	l->bit[0] = marks_from(mark, from) & MARKS_LOW & (first ^ (first - 1));
	l->bit[1] = marks_from(mark + 7, from) & MARKS_LOW;
	l->bit[2] = l->bit[3] = 0;
	if (__builtin_expect((first | second) == 0, 0))
		return marks_long_line(mark, end, from, l);
	l->n = (size_t)__builtin_ctzll(first ? first : second) + (first ? 0 : 56);
	l->bit[1] &= first ? 0 : second ^ (second - 1);
	return true;
}

#else

static inline bool marks_line(const struct marks *m, const char *p, struct marks_line *l)
{
	(void)m, (void)p, (void)l;
	return false;
}

#endif

#endif
