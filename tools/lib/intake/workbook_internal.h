/*
 * workbook_internal.h - private to workbook*.c.
 *
 * workbook_cell.c    cells: names, number formats, texts
 * workbook_parts.c   the parts of the package: sheets, shared texts, number formats
 * workbook.c         the rows of the sheet
 */
#ifndef WITHY_WORKBOOK_INTERNAL_H
#define WITHY_WORKBOOK_INTERNAL_H

#include "base/xml_read.h"
#include "base/zip_read.h"
#include "intake/workbook.h"

/* What a number format shows: a day, a time of day, a percentage; or just the number. */
enum { SHOWS_DAY = 1, SHOWS_TIME = 2, SHOWS_PERCENT = 4 };

struct part_text {
	size_t at, n;
};

struct format {
	uint32_t id;
	unsigned shows;
};

/* What the package says before the sheet is read. */
struct package {
	struct zip_read *zip;
	struct buf error;
	struct buf book_path, sheet_path, strings_path, styles_path, sheet_name; /* paths within the archive */
	bool days_1904;
	struct buf text;              /* shared texts, one after the other */
	struct part_text *string;
	size_t nstrings, strings_cap;
	struct format *format;        /* the workbook's own */
	size_t nformats, formats_cap;
	unsigned *style;              /* what each style shows */
	size_t nstyles, styles_cap;
};

/* Reads them. False with p->error filled. */
bool package_read(struct package *p, struct slice sheet);
void package_release(struct package *p);

/* Reads a part whole with these calls. False with p->error filled. */
bool package_part(struct package *p, struct slice path, const struct xml_calls *calls, void *arg);
/* Fills p->error: what is wrong with a part. Always false. */
bool package_fail(struct package *p, struct slice path, const char *why, size_t line);

/* A whole number that is not negative; UINT32_MAX when it is not one. */
uint32_t whole_number(struct slice s);

unsigned format_shows(struct slice code);             /* of a format's code */
unsigned format_known(uint32_t id);                   /* of one of the numbers that the standard gives */

/* Adds a number as the sheet shows it. False when it is not a number. */
bool cell_add_number(struct slice number, unsigned shows, bool days_1904, char decimal, struct buf *out);

/* Adds a text with its escapes (_x000D_) read; control characters become blanks. */
void cell_add_text(struct slice text, struct buf *out);

#endif
