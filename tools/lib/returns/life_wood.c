#include "returns/life_wood.h"

#include <stdlib.h>

#include "trace/trace.h"

/* Of more names a bat is of "several". */
enum { LIFE_NAMES_MOST = 2 };

void life_woods_init(struct life_woods *w, struct trace *trace, struct intern *words)
{
	*w = (struct life_woods){ .trace = trace, .words = words, .of_heap = mem_zeroed(trace->log.nheaps, sizeof *w->of_heap) };
}

void life_woods_release(struct life_woods *w)
{
	free(w->wood);
	free(w->of_heap);
	free(w->lot);
	free(w->grading);
	ties_release(&w->ties);
	sources_release(&w->sources);
	*w = (struct life_woods){ .n = 0 };
}

/* ---- names of what it may be of */

struct names {
	struct slice name[LIFE_NAMES_MOST];
	size_t n;                  /* may be more than fit */
};

static void names_add(struct names *names, struct slice name)
{
	for (size_t i = 0; i < names->n && i < LIFE_NAMES_MOST; i++)
		if (slice_eq(names->name[i], name))
			return;
	if (names->n < LIFE_NAMES_MOST)
		names->name[names->n] = name;
	names->n++;
}

static uint32_t names_word(struct life_woods *w, struct names *names)
{
	struct buf text = BUF_INIT;
	uint32_t id;

	if (names->n > LIFE_NAMES_MOST)
		return intern_id(w->words, SLICE("several"));
	if (names->n == 1)
		return intern_id(w->words, slice_eq(names->name[0], SLICE("-")) ? SLICE("") : names->name[0]);
	for (size_t i = 1; i < names->n; i++)
		for (size_t k = i; k && slice_cmp(names->name[k - 1], names->name[k]) > 0; k--) {
			struct slice other = names->name[k];

			names->name[k] = names->name[k - 1];
			names->name[k - 1] = other;
		}
	for (size_t i = 0; i < names->n; i++) {
		buf_str(&text, i ? " or " : "");
		buf_add(&text, names->name[i].n ? names->name[i] : SLICE("-"));
	}
	id = intern_id(w->words, slice_eq(buf_slice(&text), SLICE("-")) ? SLICE("") : buf_slice(&text));
	buf_release(&text);
	return id;
}

static uint32_t charge_of(struct life_woods *w)
{
	struct names names = { .n = 0 };
	struct ties *ties = &w->ties;

	ties->n = 0;
	ties_add_charges(ties, w->trace, &w->trace->wood);
	for (size_t i = 0; i < ties->n; i++)
		if (tie_round(ties->tie[i].share) >= LIFE_SHARE_LEAST)
			names_add(&names, trace_text(w->trace, ties->tie[i].id));
	return names_word(w, &names);
}

static void add_lot(struct life_woods *w, struct life_wood *wood, uint32_t lot)
{
	w->lot = mem_grow(w->lot, &w->lots_cap, w->nlots + 1, sizeof *w->lot);
	w->lot[w->nlots++] = lot;
	wood->nlots++;
}

/* Its lots, and who sold them. */
static void set_sources(struct life_woods *w, struct life_wood *wood)
{
	const struct trace *t = w->trace;
	struct sources *s = &w->sources;
	struct names lots = { .n = 0 }, parcels = lots, suppliers = lots;

	s->n = 0;
	sources_add(s, t, &t->wood);
	for (size_t i = 0; i < s->n; i++) {
		const struct source *r = &s->row[i];

		if (tie_round(r->share) < LIFE_SHARE_LEAST)
			continue;
		names_add(&lots, trace_text(t, r->lot));
		names_add(&parcels, trace_text(t, r->stated ? r->stated->parcel : 0));
		names_add(&suppliers, trace_text(t, r->stated ? r->stated->from : 0));
		add_lot(w, wood, r->lot);
	}
	wood->lot = names_word(w, &lots);
	wood->parcel = names_word(w, &parcels);
	wood->supplier = names_word(w, &suppliers);
}

/* The lots that the blade was in, pools too, have readings. */
static void add_pools(struct life_woods *w, struct life_wood *wood, uint32_t bat)
{
	const struct trace *t = w->trace;

	for (size_t i = 0; i < t->wood.n; i++) {
		const struct log_flow *f = &t->log.flow[t->wood.step[i].flow];
		uint32_t lot = flow_log_lot(&t->log, f->to);

		if (t->wood.step[i].share >= LIFE_SHARE_LEAST && f->from && flow_log_lot(&t->log, f->from) != lot && lot != bat)
			add_lot(w, wood, lot);
	}
}

/* First gradings, which steps have from the latest back. */
static void add_gradings(struct life_woods *w, struct life_wood *wood)
{
	const struct trace *t = w->trace;

	for (size_t i = 0; i < t->wood.n; i++) {
		const struct log_flow *f = &t->log.flow[t->wood.step[i].flow];
		const struct log_op *op = flow_log_op(&t->log, f);

		if (op->event->id != EVENT_GRADE || flow_log_kind(&t->log, f->from).grade)
			continue;
		w->grading = mem_grow(w->grading, &w->gradings_cap, w->ngradings + 1, sizeof *w->grading);
		w->grading[w->ngradings++] = (struct life_grading){ t->wood.step[i].share, op->day };
		wood->ngradings++;
	}
}

/*
 * The flow by which the blade went into a bat that was made of one, and that no other event than its own is about; or NULL. The
 * bat's other steps say nothing of its wood then.
 */
static const struct log_flow *blade_flow(const struct trace *t, uint32_t bat)
{
	size_t n;
	const uint32_t *of = flow_log_to(&t->log, bat, &n);
	const struct log_flow *blade = NULL;

	for (size_t i = 0; i < n; i++) {
		const struct log_flow *f = &t->log.flow[of[i]];
		int event = flow_log_op(&t->log, f)->event->id;

		if (f->is_handle)
			continue;
		if (log_flow_n(f) != 1 || log_flow_after(f) != 1 || !f->from || event == EVENT_GRADE || event == EVENT_LOAD)
			return NULL;
		if (f->change != STOCK_JOINED)
			continue;
		if (blade)
			return NULL;
		blade = f;
	}
	return blade;
}

const struct life_wood *life_wood_of(struct life_woods *w, uint32_t bat)
{
	struct trace *t = w->trace;
	const struct log_flow *blade = blade_flow(t, bat);
	uint32_t known = blade ? w->of_heap[blade->from] : 0;
	struct life_wood wood = { .before = blade ? blade->before_from : 0, .lots = w->nlots, .gradings = w->ngradings };

	if (known && w->wood[known - 1].before == blade->before_from)
		return &w->wood[known - 1];
	lineage_find(&t->wood, LINEAGE_BAT, bat);
	wood.charge = charge_of(w);
	set_sources(w, &wood);
	add_pools(w, &wood, bat);
	add_gradings(w, &wood);
	w->wood = mem_grow(w->wood, &w->cap, w->n + 1, sizeof *w->wood);
	w->wood[w->n++] = wood;
	if (blade)
		w->of_heap[blade->from] = (uint32_t)w->n;
	return &w->wood[w->n - 1];
}
