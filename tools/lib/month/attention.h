/*
 * attention.h - what of a month needs somebody's attention, a line of text each.
 *
 * It is what was due on the month's last day (due.h), and grades whose proportion changed. The order is that of the
 * page; month_lines.h has what comes before: what is wrong in the book.
 */
#ifndef WITHY_ATTENTION_H
#define WITHY_ATTENTION_H

#include <stdbool.h>
#include <stddef.h>

struct buf;
struct month;
struct table;

/* Adds them to `out`: charges, orders, rooms, wood, grades. After month_answer(). `name`: of each file. */
void attention_write(const struct month *m, const char *const *name, struct buf *out);

/*
 * Whether a row of the grades has a proportion outside this month's interval before, with 30 blades at least in both
 * periods.
 */
bool attention_differs(const struct table *grades, size_t row);

#endif
