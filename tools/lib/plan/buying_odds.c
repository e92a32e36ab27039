#include "plan/buying_odds.h"

#include <math.h>

#include "plan/buying.h"
#include "plan/plan.h"

struct beta buying_odds_of_lots(struct plan *p, const struct buying_want *w, struct grade_odds_wood wood, double lots)
{
	if (w->need)
		return order_fill_odds(&p->supply, w->need, wood, GRADE_ODDS_KILN, lots);
	return grade_odds_of_batches(&p->supply.under_way.odds, wood, w->grade, GRADE_ODDS_KILN, lots);
}

struct beta buying_odds(struct plan *p, const struct buying_want *w, struct grade_odds_wood wood, int64_t n)
{
	double lots = (double)n * (double)p->born[wood.source].lots / (double)p->born[wood.source].n;

	return buying_odds_of_lots(p, w, wood, fmax(1, lots));
}
