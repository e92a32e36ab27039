#include "supply/order_match.h"

#include <math.h>
#include <stdlib.h>

#include "stock/open_orders.h"

/* So many asks are kept: orders that fall due one after another ask for the same. */
enum { MATCH_KEPT = 8 };

/* The masses of how many of the pieces of a kind land, by how many are left of it; 0: not yet found. */
struct match_lot {
	int64_t n;
	double *mass;
};

/* What blades can serve does not change while they are given; many orders ask for the same. */
struct match_wanted {
	struct order_item item;
	int64_t low, high;
	struct wanted is;
	struct match_lot *lot;     /* of each of its lots */
};

static void match_wanted_release(struct match_wanted *w)
{
	for (size_t i = 0; i < w->is.nlots; i++)
		free(w->lot[i].mass);
	free(w->lot);
	weigh_wanted_release(&w->is);
}

static void release_wanted(struct order_match *m)
{
	for (size_t i = 0; i < m->nwanted && i < MATCH_KEPT; i++)
		match_wanted_release(&m->wanted[i]);
	free(m->wanted);
}

void order_match_init(struct order_match *m, const struct house *house, struct stock *stock, int32_t today)
{
	*m = (struct order_match){ .asked = false };
	weigh_parts_init(&m->weigh, house, stock, today);
}

void order_match_release(struct order_match *m)
{
	release_wanted(m);
	free(m->kind_of);
	class_odds_release(&m->classes);
	weigh_parts_release(&m->weigh);
}

void order_match_add(struct order_match *m, const struct line *l)
{
	weigh_parts_take(&m->weigh, l);
}

bool order_match_asks(const struct order *order, const struct order_item *item)
{
	return item->class != STOCK_ANY || order_has_mass(order);
}

void order_match_begin(struct order_match *m)
{
	const struct orders *o = &m->weigh.orders;

	for (size_t i = 0; i < o->n && !m->asked; i++)
		for (size_t k = 0; k < o->row[i].nitems; k++)
			m->asked |= order_match_asks(&o->row[i], &o->row[i].item[k]);
}

void order_match_flow(struct order_match *m, const struct stock_flow *flow)
{
	if (m->asked)
		blade_stock_flow(&m->weigh.blades, flow);
}

void order_match_end(struct order_match *m)
{
	if (!m->asked)
		return;
	weigh_parts_end(&m->weigh);
	weigh_parts_fit(&m->weigh, NAN, MASS_BY_TYPE, 0);
	class_odds_find(&m->classes, &m->weigh);
}

/* ---- blades that are still to come */

/* The range of masses, with what rounds into it. */
static struct wanted range_of(const struct order_match *m, const struct order *order)
{
	struct wanted w = { .step = weigh_book_step(&m->weigh.book) };
	double half_g = (double)w.step / 2e6;

	w.low_g = order->mass_least == INT64_MIN ? -INFINITY : (double)order->mass_least / 1e6 - half_g;
	w.high_g = order->mass_most == INT64_MAX ? INFINITY : (double)order->mass_most / 1e6 + half_g;
	return w;
}

static uint32_t class_of(const struct order_item *item)
{
	return item->class == STOCK_ANY ? 0 : item->class;
}

static struct landing find_landing(struct order_match *m, const struct order *order, const struct order_item *item, uint32_t type)
{
	struct wanted range = range_of(m, order);

	return landing_kept(&m->weigh, NULL, type, class_of(item), range.low_g, range.high_g);
}

struct beta order_match_odds(struct order_match *m, const struct order *order, const struct order_item *item, uint32_t type, double lots)
{
	struct beta odds = { 1, 0 };
	struct landing landing;

	if (item->class != STOCK_ANY)
		odds = class_odds_of(&m->classes, type, item->grade, item->class, lots);
	if (!order_has_mass(order))
		return odds;
	landing = find_landing(m, order, item, type);
	return beta_product(odds, landing_odds(&landing, lots));
}

static void say_mass(struct landing landing, struct buf *out)
{
	if (landing.basis == WANTED_UNKNOWN)
		buf_str(out, "too few were weighed to know which will have the mass, so any counts");
	else
		buf_printf(out, "the mass by %zu %s", landing.of, wanted_basis_words[landing.basis]);
}

void order_match_say(const struct order_match *m, const struct order *order, const struct order_item *item, struct buf *out)
{
	bool classed = item->class != STOCK_ANY;
	struct wanted range;

	if (classed)
		buf_printf(out, "the class by %lld pieces that have one", (long long)class_odds_seen(&m->classes, item->type, item->grade));
	if (!order_has_mass(order) || item->type == STOCK_ANY)
		return;
	buf_str(out, classed ? ", " : "");
	range = range_of(m, order);
	say_mass(landing_of(&m->weigh, NULL, item->type, class_of(item), range.low_g, range.high_g), out);
}

/* ---- blades in stock */

/* What part of each kind no order has yet, by the kind's place among those that are here. */
struct kind_left {
	int64_t left, there;
};

/* Of each piece that can be given, the kind, one more than its place; the pieces stay what they are while they are given. */
static void find_kinds(struct order_match *m, const struct open_orders *o)
{
	if (m->kind_of)
		return;
	m->kind_of = mem_zeroed(o->npieces + 1, sizeof *m->kind_of);
	for (size_t i = 0; i < o->npieces; i++) {
		const struct stock_kind *is = &o->piece[i].kind;
		const struct blade_kind *k = is->form == FORM_BLADE ? blade_stock_kind(&m->weigh.blades, is) : NULL;

		m->kind_of[i] = k && k->here ? (uint32_t)k->at + 1 : 0;
	}
}

static struct kind_left *find_left(struct order_match *m, const struct open_orders *o)
{
	struct kind_left *kinds = mem_zeroed(m->weigh.blades.nhere + 1, sizeof *kinds);

	find_kinds(m, o);
	for (size_t i = orders_first_of(o->piece, o->npieces, FORM_BLADE); i < o->npieces && o->piece[i].kind.form == FORM_BLADE; i++)
		if (m->kind_of[i]) {
			kinds[m->kind_of[i] - 1].left += o->piece[i].n;
			kinds[m->kind_of[i] - 1].there += o->piece[i].there;
		}
	return kinds;
}

struct gathering {
	struct order_match *m;
	const struct order *order;
	const struct order_item *item;
	double *sum;               /* masses 0 to `most` */
	int64_t most;
	struct kind_left *kinds;
};

static double left_of(const struct gathering *g, const struct blade_kind *k)
{
	const struct kind_left *kind = &g->kinds[k->at];

	return kind->there ? (double)kind->left / (double)kind->there : 0;
}

static double *masses_of(struct beta odds, int64_t n)
{
	double *mass = mem_array((size_t)n + 1, sizeof *mass);

	beta_binomial_masses(odds, n, mass);
	return mass;
}

/* Adds n pieces of which such a part lands. */
static void gather(struct gathering *g, struct beta odds, int64_t n)
{
	double *mass;

	if (n <= 0)
		return;
	mass = masses_of(odds, n);
	masses_gather(g->sum, g->most, mass, n);
	free(mass);
}

/* The same for the pieces of a kind: from one order to the next, few are other. */
static void gather_lot(struct gathering *g, const struct wanted_lot *lot, struct match_lot *kept)
{
	int64_t n = (int64_t)floor(lot->pieces * left_of(g, lot->kind) + 1e-9);

	if (n <= 0)
		return;
	if (n != kept->n) {
		free(kept->mass);
		*kept = (struct match_lot){ n, masses_of(landing_odds(&lot->landing, 1), n) };
	}
	masses_gather(g->sum, g->most, kept->mass, n);
}

/* A piece that is there, and lands, with such a chance. */
static void gather_one(struct gathering *g, double chance)
{
	const double mass[] = { 1 - chance, chance };

	masses_gather(g->sum, g->most, mass, 1);
}

static struct beta odds_of(struct gathering *g, uint32_t type)
{
	struct landing landing = find_landing(g->m, g->order, g->item, type);

	return landing_odds(&landing, 1);
}

static double mean_of(struct beta b)
{
	return b.a / (b.a + b.b);
}

static bool same_wanted(const struct match_wanted *w, const struct gathering *g)
{
	return w->item.type == g->item->type && w->item.grade == g->item->grade && w->item.class == g->item->class &&
		w->low == g->order->mass_least && w->high == g->order->mass_most;
}

static const struct match_wanted *find_wanted(struct gathering *g)
{
	const struct weigh_ask ask = { .item = g->item, .nitems = 1, .low = g->order->mass_least, .high = g->order->mass_most };
	struct order_match *m = g->m;
	struct match_wanted *w;

	if (!m->wanted)
		m->wanted = mem_zeroed(MATCH_KEPT, sizeof *m->wanted);
	for (size_t i = 0; i < m->nwanted && i < MATCH_KEPT; i++)
		if (same_wanted(&m->wanted[i], g))
			return &m->wanted[i];
	w = &m->wanted[m->nwanted++ % MATCH_KEPT];
	match_wanted_release(w);
	*w = (struct match_wanted){ .item = *g->item, .low = ask.low, .high = ask.high };
	weigh_wanted_find(&w->is, &m->weigh, &ask);
	w->lot = mem_zeroed(w->is.nlots + 1, sizeof *w->lot);
	return w;
}

static void gather_blades(struct gathering *g)
{
	const struct match_wanted *w = find_wanted(g);

	for (size_t i = 0; i < w->is.npieces; i++) {
		const struct wanted_piece *p = &w->is.piece[i];
		double lands = isnan(p->chance) ? mean_of(odds_of(g, p->kind->type)) : p->chance;

		gather_one(g, p->kind->grade ? p->there * lands * left_of(g, p->kind) : 0);
	}
	for (size_t i = 0; i < w->is.nlots; i++)
		if (w->is.lot[i].kind->grade)
			gather_lot(g, &w->is.lot[i], &w->lot[i]);
}

/* Bats that were made and not weighed. */
static void gather_bats(struct gathering *g, const struct open_orders *o)
{
	for (size_t i = 0; i < o->npieces && o->piece[i].kind.form == FORM_BAT; i++) {
		const struct order_piece *piece = &o->piece[i];

		if (piece->n > 0 && order_use(g->order, g->item, piece) == ORDER_TO_MAKE)
			gather(g, odds_of(g, piece->kind.type), piece->n);
	}
}

double *order_match_lands(void *context, const struct open_orders *o, const struct order *order, const struct order_item *item, int64_t most)
{
	struct gathering g = { context, order, item, NULL, most, NULL };

	if (item->type != STOCK_ANY && find_landing(context, order, item, item->type).basis == WANTED_UNKNOWN)
		return NULL;
	g.sum = mem_zeroed((size_t)most + 1, sizeof *g.sum);
	g.sum[0] = 1;
	g.kinds = find_left(g.m, o);
	gather_blades(&g);
	free(g.kinds);
	gather_bats(&g, o);
	return g.sum;
}
