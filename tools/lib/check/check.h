/*
 * check.h - every rule of a book: those of a line's letters, words and values are parse.h's, the
 * rest are judged here.
 *
 * A checker is fed every line of every file, in the order of the input. A mistake that a line
 * shows by itself is reported at once. Mistakes that need the whole book (ids, repeats, stock,
 * charges, probes, instruments, orders) are reported at the end, because the order of lines means
 * nothing. One mistake is one diagnostic: the consequences of a wrong line or an unknown id are
 * not reported again.
 *
 * Memory follows the ids, and lines for charges and orders. Of those that move pieces, and of what every line says to find
 * repeats, there are some megabytes in memory and the others in files (spill.h).
 */
#ifndef WITHY_CHECK_H
#define WITHY_CHECK_H

#include <stdint.h>

struct check;
struct diags;
struct house;
struct line;
struct probes;
struct stock;
struct stock_flow;
struct vocab;
struct zone;

/*
 * Files from number `against` on are only read to judge the others by. Those from `before` on are
 * the whole book as it once was: they count for nothing but what may not change on closed days
 * (CHECK_NO_FILE: there are none). `path` names the files in messages.
 */
#define CHECK_NO_FILE UINT32_MAX

struct check_files {
	uint32_t against, before;
	const char *const *path;
};

enum check_flag {
	CHECK_BY_LINE = 1,  /* only what a line shows by itself: for a part of a book */
	CHECK_APART = 2     /* two threads may call check_line_alone() and check_line_ids() */
};

/*
 * `house` is NULL when there is none: then nothing is judged by it. Its patterns of ids count if
 * they are compiled. Diagnostics go to `diags`, whose levels are those of the house.
 */
struct check *check_new(const struct vocab *vocab, const struct house *house, const struct zone *zone,
	struct diags *diags, struct check_files files, unsigned flags);

/* Every flow of pieces goes to `sink` too, in the order in which it happens, during check_end(). */
void check_follow(struct check *c, void (*sink)(void *context, const struct stock_flow *flow), void *context);

/* The next line of the input, of any kind. */
void check_line(struct check *c, const struct line *l);

/*
 * The same in two halves that have nothing in common, so that each may be a thread's own, with a reader of its own:
 * what a line shows by itself, and what it says of the ids that it names. check_alone_end() comes after the last of the first
 * half, and check_end() when both threads are done.
 */
void check_line_alone(struct check *c, const struct line *l);
void check_line_ids(struct check *c, const struct line *l);
void check_alone_end(struct check *c);

/* After the last line. The diagnostics are then whole and in order. */
void check_end(struct check *c);

/*
 * From check_end() to check_free(): where every piece is after the last line, and the probes. The numbers of
 * both are those of the engine's `ids`.
 */
const struct stock *check_stock(const struct check *c);
const struct probes *check_probes(const struct check *c);

/* How many lines of the files `against` could not be read. */
uint64_t check_unread(const struct check *c);

void check_free(struct check *c);

#endif
