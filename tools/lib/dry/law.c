#include "dry/law.h"

#include <math.h>
#include <stdlib.h>

#include "base/mem.h"

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

void dry_grid_set(struct dry_grid *grid, const struct dry_charge *charge, double known, double until)
{
	const struct dry_air *air = charge->air;
	size_t nair = charge->nair, at = nair > 1 && air[0].guessed && air[1].day <= known && air[1].day < GUESS_DAYS;

	grid->still = charge->still;
	grid->n = (size_t)ceil(fmax(dry_less_still(&grid->still, until), DRY_STEP) / DRY_STEP);
	grid_grow(grid, grid->n);
	for (size_t i = 0; i < grid->n; i++) {
		double from = (double)i * DRY_STEP, to;

		from += from < grid->still.from ? 0 : grid->still.days;
		to = from + DRY_STEP;
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

/* ---- the drift of the offset */

/* How many days before the day of the answer the knots are: dense where they still matter. */
static const double KNOT_AGE[DRY_KNOTS] = { 1.5, 3, 5, 8, 12, 17, 23, 30 };

/* A knot before that day would say the same as the offset. */
static const double KNOT_FIRST = 0.75;

/* Days: the first knot stands for no more. */
static const double KNOT_LONGEST = 10;

void dry_knots(double now, double *knot)
{
	for (size_t i = 0; i < DRY_KNOTS; i++)
		knot[i] = now - KNOT_AGE[i] >= KNOT_FIRST ? now - KNOT_AGE[i] : NAN;
}

double dry_knot_days(const double *knot, size_t i)
{
	return i + 1 < DRY_KNOTS && !isnan(knot[i + 1]) ? knot[i] - knot[i + 1] : fmin(knot[i], KNOT_LONGEST);
}

void dry_grid_drift(struct dry_grid *grid, const double *knot, const double *drift)
{
	for (size_t k = 0; k < DRY_KNOTS && !isnan(knot[k]); k++)
		for (size_t i = dry_step_of(&grid->still, knot[k]); i < grid->n; i++)
			grid->me_pct[i] += drift[k];
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

/* ---- and its derivatives */

/* What moves along a path beside the state: derivatives of the moisture and of the surface. */
struct slopes {
	double mc[DRY_SLOPES], surface[DRY_SLOPES];
};

static void begin_slopes(const struct dry_piece *piece, double me, struct slopes *s)
{
	*s = (struct slopes){ { 0 }, { 0 } };
	s->mc[DRY_START] = 1;
	s->surface[DRY_START] = piece->surface;
	s->surface[DRY_OFFSET] = 1 - piece->surface;
	s->surface[DRY_SURFACE] = piece->start - me;
}

/* One step as dry_move() takes it: `moved` is `state` before it, and the last `nvalues` of the values are in use. */
static void move_slopes(const struct dry_piece *piece, const struct dry_state *was, const struct dry_state *is, double temp_c, double me,
	size_t nvalues, const double *of_me, struct slopes *s)
{
	double warmth = (temp_c - TEMP_OF_K) / BETA_PER_C, kappa = piece->kappa * piece->k * is->warmth * DRY_STEP;
	double mean = 0.5 * (was->surface + is->surface), to_k = DRY_STEP * piece->k * is->warmth;
	double y = piece->gamma * (was->mc - MC_OF_K), clipped = fmin(fmax(y, -GAMMA_MOST), GAMMA_MOST), bends = y == clipped;
	double series = 1 + clipped * (1 + clipped * (0.5 + clipped / 6)), slope = bends * (1 + clipped * (1 + clipped / 2));
	double rate = to_k * series, left = was->mc > DRY_FIBRE_SATURATION ? 1 : exp(-rate);

	for (size_t v = 0; v < nvalues; v++) {
		double by_k = v == DRY_LNK ? 1 : v == DRY_BETA ? warmth : 0, by_kappa = v == DRY_LNKAPPA ? (piece->kappa - LEAST_KAPPA) / piece->kappa : 0;
		double fall = -is->fall * kappa * (by_k + by_kappa), surface = s->surface[v], of_mean;
		double by_rate = rate * by_k + to_k * slope * ((v == DRY_GAMMA ? was->mc - MC_OF_K : 0) + piece->gamma * s->mc[v]);

		s->surface[v] = of_me[v] + (surface - of_me[v]) * is->fall + (was->surface - me) * fall;
		of_mean = 0.5 * (surface + s->surface[v]);
		if (was->mc > DRY_FIBRE_SATURATION)
			s->mc[v] += rate * of_mean - by_rate * (DRY_FIBRE_SATURATION - mean);
		else
			s->mc[v] = of_mean + (s->mc[v] - of_mean) * left - (was->mc - mean) * left * by_rate;
	}
}

void dry_path_slopes(const struct dry_grid *grid, const struct dry_piece *piece, const double *knot, size_t nknots, size_t n, double *mc,
	double *slope)
{
	struct dry_state state = dry_begin(piece, grid->me_pct[0]), was;
	double of_me[DRY_SLOPES] = { 0 };
	struct slopes s;

	begin_slopes(piece, grid->me_pct[0] + piece->offset, &s);
	of_me[DRY_OFFSET] = 1;
	mc[0] = state.mc;
	memcpy(slope, s.mc, (DRY_DRIFT + nknots) * sizeof *slope);
	for (size_t i = 0; i < n; i++) {
		for (size_t k = 0; k < nknots; k++)
			of_me[DRY_DRIFT + k] = i >= dry_step_of(&grid->still, knot[k]);
		was = state;
		dry_move(piece, &state, grid->temp_c[i], grid->me_pct[i]);
		move_slopes(piece, &was, &state, grid->temp_c[i], grid->me_pct[i] + piece->offset, DRY_DRIFT + nknots, of_me, &s);
		mc[i + 1] = state.mc;
		memcpy(slope + (i + 1) * DRY_SLOPES, s.mc, (DRY_DRIFT + nknots) * sizeof *slope);
	}
}
