#include <math.h>

#include "stock/stock_say.h"
#include "trace/trace_view_internal.h"

/* Names with their shares that a sentence holds; of more it says how many there are. */
enum { SAY_NAMES = 3 };

static void name(const struct trace_found *f, uint32_t id, struct buf *b)
{
	buf_add(b, trace_text(f->trace, id));
}

/* ---- ties */

/* The ties of one kind: the first, and how many. */
static const struct tie *ties_of(const struct trace_found *f, enum tie_kind kind, size_t *n)
{
	const struct tie *first = NULL;

	*n = 0;
	for (size_t i = 0; i < f->ties->n; i++)
		if (f->ties->tie[i].kind == kind) {
			first = first ? first : &f->ties->tie[i];
			++*n;
		}
	return first;
}

static void percent(struct buf *b, double share)
{
	if (share > 0.9995 && share < 1)
		buf_str(b, "over 99.9 %");
	else if (share < 0.0005)
		buf_str(b, "under 0.1 %");
	else
		stock_say_percent(b, share);
}

/* "K26-05", "K26-05 (60 %) or K26-07 (40 %)", "one of 12 trees (5.1 to 11 % each)". */
static void say_ties(const struct trace_found *f, const struct tie *tie, size_t n, struct buf *b)
{
	bool sure = n == 1 && tie->share > 1 - 1e-9;

	if (n > SAY_NAMES) {
		buf_printf(b, "one of %zu %ss (", n, tie_words[tie->kind]);
		percent(b, tie[n - 1].share);
		buf_str(b, " to ");
		percent(b, tie->share);
		buf_str(b, " each)");
		return;
	}
	for (size_t i = 0; i < n; i++) {
		buf_str(b, i == 0 ? "" : i + 1 < n ? ", " : " or ");
		name(f, tie[i].id, b);
		if (sure)
			continue;
		buf_str(b, " (");
		percent(b, tie[i].share);
		buf_char(b, ')');
	}
}

/* ---- a bat */

/* The heap in which the bat is now. */
static struct stock_kind bat_now(const struct trace *t)
{
	size_t n;
	const uint32_t *of = flow_log_to(&t->log, t->id, &n);
	struct stock_kind kind = { .form = -1 };

	while (n-- > 0) {
		kind = flow_log_kind(&t->log, t->log.flow[of[n]].to);
		if (kind.form == FORM_BAT && flow_log_held(&t->log, t->log.flow[of[n]].to) > 0)
			break;
	}
	return kind;
}

static void say_made_of(const struct trace_found *f, const struct stated_bat *made, struct buf *b)
{
	buf_str(b, ", made on ");
	stock_say_day(b, made->day);
	buf_str(b, " of a blade of ");
	name(f, made->blade, b);
	buf_str(b, " and a handle of ");
	name(f, made->handle, b);
}

/* The row that says of what blade the bat was made, whatever came before it on that day; NULL for none. */
static const struct stated_bat *making_of(const struct stated_bat *row, size_t n)
{
	for (size_t i = 0; i < n; i++)
		if (row[i].blade)
			return &row[i];
	return NULL;
}

static void say_making(const struct trace_found *f, struct buf *b)
{
	const struct trace *t = f->trace;
	struct stock_kind kind = bat_now(t);
	size_t n, handles;
	const struct stated_bat *row = stated_bats_of(&t->stated, t->id, &n), *made = making_of(row, n);
	const struct tie *handle = ties_of(f, TIE_HANDLE, &handles);

	name(f, t->id, b);
	buf_str(b, " is a bat");
	if (kind.type) {
		buf_str(b, ", ");
		name(f, kind.type, b);
	}
	if (kind.grade) {
		buf_str(b, kind.type ? " grade " : ", grade ");
		name(f, kind.grade, b);
	}
	if (made)
		say_made_of(f, made, b);
	else
		buf_str(b, "; no line says what it was made of");
	if (n > (made != NULL) && handle) {
		buf_str(b, "; its handle now is of ");
		say_ties(f, handle, handles, b);
	}
	buf_char(b, '.');
}

/* On which day it came where it is. */
static int32_t last_day(const struct trace *t, uint32_t *cause)
{
	size_t n;
	const uint32_t *of = flow_log_to(&t->log, t->id, &n);
	const struct log_flow *f;

	if (!n)
		return t->today;
	f = &t->log.flow[of[n - 1]];
	*cause = f->cause;
	return flow_log_op(&t->log, f)->day;
}

static void say_returns(const struct trace_found *f, struct buf *b)
{
	size_t n;
	const struct stated_return *back = stated_returns_of(&f->trace->stated, f->trace->id, &n);

	for (size_t i = 0; i < n; i++) {
		buf_str(b, i ? " and on " : " It came back on ");
		stock_say_day(b, back[i].day);
		buf_str(b, " (");
		name(f, back[i].cause, b);
		buf_char(b, ')');
	}
	if (n)
		buf_char(b, '.');
}

static void say_where(const struct trace_found *f, struct buf *b)
{
	const struct trace *t = f->trace;
	struct stock_kind kind = bat_now(t);
	uint32_t cause = 0;
	int32_t day = last_day(t, &cause);

	if (kind.place == t->stock->sold) {
		buf_str(b, " It was sold to ");
		name(f, kind.party, b);
		buf_str(b, kind.party ? "" : "somebody");
	} else if (kind.place == t->stock->culled) {
		buf_str(b, " It was culled for ");
		name(f, cause, b);
	} else {
		buf_str(b, " It is in ");
		name(f, kind.place, b);
		buf_str(b, ", since");
	}
	buf_str(b, kind.place == t->stock->sold || kind.place == t->stock->culled ? " on " : " ");
	stock_say_day(b, day);
	buf_char(b, '.');
}

/* ---- pieces in general */

/* Whether all wood came of trees that the book names. */
static bool all_trees(const struct sources *s)
{
	bool any = false;

	for (size_t i = 0; i < s->n; i++) {
		if (s->row[i].form == FORM_HANDLE)
			continue;
		if (!s->row[i].tree)
			return false;
		any = true;
	}
	return any;
}

/* What the wood came in as: its trees, or else its lots. Returns how many. */
static size_t say_sources(const struct trace_found *f, const char *before, struct buf *b)
{
	enum tie_kind kind = all_trees(&f->sources) ? TIE_TREE : TIE_LOT;
	struct ties of = { .n = 0 };
	size_t n;

	for (size_t i = 0; i < f->sources.n; i++)
		if (f->sources.row[i].form != FORM_HANDLE && (kind == TIE_TREE || f->sources.row[i].lot != f->trace->id))
			ties_note(&of, kind, kind == TIE_TREE ? f->sources.row[i].tree : f->sources.row[i].lot, f->sources.row[i].share);
	ties_sort(&of, f->trace);
	n = of.n;
	if (n) {
		buf_str(b, before);
		say_ties(f, of.tie, n, b);
	}
	ties_release(&of);
	return n;
}

/* Whom all of it is from, if that is one. */
static void say_supplier(const struct trace_found *f, const char *before, struct buf *b)
{
	uint32_t from = 0;

	for (size_t i = 0; i < f->sources.n; i++) {
		const struct source *s = &f->sources.row[i];

		if (f->trace->kind == TRACE_BAT && s->form == FORM_HANDLE)
			continue;
		if (!s->stated || !s->stated->from || (from && s->stated->from != from))
			return;
		from = s->stated->from;
	}
	if (!from)
		return;
	buf_str(b, before);
	name(f, from, b);
}

/* "Its wood is of T061, from hale, dried in K26-05." */
static void say_wood(const struct trace_found *f, struct buf *b)
{
	size_t charges, sources = 0;
	const struct tie *charge = ties_of(f, TIE_CHARGE, &charges);
	bool one = f->trace->kind == TRACE_BAT || f->trace->kind == TRACE_PIECE;

	if (f->trace->kind == TRACE_CHARGE || f->trace->kind == TRACE_TREE)
		return;
	if (one || all_trees(&f->sources))
		sources = say_sources(f, one ? " Its wood is of " : " They are of ", b);
	if (sources)
		say_supplier(f, ", from ", b);
	if (charges) {
		buf_str(b, sources ? ", dried in " : one ? " It was dried in " : " They were dried in ");
		say_ties(f, charge, charges, b);
	}
	buf_str(b, sources || charges ? "." : "");
}

/* The tie with most bats that came back. */
static const struct tie *worst_tie(const struct trace_found *f)
{
	const struct tie *worst = NULL;

	for (size_t i = 0; i < f->ties->n; i++) {
		const struct tie_counts *c = &f->ties->tie[i].counts, *w = worst ? &worst->counts : NULL;
		double bats = tie_bats(c), worst_bats = w ? tie_bats(w) : 0;

		if (bats > 1.5 && c->bats_back > 1e-9 && (!w || c->bats_back * worst_bats > w->bats_back * bats))
			worst = &f->ties->tie[i];
	}
	return worst;
}

/* "Of the 20 bats with a handle of H034, 2 came back. Now with customers: 18, in stock: 0, culled: 2." */
static void say_kin(const struct trace_found *f, struct buf *b)
{
	const struct tie *tie = worst_tie(f);
	const struct tie_counts *c = tie ? &tie->counts : NULL;

	if (!tie)
		return;
	buf_str(b, " Of the ");
	tie_say_number(b, tie_bats(c));
	buf_str(b, tie->kind == TIE_HANDLE ? " bats with a handle of " : " bats with wood of ");
	name(f, tie->id, b);
	buf_str(b, ", ");
	tie_say_number(b, c->bats_back);
	buf_str(b, " came back. Now with customers: ");
	tie_say_number(b, c->bats_sold);
	buf_str(b, ", in stock: ");
	tie_say_number(b, c->bats_stock);
	buf_str(b, ", culled: ");
	tie_say_number(b, c->bats_culled);
	if (c->bats_refit > 0) {
		buf_str(b, ", with another handle: ");
		tie_say_number(b, c->bats_refit);
	}
	buf_char(b, '.');
}

/* "Now in stock: 12, in bats: 1, sold: 3, culled: 2." */
static void say_now(const struct trace_found *f, struct buf *b)
{
	enum tie_kind kind = f->trace->kind == TRACE_CHARGE ? TIE_CHARGE : f->trace->kind == TRACE_TREE ? TIE_TREE : TIE_LOT;
	const struct tie *tie = NULL;

	for (size_t i = 0; i < f->ties->n; i++)
		if ((f->ties->tie[i].kind == kind || f->ties->tie[i].kind == TIE_HANDLE) && f->ties->tie[i].id == f->trace->id)
			tie = &f->ties->tie[i];
	if (!tie)
		return;
	buf_str(b, " Now in stock: ");
	tie_say_number(b, tie->counts.stock);
	buf_str(b, ", in bats: ");
	tie_say_number(b, tie->counts.bats_stock + tie->counts.bats_sold + tie->counts.bats_culled);
	buf_str(b, ", sold: ");
	tie_say_number(b, tie->counts.sold);
	buf_str(b, ", culled: ");
	tie_say_number(b, tie->counts.culled);
	buf_char(b, '.');
}

/* On which day the first of its pieces became a lot: not that of their tree, or of the lots that a pool is of. */
static int32_t lot_day(const struct trace *t)
{
	size_t n;
	const uint32_t *of = flow_log_to(&t->log, t->id, &n);
	int32_t first = INT32_MAX;

	for (size_t i = 0; i < n; i++)
		if (flow_log_op(&t->log, &t->log.flow[of[i]])->day < first)
			first = flow_log_op(&t->log, &t->log.flow[of[i]])->day;
	return first;
}

static int32_t felling_day(const struct trace_found *f)
{
	int32_t first = INT32_MAX;

	for (size_t i = 0; i < f->way.n; i++)
		first = f->way.row[i].first < first ? f->way.row[i].first : first;
	return first;
}

static int32_t loading_day(const struct trace_found *f)
{
	for (size_t i = 0; i < f->way.nplaces; i++)
		if (f->way.place[i].place == f->trace->id)
			return f->way.place[i].first;
	return INT32_MAX;
}

/* Since when the book has it: a charge since it was loaded. */
static void say_since(const struct trace_found *f, struct buf *b)
{
	enum trace_kind kind = f->trace->kind;
	int32_t first = kind == TRACE_CHARGE ? loading_day(f) : kind == TRACE_TREE ? felling_day(f) : lot_day(f->trace);

	if (first == INT32_MAX)
		return;
	buf_str(b, kind == TRACE_CHARGE ? ", loaded on " : kind == TRACE_TREE ? ", felled on " : ", since ");
	stock_say_day(b, first);
}

static void say_pieces(const struct trace_found *f, struct buf *b)
{
	static const char *const WORDS[] = { "", "a lot", "a piece of a lot", "a charge", "a tree" };
	const struct trace *t = f->trace;

	name(f, t->asked, b);
	buf_printf(b, " is %s of ", WORDS[t->kind]);
	stock_say_count(b, t->wood.pieces, t->kind == TRACE_TREE ? SLICE("cleft") : SLICE("piece"));
	say_since(f, b);
	if (!all_trees(&f->sources))
		say_supplier(f, ", bought from ", b);
	buf_char(b, '.');
	say_wood(f, b);
	say_now(f, b);
}

void trace_say(const struct trace_found *f, struct table *t)
{
	struct buf b = BUF_INIT;

	if (f->trace->kind == TRACE_BAT) {
		say_making(f, &b);
		say_returns(f, &b);
		say_where(f, &b);
		say_wood(f, &b);
	} else
		say_pieces(f, &b);
	say_kin(f, &b);
	table_finding(t, buf_slice(&b));
	buf_release(&b);
}
