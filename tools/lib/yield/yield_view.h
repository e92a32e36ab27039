/*
 * yield_view.h - the tables of wy-yield(1), out of its rows: the work step by step, and the losses.
 *
 * Each function initializes its table, which then belongs to the caller.
 */
#ifndef WITHY_YIELD_VIEW_H
#define WITHY_YIELD_VIEW_H

struct loss_log;
struct table;
struct yield_baseline;
struct yield_rows;

/* A row for each row: counts, yields with their intervals, median days. */
void yield_view(const struct yield_rows *y, struct table *t);

/*
 * By row and cause, the most frequent first: how many were lost, their share of all that entered, and the money on them. Without
 * a log, or without a costing in it, there is no money.
 */
void yield_view_losses(const struct yield_rows *y, const struct loss_log *log, struct table *t);

/* By row and cause: how many were lost against the months before. */
void yield_view_baseline(const struct yield_baseline *b, const struct loss_log *log, struct table *t);

#endif
