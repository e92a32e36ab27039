#include "supply/order_fill.h"

#include <math.h>
#include <stdlib.h>

#include "table/table.h"

/* A charge that brings so many pieces or more with this chance is said to. */
static const double LIKELY = 0.5;

struct queued {
	const struct under_way_part *part;
	struct under_way_ready ready;
	size_t at;                 /* its index, for the order of names */
};

bool order_fill_overlap(uint32_t a, uint32_t b)
{
	return a == STOCK_ANY || b == STOCK_ANY || a == b;
}

bool order_fill_is_wood(const struct order_need *need)
{
	return need->missing && (need->order->form == FORM_BLADE || need->order->form == FORM_BAT);
}

bool order_fill_is_unsure(const struct order_need *need)
{
	static const double SURE = 0.9999;

	return need->lands && need->lands[need->open - need->in_stock] < SURE;
}

/* ---- what other needs take of the same wood */

static bool masses_overlap(const struct order *a, const struct order *b)
{
	return !order_has_mass(a) || !order_has_mass(b) || (a->mass_least <= b->mass_most && b->mass_least <= a->mass_most);
}

static bool can_share(const struct order_need *a, const struct order_need *b)
{
	const struct order_item *x = a->item, *y = b->item;

	return order_fill_overlap(x->type, y->type) && order_fill_overlap(x->grade, y->grade) && order_fill_overlap(x->class, y->class) &&
		masses_overlap(a->order, b->order);
}

/* Whether a sort is within another. */
static bool is_within(uint32_t a, uint32_t b)
{
	return b == STOCK_ANY || a == b;
}

static bool is_mass_within(const struct order *a, const struct order *b)
{
	return !order_has_mass(b) || (order_has_mass(a) && a->mass_least >= b->mass_least && a->mass_most <= b->mass_most);
}

/* Whether all that a need can use, the other can. */
static bool is_part(const struct order_need *a, const struct order_need *b)
{
	const struct order_item *x = a->item, *y = b->item;

	return is_within(x->type, y->type) && is_within(x->grade, y->grade) && is_within(x->class, y->class) && is_mass_within(a->order, b->order);
}

/* Whether `other` has its pieces before the need: it can use less, or as much and it is due before. */
static bool is_first(const struct order_need *other, const struct order_need *need, bool before)
{
	bool less = is_part(other, need), more = is_part(need, other);

	return less != more ? less : before;
}

int64_t order_fill_others(const struct open_orders *o, size_t need)
{
	int64_t sum = 0;

	for (size_t i = 0; i < o->nneeds; i++)
		if (i != need && order_fill_is_wood(&o->need[i]) && can_share(&o->need[i], &o->need[need]) && is_first(&o->need[i], &o->need[need], i < need))
			sum += o->need[i].missing;
	return sum;
}

int64_t order_fill_wanted(const struct order_need *need)
{
	return need->lands ? need->open - need->in_stock : need->missing;
}

double *order_fill_start(const struct order_need *need, int64_t most)
{
	double *mass = mem_zeroed((size_t)most + 1, sizeof *mass);

	mass[0] = 1;
	if (need->lands)
		masses_gather(mass, most, need->lands, order_fill_wanted(need));
	return mass;
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

static void gather(struct beta odds, int64_t n, int64_t most, double *sum)
{
	double *mass = mem_array((size_t)n + 1, sizeof *mass);

	beta_binomial_masses(odds, n, mass);
	masses_gather(sum, most, mass, n);
	free(mass);
}

struct beta order_fill_odds(struct order_supply *o, const struct order_need *need, struct grade_odds_wood wood, enum grade_odds_step step, double batches)
{
	struct beta odds = grade_odds_of_batches(&o->under_way.odds, wood, need->item->grade, step, batches);

	return order_match_asks(need->order, need->item) ? beta_product(odds, order_match_odds(&o->match, need->order, need->item, wood.type, batches)) : odds;
}

void order_fill_gather(struct order_supply *o, const struct under_way_part *part, const struct order_need *need, int64_t most, double *sum)
{
	gather(order_fill_odds(o, need, part->wood, part->step, 1), part->n, most, sum);
}

double *order_fill_coming(struct order_supply *o, const struct order_need *need, int64_t most)
{
	const struct under_way *u = &o->under_way;
	double *mass = order_fill_start(need, most);

	for (size_t i = 0; i < u->nparts && grade_odds_known(&u->odds); i++)
		if (order_fill_overlap(need->item->type, u->part[i].wood.type))
			order_fill_gather(o, &u->part[i], need, most, mass);
	return mass;
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
			gather(grade_odds_of(&u->odds, u->part[i].wood, grade, u->part[i].step), u->part[i].n, most, mass);
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
 * What needs of one kind have taken so far. A later need of the same kind wants all that an earlier one did and more, so
 * that it goes on from there: each part is taken once. A need of a class or a mass is of a kind of its own.
 */
struct filling {
	const struct order_need *need; /* the first */
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

static bool is_plain(const struct order_need *need)
{
	return !need->lands && !order_match_asks(need->order, need->item);
}

static struct filling *filling_of(struct fillings *f, const struct order_need *need)
{
	int64_t most = need->lands ? order_fill_wanted(need) : 0;

	for (size_t i = 0; i < f->n && is_plain(need); i++)
		if (is_plain(f->of[i].need) && f->of[i].need->item->type == need->item->type && f->of[i].need->item->grade == need->item->grade)
			return &f->of[i];
	f->of = mem_grow(f->of, &f->cap, f->n + 1, sizeof *f->of);
	f->of[f->n] = (struct filling){ .need = need, .mass = order_fill_start(need, most), .most = most,
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
	uint32_t type = f->need->item->type;

	if (!f->queue)
		f->queue = queue_of(u, type, false, &f->n);
	if (f->next == f->n && !f->in_kiln) {
		free(f->queue);
		f->queue = queue_of(u, type, f->in_kiln = true, &f->n);
		f->next = 0;
	}
	return f->next < f->n ? &f->queue[f->next++] : NULL;
}

static void take_wood(struct order_supply *o, struct filling *f, const struct queued *wood)
{
	int64_t most = f->most + wood->part->n;
	size_t cap = (size_t)f->most + 1;

	f->mass = mem_grow(f->mass, &cap, (size_t)most + 1, sizeof *f->mass);
	memset(f->mass + f->most + 1, 0, (size_t)(most - f->most) * sizeof *f->mass);
	f->most = most;
	order_fill_gather(o, wood->part, f->need, most, f->mass);
	take_source(&o->under_way, wood, &f->source);
}

/* Without wood: more of the blades in stock may land than those that surely do. */
static void take_stock(const struct under_way *u, struct order_source *source)
{
	if (source->charge.n || source->chance < LIKELY)
		return;
	source->charge = SLICE("stock");
	source->ready = source->ready_low = source->ready_high = u->today;
}

/* How many of the missing pieces there are with an even chance, where others take some of `most`. */
static int64_t likely_of(const struct filling *f, int64_t most, int64_t others, const struct order_need *need)
{
	int64_t likely = masses_quantile(f->mass, f->most, 1 - LIKELY);

	likely = (likely < most ? likely : most) - others - (need->lands ? need->to_make : 0);
	return likely < 0 ? 0 : likely > need->missing ? need->missing : likely;
}

/* With which chance a need goes on to no more wood. What in stock is not sure has more than an even chance already. */
static double enough(const struct order_need *need)
{
	return need->lands ? OPEN_ORDERS_SURE : LIKELY;
}

/* Takes wood until all the missing pieces are likely. */
static struct order_source source_of(struct order_supply *o, size_t index, struct fillings *fillings)
{
	const struct order_need *need = &o->orders.need[index];
	struct filling *f = filling_of(fillings, need);
	int64_t others = order_fill_others(&o->orders, index), most = others + order_fill_wanted(need);
	const struct queued *wood;

	while ((f->source.chance = masses_at_least(f->mass, f->most, most)) < enough(need) && (wood = next_wood(&o->under_way, f)))
		take_wood(o, f, wood);
	take_stock(&o->under_way, &f->source);
	f->source.likely = likely_of(f, most, others, need);
	return f->source;
}

/* ---- the whole */

void order_supply_init(struct order_supply *o, const struct house *house, const struct zone *zone, struct stock *stock, int32_t today)
{
	o->source = NULL;
	open_orders_init(&o->orders, stock, today);
	order_match_init(&o->match, house, stock, today);
	o->orders.lands = order_match_lands;
	o->orders.context = &o->match;
	under_way_init(&o->under_way, house, zone, stock, today);
}

void order_supply_release(struct order_supply *o)
{
	under_way_release(&o->under_way);
	order_match_release(&o->match);
	open_orders_release(&o->orders);
	free(o->source);
}

void order_supply_add(struct order_supply *o, const struct line *l, int64_t utc_s)
{
	open_orders_add(&o->orders, l);
	under_way_add(&o->under_way, l, utc_s);
	order_match_add(&o->match, l);
}

void order_supply_begin(struct order_supply *o)
{
	under_way_begin(&o->under_way);
	order_match_begin(&o->match);
}

void order_supply_flow(void *context, const struct stock_flow *flow)
{
	struct order_supply *o = context;

	open_orders_flow(&o->orders, flow);
	under_way_flow(&o->under_way, flow);
	order_match_flow(&o->match, flow);
}

void order_supply_settle(struct order_supply *o)
{
	under_way_settle(&o->under_way);
}

void order_supply_give(struct order_supply *o)
{
	under_way_end(&o->under_way);
	order_match_end(&o->match);
	open_orders_give(&o->orders);
}

void order_supply_end(struct order_supply *o)
{
	order_supply_settle(o);
	order_supply_give(o);
}

void order_supply_fill(struct order_supply *o)
{
	struct fillings fillings = { NULL, 0, 0 };

	o->source = mem_zeroed(o->orders.nneeds, sizeof *o->source);
	for (size_t i = 0; i < o->orders.nneeds; i++) {
		if (!order_fill_is_wood(&o->orders.need[i]))
			continue;
		if (grade_odds_known(&o->under_way.odds))
			o->source[i] = source_of(o, i, &fillings);
		else
			o->source[i].unknown = order_fill_pieces(&o->under_way, o->orders.need[i].item->type);
	}
	fillings_release(&fillings);
}

static void note_match(const struct order_supply *o, const struct order_need *need, struct table *t)
{
	struct buf text = BUF_INIT;

	buf_add(&text, stock_text(o->orders.stock, need->order->id));
	if (need->item->type != STOCK_ANY) {
		buf_char(&text, ' ');
		buf_add(&text, stock_text(o->orders.stock, need->item->type));
	}
	buf_str(&text, ": ");
	order_match_say(&o->match, need->order, need->item, &text);
	table_note(t, buf_slice(&text));
	buf_release(&text);
}

/* Whether pieces of a class or a mass are short, or may be, because nothing is known of that. */
static bool is_notable(const struct order_need *need)
{
	bool unknown = order_has_mass(need->order) && need->open > need->in_stock && !need->lands && need->item->type != STOCK_ANY;

	return order_match_asks(need->order, need->item) && (order_fill_is_wood(need) || unknown);
}

void order_supply_view(struct order_supply *o, struct table *t)
{
	order_supply_fill(o);
	open_orders_view(&o->orders, o->source, t);
	for (size_t i = 0; i < o->orders.nneeds; i++)
		if (is_notable(&o->orders.need[i]))
			note_match(o, &o->orders.need[i], t);
}
