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

#include <math.h>
#include <stddef.h>

struct dry_air;

enum { DRY_STEPS_A_DAY = 2 };
#define DRY_STEP (1.0 / DRY_STEPS_A_DAY) /* days */

/* %; about, for most woods (Wood Handbook, chapter 4). */
#define DRY_FIBRE_SATURATION 30.0


/* The values of the law that a charge's pieces share, and those that each piece has of its own, as deviations. */
enum { DRY_LNK, DRY_OFFSET, DRY_GAMMA, DRY_BETA, DRY_LNKAPPA, DRY_SURFACE, DRY_START, DRY_SHARED };
enum { DRY_OWN_LNK, DRY_OWN_START, DRY_OWN_OFFSET, DRY_OWN };

/* The air in steps of DRY_STEP from day 0 on. */
struct dry_grid {
	size_t n, cap;
	double *temp_c, *me_pct;
};

/* Averages what the air was, up to day `until`; what was after `known` is as it was then. */
void dry_grid_set(struct dry_grid *grid, const struct dry_air *air, size_t nair, double known, double until);
void dry_grid_release(struct dry_grid *grid);

/* One piece's values, the charge's and its own put together. */
struct dry_piece {
	double k, offset, gamma, beta, kappa, surface, start;
};

struct dry_piece dry_piece_of(const double *value, size_t probe);

/* Where a piece is: moisture felt by the probe, and nearer the surface. */
struct dry_state {
	double mc, surface;
	double warmth, temp_c;      /* exp(beta (T - 30) / 10) of that temperature, so that it is worked out once */
	double fall;                /* and exp(-kappa k step) */
};

struct dry_state dry_begin(const struct dry_piece *piece, double me_pct);
void dry_move(const struct dry_piece *piece, struct dry_state *state, double temp_c, double me_pct);

/* The moisture of a piece at the ends of n steps, mc[0] being the start: n + 1 of them. */
void dry_path(const struct dry_grid *grid, const struct dry_piece *piece, size_t n, double *mc);

/* What a path of n steps shows at a day; inline, for every reading asks for it in every step of a fit. */
static inline double dry_path_at(const double *mc, size_t n, double day)
{
	double at = fmax(day, 0) / DRY_STEP;
	size_t i = at < (double)n ? (size_t)at : n - 1;

	return mc[i] + (at - (double)i) * (mc[i + 1] - mc[i]);
}

#endif
