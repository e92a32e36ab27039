/* The best assignment, against every assignment there is. */
#include <stdlib.h>

#include "check.h"
#include "thrown.h"
#include "math/assignment.h"

enum { MOST = 6 };

struct best {
	int64_t pairs;
	int128 cost;
};

static bool is_better(struct best a, struct best b)
{
	return a.pairs != b.pairs ? a.pairs > b.pairs : a.cost < b.cost;
}

/* Every way of giving the things of the rows from `row` on to columns, one thing after another. */
static void try_all(const struct assignment *a, size_t row, int64_t given, int64_t *left, struct best now, struct best *best)
{
	if (row == a->rows) {
		if (is_better(now, *best))
			*best = now;
		return;
	}
	if (given == (a->row_n ? a->row_n[row] : 1)) {
		try_all(a, row + 1, 0, left, now, best);
		return;
	}
	try_all(a, row, given + 1, left, now, best);
	for (size_t j = 0; j < a->cols; j++) {
		int128 cost = a->cost[row * a->cols + j];

		if (!left[j] || cost == ASSIGNMENT_NEVER)
			continue;
		left[j]--;
		try_all(a, row, given + 1, left, (struct best){ now.pairs + 1, now.cost + cost }, best);
		left[j]++;
	}
}

static struct best best_of_all(const struct assignment *a)
{
	struct best best = { -1, 0 };
	int64_t left[MOST];

	for (size_t j = 0; j < a->cols; j++)
		left[j] = a->col_n ? a->col_n[j] : 1;
	try_all(a, 0, 0, left, (struct best){ 0, 0 }, &best);
	return best;
}

/* What the answer is worth; it must keep to the numbers and to what may be. */
static struct best worth(const struct assignment *a)
{
	int64_t row_left[MOST] = { 0 }, col_left[MOST] = { 0 };
	struct best got = { 0, 0 };
	size_t n;
	struct assignment_pair *pair = assignment_solve(a, &n);

	for (size_t i = 0; i < n; i++) {
		int128 cost = a->cost[pair[i].row * a->cols + pair[i].col];

		CHECK(cost != ASSIGNMENT_NEVER);
		CHECK(pair[i].n > 0);
		CHECK(!i || pair[i - 1].row < pair[i].row || (pair[i - 1].row == pair[i].row && pair[i - 1].col < pair[i].col));
		row_left[pair[i].row] += pair[i].n;
		col_left[pair[i].col] += pair[i].n;
		got.pairs += pair[i].n;
		got.cost += cost * pair[i].n;
	}
	for (size_t i = 0; i < a->rows; i++)
		CHECK(row_left[i] <= (a->row_n ? a->row_n[i] : 1));
	for (size_t j = 0; j < a->cols; j++)
		CHECK(col_left[j] <= (a->col_n ? a->col_n[j] : 1));
	free(pair);
	return got;
}

/* Costs with many ties or few, some pairs forbidden, some things several times. */
static void every_small_case(void)
{
	for (int turn = 0; turn < 3000; turn++) {
		size_t most = turn % 2 ? 3 : 5;
		uint64_t high = turn % 3 ? 4 : 1000, never = thrown_below(6);
		size_t rows = 1 + thrown_below(most), cols = 1 + thrown_below(most);
		int64_t row_n[MOST], col_n[MOST];
		int128 cost[MOST * MOST];
		struct assignment a = { rows, cols, turn % 2 ? row_n : NULL, turn % 2 ? col_n : NULL, cost };
		struct best want, got;

		for (size_t i = 0; i < MOST; i++) {
			row_n[i] = (int64_t)thrown_below(3);
			col_n[i] = (int64_t)thrown_below(4);
		}
		for (size_t i = 0; i < a.rows * a.cols; i++)
			cost[i] = thrown_below(6) < never ? ASSIGNMENT_NEVER : (int128)thrown_below(high) << (turn % 5 ? 0 : 90);
		CHECK_CASE(turn);
		want = best_of_all(&a);
		got = worth(&a);
		CHECK_INT(got.pairs, want.pairs);
		CHECK(got.cost == want.cost);
	}
	CHECK_CASE(-1);
}

static void nothing(void)
{
	size_t n = 9;

	free(assignment_solve(&(struct assignment){ 0, 3, NULL, NULL, NULL }, &n));
	CHECK_INT(n, 0);
	free(assignment_solve(&(struct assignment){ 3, 0, NULL, NULL, NULL }, &n));
	CHECK_INT(n, 0);
}

/* Another order of rows and columns is worth the same; things several times are worth what they are apart. */
static void order(void)
{
	enum { N = 40 };
	static int128 cost[N * N], turned[N * N];
	static const int64_t TWO[N / 2] = { 2, 2, 2, 2, 2, 2, 2, 2, 2, 2, 2, 2, 2, 2, 2, 2, 2, 2, 2, 2 };
	int128 sum[3] = { 0, 0, 0 };
	size_t n;

	for (size_t i = 0; i < N * N; i++)
		cost[i] = i / N % 2 ? cost[i - N] : (int128)thrown_below(50);
	for (size_t i = 0; i < N; i++)
		for (size_t j = 0; j < N; j++)
			turned[(N - 1 - j) * N + N - 1 - i] = cost[i * N + j];
	for (int way = 0; way < 2; way++) {
		const int128 *c = way ? turned : cost;
		struct assignment_pair *pair = assignment_solve(&(struct assignment){ N, N, NULL, NULL, c }, &n);

		CHECK_INT(n, N);
		for (size_t i = 0; i < n; i++)
			sum[way] += c[pair[i].row * N + pair[i].col];
		free(pair);
	}
	for (size_t i = 0; i < N / 2; i++)
		memcpy(turned + i * N, cost + 2 * i * N, N * sizeof *cost);
	{
		struct assignment_pair *pair = assignment_solve(&(struct assignment){ N / 2, N, TWO, NULL, turned }, &n);

		for (size_t i = 0; i < n; i++)
			sum[2] += turned[pair[i].row * N + pair[i].col] * pair[i].n;
		free(pair);
	}
	CHECK(sum[0] == sum[1]);
	CHECK(sum[0] == sum[2]);
}

int main(void)
{
	thrown_seed = 20261130;
	every_small_case();
	nothing();
	order();
	return check_end();
}
