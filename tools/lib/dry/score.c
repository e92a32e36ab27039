#include "dry/score.h"

#include <math.h>

#include "dry/forecast.h"
#include "dry/history.h"

struct score_sums {
	struct cluster_mean error, crps, more, held[BACKTEST_RANGES];
};

static bool is_of(const struct score_group *group, const struct backtest_asked *asked)
{
	return (group->day == 0 || group->day == asked->day) && (group->kiln.n == 0 || slice_eq(group->kiln, asked->c->kiln));
}

static void take_range(struct score_range *range, const struct backtest_answer *answer, int i)
{
	const struct day_range *days = &answer->range[i];
	int last = days->last > DRY_HORIZON ? DRY_HORIZON : days->last;

	range->said += days->share;
	range->missed += !answer->held[i].undecided && !(answer->held[i].held > 0);
	range->undecided += answer->held[i].undecided;
	range->width += fmax(last - days->first + 1, 1);
	range->open += days->last > DRY_HORIZON;
}

static void take(struct score *score, struct score_sums *sums, size_t charge, const struct backtest_asked *asked, enum backtest_way way)
{
	const struct backtest_answer *answer = &asked->by[way];

	score->answers++;
	score->odds = answer->odds;
	score->late += answer->late;
	cluster_mean_add(&sums->error, charge, fabs(answer->late));
	cluster_mean_add(&sums->crps, charge, answer->crps);
	cluster_mean_add(&sums->more, charge, answer->crps - asked->by[BY_FORECAST].crps);
	for (int i = 0; answer->odds && i < BACKTEST_RANGES; i++) {
		take_range(&score->range[i], answer, i);
		cluster_mean_add(&sums->held[i], charge, answer->held[i].held);
	}
	for (int i = 0; answer->odds && i < BACKTEST_BINS; i++)
		score->bin[i] += answer->pit[i];
}

static void end(struct score *score, struct score_sums *sums)
{
	double n = (double)score->answers;

	score->late /= n;
	score->error = cluster_mean_end(&sums->error);
	score->crps = cluster_mean_end(&sums->crps);
	score->more = cluster_mean_end(&sums->more);
	score->charges = score->crps.clusters;
	for (int i = 0; i < BACKTEST_RANGES; i++) {
		score->range[i].held = cluster_share_end(&sums->held[i]);
		score->range[i].said /= n;
		score->range[i].width /= n;
		score->range[i].open /= n;
		cluster_mean_release(&sums->held[i]);
	}
	cluster_mean_release(&sums->error);
	cluster_mean_release(&sums->crps);
	cluster_mean_release(&sums->more);
}

void score_of(const struct backtest *b, const struct score_group *group, enum backtest_way way, struct score *score)
{
	const struct dry_case *first = b->history->charges->cases;
	struct score_sums sums = { 0 };

	*score = (struct score){ 0 };
	for (size_t i = 0; i < b->n; i++)
		if (is_of(group, &b->asked[i]))
			take(score, &sums, (size_t)(b->asked[i].c - first), &b->asked[i], way);
	end(score, &sums);
}
