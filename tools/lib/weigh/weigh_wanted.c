#include "weigh/weigh_wanted.h"

#include <math.h>
#include <stdlib.h>


void weigh_wanted_release(struct wanted *w)
{
	free(w->piece);
	free(w->lot);
	memset(w, 0, sizeof *w);
}

enum weigh_order weigh_ask_order(struct weigh_ask *ask, struct weigh_parts *parts, struct slice name, int64_t *wanted)
{
	uint32_t id = intern_find(&parts->stock->ids, name);
	const struct order *order = id ? orders_find(&parts->orders, id) : NULL;

	if (!order)
		return WEIGH_ORDER_UNKNOWN;
	if (order->mass_least == INT64_MIN && order->mass_most == INT64_MAX)
		return WEIGH_ORDER_NO_MASS;
	ask->low = order->mass_least;
	ask->high = order->mass_most;
	ask->item = order->item;
	ask->nitems = order->nitems;
	*wanted = 0;
	for (size_t i = 0; i < order->nitems; i++)
		*wanted += order->item[i].wanted;
	return WEIGH_ORDER_FOUND;
}

/* ---- one piece */

static bool fits(uint32_t asked, uint32_t is)
{
	return asked == STOCK_ANY || asked == is;
}

static bool is_asked(const struct weigh_ask *ask, const struct blade_kind *k)
{
	for (size_t i = 0; i < ask->nitems; i++)
		if (fits(ask->item[i].type, k->type) && fits(ask->item[i].grade, k->grade) && fits(ask->item[i].class, k->class))
			return true;
	return ask->nitems == 0;
}

/* Whether some of these are asked for and there. */
static bool any_asked(const struct weigh_ask *ask, const struct blade_kind *k, size_t n)
{
	for (size_t i = 0; i < n; i++)
		if (k[i].here && is_asked(ask, &k[i]))
			return true;
	return false;
}

/* The kinds that a piece can be, summed. */
struct sum {
	double ever, asked, chance; /* chance: of those asked for, times their number */
	int64_t most;
};

static void sum_kind(struct wanted *w, const struct weigh_parts *parts, const struct weigh_ask *ask, const struct blade_kind *k, struct wanted_piece *p,
	struct sum *sum)
{
	uint32_t class = p->blank->class ? p->blank->class : k->class;

	if (!is_asked(ask, k) || !k->here)
		return;
	sum->asked += (double)k->here;
	sum->chance += (double)k->here * landing_of_blank(parts, ask, p->blank, k->type, class, w->low_g, w->high_g);
	if (k->here > sum->most) {
		sum->most = k->here;
		p->kind = k;
		p->use = mass_lines_at(&parts->lines, landing_key(parts, ask, k->type, class), p->blank->mass_g, &p->at);
	}
}

/* A piece that may be there takes its part of each kind that it can be. */
static void add_piece(struct wanted *w, const struct weigh_parts *parts, const struct weigh_ask *ask, const struct blank *blank, double *listed)
{
	struct wanted_piece p = { .blank = blank };
	struct sum sum = { .ever = 0 };
	size_t n;
	const struct blade_kind *k = blade_stock_of(&parts->blades, blank->lot, &n);

	if (!any_asked(ask, k, n))
		return;
	for (size_t i = 0; i < n; i++)
		if (blade_stock_can_be(&parts->blades, &k[i], blank))
			sum.ever += blade_kind_ever(&k[i], blank);
	for (size_t i = 0; i < n && sum.ever > 0; i++)
		if (blade_stock_can_be(&parts->blades, &k[i], blank)) {
			sum_kind(w, parts, ask, &k[i], &p, &sum);
			if (k[i].here)
				listed[k[i].at] += (double)k[i].here / sum.ever;
		}
	if (!p.kind)
		return;
	p.there = sum.asked / sum.ever;
	p.chance = sum.chance / sum.asked;
	w->piece = mem_grow(w->piece, &w->pieces_cap, w->npieces + 1, sizeof *w->piece);
	w->piece[w->npieces++] = p;
}

/* Best first; what has no chance, last. */
static int by_chance(const void *a, const void *b)
{
	const struct wanted_piece *x = a, *y = b;
	double p = isnan(x->chance) ? -1 : x->there * x->chance, q = isnan(y->chance) ? -1 : y->there * y->chance;

	if (p != q)
		return p > q ? -1 : 1;
	return slice_cmp(x->blank->name, y->blank->name);
}

static void sum_pieces(struct wanted *w)
{
	for (size_t i = 0; i < w->npieces; i++) {
		const struct wanted_piece *p = &w->piece[i];

		w->there += p->there;
		w->unknown += isnan(p->chance) ? p->there : 0;
		w->expected += isnan(p->chance) ? 0 : p->there * p->chance;
	}
}

/* ---- the others */

static void add_lot(struct wanted *w, struct weigh_parts *parts, const struct weigh_ask *ask, const struct blade_kind *k, double pieces)
{
	struct wanted_lot lot = { stock_text(parts->stock, k->lot), k, pieces, landing_kept(parts, ask, k->type, k->class, w->low_g, w->high_g) };

	w->lot = mem_grow(w->lot, &w->lots_cap, w->nlots + 1, sizeof *w->lot);
	w->lot[w->nlots++] = lot;
}

/* Kinds of one lot are in the order of their words. */
static int by_expected(const void *a, const void *b)
{
	const struct wanted_lot *x = a, *y = b;
	double p = isnan(x->landing.chance) ? -1 : x->pieces * x->landing.chance, q = isnan(y->landing.chance) ? -1 : y->pieces * y->landing.chance;
	int order = slice_cmp(x->name, y->name);

	if (p != q)
		return p > q ? -1 : 1;
	return order ? order : x->kind < y->kind ? -1 : x->kind > y->kind;
}

static void sum_lots(struct wanted *w)
{
	for (size_t i = 0; i < w->nlots; i++) {
		const struct wanted_lot *lot = &w->lot[i];

		w->lots_pieces += lot->pieces;
		w->lots_expected += isnan(lot->landing.chance) ? 0 : lot->pieces * lot->landing.chance;
		w->unknown += isnan(lot->landing.chance) ? lot->pieces : 0;
	}
}

/* ---- the whole */

static void set_range(struct wanted *w, const struct weigh_ask *ask)
{
	double half_g = (double)w->step / 2e6;

	w->low_g = ask->low == INT64_MIN ? -INFINITY : (double)ask->low / 1e6 - half_g;
	w->high_g = ask->high == INT64_MAX ? INFINITY : (double)ask->high / 1e6 + half_g;
}

static void find_pieces(struct wanted *w, const struct weigh_parts *parts, const struct weigh_ask *ask, double *listed)
{
	for (size_t i = 0; i < parts->nleft; i++)
		add_piece(w, parts, ask, &parts->blanks.row[parts->left[i]], listed);
	if (w->npieces && (ask->low != INT64_MIN || ask->high != INT64_MAX))
		qsort(w->piece, w->npieces, sizeof *w->piece, by_chance);
	sum_pieces(w);
}

void weigh_wanted_find(struct wanted *w, struct weigh_parts *parts, const struct weigh_ask *ask)
{
	double *listed = mem_zeroed(parts->blades.nhere, sizeof *listed); /* of the kinds that are here */

	*w = (struct wanted){ .step = weigh_book_step(&parts->book) };
	set_range(w, ask);
	find_pieces(w, parts, ask, listed);
	for (size_t i = 0; i < parts->blades.nhere; i++) {
		const struct blade_kind *k = &parts->blades.kind[parts->blades.here[i]];
		double pieces = (double)k->here - listed[i];

		if (pieces > 1e-9 && is_asked(ask, k))
			add_lot(w, parts, ask, k, pieces);
	}
	if (w->nlots)
		qsort(w->lot, w->nlots, sizeof *w->lot, by_expected);
	sum_lots(w);
	free(listed);
}
