/*
 * reckon.h - the bench calculator: quantities, the ways in which each is reckoned, and answers.
 *
 * A way is a row of one table: the words that it takes, what its answer's rows are, and a function
 * of reckon_air.c, reckon_wood.c, reckon_sampling.c or reckon_units.c that gives their values in that
 * order (reckoned.h). The table makes the help, the list, every complaint, and the columns of a filter,
 * so a new quantity is a new function and a new row. Nothing here prints or ends the process: what has
 * no answer is refused with a text.
 */
#ifndef WITHY_RECKON_H
#define WITHY_RECKON_H

#include <stdbool.h>
#include <stddef.h>

#include "wood/reckon_way.h"

struct reckoned;

/* The table of ways; those of one quantity are together, and it ends with a quantity of NULL. */
extern const struct reckon_way reckon_ways[];

/* The first way of a quantity, or NULL; the next one of the same quantity, or NULL. */
const struct reckon_way *reckon_first(struct slice quantity);
const struct reckon_way *reckon_next(const struct reckon_way *way);

/* The nearest quantity to a word that is not one, or empty. */
struct slice reckon_near_quantity(struct slice word);

/* Whether this way or one after it of the same quantity takes the word; the nearest word to it, or empty. */
bool reckon_any_takes(const struct reckon_way *way, struct slice name);
struct slice reckon_near_arg(const struct reckon_way *way, struct slice name);

/* How many rows its answer has. */
int reckon_nrows(const struct reckon_way *way);

/* Fills `r`, which is zero or was filled before. If it returns false, r->refusal gives the reason. */
bool reckon_run(const struct reckon_way *way, const struct reckon_input *in, const struct reckon_house *house, struct reckoned *r);

#endif
