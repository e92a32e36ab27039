/*
 * due_instruments.h - instruments whose check is due or overdue, and those in use that were never checked.
 */
#ifndef WITHY_DUE_INSTRUMENTS_H
#define WITHY_DUE_INSTRUMENTS_H

struct due;
struct due_lines;

/* For each instrument with check-every that the book's lines name. */
void due_instruments_find(struct due *d, struct due_lines *lines);

#endif
