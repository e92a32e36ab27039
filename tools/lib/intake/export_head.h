/*
 * export_head.h - the first lines of an export, whatever it is: a table of text, a workbook, JSON Lines.
 */
#ifndef WITHY_EXPORT_HEAD_H
#define WITHY_EXPORT_HEAD_H

#include <stdbool.h>
#include <stddef.h>

#include "base/text.h"

struct mapping;

enum { HEAD_LINES = 200 };

struct export_head {
	bool json;
	struct buf text;
	size_t end[HEAD_LINES];    /* of each line in `text`; of a workbook's row, its cells with tabs between */
	size_t n;
};

/*
 * Reads the lines that are before the readings as the mapping counts them, the header rows included; of JSON
 * Lines the first line. At most HEAD_LINES. False with `error` filled when the file cannot be read.
 */
bool export_head_read(struct export_head *h, const char *path, const struct mapping *m, struct buf *error);
void export_head_release(struct export_head *h);

struct slice export_head_line(const struct export_head *h, size_t i);

#endif
