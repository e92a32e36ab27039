/*
 * arrange.h - the canonical form of wy-tidy as edits, folding by day, and corrections that are an exact text.
 */
#ifndef WITHY_ARRANGE_H
#define WITHY_ARRANGE_H

#include <stddef.h>

struct buf;
struct works;
struct works_file;

/* Adds the edits that make of the file what wy-tidy makes of it: from the first line that changes to the last. */
void arrange_format(struct buf *out, struct works *w, const struct works_file *f);

/* The same of the lines [from, to] alone; no line changes its place. */
void arrange_lines(struct buf *out, struct works *w, const struct works_file *f, size_t from, size_t to);

/* Folding ranges: the lines of one day, and comments that follow each other. */
void arrange_folding(struct buf *out, const struct works_file *f);

/*
 * Code actions for the findings on the lines [from, to]: those whose correction is an exact text, which the line,
 * judged by itself, is then no longer wrong with.
 */
void arrange_fixes(struct buf *out, const struct works *w, const struct works_file *f, size_t from, size_t to);

#endif
