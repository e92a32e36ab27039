/*
 * attention.h - what of a month needs somebody's attention, a line of text each.
 *
 * It is what was due on the month's last day (due.h), and grades whose proportion moved. The order is that of the
 * page; month_lines.h has what comes before: what is wrong in the book.
 */
#ifndef WITHY_ATTENTION_H
#define WITHY_ATTENTION_H

#include <stddef.h>

struct buf;
struct month;
struct slice;

/* Adds them to `out`: charges, orders, rooms, wood, grades. After month_answer(). `name`: of each file. */
void attention_write(const struct month *m, const char *const *name, struct buf *out);

/*
 * "rose" or "fell" where the grade of a row of the grades moved by more than chance and the usual differences between lots
 * explain, as in the shift; else empty. It lives as long as the month.
 */
struct slice attention_moved(const struct month *m, size_t row);

#endif
