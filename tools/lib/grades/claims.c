#include "grades/claims.h"

#include <math.h>
#include <stdlib.h>

#include "book/line.h"
#include "math/distributions.h"
#include "stock/stock.h"

void claims_init(struct claims *c, struct stock *s, int32_t from, int32_t to)
{
	*c = (struct claims){ .stock = s, .from = from, .to = to };
	odd_lots_init(&c->odd, s, from, to);
}

void claims_release(struct claims *c)
{
	free(c->lot);
	free(c->supplier);
	hash_index_release(&c->index);
	odd_lots_release(&c->odd);
	*c = (struct claims){ .n = 0 };
}

/* ---- taking in */

static struct claim_lot *lot_of(struct claims *c, uint32_t id)
{
	const struct claim_lot *lot = claims_lot(c, id);

	return lot ? &c->lot[lot - c->lot] : NULL;
}

static struct claim_lot *new_lot(struct claims *c, uint32_t id, struct slice supplier)
{
	const struct house *house = c->stock->house;
	struct claim_lot lot = { .id = id, .lot = stock_text(c->stock, id), .currency = -1, .p = NAN };

	lot.supplier = intern_text(&c->stock->ids, intern_id(&c->stock->ids, supplier));
	lot.claim = house_claim(house, supplier);
	lot.promise = house_promise(house, supplier);
	c->lot = mem_grow(c->lot, &c->cap, c->n + 1, sizeof *c->lot);
	c->lot[c->n] = lot;
	hash_index_add(&c->index, hash_near(id, 0), (uint32_t)c->n);
	return &c->lot[c->n++];
}

static void add_price(struct claim_lot *lot, const struct line *l, bool is_first)
{
	const struct item *price = line_item(l, FIELD_PRICE);

	if (!price || (!is_first && lot->currency != price->v.unit)) {
		lot->currency = -1;
		return;
	}
	lot->currency = price->v.unit;
	lot->price += price->v.fix;
}

static void add_claimed(struct claim_lot *lot, const struct line *l, const struct house *house)
{
	const struct field *f = line_field(l, FIELD_CLAIMED);

	for (size_t i = 0; i < f->n; i++) {
		const struct item *item = &l->item[f->first + i];
		int rank = house_claim_rank(house, lot->supplier, item->label);

		if (rank < 0)
			lot->promise = NULL;
		else
			lot->claimed[rank < CLAIM_GRADES ? rank : CLAIM_GRADES - 1] += item->v.fix;
		lot->pieces += item->v.fix;
	}
}

void claims_take(void *context, const struct line *l)
{
	struct claims *c = context;
	struct slice supplier;
	struct claim_lot *lot;
	uint32_t id;
	bool is_first;

	if (l->event->id != EVENT_BUY)
		return;
	supplier = line_word(l, FIELD_FROM);
	id = intern_id(&c->stock->ids, l->subject);
	lot = lot_of(c, id);
	is_first = !lot;
	lot = lot ? lot : new_lot(c, id, supplier);
	if (!line_field(l, FIELD_CLAIMED) || !slice_eq(lot->supplier, supplier))
		lot->unclaimed = true;
	else
		add_claimed(lot, l, c->stock->house);
	add_price(lot, l, is_first);
}

/* ---- what was graded */

static size_t grades_of(const struct claim_lot *lot)
{
	size_t n = lot->promise ? lot->promise->list.n : 0;

	return n < CLAIM_GRADES ? n : CLAIM_GRADES;
}

static double worth_of(const struct house_scheme *scheme, int rank)
{
	return rank >= 0 && (size_t)rank < scheme->worth.n ? scheme->worth.number[rank] : NAN;
}

/* Ranks of what the lot's grades promise in the scheme of a day; false where it lacks one. */
static bool find_ranks(const struct claims *c, const struct claim_lot *lot, int32_t day, int *rank)
{
	for (size_t i = 0; i < grades_of(lot); i++) {
		rank[i] = house_grade_rank(c->stock->house, day, lot->promise->list.word[i]);
		if (rank[i] < 0)
			return false;
	}
	return true;
}

/* `own` is the rank of the blades' grade, or -1 for culled ones. */
static void count(struct claim_lot *lot, const struct house_scheme *scheme, const int *rank, int own, int64_t n)
{
	size_t k = grades_of(lot), met = 0;

	while (met < k && (own < 0 || own > rank[met]))
		met++;
	*(met < k ? &lot->met[met] : &lot->below) += n;
	lot->graded += n;
	if (met < k)
		lot->worth_met += (double)n * worth_of(scheme, rank[met]);
	else if (own >= 0)
		lot->worth_met += (double)n * worth_of(scheme, own);
	for (size_t i = 0; i < k; i++)
		lot->worth_claimed += (double)n * (double)lot->claimed[i] / (double)lot->pieces * worth_of(scheme, rank[i]);
}

void claims_flow(void *context, const struct stock_flow *f)
{
	struct claims *c = context;
	bool lost = f->change == STOCK_LOST;
	int rank[CLAIM_GRADES], own = -1;
	struct claim_lot *lot;

	if (f->op->event->id != EVENT_GRADE)
		return;
	odd_lots_flow(&c->odd, f);
	if ((f->change != STOCK_GONE_ON && !lost) || f->from.grade || f->op->day < c->from || f->op->day > c->to)
		return;
	lot = lot_of(c, f->from.lot);
	if (!lot || lot->unclaimed)
		return;
	if (!lot->promise) {
		lot->graded += f->n;
		return;
	}
	if (!lost)
		own = house_grade_rank(c->stock->house, f->op->day, stock_text(c->stock, f->to.grade));
	if (!find_ranks(c, lot, f->op->day, rank) || (!lost && own < 0)) {
		c->strange += f->n;
		return;
	}
	count(lot, house_scheme_on(c->stock->house, f->op->day), rank, own, f->n);
}

/* ---- what the counts say */

double claim_expected(const struct claim_lot *lot, size_t promise)
{
	double sum = 0;

	for (size_t i = 0; i <= promise; i++)
		sum += lot->expected[i];
	return sum;
}

int64_t claim_met(const struct claim_lot *lot, size_t promise)
{
	int64_t sum = 0;

	for (size_t i = 0; i <= promise; i++)
		sum += lot->met[i];
	return sum;
}

/* The promise met more rarely than claimed by the least chance; the lowest is not looked at, because all pieces were claimed to meet it. */
static void judge(struct claim_lot *lot)
{
	size_t k = grades_of(lot);

	lot->p = NAN;
	if (!lot->graded || k < 2)
		return;
	for (size_t i = 0; i + 1 < k; i++) {
		double share = claim_expected(lot, i) / (double)lot->graded;
		double p = dist_binomial_p(claim_met(lot, i), fmin(share, 1), lot->graded);

		p = fmin(1, p * (double)(k - 1));
		if (isnan(lot->p) || p < lot->p) {
			lot->p = p;
			lot->worst = i;
		}
	}
}

static void settle(struct claim_lot *lot)
{
	for (size_t i = 0; i < grades_of(lot); i++)
		lot->expected[i] = (double)lot->graded * (double)lot->claimed[i] / (double)lot->pieces;
	lot->price_short = lot->currency >= 0 && lot->worth_claimed > 0
		? (double)lot->price * (double)lot->graded / (double)lot->pieces * (1 - lot->worth_met / lot->worth_claimed) : NAN;
	lot->lots = 1;
	judge(lot);
}

static void add_to(struct claim_lot *all, const struct claim_lot *lot)
{
	if (!all->lots)
		all->currency = lot->currency;
	for (size_t i = 0; i < CLAIM_GRADES; i++) {
		all->claimed[i] += lot->claimed[i];
		all->met[i] += lot->met[i];
		all->expected[i] += lot->expected[i];
	}
	all->promise = lot->promise && (all->promise || !all->lots) ? lot->promise : NULL;
	all->below += lot->below;
	all->pieces += lot->pieces;
	all->graded += lot->graded;
	all->worth_claimed += lot->worth_claimed;
	all->worth_met += lot->worth_met;
	all->price += lot->price;
	all->price_short += lot->price_short;
	all->currency = all->currency == lot->currency ? all->currency : -1;
	all->lots++;
}

static int by_lot(const void *a, const void *b)
{
	const struct claim_lot *x = a, *y = b;
	int order = slice_cmp(x->supplier, y->supplier);

	return order ? order : slice_cmp(x->lot, y->lot);
}

static void keep_graded(struct claims *c)
{
	size_t kept = 0;

	for (size_t i = 0; i < c->n; i++) {
		c->unclaimed += c->lot[i].unclaimed && c->lot[i].pieces;
		if (c->lot[i].unclaimed || !c->lot[i].pieces)
			continue;
		if (c->lot[i].graded)
			c->lot[kept++] = c->lot[i];
		else
			c->ungraded++;
	}
	c->n = kept;
}

static bool is_beyond_chance(const struct claim_lot *lot, size_t among)
{
	return !isnan(lot->p) && lot->p * (double)among < 0.05;
}

/* Whether what the supplier falls short by is that of the lots that are short. The lots are first to end - 1. */
static bool is_by_lots(const struct claims *c, size_t first, size_t end)
{
	struct claim_lot rest = { .p = NAN };

	for (size_t i = first; i < end; i++)
		if (!c->lot[i].is_short)
			add_to(&rest, &c->lot[i]);
	judge(&rest);
	return rest.lots && rest.lots < end - first && !is_beyond_chance(&rest, c->nsuppliers);
}

/* Lots have other places after sorting. */
static void renew_index(struct claims *c)
{
	hash_index_clear(&c->index);
	for (size_t i = 0; i < c->n; i++)
		hash_index_add(&c->index, hash_near(c->lot[i].id, 0), (uint32_t)i);
}

static void judge_suppliers(struct claims *c)
{
	size_t first = 0;

	for (size_t i = 0; i < c->nsuppliers; i++) {
		struct claim_lot *all = &c->supplier[i];

		judge(all);
		all->is_short = is_beyond_chance(all, c->nsuppliers);
		all->by_lots = is_by_lots(c, first, first + all->lots);
		first += all->lots;
	}
}

void claims_end(struct claims *c)
{
	keep_graded(c);
	if (c->n)
		qsort(c->lot, c->n, sizeof *c->lot, by_lot);
	renew_index(c);
	c->supplier = mem_zeroed(c->n + 1, sizeof *c->supplier);
	for (size_t i = 0; i < c->n; i++) {
		settle(&c->lot[i]);
		c->lot[i].is_short = is_beyond_chance(&c->lot[i], c->n);
		if (!i || !slice_eq(c->lot[i].supplier, c->lot[i - 1].supplier))
			c->supplier[c->nsuppliers++] = (struct claim_lot){ .supplier = c->lot[i].supplier, .claim = c->lot[i].claim };
		add_to(&c->supplier[c->nsuppliers - 1], &c->lot[i]);
	}
	judge_suppliers(c);
	odd_lots_end(&c->odd, c);
}
