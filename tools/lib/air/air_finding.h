/*
 * air_finding.h - sentences that say for the reader how much of the time places were in their band.
 */
#ifndef WITHY_AIR_FINDING_H
#define WITHY_AIR_FINDING_H

#include <stddef.h>

#include "base/text.h"

struct table;

/* So much of a place was judged (hours, or readings), and so much of that was in the band. */
struct air_share {
	struct slice place;  /* empty: of all places together */
	double judged, in;
};

struct air_shares {
	struct air_share *list;
	size_t n, cap;
};

/* Adds to the share of the place, which must outlive it. */
void air_shares_add(struct air_shares *shares, struct slice place, double judged, double in);
void air_shares_release(struct air_shares *shares);

/*
 * Adds the finding to a table. `band` names what they were in ("its humidity band"), `of` what was judged
 * ("of the time"). Without anything judged there is none.
 */
void air_shares_find(const struct air_shares *shares, struct table *t, const char *band, const char *of);

#endif
