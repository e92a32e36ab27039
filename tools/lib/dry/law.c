#include "dry/law.h"

#include <math.h>
#include <stdlib.h>

#include "base/mem.h"
#include "dry/observed.h"

/* Below 1 the surface would be slower than the core, and the two would change parts. */
static const double LEAST_KAPPA = 2;

/* What is first measured of the air within so many days of loading holds from the loading on (observed.h). */
static const double GUESS_DAYS = 2;

/* k is exp(lnk) at this moisture and temperature. */
static const double MC_OF_K = 15;
static const double TEMP_OF_K = 30;

/* The degrees that beta is for. */
static const double BETA_PER_C = 10;

/* How far gamma may change the logarithm of k: the series of exp() below holds so far. */
static const double GAMMA_MOST = 1;

/* ---- the air in steps */

static void grid_grow(struct dry_grid *grid, size_t n)
{
	size_t cap = grid->cap;

	grid->temp_c = mem_grow(grid->temp_c, &cap, n, sizeof *grid->temp_c);
	grid->me_pct = mem_grow(grid->me_pct, &grid->cap, n, sizeof *grid->me_pct);
}

void dry_grid_set(struct dry_grid *grid, const struct dry_air *air, size_t nair, double known, double until)
{
	size_t at = nair > 1 && air[0].guessed && air[1].day <= known && air[1].day < GUESS_DAYS;

	grid->n = (size_t)ceil(fmax(until, DRY_STEP) / DRY_STEP);
	grid_grow(grid, grid->n);
	for (size_t i = 0; i < grid->n; i++) {
		double from = (double)i * DRY_STEP, to = from + DRY_STEP;

		grid->temp_c[i] = grid->me_pct[i] = 0;
		while (from < to) {
			double next = to;

			while (at + 1 < nair && air[at + 1].day <= from && air[at + 1].day <= known)
				at++;
			if (at + 1 < nair && air[at + 1].day < to && air[at + 1].day <= known)
				next = air[at + 1].day;
			grid->temp_c[i] += (next - from) / DRY_STEP * air[at].temp_c;
			grid->me_pct[i] += (next - from) / DRY_STEP * air[at].me_pct;
			from = next;
		}
	}
}

void dry_grid_release(struct dry_grid *grid)
{
	free(grid->temp_c);
	free(grid->me_pct);
}

/* ---- one piece */

struct dry_piece dry_piece_of(const double *value, size_t probe)
{
	const double *own = value + DRY_SHARED + DRY_OWN * probe;

	return (struct dry_piece){
		.k = exp(value[DRY_LNK] + own[DRY_OWN_LNK]), .offset = value[DRY_OFFSET] + own[DRY_OWN_OFFSET], .gamma = value[DRY_GAMMA],
		.beta = value[DRY_BETA], .kappa = LEAST_KAPPA + exp(value[DRY_LNKAPPA]), .surface = value[DRY_SURFACE], .start = value[DRY_START] + own[DRY_OWN_START]
	};
}

struct dry_state dry_begin(const struct dry_piece *piece, double me_pct)
{
	double me = me_pct + piece->offset;

	return (struct dry_state){ .mc = piece->start, .surface = me + piece->surface * (piece->start - me), .temp_c = NAN };
}

void dry_move(const struct dry_piece *piece, struct dry_state *state, double temp_c, double me_pct)
{
	double me = me_pct + piece->offset, surface = state->surface, y, rate, mean;

	if (!(temp_c == state->temp_c)) {
		state->temp_c = temp_c;
		state->warmth = exp(piece->beta * (temp_c - TEMP_OF_K) / BETA_PER_C);
		state->fall = exp(-piece->kappa * piece->k * state->warmth * DRY_STEP);
	}
	state->surface = me + (surface - me) * state->fall;
	mean = 0.5 * (surface + state->surface);
	y = piece->gamma * (state->mc - MC_OF_K);
	y = fmin(fmax(y, -GAMMA_MOST), GAMMA_MOST);
	rate = piece->k * state->warmth * (1 + y * (1 + y * (0.5 + y / 6))) * DRY_STEP;
	if (state->mc > DRY_FIBRE_SATURATION)
		state->mc -= rate * (DRY_FIBRE_SATURATION - mean);
	else
		state->mc = mean + (state->mc - mean) * exp(-rate);
}

void dry_path(const struct dry_grid *grid, const struct dry_piece *piece, size_t n, double *mc)
{
	struct dry_state state = dry_begin(piece, grid->me_pct[0]);

	mc[0] = state.mc;
	for (size_t i = 0; i < n; i++) {
		dry_move(piece, &state, grid->temp_c[i], grid->me_pct[i]);
		mc[i + 1] = state.mc;
	}
}
