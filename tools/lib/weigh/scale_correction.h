/*
 * scale_correction.h - masses corrected by the drift of the balance that they were read on.
 *
 * A line does not say on which balance a mass was read; the house file does: weighs: [blade, bat] of a balance. Masses of a form
 * that no balance has, or several have, stay as they are. So do those of a balance whose check weights show no drift that chance does not
 * explain (SCALE_DRIFT_UNLIKELY; scale_drift.h).
 *
 * The error of a day is that of the line through the checks of the weight that is nearest in mass, of those that drift. Before its first
 * check it is as on that day, and after the last as on the last: a line is not drawn on. An error is in proportion to the mass, as that of a
 * sensitivity that changes; the zero is set before each weighing.
 *
 *	true = read / (1 + error / weight)
 */
#ifndef WITHY_SCALE_CORRECTION_H
#define WITHY_SCALE_CORRECTION_H

#include <stddef.h>
#include <stdint.h>

#include "base/text.h"

struct weigh_book;

enum scale_form { SCALE_BLADES, SCALE_BATS, SCALE_FORMS };

/* What was corrected of a form. */
struct scale_corrected {
	struct slice balance;      /* empty: nothing */
	size_t n;                  /* masses */
	double least_g, most_g;    /* what was added to them */
};

struct scale_correction {
	struct scale_corrected form[SCALE_FORMS];
};

/* After weigh_book_end(), once: corrects the masses of the book. `today` as in scale_drift.h. */
void scale_correction_apply(struct scale_correction *c, struct weigh_book *book, int32_t today);

#endif
