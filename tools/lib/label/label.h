/*
 * label.h - labels for racks, lots and charges, each with the QR code of its id, on sheets of A4.
 *
 * A label has the id in large letters, the texts below it, and the code on the left, black on white whatever the screen is set to. Lines to cut
 * along are between the labels.
 */
#ifndef WITHY_LABEL_H
#define WITHY_LABEL_H

#include <stdbool.h>
#include <stddef.h>

#include "base/text.h"

enum { LABEL_LINES_MOST = 3 };

struct label {
	struct slice id;
	struct slice line[LABEL_LINES_MOST]; /* below the id; empty ones are left out */
	size_t n;
};

struct label_sheets {
	int across, down;          /* labels of a sheet */
	int skip;                  /* places of the first sheet that are used up */
};

/* How many sheets so many labels take. */
size_t label_sheets(const struct label_sheets *s, size_t n);

/*
 * Adds a sheet as one SVG element, 210 mm by 297 mm. False where an id cannot be a code: then `bad` is its number, and `out` is
 * to be thrown away.
 */
bool label_sheet_svg(const struct label_sheets *s, const struct label *label, size_t n, size_t sheet, struct buf *out, size_t *bad);

/* Adds all sheets as a document of HTML that needs nothing else. Likewise. */
bool label_sheets_html(const struct label_sheets *s, const struct label *label, size_t n, struct buf *out, size_t *bad);

#endif
