/*
 * reckon_way.h - a way in which the bench calculator answers: the words that it takes, and what it gives.
 *
 * Values are in the base units of their types (value.h): % C g mm h, shares of 100 in %.
 */
#ifndef WITHY_RECKON_WAY_H
#define WITHY_RECKON_WAY_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "book/vocab.h"
#include "wood/reckon_value.h"

struct house;
struct reckoned;

enum { RECKON_ARGS = 10, RECKON_ROWS = 8 };

/* What a word's value may be, beside the types of the book. */
enum {
	RECKON_FACTOR = TYPES_END, /* a bare number */
	RECKON_POINTS,             /* points of moisture, with or without % */
	RECKON_DEGREES,            /* a difference of temperatures: 5C and 9F are the same */
	RECKON_DIRECTION,          /* radial, tangential or axial */
	RECKON_VALUE,              /* a value of any type that has units */
	RECKON_UNIT,               /* the name of a unit */
	RECKON_ID                  /* a name in the house file */
};

/* How a way uses the house file. */
enum { RECKON_NO_HOUSE, RECKON_MAY_HOUSE, RECKON_MUST_HOUSE };

struct reckon_arg {
	const char *name;
	int type;
	const char *sample, *help;
	bool may;              /* it can be left out */
};

/* The value of an arg: in the type's base unit, with the unit as it was written. */
struct reckon_input {
	bool given;
	double v;
	int unit;              /* UNIT_... */
	struct slice text;     /* ended by a NUL */
};

/* The house that ways may ask; `house` is NULL where there is none. */
struct reckon_house {
	const struct house *house;
	const char *path;
	int32_t day;
};

/*
 * A row of the answer. Without a unit it is in the unit that the first word was written in, the
 * function giving it in the base unit; without a name it is what the word `to` is a unit of.
 */
struct reckon_gives {
	const char *name, *unit;
	unsigned places;       /* when rounded for reading (table.h) */
};

struct reckon_way {
	const char *quantity, *says;
	struct reckon_arg arg[RECKON_ARGS];
	struct reckon_gives gives[RECKON_ROWS];
	/* Gets the inputs in the order of `arg`; false when it refused. */
	bool (*reckon)(struct reckoned *r, const struct reckon_input *in, const struct reckon_house *house);
	int house;
};

/* How many words the way knows; the place of this one among them, or -1. */
int reckon_nargs(const struct reckon_way *way);
int reckon_arg_at(const struct reckon_way *way, struct slice name);

/* The name and the unit that row `i` of the answer has for these inputs. */
void reckon_row_named(const struct reckon_way *way, int i, const struct reckon_input *in, struct slice *name, struct slice *unit);

#endif
