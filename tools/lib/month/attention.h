/*
 * attention.h - what of a month needs somebody's attention, a line of text each, out of the month's answers.
 *
 * Every figure is one of the answers (month.h). The order is that of the page; month_lines.h has what
 * comes before: what is wrong in the book.
 */
#ifndef WITHY_ATTENTION_H
#define WITHY_ATTENTION_H

#include <stdbool.h>
#include <stddef.h>

#include "base/text.h"

struct month;
struct table;

/* Adds them to `out`: charges, orders, rooms, wood, grades. After month_answer(). */
void attention_write(const struct month *m, struct buf *out);

/*
 * Adds the reasons of one side of wy-dry's answer: "against" emptying a charge, "doubt" or "warning". Probes of which the
 * same is said share a line.
 */
void attention_reasons(const struct month *m, const char *side, struct buf *out);

/* Whether a place is a kiln: the house says so, or a charge was loaded there up to the month's end. */
bool attention_is_kiln(const struct month *m, struct slice place);

/*
 * Whether a row of the grades has a proportion outside this month's interval before, with 30 blades at least in both
 * periods.
 */
bool attention_differs(const struct table *grades, size_t row);

/* Whether an id is that of a charge. */
bool attention_is_charge(const struct month *m, struct slice id);

#endif
