#include "trace/trace.h"

#include <stdlib.h>

#include "base/nearest.h"
#include "book/line.h"

const char *const trace_kind_words[] = { "bat", "lot", "piece", "charge", "tree", NULL };

void trace_init(struct trace *t, const struct house *house, const struct zone *zone, struct stock *stock, int32_t today)
{
	*t = (struct trace){ .house = house, .zone = zone, .stock = stock, .today = today, .reads = true, .airs = true, .kins = true };
	stated_init(&t->stated, &stock->ids);
	readings_init(&t->readings, house, zone, (struct readings_want){ INT32_MIN, today, true });
	air_book_init(&t->air, zone, NULL);
	flow_log_init(&t->log, stock);
}

void trace_release(struct trace *t)
{
	stated_release(&t->stated);
	readings_release(&t->readings);
	air_book_release(&t->air);
	lineage_release(&t->wood);
	lineage_release(&t->handle);
	kin_release(&t->kin);
	flow_log_release(&t->log);
	kept_lines_release(&t->kept);
	concerned_release(&t->concerned);
	free(t->lot_of);
}

void trace_only(struct trace *t, struct slice id, const struct vocab *vocab)
{
	t->only = id;
	t->vocab = vocab;
}

/* Whether the line is put aside until it is known what the question concerns: those of which there are most. */
static bool is_kept(const struct trace *t, const struct line *l)
{
	switch (l->event->id) {
	case EVENT_JUDGE:
	case EVENT_MAKE:
	case EVENT_REHANDLE:
		return true;
	case EVENT_PROBE:
	case EVENT_OVEN:
		return t->reads;
	default:
		return false;
	}
}

void trace_guess(struct trace *t, const struct line *l, uint32_t subject)
{
	stock_guess_subject(t->stock, l->event, subject);
}

static void take(void *context, const struct line *l)
{
	struct trace *t = context;

	stated_take(&t->stated, l);
	if (t->reads)
		readings_take(&t->readings, l);
}

void trace_take(struct trace *t, const struct line *l)
{
	if (t->airs)
		air_book_take(&t->air, l);
	if (l->event->id == EVENT_AIR)
		return;
	if (!t->only.n) {
		take(t, l);
		if (l->event->id == EVENT_MAKE || l->event->id == EVENT_LOAD)
			trace_guess(t, l, t->stated.met[FIELDS_END]);
		return;
	}
	if (t->reads)
		readings_take_marks(&t->readings, l);
	if (is_kept(t, l))
		kept_lines_add(&t->kept, l);
	else
		stated_take(&t->stated, l);
}

void trace_flow(void *context, const struct stock_flow *flow)
{
	struct trace *t = context;

	if (concerned_is(&t->concerned, flow->to.lot) || concerned_is(&t->concerned, flow->from.lot))
		flow_log_flow(&t->log, flow);
}

/* Takes in the lines put aside that can be about what the question concerns; all of them where the book does not have its id. */
static void take_kept(struct trace *t)
{
	struct kept_wanted *wanted = mem_zeroed(1, sizeof *wanted);

	concerned_find(&t->concerned, t->stock, t->only, stated_kiln_of(&t->stated, intern_find(&t->stock->ids, t->only)) != 0);
	kept_lines_want(wanted, t->only);
	for (uint32_t id = 1; id < t->concerned.n; id++)
		if (t->concerned.is[id])
			kept_lines_want(wanted, stock_text(t->stock, id));
	kept_lines_each(&t->kept, t->vocab, wanted, take, t);
	if (!intern_find(&t->stock->ids, t->only)) {
		concerned_release(&t->concerned);
		kept_lines_each(&t->kept, t->vocab, NULL, take, t);
	}
	t->readings.error = t->readings.error ? t->readings.error : t->kept.log.error;
	free(wanted);
}

void trace_end(struct trace *t)
{
	if (t->only.n)
		take_kept(t);
	stock_run(t->stock, t->today, trace_flow, t);
	trace_settle(t);
}

void trace_settle(struct trace *t)
{
	stated_end(&t->stated);
	flow_log_end(&t->log);
	lineage_init(&t->wood, &t->log);
	lineage_init(&t->handle, &t->log);
	if (t->kins)
		kin_init(&t->kin, &t->log);
	t->facts = readings_resolve(&t->readings);
	air_book_settle(&t->air);
}

/* ---- what an id can be */

static unsigned lot_or_bat(const struct trace *t, uint32_t id)
{
	unsigned kinds = 0;
	size_t n;
	const uint32_t *of = flow_log_to(&t->log, id, &n);

	for (size_t i = 0; i < n; i++)
		kinds |= flow_log_kind(&t->log, t->log.flow[of[i]].to).form == FORM_BAT ? 1u << TRACE_BAT : 1u << TRACE_LOT;
	return kinds;
}

static bool is_tree(const struct trace *t, uint32_t id)
{
	const struct stated_source *source = stated_source_of(&t->stated, id);

	return (source && source->event == EVENT_FELL) || kin_is_tree(&t->kin, id);
}

/* As bits 1 << TRACE_...; 0 for none. */
unsigned trace_kinds(const struct trace *t, struct slice text)
{
	uint32_t id = intern_find(&t->stock->ids, text), lot = 0;
	size_t slash = slice_find(text, '/');

	if (slash < text.n) {
		lot = intern_find(&t->stock->ids, slice_upto(text, slash));
		return id && lot && (lot_or_bat(t, lot) & 1u << TRACE_LOT) ? 1u << TRACE_PIECE : 0;
	}
	if (!id)
		return 0;
	return lot_or_bat(t, id) | (stated_kiln_of(&t->stated, id) ? 1u << TRACE_CHARGE : 0) | (is_tree(t, id) ? 1u << TRACE_TREE : 0);
}

/* ---- choosing */

/* The blade of a bat, where it is one piece and not any of its lot. */
static uint32_t blade_of(const struct trace *t, uint32_t bat)
{
	size_t n;
	const struct stated_bat *row = stated_bats_of(&t->stated, bat, &n);

	for (size_t i = 0; i < n; i++) {
		struct slice blade = trace_text(t, row[i].blade);

		if (slice_find(blade, '/') < blade.n)
			return row[i].blade;
	}
	return 0;
}

static void choose_piece(struct trace *t, struct slice text)
{
	uint32_t bat = stated_bat_with(&t->stated, t->asked);

	t->piece = t->asked;
	t->id = bat ? bat : intern_find(&t->stock->ids, slice_upto(text, slice_find(text, '/')));
	t->kind = bat ? TRACE_BAT : TRACE_PIECE;
}

static void choose(struct trace *t, struct slice text, enum trace_kind kind)
{
	static const enum lineage_of OF[TRACE_KINDS] = { LINEAGE_BAT, LINEAGE_LOT, LINEAGE_LOT, LINEAGE_CHARGE, LINEAGE_TREE };

	t->asked = t->id = intern_find(&t->stock->ids, text);
	t->kind = kind;
	t->piece = 0;
	if (kind == TRACE_PIECE)
		choose_piece(t, text);
	else if (kind == TRACE_BAT)
		t->piece = blade_of(t, t->id);
	lineage_find(&t->wood, OF[t->kind], t->id);
	if (t->kind == TRACE_BAT)
		lineage_find(&t->handle, LINEAGE_HANDLE, t->id);
	else
		lineage_clear(&t->handle);
}

/* Of what can be found. */
static struct slice near_of(const struct trace *t, struct slice text)
{
	struct nearest near = nearest_to(text);

	for (uint32_t id = 1; id < t->log.nlots; id++) {
		size_t n;

		flow_log_to(&t->log, id, &n);
		if (n || stated_kiln_of(&t->stated, id) || stated_source_of(&t->stated, id))
			nearest_try(&near, stock_text(t->stock, id));
	}
	return near.best;
}

static void say_unknown(const struct trace *t, struct slice id, struct buf *why)
{
	if (intern_find(&t->stock->ids, id)) {
		buf_char(why, '\'');
		buf_add(why, id);
		buf_str(why, "' is in the book by ");
		day_write(why, t->today);
		buf_str(why, ", but not as a bat, blade, lot, charge or tree");
		return;
	}
	buf_str(why, "the book has no '");
	buf_add(why, id);
	buf_str(why, "' by ");
	day_write(why, t->today);
	buf_str(why, "; ");
	nearest_say(why, near_of(t, id), "--on");
}

/* "X1 is a lot and a charge; add --kind=lot or --kind=charge". */
static void say_kinds(struct slice id, unsigned kinds, struct buf *why)
{
	struct buf write = BUF_INIT;

	buf_add(why, id);
	for (int i = 0; i < TRACE_KINDS; i++) {
		if (!(kinds & 1u << i))
			continue;
		buf_printf(why, "%s a %s", write.n ? " and" : " is", trace_kind_words[i]);
		buf_printf(&write, "%s--kind=%s", write.n ? " or " : "", trace_kind_words[i]);
	}
	buf_str(why, "; add ");
	buf_add(why, buf_slice(&write));
	buf_release(&write);
}

enum trace_search trace_find(struct trace *t, struct slice id, int kind, struct buf *why)
{
	unsigned kinds = trace_kinds(t, id);

	if (!kinds) {
		say_unknown(t, id, why);
		return TRACE_UNKNOWN;
	}
	if (kind >= 0 && !(kinds & 1u << kind)) {
		buf_add(why, id);
		buf_printf(why, " is not a %s in this book; leave --kind out", trace_kind_words[kind]);
		return TRACE_UNKNOWN;
	}
	if (kind < 0 && (kinds & (kinds - 1))) {
		say_kinds(id, kinds, why);
		return TRACE_SEVERAL;
	}
	for (int i = 0; kind < 0; i++)
		if (kinds & 1u << i)
			kind = i;
	choose(t, id, (enum trace_kind)kind);
	return TRACE_FOUND;
}

struct slice trace_text(const struct trace *t, uint32_t id)
{
	return intern_text(&t->stock->ids, id);
}

uint32_t trace_lot(struct trace *t, const struct reading_of *of)
{
	size_t had = t->lots_of;
	uint32_t *lot;

	if (!of->lot_name)
		return intern_find(&t->stock->ids, of->lot);
	t->lot_of = mem_grow(t->lot_of, &t->lots_of, of->lot_name + 1u, sizeof *t->lot_of);
	if (t->lots_of > had)
		memset(t->lot_of + had, 0, (t->lots_of - had) * sizeof *t->lot_of);
	lot = &t->lot_of[of->lot_name];
	if (!*lot)
		*lot = intern_find(&t->stock->ids, of->lot) + 1;
	return *lot - 1;
}
