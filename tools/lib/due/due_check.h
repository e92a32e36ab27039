/*
 * due_check.h - what wy-check(1) finds in the book, as far as somebody must still do something about it.
 *
 * Errors and warnings of lines up to today; notes only where the house makes them warnings. Left out is
 * what the book shows to be over: a kiln that was off while full, over-full or loaded too early, once its charge
 * is out; an instrument that was off at a check, once it was checked again. Instruments that are overdue are in
 * due_instruments.h.
 */
#ifndef WITHY_DUE_CHECK_H
#define WITHY_DUE_CHECK_H

struct diags;
struct due;
struct due_book;

void due_check_find(struct due *d, struct due_book *b, const struct diags *diags);

#endif
