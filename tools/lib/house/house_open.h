/*
 * house_open.h - finds the house file, reads it and reports the mistakes in it.
 *
 * No house file at all is house_read() of an empty text.
 */
#ifndef WITHY_HOUSE_OPEN_H
#define WITHY_HOUSE_OPEN_H

#include <stdbool.h>
#include <stddef.h>

#include "base/text.h"

struct house;

/* One thing that is wrong. The slices hold until the callback returns, but for `rule`. */
struct house_problem {
	size_t line, col;             /* from 1, in bytes */
	bool error;                   /* or a warning */
	struct slice rule;            /* house-key-unknown ...; the list is in house(5) */
	struct slice text, mend;      /* the mistake, and how to put it right */
};

typedef void house_tell(void *arg, const struct house_problem *problem);

enum { HOUSE_PROBLEMS_MOST = 200 }; /* reported of one file; one more says that there are more */

/*
 * Reads a house file. `tell` receives every problem in the order of the checks, structure first; it may
 * be NULL. Never NULL; the caller frees it.
 */
struct house *house_read(struct slice text, house_tell *tell, void *arg);
void house_free(struct house *house);

/*
 * Compiles the patterns of `ids`; before, house_pattern() gives none. Not for a house that other
 * threads already use. `tell` receives every pattern that is wrong.
 */
void house_compile(struct house *house, house_tell *tell, void *arg);

/* The pattern for ids of that kind as it is written; empty where there is none. */
struct slice house_pattern_source(const struct house *house, int kind);

/*
 * Which house file: `option` (-H) when it is not NULL, else $WITHY_HOUSE when that is not empty,
 * else house.yaml in the folder of the file `near` (NULL: in this folder) or the nearest one above. NULL
 * when there is none of these; a file that is named but is not there is not looked after here. The caller
 * frees it.
 */
char *house_find(const char *option, const char *near);

/* Adds the path of `file`, which the house file at `house_path` names from its own folder. */
void house_beside(struct buf *path, const char *house_path, struct slice file);

#endif
