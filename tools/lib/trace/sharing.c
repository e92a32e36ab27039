#include "trace/sharing.h"

#include <stdlib.h>

#include "stock/stock_cells.h"
#include "stock/stock_say.h"
#include "trace/trace.h"

enum sharing_state { IN_STOCK, SOLD, CULLED };

/* A heap, with what it is sorted by. */
struct shared {
	struct kin_heap heap;
	struct stock_kind kind;
	enum sharing_state state;
	struct slice where, lot, type, grade, class;
	int32_t since;             /* the day on which the last of them came there */
	const struct stated_return *back; /* of a bat: the last return, or NULL */
};

/* What a table of them sums up to. */
struct sums_of {
	double pieces[3], bats[3], back;
	size_t parties;
};

/* ---- the rows */

static enum sharing_state state_of(const struct trace *t, const struct stock_kind *kind)
{
	return kind->place == t->stock->sold ? SOLD : kind->place == t->stock->culled ? CULLED : IN_STOCK;
}

static int32_t since_of(const struct trace *t, uint32_t lot, uint32_t heap)
{
	size_t n;
	const uint32_t *of = flow_log_to(&t->log, lot, &n);

	while (n-- > 0)
		if (t->log.flow[of[n]].to == heap)
			return flow_log_op(&t->log, &t->log.flow[of[n]])->day;
	return t->today;
}

static struct shared shared_of(const struct trace *t, const struct kin_heap *heap)
{
	struct stock_kind kind = flow_log_kind(&t->log, heap->heap);
	struct shared s = { .heap = *heap, .kind = kind, .state = state_of(t, &kind) };
	size_t n;

	s.where = s.state == SOLD ? trace_text(t, kind.party) : s.state == CULLED ? SLICE("") : trace_text(t, kind.place);
	s.lot = trace_text(t, kind.lot);
	s.type = trace_text(t, kind.type);
	s.grade = trace_text(t, kind.grade);
	s.class = trace_text(t, kind.class);
	s.since = since_of(t, kind.lot, heap->heap);
	s.back = stated_returns_of(&t->stated, kind.lot, &n);
	if (n && kind.form == FORM_BAT)
		s.back += n - 1;
	else
		s.back = NULL;
	return s;
}

/* Bats before other pieces. */
static int by_state(const void *a, const void *b)
{
	const struct shared *x = a, *y = b;
	int order;

	if (x->state != y->state)
		return x->state < y->state ? -1 : 1;
	if (x->kind.form != y->kind.form)
		return x->kind.form > y->kind.form ? -1 : 1;
	order = slice_cmp(x->where, y->where);
	order = order ? order : slice_cmp(x->lot, y->lot);
	order = order ? order : slice_cmp(x->type, y->type);
	order = order ? order : slice_cmp(x->grade, y->grade);
	return order ? order : slice_cmp(x->class, y->class);
}

/* In words for a reader: "to ostrin-cc", "culled (came back)". */
static void put_where(struct table *t, const struct shared *s)
{
	struct buf b = BUF_INIT;

	if (s->state == SOLD)
		buf_str(&b, s->where.n ? "to " : "sold");
	else if (s->state == CULLED)
		buf_str(&b, "culled");
	buf_add(&b, s->where);
	buf_str(&b, s->back ? " (came back)" : "");
	table_text(t, buf_slice(&b));
	buf_release(&b);
}

static void put_what(struct table *t, const struct shared *s)
{
	struct buf b = BUF_INIT;

	buf_add(&b, vocab_form(s->kind.form));
	if (s->type.n)
		buf_printf(&b, " %.*s", (int)s->type.n, s->type.p);
	if (s->grade.n)
		buf_printf(&b, "/%.*s", (int)s->grade.n, s->grade.p);
	table_text(t, buf_slice(&b));
	buf_release(&b);
}

static void put_shared(const struct trace *t, struct table *table, const struct tie *tie, const struct shared *s)
{
	static const char *const STATES[] = { "in stock", "sold", "culled" };

	table_cstr(table, tie_words[tie->kind]);
	table_text(table, trace_text(t, tie->id));
	put_what(table, s);
	table_text(table, s->lot);
	table_text(table, vocab_form(s->kind.form));
	stock_cell_word(table, s->type);
	stock_cell_word(table, s->grade);
	stock_cell_word(table, s->class);
	table_cstr(table, STATES[s->state]);
	put_where(table, s);
	stock_cell_word(table, s->where);
	table_int(table, s->heap.n);
	table_real(table, tie_round((double)s->heap.n * s->heap.share));
	stock_cell_day(table, s->since);
	if (s->back) {
		stock_cell_day(table, s->back->day);
		stock_cell_word(table, trace_text(t, s->back->cause));
	} else
		table_rest_absent(table);
}

/* ---- the finding */

static void add_sums(struct sums_of *sums, const struct shared *s)
{
	double n = (double)s->heap.n * s->heap.share;

	*(s->kind.form == FORM_BAT ? &sums->bats[s->state] : &sums->pieces[s->state]) += n;
	sums->back += s->back ? n : 0;
}

static void say(const struct trace *t, struct table *table, const struct tie *tie, const struct sums_of *s)
{
	struct buf b = BUF_INIT;

	buf_printf(&b, "Of %s ", tie_words[tie->kind]);
	buf_add(&b, trace_text(t, tie->id));
	if (tie->share < 1 - 1e-9) {
		buf_str(&b, ", ");
		stock_say_percent(&b, tie->share);
		buf_str(&b, " likely,");
	}
	buf_str(&b, " there are ");
	tie_say_number(&b, s->bats[IN_STOCK] + s->bats[SOLD] + s->bats[CULLED]);
	buf_str(&b, " other bats (in stock: ");
	tie_say_number(&b, s->bats[IN_STOCK]);
	buf_str(&b, ", with customers: ");
	tie_say_number(&b, s->bats[SOLD]);
	buf_str(&b, ", culled: ");
	tie_say_number(&b, s->bats[CULLED]);
	buf_str(&b, "); ");
	tie_say_number(&b, s->back);
	buf_str(&b, " came back. Other pieces in stock: ");
	tie_say_number(&b, s->pieces[IN_STOCK]);
	buf_char(&b, '.');
	table_finding(table, buf_slice(&b));
	buf_release(&b);
}

static void add_tie(struct trace *t, struct table *table, const struct tie *tie)
{
	struct shared *row;
	struct sums_of sums = { .back = 0 };
	size_t n = 0;

	tie_kin(t, tie);
	row = mem_array(t->kin.n + 1, sizeof *row);
	for (size_t i = 0; i < t->kin.n; i++) {
		row[n] = shared_of(t, &t->kin.heap[i]);
		if (t->kind != TRACE_BAT || row[n].kind.lot != t->id)
			n++;
	}
	qsort(row, n, sizeof *row, by_state);
	for (size_t i = 0; i < n; i++) {
		put_shared(t, table, tie, &row[i]);
		add_sums(&sums, &row[i]);
	}
	say(t, table, tie, &sums);
	free(row);
}

/* The finding speaks of a few ties. */
void sharing_view(const struct sharing_ask *ask, struct trace *t, const struct ties *ties, struct table *table)
{
	static const struct table_column columns[] = {
		{ "by", TABLE_TEXT, 0, NULL }, { "id", TABLE_TEXT, 0, "shares" }, { "what", TABLE_TEXT, 0, "what" }, { "lot", TABLE_TEXT, 0, "bat or lot" },
		{ "part", TABLE_TEXT, 0, NULL }, { "type", TABLE_TEXT, 0, NULL }, { "grade", TABLE_TEXT, 0, NULL }, { "class", TABLE_TEXT, 0, NULL },
		{ "state", TABLE_TEXT, 0, NULL }, { "where", TABLE_TEXT, 0, "where now" }, { "place_or_party", TABLE_TEXT, 0, NULL },
		{ "pieces", TABLE_INT, 0, "pieces" }, { "expected", TABLE_REAL, 1, "of it" }, { "since", TABLE_DATE, 0, "since" },
		{ "came_back", TABLE_DATE, 0, NULL }, { "cause", TABLE_TEXT, 0, NULL },
	};

	table_init(table, columns, sizeof columns / sizeof *columns);
	for (size_t i = 0; i < ties->n; i++)
		if (ask->by[ties->tie[i].kind])
			add_tie(t, table, &ties->tie[i]);
	table_note(table, SLICE("of it: how many of the pieces, to be expected where pieces were mixed"));
}
