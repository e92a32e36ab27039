/*
 * assignment - the best assignment beside published examples, a closed form, and lpSolve (assignment.R, on standard input).
 */
#include <stdint.h>

#include "expect.h"
#include "math/assignment.h"

enum { MOST = 32 };

struct worth {
	int64_t n;
	double cost;
};

static struct worth worth_of(const struct assignment *a)
{
	struct worth w = { 0, 0 };
	size_t n;
	struct assignment_pair *pair = assignment_solve(a, &n);

	for (size_t i = 0; i < n; i++) {
		w.n += pair[i].n;
		w.cost += (double)pair[i].n * (double)a->cost[pair[i].row * a->cols + pair[i].col];
	}
	free(pair);
	return w;
}

/*
 * Bronson (1981), Operations Research, Schaum's Outline Series, problem 9.1 on p. 86, as the manual of R's lpSolve gives it:
 * four months of production, in normal time and in overtime, to the demand of four months and to none. Least cost 7790. It
 * bars a way by a cost of 10000; here such a way may not be. Costs are in tenths.
 */
static void production(void)
{
	enum { NO = 100000 };
	static const int COST[8][5] = { { NO, 70, 77, 84, 0 }, { NO, NO, 70, 77, 0 }, { NO, NO, NO, 70, 0 }, { 0, 7, 14, 21, NO },
		{ 80, NO, NO, NO, 0 }, { NO, 90, NO, NO, 0 }, { NO, NO, 80, NO, 0 }, { NO, NO, NO, 100, 0 } };
	static const int64_t MADE[8] = { 200, 300, 350, 200, 100, 50, 100, 150 }, WANTED[5] = { 250, 100, 400, 500, 200 };
	int128 cost[40];
	struct worth w;

	for (int i = 0; i < 40; i++)
		cost[i] = COST[i / 5][i % 5] == NO ? ASSIGNMENT_NEVER : COST[i / 5][i % 5];
	w = worth_of(&(struct assignment){ 8, 5, MADE, WANTED, cost });
	expect_true("Bronson 9.1: all of it goes", w.n == 1450);
	expect_near("Bronson 9.1: the cost", w.cost / 10, 7790, 0);
}

/* The example of lp.assign() in the manual of R's lpSolve: 8. */
static void manual(void)
{
	static const int128 COST[16] = { 2, 7, 7, 1, 7, 7, 2, 9, 7, 3, 8, 8, 2, 2, 10, 2 };
	struct worth w = worth_of(&(struct assignment){ 4, 4, NULL, NULL, COST });

	expect_true("lpSolve's manual", w.n == 4 && w.cost == 8);
}

/*
 * Machol and Wien (1976), A "hard" assignment problem, Operations Research 24 (from memory): costs (i - 1)(j - 1). By the
 * rearrangement inequality (Hardy, Littlewood and Polya, Inequalities, 10.2) the least sum pairs the order with its reverse:
 * n (n - 1) (n - 2) / 6.
 */
static void products(void)
{
	static int128 cost[200 * 200];

	for (size_t n = 1; n <= 200; n = 3 * n / 2 + 1) {
		struct worth w;

		for (size_t i = 0; i < n * n; i++)
			cost[i] = (int128)(i / n * (i % n));
		w = worth_of(&(struct assignment){ n, n, NULL, NULL, cost });
		expect_true("Machol and Wien: all have one", w.n == (int64_t)n);
		expect_near("Machol and Wien: the cost", w.cost, (double)n * ((double)n - 1) * ((double)n - 2) / 6, 0);
	}
}

static double number(void)
{
	double x;

	if (scanf("%lf", &x) != 1) {
		puts("a number is missing");
		exit(1);
	}
	return x;
}

static void beside_r(void)
{
	char kind[16];
	int lines = 0;

	for (; scanf("%15s", kind) == 1; lines++) {
		int64_t row_n[MOST], col_n[MOST], rows_sum = 0, cols_sum = 0;
		int128 cost[MOST * MOST];
		struct assignment a = { (size_t)number(), (size_t)number(), row_n, col_n, cost };
		struct worth w;

		for (size_t i = 0; i < a.rows; i++)
			rows_sum += row_n[i] = (int64_t)number();
		for (size_t j = 0; j < a.cols; j++)
			cols_sum += col_n[j] = (int64_t)number();
		for (size_t i = 0; i < a.rows * a.cols; i++)
			cost[i] = (int128)number();
		w = worth_of(&a);
		expect_true("lpSolve: all that can goes", w.n == (rows_sum < cols_sum ? rows_sum : cols_sum));
		expect_near(kind, w.cost, number(), 0);
	}
	expect_true("lpSolve: 121 problems", lines == 121);
}

int main(void)
{
	production();
	manual();
	products();
	beside_r();
	return expect_verdict(260);
}
