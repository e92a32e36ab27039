#include "math/assignment.h"

#include <stdbool.h>
#include <stdlib.h>

#include "base/mem.h"

/* What is assigned so far, the potentials of it, and the search in hand. */
struct work {
	const struct assignment *a;
	int128 left;            /* the cost of a row without a column */
	int128 *u, *v;          /* potentials: cost - u - v is 0 or above, and 0 where something is assigned */
	int64_t *row_free, *col_free, *flow; /* flow: by column, then row */
	/* of the search: how far rows and columns are, and from where they were reached */
	int128 *row_far, *col_far, best_left;
	size_t *col_from, *row_from, left_row;
	bool *row_seen, *col_done;
};

#define FAR ((int128)1 << 126)

static int64_t many(const int64_t *n, size_t i)
{
	return n ? n[i] : 1;
}

static int128 total(const int64_t *n, size_t count)
{
	int128 sum = 0;

	for (size_t i = 0; i < count; i++)
		sum += many(n, i);
	return sum;
}

/* More than all pairs together cost. */
static int128 cost_of_left(const struct assignment *a)
{
	int128 most = 0, rows = total(a->row_n, a->rows), cols = total(a->col_n, a->cols);

	for (size_t i = 0; i < a->rows * a->cols; i++)
		most = a->cost[i] > most ? a->cost[i] : most;
	return most * (rows < cols ? rows : cols) + 1;
}

static void work_init(struct work *w, const struct assignment *a)
{
	*w = (struct work){ .a = a, .left = cost_of_left(a) };
	w->u = mem_zeroed(a->rows, sizeof *w->u);
	w->v = mem_zeroed(a->cols, sizeof *w->v);
	w->flow = mem_zeroed(a->rows * a->cols, sizeof *w->flow);
	w->row_free = mem_array(a->rows, sizeof *w->row_free);
	w->col_free = mem_array(a->cols, sizeof *w->col_free);
	w->row_far = mem_array(a->rows, sizeof *w->row_far);
	w->col_far = mem_array(a->cols, sizeof *w->col_far);
	w->row_from = mem_array(a->rows, sizeof *w->row_from);
	w->col_from = mem_array(a->cols, sizeof *w->col_from);
	w->row_seen = mem_array(a->rows, sizeof *w->row_seen);
	w->col_done = mem_array(a->cols, sizeof *w->col_done);
	for (size_t i = 0; i < a->rows; i++)
		w->row_free[i] = many(a->row_n, i);
	for (size_t j = 0; j < a->cols; j++)
		w->col_free[j] = many(a->col_n, j);
}

static void work_release(struct work *w)
{
	free(w->u);
	free(w->v);
	free(w->flow);
	free(w->row_free);
	free(w->col_free);
	free(w->row_far);
	free(w->col_far);
	free(w->row_from);
	free(w->col_from);
	free(w->row_seen);
	free(w->col_done);
}

/* From a row that was reached on to the columns, and to being left. */
static void reach_row(struct work *w, size_t row, int128 far)
{
	const int128 *cost = w->a->cols ? w->a->cost + row * w->a->cols : NULL;
	int128 base = far - w->u[row];

	w->row_seen[row] = true;
	w->row_far[row] = far;
	if (base + w->left < w->best_left) {
		w->best_left = base + w->left;
		w->left_row = row;
	}
	for (size_t j = 0; j < w->a->cols; j++)
		if (cost[j] != ASSIGNMENT_NEVER && !w->col_done[j] && base + cost[j] - w->v[j] < w->col_far[j]) {
			w->col_far[j] = base + cost[j] - w->v[j];
			w->col_from[j] = row;
		}
}

/* From a column that is taken on to the rows that have it. */
static void reach_rows_of(struct work *w, size_t col)
{
	const int64_t *flow = w->flow + col * w->a->rows;

	for (size_t i = 0; i < w->a->rows; i++)
		if (flow[i] && !w->row_seen[i]) {
			w->row_from[i] = col;
			reach_row(w, i, w->col_far[col]);
		}
}

static size_t nearest_col(const struct work *w)
{
	size_t best = w->a->cols;

	for (size_t j = 0; j < w->a->cols; j++)
		if (!w->col_done[j] && (best == w->a->cols || w->col_far[j] < w->col_far[best]))
			best = j;
	return best;
}

/* The column that the cheapest way from a row ends at, or the number of columns where that way leaves a row out. */
static size_t search(struct work *w, size_t row)
{
	size_t col;

	w->best_left = FAR;
	for (size_t i = 0; i < w->a->rows; i++)
		w->row_seen[i] = false;
	for (size_t j = 0; j < w->a->cols; j++) {
		w->col_done[j] = false;
		w->col_far[j] = FAR;
	}
	reach_row(w, row, 0);
	while ((col = nearest_col(w)) < w->a->cols && w->col_far[col] < w->best_left) {
		if (w->col_free[col])
			return col;
		w->col_done[col] = true;
		reach_rows_of(w, col);
	}
	return w->a->cols;
}

static void move_potentials(struct work *w, int128 far)
{
	for (size_t i = 0; i < w->a->rows; i++)
		if (w->row_seen[i])
			w->u[i] += far - w->row_far[i];
	for (size_t j = 0; j < w->a->cols; j++)
		if (w->col_done[j])
			w->v[j] -= far - w->col_far[j];
}

/* How many can go the way that ends with `last` leaving its column for another, or for none. */
static int64_t room_on_way(const struct work *w, size_t row, size_t last, int64_t room)
{
	room = w->row_free[row] < room ? w->row_free[row] : room;
	for (size_t i = last; i != row; i = w->col_from[w->row_from[i]]) {
		int64_t has = w->flow[w->row_from[i] * w->a->rows + i];

		room = has < room ? has : room;
	}
	return room;
}

static void go_way(struct work *w, size_t row, size_t col)
{
	bool leaves = col == w->a->cols;
	size_t last = leaves ? w->left_row : w->col_from[col];
	int64_t n = room_on_way(w, row, last, leaves ? INT64_MAX : w->col_free[col]);

	if (!leaves) {
		w->col_free[col] -= n;
		w->flow[col * w->a->rows + last] += n;
	}
	for (size_t i = last; i != row; i = w->col_from[w->row_from[i]]) {
		size_t from = w->row_from[i];

		w->flow[from * w->a->rows + i] -= n;
		w->flow[from * w->a->rows + w->col_from[from]] += n;
	}
	w->row_free[row] -= n;
}

static struct assignment_pair *pairs_of(const struct work *w, size_t *n)
{
	struct assignment_pair *pair = NULL;
	size_t cap = 0;

	*n = 0;
	for (size_t i = 0; i < w->a->rows; i++)
		for (size_t j = 0; j < w->a->cols; j++)
			if (w->flow[j * w->a->rows + i]) {
				pair = mem_grow(pair, &cap, *n + 1, sizeof *pair);
				pair[(*n)++] = (struct assignment_pair){ i, j, w->flow[j * w->a->rows + i] };
			}
	return pair;
}

struct assignment_pair *assignment_solve(const struct assignment *a, size_t *n)
{
	struct assignment_pair *pair;
	struct work w;

	work_init(&w, a);
	for (size_t i = 0; i < a->rows; i++)
		while (w.row_free[i]) {
			size_t col = search(&w, i);

			move_potentials(&w, col < a->cols ? w.col_far[col] : w.best_left);
			go_way(&w, i, col);
		}
	pair = pairs_of(&w, n);
	work_release(&w);
	return pair;
}
