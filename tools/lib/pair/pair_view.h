/*
 * pair_view.h - the tables of wy-pair(1): the pairs, and who is left over.
 *
 * Each function initializes its table, which then belongs to the caller.
 */
#ifndef WITHY_PAIR_VIEW_H
#define WITHY_PAIR_VIEW_H

struct pairing;
struct table;

/* A row for each kind of pair, with the finding and the notes. */
void pair_view_pairs(const struct pairing *p, struct table *t);

/* A row for what is left over of each row of the bench, why, and what would help. */
void pair_view_left(const struct pairing *p, struct table *t);

#endif
