/*
 * reckon_value.h - the values of the bench calculator's words, with their units.
 */
#ifndef WITHY_RECKON_VALUE_H
#define WITHY_RECKON_VALUE_H

#include <stdbool.h>

#include "base/text.h"

struct reckon_arg;
struct reckon_input;
struct unit_def;

/*
 * Reads what was written for `arg`, `text` being ended by a NUL. False: `error`, which is emptied
 * first, says what is wrong with it and what to write instead.
 */
bool reckon_read(const struct reckon_arg *arg, struct slice text, struct reckon_input *in, struct buf *error);

/*
 * The same for a cell of a table, in full figures (a double's 17 digits, also with an exponent):
 * `unit` is added to a number without one; -1 for none. `scratch` is emptied, and holds what in->text
 * points to.
 */
bool reckon_read_cell(const struct reckon_arg *arg, struct slice cell, int unit, struct buf *scratch, struct reckon_input *in,
	struct buf *error);

/* The type of which `name` is a unit, and that unit; -1 when there is none. */
int reckon_type_of_unit(struct slice name, int *unit);

/* Whether a word of this kind has a unit at all, and whether it can be given in that one. */
bool reckon_has_units(const struct reckon_arg *arg);
bool reckon_takes_unit(const struct reckon_arg *arg, int unit);

/* Adds the units that a word can be given in: "C, F"; nothing where it has none or only one. */
void reckon_units(const struct reckon_arg *arg, struct buf *out);

/* A unit's worth in the base unit, and `text`, which is good in that unit, in it to the last digit. */
long double reckon_worth(const struct unit_def *u);
long double reckon_exact(struct slice text, const struct unit_def *u);

#endif
