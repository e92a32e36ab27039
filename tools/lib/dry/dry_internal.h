/*
 * dry_internal.h - what the parts of the drying model share among themselves; see model.h.
 */
#ifndef WITHY_DRY_INTERNAL_H
#define WITHY_DRY_INTERNAL_H

#include <math.h>
#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

struct dry_air;
struct dry_groups;
struct dry_past;

#define DRY_STEP 0.5 /* days */
#define DRY_FIBRE_SATURATION 30.0
#define DRY_TAILS 4.0           /* degrees of freedom of a reading's noise */
#define DRY_UNKNOWN_GROUP 0.01  /* variance of lnk among kilns and types; a quarter of it among seasons */

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

/* What a path of n steps shows at a day. */
double dry_path_at(const double *mc, size_t n, double day);

/* The step at which an earlier charge was as wet as `mc`, from step `from` on. */
size_t dry_past_at(const struct dry_past *past, double mc, size_t from);

/* Draws: a small generator with its own state. */
struct dry_dice {
	uint64_t state;
	double spare;
	bool has_spare;
};

double dry_dice_share(struct dry_dice *dice);  /* of 1, never 0 */
double dry_dice_normal(struct dry_dice *dice);

/* The shift of a group, 0 if it is not known; and its variance, `unknown` if it is not known. */
double dry_group_shift(const struct dry_groups *groups, uint32_t id, double unknown, double *variance);

#endif
