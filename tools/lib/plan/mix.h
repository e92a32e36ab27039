/*
 * mix.h - how many pieces to buy of each of several sources, so that each want is met with its chance, at the least cost. Pure: numbers in,
 * numbers out.
 *
 * The blades that a source brings for a want are a beta-binomial of its pieces; those of several sources add up, and so does what is
 * coming anyway. The chance of a want is exact (masses_gather()). More pieces never make it less.
 *
 * A small problem is searched completely: all numbers of all sources but one, of which then the fewest are taken. A larger one
 * (`complete_most`, usually MIX_COMPLETE numbers) starts from the best of what the means and variances say, taken as normal, found by exchange between
 * each two sources. Then, by exact chances, pieces are exchanged between each two until no such exchange is cheaper.
 */
#ifndef WITHY_MIX_H
#define WITHY_MIX_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "math/beta_binomial.h"

enum { MIX_SOURCES_MOST = 16, MIX_WANTS_MOST = 32, MIX_COMPLETE = 1000 };

struct mix_want {
	int64_t wanted;            /* 1 or more */
	const double *coming;      /* masses 0 to `wanted` of what comes anyway, the last of as many or more */
	double asked;              /* the chance */
};

/* The proportion of n pieces of a source that serves a want. */
typedef struct beta mix_odds(void *context, size_t source, size_t want, int64_t n);

struct mix {
	const struct mix_want *want;
	const double *cost;        /* of a piece, by source; above 0 */
	size_t nwants, nsources;   /* up to MIX_SOURCES_MOST */
	int64_t most;              /* pieces of one source */
	int64_t complete_most;     /* so many numbers are tried in a complete search */
	mix_odds *odds;
	void *context;
	struct mix_moments *moments; /* these are of the search */
	double far;
	/* results: */
	bool found, complete;      /* whether a mix is enough; whether it was searched completely */
	int64_t buy[MIX_SOURCES_MOST];
	double total;              /* its cost */
};

void mix_find(struct mix *m);

/* The exact chance of a want with such numbers of pieces. */
double mix_chance(const struct mix *m, size_t want, const int64_t *buy);

#endif
