#include "math/arrow.h"

#include <math.h>
#include <stdlib.h>

#include "math/least_squares.h"
#include "math/wide.h"

enum { FOUR = 4 };

void arrow_init(struct arrow *a, size_t shared, size_t own, size_t groups)
{
	*a = (struct arrow){ .shared = shared, .own = own, .groups = groups, .n = shared + own * groups, .coupled = shared };
	a->top = mem_zeroed(2 * (shared * shared + groups * own * (shared + own)), sizeof *a->top);
	a->inverse = a->top + shared * shared;
	a->side = a->inverse + shared * shared;
	a->reach = a->side + groups * own * shared;
	a->block = a->reach + groups * own * shared;
	a->pivot = a->block + groups * own * own;
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
	return a->reach + group * a->own * a->shared;
}

static double *block_of(const struct arrow *a, size_t group)
{
	return a->block + group * a->own * a->own;
}

static double *pivot_of(const struct arrow *a, size_t group)
{
	return a->pivot + group * a->own * a->own;
}

INLINE double product(const double *x, const double *y, size_t n)
{
	double sum = 0;

	for (size_t i = 0; i < n; i++)
		sum += x[i] * y[i];
	return sum;
}

/* x += factor y */
static void add_times(double *restrict x, double factor, const double *restrict y, size_t n)
{
	for (size_t i = 0; i < n; i++)
		x[i] += factor * y[i];
}

/* Turns b into the solution of R x = b, R being a lower triangle of n rows that are `apart`. */
static void solve_down(const double *root, size_t apart, size_t n, double *b)
{
	for (size_t i = 0; i < n; i++)
		b[i] = (b[i] - product(root + i * apart, b, i)) / root[i * apart + i];
}

/* The same of R' x = b. */
static void solve_up(const double *root, size_t apart, size_t n, double *b)
{
	for (size_t i = n; i-- > 0;) {
		for (size_t k = i + 1; k < n; k++)
			b[i] -= root[k * apart + i] * b[k];
		b[i] /= root[i * apart + i];
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
	double m[ARROW_SHARED_MOST * ARROW_SHARED_MOST]; /* M; like the rows below with 0 up to whole fours */
	double side[ARROW_OWN_MOST * ARROW_SHARED_MOST], reach[ARROW_OWN_MOST * ARROW_SHARED_MOST];
	size_t n, padded;
};

/* x += factor y, of whole fours, which a compiler turns into vectors */
INLINE void add_fours(double *restrict x, double factor, const double *restrict y, size_t n)
{
	for (size_t i = 0; i < n; i += FOUR) {
		x[i] += factor * y[i];
		x[i + 1] += factor * y[i + 1];
		x[i + 2] += factor * y[i + 2];
		x[i + 3] += factor * y[i + 3];
	}
}

INLINE void take_side(struct eliminating *e, const struct arrow *a, size_t group)
{
	for (size_t i = 0; i < a->own; i++) {
		double *side = e->side + i * ARROW_SHARED_MOST, *reach = e->reach + i * ARROW_SHARED_MOST;

		memset(side, 0, e->padded * sizeof *side);
		memset(reach, 0, e->padded * sizeof *reach);
		memcpy(side, side_of(a, group) + i * a->shared, e->n * sizeof *side);
		for (size_t k = 0; k < e->n; k++)
			add_fours(reach, -side[k], e->m + k * ARROW_SHARED_MOST, e->padded);
	}
}

INLINE bool eliminate(struct eliminating *e, struct arrow *a, size_t group)
{
	double *pivot = pivot_of(a, group);
	size_t own = a->own;

	take_side(e, a, group);
	for (size_t i = 0; i < own; i++)
		for (size_t k = 0; k <= i; k++)
			pivot[i * own + k] = block_of(a, group)[i * own + k] + product(e->reach + i * ARROW_SHARED_MOST, e->side + k * ARROW_SHARED_MOST, e->n);
	if (!fit_root(pivot, own))
		return false;
	for (size_t i = 0; i < own; i++) {
		double *reach = e->reach + i * ARROW_SHARED_MOST;

		for (size_t k = 0; k < i; k++)
			add_fours(reach, -pivot[i * own + k], e->reach + k * ARROW_SHARED_MOST, e->padded);
		for (size_t k = 0; k < e->n; k++)
			reach[k] /= pivot[i * own + i];
		for (size_t k = 0; k < e->n; k++)
			add_fours(e->m + k * ARROW_SHARED_MOST, reach[k], reach, e->padded);
		memcpy(reach_of(a, group) + i * a->shared, reach, e->n * sizeof *reach);
	}
	return true;
}

/* ---- all of it */

/* The roots of the shared unknowns that go with nothing, and their part of the inverse. */
INLINE bool root_alone(struct arrow *a)
{
	for (size_t i = a->coupled; i < a->shared; i++) {
		double *of = a->top + i * a->shared + i;

		if (!fit_root(of, 1))
			return false;
		a->inverse[i * a->shared + i] = 1 / *of / *of;
	}
	return true;
}

/* The root of those that are coupled, and M as it begins. */
INLINE bool root_top(struct arrow *a, struct eliminating *e)
{
	double root[ARROW_SHARED_MOST * ARROW_SHARED_MOST], inverse[ARROW_SHARED_MOST * ARROW_SHARED_MOST];
	size_t n = a->coupled;

	e->n = n;
	e->padded = (n + FOUR - 1) / FOUR * FOUR;
	for (size_t i = 0; i < n; i++)
		memcpy(root + i * n, a->top + i * a->shared, n * sizeof *root);
	if (!fit_root(root, n))
		return false;
	fit_inverse(root, n, inverse);
	for (size_t i = 0; i < n; i++) {
		memcpy(a->top + i * a->shared, root + i * n, n * sizeof *root);
		memset(e->m + i * ARROW_SHARED_MOST, 0, e->padded * sizeof *e->m);
		memcpy(e->m + i * ARROW_SHARED_MOST, inverse + i * n, n * sizeof *inverse);
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
		memcpy(a->inverse + i * a->shared, e.m + i * ARROW_SHARED_MOST, e.n * sizeof *e.m);
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
static void solve_alone(const struct arrow *a, double *z)
{
	for (size_t i = a->coupled; i < a->shared; i++)
		z[i] /= a->top[i * a->shared + i];
}

/* From the last group to the first: `later` is what those after it take from the unknowns before them. */
void arrow_spread(const struct arrow *a, double *z)
{
	double later[ARROW_SHARED_MOST] = { 0 };
	size_t n = a->coupled;

	for (size_t group = a->groups; group-- > 0;) {
		double *x = z + a->shared + group * a->own;

		for (size_t i = 0; i < a->own; i++)
			x[i] -= product(reach_of(a, group) + i * a->shared, later, n);
		solve_up(pivot_of(a, group), a->own, a->own, x);
		for (size_t i = 0; i < a->own; i++)
			add_times(later, x[i], side_of(a, group) + i * a->shared, n);
	}
	solve_down(a->top, a->shared, n, later);
	add_times(z, -1, later, n);
	solve_up(a->top, a->shared, n, z);
	solve_alone(a, z);
}

/* From the first group to the last: `before` is what the unknowns before it give to each that follows. */
void arrow_solve(const struct arrow *a, double *b)
{
	double before[ARROW_SHARED_MOST];
	size_t n = a->coupled;

	solve_down(a->top, a->shared, n, b);
	solve_alone(a, b);
	memcpy(before, b, n * sizeof *before);
	solve_up(a->top, a->shared, n, before);
	for (size_t group = 0; group < a->groups; group++) {
		double *x = b + a->shared + group * a->own;

		for (size_t i = 0; i < a->own; i++)
			x[i] -= product(side_of(a, group) + i * a->shared, before, n);
		solve_down(pivot_of(a, group), a->own, a->own, x);
		for (size_t i = 0; i < a->own; i++)
			add_times(before, x[i], reach_of(a, group) + i * a->shared, n);
	}
	arrow_spread(a, b);
}

/* Of a group, given the shared unknowns, block is the inverse's inverse; what the shared ones are off adds to that: by = -alone side. */
static void group_alone(const struct arrow *a, size_t group, double *alone, double *by)
{
	size_t shared = a->shared, own = a->own;
	double root[ARROW_OWN_MOST * ARROW_OWN_MOST];

	memcpy(root, block_of(a, group), own * own * sizeof *root);
	fit_root(root, own);
	fit_inverse(root, own, alone);
	memset(by, 0, own * shared * sizeof *by);
	for (size_t i = 0; i < own; i++)
		for (size_t k = 0; k < own; k++)
			add_times(by + i * shared, -alone[i * own + k], side_of(a, group) + k * shared, a->coupled);
}

void arrow_variances(const struct arrow *a, size_t group, double *variance)
{
	double alone[ARROW_OWN_MOST * ARROW_OWN_MOST], by[ARROW_OWN_MOST * ARROW_SHARED_MOST], with[ARROW_SHARED_MOST];

	group_alone(a, group, alone, by);
	for (size_t i = 0; i < a->own; i++) {
		const double *row = by + i * a->shared;

		for (size_t k = 0; k < a->coupled; k++)
			with[k] = product(row, a->inverse + k * a->shared, a->coupled);
		variance[i] = alone[i * a->own + i] + product(with, row, a->coupled);
	}
}

void arrow_inverse(const struct arrow *a, size_t group, double *inverse)
{
	size_t shared = a->shared, own = a->own, n = shared + own;
	double alone[ARROW_OWN_MOST * ARROW_OWN_MOST], by[ARROW_OWN_MOST * ARROW_SHARED_MOST];

	group_alone(a, group, alone, by);
	for (size_t i = 0; i < shared; i++)
		memcpy(inverse + i * n, a->inverse + i * shared, shared * sizeof *inverse);
	for (size_t i = 0; i < own; i++)
		for (size_t k = 0; k < shared; k++)
			inverse[(shared + i) * n + k] = inverse[k * n + shared + i] = k < a->coupled ? product(by + i * shared, a->inverse + k * shared, a->coupled) : 0;
	for (size_t i = 0; i < own; i++)
		for (size_t k = 0; k < own; k++)
			inverse[(shared + i) * n + shared + k] = alone[i * own + k] + product(inverse + (shared + i) * n, by + k * shared, a->coupled);
}
