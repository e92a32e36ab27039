#include "supply/order_fill.h"

#include <math.h>
#include <stdlib.h>


/* A charge that brings so many pieces or more with this chance is said to. */
static const double LIKELY = 0.5;

struct queued {
	const struct under_way_part *part;
	struct under_way_ready ready;
	size_t at;                 /* its index, for the order of names */
};

/* What earlier needs take of the same wood. */
bool order_fill_overlap(uint32_t a, uint32_t b)
{
	return a == STOCK_ANY || b == STOCK_ANY || a == b;
}

bool order_fill_is_wood(const struct order_need *need)
{
	return need->missing && (need->order->form == FORM_BLADE || need->order->form == FORM_BAT);
}

int64_t order_fill_before(const struct open_orders *o, size_t need)
{
	const struct order_item *item = o->need[need].item;
	int64_t sum = 0;

	for (size_t i = 0; i < need; i++)
		if (order_fill_is_wood(&o->need[i]) && order_fill_overlap(o->need[i].item->type, item->type) && order_fill_overlap(o->need[i].item->grade, item->grade))
			sum += o->need[i].missing;
	return sum;
}

/* ---- the wood, the first to be ready first */

static int by_day(const void *a, const void *b)
{
	const struct queued *x = a, *y = b;

	if (x->ready.day != y->ready.day)
		return x->ready.day < y->ready.day ? -1 : 1;
	return (x->at > y->at) - (x->at < y->at);
}

/* The wood of a type that is in a kiln, or that is out of it, for which no forecast is needed. */
static struct queued *queue_of(struct under_way *u, uint32_t type, bool in_kiln, size_t *n)
{
	struct queued *queue = mem_array(u->nparts, sizeof *queue);

	*n = 0;
	for (size_t i = 0; i < u->nparts; i++)
		if (order_fill_overlap(type, u->part[i].wood.type) && (u->part[i].step == GRADE_ODDS_KILN) == in_kiln)
			queue[(*n)++] = (struct queued){ &u->part[i], under_way_part_ready(u, &u->part[i]), i };
	if (*n)
		qsort(queue, *n, sizeof *queue, by_day);
	return queue;
}

/* ---- how many blades it brings */

int64_t order_fill_pieces(const struct under_way *u, uint32_t type)
{
	int64_t n = 0;

	for (size_t i = 0; i < u->nparts; i++)
		n += order_fill_overlap(type, u->part[i].wood.type) ? u->part[i].n : 0;
	return n;
}

void order_fill_gather(const struct under_way *u, const struct under_way_part *part, uint32_t grade, int64_t most, double *sum)
{
	double *mass = mem_array((size_t)part->n + 1, sizeof *mass);

	beta_binomial_masses(grade_odds_of(&u->odds, part->wood, grade, part->step), part->n, mass);
	masses_gather(sum, most, mass, part->n);
	free(mass);
}

static double *nothing_yet(int64_t most)
{
	double *mass = mem_zeroed((size_t)most + 1, sizeof *mass);

	mass[0] = 1;
	return mass;
}

double *order_fill_masses(struct under_way *u, uint32_t type, uint32_t grade, int64_t most)
{
	double *mass = nothing_yet(most);

	for (size_t i = 0; i < u->nparts && grade_odds_known(&u->odds); i++)
		if (order_fill_overlap(type, u->part[i].wood.type))
			order_fill_gather(u, &u->part[i], grade, most, mass);
	return mass;
}

/* ---- the sources */

static struct slice name_of(const struct under_way *u, const struct under_way_part *part)
{
	return part->charge ? stock_text(u->stock, part->charge) : SLICE("bench");
}

static int32_t later(int32_t a, int32_t b)
{
	return a > b ? a : b;
}

static void take_source(const struct under_way *u, const struct queued *q, struct order_source *source)
{
	struct slice name = name_of(u, q->part);

	source->charges += !slice_eq(source->charge, name);
	source->charge = name;
	source->ready = later(source->ready, q->ready.day);
	source->ready_low = later(source->ready_low, q->ready.low);
	source->ready_high = later(source->ready_high, q->ready.high);
}

/*
 * What needs of one type and grade have taken so far. A later need of the same wants all that an earlier one did and more, so that it
 * goes on from there: each part is taken once.
 */
struct filling {
	uint32_t type, grade;
	struct queued *queue;      /* the wood out of the kilns; when all of that is taken, the wood in them */
	size_t n, next;
	bool in_kiln;
	double *mass;              /* of how many blades there are so far, */
	int64_t most;              /* up to this */
	struct order_source source;
};

struct fillings {
	struct filling *of;
	size_t n, cap;
};

static struct filling *filling_of(struct fillings *f, const struct order_item *item)
{
	for (size_t i = 0; i < f->n; i++)
		if (f->of[i].type == item->type && f->of[i].grade == item->grade)
			return &f->of[i];
	f->of = mem_grow(f->of, &f->cap, f->n + 1, sizeof *f->of);
	f->of[f->n] = (struct filling){ .type = item->type, .grade = item->grade, .mass = nothing_yet(0),
		.source = { .ready = INT32_MIN, .ready_low = INT32_MIN, .ready_high = INT32_MIN } };
	return &f->of[f->n++];
}

static void fillings_release(struct fillings *f)
{
	for (size_t i = 0; i < f->n; i++) {
		free(f->of[i].queue);
		free(f->of[i].mass);
	}
	free(f->of);
}

/* The next wood, or NULL. What is in a kiln, which needs forecasts, is looked for when the rest is taken. */
static const struct queued *next_wood(struct under_way *u, struct filling *f)
{
	if (!f->queue)
		f->queue = queue_of(u, f->type, false, &f->n);
	if (f->next == f->n && !f->in_kiln) {
		free(f->queue);
		f->queue = queue_of(u, f->type, f->in_kiln = true, &f->n);
		f->next = 0;
	}
	return f->next < f->n ? &f->queue[f->next++] : NULL;
}

static void take_wood(const struct under_way *u, struct filling *f, const struct queued *wood)
{
	int64_t most = f->most + wood->part->n;
	size_t cap = (size_t)f->most + 1;

	f->mass = mem_grow(f->mass, &cap, (size_t)most + 1, sizeof *f->mass);
	memset(f->mass + f->most + 1, 0, (size_t)(most - f->most) * sizeof *f->mass);
	f->most = most;
	order_fill_gather(u, wood->part, f->grade, most, f->mass);
	take_source(u, wood, &f->source);
}

/* Takes wood until all the missing pieces are likely. */
static struct order_source source_of(const struct open_orders *o, struct under_way *u, size_t need, struct fillings *fillings)
{
	struct filling *f = filling_of(fillings, o->need[need].item);
	int64_t taken = order_fill_before(o, need), most = taken + o->need[need].missing, likely;
	const struct queued *wood;

	while ((f->source.chance = masses_at_least(f->mass, f->most, most)) < LIKELY && (wood = next_wood(u, f)))
		take_wood(u, f, wood);
	likely = masses_quantile(f->mass, f->most, 1 - LIKELY);
	likely = (likely < most ? likely : most) - taken;
	f->source.likely = likely < 0 ? 0 : likely;
	return f->source;
}

/* ---- the whole */

void order_supply_init(struct order_supply *o, const struct house *house, const struct zone *zone, struct stock *stock, int32_t today)
{
	o->source = NULL;
	open_orders_init(&o->orders, stock, today);
	under_way_init(&o->under_way, house, zone, stock, today);
}

void order_supply_release(struct order_supply *o)
{
	under_way_release(&o->under_way);
	open_orders_release(&o->orders);
	free(o->source);
}

void order_supply_add(struct order_supply *o, const struct line *l, int64_t utc_s)
{
	open_orders_add(&o->orders, l);
	under_way_add(&o->under_way, l, utc_s);
}

void order_supply_begin(struct order_supply *o)
{
	under_way_begin(&o->under_way);
}

void order_supply_flow(void *context, const struct stock_flow *flow)
{
	struct order_supply *o = context;

	open_orders_flow(&o->orders, flow);
	under_way_flow(&o->under_way, flow);
}

void order_supply_end(struct order_supply *o)
{
	under_way_end(&o->under_way);
	open_orders_give(&o->orders);
}

void order_supply_fill(struct order_supply *o)
{
	struct fillings fillings = { NULL, 0, 0 };

	o->source = mem_zeroed(o->orders.nneeds, sizeof *o->source);
	for (size_t i = 0; i < o->orders.nneeds && grade_odds_known(&o->under_way.odds); i++)
		if (order_fill_is_wood(&o->orders.need[i]))
			o->source[i] = source_of(&o->orders, &o->under_way, i, &fillings);
	fillings_release(&fillings);
}
