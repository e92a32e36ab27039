#include "math/kaplan_meier.h"

#include <math.h>
#include <stdlib.h>

#include "base/mem.h"

/* What two shares may differ by and be taken for the same. */
#define KM_HAIR 1e-9

/* ---- the estimate */

static int compare(int64_t a, int64_t b)
{
	return (a > b) - (a < b);
}

static int by_from(const void *a, const void *b)
{
	return compare(((const struct km_case *)a)->from, ((const struct km_case *)b)->from);
}

/* By batch, then as they end, so that sums do not depend on the order in which the cases came. */
static int by_batch(const void *a, const void *b)
{
	const struct km_case *x = a, *y = b;
	int order = compare(x->batch, y->batch);

	order = order ? order : compare(x->to, y->to);
	order = order ? order : compare(x->from, y->from);
	order = order ? order : compare(x->ended, y->ended);
	return order ? order : compare(x->n, y->n);
}

static int by_end(const void *a, const void *b)
{
	return compare(((const struct km_case *)a)->to, ((const struct km_case *)b)->to);
}

static size_t good_cases(struct km_case *list, size_t all)
{
	size_t n = 0;

	for (size_t i = 0; i < all; i++)
		if (list[i].from < list[i].to && list[i].n > 0)
			list[n++] = list[i];
	return n;
}

/* The days on which some went, with how many; the cases are by their end. */
static void find_steps(struct kaplan_meier *km, const struct km_case *list, size_t n)
{
	km->step = mem_array(n + 1, sizeof *km->step);
	for (size_t i = 0; i < n; i++) {
		km->cases += list[i].n;
		if (!list[i].ended)
			continue;
		km->ended += list[i].n;
		if (!km->n || km->step[km->n - 1].day != list[i].to)
			km->step[km->n++] = (struct km_step){ .day = list[i].to };
		km->step[km->n - 1].ended += list[i].n;
	}
}

/* Those at risk are those that came before the day and did not end before it: `list` is by end, then by `from`. */
static void find_risk(struct kaplan_meier *km, struct km_case *list, size_t n)
{
	int64_t gone = 0, come = 0;

	for (size_t s = 0, i = 0; s < km->n; s++) {
		for (; i < n && list[i].to < km->step[s].day; i++)
			gone += list[i].n;
		km->step[s].at_risk = -gone;
	}
	if (n)
		qsort(list, n, sizeof *list, by_from);
	for (size_t s = 0, i = 0; s < km->n; s++) {
		for (; i < n && list[i].from < km->step[s].day; i++)
			come += list[i].n;
		km->step[s].at_risk += come;
	}
}

static void find_shares(struct kaplan_meier *km)
{
	double share = 1;

	for (size_t s = 0; s < km->n; s++) {
		share *= (double)(km->step[s].at_risk - km->step[s].ended) / (double)km->step[s].at_risk;
		km->step[s].share = share;
	}
}

/* ---- the error */

/* What a batch adds to the logarithm of the share, step by step: squared into square[], and lasting from `after` on into last[]. */
struct influence {
	const struct km_step *step;
	size_t n;
	double *square, *last;
};

/* The first step after a day. */
static size_t step_after(const struct influence *in, int32_t day)
{
	size_t low = 0, high = in->n;

	while (low < high) {
		size_t mid = low + (high - low) / 2;

		if (in->step[mid].day > day)
			high = mid;
		else
			low = mid + 1;
	}
	return low;
}

/* The cases of one batch; room[] has two zeros for each step, and is left so. */
static void add_batch(struct influence *in, const struct km_case *list, size_t n, double *room)
{
	size_t first = in->n, end = 0;
	double sum = 0, risk = 0;

	for (size_t i = 0; i < n; i++) {
		size_t from = step_after(in, list[i].from), to = step_after(in, list[i].to);

		first = from < first ? from : first;
		end = to > end ? to : end;
		if (from == to)
			continue;
		room[2 * from] += (double)list[i].n;            /* comes under risk */
		if (to < in->n)
			room[2 * to] -= (double)list[i].n;
		room[2 * (to - 1) + 1] += list[i].ended ? (double)list[i].n : 0;
	}
	for (size_t s = first; s < end; s++) {
		double all = (double)in->step[s].at_risk, left = all - (double)in->step[s].ended;

		risk += room[2 * s];
		if (left > 0)
			sum += (risk * (double)in->step[s].ended / all - room[2 * s + 1]) / left;
		in->square[s] += sum * sum;
		room[2 * s] = room[2 * s + 1] = 0;
	}
	if (end < in->n) {
		room[2 * end] = 0;
		in->last[end] += sum * sum;
	}
}

/* The cases are by batch. */
static void find_errors(struct kaplan_meier *km, const struct km_case *list, size_t n)
{
	struct influence in = { km->step, km->n, mem_zeroed(km->n + 1, sizeof(double)), mem_zeroed(km->n + 1, sizeof(double)) };
	double *room = mem_zeroed(2 * km->n + 2, sizeof *room), lasting = 0;

	for (size_t i = 0, end; i < n; i = end) {
		for (end = i; end < n && list[end].batch == list[i].batch;)
			end++;
		add_batch(&in, list + i, end - i, room);
		km->batches++;
	}
	for (size_t s = 0; s < km->n; s++) {
		lasting += in.last[s];
		km->step[s].error = km->step[s].share * sqrt(in.square[s] + lasting);
	}
	free(in.square);
	free(in.last);
	free(room);
}

void kaplan_meier_of(struct kaplan_meier *km, struct km_case *list, size_t n)
{
	*km = (struct kaplan_meier){ 0 };
	n = good_cases(list, n);
	if (n)
		qsort(list, n, sizeof *list, by_end);
	find_steps(km, list, n);
	find_risk(km, list, n);
	find_shares(km);
	if (n)
		qsort(list, n, sizeof *list, by_batch);
	find_errors(km, list, n);
}

void kaplan_meier_release(struct kaplan_meier *km)
{
	free(km->step);
	*km = (struct kaplan_meier){ 0 };
}

/* ---- what it says */

void km_share_interval(const struct km_step *step, double point, double *low, double *high)
{
	double s = step->share, half;

	*low = *high = NAN;
	if (!(s > 0 && s < 1))
		return;
	half = exp(point * step->error / (s * -log(s)));
	*low = pow(s, half);
	*high = pow(s, 1 / half);
}

enum km_curve { KM_SHARE, KM_LOW, KM_HIGH };

static double curve_at(const struct km_step *step, enum km_curve curve, double point)
{
	double low, high;

	if (step->share <= 0)
		return curve == KM_HIGH ? NAN : 0;
	if (curve == KM_SHARE)
		return step->share;
	km_share_interval(step, point, &low, &high);
	return curve == KM_LOW ? low : high;
}

/* The first day on which the curve is at or below `share`; the middle of the days on which it is level there. */
static double first_day(const struct kaplan_meier *km, double share, enum km_curve curve, double point)
{
	for (size_t s = 0; s < km->n; s++) {
		double at = curve_at(&km->step[s], curve, point);

		if (!(at <= share + KM_HAIR))
			continue;
		if (at < share - KM_HAIR || s + 1 == km->n)
			return km->step[s].day;
		return ((double)km->step[s].day + km->step[s + 1].day) / 2;
	}
	return NAN;
}

double km_day(const struct kaplan_meier *km, double p)
{
	return first_day(km, 1 - p, KM_SHARE, 0);
}

void km_day_interval(const struct kaplan_meier *km, double p, double point, double *low, double *high)
{
	*low = first_day(km, 1 - p, KM_LOW, point);
	*high = first_day(km, 1 - p, KM_HIGH, point);
}
