/*
 * yield_rows.h - the counts of stages.h, summed to rows: by step and by the keys that are asked for.
 *
 * The rows of one set of keys follow each other: its steps in the order of the work, then one of
 * all steps. Rows are sorted by their keys; where there are keys, the rows of all keys come last.
 */
#ifndef WITHY_YIELD_ROWS_H
#define WITHY_YIELD_ROWS_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "stock/provenance.h"
#include "stock/stages.h"

struct provenance;

enum yield_by { YIELD_BY_TREE, YIELD_BY_PARCEL, YIELD_BY_SUPPLIER, YIELD_BY_LOT, YIELD_BY_MONTH, YIELD_BY_CHARGE, YIELD_BY_TYPE, YIELD_KEYS };

extern const char *const yield_by_words[]; /* ended by NULL */

/* The step of a row of all steps; no other row has STAGE_GONE. */
enum { YIELD_ALL_STEPS = STAGE_GONE };

struct yield_ask {
	size_t by[YIELD_KEYS], nby; /* enum yield_by, in the order of the columns */
	int32_t today;
	int32_t from, to;           /* only lots that came in on these days; INT32_MIN and INT32_MAX: all */
	int32_t since;              /* the first day that is counted; INT32_MIN: all are */
	int64_t baseline;           /* months before `since` that its losses are compared with; 0: none */
	bool by_money;              /* losses are ranked by their money */
	bool apportion;             /* a pool's pieces keep the lot and the tree that they are from */
	bool through, days;         /* for reading: the interval of the yields so far; the days of each step */
	uint32_t step;              /* the table has only the rows of step - 1 (enum stage_step or YIELD_ALL_STEPS); 0: of each */
};

/* The words of the steps, "all" the last of them, ended by NULL. */
extern const char *const yield_step_words[];

/* The keys and the step of a row. */
struct yield_head {
	struct slice key[YIELD_KEYS]; /* in the order of `by` */
	uint32_t lot;                 /* whose parents are named, or 0 */
	uint32_t step;                /* STAGE_... or YIELD_ALL_STEPS */
};

struct yield_row {
	struct yield_head head;
	int64_t n[STAGE_COUNTS];
	int64_t shared;               /* of the pieces: those of which a key is a share and not known (layers.h) */
};

/* The rows that a cell counts in: its own, that of all steps of its keys, and the same two of all keys. */
enum { YIELD_ROWS_MOST = 4 };

struct yield_cell {
	struct yield_head head;
	uint32_t cell;                /* of the stages */
	uint32_t nrows;
	size_t row[YIELD_ROWS_MOST];
};

struct yield_rows {
	const struct yield_ask *ask;
	const struct stages *stages;
	const struct provenance *origins;
	struct yield_cell *cell;
	size_t ncells;
	size_t *cell_at;              /* by cell of the stages: its place in `cell` + 1, or 0 */
	struct yield_row *row;
	size_t nrows, rows_cap;
};

/* Before any flow: has the stages keep apart what the answer asks for, and no more. */
void yield_rows_prepare(const struct yield_ask *ask, struct stages *stages);

/* Whether the rows depend on where lots are from and when they came in. */
bool yield_needs_origins(const struct yield_ask *ask);

/* After stages_end() and provenance_end(); the arguments must last as long as the rows. */
void yield_rows_init(struct yield_rows *y, const struct yield_ask *ask, const struct stages *stages, const struct provenance *origins);
void yield_rows_release(struct yield_rows *y);

/* The first day of the baseline; without one, of the answer. */
int32_t yield_first_day(const struct yield_ask *ask);

/* The rows that a cell of the stages counts in, as indexes; returns how many, 0 for one that is left out. */
size_t yield_rows_of(const struct yield_rows *y, uint32_t cell, const size_t **rows);

/* The first row of the rows of all keys; nrows where there is none. The last row is that of all steps. */
size_t yield_rows_total(const struct yield_rows *y);

#endif
