/*
 * blanks.h - the blades whose own mass is known, each as it would weigh at the moisture of issue.
 *
 * A mass is scaled by the oven-dry mass: (100 + issue) / (100 + mc) of what was weighed (moisture.h). The moisture is the
 * reading of the same line; the mean of such masses counts. A piece without any reading has the mean of its lot's
 * judged pieces, and where the lot has none the mass stays as it was weighed. The grade and class are those of the first
 * line that says one: later opinions move nothing.
 */
#ifndef WITHY_BLANKS_H
#define WITHY_BLANKS_H

#include <stddef.h>
#include <stdint.h>

#include "base/text.h"

struct weigh_book;

enum blank_moisture { BLANK_READ, BLANK_READ_OF_LOT, BLANK_NOT_READ };

extern const char *const blank_moisture_words[]; /* "piece", "lot", "none" */

struct blank {
	struct slice name;
	uint32_t piece, lot, class, grade; /* ids; 0 where no line says */
	uint32_t type;             /* 0 where it is not known; the stock says it: blade_stock_name_types() */
	uint32_t bat;              /* that was made of it, or 0 */
	int32_t day;               /* of the last weighing */
	size_t weighings;
	double mass_g;             /* at the moisture of issue */
	double weighed_g, mc_pct;  /* as it was weighed last, and the moisture that was taken for it; NAN: none */
	enum blank_moisture moisture;
};

struct blanks {
	struct blank *row;         /* by name */
	size_t n, cap;
	double issue_pct;          /* NAN: no moisture is known, and masses are as weighed */
};

/*
 * After the book has ended. If `issue_pct` is NAN, the moisture is the house's target of ready wood; without one, the mean of
 * all readings.
 */
void blanks_find(struct blanks *blanks, const struct weigh_book *book, double issue_pct);
void blanks_release(struct blanks *blanks);

#endif
