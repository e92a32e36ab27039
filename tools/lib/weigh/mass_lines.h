/*
 * mass_lines.h - the lines by which blanks become bats: finished = a + b x blank, one for all pairs or several by a key.
 *
 * Keys with at least MASS_PAIRS_LEAST pairs may have lines of their own. Two F tests of the extra sum of squares (analysis of
 * covariance; Draper and Smith, Applied Regression Analysis, 3rd ed., chapter 14) decide, at 5 %:
 *
 *	MASS_OWN      slopes differ: each key has its own line
 *	MASS_LEVELS   only levels differ: one slope, and an own level for each key
 *	MASS_ONE      neither shows: one line for all
 *
 * Scatter is common to all lines. A key with fewer pairs has the line of all pairs, but only for blanks within the masses
 * of those pairs. With fewer than MASS_PAIRS_LEAST pairs in all there is no line.
 */
#ifndef WITHY_MASS_LINES_H
#define WITHY_MASS_LINES_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "math/prediction.h"
#include "weigh/mass_pairs.h"

struct house;
struct intern;

enum { MASS_PAIRS_LEAST = 8, MASS_GROUPS_MOST = 12 };

enum mass_model { MASS_NONE, MASS_ONE, MASS_LEVELS, MASS_OWN };

struct mass_group {
	uint32_t key;              /* id, 0 where it is not known */
	struct slice name;
	size_t n;
	double low_g, high_g, mean_g; /* of the blanks */
	int column;                /* among the groups that have lines of their own; -1: it has the line of all */
};

struct mass_lines {
	enum mass_key by;
	enum mass_model model;
	struct mass_group *group;  /* in the order of the house file, then by name */
	size_t n, cap, own;        /* own: how many can have lines of their own */
	struct mass_group all;
	struct fit one;            /* of all pairs */
	struct fit several;        /* of the groups of their own, where the model is not MASS_ONE */
	struct fit_gain slopes, levels; /* the tests; NAN where fewer than two groups have enough pairs */
};

/* `house` may be NULL. Ids are those of the table. */
void mass_lines_find(struct mass_lines *m, const struct mass_pairs *pairs, enum mass_key by, const struct house *house, const struct intern *ids);
void mass_lines_release(struct mass_lines *m);

/* The group of that key, or NULL where no pair has it. */
const struct mass_group *mass_lines_group(const struct mass_lines *m, uint32_t key);

/* By which line a blank is foretold. */
enum mass_use {
	MASS_USE_NONE,             /* by none: too few pairs */
	MASS_USE_ALL,              /* the line of all pairs */
	MASS_USE_OWN,              /* the line of its key */
	MASS_USE_BEYOND            /* none: the key has too few pairs, and the blank is lighter or heavier than all pairs */
};

extern const char *const mass_use_words[]; /* "none", "all", "own", "beyond" */

/* The finished mass of a blank; NAN by MASS_USE_NONE and MASS_USE_BEYOND. */
enum mass_use mass_lines_at(const struct mass_lines *m, uint32_t key, double blank_g, struct prediction *at);

/* The row that the fit of a line has for a blank of that key; the fit, or NULL where there is none. */
const struct fit *mass_lines_row(const struct mass_lines *m, uint32_t key, double blank_g, double x[FIT_PARAMETERS_MOST]);

/* Whether pairs of that key are among those that the lines in use were fitted to. */
bool mass_lines_has(const struct mass_lines *m, uint32_t key);

/* a and b of the line of a group, and the standard error of b. */
struct mass_line {
	double a_g, b, b_error;
};
struct mass_line mass_lines_of(const struct mass_lines *m, const struct mass_group *group);

#endif
