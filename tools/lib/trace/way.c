#include "trace/way.h"

#include <math.h>
#include <stdlib.h>

#include "air/air_view.h"
#include "house/house.h"
#include "trace/ties.h"
#include "trace/trace.h"

void way_release(struct way *w)
{
	free(w->row);
	free(w->place);
	*w = (struct way){ .n = 0 };
}

/* ---- what happened */

static void note_person(const struct trace *t, struct way_row *row, uint32_t by)
{
	size_t known = row->nby < WAY_PEOPLE ? row->nby : WAY_PEOPLE, at = 0;

	for (size_t i = 0; i < known; i++)
		if (row->by[i] == by)
			return;
	if (!by || row->nby > WAY_PEOPLE)
		return;
	if (row->nby++ == WAY_PEOPLE)
		return;
	while (at < known && slice_cmp(trace_text(t, row->by[at]), trace_text(t, by)) < 0)
		at++;
	memmove(row->by + at + 1, row->by + at, (known - at) * sizeof *row->by);
	row->by[at] = by;
}

static bool same_row(const struct way_row *x, const struct way_row *y)
{
	return slice_eq(x->event, y->event) && x->form == y->form && x->from == y->from && x->place == y->place;
}

static void add_row(struct way *w, const struct trace *t, const struct way_row *one, uint32_t by)
{
	struct way_row *row = NULL;

	for (size_t i = 0; !row && i < w->n; i++)
		if (same_row(&w->row[i], one))
			row = &w->row[i];
	if (!row) {
		w->row = mem_grow(w->row, &w->cap, w->n + 1, sizeof *w->row);
		row = &w->row[w->n++];
		*row = *one;
	} else {
		row->what = row->what == one->what ? row->what : WAY_SEVERAL;
		row->first = one->first < row->first ? one->first : row->first;
		row->last = one->last > row->last ? one->last : row->last;
		row->share += one->share;
		row->n += one->n;
	}
	note_person(t, row, by);
}

/* Why a bat came back on a day. */
static uint32_t cause_of_return(const struct trace *t, uint32_t id, int32_t day)
{
	size_t n;
	const struct stated_return *back = stated_returns_of(&t->stated, id, &n);

	for (size_t i = 0; i < n; i++)
		if (back[i].day == day)
			return back[i].cause;
	return 0;
}

static uint32_t what_of(const struct trace *t, const struct log_flow *f, const struct log_op *op)
{
	struct stock_kind from = flow_log_kind(&t->log, f->from), to = flow_log_kind(&t->log, f->to);

	if (f->change == STOCK_LOST)
		return f->cause;
	if (f->is_handle)
		return from.lot;
	switch (op->event->id) {
	case EVENT_CLEAVE:
		return op->tree;
	case EVENT_LOAD:
		return stated_kiln_of(&t->stated, to.place);
	case EVENT_GRADE:
		return to.grade;
	case EVENT_SELL:
		return to.party;
	case EVENT_RETURN:
		return cause_of_return(t, to.lot, op->day);
	case EVENT_POOL:
		return to.lot;
	default:
		return 0;
	}
}

/* A place of the house or a charge; none once it is sold or culled. */
static uint32_t place_in(const struct trace *t, const struct stock_kind *kind)
{
	return kind->place == t->stock->sold || kind->place == t->stock->culled ? 0 : kind->place;
}

static void add_step(struct way *w, const struct trace *t, const struct log_flow *f, double share)
{
	const struct log_op *op = flow_log_op(&t->log, f);
	struct stock_kind from = flow_log_kind(&t->log, f->from), to = flow_log_kind(&t->log, f->to);
	struct way_row row = { .event = op->event->name, .form = to.form, .from = place_in(t, &from), .place = place_in(t, &to), .what = what_of(t, f, op),
		.first = op->day, .last = op->day, .share = share,
		.before = { from.place, from.form }, .after = { to.place, to.form } };

	if (f->is_handle)
		row.form = FORM_HANDLE;
	add_row(w, t, &row, op->by);
}

/* The trees of clefts were felled before. */
static void add_felling(struct way *w, const struct trace *t, const struct log_flow *f, double share)
{
	const struct log_op *op = flow_log_op(&t->log, f);
	const struct stated_source *tree = f->change == STOCK_BORN && op->event->id == EVENT_CLEAVE ? stated_source_of(&t->stated, op->tree) : NULL;
	struct way_row row = { .event = SLICE("fell"), .form = -1, .what = op->tree, .share = share, .before = { WAY_SEVERAL, -1 }, .after = { 0, -1 } };

	if (!tree || tree->event != EVENT_FELL)
		return;
	row.first = row.last = tree->day;
	add_row(w, t, &row, 0);
}

/* Culls of a lot, on arrival too, are no step of what goes on. */
static bool is_way(const struct trace *t, const struct log_flow *f)
{
	struct stock_kind to = flow_log_kind(&t->log, f->to);

	return to.place != t->stock->culled || to.form == FORM_BAT;
}

/* A bat's own steps are among those of its wood, and so are its handles. */
static void add_handles(struct way *w, const struct trace *t)
{
	size_t n;
	const uint32_t *of = flow_log_to(&t->log, t->id, &n);

	for (size_t i = 0; t->kind == TRACE_BAT && i < n; i++)
		if (t->log.flow[of[i]].is_handle)
			add_step(w, t, &t->log.flow[of[i]], 1);
	for (size_t i = t->handle.n; i-- > 0;) {
		const struct log_flow *f = &t->log.flow[t->handle.step[i].flow];

		if (flow_log_kind(&t->log, f->to).form != FORM_BAT)
			add_step(w, t, f, t->handle.step[i].share);
	}
}

static void add_steps(struct way *w, const struct trace *t, const struct lineage *way)
{
	for (size_t i = way->n; i-- > 0;) {
		const struct log_flow *f = &t->log.flow[way->step[i].flow];

		if (!is_way(t, f))
			continue;
		add_felling(w, t, f, way->step[i].share);
		add_step(w, t, f, way->step[i].share);
	}
}

/* Opinions of this piece, a row each; of other pieces of its lot in one row. */
static void add_opinions(struct way *w, const struct trace *t, uint32_t lot)
{
	size_t n;
	const struct stated_judge *judge = stated_judges_of(&t->stated, lot, &n);

	for (size_t i = 0; i < n; i++) {
		struct way_row row = { .event = SLICE("judge"), .form = FORM_BLADE, .what = judge[i].grade, .first = judge[i].day, .last = judge[i].day,
			.share = NAN, .n = 1, .before = { WAY_SEVERAL, -1 }, .after = { WAY_SEVERAL, -1 } };

		if (t->piece && judge[i].piece != t->piece)
			continue;
		if (t->piece) {
			row.share = 1;
			row.from = (uint32_t)i + 1; /* never two in one row */
		}
		add_row(w, t, &row, judge[i].by);
	}
}

/* The lots of the wood; of a numbered piece only its own. */
static void add_all_opinions(struct way *w, const struct trace *t, const struct ties *ties)
{
	struct slice piece = trace_text(t, t->piece);

	if (t->piece) {
		add_opinions(w, t, intern_find(&t->stock->ids, slice_upto(piece, slice_find(piece, '/'))));
		return;
	}
	for (size_t i = 0; i < ties->n; i++)
		if (ties->tie[i].kind == TIE_LOT)
			add_opinions(w, t, ties->tie[i].id);
}

/* ---- in the order of time */

static bool leads_to(const struct way_row *x, const struct way_row *y)
{
	return x->after.place == y->before.place && x->after.form == y->before.form && x->after.place != WAY_SEVERAL;
}

static int by_names(const struct trace *t, const struct way_row *x, const struct way_row *y)
{
	const uint32_t of_x[] = { x->from, x->place, x->what == WAY_SEVERAL ? 0 : x->what }, of_y[] = { y->from, y->place, y->what == WAY_SEVERAL ? 0 : y->what };
	int order = slice_cmp(x->event, y->event);

	if (!order && x->form != y->form)
		return x->form < y->form ? -1 : 1;
	if (isnan(x->share) || slice_eq(x->event, SLICE("judge")))
		return order; /* the place of opinions is no place */
	for (size_t i = 0; !order && i < sizeof of_x / sizeof *of_x; i++)
		order = slice_cmp(trace_text(t, of_x[i]), trace_text(t, of_y[i]));
	return order;
}

/* Whether a row of row[0..n) of the same day must come before row[at]. */
static bool waits(const struct way_row *row, size_t n, size_t at)
{
	for (size_t i = 0; i < n; i++)
		if (i != at && row[i].first == row[at].first && leads_to(&row[i], &row[at]) && !leads_to(&row[at], &row[i]))
			return true;
	return false;
}

/* Whether x is the next of two that may be. */
static bool is_next(const struct trace *t, const struct way_row *x, bool x_waits, const struct way_row *y, bool y_waits)
{
	if (x->first != y->first)
		return x->first < y->first;
	if (x_waits != y_waits)
		return y_waits;
	return by_names(t, x, y) < 0;
}

/* There are few. */
static void sort_rows(struct way *w, const struct trace *t)
{
	for (size_t done = 0; done < w->n; done++) {
		struct way_row *rest = w->row + done, next;
		size_t n = w->n - done, best = 0;

		for (size_t i = 1; i < n; i++)
			if (is_next(t, &rest[i], waits(rest, n, i), &rest[best], waits(rest, n, best)))
				best = i;
		next = rest[best];
		memmove(rest + 1, rest, best * sizeof *rest);
		rest[0] = next;
	}
}

/* ---- where it was */

static struct way_place *place_of(struct way *w, uint32_t place, int32_t day)
{
	for (size_t i = 0; i < w->nplaces; i++)
		if (w->place[i].place == place)
			return &w->place[i];
	w->place = mem_grow(w->place, &w->places_cap, w->nplaces + 1, sizeof *w->place);
	w->place[w->nplaces] = (struct way_place){ .place = place, .first = day, .last = day };
	return &w->place[w->nplaces++];
}

static void came(struct way *w, uint32_t place, int32_t day, double share)
{
	struct way_place *p = place_of(w, place, day);

	p->first = day < p->first ? day : p->first;
	p->in += share;
	p->in_days += share * day;
}

static void went(struct way *w, uint32_t place, int32_t day, double share)
{
	struct way_place *p = place_of(w, place, day);

	p->last = day > p->last ? day : p->last;
	p->out += share;
	p->out_days += share * day;
}

static void add_stays(struct way *w, const struct trace *t, const struct lineage *way)
{
	for (size_t i = 0; i < way->n; i++) {
		const struct log_flow *f = &t->log.flow[way->step[i].flow];
		struct stock_kind from = flow_log_kind(&t->log, f->from), to = flow_log_kind(&t->log, f->to);
		uint32_t left = place_in(t, &from), place = place_in(t, &to);
		int32_t day = flow_log_op(&t->log, f)->day;

		if (left == place)
			continue;
		if (left)
			went(w, left, day, way->step[i].share);
		if (place)
			came(w, place, day, way->step[i].share);
	}
}

/* Pieces of a lot or a charge that went on as others, or elsewhere. */
static void add_leaving(struct way *w, const struct trace *t)
{
	bool charge = t->kind == TRACE_CHARGE;

	for (size_t i = 0; i < t->log.n; i++) {
		const struct log_flow *f = &t->log.flow[i];
		struct stock_kind from = flow_log_kind(&t->log, f->from), to = flow_log_kind(&t->log, f->to);

		if ((charge ? from.place : from.lot) == t->id && (charge ? to.place : to.lot) != t->id && place_in(t, &from))
			went(w, from.place, flow_log_op(&t->log, f)->day, (double)log_flow_n(f) / (double)t->wood.pieces);
	}
}

/* Those that did not go are there until today. */
static void end_stays(struct way *w, const struct trace *t)
{
	for (size_t i = 0; i < w->nplaces; i++) {
		struct way_place *p = &w->place[i];
		double left = p->in - p->out;

		if (left > 1e-9) {
			p->out += left;
			p->out_days += left * t->today;
			p->last = t->today;
		}
		p->days = p->in > 0 ? (p->out_days - p->in_days) / p->in : 0;
	}
}

static bool is_before(const struct trace *t, const struct way_place *x, const struct way_place *y)
{
	if (x->first != y->first)
		return x->first < y->first;
	if (x->last != y->last)
		return x->last < y->last;
	return slice_cmp(trace_text(t, x->place), trace_text(t, y->place)) < 0;
}

static void sort_places(struct way *w, const struct trace *t)
{
	for (size_t i = 1; i < w->nplaces; i++)
		for (size_t k = i; k && is_before(t, &w->place[k], &w->place[k - 1]); k--) {
			struct way_place other = w->place[k];

			w->place[k] = w->place[k - 1];
			w->place[k - 1] = other;
		}
}

/* ---- the air there */

/* The instant at which a day begins by the works' clock. */
static int64_t day_start(const struct trace *t, int32_t day)
{
	struct zone_memo memo = { 0, 0, 0 };

	return zone_wall(t->zone, &memo, day_seconds(day)).utc_s[0];
}

static const struct air_record *record_of(const struct trace *t, struct slice place)
{
	for (size_t i = 0; i < t->air.nrecords; i++)
		if (slice_eq(t->air.record[i].id, place))
			return &t->air.record[i];
	return NULL;
}

static void add_air(const struct trace *t, struct way_place *p, struct air_points *points)
{
	uint32_t kiln = stated_kiln_of(&t->stated, p->place);
	struct slice id = trace_text(t, kiln ? kiln : p->place);
	const struct air_record *record = record_of(t, id);
	struct air_series track;
	struct air_sum sum;

	p->emc_pct = p->emc_low_pct = p->emc_high_pct = NAN;
	if (!record)
		return;
	air_book_points(&t->air, record, AIR_WITH_EMC, points);
	track = points->track;
	track.limit_s = (int64_t)(HOUR_S * air_view_limit_h(t->house, t->house ? house_place(t->house, id) : NULL));
	sum = air_sum_of(&track, AIR_EMC, day_start(t, p->first), day_start(t, p->last + 1), (struct air_band){ NAN, NAN });
	if (!(sum.covered_h > 0))
		return;
	p->emc_pct = air_sum_mean(&sum);
	p->emc_low_pct = sum.least;
	p->emc_high_pct = sum.most;
	p->emc_days = sum.covered_h / 24;
}

static void add_airs(struct way *w, const struct trace *t)
{
	struct air_points points = { .cap = 0 };

	for (size_t i = 0; i < w->nplaces; i++)
		add_air(t, &w->place[i], &points);
	air_points_release(&points);
}

void way_find(struct way *w, struct trace *t, const struct ties *ties)
{
	*w = (struct way){ .n = 0 };
	add_steps(w, t, &t->wood);
	add_handles(w, t);
	add_all_opinions(w, t, ties);
	for (size_t i = 0; i < w->n; i++)
		w->row[i].share = w->row[i].share > 1 ? 1 : w->row[i].share;
	sort_rows(w, t);
	if (t->kind != TRACE_TREE)
		add_stays(w, t, &t->wood);
	if (t->kind == TRACE_LOT || t->kind == TRACE_PIECE || t->kind == TRACE_CHARGE)
		add_leaving(w, t);
	end_stays(w, t);
	sort_places(w, t);
	add_airs(w, t);
}
