/*
 * complete.h - what can be written at a place: dates, events, subjects, fields of the event, words of the house
 * file, ids of the book (the last used first), units behind a number.
 */
#ifndef WITHY_COMPLETE_H
#define WITHY_COMPLETE_H

struct ask;
struct buf;

enum { COMPLETE_MOST = 400 };   /* more are not offered; the list says then that it is not whole */

/* Adds a CompletionList. */
void complete(struct buf *out, const struct ask *ask);

#endif
