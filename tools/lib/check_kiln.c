#include "text.h"
#include "intern.h"
#include "vocab_words.h"
#include "vocab.h"
#include "value.h"
#include "stamp.h"
#include "rules_words.h"
#include "diag.h"
#include "parse.h"
#include "house_words.h"
#include "house.h"
#include "stock.h"
#include "check_names.h"
#include "check_mark.h"
#include "check_ids.h"
#include "check_probe.h"
#include "check_kiln.h"

#include <stdlib.h>

#include "mem.h"

struct kiln_load {
	uint32_t charge, kiln;
	struct mark mark;          /* where kiln= stands */
};

struct kiln_set {
	uint32_t kiln;
	bool off;
	struct mark mark;          /* where stage= stands */
};

struct kiln {
	uint32_t name;
	int64_t capacity;          /* INT64_MAX: not known */
	int64_t pieces;
	bool over;                 /* it was over-full when the last day was closed */
	const struct stock_op *load; /* the last load line of the day in hand */
};

/* The pieces of one lot and type in a charge. */
struct charge_part {
	uint32_t lot, type;
	int64_t n;
	int32_t day;               /* the last day on which it changed */
	const struct stock_op *unload; /* the last unload that took of it */
};

struct charge {
	uint32_t name, kiln;       /* kiln: index in kilns.kiln */
	struct mark first;         /* its first load line */
	struct charge_part *part;
	size_t nparts, parts_cap;
	int64_t pieces;
	size_t series, nseries;    /* its probes, in probes.series */
	bool touched, judged, left_told; /* judged: its first day; left_told: that it was still in its kiln */
};

struct pool_edge {
	uint32_t charge, from, to; /* charge: index */
	int32_t day;
};

void kilns_init(struct kilns *k, struct names *names, struct ids *ids, struct diags *diags)
{
	memset(k, 0, sizeof *k);
	k->names = names;
	k->ids = ids;
	k->diags = diags;
	k->day = INT32_MIN;
}

void kilns_release(struct kilns *k)
{
	for (size_t i = 0; i < k->ncharges; i++)
		free(k->charge[i].part);
	free(k->load);
	free(k->last);
	free(k->set);
	free(k->kiln);
	free(k->charge);
	free(k->charge_of);
	free(k->edge);
	free(k->touched);
	free(k->plugged);
	memset(k, 0, sizeof *k);
}

static struct slice text_of(const struct kilns *k, uint32_t name)
{
	return intern_text(k->names->ids, name);
}

/* ---- keeping */

/* Of a charge the earliest load line is kept, and one for every change of the kiln. */
static void keep_load(struct kilns *k, const struct line *l)
{
	struct slice kiln = line_word(l, FIELD_KILN);
	struct kiln_load load = { names_id_at(k->names, NAMES_SUBJECT(l->event), l->subject),
		names_id_at(k->names, FIELD_KILN, kiln), mark_of(l, kiln) };
	struct kiln_load *last;

	if (load.charge >= k->nlast) {
		k->last = mem_grow(k->last, &k->last_cap, load.charge + 1u, sizeof *k->last);
		memset(k->last + k->nlast, 0, (k->last_cap - k->nlast) * sizeof *k->last);
		k->nlast = k->last_cap;
	}
	last = k->last[load.charge] ? &k->load[k->last[load.charge] - 1] : NULL;
	if (last && last->kiln == load.kiln) {
		if (mark_cmp(&load.mark, &last->mark) < 0)
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
	k->set[k->nsets++] = (struct kiln_set){ names_id(k->names, l->subject), slice_eq(stage, SLICE("off")), mark_of(l, stage) };
}

void kilns_keep(struct kilns *k, const struct line *l)
{
	if (l->event->id == EVENT_LOAD)
		keep_load(k, l);
	else if (l->event->id == EVENT_SET)
		keep_set(k, l);
}

/* ---- getting ready */

static int by_charge(const void *a, const void *b)
{
	const struct kiln_load *x = a, *y = b;

	return x->charge != y->charge ? (x->charge < y->charge ? -1 : 1) : mark_cmp(&x->mark, &y->mark);
}

static int by_set_day(const void *a, const void *b)
{
	const struct kiln_set *x = a, *y = b;

	return mark_cmp(&x->mark, &y->mark);
}

static uint32_t kiln_named(struct kilns *k, uint32_t name)
{
	const struct house *house = k->names->house;
	const struct house_place *place = house ? house_place(house, text_of(k, name)) : NULL;
	int64_t capacity = place && place->capacity != HOUSE_NONE ? place->capacity : INT64_MAX;

	for (uint32_t i = 0; i < k->nkilns; i++)
		if (k->kiln[i].name == name)
			return i;
	k->kiln = mem_grow(k->kiln, &k->kilns_cap, k->nkilns + 1, sizeof *k->kiln);
	k->kiln[k->nkilns] = (struct kiln){ .name = name, .capacity = capacity };
	return (uint32_t)k->nkilns++;
}

/* The first line that names another kiln than the charge's first does is told. */
static void judge_loads(struct kilns *k, const struct kiln_load *load, size_t n)
{
	for (size_t i = 1; i < n; i++)
		if (load[i].kiln != load[0].kiln && !k->names->name[load[0].charge].doubtful) {
			DIAG(k->diags, RULE_KILN_OTHER, load[i].mark.place, text_of(k, load[0].charge), text_of(k, load[i].kiln),
				text_of(k, load[0].kiln));
			return;
		}
}

static void add_charge(struct kilns *k, const struct kiln_load *load)
{
	struct charge charge = { .name = load->charge, .first = load->mark, .kiln = kiln_named(k, load->kiln) };

	k->charge = mem_grow(k->charge, &k->charges_cap, k->ncharges + 1, sizeof *k->charge);
	k->charge[k->ncharges++] = charge;
	k->charge_of[charge.name] = (uint32_t)k->ncharges;
}

static void make_charges(struct kilns *k)
{
	if (k->nloads)
		qsort(k->load, k->nloads, sizeof *k->load, by_charge);
	for (size_t i = 0, e; i < k->nloads; i = e) {
		for (e = i; e < k->nloads && k->load[e].charge == k->load[i].charge; e++)
			;
		judge_loads(k, &k->load[i], e - i);
		add_charge(k, &k->load[i]);
	}
}

static struct charge *charge_named(const struct kilns *k, uint32_t name)
{
	return k->charge_of[name] ? &k->charge[k->charge_of[name] - 1] : NULL;
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

/* Gives each charge its series, and sorts all series by their days. */
static void share_series(struct kilns *k)
{
	const struct probes *p = k->probes;
	struct plug *plug = mem_array(p->nseries, sizeof *plug);

	k->plugged = mem_array(p->nseries, sizeof *k->plugged);
	for (size_t i = 0; i < p->nseries; i++) {
		struct charge *charge = charge_named(k, p->series[i].subject);

		plug[i] = (struct plug){ p->series[i].in_day, (uint32_t)i };
		if (charge && charge->nseries++ == 0)
			charge->series = i;
	}
	if (p->nseries)
		qsort(plug, p->nseries, sizeof *plug, by_plug_day);
	for (size_t i = 0; i < p->nseries; i++)
		k->plugged[i] = plug[i].series;
	free(plug);
}

void kilns_begin(struct kilns *k, const struct stock *stock, struct probes *probes)
{
	k->stock = stock;
	k->probes = probes;
	k->charge_of = mem_zeroed(stock->ids.n, sizeof *k->charge_of);
	make_charges(k);
	if (k->nsets)
		qsort(k->set, k->nsets, sizeof *k->set, by_set_day);
	share_series(k);
}

/* ---- flows */

static struct charge_part *part_of(struct charge *c, const struct stock_kind *kind)
{
	for (size_t i = 0; i < c->nparts; i++)
		if (c->part[i].lot == kind->lot && c->part[i].type == kind->type)
			return &c->part[i];
	c->part = mem_grow(c->part, &c->parts_cap, c->nparts + 1, sizeof *c->part);
	c->part[c->nparts] = (struct charge_part){ .lot = kind->lot, .type = kind->type };
	return &c->part[c->nparts++];
}

static void touch(struct kilns *k, struct charge *c)
{
	if (c->touched)
		return;
	c->touched = true;
	k->touched = mem_grow(k->touched, &k->touched_cap, k->ntouched + 1, sizeof *k->touched);
	k->touched[k->ntouched++] = (uint32_t)(c - k->charge);
}

static void change(struct kilns *k, const struct stock_kind *kind, const struct stock_op *op, int64_t by)
{
	struct charge *c = charge_named(k, kind->place);
	struct charge_part *part;

	if (!c)
		return;
	part = part_of(c, kind);
	if (part->n + by < 0)
		by = -part->n; /* more than there was: the engine tells it */
	touch(k, c);
	part->n += by;
	part->day = op->day;
	c->pieces += by;
	k->kiln[c->kiln].pieces += by;
	if (by < 0 && op->event->id == EVENT_UNLOAD)
		part->unload = op;
	if (by > 0 && op->event->id == EVENT_LOAD)
		k->kiln[c->kiln].load = op;
}

static void add_edge(struct kilns *k, const struct stock_flow *flow)
{
	const struct charge *c = charge_named(k, flow->from.place);

	if (!c || flow->from.lot == flow->to.lot || flow->to.place != flow->from.place)
		return;
	k->edge = mem_grow(k->edge, &k->edges_cap, k->nedges + 1, sizeof *k->edge);
	k->edge[k->nedges++] = (struct pool_edge){ (uint32_t)(c - k->charge), flow->from.lot, flow->to.lot, flow->op->day };
}

static void close_days(struct kilns *k, int32_t next);

void kilns_flow(void *context, const struct stock_flow *flow)
{
	struct kilns *k = context;

	if (flow->op->day != k->day)
		close_days(k, flow->op->day);
	if (flow->from.lot)
		change(k, &flow->from, flow->op, -flow->n);
	if (flow->change != STOCK_LOST)
		change(k, &flow->to, flow->op, flow->n);
	if (flow->change == STOCK_GONE_ON)
		add_edge(k, flow);
}

/* ---- closing a day: kilns */

static bool is_doubtful(const struct kilns *k, const struct charge *c)
{
	return k->names->name[c->name].doubtful || stock_is_doubtful(k->stock, c->name);
}

static struct place place_of(const struct stock_op *op)
{
	return (struct place){ op->file, op->count_col, op->count_end, op->line };
}

static void judge_full(struct kilns *k, struct kiln *kiln)
{
	bool over = kiln->pieces > kiln->capacity;
	struct buf have = BUF_INIT, most = BUF_INIT;

	if (over && !kiln->over && kiln->load) {
		buf_int(&have, kiln->pieces);
		buf_int(&most, kiln->capacity);
		DIAG(k->diags, RULE_KILN_FULL, place_of(kiln->load), text_of(k, kiln->name), buf_slice(&have), buf_slice(&most));
	}
	kiln->over = over;
	kiln->load = NULL;
	buf_release(&have);
	buf_release(&most);
}

/* Another charge that the kiln held before this one, that still has pieces and was not told of. */
static struct charge *held_before(struct kilns *k, const struct charge *c)
{
	for (size_t i = 0; i < k->ncharges; i++) {
		struct charge *other = &k->charge[i];

		if (other != c && !other->left_told && other->kiln == c->kiln && other->pieces > 0 && mark_cmp(&other->first, &c->first) < 0)
			return other;
	}
	return NULL;
}

static void judge_anew(struct kilns *k, struct charge *c)
{
	struct charge *other;
	struct buf left = BUF_INIT;

	if (c->judged || c->pieces <= 0 || c->first.day != k->day)
		return;
	c->judged = true;
	if (k->kiln[c->kiln].pieces <= c->pieces || !(other = held_before(k, c)) || is_doubtful(k, other))
		return;
	other->left_told = true;
	buf_int(&left, other->pieces);
	DIAG(k->diags, RULE_KILN_LOADED_ANEW, c->first.place, text_of(k, k->kiln[c->kiln].name), text_of(k, other->name), buf_slice(&left));
	buf_release(&left);
}

/* ---- closing a day: probes */

/* Whether a piece of lot `was` can be one of `lot` since that day: the same, or it was pooled into it. */
static bool can_be(const struct kilns *k, const struct charge *c, uint32_t was, uint32_t lot, int32_t since)
{
	if (was == lot)
		return true;
	for (size_t i = 0; i < k->nedges; i++) {
		const struct pool_edge *e = &k->edge[i];

		if (e->charge == (uint32_t)(c - k->charge) && e->day >= since && e->to == lot && can_be(k, c, was, e->from, since))
			return true;
	}
	return false;
}

static bool part_fits(const struct kilns *k, const struct charge *c, const struct charge_part *part, const struct probe_series *s)
{
	return (!s->type || part->type == s->type) && can_be(k, c, s->lot, part->lot, s->in_day);
}

/* The unload that took the last pieces that the probe can be in, if it did so today; else NULL. */
static const struct stock_op *took_last(const struct kilns *k, const struct charge *c, const struct probe_series *s)
{
	const struct stock_op *last = NULL;

	for (size_t i = 0; i < c->nparts; i++) {
		const struct charge_part *part = &c->part[i];

		if (!part_fits(k, c, part, s))
			continue;
		if (part->n > 0)
			return NULL;
		if (part->day == k->day && part->unload && part->unload->day == k->day)
			last = part->unload;
	}
	return last;
}

static void tell_left_in(struct kilns *k, const struct stock_op *op, struct slice labels)
{
	DIAG(k->diags, RULE_PROBE_LEFT_IN, place_of(op), labels, stock_text(k->stock, op->subject));
}

/* The probes that are still in pieces of which the last were unloaded today, a line of the book at a time. */
static void judge_left_in(struct kilns *k, const struct charge *c)
{
	const struct stock_op *op = NULL;
	struct buf labels = BUF_INIT;

	for (size_t i = c->series; i < c->series + c->nseries; i++) {
		const struct probe_series *s = &k->probes->series[i];
		const struct stock_op *last;

		if (s->in_day > k->day || s->out_day <= k->day || !(last = took_last(k, c, s)))
			continue;
		if (op && op != last) {
			tell_left_in(k, op, buf_slice(&labels));
			labels.n = 0;
		}
		op = last;
		buf_str(&labels, labels.n ? ", " : "");
		buf_add(&labels, text_of(k, s->label));
	}
	if (op)
		tell_left_in(k, op, buf_slice(&labels));
	buf_release(&labels);
}

/* Whether the charge had such pieces at some moment of the day. */
static bool was_there(const struct kilns *k, const struct charge *c, const struct probe_series *s, int32_t day)
{
	for (size_t i = 0; i < c->nparts; i++)
		if ((c->part[i].n > 0 || c->part[i].day == day) && part_fits(k, c, &c->part[i], s))
			return true;
	return false;
}

static void judge_series(struct kilns *k, const struct probe_series *s)
{
	const struct charge *c = charge_named(k, s->subject);
	struct buf what = BUF_INIT;

	if (!c || is_doubtful(k, c) || k->names->name[s->lot].doubtful || was_there(k, c, s, s->in_day))
		return;
	buf_add(&what, text_of(k, s->lot));
	if (s->type) {
		buf_char(&what, '/');
		buf_add(&what, text_of(k, s->type));
	}
	DIAG(k->diags, RULE_PROBE_WHAT, s->in, text_of(k, s->label), buf_slice(&what), text_of(k, c->name));
	buf_release(&what);
}

/* ---- closing days */

/* The last setting of the kiln on a day, for one that set it off. */
static bool stays_off(const struct kilns *k, size_t set)
{
	for (size_t i = set + 1; i < k->nsets && k->set[i].mark.day == k->set[set].mark.day; i++)
		if (k->set[i].kiln == k->set[set].kiln)
			return false;
	return k->set[set].off;
}

static void judge_off(struct kilns *k, size_t set)
{
	const struct kiln *kiln = &k->kiln[kiln_named(k, k->set[set].kiln)];

	for (size_t i = 0; i < k->ncharges && kiln->pieces > 0 && stays_off(k, set); i++) {
		const struct charge *c = &k->charge[i];
		struct buf left = BUF_INIT;

		if (c->pieces <= 0 || &k->kiln[c->kiln] != kiln || is_doubtful(k, c))
			continue;
		buf_int(&left, c->pieces);
		DIAG(k->diags, RULE_KILN_OFF_FULL, k->set[set].mark.place, text_of(k, kiln->name), text_of(k, c->name), buf_slice(&left));
		buf_release(&left);
	}
}

static void close_touched(struct kilns *k)
{
	for (size_t i = 0; i < k->ntouched; i++) {
		struct charge *c = &k->charge[k->touched[i]];

		judge_full(k, &k->kiln[c->kiln]);
		judge_anew(k, c);
		if (c->nseries && !is_doubtful(k, c))
			judge_left_in(k, c);
		c->touched = false;
	}
	k->ntouched = 0;
}

/* Closes the day in hand and those up to `next`, on which no pieces moved. */
static void close_days(struct kilns *k, int32_t next)
{
	const struct probe_series *series = k->probes->series;

	close_touched(k);
	for (; k->next_set < k->nsets && k->set[k->next_set].mark.day < next; k->next_set++)
		judge_off(k, k->next_set);
	for (; k->next_series < k->probes->nseries && series[k->plugged[k->next_series]].in_day < next; k->next_series++)
		judge_series(k, &series[k->plugged[k->next_series]]);
	k->day = next;
}

void kilns_end(struct kilns *k)
{
	close_days(k, INT32_MAX);
}
