#include "plan/plan_coming.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "plan/plan.h"

static const struct order_need *need_of(const struct plan *p, size_t i)
{
	return &p->supply.orders.need[p->need[i]];
}

/* ---- the parts of a charge */

/* The part after those of the charge that the part `first` is of. */
static size_t end_of_charge(const struct under_way *u, size_t first)
{
	size_t i = first + 1;

	while (i < u->nparts && u->part[i].charge == u->part[first].charge)
		i++;
	return i;
}

/* Its pieces that a need can use. */
static int64_t pieces_for(const struct under_way *u, size_t first, const struct order_need *of)
{
	int64_t n = 0;

	for (size_t i = first, end = end_of_charge(u, first); i < end; i++)
		n += order_fill_overlap(of->item->type, u->part[i].wood.type) ? u->part[i].n : 0;
	return n;
}

static double part_in_time(const struct plan *p, const struct under_way_part *part, const struct under_way_ready *ready, int32_t due)
{
	double left = (double)due - p->ask->today, sum = 0;
	const struct dry_case *c;

	if (due == INT32_MAX)
		return 1;
	if (ready->known) {
		for (int day = 0; day <= DRY_HORIZON; day++)
			sum += ready->seen[day] * charge_times_chance(&p->times, CHARGE_TIME_AFTER, left - day);
		return sum;
	}
	c = charges_case(&p->supply.under_way.charges, stock_text(p->stock, part->charge));
	if (c) {
		double age = p->ask->today - charges_day(&p->supply.under_way.charges, c->load_s), was = charge_times_chance(&p->times, CHARGE_TIME_ALL, age);

		return was < 1 ? fmax(charge_times_chance(&p->times, CHARGE_TIME_ALL, age + left) - was, 0) / (1 - was) : 0;
	}
	return charge_times_chance(&p->times, CHARGE_TIME_AFTER, left);
}

/* The chance that all of a charge that a need can use is in time. */
static double charge_in_time(struct plan *p, size_t first, const struct order_need *of)
{
	struct under_way *u = &p->supply.under_way;
	double in_time = 1;

	for (size_t i = first, end = end_of_charge(u, first); i < end; i++) {
		struct under_way_ready ready;

		if (!order_fill_overlap(of->item->type, u->part[i].wood.type))
			continue;
		ready = under_way_part_ready(u, &u->part[i]);
		in_time = fmin(in_time, part_in_time(p, &u->part[i], &ready, of->order->due));
	}
	return in_time;
}

/* The blades of a charge for a need: masses 0 to `most`, the caller's. */
static double *charge_masses(struct plan *p, size_t first, const struct order_need *of, int64_t most)
{
	const struct under_way *u = &p->supply.under_way;
	double *mass = mem_zeroed((size_t)most + 1, sizeof *mass);

	mass[0] = 1;
	for (size_t i = first, end = end_of_charge(u, first); i < end; i++)
		if (order_fill_overlap(of->item->type, u->part[i].wood.type))
			order_fill_gather(&p->supply, &u->part[i], of, most, mass);
	return mass;
}

/* ---- a need by itself */

static void find_alone(struct plan *p, size_t i)
{
	const struct order_need *of = need_of(p, i);
	struct planner_need *need = &p->planner.need[i];

	need->in_time = order_fill_start(of, need->demand);
	need->ever = order_fill_start(of, need->demand);
	for (size_t first = 0; first < p->supply.under_way.nparts; first = end_of_charge(&p->supply.under_way, first)) {
		double *mass = charge_masses(p, first, of, need->demand);

		masses_gather(need->ever, need->demand, mass, need->demand);
		masses_thin(mass, need->demand, charge_in_time(p, first, of));
		masses_gather(need->in_time, need->demand, mass, need->demand);
		free(mass);
	}
}

/* ---- needs of one type and grade */

/* Some of them, with the numbers of blades up to the largest demand. */
struct some {
	const struct order_need *of; /* the first */
	size_t *need;              /* which of the planner's */
	size_t cap;
	struct mass_ends ends;     /* of each its demand */
	size_t ends_cap, at_cap;
	double *sum;
	int64_t most;
};

static void some_add(struct plan *p, struct some *s, size_t i)
{
	int64_t demand = p->planner.need[i].demand;
	size_t n = s->ends.n;

	s->of = n ? s->of : need_of(p, i);
	s->need = mem_grow(s->need, &s->cap, n + 1, sizeof *s->need);
	s->ends.at = mem_grow(s->ends.at, &s->at_cap, n + 1, sizeof *s->ends.at);
	s->ends.end = mem_grow(s->ends.end, &s->ends_cap, n + 1, sizeof *s->ends.end);
	s->need[n] = i;
	s->ends.at[n] = demand;
	s->ends.end[n] = 0;
	s->ends.n++;
	s->most = demand > s->most ? demand : s->most;
}

static void some_start(struct some *s)
{
	s->sum = order_fill_start(s->of, s->most);
}

/* Writes the masses of each, which then has them for itself. */
static void some_end(struct plan *p, struct some *s, bool timed)
{
	for (size_t i = 0; i < s->ends.n; i++) {
		size_t demand = (size_t)s->ends.at[i];
		double *mass = mem_array(demand + 1, sizeof *mass);

		memcpy(mass, s->sum, demand * sizeof *mass);
		mass[demand] = s->ends.end[i];
		*(timed ? &p->planner.need[s->need[i]].in_time : &p->planner.need[s->need[i]].ever) = mass;
	}
	free(s->sum);
	free(s->need);
	free(s->ends.at);
	free(s->ends.end);
}

/* All of them, and of these those of each day. */
struct alike {
	struct some all, *due;
	size_t n, cap;
};

struct alikes {
	struct alike *row;
	size_t n, cap;
};

static bool is_alike(const struct order_need *a, const struct order_need *b)
{
	return a->item->type == b->item->type && a->item->grade == b->item->grade;
}

static struct alike *alike_of(struct alikes *a, const struct order_need *of)
{
	for (size_t i = 0; i < a->n; i++)
		if (is_alike(a->row[i].all.of, of))
			return &a->row[i];
	a->row = mem_grow(a->row, &a->cap, a->n + 1, sizeof *a->row);
	a->row[a->n] = (struct alike){ .n = 0 };
	return &a->row[a->n++];
}

static struct some *some_of(struct alike *a, int32_t due)
{
	for (size_t i = a->n; i-- > 0;)
		if (a->due[i].of->order->due == due)
			return &a->due[i];
	a->due = mem_grow(a->due, &a->cap, a->n + 1, sizeof *a->due);
	a->due[a->n] = (struct some){ .of = NULL };
	return &a->due[a->n++];
}

/* The demands are more than a charge has, so that for all of them its masses are the same. */
static void add_charge(struct plan *p, struct alike *a, size_t first)
{
	int64_t n = pieces_for(&p->supply.under_way, first, a->all.of);
	double *mass = charge_masses(p, first, a->all.of, n), *thin = mem_array((size_t)n + 1, sizeof *thin);

	masses_gather_ends(a->all.sum, a->all.most, &a->all.ends, mass, n);
	for (size_t i = 0; i < a->n; i++) {
		memcpy(thin, mass, ((size_t)n + 1) * sizeof *thin);
		masses_thin(thin, n, charge_in_time(p, first, a->due[i].of));
		masses_gather_ends(a->due[i].sum, a->due[i].most, &a->due[i].ends, thin, n);
	}
	free(mass);
	free(thin);
}

static void find_alike(struct plan *p, struct alike *a)
{
	const struct under_way *u = &p->supply.under_way;

	some_start(&a->all);
	for (size_t i = 0; i < a->n; i++)
		some_start(&a->due[i]);
	for (size_t first = 0; first < u->nparts; first = end_of_charge(u, first))
		if (pieces_for(u, first, a->all.of))
			add_charge(p, a, first);
	some_end(p, &a->all, false);
	for (size_t i = 0; i < a->n; i++)
		some_end(p, &a->due[i], true);
	free(a->due);
}

/* ---- all */

/* Whether it asks for no class and no mass, and for more than any charge has. */
static bool goes_with_others(const struct plan *p, size_t i)
{
	const struct order_need *of = need_of(p, i);
	const struct under_way *u = &p->supply.under_way;

	if (of->lands || order_match_asks(of->order, of->item))
		return false;
	for (size_t first = 0; first < u->nparts; first = end_of_charge(u, first))
		if (pieces_for(u, first, of) >= p->planner.need[i].demand)
			return false;
	return true;
}

void plan_coming_find(struct plan *p)
{
	struct alikes alikes = { NULL, 0, 0 };

	for (size_t i = 0; i < p->planner.nneeds; i++)
		if (goes_with_others(p, i)) {
			struct alike *a = alike_of(&alikes, need_of(p, i));

			some_add(p, &a->all, i);
			some_add(p, some_of(a, need_of(p, i)->order->due), i);
		} else {
			find_alone(p, i);
		}
	for (size_t i = 0; i < alikes.n; i++)
		find_alike(p, &alikes.row[i]);
	free(alikes.row);
}
