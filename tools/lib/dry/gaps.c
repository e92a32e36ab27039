#include "dry/gaps.h"

#include <math.h>
#include <stdlib.h>

#include "base/mem.h"
#include "math/dice.h"
#include "dry/prior.h"

/* Days: readings nearer together are one visit, and where nothing is known a visit comes after so many. */
static const double ONE_VISIT = 0.5;
static const double UNKNOWN = 2;

/* What this charge shows counts as much as that in so many earlier ones. */
enum { OWN_TIMES = 4 };

/* A gap that is longer than the time since the last reading is sought so many times. */
enum { TRIES = 20 };

static int by_day(const void *a, const void *b)
{
	double x = *(const double *)a, y = *(const double *)b;

	return (x > y) - (x < y);
}

/* The days on which ruled probes were read, in order, each visit once. */
static size_t visits(const struct dry_charge *charge, double now, double **day)
{
	size_t n = 0, all = 0, cap = 0;

	*day = NULL;
	for (size_t p = 0; p < charge->nprobes; p++)
		for (size_t i = 0; charge->probe[p].ruled && i < charge->probe[p].n && charge->probe[p].reading[i].day <= now; i++) {
			*day = mem_grow(*day, &cap, all + 1, sizeof **day);
			(*day)[all++] = charge->probe[p].reading[i].day;
		}
	if (all)
		qsort(*day, all, sizeof **day, by_day);
	for (size_t i = 0; i < all; i++)
		if (n == 0 || (*day)[i] - (*day)[n - 1] > ONE_VISIT)
			(*day)[n++] = (*day)[i];
	return n;
}

void gaps_add(struct gaps *g, const struct dry_charge *charge, double now, int times)
{
	double *day;
	size_t n = visits(charge, now, &day);

	for (size_t i = 1; i < n; i++)
		for (int t = 0; t < times; t++) {
			g->day = mem_grow(g->day, &g->cap, g->n + 1, sizeof *g->day);
			g->day[g->n++] = fmax(round(day[i] - day[i - 1]), 1);
		}
	g->since = n ? now - day[n - 1] : 0;
	free(day);
}

void gaps_init(struct gaps *g, const struct dry_charge *charge, const struct dry_prior *prior, double now)
{
	*g = (struct gaps){ 0 };
	for (size_t i = 0; i < prior->gaps.n; i++) {
		g->day = mem_grow(g->day, &g->cap, g->n + 1, sizeof *g->day);
		g->day[g->n++] = prior->gaps.day[i];
	}
	gaps_add(g, charge, now, OWN_TIMES);
}

void gaps_release(struct gaps *g)
{
	free(g->day);
	*g = (struct gaps){ 0 };
}

double gaps_next(const struct gaps *g, struct dice *dice)
{
	return g->n ? g->day[(size_t)(dice_share(dice) * (double)g->n) % g->n] : UNKNOWN;
}

double gaps_first(const struct gaps *g, struct dice *dice)
{
	double gap = 0;

	for (int i = 0; i < TRIES && gap < g->since + ONE_VISIT; i++)
		gap = gaps_next(g, dice);
	return fmax(round(gap - g->since), 1);
}
