/*
 * returns_view.h - the tables of wy-returns(1): rates by one thing, what the bats that came back differ in, and the bats.
 *
 * Each function initializes its table, which then belongs to the caller.
 */
#ifndef WITHY_RETURNS_VIEW_H
#define WITHY_RETURNS_VIEW_H

#include <stdbool.h>

struct bat_lives;
struct return_ask;
struct return_differences;
struct return_rates;
struct table;

/* A row for each key, with the finding: all bats, and the key that differs, or the trend. */
void returns_view_rates(const struct return_rates *r, const struct bat_lives *lives, const struct return_ask *ask, struct table *t);

/* A row for each comparison; `brief`: the least likely ones. With the finding. */
void returns_view_differences(const struct return_differences *d, const struct return_ask *ask, bool brief, struct table *t);

/* A row for each time that a bat was with a customer. */
void returns_view_bats(const struct bat_lives *lives, const struct return_ask *ask, struct table *t);

#endif
