/*
 * missing.h - which cells of an export mean "no reading", whatever the instrument.
 *
 * Clause 2.9 of mapping(5) lists them: empty cells, cells of dashes, points, stars and # signs alone,
 * and a few words. A mapping can add words of its own; those are not decided here.
 */
#ifndef WITHY_MISSING_H
#define WITHY_MISSING_H

#include <stdbool.h>

struct slice;

/* Whether a cell (UTF-8, without blanks at its ends) means "no reading". */
bool missing_is(struct slice cell);

#endif
