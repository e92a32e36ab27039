/* Systems of the shape of an arrow: the same answers as from the whole matrix, by least_squares.h. */
#include <math.h>
#include <stdlib.h>

#include "math/arrow.h"
#include "math/least_squares.h"
#include "check.h"

enum { SHARED = 7, OWN = 3, GROUPS = 6, N = SHARED + OWN * GROUPS };

static uint32_t seed = 1;

static double drawn(void)
{
	seed = seed * 1664525 + 1013904223;
	return (double)(seed >> 8) / (1 << 24) - 0.5;
}

static size_t place(size_t group, size_t i)
{
	return i < SHARED ? i : i + OWN * group;
}

/* Adds x x' for an observation x of one group, to the parts and to the whole. */
static void observe(struct arrow *a, double *whole, size_t group)
{
	double x[SHARED + OWN], *side = a->side + group * OWN * SHARED, *block = a->block + group * OWN * OWN;

	for (size_t i = 0; i < SHARED + OWN; i++)
		x[i] = drawn();
	for (size_t i = 0; i < SHARED + OWN; i++)
		for (size_t k = 0; k < SHARED + OWN; k++) {
			whole[place(group, i) * N + place(group, k)] += x[i] * x[k];
			if (i < SHARED && k < SHARED)
				a->top[i * SHARED + k] += x[i] * x[k];
			else if (i >= SHARED && k < SHARED)
				side[(i - SHARED) * SHARED + k] += x[i] * x[k];
			else if (i >= SHARED)
				block[(i - SHARED) * OWN + k - SHARED] += x[i] * x[k];
		}
}

static void make(struct arrow *a, double *whole)
{
	arrow_init(a, SHARED, OWN, GROUPS);
	memset(whole, 0, N * N * sizeof *whole);
	for (size_t i = 0; i < N; i++)
		whole[i * N + i] = 0.01;
	for (size_t i = 0; i < SHARED; i++)
		a->top[i * SHARED + i] = 0.01;
	for (size_t i = 0; i < OWN * GROUPS; i++)
		a->block[i * OWN + i % OWN] = 0.01;
	for (int i = 0; i < 200; i++)
		observe(a, whole, (size_t)i % GROUPS);
}

static void the_same_as_the_whole(void)
{
	double whole[N * N], inverse[N * N], part[(SHARED + OWN) * (SHARED + OWN)], variance[OWN], b[N], z[N], want_b[N], want_z[N], log_root = 0;
	struct arrow a;

	make(&a, whole);
	CHECK(fit_root(whole, N) && arrow_root(&a));
	fit_inverse(whole, N, inverse);
	for (size_t i = 0; i < N; i++)
		b[i] = want_b[i] = z[i] = want_z[i] = drawn();
	fit_solve(whole, N, want_b);
	fit_spread(whole, N, want_z);
	for (size_t i = 0; i < N; i++)
		log_root += log(whole[i * N + i]);
	CHECK_NEAR(arrow_log_determinant(&a), 2 * log_root, 1e-9);
	arrow_solve(&a, b);
	arrow_spread(&a, z);
	for (size_t i = 0; i < N; i++) {
		CHECK_NEAR(b[i], want_b[i], 1e-11);
		CHECK_NEAR(z[i], want_z[i], 1e-11);
	}
	for (size_t group = 0; group < GROUPS; group++) {
		arrow_inverse(&a, group, part);
		for (size_t i = 0; i < SHARED + OWN; i++)
			for (size_t k = 0; k < SHARED + OWN; k++)
				CHECK_NEAR(part[i * (SHARED + OWN) + k], inverse[place(group, i) * N + place(group, k)], 1e-11);
		arrow_variances(&a, group, variance);
		for (size_t i = 0; i < OWN; i++)
			CHECK_NEAR(variance[i], inverse[place(group, SHARED + i) * N + place(group, SHARED + i)], 1e-11);
	}
	arrow_release(&a);
}

static void copies(void)
{
	double whole[N * N], b[N], want[N];
	struct arrow a, damped;

	make(&a, whole);
	arrow_init(&damped, SHARED, OWN, GROUPS);
	arrow_copy(&damped, &a, 1.5);
	for (size_t i = 0; i < N; i++) {
		whole[i * N + i] *= 1.5;
		b[i] = want[i] = drawn();
	}
	CHECK(fit_root(whole, N) && arrow_root(&damped));
	fit_solve(whole, N, want);
	arrow_solve(&damped, b);
	for (size_t i = 0; i < N; i++)
		CHECK_NEAR(b[i], want[i], 1e-12);
	arrow_clear(&damped);
	CHECK(!arrow_root(&damped));
	a.block[OWN * OWN + OWN + 1] = -1; /* a group that is not positive definite */
	CHECK(!arrow_root(&a));
	arrow_release(&a);
	arrow_release(&damped);
}

int main(void)
{
	the_same_as_the_whole();
	copies();
	return check_end();
}
