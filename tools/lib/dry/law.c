#include "dry/law.h"

#include <math.h>
#include <stdbool.h>
#include <stdint.h>
#include <stdlib.h>

#include "base/mem.h"
#include "math/wide.h"

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
 * ninth power is enough (the next term is below 3e-16): for x up to a half the fourth power of a quarter, and up to 4 the 32nd of a 32nd.
 * A fit asks for it without end.
 */
static const double NEAR = 0.5, NEAR_PART = 0.25, FAR = 4, FAR_PART = 0.25 / 8;

#define SERIES(z, z2, z4) \
	((1 + (z)) + (z2) * (1.0 / 2 + (z) * (1.0 / 6)) + \
		(z4) * ((1.0 / 24 + (z) * (1.0 / 120)) + (z2) * (1.0 / 720 + (z) * (1.0 / 5040)) + (z4) * (1.0 / 40320 + (z) * (1.0 / 362880))))

static inline double left_after(double x)
{
	double z = -(x < NEAR ? NEAR_PART : FAR_PART) * x, z2 = z * z, z4 = z2 * z2, left;

	if (!(x < FAR))
		return exp(-x);
	left = SERIES(z, z2, z4);
	left *= left;
	left *= left;
	for (int i = 0; i < 3 && !(x < NEAR); i++)
		left *= left;
	return left;
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
	rate = piece->k * warmth * (1 + y * (1 + y * (0.5 + y * (1.0 / 6)))) * DRY_STEP;
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

/* ---- four pieces at once: what a piece does in a step waits for what it did in the one before, and the others fill the wait */

/* All is compiled twice (wide.h): a processor with vectors of four moves four pieces like one. */

typedef double four __attribute__((vector_size(DRY_FOUR * sizeof(double))));
typedef int64_t four_bits __attribute__((vector_size(DRY_FOUR * sizeof(int64_t))));

/* Of each, the one value or the other. Functions take pointers: how a vector is handed over depends on the processor. */
#define PICK(where, yes, no) ((four)(((where) & (four_bits)(yes)) | (~(where) & (four_bits)(no))))
#define ALL(x) ((four){ (x), (x), (x), (x) })

/* Pieces of a charge, the last of them again where there are fewer, and where they are: as of dry_piece and dry_state. */
struct fours {
	four k, offset, gamma, kappa, mc, surface, fall, left;
	double warmth;
};

INLINE void fours_init(struct fours *f, const struct dry_piece *piece, const struct dry_state *state, size_t n)
{
	f->warmth = state->warmth;
	for (size_t i = 0; i < DRY_FOUR; i++) {
		size_t at = i < n ? i : n - 1;

		f->k[i] = piece[at].k;
		f->offset[i] = piece[at].offset;
		f->gamma[i] = piece[at].gamma;
		f->kappa[i] = piece[at].kappa;
		f->mc[i] = state[at].mc;
		f->surface[i] = state[at].surface;
		f->fall[i] = state[at].fall;
	}
}

INLINE void fours_put(const struct fours *f, struct dry_state *state, size_t n)
{
	for (size_t i = 0; i < n && i < DRY_FOUR; i++)
		state[i] = (struct dry_state){ .mc = f->mc[i], .surface = f->surface[i], .warmth = f->warmth, .fall = f->fall[i], .left = f->left[i] };
}

/* left_after() of each. */
INLINE void left_after_each(const four *x, four *left)
{
	four_bits near = *x < NEAR, far = *x < FAR;
	four z = -PICK(near, ALL(NEAR_PART), ALL(FAR_PART)) * *x, z2 = z * z, z4 = z2 * z2, root = SERIES(z, z2, z4);

	root *= root;
	root *= root;
	if (!(near[0] & near[1] & near[2] & near[3])) {
		four more = root * root;

		more *= more;
		root = PICK(near, root, more * more);
	}
	*left = root;
	if (!(far[0] & far[1] & far[2] & far[3]))
		for (size_t i = 0; i < DRY_FOUR; i++)
			(*left)[i] = far[i] ? root[i] : exp(-(*x)[i]);
}

/* bend_at() of each. */
INLINE void bend_each(const four *gamma, const four *mc, four *y)
{
	*y = *gamma * (*mc - MC_OF_K);
	*y = PICK(*y > GAMMA_MOST, ALL(GAMMA_MOST), PICK(*y > -GAMMA_MOST, *y, ALL(-GAMMA_MOST)));
}

/* move_on() of each. */
INLINE void fours_move(struct fours *f, double warmth, double me_pct)
{
	four me = me_pct + f->offset, surface = f->surface, y, rate, mean, dry;
	four_bits wet = f->mc > DRY_FIBRE_SATURATION;

	if (!(warmth == f->warmth)) {
		four falls = f->kappa * f->k * warmth * DRY_STEP;

		f->warmth = warmth;
		left_after_each(&falls, &f->fall);
	}
	bend_each(&f->gamma, &f->mc, &y);
	f->surface = me + (surface - me) * f->fall;
	mean = 0.5 * (surface + f->surface);
	rate = f->k * warmth * (1 + y * (1 + y * (0.5 + y * (1.0 / 6)))) * DRY_STEP;
	dry = PICK(wet, ALL(0), rate);
	left_after_each(&dry, &f->left);
	f->mc = PICK(wet, f->mc - rate * (DRY_FIBRE_SATURATION - mean), mean + (f->mc - mean) * f->left);
}

INLINE void move_each(const struct dry_piece *piece, struct dry_state *state, size_t npieces, const double *warmth, const double *me_pct, size_t n)
{
	struct fours f;

	for (size_t i = 0; i < npieces; i += DRY_FOUR) {
		fours_init(&f, piece + i, state + i, npieces - i);
		for (size_t step = 0; step < n; step++)
			fours_move(&f, warmth[step], me_pct[step]);
		fours_put(&f, state + i, npieces - i);
	}
}

static void move_plainly(const struct dry_piece *piece, struct dry_state *state, size_t npieces, const double *warmth, const double *me_pct, size_t n)
{
	move_each(piece, state, npieces, warmth, me_pct, n);
}

WIDE static void move_widely(const struct dry_piece *piece, struct dry_state *state, size_t npieces, const double *warmth, const double *me_pct, size_t n)
{
	move_each(piece, state, npieces, warmth, me_pct, n);
}

void dry_move_along(struct dry_grid *grid, const struct dry_piece *piece, struct dry_state *state, size_t npieces, size_t n)
{
	if (npieces == 0 || n == 0)
		return;
	grid_warm(grid, piece->beta);
	(has_wide() && !grid->plain ? move_widely : move_plainly)(piece, state, npieces, grid->warmth, grid->me_pct, n);
}

/* ---- the same, step by step */

void dry_quartets_set(struct dry_quartet *q, const struct dry_piece *piece, const struct dry_state *state, size_t npieces)
{
	for (size_t i = 0; i < DRY_FOUR * dry_quartets(npieces); i++) {
		size_t at = i < npieces ? i : npieces - 1, to = i % DRY_FOUR;
		struct dry_quartet *of = &q[i / DRY_FOUR];

		of->k[to] = piece[at].k;
		of->offset[to] = piece[at].offset;
		of->gamma[to] = piece[at].gamma;
		of->kappa[to] = piece[at].kappa;
		of->mc[to] = state[at].mc;
		of->surface[to] = state[at].surface;
		of->fall[to] = state[at].fall;
		of->warmth = state[at].warmth;
	}
}

INLINE void quartets_move(struct dry_quartet *q, size_t npieces, double warmth, double me_pct)
{
	struct fours f;

	for (size_t i = 0; i < dry_quartets(npieces); i++) {
		memcpy(&f.k, q[i].k, sizeof f.k);
		memcpy(&f.offset, q[i].offset, sizeof f.offset);
		memcpy(&f.gamma, q[i].gamma, sizeof f.gamma);
		memcpy(&f.kappa, q[i].kappa, sizeof f.kappa);
		memcpy(&f.mc, q[i].mc, sizeof f.mc);
		memcpy(&f.surface, q[i].surface, sizeof f.surface);
		memcpy(&f.fall, q[i].fall, sizeof f.fall);
		f.warmth = q[i].warmth;
		fours_move(&f, warmth, me_pct);
		memcpy(q[i].mc, &f.mc, sizeof f.mc);
		memcpy(q[i].surface, &f.surface, sizeof f.surface);
		memcpy(q[i].fall, &f.fall, sizeof f.fall);
		q[i].warmth = f.warmth;
	}
}

static void quartets_plainly(struct dry_quartet *q, size_t npieces, double warmth, double me_pct)
{
	quartets_move(q, npieces, warmth, me_pct);
}

WIDE static void quartets_widely(struct dry_quartet *q, size_t npieces, double warmth, double me_pct)
{
	quartets_move(q, npieces, warmth, me_pct);
}

void dry_quartets_move(struct dry_quartet *q, size_t npieces, double warmth, double me_pct)
{
	(has_wide() ? quartets_widely : quartets_plainly)(q, npieces, warmth, me_pct);
}

/* ---- and their derivatives */

/* What moves along the paths of four pieces beside their states: derivatives of the moisture and of the surface. */
struct slopes {
	four mc[DRY_SLOPES], surface[DRY_SLOPES];
	four of_kappa;             /* of the logarithm of kappa */
	size_t n;
	size_t on, nknots;         /* the knots from `on` to the last of them have come */
};

INLINE void begin_slopes(const struct dry_walk *walk, size_t nwalks, double me_pct, size_t nknots, struct slopes *s)
{
	memset(s, 0, sizeof *s);
	s->n = DRY_DRIFT + nknots;
	s->on = s->nknots = nknots;
	for (size_t i = 0; i < DRY_FOUR; i++) {
		const struct dry_piece *piece = &walk[i < nwalks ? i : nwalks - 1].piece;

		s->of_kappa[i] = (piece->kappa - LEAST_KAPPA) / piece->kappa;
		s->mc[DRY_START][i] = 1;
		s->surface[DRY_START][i] = piece->surface;
		s->surface[DRY_OFFSET][i] = 1 - piece->surface;
		s->surface[DRY_SURFACE][i] = piece->start - (me_pct + piece->offset);
	}
}

/* What a step does to all derivatives alike: the surface's falls, and the moisture's is left and takes in the surface's. */
struct slope_step {
	four fall, left, takes;
};

INLINE void move_all_slopes(struct slopes *s, const struct slope_step *step)
{
	four fall = step->fall, left = step->left, both = step->takes * (1 + fall);

	for (size_t v = 0; v < s->n; v++) {
		s->mc[v] = left * s->mc[v] + both * s->surface[v];
		s->surface[v] *= fall;
	}
}

/* What the step adds to that of one value: by way of the surface, and of the moisture itself. */
INLINE void add_slope(struct slopes *s, const struct slope_step *step, size_t v, const four *to_surface, const four *to_mc)
{
	s->surface[v] += *to_surface;
	s->mc[v] += step->takes * *to_surface + *to_mc;
}

/* What a step does by a value alone: the air's part of the surface, how fast all goes, and how much faster for what is not yet dry. */
struct slope_parts {
	four by_fall, by_rate, by_bend, by_offset;
};

INLINE void add_all_slopes(struct slopes *s, const struct slope_step *step, const struct slope_parts *part, double temp_c)
{
	double warm = (temp_c - TEMP_OF_K) / BETA_PER_C;
	const four none = { 0 }, warm_fall = part->by_fall * warm, warm_rate = part->by_rate * warm, by_kappa = part->by_fall * s->of_kappa;

	move_all_slopes(s, step);
	add_slope(s, step, DRY_LNK, &part->by_fall, &part->by_rate);
	add_slope(s, step, DRY_OFFSET, &part->by_offset, &none);
	s->mc[DRY_GAMMA] += part->by_bend;
	add_slope(s, step, DRY_BETA, &warm_fall, &warm_rate);
	add_slope(s, step, DRY_LNKAPPA, &by_kappa, &none);
	for (size_t k = s->on; k < s->nknots; k++)
		add_slope(s, step, DRY_DRIFT + k, &part->by_offset, &none);
}

/* One step as fours_move() takes it, `was` and `is` being where they are before and after it. */
INLINE void move_slopes(const struct fours *was, const struct fours *is, double temp_c, double me_pct, struct slopes *s)
{
	four_bits wet = was->mc > DRY_FIBRE_SATURATION;
	four to_k = DRY_STEP * is->k * is->warmth, mean = 0.5 * (was->surface + is->surface), off = was->mc - MC_OF_K, y, rate, bend, far;
	struct slope_parts part;
	struct slope_step step;

	bend_each(&is->gamma, &was->mc, &y);
	rate = to_k * (1 + y * (1 + y * (0.5 + y * (1.0 / 6))));
	bend = PICK(y == is->gamma * off, to_k * (1 + y * (1 + y / 2)), ALL(0));
	far = PICK(wet, DRY_FIBRE_SATURATION - mean, (was->mc - mean) * is->left);
	step = (struct slope_step){ is->fall, is->left - far * bend * is->gamma, 0.5 * PICK(wet, rate, 1 - is->left) };
	part = (struct slope_parts){ (me_pct + is->offset - was->surface) * is->fall * is->kappa * to_k, -far * rate, -far * bend * off, 1 - is->fall };
	add_all_slopes(s, &step, &part, temp_c);
}

/* The step in which a reading is; the end of the last one is in that. */
static size_t step_of_reading(const struct dry_grid *grid, const struct dry_reading *reading)
{
	double at = reading->day / DRY_STEP;

	return !(at > 0) ? 0 : at < (double)grid->n ? (size_t)at : grid->n - 1;
}

/* Pieces on their way, with their derivatives. */
struct walks {
	const struct dry_grid *grid;
	const double *knot;
	struct dry_walk *walk;
	size_t n, at[DRY_FOUR];    /* the next reading of each */
	struct fours is;
	struct slopes slopes;
	size_t step;
};

INLINE void walk_on(struct walks *w)
{
	struct fours was = w->is;
	struct slopes *s = &w->slopes;

	while (s->on > 0 && w->step >= dry_step_of(&w->grid->still, w->knot[s->on - 1])) /* knots go from the last to the first */
		s->on--;
	fours_move(&w->is, w->grid->warmth[w->step], w->grid->me_pct[w->step]);
	move_slopes(&was, &w->is, w->grid->temp_c[w->step], w->grid->me_pct[w->step], s);
	w->step++;
}

/* Puts what piece i shows at a reading: the part of the way from `before` to where it is now. */
INLINE void put_between(const struct walks *w, size_t i, const four *before, double part, double *slope)
{
	const four *is = w->slopes.mc;
	size_t n = w->slopes.n;

	for (size_t v = 0; v < n; v++)
		slope[v] = before[v][i] + part * (is[v][i] - before[v][i]);
	for (size_t v = n; v < dry_slopes_used(w->slopes.nknots); v++)
		slope[v] = 0;
}

/* Moves on over a step with readings in it, and puts what is at these. */
INLINE void walk_over(struct walks *w)
{
	four was = w->is.mc, before[DRY_SLOPES];
	size_t step = w->step;

	memcpy(before, w->slopes.mc, sizeof before);
	walk_on(w);
	for (size_t i = 0; i < w->n; i++) {
		struct dry_walk *walk = &w->walk[i];

		for (size_t *at = &w->at[i]; *at < walk->n && step_of_reading(w->grid, &walk->reading[*at]) == step; ++*at) {
			double day = walk->reading[*at].day, part = (day > 0 ? day / DRY_STEP : 0) - (double)step;

			walk->mc[*at] = was[i] + part * (w->is.mc[i] - was[i]);
			put_between(w, i, before, part, walk->slope + *at * DRY_SLOPES);
		}
	}
}

/* The step of the next reading of any, SIZE_MAX if there is none. */
static size_t next_reading_step(const struct walks *w)
{
	size_t next = SIZE_MAX;

	for (size_t i = 0; i < w->n; i++) {
		size_t step = w->at[i] < w->walk[i].n ? step_of_reading(w->grid, &w->walk[i].reading[w->at[i]]) : SIZE_MAX;

		next = step < next ? step : next;
	}
	return next;
}

INLINE void walk_all(struct walks *w, const double *knot, size_t nknots)
{
	struct dry_piece piece[DRY_FOUR];
	struct dry_state state[DRY_FOUR] = { { 0 } };
	size_t next;

	w->knot = knot;
	for (size_t i = 0; i < w->n; i++) {
		piece[i] = w->walk[i].piece;
		state[i] = dry_begin(&piece[i], w->grid->me_pct[0]);
	}
	fours_init(&w->is, piece, state, w->n);
	begin_slopes(w->walk, w->n, w->grid->me_pct[0], nknots, &w->slopes);
	while ((next = next_reading_step(w)) != SIZE_MAX) {
		while (w->step < next)
			walk_on(w);
		walk_over(w);
	}
}

static void walk_plainly(struct walks *w, const double *knot, size_t nknots)
{
	walk_all(w, knot, nknots);
}

WIDE static void walk_widely(struct walks *w, const double *knot, size_t nknots)
{
	walk_all(w, knot, nknots);
}

void dry_path_slopes(struct dry_grid *grid, const double *knot, size_t nknots, struct dry_walk *walk, size_t n)
{
	struct walks w;

	w.grid = grid;
	w.walk = walk;
	w.n = n;
	w.step = 0;
	memset(w.at, 0, sizeof w.at);
	grid_warm(grid, walk->piece.beta);
	(has_wide() && !grid->plain ? walk_widely : walk_plainly)(&w, knot, nknots);
}
