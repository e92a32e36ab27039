/*
 * reckon.h - the bench calculator: quantities, the ways in which each is reckoned, and answers.
 *
 * A way is a row of one table: the words that it takes, what its answer's rows are, and a function
 * of reckon_air.c, reckon_wood.c, reckon_sampling.c or reckon_units.c that gives their values in that
 * order. The table makes the help, the list, every complaint, and the columns of a filter, so a
 * new quantity is a new function and a new row. Nothing here prints or ends the process: what has
 * no answer is refused with a text.
 *
 * Values are in the base units of their types (value.h): % C g mm h, shares of 100 in %.
 */
#ifndef WITHY_RECKON_H
#define WITHY_RECKON_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "base/text.h"
#include "book/vocab.h"

struct house;
struct reckoned;

enum { RECKON_ARGS = 10, RECKON_ROWS = 8, RECKON_TEXTS = 8 };

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

struct reckoned_row {
	struct slice name, unit;
	double value;
	unsigned places;
};

/* A note is for readers, a caution must be seen; both in the order in which they arose. */
enum reckoned_kind { RECKONED_NOTE, RECKONED_CAUTION };

struct reckoned {
	const struct reckon_way *way;
	const struct reckon_input *in;
	struct reckoned_row row[RECKON_ROWS];
	size_t n;
	struct { enum reckoned_kind kind; size_t at, n; } text[RECKON_TEXTS];
	size_t ntexts;
	struct buf words, refusal;
};

/* The table of ways; those of one quantity stand together, and it ends with a quantity of NULL. */
extern const struct reckon_way reckon_ways[];
size_t reckon_nways(void);

/* The first way of a quantity, or NULL; the next one of the same quantity, or NULL. */
const struct reckon_way *reckon_first(struct slice quantity);
const struct reckon_way *reckon_next(const struct reckon_way *way);

/* How many words the way knows; where this one stands among them, or -1. */
int reckon_nargs(const struct reckon_way *way);
int reckon_arg_at(const struct reckon_way *way, struct slice name);

/* Whether this way or one after it of the same quantity takes the word; the nearest word to it, or empty. */
bool reckon_any_takes(const struct reckon_way *way, struct slice name);
struct slice reckon_near_arg(const struct reckon_way *way, struct slice name);

/* The name and the unit that row `i` of the answer has for these inputs. */
void reckon_row_named(const struct reckon_way *way, int i, const struct reckon_input *in, struct slice *name, struct slice *unit);
int reckon_nrows(const struct reckon_way *way);

/* Fills `r`, which is zero or was filled before. False: r->refusal says why there is no answer. */
bool reckon_run(const struct reckon_way *way, const struct reckon_input *in, const struct reckon_house *house, struct reckoned *r);
struct slice reckoned_text(const struct reckoned *r, size_t i);
void reckoned_release(struct reckoned *r);

/* ---- values (reckon_value.c) */

/*
 * Reads what was written for `arg`, `text` being ended by a NUL. False: `error`, which is emptied
 * first, says what is wrong with it and how to mend it.
 */
bool reckon_read(const struct reckon_arg *arg, struct slice text, struct reckon_input *in, struct buf *error);

/*
 * The same for a cell of a table, in full figures (a double's 17 digits, also with an exponent):
 * `unit` is glued to a number that bears none; -1 for none. `scratch` is emptied, and holds what in->text
 * points to.
 */
bool reckon_read_cell(const struct reckon_arg *arg, struct slice cell, int unit, struct buf *scratch, struct reckon_input *in,
	struct buf *error);

/* The type of which `name` is a unit, and that unit; -1 when there is none. */
int reckon_type_of_unit(struct slice name, int *unit);

/* Whether a word of this kind bears a unit at all, and whether it can be given in that one. */
bool reckon_has_units(const struct reckon_arg *arg);
bool reckon_takes_unit(const struct reckon_arg *arg, int unit);

/* Adds the units that a word can be given in: "C, F"; nothing where it has none or only one. */
void reckon_units(const struct reckon_arg *arg, struct buf *out);

#endif
