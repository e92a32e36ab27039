/*
 * month_page.h - the month of the works on one page of plain text.
 *
 * Lines are at most 80 cells wide, unless names are long; a table that does not fit 120 is printed in parts. A section without a row says "nothing", and a cell
 * without a figure is a hyphen.
 */
#ifndef WITHY_MONTH_PAGE_H
#define WITHY_MONTH_PAGE_H

struct buf;
struct diags;
struct month;
struct month_lines;

struct month_page {
	const struct month *month;       /* answered */
	const struct month_lines *lines;
	const struct diags *diags;       /* of wy-check, in order */
	const char *const *name;         /* what each file is called */
};

void month_page_write(const struct month_page *page, struct buf *out);

#endif
