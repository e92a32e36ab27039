/*
 * judge.h - the checker over a works that is being edited.
 *
 * What a line shows by itself is judged at once, for the lines that a change touched (judge_lines()). The rest needs
 * the whole book, and takes as long as wy-check does: judge_book() does it on a state that does not change
 * meanwhile, in a process of its own for example, and writes the result as bytes that judge_take() reads, in the
 * same program, into the works. Then the findings are those of wy-check, exactly.
 */
#ifndef WITHY_JUDGE_H
#define WITHY_JUDGE_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

struct buf;
struct slice;
struct document_change;
struct works;
struct works_file;

/* Judges the lines that a change put there, each by itself. */
void judge_lines(struct works *w, struct works_file *f, const struct document_change *c);

/* Judges the whole book, and finds what is left after each line. */
void judge_book(const struct works *w, struct buf *result);

/* Takes a result in. False where the bytes are not whole; then nothing has changed. */
bool judge_take(struct works *w, struct slice result);

/* What a line by itself is found to be, as rows of rule and place: for trying a correction. How many there are in `rule`. */
enum { JUDGE_FOUND_MOST = 64 };
struct judge_found {
	int rule;
	uint32_t col;
};
size_t judge_one(const struct works *w, struct slice text, struct judge_found *found);

#endif
