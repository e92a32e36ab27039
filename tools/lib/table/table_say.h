/*
 * table_say.h - a table in words, for who listens to it: a line a row, each value after its heading.
 *
 *	form cleft, type S5, start 60, end 60, oldest 81 days
 *
 * A unit goes after its number ("oldest, days"), a range has the word "to" ("8.4..9.4"), and what is absent is left out.
 */
#ifndef WITHY_TABLE_SAY_H
#define WITHY_TABLE_SAY_H

struct buf;
struct table;

void table_say(const struct table *t, struct buf *out);

#endif
