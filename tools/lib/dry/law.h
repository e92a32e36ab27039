/*
 * law.h - the law by which a piece of wood dries in a kiln, step by step.
 *
 * Units are those of observed.h. What a probe feels, M, follows the wood nearer the surface, S, and S
 * follows the air:
 *
 *	dS/dt = -kappa k (S - Me(t) - offset)        dM/dt = -k (min(M, 30) - S)
 *	k     = exp(lnk) exp(gamma (M - 15)) exp(beta (T - 30) / 10)
 *
 * Me is the equilibrium moisture of the kiln's air, stepwise (climate.h; good to a point, hence the
 * offset). kappa, 2 and more, is the lag of diffusion: the first two terms of its series for a plate; gamma lets
 * the rate change as wood dries; beta is the temperature's part. Below fibre saturation, about 30 %,
 * with gamma and beta 0 and kappa great, this is the first-order law.
 */
#ifndef WITHY_LAW_H
#define WITHY_LAW_H

#include <stdbool.h>
#include <stddef.h>

#include "dry/observed.h"

enum { DRY_STEPS_A_DAY = 2 };
#define DRY_STEP (1.0 / DRY_STEPS_A_DAY) /* days */

/* %; about, for most woods (Wood Handbook, chapter 4). */
#define DRY_FIBRE_SATURATION 30.0


/*
 * The values of the law that a charge's pieces share, and those that each piece has of its own, as deviations.
 * The offset drifts: from a knot on it is another by DRY_DRIFT + the knot's number, in points.
 */
enum { DRY_KNOTS = 8 };
enum { DRY_LNK, DRY_OFFSET, DRY_GAMMA, DRY_BETA, DRY_LNKAPPA, DRY_SURFACE, DRY_START, DRY_LEARNED,
	DRY_DRIFT = DRY_LEARNED, DRY_SHARED = DRY_DRIFT + DRY_KNOTS };
enum { DRY_OWN_LNK, DRY_OWN_START, DRY_OWN_OFFSET, DRY_OWN };

/* The days of the knots as of day `now`, from the last to the first; those before day 0 are not used (NAN). */
void dry_knots(double now, double *knot);

/* For how many days the knot's drift had time to come about: since the knot before, or since day 0. */
double dry_knot_days(const double *knot, size_t i);

/* The air in steps of DRY_STEP from day 0 on, but for the time that is left out (observed.h). */
struct dry_grid {
	size_t n, cap;
	double *temp_c, *me_pct;
	double beta, *warmth;      /* exp(beta (T - 30) / 10) of the last beta that a path asked for */
	struct dry_still still;
	bool plain;                /* pieces are moved along it as on any processor, for tests */
};

/* The step in which a day is. */
static inline size_t dry_step_of(const struct dry_still *still, double day)
{
	return (size_t)(dry_less_still(still, day) / DRY_STEP);
}

/* Adds what the offset has drifted by to the EMC of the steps after each knot. */
void dry_grid_drift(struct dry_grid *grid, const double *knot, const double *drift);

/* Averages what the charge's air was, up to day `until`, in one step at least; what was after `known` is as it was then. */
void dry_grid_set(struct dry_grid *grid, const struct dry_charge *charge, double known, double until);
void dry_grid_copy(struct dry_grid *to, const struct dry_grid *from);
void dry_grid_release(struct dry_grid *grid);

/* One piece's values, the charge's and its own put together. */
struct dry_piece {
	double k, offset, gamma, beta, kappa, surface, start;
};

struct dry_piece dry_piece_of(const double *value, size_t probe);

/* Where a piece is: moisture felt by the probe, and nearer the surface. */
struct dry_state {
	double mc, surface;
	double warmth, fall;        /* of the last step; exp(-kappa k step) in that */
	double left;                /* what the last step left of how far it was from rest */
};

struct dry_state dry_begin(const struct dry_piece *piece, double me_pct);

/* How fast all goes in air of a temperature: pieces of a charge have their beta in common. */
double dry_warmth(double beta, double temp_c);

/* Moves pieces of a charge along the first n steps of a grid. */
void dry_move_along(struct dry_grid *grid, const struct dry_piece *piece, struct dry_state *state, size_t npieces, size_t n);

/* Four of them at a time, to be moved step by step. The moisture of piece i is mc[i % DRY_FOUR] of quartet i / DRY_FOUR. */
enum { DRY_FOUR = 4 };

struct dry_quartet {
	double k[DRY_FOUR], offset[DRY_FOUR], gamma[DRY_FOUR], kappa[DRY_FOUR];
	double mc[DRY_FOUR], surface[DRY_FOUR], fall[DRY_FOUR];
	double warmth;             /* of the last step */
};

static inline size_t dry_quartets(size_t npieces)
{
	return (npieces + DRY_FOUR - 1) / DRY_FOUR;
}

/* Where the pieces are sets as many quartets as they need. Of the last one, the last piece is there several times. */
void dry_quartets_set(struct dry_quartet *q, const struct dry_piece *piece, const struct dry_state *state, size_t npieces);
void dry_quartets_move(struct dry_quartet *q, size_t npieces, double warmth, double me_pct);

/* The moisture of a piece at the ends of n steps, mc[0] being the start: n + 1 of them. */
void dry_path(struct dry_grid *grid, const struct dry_piece *piece, size_t n, double *mc);

/* Room for the derivatives of one moisture by the charge's values; they are summed in fours, and those beyond the last value are 0. */
enum { DRY_SLOPES = (DRY_SHARED + DRY_FOUR - 1) / DRY_FOUR * DRY_FOUR };

/* How many derivatives there are with so many knots, in whole fours. */
static inline size_t dry_slopes_used(size_t nknots)
{
	return (DRY_DRIFT + nknots + DRY_FOUR - 1) / DRY_FOUR * DRY_FOUR;
}

/* A piece and the n readings of its probe; what it shows at each, and its derivatives by the charge's values (and so by its own), in slope[i * DRY_SLOPES + v]. */
struct dry_walk {
	struct dry_piece piece;
	const struct dry_reading *reading;
	size_t n;
	double *mc, *slope;
};

/*
 * Walks up to DRY_FOUR pieces of a charge along the air, and sets what they show. `knot` as from dry_knots(), of which nknots are in use; the
 * derivatives by the others are not set. The grid has the drift in it, and nothing is left out before the readings.
 */
void dry_path_slopes(struct dry_grid *grid, const double *knot, size_t nknots, struct dry_walk *walk, size_t n);

/* What a path of n steps shows at a day, of which nothing is left out before it. */
double dry_path_at(const double *mc, size_t n, double day);

#endif
