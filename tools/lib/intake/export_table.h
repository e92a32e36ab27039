/*
 * export_table.h - any export as a table of text, for who looks through it as one.
 *
 * A workbook's sheet and JSON Lines become lines of cells with tabs between, in a file without a name;
 * tabs and line ends in a cell become blanks. The headings of JSON Lines are the keys of its lines.
 */
#ifndef WITHY_EXPORT_TABLE_H
#define WITHY_EXPORT_TABLE_H

#include "base/text.h"

enum export_kind { EXPORT_TEXT, EXPORT_WORKBOOK, EXPORT_JSON };

struct export_table {
	int fd;                    /* to be read from its start; the caller closes it */
	enum export_kind kind;
	struct buf sheet;          /* of a workbook: the sheet that was taken */
};

/*
 * Takes all of `fd`, which stays the caller's. `sheet` is the one wanted of a workbook; empty: its only one. False
 * with `error` filled when it cannot be read.
 */
bool export_table_open(struct export_table *t, int fd, struct slice sheet, struct buf *error);
void export_table_release(struct export_table *t);

#endif
