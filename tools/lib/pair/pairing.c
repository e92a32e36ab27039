#include "pair/pairing.h"

#include <math.h>
#include <stdlib.h>

#include "house/house.h"
#include "math/assignment.h"

enum { YEAR_DAYS = 365 };

static const struct bench_row *blade_at(const struct bench *b, size_t i)
{
	return &b->side[PAIR_BLADE].row[i];
}

static const struct bench_row *handle_at(const struct bench *b, size_t i)
{
	return &b->side[PAIR_HANDLE].row[i];
}

double pair_apart_pct(const struct bench *b, size_t blade, size_t handle)
{
	return handle_at(b, handle)->mc_pct - blade_at(b, blade)->mc_pct;
}

/* ---- whether two may go together */

static bool type_fits(const struct bench *b, const struct bench_row *blade, const struct bench_row *handle)
{
	return house_handle_fits(b->ask->house, stock_text(b->stock, handle->kind.type), stock_text(b->stock, blade->kind.type));
}

/* Whether the bat of the two cannot have the mass of the order. */
static bool misses(const struct pairing *p, const struct bench_row *blade, const struct bench_row *handle)
{
	return p->forecast && pair_forecast_misses(p->forecast, (size_t)(blade - blade_at(p->bench, 0)), (size_t)(handle - handle_at(p->bench, 0)));
}

static enum left_why fault_of(const struct pairing *p, const struct bench_row *blade, const struct bench_row *handle)
{
	int64_t sum = blade->mass + handle->mass;

	if (!type_fits(p->bench, blade, handle))
		return LEFT_NO_FIT;
	if (!pair_apart_allowed(&p->limits, handle->mc_pct - blade->mc_pct))
		return LEFT_APART;
	if (!pair_gap_allowed(&p->limits, pair_gap_mm(&p->limits, blade->mc_pct, handle->mc_pct)))
		return LEFT_GAP;
	if (pair_mass_matters(&p->limits) && (!blade->mass || !handle->mass))
		return LEFT_NO_MASS;
	if (sum < p->limits.mass_least || sum > p->limits.mass_most)
		return LEFT_MASS;
	return misses(p, blade, handle) ? LEFT_LANDS : LEFT_NO_FAULT;
}

static bool may_pair(const struct pairing *p, const struct bench_row *blade, const struct bench_row *handle)
{
	return blade->why == BENCH_GOOD && handle->why == BENCH_GOOD && fault_of(p, blade, handle) == LEFT_NO_FAULT;
}

/* ---- the cost */

/*
 * With a forecast: how many of a thousand such bats would not land, above the square; that has the place of the grams then.
 * One that nothing is known of is taken to land in half of the cases.
 */
enum { SHIFT_FORECAST_SQUARE = 21, SHIFT_MISSES = 60 };

static int128 forecast_cost(const struct pairing *p, const struct bench_row *blade, const struct bench_row *handle, int64_t steps)
{
	double chance = pair_forecast_chance(p->forecast, (size_t)(blade - blade_at(p->bench, 0)), (size_t)(handle - handle_at(p->bench, 0)));

	return ((int128)llround(1000 * (1 - (isnan(chance) ? 0.5 : chance))) << SHIFT_MISSES) + ((int128)(steps * steps) << SHIFT_FORECAST_SQUARE);
}

/*
 * One number of four parts. The lowest is how many of the two have to be fetched to the shop; then the grams from the middle of
 * the range, up to 2^13 a pair; then the square, up to 2^18; each has room for the sum of 2^20 pairs. The highest is that it is
 * a pair and not a blade that stays, where some have to.
 */
enum { GRAMS_MOST = 8191, STEPS_MOST = 511, SHIFT_GRAMS = 21, SHIFT_SQUARE = 54, SHIFT_PAIR = 92 };

static int64_t grams_off(const struct pairing *p, const struct bench_row *blade, const struct bench_row *handle)
{
	const struct pair_limits *limits = &p->limits;
	int64_t least = limits->mass_least, most = limits->mass_most, sum = blade->mass + handle->mass, middle, off;

	if (!pair_mass_matters(limits))
		return 0;
	middle = least == INT64_MIN ? most : most == INT64_MAX ? least : least + (most - least) / 2;
	off = llabs(sum - middle) / 1000000;
	return off < GRAMS_MOST ? off : GRAMS_MOST;
}

static int128 cost_of(const struct pairing *p, const struct bench_row *blade, const struct bench_row *handle, bool some_stay)
{
	int64_t steps = llround(fabs(handle->mc_pct - blade->mc_pct) * 10);

	steps = steps < STEPS_MOST ? steps : STEPS_MOST;
	if (p->forecast)
		return ((int128)some_stay << SHIFT_PAIR) + forecast_cost(p, blade, handle, steps) + blade->fetch + handle->fetch;
	return ((int128)some_stay << SHIFT_PAIR) + ((int128)(steps * steps) << SHIFT_SQUARE) +
		((int128)grams_off(p, blade, handle) << SHIFT_GRAMS) + blade->fetch + handle->fetch;
}

/* ---- the assignment */

/* Rows are the blades. Columns are the handles, then for each item so many blades of it as must stay: more were wanted of none. */
struct problem {
	struct assignment a;
	int64_t *row_n, *col_n;
	int128 *cost;
	size_t handles;
};

/* How many good blades there are for an item beyond those wanted. */
static int64_t beyond(const struct bench *b, size_t item)
{
	int64_t n = 0;

	for (size_t i = 0; i < b->side[PAIR_BLADE].n; i++)
		if (blade_at(b, i)->why == BENCH_GOOD && blade_at(b, i)->item == item)
			n += blade_at(b, i)->n;
	return b->wanted->item[item].n == WANTED_ALL || n < b->wanted->item[item].n ? 0 : n - b->wanted->item[item].n;
}

static void fill_numbers(struct problem *x, const struct bench *b, bool *some_stay)
{
	*some_stay = false;
	for (size_t i = 0; i < x->a.rows; i++)
		x->row_n[i] = blade_at(b, i)->why == BENCH_GOOD ? blade_at(b, i)->n : 0;
	for (size_t j = 0; j < x->handles; j++)
		x->col_n[j] = handle_at(b, j)->why == BENCH_GOOD ? handle_at(b, j)->n : 0;
	for (size_t k = 0; k < b->wanted->n; k++) {
		x->col_n[x->handles + k] = beyond(b, k);
		*some_stay |= x->col_n[x->handles + k] > 0;
	}
}

static void problem_init(struct problem *x, const struct pairing *p)
{
	const struct bench *b = p->bench;
	bool some_stay;

	x->handles = b->side[PAIR_HANDLE].n;
	x->a = (struct assignment){ .rows = b->side[PAIR_BLADE].n, .cols = x->handles + b->wanted->n };
	x->row_n = mem_array(x->a.rows, sizeof *x->row_n);
	x->col_n = mem_array(x->a.cols, sizeof *x->col_n);
	x->cost = mem_array(x->a.rows * x->a.cols, sizeof *x->cost);
	fill_numbers(x, b, &some_stay);
	for (size_t i = 0; i < x->a.rows; i++)
		for (size_t j = 0; j < x->a.cols; j++) {
			int128 *cost = &x->cost[i * x->a.cols + j];

			if (j >= x->handles)
				*cost = blade_at(b, i)->item == j - x->handles ? 0 : ASSIGNMENT_NEVER;
			else
				*cost = may_pair(p, blade_at(b, i), handle_at(b, j)) ? cost_of(p, blade_at(b, i), handle_at(b, j), some_stay) : ASSIGNMENT_NEVER;
		}
	x->a.row_n = x->row_n;
	x->a.col_n = x->col_n;
	x->a.cost = x->cost;
}

static void problem_release(struct problem *x)
{
	free(x->row_n);
	free(x->col_n);
	free(x->cost);
}

/* ---- who is left over */

static bool wants_reading(const struct bench_row *row)
{
	return row->why == BENCH_UNREAD || row->why == BENCH_OLD || row->why == BENCH_OFF_SCALE;
}

/*
 * What keeps one from all of the other side, and in *nearest the row that is meant by it: the nearest in moisture of those whose
 * type fits. LEFT_NO_FAULT where some would do.
 */
static enum left_why fault_with_all(const struct pairing *p, enum pair_part part, size_t row, size_t *nearest)
{
	const struct bench_side *other = &p->bench->side[!part];
	const struct bench_row *one = &p->bench->side[part].row[row];
	enum left_why why = LEFT_NO_OTHER;
	double best = INFINITY;
	bool unread = false;

	*nearest = SIZE_MAX;
	for (size_t i = 0; i < other->n; i++) {
		const struct bench_row *it = &other->row[i];
		enum left_why fault = it->why != BENCH_GOOD ? LEFT_NO_OTHER : part == PAIR_BLADE ? fault_of(p, one, it) : fault_of(p, it, one);
		double apart = fabs(it->mc_pct - one->mc_pct);

		if (fault == LEFT_NO_FAULT) {
			*nearest = SIZE_MAX;
			return fault;
		}
		unread |= wants_reading(it) && (part == PAIR_BLADE ? type_fits(p->bench, one, it) : type_fits(p->bench, it, one));
		if (fault == LEFT_NO_FIT && why == LEFT_NO_OTHER)
			why = fault;
		if (fault != LEFT_NO_OTHER && fault != LEFT_NO_FIT && apart < best) {
			best = apart;
			*nearest = i;
			why = fault;
		}
	}
	return why == LEFT_NO_FIT && unread ? LEFT_UNREAD : why;
}

static double later(const struct bench_row *row, int days)
{
	return row->room ? pair_room_later(row->room, row->mc_pct, days) : row->mc_pct;
}

/* The days until both limits hold, if each follows its air. */
static int rest_days(const struct pairing *p, const struct bench_row *blade, const struct bench_row *handle)
{
	for (int days = 1; days <= YEAR_DAYS; days++) {
		double blade_pct = later(blade, days), handle_pct = later(handle, days);

		if (pair_apart_allowed(&p->limits, handle_pct - blade_pct) && pair_gap_allowed(&p->limits, pair_gap_mm(&p->limits, blade_pct, handle_pct)))
			return days;
	}
	return -1;
}

static void add_left(struct pairing *p, struct pair_left left)
{
	if (!left.n)
		return;
	p->left = mem_grow(p->left, &p->left_cap, p->nleft + 1, sizeof *p->left);
	p->left[p->nleft++] = left;
}

/* `stay` of those that are left would do: no more are asked for. */
static void add_good(struct pairing *p, enum pair_part part, size_t row, int64_t n, int64_t stay)
{
	struct pair_left left = { part, row, n, LEFT_NO_FAULT, SIZE_MAX, -1 };

	left.why = fault_with_all(p, part, row, &left.nearest);
	if (left.why == LEFT_NO_FAULT) {
		add_left(p, (struct pair_left){ part, row, stay, LEFT_ENOUGH, SIZE_MAX, -1 });
		left.n -= stay;
		left.why = LEFT_SPARE;
	}
	if (left.why == LEFT_APART || left.why == LEFT_GAP)
		left.rest_days = part == PAIR_BLADE ? rest_days(p, blade_at(p->bench, row), handle_at(p->bench, left.nearest)) :
			rest_days(p, blade_at(p->bench, left.nearest), handle_at(p->bench, row));
	add_left(p, left);
}

static void find_left(struct pairing *p, int64_t *used[PAIR_PARTS], const int64_t *stays)
{
	for (int part = 0; part < PAIR_PARTS; part++)
		for (size_t i = 0; i < p->bench->side[part].n; i++) {
			const struct bench_row *row = &p->bench->side[part].row[i];
			int64_t n = row->n - used[part][i];

			if (row->why != BENCH_GOOD)
				add_left(p, (struct pair_left){ (enum pair_part)part, i, n, LEFT_BENCH, SIZE_MAX, -1 });
			else if (n)
				add_good(p, (enum pair_part)part, i, n, part == PAIR_BLADE ? stays[i] : 0);
		}
}

static void take_answer(struct pairing *p, const struct problem *x, const struct assignment_pair *answer, size_t n)
{
	int64_t *used[PAIR_PARTS] = { mem_zeroed(x->a.rows, sizeof(int64_t)), mem_zeroed(x->handles, sizeof(int64_t)) };
	int64_t *stays = mem_zeroed(x->a.rows, sizeof *stays);

	p->pair = mem_array(n, sizeof *p->pair);
	for (size_t i = 0; i < n; i++) {
		if (answer[i].col >= x->handles) {
			stays[answer[i].row] += answer[i].n;
			continue;
		}
		p->pair[p->npairs++] = (struct pair){ answer[i].row, answer[i].col, answer[i].n };
		p->pairs += answer[i].n;
		used[PAIR_BLADE][answer[i].row] += answer[i].n;
		used[PAIR_HANDLE][answer[i].col] += answer[i].n;
	}
	find_left(p, used, stays);
	free(stays);
	free(used[PAIR_BLADE]);
	free(used[PAIR_HANDLE]);
}

bool pairing_find(struct pairing *p, const struct bench *bench, struct pair_limits limits, const struct pair_forecast *forecast)
{
	struct assignment_pair *answer;
	struct problem x;
	size_t n;

	*p = (struct pairing){ .bench = bench, .limits = limits, .forecast = forecast };
	if (bench->side[PAIR_BLADE].n && bench->side[PAIR_HANDLE].n > PAIRING_MOST / bench->side[PAIR_BLADE].n)
		return false;
	problem_init(&x, p);
	answer = assignment_solve(&x.a, &n);
	take_answer(p, &x, answer, n);
	free(answer);
	problem_release(&x);
	return true;
}

void pairing_release(struct pairing *p)
{
	free(p->pair);
	free(p->left);
}
