#include "check/kilns.h"

#include <stdlib.h>

#include "check/occurrence.h"
#include "check/probes.h"
#include "check/suppress.h"

struct kiln_load {
	uint32_t charge, kiln;
	struct slice word;         /* the kiln's, then the charge's: to sort by */
	struct occurrence mark; /* the place of kiln= */
};

struct kiln_set {
	uint32_t kiln;
	bool off, stays;           /* stays: nothing else is set in that kiln on that day behind it */
	struct occurrence mark; /* the place of stage= */
};

struct kiln {
	uint32_t name;
	int64_t capacity;          /* INT64_MAX: not known */
	int64_t pieces;
	int64_t untold;            /* of them, those of charges that may be reported as still in it */
	uint32_t holds;            /* the charge that came last of those that have pieces: index + 1 */
	int32_t set_day;           /* while getting ready: the last day on which it was set */
	bool over;                 /* it was over-full when the last day was closed */
	const struct stock_op *load; /* the last load line of the day in hand */
};

struct charge {
	uint32_t name, kiln;       /* kiln: index in kilns.kiln */
	struct occurrence first; /* its first load line */
	int64_t pieces;
	uint32_t before, behind;   /* its neighbours among those that the kiln holds: index + 1 */
	bool touched, judged, left_told; /* judged: its first day; left_told: that it was still in its kiln */
	int32_t last_out;          /* the last day on which pieces came out; INT32_MIN: none did */
	int64_t reported;          /* how many pieces it was reported to hold still, where no comment says that this is intended */
	bool unsure;               /* pieces of a doubtful lot came or went: how many are left is not known */
};

/* A diagnostic that is let go at the end where a fault of the stock explains it. */
struct kilns_held {
	int rule;
	struct place place;
	uint32_t charge;           /* whose pieces it counts on: index */
	uint32_t kiln;             /* id */
	int64_t left;              /* pieces in it */
	int32_t day;
	const struct probe_series *series; /* of a probe: its lot counts too */
};

/* A probe that was left in pieces that came out. */
struct left_in {
	const struct stock_op *op;
	struct slice label;
	int32_t out_day;           /* INT32_MAX: no line takes it out */
};

void kilns_init(struct kilns *k, struct symbols *symbols, struct suppress *suppress, struct diags *diags)
{
	memset(k, 0, sizeof *k);
	k->suppress = suppress;
	k->symbols = symbols;
	k->diags = diags;
	k->day = INT32_MIN;
	charge_content_init(&k->content);
}

void kilns_release(struct kilns *k)
{
	charge_content_release(&k->content);
	free(k->load);
	free(k->last);
	free(k->set);
	free(k->kiln);
	free(k->charge);
	free(k->charge_of);
	free(k->kiln_of);
	free(k->touched);
	free(k->plugged);
	free(k->next_of);
	free(k->left);
	free(k->held);
	free(k->watched);
	free(k->pooled);
	memset(k, 0, sizeof *k);
}

static struct slice text_of(const struct kilns *k, uint32_t name)
{
	return intern_text(k->symbols->ids, name);
}

/* ---- keeping */

/* Of a charge the earliest load line is kept, and one for every change of the kiln. */
static void keep_load(struct kilns *k, const struct line *l)
{
	struct slice kiln = line_word(l, FIELD_KILN);
	struct kiln_load load = { symbols_id_at(k->symbols, SYMBOLS_SUBJECT(l->event), l->subject),
		symbols_id_at(k->symbols, FIELD_KILN, kiln), SLICE(""), occurrence_of(l, kiln) };
	struct kiln_load *last;

	if (load.charge >= k->nlast) {
		k->last = mem_grow(k->last, &k->last_cap, load.charge + 1u, sizeof *k->last);
		memset(k->last + k->nlast, 0, (k->last_cap - k->nlast) * sizeof *k->last);
		k->nlast = k->last_cap;
	}
	last = k->last[load.charge] ? &k->load[k->last[load.charge] - 1] : NULL;
	if (last && last->kiln == load.kiln) {
		if (occurrence_cmp(&load.mark, &last->mark) < 0)
			last->mark = load.mark;
		return;
	}
	k->load = mem_grow(k->load, &k->loads_cap, k->nloads + 1, sizeof *k->load);
	k->load[k->nloads++] = load;
	k->last[load.charge] = (uint32_t)k->nloads;
}

static void keep_set(struct kilns *k, const struct line *l)
{
	struct slice stage = line_word(l, FIELD_STAGE);

	if (!stage.n)
		return;
	k->set = mem_grow(k->set, &k->sets_cap, k->nsets + 1, sizeof *k->set);
	k->set[k->nsets++] = (struct kiln_set){ symbols_id(k->symbols, l->subject), slice_eq(stage, SLICE("off")), false, occurrence_of(l, stage) };
}

static void keep_pooled(struct kilns *k, uint32_t lot)
{
	k->pooled = mem_grow(k->pooled, &k->pooled_cap, k->npooled + 1, sizeof *k->pooled);
	k->pooled[k->npooled++] = lot;
}

static void keep_pool(struct kilns *k, const struct line *l)
{
	const struct field *lots = line_field(l, FIELD_LOT);

	keep_pooled(k, symbols_id_at(k->symbols, SYMBOLS_SUBJECT(l->event), l->subject));
	for (size_t i = 0; lots && i < lots->n; i++)
		keep_pooled(k, symbols_id(k->symbols, l->item[lots->first + i].label));
}

void kilns_keep(struct kilns *k, const struct line *l)
{
	if (l->event->stock.take == TAKE_LOTS)
		keep_pool(k, l);
	if (l->event->id == EVENT_LOAD)
		keep_load(k, l);
	else if (l->event->id == EVENT_SET)
		keep_set(k, l);
}

/* ---- getting ready */

/* Of two marks of one moment the content of the lines decides, and only then their position. */
static int by_moment(const struct occurrence *a, const struct occurrence *b)
{
	if (a->day != b->day)
		return a->day < b->day ? -1 : 1;
	return (a->second > b->second) - (a->second < b->second);
}

static int by_charge(const void *a, const void *b)
{
	const struct kiln_load *x = a, *y = b;
	int order = by_moment(&x->mark, &y->mark);

	if (x->charge != y->charge)
		return x->charge < y->charge ? -1 : 1;
	if (!order)
		order = slice_cmp(x->word, y->word);
	return order ? order : occurrence_place_cmp(&x->mark, &y->mark);
}

/* What sets a kiln off comes first of one moment: it only counts where nothing else is set. */
static int by_set_day(const void *a, const void *b)
{
	const struct kiln_set *x = a, *y = b;
	int order = by_moment(&x->mark, &y->mark);

	if (!order)
		order = y->off - x->off;
	return order ? order : occurrence_place_cmp(&x->mark, &y->mark);
}

static uint32_t kiln_named(struct kilns *k, uint32_t name)
{
	const struct house *house = k->symbols->house;
	const struct house_place *place;
	int64_t capacity;

	if (k->kiln_of[name])
		return k->kiln_of[name] - 1;
	place = house ? house_place(house, text_of(k, name)) : NULL;
	capacity = place && place->capacity != HOUSE_NONE ? place->capacity : INT64_MAX;
	k->kiln = mem_grow(k->kiln, &k->kilns_cap, k->nkilns + 1, sizeof *k->kiln);
	k->kiln[k->nkilns++] = (struct kiln){ .name = name, .capacity = capacity, .set_day = INT32_MIN };
	k->kiln_of[name] = (uint32_t)k->nkilns;
	return (uint32_t)k->nkilns - 1;
}

static bool is_known_kiln(const struct kilns *k, uint32_t name)
{
	return symbols_in(k->symbols, name, LIST_OF(OF_KILN));
}

/* The first line with another kiln than the charge's first line has is reported. */
static void judge_loads(struct kilns *k, const struct kiln_load *load, size_t n)
{
	for (size_t i = 1; i < n; i++)
		if (load[i].kiln != load[0].kiln && is_known_kiln(k, load[0].kiln) && is_known_kiln(k, load[i].kiln) && !k->symbols->symbol[load[0].charge].doubtful) {
			DIAG(k->diags, RULE_KILN_OTHER, occurrence_place(&load[i].mark), text_of(k, load[0].charge), text_of(k, load[i].kiln),
				text_of(k, load[0].kiln));
			return;
		}
}

static int by_first_load(const void *a, const void *b)
{
	const struct kiln_load *x = a, *y = b;
	int order = by_moment(&x->mark, &y->mark);

	return order ? order : slice_cmp(x->word, y->word);
}

/* Of every charge its first load is left, in the order in which the charges were begun. */
static size_t keep_first_loads(struct kilns *k)
{
	size_t n = 0;

	for (size_t i = 0; i < k->nloads; i++)
		k->load[i].word = text_of(k, k->load[i].kiln);
	if (k->nloads)
		qsort(k->load, k->nloads, sizeof *k->load, by_charge);
	for (size_t i = 0, e; i < k->nloads; i = e) {
		for (e = i; e < k->nloads && k->load[e].charge == k->load[i].charge; e++)
			;
		judge_loads(k, &k->load[i], e - i);
		k->load[n] = k->load[i];
		k->load[n].word = text_of(k, k->load[n].charge);
		n++;
	}
	if (n)
		qsort(k->load, n, sizeof *k->load, by_first_load);
	return n;
}

static void make_charges(struct kilns *k)
{
	k->ncharges = keep_first_loads(k);
	k->charge = mem_zeroed(k->ncharges, sizeof *k->charge);
	for (size_t i = 0; i < k->ncharges; i++) {
		k->charge[i].name = k->load[i].charge;
		k->charge[i].first = k->load[i].mark;
		k->charge[i].last_out = INT32_MIN;
		k->charge[i].kiln = kiln_named(k, k->load[i].kiln);
		k->charge_of[k->load[i].charge] = (uint32_t)i + 1;
	}
}

static void order_sets(struct kilns *k)
{
	if (k->nsets)
		qsort(k->set, k->nsets, sizeof *k->set, by_set_day);
	for (size_t i = k->nsets; i-- > 0;) {
		struct kiln_set *set = &k->set[i];
		struct kiln *kiln;

		set->kiln = kiln_named(k, set->kiln);
		kiln = &k->kiln[set->kiln];
		set->stays = set->off && kiln->set_day != set->mark.day;
		kiln->set_day = set->mark.day;
	}
}

struct plug {
	int32_t day;
	uint32_t series;
};

static int by_plug_day(const void *a, const void *b)
{
	const struct plug *x = a, *y = b;

	if (x->day != y->day)
		return x->day < y->day ? -1 : 1;
	return (x->series > y->series) - (x->series < y->series);
}

/* Sorts all series by their days, and strings those of one part together, the latest first. */
static void share_series(struct kilns *k)
{
	const struct probes *p = k->probes;
	struct plug *plug = mem_array(p->nseries, sizeof *plug);

	k->plugged = mem_array(p->nseries, sizeof *k->plugged);
	k->next_of = mem_zeroed(p->nseries, sizeof *k->next_of);
	for (size_t i = 0; i < p->nseries; i++) {
		k->content.wholes |= !p->series[i].type;
		plug[i] = (struct plug){ p->series[i].in_day, (uint32_t)i };
	}
	if (p->nseries)
		qsort(plug, p->nseries, sizeof *plug, by_plug_day);
	for (size_t i = 0; i < p->nseries; i++) {
		const struct probe_series *s = &p->series[plug[i].series];
		uint32_t charge = k->charge_of[s->subject];

		k->plugged[i] = plug[i].series;
		if (charge) {
			uint32_t part = charge_content_at(&k->content, charge - 1, s->lot, s->type);

			k->next_of[plug[i].series] = k->content.part[part].series;
			k->content.part[part].series = plug[i].series + 1;
		}
	}
	free(plug);
}

/* Of most lots in a kiln nobody asks what becomes of their pieces there; of those that were probed or pooled, somebody may. */
static void watch_lots(struct kilns *k)
{
	k->watched = mem_zeroed(k->stock->ids.n, sizeof *k->watched);
	for (size_t i = 0; i < k->probes->nseries; i++)
		k->watched[k->probes->series[i].lot] = true;
	for (size_t i = 0; i < k->npooled; i++)
		k->watched[k->pooled[i]] = true;
}

void kilns_begin(struct kilns *k, const struct stock *stock, struct probes *probes)
{
	k->stock = stock;
	k->probes = probes;
	k->charge_of = mem_zeroed(stock->ids.n, sizeof *k->charge_of);
	k->kiln_of = mem_zeroed(stock->ids.n, sizeof *k->kiln_of);
	make_charges(k);
	order_sets(k);
	share_series(k);
	watch_lots(k);
}

/* ---- flows */

static struct charge *charge_named(const struct kilns *k, uint32_t name)
{
	return k->charge_of[name] ? &k->charge[k->charge_of[name] - 1] : NULL;
}

static uint32_t number_of(const struct kilns *k, const struct charge *c)
{
	return (uint32_t)(c - k->charge);
}

static void touch(struct kilns *k, struct charge *c)
{
	if (c->touched)
		return;
	c->touched = true;
	k->touched = mem_grow(k->touched, &k->touched_cap, k->ntouched + 1, sizeof *k->touched);
	k->touched[k->ntouched++] = number_of(k, c);
}

/* Puts the charge among those that its kiln holds, or takes it out. */
static void hold(struct kilns *k, struct charge *c, bool on)
{
	struct kiln *kiln = &k->kiln[c->kiln];

	if (on) {
		c->before = kiln->holds;
		c->behind = 0;
		kiln->holds = number_of(k, c) + 1;
		if (c->before)
			k->charge[c->before - 1].behind = kiln->holds;
		return;
	}
	if (c->before)
		k->charge[c->before - 1].behind = c->behind;
	if (c->behind)
		k->charge[c->behind - 1].before = c->before;
	else
		kiln->holds = c->before;
}

static void count(struct kilns *k, struct charge *c, int64_t by)
{
	bool held = c->pieces > 0;

	c->pieces += by;
	k->kiln[c->kiln].pieces += by;
	if (!c->left_told)
		k->kiln[c->kiln].untold += by;
	if ((c->pieces > 0) != held)
		hold(k, c, !held);
}

/* Both take no more than there is; the engine reports that more was taken. */
static int64_t within(int64_t there, int64_t by)
{
	return there + by < 0 ? -there : by;
}

static void change_part(struct kilns *k, const struct charge *c, const struct stock_kind *kind, const struct stock_op *op, int64_t by)
{
	uint32_t part = charge_content_at(&k->content, number_of(k, c), kind->lot, kind->type);

	charge_content_change(&k->content, part, op, within(k->content.part[part].n, by));
}

static void change(struct kilns *k, const struct stock_kind *kind, const struct stock_op *op, int64_t by)
{
	struct charge *c = charge_named(k, kind->place);

	if (!c)
		return;
	touch(k, c);
	c->unsure |= stock_is_doubtful(k->stock, kind->lot);
	if (k->watched[kind->lot])
		change_part(k, c, kind, op, by);
	count(k, c, within(c->pieces, by));
	if (by < 0)
		c->last_out = op->day;
	if (by > 0 && op->event->id == EVENT_LOAD)
		k->kiln[c->kiln].load = op;
}

static void pool(struct kilns *k, const struct stock_flow *flow)
{
	const struct charge *c = charge_named(k, flow->from.place);
	const uint32_t types[] = { flow->from.type, 0 };

	if (!c || flow->from.lot == flow->to.lot || flow->to.place != flow->from.place)
		return;
	for (size_t i = types[0] ? 0 : 1; i < (k->content.wholes || !types[0] ? 2 : 1); i++) {
		uint32_t from = charge_content_at(&k->content, number_of(k, c), flow->from.lot, types[i]);

		charge_content_pool(&k->content, from, charge_content_at(&k->content, number_of(k, c), flow->to.lot, types[i]), flow->op->day);
	}
}

static void close_days(struct kilns *k, int32_t next);

void kilns_flow(void *context, const struct stock_flow *flow)
{
	struct kilns *k = context;

	if (flow->op->day != k->day)
		close_days(k, flow->op->day);
	if (flow->change == STOCK_CAME_OFF)
		return;
	if (flow->from.lot)
		change(k, &flow->from, flow->op, -flow->n);
	if (flow->change != STOCK_LOST)
		change(k, &flow->to, flow->op, flow->n);
	if (flow->change == STOCK_GONE_ON)
		pool(k, flow);
}

/* ---- closing a day: kilns */

static bool is_doubtful(const struct kilns *k, const struct charge *c)
{
	const struct symbol *id = &k->symbols->symbol[c->name];

	return id->doubtful || id->meant || stock_is_doubtful(k->stock, c->name);
}

/* Whether something is wrong with its probes already, so that what else is wrong with them may follow from it. */
static bool has_probes_told(const struct kilns *k, const struct charge *c)
{
	const struct symbol *id = &k->symbols->symbol[c->name];

	return id->probes_told || id->half_probed;
}

static struct place place_of(const struct stock_op *op)
{
	return (struct place){ op->file, op->count_col, op->count_end, stock_op_line(op) };
}

/* Whether it is not certain how many pieces the kiln holds: something is wrong with a charge in it. */
static bool holds_doubtful(const struct kilns *k, const struct kiln *kiln)
{
	for (uint32_t i = kiln->holds; i; i = k->charge[i - 1].before)
		if (is_doubtful(k, &k->charge[i - 1]) || k->charge[i - 1].unsure)
			return true;
	return false;
}

static void hold_back(struct kilns *k, struct kilns_held held)
{
	k->held = mem_grow(k->held, &k->held_cap, k->nheld + 1, sizeof *k->held);
	k->held[k->nheld++] = held;
}

static void judge_full(struct kilns *k, struct kiln *kiln)
{
	bool over = kiln->pieces > kiln->capacity;

	if (over && !kiln->over && kiln->load && !holds_doubtful(k, kiln))
		hold_back(k, (struct kilns_held){ RULE_KILN_FULL, place_of(kiln->load), k->charge_of[kiln->load->subject] - 1, kiln->name, kiln->pieces, k->day, NULL });
	kiln->over = over;
	kiln->load = NULL;
}

static void stop_telling(struct kilns *k, struct charge *c)
{
	k->kiln[c->kiln].untold -= c->pieces;
	c->left_told = true;
}

/*
 * The first charge that the kiln held before this one, that still has pieces, is not doubtful, and was
 * not reported.
 */
static struct charge *held_before(struct kilns *k, const struct charge *c)
{
	const struct kiln *kiln = &k->kiln[c->kiln];
	int64_t left = kiln->untold - (c->left_told ? 0 : c->pieces);
	struct charge *first = NULL;

	for (uint32_t i = kiln->holds; i && left > 0; i = k->charge[i - 1].before) {
		struct charge *other = &k->charge[i - 1];

		if (other == c || other->left_told)
			continue;
		left -= other->pieces;
		if (is_doubtful(k, other) || other->unsure)
			stop_telling(k, other);
		else if (other < c && (!first || other < first))
			first = other;
	}
	return first;
}

static void judge_anew(struct kilns *k, struct charge *c)
{
	struct charge *other;

	if (c->judged || c->pieces <= 0 || c->first.day != k->day)
		return;
	c->judged = true;
	other = held_before(k, c);
	if (!other)
		return;
	stop_telling(k, other);
	hold_back(k, (struct kilns_held){ RULE_KILN_NOT_EMPTY, occurrence_place(&c->first), number_of(k, other), k->kiln[c->kiln].name, other->pieces, k->day, NULL });
}

/* ---- closing a day: probes */

/* Keeps the probes that are still in pieces of the part of which today's unloads took the last. */
static void keep_left_in(struct kilns *k, uint32_t at)
{
	const struct charge_part *part = &k->content.part[at];
	int32_t until = part->series ? charge_content_until(&k->content, at) : INT32_MAX;

	if (!part->unload || part->unloaded != k->day || is_doubtful(k, &k->charge[part->charge]) || has_probes_told(k, &k->charge[part->charge]))
		return;
	for (uint32_t i = part->series; i && k->probes->series[i - 1].in_day > until; i = k->next_of[i - 1]) {
		const struct probe_series *s = &k->probes->series[i - 1];

		if (s->in_day > k->day || s->out_day <= k->day)
			continue;
		k->left = mem_grow(k->left, &k->left_cap, k->nleft + 1, sizeof *k->left);
		k->left[k->nleft++] = (struct left_in){ part->unload, text_of(k, s->label), s->out_day };
	}
}

/* Ops are in the order of the input. */
static int by_unload(const void *a, const void *b)
{
	const struct left_in *x = a, *y = b;

	if (x->op != y->op)
		return x->op < y->op ? -1 : 1;
	if (x->out_day != y->out_day)
		return x->out_day < y->out_day ? -1 : 1;
	return slice_cmp(x->label, y->label);
}

/* Probes of one line of the book that come out on one day, if any does. */
static void report_left_in(struct kilns *k, const struct left_in *left, struct slice labels)
{
	struct buf out = BUF_INIT, how = BUF_INIT;

	if (left->out_day == INT32_MAX) {
		buf_str(&out, "no line takes the probe out");
		buf_printf(&how, "then write out=%.*s for that day", (int)labels.n, labels.p);
	} else {
		buf_str(&out, "the probe is taken out only on ");
		day_write(&out, left->out_day);
		buf_str(&how, "if it came out before the pieces did, correct the date of the line with out=");
	}
	DIAG(k->diags, RULE_PROBE_LEFT_IN, place_of(left->op), labels, stock_text(k->stock, left->op->subject), buf_slice(&out), buf_slice(&how));
	buf_release(&out);
	buf_release(&how);
}

/* The probes that are still in pieces of which the last were unloaded today, a line of the book at a time. */
static void judge_left_in(struct kilns *k)
{
	struct buf labels = BUF_INIT;

	for (size_t i = 0; i < k->content.nlisted; i++)
		keep_left_in(k, k->content.listed[i]);
	charge_content_judged(&k->content);
	if (k->nleft)
		qsort(k->left, k->nleft, sizeof *k->left, by_unload);
	for (size_t i = 0; i < k->nleft; i++) {
		const struct left_in *left = &k->left[i];

		buf_str(&labels, labels.n ? "," : "");
		buf_add(&labels, left->label);
		if (i + 1 < k->nleft && left[1].op == left->op && left[1].out_day == left->out_day)
			continue;
		report_left_in(k, left, buf_slice(&labels));
		labels.n = 0;
	}
	k->nleft = 0;
	buf_release(&labels);
}

/* Whether the charge had such pieces at some moment of the day. */
static bool was_there(const struct kilns *k, const struct charge *c, const struct probe_series *s, int32_t day)
{
	uint32_t at = charge_content_find(&k->content, number_of(k, c), s->lot, s->type);

	return at != CHARGE_CONTENT_NONE && (k->content.part[at].n > 0 || k->content.part[at].day == day);
}

static void judge_series(struct kilns *k, const struct probe_series *s)
{
	const struct charge *c = charge_named(k, s->subject);

	if (!c || is_doubtful(k, c) || has_probes_told(k, c) || k->symbols->symbol[s->lot].doubtful || stock_is_doubtful(k->stock, s->lot) || was_there(k, c, s, s->in_day))
		return;
	hold_back(k, (struct kilns_held){ RULE_PROBE_WHAT, s->in, number_of(k, c), 0, 0, s->in_day, s });
}

/* ---- closing days */


static void judge_off(struct kilns *k, const struct kiln_set *set)
{
	const struct kiln *kiln = &k->kiln[set->kiln];

	for (uint32_t i = set->stays ? kiln->holds : 0; i; i = k->charge[i - 1].before) {
		const struct charge *c = &k->charge[i - 1];

		if (!is_doubtful(k, c) && !c->unsure)
			hold_back(k, (struct kilns_held){ RULE_KILN_OFF_FULL, occurrence_place(&set->mark), i - 1, kiln->name, c->pieces, set->mark.day, NULL });
	}
}

static int by_number(const void *a, const void *b)
{
	const uint32_t *x = a, *y = b;

	return (*x > *y) - (*x < *y);
}

static void close_touched(struct kilns *k)
{
	if (k->ntouched)
		qsort(k->touched, k->ntouched, sizeof *k->touched, by_number);
	for (size_t i = 0; i < k->ntouched; i++) {
		struct charge *c = &k->charge[k->touched[i]];

		judge_full(k, &k->kiln[c->kiln]);
		judge_anew(k, c);
		c->touched = false;
	}
	k->ntouched = 0;
	judge_left_in(k);
}

/* Closes the day in hand and those up to `next`, on which no pieces moved. */
static void close_days(struct kilns *k, int32_t next)
{
	const struct probe_series *series = k->probes->series;

	close_touched(k);
	for (; k->next_set < k->nsets && k->set[k->next_set].mark.day < next; k->next_set++)
		judge_off(k, &k->set[k->next_set]);
	for (; k->next_series < k->probes->nseries && series[k->plugged[k->next_series]].in_day < next; k->next_series++)
		judge_series(k, &series[k->plugged[k->next_series]]);
	k->day = next;
}

/* ---- at the end */

/* By charge, whether pieces of a doubtful lot were in it: how many are left is then not known. To be freed. */
static bool *got_doubtful(const struct kilns *k)
{
	bool *got = mem_zeroed(k->ncharges, sizeof *got);

	for (size_t i = 0; i < k->content.n; i++)
		if (k->content.part[i].charge < k->ncharges && stock_is_doubtful(k->stock, k->content.part[i].lot))
			got[k->content.part[i].charge] = true;
	return got;
}

/* Until pieces move, that they are still in the kiln is one mistake, however often the kiln is used. */
static bool is_again(struct kilns *k, const struct kilns_held *h)
{
	struct charge *c = &k->charge[h->charge];

	if (c->reported == h->left)
		return true;
	if (!suppress_pass(k->suppress, h->rule, h->place))
		c->reported = h->left;
	return false;
}

static void report_pieces(struct kilns *k, const struct kilns_held *h)
{
	const struct charge *c = &k->charge[h->charge];
	struct slice charge = text_of(k, c->name);
	struct buf left = BUF_INIT, out = BUF_INIT;

	if (is_again(k, h))
		return;
	buf_count(&left, h->left, "piece");
	buf_printf(&left, " of %.*s %s", (int)charge.n, charge.p, PLURAL(h->left, "is", "are"));
	if (c->last_out > h->day) {
		buf_str(&out, "correct the date of the line that takes pieces out on ");
		day_write(&out, c->last_out);
	} else
		buf_str(&out, "add the unload line");
	DIAG(k->diags, h->rule, h->place, text_of(k, h->kiln), charge, buf_slice(&left), buf_slice(&out));
	buf_release(&left);
	buf_release(&out);
}

static void report_probe(struct kilns *k, const struct kilns_held *h)
{
	const struct probe_series *s = h->series;
	struct buf what = BUF_INIT;

	buf_add(&what, text_of(k, s->lot));
	if (s->type) {
		buf_char(&what, '/');
		buf_add(&what, text_of(k, s->type));
	}
	DIAG(k->diags, RULE_PROBE_WHAT, h->place, text_of(k, s->label), buf_slice(&what), text_of(k, k->charge[h->charge].name));
	buf_release(&what);
}

/* Pieces of a charge that came out, on a line with a mistake, are not in the kiln. */
static void report_full(struct kilns *k, const struct kilns_held *h, const bool *doubtful)
{
	const struct kiln *kiln = &k->kiln[k->charge[h->charge].kiln];
	struct buf have = BUF_INIT, most = BUF_INIT;

	for (uint32_t i = kiln->holds; i; i = k->charge[i - 1].before)
		if (doubtful[i - 1] || is_doubtful(k, &k->charge[i - 1]))
			return;
	buf_count(&have, h->left, "piece");
	buf_int(&most, kiln->capacity);
	DIAG(k->diags, h->rule, h->place, text_of(k, h->kiln), buf_slice(&have), buf_slice(&most));
	buf_release(&have);
	buf_release(&most);
}

static void report_held(struct kilns *k)
{
	bool *doubtful = k->nheld ? got_doubtful(k) : NULL;

	for (size_t i = 0; i < k->nheld; i++) {
		const struct kilns_held *h = &k->held[i];

		if (is_doubtful(k, &k->charge[h->charge]))
			continue;
		if (h->rule == RULE_KILN_FULL)
			report_full(k, h, doubtful);
		else if (h->series && !stock_is_doubtful(k->stock, h->series->lot))
			report_probe(k, h);
		else if (!h->series && !doubtful[h->charge])
			report_pieces(k, h);
	}
	free(doubtful);
}

void kilns_end(struct kilns *k)
{
	close_days(k, INT32_MAX);
	report_held(k);
}
