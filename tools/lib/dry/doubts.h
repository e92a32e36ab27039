/*
 * doubts.h - why readings that satisfy the house's rule are not relied on: what came after them, and how they were taken.
 *
 * Beside the doubts of warnings.h, which are about the wood and the instruments. All is judged on what was known at
 * `fit->now`, of a charge that is open.
 */
#ifndef WITHY_DOUBTS_H
#define WITHY_DOUBTS_H

#include <stddef.h>

#include "dry/warnings.h"

struct dry_fit;
struct dry_place;

/*
 * Fills in at most `cap` of DRY_LEFT_BAND and the signs after it, in that order; returns how many. `fails`: of the
 * probes that count (readiness.h). `place`: of each probe of the charge.
 *
 *	DRY_LEFT_BAND   only where all but the share holds: the last reading, and what the curve did since, is more than
 *	                a tenth of a point out of the band. One for all probes, about the worst.
 *	DRY_OUT_WET     a label counts again as soon as it is in again. Its readings before and after are one row.
 *	DRY_NO_WOOD     the latest of the readings that the rule looks at
 *	DRY_RUSHED      dry_rule_rushed()
 */
size_t dry_doubt(const struct dry_charge *charge, const struct dry_place *place, const struct dry_fit *fit, const struct dry_rule *rule,
	unsigned fails, struct dry_warning *warning, size_t cap);

#endif
