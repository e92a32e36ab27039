#include "math/arrow.h"

#include <math.h>
#include <stdlib.h>

#include "math/least_squares.h"
#include "math/wide.h"

enum { FOUR = 4, ROW = ARROW_SHARED_MOST };

/* All arrays are parts of one. */
void arrow_init(struct arrow *a, size_t shared, size_t own, size_t groups)
{
	size_t square = shared * shared, sides = groups * own * shared, rows = groups * own * ROW, blocks = groups * own * own;

	*a = (struct arrow){ .shared = shared, .own = own, .groups = groups, .n = shared + own * groups, .coupled = shared };
	a->top = mem_array(2 * square + sides + 2 * rows + 2 * blocks + ROW * ROW, sizeof *a->top);
	a->side = a->top + square;
	a->block = a->side + sides;
	a->inverse = a->block + blocks;
	a->pivot = a->inverse + square;
	a->reach = a->pivot + blocks;
	a->flank = a->reach + rows;
	a->unroot = a->flank + rows;
	arrow_clear(a);
}

void arrow_release(struct arrow *a)
{
	free(a->top);
	*a = (struct arrow){ 0 };
}

void arrow_clear(struct arrow *a)
{
	memset(a->top, 0, a->shared * a->shared * sizeof *a->top);
	memset(a->side, 0, a->groups * a->own * a->shared * sizeof *a->side);
	memset(a->block, 0, a->groups * a->own * a->own * sizeof *a->block);
}

void arrow_copy(struct arrow *to, const struct arrow *from, double diagonal)
{
	to->coupled = from->coupled;
	memcpy(to->top, from->top, from->shared * from->shared * sizeof *to->top);
	memcpy(to->side, from->side, from->groups * from->own * from->shared * sizeof *to->side);
	memcpy(to->block, from->block, from->groups * from->own * from->own * sizeof *to->block);
	for (size_t i = 0; i < to->shared; i++)
		to->top[i * to->shared + i] *= diagonal;
	for (size_t i = 0; i < to->groups * to->own; i++)
		to->block[i * to->own + i % to->own] *= diagonal;
}

/* ---- the parts of one group */

static double *side_of(const struct arrow *a, size_t group)
{
	return a->side + group * a->own * a->shared;
}

static double *reach_of(const struct arrow *a, size_t group)
{
	return a->reach + group * a->own * ROW;
}

static double *flank_of(const struct arrow *a, size_t group)
{
	return a->flank + group * a->own * ROW;
}

static double *block_of(const struct arrow *a, size_t group)
{
	return a->block + group * a->own * a->own;
}

static double *pivot_of(const struct arrow *a, size_t group)
{
	return a->pivot + group * a->own * a->own;
}

/* ---- rows, in whole fours */

typedef double four __attribute__((vector_size(FOUR * sizeof(double)), aligned(sizeof(double)), may_alias));

#define AT(x) (*(four *)(x))
#define OF(x) (*(const four *)(x))

INLINE size_t fours(size_t n)
{
	return (n + FOUR - 1) / FOUR * FOUR;
}

/* x += factor y */
INLINE void add_times(double *restrict x, double factor, const double *restrict y, size_t n)
{
	for (size_t i = 0; i < n; i += FOUR)
		AT(x + i) += factor * OF(y + i);
}

INLINE double product(const double *x, const double *y, size_t n)
{
	four sum = { 0 };

	for (size_t i = 0; i < n; i += FOUR)
		sum += OF(x + i) * OF(y + i);
	return (sum[0] + sum[1]) + (sum[2] + sum[3]);
}

INLINE void scale(double *x, double factor, size_t n)
{
	for (size_t i = 0; i < n; i += FOUR)
		AT(x + i) *= factor;
}

/* A row of zeros with the first values of another. */
INLINE void put_row(double *row, const double *from, size_t n)
{
	memset(row, 0, ROW * sizeof *row);
	memcpy(row, from, n * sizeof *row);
}

/* ---- small triangles: of groups */

/* The root of a block, in its place; false where it has none. */
INLINE bool root_of(double *a, size_t n)
{
	for (size_t i = 0; i < n; i++)
		for (size_t k = 0; k <= i; k++) {
			double sum = a[i * n + k];

			for (size_t j = 0; j < k; j++)
				sum -= a[i * n + j] * a[k * n + j];
			if (i != k)
				a[i * n + k] = sum / a[k * n + k];
			else if (sum > 0 && isfinite(sum))
				a[i * n + i] = sqrt(sum);
			else
				return false;
		}
	return true;
}

/* Turns b into the solution of R x = b. */
INLINE void solve_down(const double *root, size_t n, double *b)
{
	for (size_t i = 0; i < n; i++) {
		for (size_t k = 0; k < i; k++)
			b[i] -= root[i * n + k] * b[k];
		b[i] /= root[i * n + i];
	}
}

/* The same of R' x = b. */
INLINE void solve_up(const double *root, size_t n, double *b)
{
	for (size_t i = n; i-- > 0;) {
		for (size_t k = i + 1; k < n; k++)
			b[i] -= root[k * n + i] * b[k];
		b[i] /= root[i * n + i];
	}
}

/* ---- the root */

/*
 * The unknowns are eliminated in their order. Once the shared ones and some groups are, what is left of two
 * later groups p and q is [p = q] block - side_p M side_q', where M begins as the inverse of `top`. To
 * eliminate group p adds reach' reach to M, where pivot reach = -side_p M. After the last group M is the
 * inverse's own part, by the formula of Sherman, Morrison and Woodbury.
 */
struct eliminating {
	double m[ROW * ROW];
	size_t n, padded;
};

INLINE bool eliminate(struct eliminating *e, struct arrow *a, size_t group)
{
	double *pivot = pivot_of(a, group), *reach = reach_of(a, group), *flank = flank_of(a, group);
	size_t own = a->own;

	for (size_t i = 0; i < own; i++) {
		put_row(flank + i * ROW, side_of(a, group) + i * a->shared, e->n);
		memset(reach + i * ROW, 0, ROW * sizeof *reach);
		for (size_t k = 0; k < e->n; k++)
			add_times(reach + i * ROW, -flank[i * ROW + k], e->m + k * ROW, e->padded);
		for (size_t k = 0; k <= i; k++)
			pivot[i * own + k] = block_of(a, group)[i * own + k] + product(reach + i * ROW, flank + k * ROW, e->padded);
	}
	if (!root_of(pivot, own))
		return false;
	for (size_t i = 0; i < own; i++) {
		for (size_t k = 0; k < i; k++)
			add_times(reach + i * ROW, -pivot[i * own + k], reach + k * ROW, e->padded);
		scale(reach + i * ROW, 1 / pivot[i * own + i], e->padded);
		for (size_t k = 0; k < e->n; k++)
			add_times(e->m + k * ROW, reach[i * ROW + k], reach + i * ROW, e->padded);
	}
	return true;
}

/* ---- all of it */

/* The roots of the shared unknowns that go with nothing, and their part of the inverse. */
INLINE bool root_alone(struct arrow *a)
{
	for (size_t i = a->coupled; i < a->shared; i++) {
		double *of = a->top + i * a->shared + i;

		if (!root_of(of, 1))
			return false;
		a->inverse[i * a->shared + i] = 1 / *of / *of;
	}
	return true;
}

/* The root of those that are coupled, turned about: row i of it is what unknown i gives to those after it. */
INLINE bool turned_root(const struct arrow *a, double *turned, size_t n)
{
	for (size_t i = 0; i < n; i++)
		for (size_t k = i; k < n; k++)
			turned[i * ROW + k] = a->top[k * a->shared + i];
	for (size_t i = 0; i < n; i++) {
		double pivot = turned[i * ROW + i];

		if (!(pivot > 0 && isfinite(pivot)))
			return false;
		scale(turned + i * ROW + i / FOUR * FOUR, 1 / sqrt(pivot), fours(n) - i / FOUR * FOUR);
		for (size_t k = i + 1; k < n; k++)
			add_times(turned + k * ROW + k / FOUR * FOUR, -turned[i * ROW + k], turned + i * ROW + k / FOUR * FOUR, fours(n) - k / FOUR * FOUR);
	}
	return true;
}

/* The root, its inverse, and M as it begins. */
INLINE bool root_top(struct arrow *a, struct eliminating *e)
{
	double turned[ROW * ROW] = { 0 };
	size_t n = a->coupled;

	e->n = n;
	e->padded = fours(n);
	if (!turned_root(a, turned, n))
		return false;
	memset(a->unroot, 0, n * ROW * sizeof *a->unroot);
	memset(e->m, 0, n * ROW * sizeof *e->m);
	for (size_t i = 0; i < n; i++) {
		double *row = a->unroot + i * ROW, by = 1 / turned[i * ROW + i];

		row[i] = by;
		for (size_t k = 0; k < i; k++) {
			a->top[i * a->shared + k] = turned[k * ROW + i];
			add_times(row, -by * turned[k * ROW + i], a->unroot + k * ROW, fours(k + 1));
		}
		a->top[i * a->shared + i] = turned[i * ROW + i];
		for (size_t k = 0; k <= i; k++)
			add_times(e->m + k * ROW, row[k], row, fours(i + 1));
	}
	return true;
}

INLINE bool root_all(struct arrow *a)
{
	struct eliminating e;

	if (!root_top(a, &e))
		return false;
	for (size_t group = 0; group < a->groups; group++)
		if (!eliminate(&e, a, group))
			return false;
	memset(a->inverse, 0, a->shared * a->shared * sizeof *a->inverse);
	for (size_t i = 0; i < e.n; i++)
		memcpy(a->inverse + i * a->shared, e.m + i * ROW, e.n * sizeof *e.m);
	return root_alone(a);
}

static bool root_plainly(struct arrow *a)
{
	return root_all(a);
}

WIDE static bool root_widely(struct arrow *a)
{
	return root_all(a);
}

bool arrow_root(struct arrow *a)
{
	return (has_wide() ? root_widely : root_plainly)(a);
}

/* ---- with the root */

double arrow_log_determinant(const struct arrow *a)
{
	double sum = 0;

	for (size_t i = 0; i < a->shared; i++)
		sum += log(a->top[i * a->shared + i]);
	for (size_t group = 0; group < a->groups; group++)
		for (size_t i = 0; i < a->own; i++)
			sum += log(pivot_of(a, group)[i * a->own + i]);
	return 2 * sum;
}

/* The shared unknowns that go with nothing. */
INLINE void solve_alone(const struct arrow *a, double *z)
{
	for (size_t i = a->coupled; i < a->shared; i++)
		z[i] /= a->top[i * a->shared + i];
}

/* Of the root of the shared unknowns: x is a row. */
INLINE void top_down(const struct arrow *a, double *x)
{
	double b[ROW];

	memcpy(b, x, sizeof b);
	for (size_t i = 0; i < a->coupled; i++)
		x[i] = product(a->unroot + i * ROW, b, fours(i + 1));
}

INLINE void top_up(const struct arrow *a, double *x)
{
	double b[ROW];

	memcpy(b, x, sizeof b);
	memset(x, 0, sizeof b);
	for (size_t i = 0; i < a->coupled; i++)
		add_times(x, b[i], a->unroot + i * ROW, fours(i + 1));
}

/* From the last group to the first: `later` is what those after it take from the unknowns before them. */
INLINE void spread_all(const struct arrow *a, double *z)
{
	double later[ROW] = { 0 }, row[ROW];
	size_t n = a->coupled, own = a->own;

	for (size_t group = a->groups; group-- > 0;) {
		double *x = z + a->shared + group * own;

		for (size_t i = 0; i < own; i++)
			x[i] -= product(reach_of(a, group) + i * ROW, later, fours(n));
		solve_up(pivot_of(a, group), own, x);
		for (size_t i = 0; i < own; i++)
			add_times(later, x[i], flank_of(a, group) + i * ROW, fours(n));
	}
	top_down(a, later);
	put_row(row, z, n);
	add_times(row, -1, later, fours(n));
	top_up(a, row);
	memcpy(z, row, n * sizeof *z);
	solve_alone(a, z);
}

/* From the first group to the last: `before` is what the unknowns before it give to each that follows. */
INLINE void solve_all(const struct arrow *a, double *b)
{
	double before[ROW];
	size_t n = a->coupled, own = a->own;

	put_row(before, b, n);
	top_down(a, before);
	memcpy(b, before, n * sizeof *b);
	solve_alone(a, b);
	top_up(a, before);
	for (size_t group = 0; group < a->groups; group++) {
		double *x = b + a->shared + group * own;

		for (size_t i = 0; i < own; i++)
			x[i] -= product(flank_of(a, group) + i * ROW, before, fours(n));
		solve_down(pivot_of(a, group), own, x);
		for (size_t i = 0; i < own; i++)
			add_times(before, x[i], reach_of(a, group) + i * ROW, fours(n));
	}
	spread_all(a, b);
}

static void spread_plainly(const struct arrow *a, double *z)
{
	spread_all(a, z);
}

WIDE static void spread_widely(const struct arrow *a, double *z)
{
	spread_all(a, z);
}

void arrow_spread(const struct arrow *a, double *z)
{
	(has_wide() ? spread_widely : spread_plainly)(a, z);
}

static void solve_plainly(const struct arrow *a, double *b)
{
	solve_all(a, b);
}

WIDE static void solve_widely(const struct arrow *a, double *b)
{
	solve_all(a, b);
}

void arrow_solve(const struct arrow *a, double *b)
{
	(has_wide() ? solve_widely : solve_plainly)(a, b);
}

/* ---- parts of the inverse */

/* Of a group, given the shared unknowns, block is the inverse's inverse; what the shared ones are off adds to that: by = -alone side. */
static void group_alone(const struct arrow *a, size_t group, double *alone, double *by)
{
	double root[ARROW_OWN_MOST * ARROW_OWN_MOST];
	size_t own = a->own, n = a->coupled;

	memcpy(root, block_of(a, group), own * own * sizeof *root);
	fit_root(root, own);
	fit_inverse(root, own, alone);
	memset(by, 0, own * ROW * sizeof *by);
	for (size_t i = 0; i < own; i++)
		for (size_t k = 0; k < own; k++)
			add_times(by + i * ROW, -alone[i * own + k], flank_of(a, group) + k * ROW, fours(n));
}

/* x inverse x', of the shared unknowns. */
static double by_inverse(const struct arrow *a, const double *x)
{
	double sum = 0;

	for (size_t i = 0; i < a->coupled; i++) {
		const double *row = a->inverse + i * a->shared;
		double of_row = 0;

		for (size_t k = 0; k < a->coupled; k++)
			of_row += row[k] * x[k];
		sum += x[i] * of_row;
	}
	return sum;
}

void arrow_variances(const struct arrow *a, size_t group, double *variance)
{
	double alone[ARROW_OWN_MOST * ARROW_OWN_MOST], by[ARROW_OWN_MOST * ROW];

	group_alone(a, group, alone, by);
	for (size_t i = 0; i < a->own; i++)
		variance[i] = alone[i * a->own + i] + by_inverse(a, by + i * ROW);
}

void arrow_inverse(const struct arrow *a, size_t group, double *inverse)
{
	size_t shared = a->shared, own = a->own, n = shared + own;
	double alone[ARROW_OWN_MOST * ARROW_OWN_MOST], by[ARROW_OWN_MOST * ROW];

	group_alone(a, group, alone, by);
	for (size_t i = 0; i < shared; i++)
		memcpy(inverse + i * n, a->inverse + i * shared, shared * sizeof *inverse);
	for (size_t i = 0; i < own; i++)
		for (size_t k = 0; k < shared; k++) {
			double sum = 0;

			for (size_t j = 0; j < a->coupled && k < a->coupled; j++)
				sum += by[i * ROW + j] * a->inverse[k * shared + j];
			inverse[(shared + i) * n + k] = inverse[k * n + shared + i] = sum;
		}
	for (size_t i = 0; i < own; i++)
		for (size_t k = 0; k < own; k++) {
			double *sum = &inverse[(shared + i) * n + shared + k];

			*sum = alone[i * own + k];
			for (size_t j = 0; j < a->coupled; j++)
				*sum += inverse[(shared + i) * n + j] * by[k * ROW + j];
		}
}
