/*
 * table_say.h - a table in words, for who listens to it: a line a row, each value after its heading.
 *
 *	form cleft, type S5, start 60, end 60, oldest 81 days
 *
 * A unit goes after its number ("oldest, days"), a range has the word "to" ("8.4..9.4"), and what is absent is left out.
 * Where a column's name is its heading with words before it ("grade 1", for "1"), the name is said.
 * A name that ends with a digit has a colon after it: "grade 1: 12".
 */
#ifndef WITHY_TABLE_SAY_H
#define WITHY_TABLE_SAY_H

struct buf;
struct table;

void table_say(const struct table *t, struct buf *out);

#endif
