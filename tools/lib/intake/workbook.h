/*
 * workbook.h - the rows of one sheet of an .xlsx workbook (ECMA-376, ISO/IEC 29500), as csv.h gives
 * those of a text file.
 *
 * The line of a row is its number in the sheet, and the column of a cell is counted in the sheet, so
 * that a message can name the cell. Rows that the file leaves out are given as blank ones; those after
 * the last row with text are not given.
 *
 * The text of a cell: a number has the 15 digits that a spreadsheet keeps, with `decimal` as its mark.
 * One that the sheet shows as a percentage is multiplied by 100 and followed by %. One that it shows
 * as a day, a time or both is YYYY-MM-DD, hh:mm:ss or both with a blank between, by the workbook's own
 * count of days, to the nearest second. A formula gives its stored result, and where none is stored
 * its own text after =. Errors (#DIV/0!) and TRUE and FALSE are as the sheet shows them.
 *
 * Memory: the packed file, the shared texts, and some rows. What unpacks to very much more than it
 * should, broken XML and cells out of order are errors.
 */
#ifndef WITHY_WORKBOOK_H
#define WITHY_WORKBOOK_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "base/csv.h"

struct workbook;

enum { WORKBOOK_BYTES = 256 << 20, WORKBOOK_ROWS = 1048576, WORKBOOK_COLUMNS = 16384 };

/* What is wanted of it. */
struct workbook_wish {
	struct slice sheet;        /* empty: the only one that is not hidden */
	uint32_t row, col;         /* the table's first cell, from 1; what is above and left of it is left out */
	char decimal;
};

/*
 * Whether the bytes start as a workbook does; or as a workbook of another kind or a packed table does, which cannot be read:
 * `why` then gets what to do.
 */
bool workbook_is(struct slice head);
bool workbook_refuses(struct slice head, struct buf *why);

/* `bytes` must outlive it. NULL when it cannot be read; `error` gets what is wrong. */
struct workbook *workbook_open(struct slice bytes, const struct workbook_wish *wish, struct buf *error);
void workbook_free(struct workbook *w);      /* NULL does nothing */

/* The next row, valid until the next call. NULL at the end, and when it is damaged. */
const struct csv_row *workbook_next(struct workbook *w);

/* After the end: what was damaged, or an empty slice. */
struct slice workbook_error(const struct workbook *w);

/* The sheet that is read, and the cells that the rows so far were in: B3:E120. */
struct slice workbook_sheet(const struct workbook *w);
void workbook_range(const struct workbook *w, struct buf *out);

/* B3; and back, false when it is not a cell. */
void workbook_cell_name(uint64_t row, uint64_t col, struct buf *out);
bool workbook_cell_read(struct slice s, uint32_t *row, uint32_t *col);

#endif
