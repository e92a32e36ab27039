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
	size_t cap = grid->cap, same = grid->cap;

	grid->temp_c = mem_grow(grid->temp_c, &cap, n, sizeof *grid->temp_c);
	grid->warmth = mem_grow(grid->warmth, &same, n, sizeof *grid->warmth);
	grid->me_pct = mem_grow(grid->me_pct, &grid->cap, n, sizeof *grid->me_pct);
}

void dry_grid_set(struct dry_grid *grid, const struct dry_charge *charge, double known, double until)
{
	const struct dry_air *air = charge->air;
	size_t nair = charge->nair, at = nair > 1 && air[0].guessed && air[1].day <= known && air[1].day < GUESS_DAYS;

	grid->still = charge->still;
	grid->beta = NAN;
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
	free(grid->warmth);
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

	return (struct dry_state){ .mc = piece->start, .surface = me + piece->surface * (piece->start - me), .temp_c = NAN, .warmth = NAN };
}

/* How much the logarithm of k is changed by the moisture, held where the series of exp() is good; a NAN is -GAMMA_MOST. */
static double bend_at(const struct dry_piece *piece, double mc)
{
	double y = piece->gamma * (mc - MC_OF_K);

	return y > GAMMA_MOST ? GAMMA_MOST : y > -GAMMA_MOST ? y : -GAMMA_MOST;
}

static double warmth_at(double beta, double temp_c)
{
	return exp(beta * (temp_c - TEMP_OF_K) / BETA_PER_C);
}

static void move_on(const struct dry_piece *piece, struct dry_state *state, double warmth, double me_pct)
{
	double me = me_pct + piece->offset, surface = state->surface, y = bend_at(piece, state->mc), rate, mean;

	if (!(warmth == state->warmth)) {
		state->warmth = warmth;
		state->fall = exp(-piece->kappa * piece->k * warmth * DRY_STEP);
	}
	state->surface = me + (surface - me) * state->fall;
	mean = 0.5 * (surface + state->surface);
	rate = piece->k * warmth * (1 + y * (1 + y * (0.5 + y / 6))) * DRY_STEP;
	state->left = state->mc > DRY_FIBRE_SATURATION ? 1 : exp(-rate);
	if (state->mc > DRY_FIBRE_SATURATION)
		state->mc -= rate * (DRY_FIBRE_SATURATION - mean);
	else
		state->mc = mean + (state->mc - mean) * state->left;
}

void dry_move(const struct dry_piece *piece, struct dry_state *state, double temp_c, double me_pct)
{
	double warmth = temp_c == state->temp_c ? state->warmth : warmth_at(piece->beta, temp_c);

	state->temp_c = temp_c;
	move_on(piece, state, warmth, me_pct);
}

/* Of all steps; pieces of a charge have it in common. */
static void grid_warm(struct dry_grid *grid, double beta)
{
	double temp_c = NAN, warmth = 1;

	if (grid->beta == beta)
		return;
	grid->beta = beta;
	for (size_t i = 0; i < grid->n; i++) {
		warmth = grid->temp_c[i] == temp_c ? warmth : warmth_at(beta, grid->temp_c[i]);
		grid->warmth[i] = warmth;
		temp_c = grid->temp_c[i];
	}
}

void dry_move_along(struct dry_grid *grid, const struct dry_piece *piece, struct dry_state *state, size_t n)
{
	grid_warm(grid, piece->beta);
	for (size_t i = 0; i < n; i++)
		move_on(piece, state, grid->warmth[i], grid->me_pct[i]);
	state->temp_c = n ? grid->temp_c[n - 1] : NAN;
}

void dry_path(struct dry_grid *grid, const struct dry_piece *piece, size_t n, double *mc)
{
	struct dry_state state = dry_begin(piece, grid->me_pct[0]);

	grid_warm(grid, piece->beta);
	mc[0] = state.mc;
	for (size_t i = 0; i < n; i++) {
		move_on(piece, &state, grid->warmth[i], grid->me_pct[i]);
		mc[i + 1] = state.mc;
	}
}

/* ---- and its derivatives */

/* Values are moved in fours, which a compiler turns into vectors; those beyond the last one stay 0. */
enum { FOUR = 4, SLOPES_ROOM = (DRY_SHARED + FOUR - 1) / FOUR * FOUR };

/* What moves along a path beside the state: derivatives of the moisture and of the surface, and what each value changes in a step. */
struct slopes {
	double mc[SLOPES_ROOM], surface[SLOPES_ROOM];
	double of_me[SLOPES_ROOM];                 /* of the EMC with the offset */
	double of_k[SLOPES_ROOM], of_fall[SLOPES_ROOM]; /* of the logarithms of the rate and of the surface's */
	double of_bend[SLOPES_ROOM];               /* of what bends the rate, but by the moisture's own derivative */
	size_t n;
};

static void begin_slopes(const struct dry_piece *piece, double me, size_t nvalues, struct slopes *s)
{
	*s = (struct slopes){ .n = (nvalues + FOUR - 1) / FOUR * FOUR };
	s->mc[DRY_START] = 1;
	s->surface[DRY_START] = piece->surface;
	s->surface[DRY_OFFSET] = 1 - piece->surface;
	s->surface[DRY_SURFACE] = piece->start - me;
	s->of_me[DRY_OFFSET] = 1;
	s->of_k[DRY_LNK] = 1;
	s->of_fall[DRY_LNK] = 1;
	s->of_fall[DRY_LNKAPPA] = (piece->kappa - LEAST_KAPPA) / piece->kappa;
}

/* What a step does to all derivatives alike. */
struct slope_step {
	double fall, by_fall;      /* of the surface */
	double gap;                /* from the EMC to the surface before it */
	double rate, bend, gamma;
	double mean, left, off;    /* what the moisture follows, what is left of its distance from that, and that times what is left */
};

/* Of four values: the surface, and the derivatives of what the moisture follows and of the logarithm of what is left of its distance. */
static inline void move_surface(struct slopes *s, size_t from, const struct slope_step *step, double *restrict of_mean, double *restrict by_rate)
{
	double *restrict surface = s->surface + from;
	const double *of_me = s->of_me + from, *of_fall = s->of_fall + from, *of_k = s->of_k + from, *of_bend = s->of_bend + from, *mc = s->mc + from;

	for (size_t v = 0; v < FOUR; v++) {
		double was = surface[v];

		surface[v] = of_me[v] + (was - of_me[v]) * step->fall + step->gap * (step->by_fall * of_fall[v]);
		of_mean[v] = 0.5 * (was + surface[v]);
		by_rate[v] = step->rate * of_k[v] + step->bend * (of_bend[v] + step->gamma * mc[v]);
	}
}

/* One step as move_on() takes it, of wood that is above fibre saturation, and of wood that is not. */
static void move_wet_slopes(struct slopes *s, const struct slope_step *step)
{
	double of_mean[FOUR], by_rate[FOUR];

	for (size_t from = 0; from < s->n; from += FOUR) {
		double *mc = s->mc + from;

		move_surface(s, from, step, of_mean, by_rate);
		for (size_t v = 0; v < FOUR; v++)
			mc[v] += step->rate * of_mean[v] - by_rate[v] * (DRY_FIBRE_SATURATION - step->mean);
	}
}

static void move_dry_slopes(struct slopes *s, const struct slope_step *step)
{
	double of_mean[FOUR], by_rate[FOUR];

	for (size_t from = 0; from < s->n; from += FOUR) {
		double *mc = s->mc + from;

		move_surface(s, from, step, of_mean, by_rate);
		for (size_t v = 0; v < FOUR; v++)
			mc[v] = of_mean[v] + (mc[v] - of_mean[v]) * step->left - step->off * by_rate[v];
	}
}

/* `was` and `is` are the states before and after the step. */
static void move_slopes(const struct dry_piece *piece, const struct dry_state *was, const struct dry_state *is, double temp_c, double me,
	struct slopes *s)
{
	double kappa = piece->kappa * piece->k * is->warmth * DRY_STEP, to_k = DRY_STEP * piece->k * is->warmth;
	double mean = 0.5 * (was->surface + is->surface), y = bend_at(piece, was->mc), bends = y == piece->gamma * (was->mc - MC_OF_K);
	const struct slope_step step = { .fall = is->fall, .by_fall = -is->fall * kappa, .gap = was->surface - me,
		.rate = to_k * (1 + y * (1 + y * (0.5 + y / 6))), .bend = to_k * (bends * (1 + y * (1 + y / 2))), .gamma = piece->gamma,
		.mean = mean, .left = is->left, .off = (was->mc - mean) * is->left };

	s->of_k[DRY_BETA] = s->of_fall[DRY_BETA] = (temp_c - TEMP_OF_K) / BETA_PER_C;
	s->of_bend[DRY_GAMMA] = was->mc - MC_OF_K;
	if (was->mc > DRY_FIBRE_SATURATION)
		move_wet_slopes(s, &step);
	else
		move_dry_slopes(s, &step);
}

void dry_path_slopes(struct dry_grid *grid, const struct dry_piece *piece, const double *knot, size_t nknots, size_t n, double *mc,
	double *slope)
{
	struct dry_state state = dry_begin(piece, grid->me_pct[0]), was;
	struct slopes s;
	size_t next = nknots; /* knots go from the last to the first */

	grid_warm(grid, piece->beta);
	begin_slopes(piece, grid->me_pct[0] + piece->offset, DRY_DRIFT + nknots, &s);
	mc[0] = state.mc;
	memcpy(slope, s.mc, (DRY_DRIFT + nknots) * sizeof *slope);
	for (size_t i = 0; i < n; i++) {
		for (; next > 0 && i >= dry_step_of(&grid->still, knot[next - 1]); next--)
			s.of_me[DRY_DRIFT + next - 1] = 1;
		was = state;
		move_on(piece, &state, grid->warmth[i], grid->me_pct[i]);
		move_slopes(piece, &was, &state, grid->temp_c[i], grid->me_pct[i] + piece->offset, &s);
		mc[i + 1] = state.mc;
		memcpy(slope + (i + 1) * DRY_SLOPES, s.mc, (DRY_DRIFT + nknots) * sizeof *slope);
	}
}
