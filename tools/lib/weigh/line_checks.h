/*
 * line_checks.h - whether the bats keep to their lines: what the residuals go with, which bat is far off, and how often the
 * foretold range held.
 *
 * Each check adds something to the fit in use and asks whether that explains more than chance (prediction.h): the square of
 * the blank, the day, a size of the bat, or who finished it. All p are adjusted together for false discoveries. The spread is checked
 * by the squares of the residuals on the foretold mass (Breusch and Pagan 1979, in the form of Koenker 1981: n R^2).
 */
#ifndef WITHY_LINE_CHECKS_H
#define WITHY_LINE_CHECKS_H

#include <stddef.h>

#include "weigh/mass_lines.h"

enum { LINE_CHECKS_MOST = 16 };

struct line_check {
	const char *what;          /* "blank, squared", "day of finishing" ... */
	const char *unit;          /* of the effect: "g a year"; NULL for words such as persons */
	size_t n, df;              /* pairs that it is known of; parameters that it adds */
	double effect, error;      /* in g; NAN for words */
	double p, adjusted;
};

struct line_residual {
	const struct mass_pair *pair;
	struct prediction at;      /* what the line says */
	struct fit_residual off;
};

struct line_checks {
	struct line_check row[LINE_CHECKS_MOST];
	size_t n;
	struct line_residual *residual; /* of every pair that has a line, in the order of the pairs */
	size_t nresiduals;
	size_t judged, held;       /* pairs foretold by all others, and those of them within the range at `sure`; none if all lie on the line */
	size_t furthest;           /* of `residual`; only where furthest_p is a number */
	double furthest_p;         /* the chance that one of so many is so far off */
};

/* Lines and pairs must last. `sure` is the chance of the range, 0.9. */
void line_checks_find(struct line_checks *c, const struct mass_lines *m, const struct mass_pairs *pairs, double sure);
void line_checks_release(struct line_checks *c);

#endif
