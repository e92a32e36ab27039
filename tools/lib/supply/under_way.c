#include "supply/under_way.h"

#include <math.h>
#include <stdlib.h>

#include "dry/snapshot.h"
#include "house/house_open.h"

void under_way_init(struct under_way *u, const struct house *house, const struct zone *zone, struct stock *stock, int32_t today)
{
	memset(u, 0, sizeof *u);
	u->stock = stock;
	u->today = today;
	provenance_init(&u->origins, &stock->ids);
	u->no_house = house ? NULL : house_read(SLICE(""), NULL, NULL);
	charges_init(&u->charges, house ? house : u->no_house, zone);
}

void under_way_release(struct under_way *u)
{
	kept_snapshots_release(&u->kept);
	history_release(&u->history);
	grade_odds_release(&u->odds);
	provenance_release(&u->origins);
	charges_release(&u->charges);
	house_free(u->no_house);
	free(u->part);
	free(u->ready);
	memset(u, 0, sizeof *u);
}

void under_way_add(struct under_way *u, const struct line *l, int64_t utc_s)
{
	provenance_add(&u->origins, l);
	charges_add(&u->charges, l, utc_s);
}

void under_way_begin(struct under_way *u)
{
	provenance_end(&u->origins);
	grade_odds_init(&u->odds, u->no_house ? NULL : u->charges.house, u->stock, &u->origins, u->today);
	charge_stock_init(&u->held, &u->charges, u->stock);
}

void under_way_flow(void *context, const struct stock_flow *flow)
{
	struct under_way *u = context;

	grade_odds_flow(&u->odds, flow);
	charge_stock_flow(&u->held, flow);
}

/* ---- the pieces */

static void add_part(struct under_way *u, const struct stage_cell *c)
{
	static const enum grade_odds_step STEP[] = { [STAGE_KILN] = GRADE_ODDS_KILN, [STAGE_PLANE] = GRADE_ODDS_PLANE, [STAGE_GRADE] = GRADE_ODDS_GRADE };
	struct under_way_part part;

	if ((c->step != STAGE_KILN && c->step != STAGE_PLANE && c->step != STAGE_GRADE) || c->n[STAGE_STILL] <= 0)
		return;
	part = (struct under_way_part){ .charge = c->who.charge, .wood = { c->who.type, grade_odds_source(&u->odds, c->who.lot) }, .step = STEP[c->step],
		.n = c->n[STAGE_STILL] };
	part.name[0] = stock_text(u->stock, part.charge);
	part.name[1] = stock_text(u->stock, part.wood.type);
	part.name[2] = stock_text(u->stock, part.wood.source);
	u->part = mem_grow(u->part, &u->parts_cap, u->nparts + 1, sizeof *u->part);
	u->part[u->nparts++] = part;
}

static int by_name(const void *a, const void *b)
{
	const struct under_way_part *x = a, *y = b;

	for (int i = 0; i < 3; i++) {
		int order = slice_cmp(x->name[i], y->name[i]);

		if (order)
			return order;
	}
	return (x->step > y->step) - (x->step < y->step);
}

/* Sorts the parts, and makes one of those that differ in the lot alone. */
static void join_parts(struct under_way *u)
{
	size_t n = 0;

	if (u->nparts)
		qsort(u->part, u->nparts, sizeof *u->part, by_name);
	for (size_t i = 0; i < u->nparts; i++) {
		if (n && !by_name(&u->part[n - 1], &u->part[i]))
			u->part[n - 1].n += u->part[i].n;
		else
			u->part[n++] = u->part[i];
	}
	u->nparts = n;
}

void under_way_settle(struct under_way *u)
{
	charge_stock_end(&u->held);
	history_init(&u->history, &u->charges);
	kept_snapshots_init(&u->kept, &u->history);
}

void under_way_end(struct under_way *u)
{
	grade_odds_end(&u->odds);
	for (size_t i = 0; i < u->odds.stages.ncells; i++)
		add_part(u, &u->odds.stages.cell[i]);
	join_parts(u);
}

/* ---- when they are ready */

static int32_t ready_day(const struct under_way *u, const struct dry_case *c, double days)
{
	return isfinite(days) ? charges_day(&u->charges, c->load_s + llround(days * DAY_S)) : INT32_MAX;
}

static struct under_way_ready ready_now(const struct under_way *u, uint32_t charge)
{
	return (struct under_way_ready){ charge, u->today, u->today, u->today, 0, true, { 1 } };
}

static struct under_way_ready forecast_of(struct under_way *u, uint32_t charge, const struct dry_case *c)
{
	int64_t now_s = charges_day_end(&u->charges, u->today);
	const struct dry_snapshot *s = kept_snapshots_at(&u->kept, c, now_s, false);
	struct under_way_ready ready = { .charge = charge, .day = INT32_MAX, .low = INT32_MAX, .high = INT32_MAX };

	if (s->verdict == DRY_READY || s->verdict == DRY_EMPTIED)
		return ready_now(u, charge);
	s = kept_snapshots_at(&u->kept, c, now_s, true);
	if (s->forecast.never >= 0 && !s->never) {
		struct dry_ready_days days = dry_ready_days(s, &s->forecast);

		ready = (struct under_way_ready){ charge, ready_day(u, c, days.median), ready_day(u, c, days.low90), ready_day(u, c, days.high90),
			s->forecast.never, true, { 0 } };
		memcpy(ready.seen, s->seen.share, sizeof ready.seen);
	}
	return ready;
}

void under_way_learn(struct under_way *u)
{
	int64_t now_s = charges_day_end(&u->charges, u->today);

	for (size_t i = 0; i < u->charges.n; i++)
		if (u->charges.cases[i].load_s < now_s && u->charges.cases[i].end_s >= now_s) {
			history_prior_at(&u->history, now_s);
			return;
		}
}

/* Who asks for one charge mostly asks for all. */
static void expect_all(struct under_way *u)
{
	int64_t now_s = charges_day_end(&u->charges, u->today);
	const struct dry_case **open = mem_array(u->charges.n, sizeof *open);
	size_t n = 0;

	for (size_t i = 0; i < u->charges.n; i++) {
		const struct dry_case *c = &u->charges.cases[i];

		if (c->held > 0 && c->load_s < now_s && c->end_s >= now_s)
			open[n++] = c;
	}
	kept_snapshots_expect(&u->kept, open, n, now_s);
	free(open);
}

struct under_way_ready under_way_ready(struct under_way *u, uint32_t charge)
{
	const struct dry_case *c = charges_case(&u->charges, stock_text(u->stock, charge));
	struct under_way_ready ready = ready_now(u, charge);

	for (size_t i = 0; i < u->nready; i++)
		if (u->ready[i].charge == charge)
			return u->ready[i];
	if (!u->nready)
		expect_all(u);
	if (c && c->held > 0)
		ready = forecast_of(u, charge, c);
	u->ready = mem_grow(u->ready, &u->ready_cap, u->nready + 1, sizeof *u->ready);
	u->ready[u->nready++] = ready;
	return ready;
}

struct under_way_ready under_way_part_ready(struct under_way *u, const struct under_way_part *part)
{
	if (part->step != GRADE_ODDS_KILN)
		return ready_now(u, part->charge);
	return under_way_ready(u, part->charge);
}
