/*
 * due_find.h - all that a book's answers show to be due.
 */
#ifndef WITHY_DUE_FIND_H
#define WITHY_DUE_FIND_H

struct diags;
struct due;
struct due_book;

/* After due_book_answer(): adds the items of all kinds but those of the checks. */
void due_find_answers(struct due *d, struct due_book *b);

/* After due_book_answer(): adds the items of every kind, those of one kind together. `diags`: of a check of the book. */
void due_find(struct due *d, struct due_book *b, const struct diags *diags);

#endif
