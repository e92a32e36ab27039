/*
 * yield_days.h - how many days pieces were in a step that they went on from: the median of each row.
 */
#ifndef WITHY_YIELD_DAYS_H
#define WITHY_YIELD_DAYS_H

#include <stdint.h>

struct yield_rows;

/* Twice the median number of days, by row; -1 where nothing went on. The caller frees it. */
int64_t *yield_days_twice(const struct yield_rows *y);

#endif
