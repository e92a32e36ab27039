/*
 * yield_view.h - the tables of wy-yield(1), out of its rows: the work step by step, and the losses.
 *
 * Each function initializes its table, which then belongs to the caller.
 */
#ifndef WITHY_YIELD_VIEW_H
#define WITHY_YIELD_VIEW_H

struct table;
struct yield_rows;

/* A row for each row: counts, yields with their intervals, median days. */
void yield_view(const struct yield_rows *y, struct table *t);

/* By row and cause, the most frequent first: how many were lost, and their share of all that entered. */
void yield_view_losses(const struct yield_rows *y, struct table *t);

#endif
