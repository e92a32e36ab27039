#include "plan/buying.h"

#include <math.h>
#include <stdlib.h>

#include "house/house.h"
#include "plan/buying_mix.h"
#include "plan/buying_odds.h"
#include "plan/plan.h"
#include "supply/free_pieces.h"
#include "table/table_read.h"

/* ---- what is wanted */

static struct buying_want *want_of(struct buying *b, uint32_t type, uint32_t grade)
{
	for (size_t i = 0; i < b->nwants; i++)
		if (b->want[i].type == type && b->want[i].grade == grade && !b->want[i].need)
			return &b->want[i];
	b->want = mem_grow(b->want, &b->wants_cap, b->nwants + 1, sizeof *b->want);
	b->want[b->nwants] = (struct buying_want){ .type = type, .grade = grade };
	return &b->want[b->nwants++];
}

/* The want of a row of a table about pieces; NULL: they are no graded blades. */
static struct buying_want *want_in(struct buying *b, const struct plan *p, const struct table *t, size_t row)
{
	if (!slice_eq(table_word(t, row, "form"), vocab_form(FORM_BLADE)) || !table_has(t, row, "grade"))
		return NULL;
	return want_of(b, intern_find(&p->stock->ids, table_word(t, row, "type")), intern_find(&p->stock->ids, table_word(t, row, "grade")));
}

static void add_cells(struct buying *b, const struct plan *p, const struct table *t, const char *used, const char *left)
{
	for (size_t row = 0; row < table_rows(t); row++) {
		struct buying_want *w = want_in(b, p, t, row);

		if (!w)
			continue;
		w->used += used ? table_count(t, row, used) : 0;
		w->free += left ? table_count(t, row, left) : 0;
	}
}

static void add_stock(struct buying *b, struct plan *p)
{
	struct table cover, pieces;

	cover_view(&p->cover, &cover);
	add_cells(b, p, &cover, "used_52w", NULL);
	free_pieces_view(&p->supply, &pieces);
	add_cells(b, p, &pieces, NULL, "free");
	table_release(&cover);
	table_release(&pieces);
}

static void add_need(struct buying *b, const struct plan *p, size_t i)
{
	const struct order_need *need = plan_need(p, i);

	b->want = mem_grow(b->want, &b->wants_cap, b->nwants + 1, sizeof *b->want);
	b->want[b->nwants++] = (struct buying_want){ .type = need->item->type, .grade = need->item->grade, .need = need, .at = p->need[i] + 1,
		.short_of = need->missing };
}

/* Orders for any type or grade have no want of their own. */
static void add_orders(struct buying *b, const struct plan *p)
{
	for (size_t i = 0; i < p->planner.nneeds; i++) {
		const struct order_need *need = plan_need(p, i);

		if (!need->missing || need->item->type == STOCK_ANY || need->item->grade == STOCK_ANY)
			continue;
		want_of(b, need->item->type, need->item->grade)->short_of += need->missing;
		if (order_match_asks(need->order, need->item))
			add_need(b, p, i);
	}
}

/* Adds the blades that the wood in the yard, loaded or not, will become. */
static void gather_yard(struct plan *p, struct buying_want *w)
{
	for (size_t lot = 0; lot < p->nlots; lot++) {
		const struct plan_lot *l = &p->lot[lot];
		int64_t n = l->n + l->resting;
		double *mass;

		if (l->kind.type != w->type || !n)
			continue;
		mass = mem_array((size_t)n + 1, sizeof *mass);
		beta_binomial_masses(buying_odds_of_lots(p, w, plan_wood(p, lot), 1), n, mass);
		masses_gather(w->coming, w->most, mass, n);
		free(mass);
	}
}

static int64_t most_of(const struct plan *p, const struct buying_want *w)
{
	int64_t n = order_fill_pieces(&p->supply.under_way, w->type) + BUYING_MOST + 1;

	for (size_t lot = 0; lot < p->nlots; lot++)
		n += p->lot[lot].kind.type == w->type ? p->lot[lot].n + p->lot[lot].resting : 0;
	return n < w->wanted ? n : w->wanted;
}

static void settle_want(struct plan *p, struct buying_want *w)
{
	w->wanted = w->need ? order_fill_others(&p->supply.orders, w->at - 1) + order_fill_wanted(w->need) : w->used + w->short_of - w->free;
	w->wanted = w->wanted > 0 ? w->wanted : 0;
	w->most = most_of(p, w);
	w->coming = w->need ? order_fill_coming(&p->supply, w->need, w->most) :
		order_fill_masses(&p->supply.under_way, w->type, w->grade, w->most);
	gather_yard(p, w);
	w->chance = w->coming[w->most];
}

static int by_type(const struct plan *p, const struct buying_want *x, const struct buying_want *y)
{
	struct slice a = stock_text(p->stock, x->grade), b = stock_text(p->stock, y->grade);
	int order = slice_cmp(stock_text(p->stock, x->type), stock_text(p->stock, y->type));
	int first = house_grade_order(p->house, p->ask->today, a), second = house_grade_order(p->house, p->ask->today, b);

	order = order ? order : (first > second) - (first < second);
	order = order ? order : slice_cmp(a, b);
	return order ? order : (x->at > y->at) - (x->at < y->at);
}

/* There are few. */
static void sort_wants(struct buying *b, const struct plan *p)
{
	for (size_t i = 1; i < b->nwants; i++) {
		struct buying_want w = b->want[i];
		size_t at = i;

		for (; at && by_type(p, &b->want[at - 1], &w) > 0; at--)
			b->want[at] = b->want[at - 1];
		b->want[at] = w;
	}
}

/* ---- how many pieces */

static double chance_with(struct plan *p, const struct buying_want *w, struct grade_odds_wood wood, int64_t n)
{
	double *mass = mem_array((size_t)n + 1, sizeof *mass), *sum = mem_array((size_t)w->most + 1, sizeof *sum), chance;

	beta_binomial_masses(buying_odds(p, w, wood, n), n, mass);
	memcpy(sum, w->coming, ((size_t)w->most + 1) * sizeof *sum);
	masses_gather(sum, w->most, mass, n);
	chance = sum[w->most];
	free(mass);
	free(sum);
	return chance;
}

/* The least number with which the want has its chance; BUYING_MOST + 1: there is none. */
static int64_t fewest(struct plan *p, const struct buying_want *w, struct grade_odds_wood wood)
{
	int64_t low = -1, high = 1;

	if (w->chance >= p->ask->chance)
		return 0;
	while (high < BUYING_MOST && chance_with(p, w, wood, high) < p->ask->chance) {
		low = high;
		high = 2 * high < BUYING_MOST ? 2 * high : BUYING_MOST;
	}
	if (high == BUYING_MOST && chance_with(p, w, wood, high) < p->ask->chance)
		return BUYING_MOST + 1;
	while (high - low > 1) {
		int64_t middle = low + (high - low) / 2;

		if (chance_with(p, w, wood, middle) >= p->ask->chance)
			high = middle;
		else
			low = middle;
	}
	return high;
}

/* ---- sources, and what their pieces cost */

/* The source that an entry for timber paid; 0: none, or several. */
static uint32_t paid_source(const struct plan *p, const struct cost_entry *e)
{
	const struct under_way *u = &p->supply.under_way;
	uint32_t parcel;

	if (e->role & (COST_LOT | COST_POOL))
		return grade_odds_source(&u->odds, e->subject);
	if (e->role & COST_PARCEL)
		return e->subject;
	if (!(e->role & COST_TREE))
		return 0;
	parcel = provenance_tree_key(&u->origins, e->subject, PROVENANCE_PARCEL);
	return parcel ? parcel : provenance_tree_key(&u->origins, e->subject, PROVENANCE_SUPPLIER);
}

static double price_of(const struct plan *p, uint32_t source)
{
	const struct cost_book *book = &p->parts.costing.book;
	int64_t paid = 0;

	for (size_t i = 0; i < book->n && !book->nwrong; i++)
		if (book->element[book->entry[i].element].use == COST_FOR_TIMBER && paid_source(p, &book->entry[i]) == source)
			paid += book->entry[i].amount;
	return paid > 0 ? (double)paid / (double)p->born[source].n : (double)NAN;
}

static void add_row(struct buying *b, struct plan *p, size_t first, size_t end, uint32_t source)
{
	struct grade_odds_wood wood = { b->want[first].type, source };
	struct beta any = grade_odds_of(&p->supply.under_way.odds, wood, STOCK_ANY, GRADE_ODDS_KILN);
	struct buying_row row = { .type = wood.type, .source = source, .past = (size_t)p->born[source].n, .decides = first, .price = price_of(p, source) };

	for (size_t i = first; i < end; i++) {
		int64_t n = b->want[i].wanted ? fewest(p, &b->want[i], wood) : 0;

		if (n > row.count) {
			row.count = n;
			row.decides = i;
		}
	}
	if (!row.count)
		return;
	row.expected = (double)row.count * any.a / (any.a + any.b);
	b->row = mem_grow(b->row, &b->cap, b->n + 1, sizeof *b->row);
	b->row[b->n++] = row;
}

static double cost_of(const struct buying_row *row)
{
	return row->count > BUYING_MOST ? (double)NAN : row->price * (double)row->count;
}

static void mark_cheapest(struct buying *b, size_t first)
{
	size_t least = b->n;

	for (size_t i = first; i < b->n; i++)
		if (!isnan(cost_of(&b->row[i])) && (least == b->n || cost_of(&b->row[i]) < cost_of(&b->row[least])))
			least = i;
	if (least < b->n)
		b->row[least].cheapest = true;
}

/* The source of the least name that comes after one; 0: none. */
static uint32_t next_source(const struct plan *p, uint32_t after)
{
	uint32_t next = 0;

	for (uint32_t id = 1; id < p->born_cap; id++)
		if (p->born[id].n && (!after || slice_cmp(stock_text(p->stock, id), stock_text(p->stock, after)) > 0)
			&& (!next || slice_cmp(stock_text(p->stock, id), stock_text(p->stock, next)) < 0))
			next = id;
	return next;
}

void buying_find(struct buying *b, struct plan *p)
{
	*b = (struct buying){ .n = 0 };
	if (!grade_odds_known(&p->supply.under_way.odds))
		return;
	add_stock(b, p);
	add_orders(b, p);
	sort_wants(b, p);
	for (size_t i = 0; i < b->nwants; i++)
		settle_want(p, &b->want[i]);
	for (size_t first = 0, end; first < b->nwants; first = end) {
		size_t rows = b->n;

		for (end = first + 1; end < b->nwants && b->want[end].type == b->want[first].type;)
			end++;
		for (uint32_t source = next_source(p, 0); source; source = next_source(p, source))
			if (plan_gave(p, source, b->want[first].type))
				add_row(b, p, first, end, source);
		mark_cheapest(b, rows);
		buying_mix_find(b, p, (struct buying_type){ first, end, rows, b->n });
	}
}

void buying_release(struct buying *b)
{
	for (size_t i = 0; i < b->nwants; i++)
		free(b->want[i].coming);
	free(b->want);
	free(b->mix);
	free(b->part);
	free(b->row);
	*b = (struct buying){ .n = 0 };
}
