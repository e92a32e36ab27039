/*
 * month_page.h - the month of the works as plain text.
 *
 * As tables, lines are at most 80 cells wide (or `width`, where that is more), unless names are long; a table that does not fit 120 is
 * printed in parts. A section without a row says "nothing", and a cell without a figure is a hyphen.
 *
 * In sentences, for who listens to it, each row of a table is a line: every number has its words, and there is no figure made of signs.
 */
#ifndef WITHY_MONTH_PAGE_H
#define WITHY_MONTH_PAGE_H

#include <stdbool.h>
#include <stddef.h>

struct buf;
struct month_page;

struct month_text {
	size_t width;              /* of the terminal; 0: none */
	bool sparks;               /* with lines of the air and of moisture, drawn in block elements */
	bool plain;                /* in sentences */
};

void month_page_write(const struct month_page *page, const struct month_text *how, struct buf *out);

#endif
