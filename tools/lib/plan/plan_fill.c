#include "plan/plan_fill.h"

#include <math.h>
#include <stdlib.h>

#include "plan/plan.h"
#include "table/table_read.h"

/* What the works has and uses of the blades of a type. */
struct usual {
	uint32_t type;
	double used, has;
};

struct usuals {
	struct usual *row;
	size_t n, cap;
};

static struct usual *usual_of(struct usuals *u, uint32_t type)
{
	for (size_t i = 0; i < u->n; i++)
		if (u->row[i].type == type)
			return &u->row[i];
	u->row = mem_grow(u->row, &u->cap, u->n + 1, sizeof *u->row);
	u->row[u->n] = (struct usual){ .type = type };
	return &u->row[u->n++];
}

/* The blades that a piece of wood becomes, in the mean. */
static double becomes(const struct plan *p, struct grade_odds_wood wood, enum grade_odds_step step)
{
	struct beta odds = grade_odds_of(&p->supply.under_way.odds, wood, STOCK_ANY, step);

	return odds.a > 0 ? odds.a / (odds.a + odds.b) : 0;
}

static double lot_becomes(const struct plan *p, size_t lot)
{
	return becomes(p, plan_wood(p, lot), GRADE_ODDS_KILN);
}

static void add_stock(struct plan *p, struct usuals *u)
{
	struct table t;

	cover_view(&p->cover, &t);
	for (size_t row = 0; row < table_rows(&t); row++) {
		struct usual *one;

		if (!slice_eq(table_word(&t, row, "form"), vocab_form(FORM_BLADE)))
			continue;
		one = usual_of(u, intern_find(&p->stock->ids, table_word(&t, row, "type")));
		one->has += (double)table_count(&t, row, "there");
		one->used += (double)table_count(&t, row, "used_52w");
	}
	table_release(&t);
}

static void add_coming(const struct plan *p, struct usuals *u)
{
	const struct under_way *way = &p->supply.under_way;

	for (size_t i = 0; i < way->nparts; i++)
		usual_of(u, way->part[i].wood.type)->has += (double)way->part[i].n * becomes(p, way->part[i].wood, way->part[i].step);
	for (size_t lot = 0; lot < p->nlots; lot++)
		usual_of(u, p->lot[lot].kind.type)->has += (double)p->planner.lot[lot].taken * lot_becomes(p, lot);
}

/* The first lot of the type that may go into the charge; nlots: none. */
static size_t lot_for(const struct plan *p, size_t charge, uint32_t type)
{
	size_t lot = 0;

	while (lot < p->nlots && (p->lot[lot].kind.type != type || !planner_fits(&p->planner, charge, lot)))
		lot++;
	return lot;
}

/* The type that runs out first of those that have wood for the charge; NULL: none. */
static struct usual *neediest(const struct plan *p, const struct usuals *u, size_t charge)
{
	struct usual *least = NULL;

	for (size_t i = 0; i < u->n; i++) {
		struct usual *row = &u->row[i];

		if (row->used > 0 && lot_for(p, charge, row->type) < p->nlots && (!least || row->has / row->used < least->has / least->used))
			least = row;
	}
	return least;
}

void plan_fill(struct plan *p)
{
	struct usuals u = { NULL, 0, 0 };
	struct usual *next;

	add_stock(p, &u);
	add_coming(p, &u);
	for (size_t charge = 0; charge < p->planner.ncharges; charge++)
		while ((next = neediest(p, &u, charge))) {
			size_t lot = lot_for(p, charge, next->type);

			planner_take(&p->planner, charge, lot, 1);
			p->filled[charge * p->nlots + lot]++;
			next->has += lot_becomes(p, lot);
		}
	free(u.row);
}
