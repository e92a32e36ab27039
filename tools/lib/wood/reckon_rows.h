/*
 * reckon_rows.h - a quantity for each row of a table: the same table out, with the answer's rows
 * as columns after it.
 *
 * A table is TSV, or CSV where the header row holds a comma and no tab. A word is a constant, or
 * it is bound to a column whose cells are read like the word's value; a number in them takes the
 * column's unit when it has none. Rows go through byte for byte, and what is added is in full
 * figures. A row without an answer gets empty cells and is counted with its reason, and so is one
 * that calls for caution; the first of each is kept. Nothing is printed here.
 */
#ifndef WITHY_RECKON_ROWS_H
#define WITHY_RECKON_ROWS_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "wood/reckoned.h"

struct csv_row;
struct csv_style;

/* A kind of thing that befell rows: how many, and what it was in the first of them. */
struct reckon_report {
	uint64_t rows, line;
	struct buf reason;
};

struct reckon_rows {
	const struct reckon_way *way;
	const struct reckon_house *house;
	struct reckon_input in[RECKON_ARGS];
	struct {
		struct slice asked;        /* the column as asked for, with its unit; empty: a constant */
		struct slice name;
		int at, unit;              /* which cell, and the unit of its numbers or -1 */
		struct buf scratch;
	} column[RECKON_ARGS];
	int answer_unit;               /* of rows that are in the first word's unit */
	char separator;
	size_t cells;                  /* of a row */
	bool crlf;
	uint64_t rows;
	struct reckon_report unanswered, cautions;
	struct reckoned answer;
	struct buf error, why;
};

/* `house` must outlive the filter. Words that are given follow with the next two. */
void reckon_rows_init(struct reckon_rows *f, const struct reckon_way *way, const struct reckon_house *house);
void reckon_rows_release(struct reckon_rows *f);

/* Sets word `i` to a value for all rows; or to "COLUMN" or "COLUMN:UNIT", which must outlive the filter. */
void reckon_rows_constant(struct reckon_rows *f, int i, struct reckon_input value);
void reckon_rows_column(struct reckon_rows *f, int i, struct slice column);

/* The style for csv_init() of a table whose first bytes are these; also sets how its lines end. */
struct csv_style reckon_rows_style(struct reckon_rows *f, struct slice first);

/*
 * The header row: finds the columns and adds the names with those of the new columns, each with
 * `prefix` before it, to `out`. If it returns false, f->error lists the faults, one a line.
 */
bool reckon_rows_names(struct reckon_rows *f, const struct csv_row *row, struct slice prefix, struct buf *out);

/* A row of values. False: f->error says why this is not a row of the table. */
bool reckon_rows_row(struct reckon_rows *f, const struct csv_row *row, struct buf *out);

#endif
