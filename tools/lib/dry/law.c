#include "dry/law.h"

#include <math.h>
#include <stdbool.h>
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

void dry_grid_copy(struct dry_grid *to, const struct dry_grid *from)
{
	grid_grow(to, from->n);
	to->n = from->n;
	to->beta = NAN;
	to->still = from->still;
	memcpy(to->temp_c, from->temp_c, from->n * sizeof *to->temp_c);
	memcpy(to->me_pct, from->me_pct, from->n * sizeof *to->me_pct);
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

	return (struct dry_state){ .mc = piece->start, .surface = me + piece->surface * (piece->start - me), .warmth = NAN };
}

/* How much the logarithm of k is changed by the moisture, held where the series of exp() is good; a NAN is -GAMMA_MOST. */
static double bend_at(const struct dry_piece *piece, double mc)
{
	double y = piece->gamma * (mc - MC_OF_K);

	return y > GAMMA_MOST ? GAMMA_MOST : y > -GAMMA_MOST ? y : -GAMMA_MOST;
}

double dry_warmth(double beta, double temp_c)
{
	return exp(beta * (temp_c - TEMP_OF_K) / BETA_PER_C);
}

/*
 * exp(-x) for x from 0 on, as exp() gives it but for the last digits. What is left in half a day is near 1, where the series to the
 * ninth power is enough (the next term is below 3e-16); for x up to half the fourth power of a quarter. A fit asks for it without end.
 */
static inline double left_after(double x)
{
	double z = -0.25 * x, z2 = z * z, z4 = z2 * z2, left;

	if (!(x < 0.5))
		return exp(-x);
	left = (1 + z) + z2 * (1.0 / 2 + z * (1.0 / 6)) + z4 * ((1.0 / 24 + z * (1.0 / 120)) + z2 * (1.0 / 720 + z * (1.0 / 5040)) + z4 * (1.0 / 40320 + z * (1.0 / 362880)));
	left *= left;
	return left * left;
}

static void move_on(const struct dry_piece *piece, struct dry_state *state, double warmth, double me_pct)
{
	double me = me_pct + piece->offset, surface = state->surface, y = bend_at(piece, state->mc), rate, mean;

	if (!(warmth == state->warmth)) {
		state->warmth = warmth;
		state->fall = left_after(piece->kappa * piece->k * warmth * DRY_STEP);
	}
	state->surface = me + (surface - me) * state->fall;
	mean = 0.5 * (surface + state->surface);
	rate = piece->k * warmth * (1 + y * (1 + y * (0.5 + y / 6))) * DRY_STEP;
	state->left = state->mc > DRY_FIBRE_SATURATION ? 1 : left_after(rate);
	if (state->mc > DRY_FIBRE_SATURATION)
		state->mc -= rate * (DRY_FIBRE_SATURATION - mean);
	else
		state->mc = mean + (state->mc - mean) * state->left;
}

void dry_move(const struct dry_piece *piece, struct dry_state *state, double warmth, double me_pct)
{
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
		warmth = grid->temp_c[i] == temp_c ? warmth : dry_warmth(beta, grid->temp_c[i]);
		grid->warmth[i] = warmth;
		temp_c = grid->temp_c[i];
	}
}

void dry_move_along(struct dry_grid *grid, const struct dry_piece *piece, struct dry_state *state, size_t n)
{
	grid_warm(grid, piece->beta);
	for (size_t i = 0; i < n; i++)
		move_on(piece, state, grid->warmth[i], grid->me_pct[i]);
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

double dry_path_at(const double *mc, size_t n, double day)
{
	double at = fmax(day, 0) / DRY_STEP;
	size_t i = at < (double)n ? (size_t)at : n - 1;

	return mc[i] + (at - (double)i) * (mc[i + 1] - mc[i]);
}

/* ---- and its derivatives */

/* What moves along a path beside the state: derivatives of the moisture and of the surface. */
struct slopes {
	double mc[DRY_SLOPES], surface[DRY_SLOPES];
	double of_kappa;           /* of the logarithm of kappa */
	size_t n;                  /* in whole fours */
	size_t on, nknots;         /* the knots from `on` to the last of them have come */
};

static void begin_slopes(const struct dry_piece *piece, double me, size_t nknots, struct slopes *s)
{
	*s = (struct slopes){ .of_kappa = (piece->kappa - LEAST_KAPPA) / piece->kappa, .n = dry_slopes_used(nknots), .on = nknots, .nknots = nknots };
	s->mc[DRY_START] = 1;
	s->surface[DRY_START] = piece->surface;
	s->surface[DRY_OFFSET] = 1 - piece->surface;
	s->surface[DRY_SURFACE] = piece->start - me;
}

/* What a step does to all derivatives alike: the surface's falls, and the moisture's is left and takes in the surface's. */
struct slope_step {
	double fall, left, takes;
};

static inline void move_all_slopes(struct slopes *s, const struct slope_step *step)
{
	double fall = step->fall, left = step->left, takes = step->takes;

	double both = takes * (1 + fall);

	for (size_t from = 0; from < s->n; from += DRY_FOUR) {
		double *restrict mc = s->mc + from, *restrict surface = s->surface + from;

		mc[0] = left * mc[0] + both * surface[0];
		mc[1] = left * mc[1] + both * surface[1];
		mc[2] = left * mc[2] + both * surface[2];
		mc[3] = left * mc[3] + both * surface[3];
		surface[0] *= fall;
		surface[1] *= fall;
		surface[2] *= fall;
		surface[3] *= fall;
	}
}

/* What the step adds to that of one value, of the surface and of the moisture. */
static inline void add_slope(struct slopes *s, const struct slope_step *step, size_t v, double to_surface, double to_mc)
{
	s->surface[v] += to_surface;
	s->mc[v] += step->takes * to_surface + to_mc;
}

/* One step as move_on() takes it, `was` and `is` being the states before and after it. */
static void move_slopes(const struct dry_piece *piece, const struct dry_state *was, const struct dry_state *is, double temp_c, double me,
	struct slopes *s)
{
	bool wet = was->mc > DRY_FIBRE_SATURATION;
	double to_k = DRY_STEP * piece->k * is->warmth, mean = 0.5 * (was->surface + is->surface), y = bend_at(piece, was->mc);
	double off = was->mc - MC_OF_K, rate = to_k * (1 + y * (1 + y * (0.5 + y / 6))), bend = y == piece->gamma * off ? to_k * (1 + y * (1 + y / 2)) : 0;
	double far = wet ? DRY_FIBRE_SATURATION - mean : (was->mc - mean) * is->left, warm = (temp_c - TEMP_OF_K) / BETA_PER_C;
	double by_fall = (me - was->surface) * is->fall * piece->kappa * to_k;
	const struct slope_step step = { is->fall, (wet ? 1 : is->left) - far * bend * piece->gamma, 0.5 * (wet ? rate : 1 - is->left) };

	move_all_slopes(s, &step);
	add_slope(s, &step, DRY_LNK, by_fall, -far * rate);
	add_slope(s, &step, DRY_OFFSET, 1 - is->fall, 0);
	add_slope(s, &step, DRY_GAMMA, 0, -far * bend * off);
	add_slope(s, &step, DRY_BETA, by_fall * warm, -far * rate * warm);
	add_slope(s, &step, DRY_LNKAPPA, by_fall * s->of_kappa, 0);
	for (size_t k = s->on; k < s->nknots; k++)
		add_slope(s, &step, DRY_DRIFT + k, 1 - is->fall, 0);
}

/* The part of the way from `before` to where it is now, of each of n, in whole fours. */
static void put_between(const double *restrict before, const double *restrict is, size_t n, double part, double *restrict to)
{
	for (size_t from = 0; from < n; from += DRY_FOUR)
		for (size_t v = from; v < from + DRY_FOUR; v++)
			to[v] = before[v] + part * (is[v] - before[v]);
}

/* The step in which a reading is; the end of the last one is in that. */
static size_t step_of_reading(const struct dry_grid *grid, const struct dry_reading *reading)
{
	double at = reading->day / DRY_STEP;

	return !(at > 0) ? 0 : at < (double)grid->n ? (size_t)at : grid->n - 1;
}

/* A piece on its way, with its derivatives. */
struct walk {
	const struct dry_grid *grid;
	const struct dry_piece *piece;
	const double *knot;
	struct dry_state state;
	struct slopes slopes;
	size_t step;
};

static inline void walk_on(struct walk *w)
{
	struct dry_state was = w->state;
	struct slopes *s = &w->slopes;

	while (s->on > 0 && w->step >= dry_step_of(&w->grid->still, w->knot[s->on - 1])) /* knots go from the last to the first */
		s->on--;
	move_on(w->piece, &w->state, w->grid->warmth[w->step], w->grid->me_pct[w->step]);
	move_slopes(w->piece, &was, &w->state, w->grid->temp_c[w->step], w->grid->me_pct[w->step] + w->piece->offset, s);
	w->step++;
}

/* Moves on over the step of the next readings, and puts what is at these. Returns how many they are. */
static size_t walk_over(struct walk *w, const struct dry_reading *reading, size_t n, double *mc, double *slope)
{
	double was = w->state.mc, before[DRY_SLOPES];
	size_t step = w->step, i = 0;

	memcpy(before, w->slopes.mc, sizeof before);
	walk_on(w);
	for (; i < n && step_of_reading(w->grid, &reading[i]) == step; i++) {
		double part = (reading[i].day > 0 ? reading[i].day / DRY_STEP : 0) - (double)step;

		mc[i] = was + part * (w->state.mc - was);
		put_between(before, w->slopes.mc, w->slopes.n, part, slope + i * DRY_SLOPES);
	}
	return i;
}

void dry_path_slopes(struct dry_grid *grid, const struct dry_piece *piece, const double *knot, size_t nknots, const struct dry_reading *reading,
	size_t n, double *mc, double *slope)
{
	struct walk w = { .grid = grid, .piece = piece, .knot = knot, .state = dry_begin(piece, grid->me_pct[0]) };

	grid_warm(grid, piece->beta);
	begin_slopes(piece, grid->me_pct[0] + piece->offset, nknots, &w.slopes);
	for (size_t at = 0; at < n;) {
		size_t step = step_of_reading(grid, &reading[at]);

		while (w.step < step)
			walk_on(&w);
		at += walk_over(&w, reading + at, n - at, mc + at, slope + at * DRY_SLOPES);
	}
}
