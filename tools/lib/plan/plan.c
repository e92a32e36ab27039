#include "plan/plan.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "house/house.h"
#include "plan/plan_coming.h"

void plan_init(struct plan *p, const struct plan_ask *ask, const struct house *house, const struct zone *zone, struct stock *stock)
{
	memset(p, 0, sizeof *p);
	p->ask = ask;
	p->house = house;
	p->stock = stock;
	order_supply_init(&p->supply, house, zone, stock, ask->today);
	stock_parts_init(&p->parts, house, zone, stock, ask->today, PARTS_REST | PARTS_MOISTURE);
	charge_times_init(&p->times);
}

void plan_release(struct plan *p)
{
	for (size_t i = 0; i < p->planner.nneeds; i++) {
		free(p->planner.need[i].in_time);
		free(p->planner.need[i].ever);
	}
	for (size_t i = 0; i < p->planner.ncharges; i++)
		free(p->charge[i].free);
	free(p->planner.need);
	free(p->planner.lot);
	free(p->planner.charge);
	free(p->planner.take);
	free((void *)p->planner.odds);
	free((void *)p->planner.in_time);
	free(p->lot);
	free(p->charge);
	free(p->need);
	free(p->filled);
	free(p->born);
	free(p->gift);
	cover_release(&p->cover);
	charge_times_release(&p->times);
	stock_parts_release(&p->parts);
	order_supply_release(&p->supply);
	memset(p, 0, sizeof *p);
}

void plan_add(struct plan *p, const struct line *l, int64_t utc_s)
{
	order_supply_add(&p->supply, l, utc_s);
	stock_parts_add(&p->parts, l);
}

void plan_begin(struct plan *p)
{
	order_supply_begin(&p->supply);
	stock_parts_read(&p->parts);
	cover_init(&p->cover, p->stock, p->ask->today);
}

static bool is_given(const struct plan *p, uint32_t source, uint32_t type)
{
	for (size_t i = 0; i < p->ngifts; i++)
		if (p->gift[i].source == source && p->gift[i].type == type)
			return true;
	return false;
}

bool plan_gave(const struct plan *p, uint32_t source, uint32_t type)
{
	for (size_t i = 0; i < p->ngifts; i++)
		if (p->gift[i].source == source && p->gift[i].type)
			return is_given(p, source, type);
	return is_given(p, source, 0);
}

static void add_gift(struct plan *p, uint32_t source, uint32_t type)
{
	if (!source || is_given(p, source, type))
		return;
	p->gift = mem_grow(p->gift, &p->gifts_cap, p->ngifts + 1, sizeof *p->gift);
	p->gift[p->ngifts++] = (struct plan_gift){ source, type };
}

/* A lot that comes in several times counts once. */
static void add_born(struct plan *p, uint32_t source, uint32_t lot, int64_t n)
{
	size_t had = p->born_cap, need = (source > lot ? source : lot) + (size_t)1;

	if (!source)
		return;
	p->born = mem_grow(p->born, &p->born_cap, need, sizeof *p->born);
	if (p->born_cap > had)
		memset(p->born + had, 0, (p->born_cap - had) * sizeof *p->born);
	p->born[source].n += n;
	p->born[source].lots += !p->born[lot].is_counted;
	p->born[lot].is_counted = true;
}

void plan_flow(void *context, const struct stock_flow *flow)
{
	struct plan *p = context;

	order_supply_flow(&p->supply, flow);
	stock_parts_flow(&p->parts, flow);
	charge_times_flow(&p->times, flow);
	cover_flow(&p->cover, flow);
	if (flow->change == STOCK_BORN && flow->to.form == FORM_CLEFT) {
		uint32_t source = grade_odds_source(&p->supply.under_way.odds, flow->to.lot);

		add_born(p, source, flow->to.lot, flow->n);
		add_gift(p, source, flow->to.type);
	}
}

/* ---- the wood in the yard, the oldest first */

static bool is_in_yard(const struct plan *p, const struct stock_part *part)
{
	const struct house_place *place = house_place(p->house, stock_text(p->stock, part->kind.place));

	return part->n > 0 && part->kind.form == FORM_CLEFT && place && place->kind == HOUSE_PLACE_KIND_YARD;
}

static bool is_before(const struct plan *p, const struct plan_lot *a, const struct plan_lot *b)
{
	int order = (a->since > b->since) - (a->since < b->since);

	order = order ? order : slice_cmp(stock_text(p->stock, a->kind.lot), stock_text(p->stock, b->kind.lot));
	order = order ? order : slice_cmp(stock_text(p->stock, a->kind.type), stock_text(p->stock, b->kind.type));
	return (order ? order : slice_cmp(stock_text(p->stock, a->kind.place), stock_text(p->stock, b->kind.place))) < 0;
}

static bool is_same(const struct stock_kind *a, const struct stock_kind *b)
{
	return a->lot == b->lot && a->place == b->place && a->type == b->type && a->grade == b->grade && a->class == b->class;
}

/* Pieces of one lot that are not equally old are one heap. */
static bool joins(struct plan *p, const struct stock_part *part)
{
	for (size_t i = 0; i < p->nlots; i++) {
		struct plan_lot *lot = &p->lot[i];

		if (!is_same(&lot->kind, &part->kind))
			continue;
		lot->n += part->n - part->resting;
		lot->resting += part->resting;
		lot->since = part->since < lot->since ? part->since : lot->since;
		lot->rested = part->rested > lot->rested ? part->rested : lot->rested;
		return true;
	}
	return false;
}

static void add_lot(struct plan *p, const struct stock_part *part)
{
	struct plan_lot lot = { .kind = part->kind, .n = part->n - part->resting, .resting = part->resting, .since = part->since, .rested = part->rested,
		.mc_pct = part->read ? (double)part->mc / (double)part->read / 1e4 : (double)NAN, .read_day = part->read_day };
	size_t at = p->nlots;

	p->lot = mem_grow(p->lot, &p->lots_cap, p->nlots + 1, sizeof *p->lot);
	for (; at && is_before(p, &lot, &p->lot[at - 1]); at--)
		p->lot[at] = p->lot[at - 1];
	p->lot[at] = lot;
	p->nlots++;
}

static void find_lots(struct plan *p)
{
	for (size_t i = 0; i < p->parts.facts.nparts; i++)
		if (is_in_yard(p, &p->parts.facts.part[i]) && !joins(p, &p->parts.facts.part[i]))
			add_lot(p, &p->parts.facts.part[i]);
	p->planner.nlots = p->nlots;
	p->planner.lot = mem_zeroed(p->nlots + 1, sizeof *p->planner.lot);
	for (size_t i = 0; i < p->nlots; i++)
		p->planner.lot[i] = (struct planner_lot){ .n = p->lot[i].n, .mc_pct = p->lot[i].mc_pct };
}

struct grade_odds_wood plan_wood(const struct plan *p, size_t lot)
{
	const struct stock_kind *kind = &p->lot[lot].kind;

	return (struct grade_odds_wood){ kind->type, grade_odds_source(&p->supply.under_way.odds, kind->lot) };
}

/* ---- the kilns */

/* The charge that is in the kiln; the last to be loaded of several. */
static const struct dry_case *charge_in(const struct plan *p, const struct house_place *kiln)
{
	const struct charges *charges = &p->supply.under_way.charges;
	const struct dry_case *in = NULL;

	for (size_t i = 0; i < charges->n; i++)
		if (charges->cases[i].held > 0 && slice_eq(charges->cases[i].kiln, kiln->id))
			in = &charges->cases[i];
	return in;
}

/* A charge of which nothing is forecast takes as long as others did. */
static void free_by_times(const struct plan *p, const struct dry_case *in, double *free_on)
{
	double age = p->ask->today - charges_day(&p->supply.under_way.charges, in->load_s);
	double was = charge_times_chance(&p->times, CHARGE_TIME_KILN, age), before = was;

	for (int day = 1; day < PLAN_DAYS && was < 1; day++) {
		double by = charge_times_chance(&p->times, CHARGE_TIME_KILN, age + day);

		free_on[day] = (by - before) / (1 - was);
		before = by;
	}
}

static void first_free(struct plan *p, struct plan_charge *c)
{
	const struct dry_case *in = charge_in(p, c->kiln);
	struct under_way_ready ready;

	if (!in) {
		c->free[0] = 1;
		return;
	}
	c->after = in->id;
	ready = under_way_ready(&p->supply.under_way, intern_find(&p->stock->ids, in->id));
	if (!ready.known)
		free_by_times(p, in, c->free);
	for (int day = 0; day <= DRY_HORIZON && ready.known; day++)
		c->free[day + 1] = ready.seen[day];
}

/* The kiln is free again when the charge before it has been dried. */
static void next_free(const struct plan *p, const struct plan_charge *before, struct plan_charge *c)
{
	for (int days = 0; days + 1 < PLAN_DAYS; days++) {
		double takes = charge_times_chance(&p->times, CHARGE_TIME_KILN, days) - charge_times_chance(&p->times, CHARGE_TIME_KILN, days - 1);

		for (int day = 0; day + days + 1 < PLAN_DAYS && takes > 0; day++)
			c->free[day + days + 1] += takes * before->free[day];
	}
}

static int32_t median_free(const struct plan *p, const struct plan_charge *c)
{
	double sum = 0;

	for (int day = 0; day < PLAN_DAYS; day++)
		if ((sum += c->free[day]) >= 0.5)
			return p->ask->today + day;
	return INT32_MAX;
}

static void find_charges(struct plan *p)
{
	size_t n = p->ask->charges * p->ask->nkilns;
	double takes = charge_times_median(&p->times, CHARGE_TIME_ALL);

	p->planner.ncharges = n;
	p->planner.charge = mem_zeroed(n + 1, sizeof *p->planner.charge);
	p->charge = mem_zeroed(n + 1, sizeof *p->charge);
	for (size_t i = 0; i < n; i++) {
		struct plan_charge *c = &p->charge[i];

		*c = (struct plan_charge){ .kiln = p->ask->kiln[i % p->ask->nkilns], .turn = i / p->ask->nkilns, .free = mem_zeroed(PLAN_DAYS, sizeof *c->free) };
		if (c->turn)
			next_free(p, &p->charge[i - p->ask->nkilns], c);
		else
			first_free(p, c);
		c->day = median_free(p, c);
		c->graded = c->day == INT32_MAX || isnan(takes) ? INT32_MAX : c->day + (int32_t)ceil(takes);
		p->planner.charge[i].room = c->kiln->capacity;
	}
}

/* The first to be free first. There are few. */
static void sort_charges(struct plan *p)
{
	for (size_t i = 1; i < p->planner.ncharges; i++) {
		struct plan_charge c = p->charge[i];
		struct planner_charge one = p->planner.charge[i];
		size_t at = i;

		for (; at && p->charge[at - 1].day > c.day; at--) {
			p->charge[at] = p->charge[at - 1];
			p->planner.charge[at] = p->planner.charge[at - 1];
		}
		p->charge[at] = c;
		p->planner.charge[at] = one;
	}
}

/* The chance that all of a charge is graded by a day. */
static double charge_in_time(const struct plan *p, const struct plan_charge *c, int32_t due)
{
	double sum = 0;

	if (due == INT32_MAX)
		return 1;
	for (int day = 0; day < PLAN_DAYS && p->ask->today + day <= due; day++)
		if (c->free[day] > 0)
			sum += c->free[day] * charge_times_chance(&p->times, CHARGE_TIME_ALL, (double)due - p->ask->today - day);
	return fmin(sum, 1);
}

/* ---- the needs */

static bool is_need(const struct order_need *need)
{
	return order_fill_is_wood(need) || order_fill_is_unsure(need);
}

/* How many sorts of blades an order misses, or is not sure of. */
static size_t sorts_of(const struct plan *p, const struct order *order)
{
	const struct open_orders *o = &p->supply.orders;
	size_t n = 0;

	for (size_t i = 0; i < o->nneeds; i++)
		n += o->need[i].order == order && is_need(&o->need[i]);
	return n;
}

/* What all wood under way and in the yard can become, and one more: as good as any larger demand. */
static int64_t most_demand(const struct plan *p)
{
	int64_t n = order_fill_pieces(&p->supply.under_way, STOCK_ANY) + 1;

	for (size_t lot = 0; lot < p->nlots; lot++)
		n += p->lot[lot].n;
	return n;
}

static void add_need(struct plan *p, size_t index)
{
	const struct order_need *of = &p->supply.orders.need[index];
	struct planner_need *need = &p->planner.need[p->planner.nneeds];
	int64_t demand = order_fill_others(&p->supply.orders, index) + order_fill_wanted(of), most = most_demand(p);

	p->need[p->planner.nneeds++] = index;
	most += of->lands ? order_fill_wanted(of) : 0;
	*need = (struct planner_need){ .demand = demand < most ? demand : most,
		.asked = 1 - (1 - p->ask->chance) / (double)sorts_of(p, of->order) };
}

static void find_needs(struct plan *p)
{
	size_t n = p->supply.orders.nneeds;

	p->planner.need = mem_zeroed(n + 1, sizeof *p->planner.need);
	p->need = mem_zeroed(n + 1, sizeof *p->need);
	for (size_t i = 0; i < n && grade_odds_known(&p->supply.under_way.odds); i++)
		if (is_need(&p->supply.orders.need[i]))
			add_need(p, i);
	plan_coming_find(p);
}

const struct order_need *plan_need(const struct plan *p, size_t i)
{
	return &p->supply.orders.need[p->need[i]];
}

static struct beta odds_of(struct plan *p, size_t lot, const struct order_need *need)
{
	if (!order_fill_overlap(need->item->type, p->lot[lot].kind.type))
		return (struct beta){ 0, 0 };
	return order_fill_odds(&p->supply, need, plan_wood(p, lot), GRADE_ODDS_KILN, 1);
}

static void find_odds(struct plan *p)
{
	size_t n = p->planner.nneeds;
	struct beta *odds = mem_zeroed(p->nlots * n + 1, sizeof *odds);
	double *in_time = mem_zeroed(p->planner.ncharges * n + 1, sizeof *in_time);

	for (size_t lot = 0; lot < p->nlots; lot++)
		for (size_t i = 0; i < n; i++)
			odds[lot * n + i] = odds_of(p, lot, plan_need(p, i));
	for (size_t c = 0; c < p->planner.ncharges; c++)
		for (size_t i = 0; i < n; i++)
			in_time[c * n + i] = charge_in_time(p, &p->charge[c], plan_need(p, i)->order->due);
	p->planner.odds = odds;
	p->planner.in_time = in_time;
}

static double most_apart(const struct plan *p)
{
	int64_t apart = p->house->load.most_apart;

	return apart == HOUSE_NONE ? (double)NAN : (double)apart / 1e4;
}

void plan_end(struct plan *p)
{
	order_supply_end(&p->supply);
	stock_parts_end(&p->parts);
	charge_times_end(&p->times, &p->supply.under_way);
	find_lots(p);
	find_charges(p);
	sort_charges(p);
	find_needs(p);
	find_odds(p);
	p->planner.most_apart_pct = most_apart(p);
	p->planner.take = mem_zeroed(p->planner.ncharges * p->nlots + 1, sizeof *p->planner.take);
	p->filled = mem_zeroed(p->planner.ncharges * p->nlots + 1, sizeof *p->filled);
	planner_run(&p->planner);
}

int32_t plan_need_day(const struct plan *p, size_t i)
{
	int32_t day = INT32_MIN;

	for (size_t c = 0; c < p->planner.ncharges; c++)
		for (size_t lot = 0; lot < p->nlots; lot++)
			if (p->planner.take[c * p->nlots + lot] && p->planner.odds[lot * p->planner.nneeds + i].a > 0 && p->charge[c].graded > day)
				day = p->charge[c].graded;
	return day == INT32_MIN ? INT32_MAX : day;
}
