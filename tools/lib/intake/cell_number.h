/*
 * cell_number.h - a number in a cell of an export, as the book writes it.
 *
 * The written number is kept: its digits stay, also the zeros at its end. Changed is only what the
 * book has no form for: a decimal comma becomes a point, marks between thousands and a plus go,
 * a point without a digit beside it gets or loses it (.5 is 0.5, 5. is 5), zeros in front go,
 * and a power of ten moves the point. A minus may be U+2212. A change of the mapping may move the point
 * or round.
 */
#ifndef WITHY_CELL_NUMBER_H
#define WITHY_CELL_NUMBER_H

#include <stdbool.h>
#include <stddef.h>

#include "base/text.h"

struct cell_style {
	char decimal;            /* '.' or ',' */
	struct slice thousands;  /* the mark between groups of three digits; empty: none */
};

enum reading_mark { CELL_EXACT, CELL_ABOVE, CELL_BELOW }; /* 30+, >30; <6 */

struct cell_number {
	char text[48];           /* the number in the book's form, without a unit */
	size_t n;
	enum reading_mark mark;
	struct slice unit;       /* the text after the number, trimmed; a part of the cell */
	size_t decimals;         /* digits after the point */
};

/* What a mapping says to do with a column's numbers: the point moves, then they are rounded. */
struct cell_change {
	int power;               /* of ten: 2 makes 0.59 to 59 */
	bool rounds;
	size_t places;           /* digits after the point, if it rounds */
};

enum reading_fault {
	CELL_OK,
	CELL_NO_NUMBER,       /* it does not start like a number */
	CELL_OTHER_DECIMAL,   /* it has the other decimal mark, and would be misread */
	CELL_TOO_LONG,        /* more digits than the book can keep; rounding may help */
};

/* Reads a cell (UTF-8, trimmed). What follows the number is left in `unit`. */
enum reading_fault cell_number_read(struct slice cell, const struct cell_style *style, struct cell_number *r);

/* The same with a change (NULL: none). A half is rounded away from zero. */
enum reading_fault cell_number_change(struct slice cell, const struct cell_style *style, const struct cell_change *change,
	struct cell_number *r);

/* The value of a number in the book's form, such as `text` above. It is for bounds; the text itself is entered. */
double cell_number_value(struct slice number);

/*
 * The book's unit for a unit as headers and cells spell it ("°C", "% rF", "lbs"): a static word,
 * empty when it is none. A sign of degrees alone is none: it does not say which.
 */
struct slice cell_number_unit(struct slice spelled);

/*
 * The unit in a column's heading: in brackets, after a comma, a slash or a blank; empty if it has
 * none.
 */
struct slice cell_number_heading_unit(struct slice heading);

/* Without blanks of any kind (no-break spaces, direction marks) at both ends. */
struct slice cell_number_trim(struct slice s);

#endif
