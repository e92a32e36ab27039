/*
 * buying_odds.h - the proportion of clefts of a source that serves a want (buying.h).
 */
#ifndef WITHY_BUYING_ODDS_H
#define WITHY_BUYING_ODDS_H

#include <stdint.h>

#include "grades/grade_odds.h"

struct buying_want;
struct plan;

/* Of pieces of so many lots of about the same size. */
struct beta buying_odds_of_lots(struct plan *p, const struct buying_want *w, struct grade_odds_wood wood, double lots);

/* Of n pieces, in lots as large as those of the source so far. */
struct beta buying_odds(struct plan *p, const struct buying_want *w, struct grade_odds_wood wood, int64_t n);

#endif
