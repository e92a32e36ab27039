/*
 * wy-yield - the way from tree to customer, step by step: how many, what was lost and why, how long.
 */
#include <stdlib.h>

#include "base/mem.h"
#include "cli/tool.h"
#include "cli/tool_book.h"
#include "math/stats.h"
#include "stock/provenance.h"
#include "stock/stages.h"
#include "table/table.h"

enum { BY_TREE, BY_PARCEL, BY_SUPPLIER, BY_LOT, BY_MONTH, BY_CHARGE, BY_TYPE, BYS };

static const char *const BY_WORDS[] = { "tree", "parcel", "supplier", "lot", "month", "charge", "type", NULL };

/* The row of all steps; STAGE_GONE is no row's step. */
enum { STEP_ALL = STAGE_GONE };

static const char *by_text, *from_text, *to_text, *since_text;
static bool want_losses, want_handles, want_shares, want_through;

static const struct opt options[] = {
	OPT_TEXT(0, "by", &by_text, "KEYS", "a row for each: some of tree, parcel, supplier, lot, month\n(in which the lot came in), charge, type, with commas"),
	OPT_FLAG(0, "losses", &want_losses, "what was lost, by step and cause"),
	OPT_FLAG(0, "through", &want_through, "also the share of what came in that gets through each step"),
	OPT_FLAG(0, "handles", &want_handles, "the handles' way instead of the wood's"),
	OPT_FLAG(0, "apportion", &want_shares, "share a pool's pieces over the lots and trees that it is of"),
	OPT_DATE(0, "from", &from_text, "only lots that came in on this day or later"),
	OPT_DATE(0, "to", &to_text, "only lots that came in on this day or before"),
	OPT_DATE(0, "since", &since_text, "only what happened from that day on; the column start\nhas what was there before"),
	OPT_PART(tool_answer_options),
	OPT_END
};

static const struct opt_page page = {
	.name = "wy-yield",
	.purpose = "the way from tree to customer: counts, losses, days, step by step",
	.usage = "[--by KEYS] [options] [FILE...]\n--losses [--by KEYS] [options] [FILE...]",
	.options = options,
	.exits = "0  done\n1  nothing to show, or the book does not add up\n2  wrong use, or something could not be read or written",
	.example = "wy-yield --by supplier --losses book.wy\nwhere each supplier's pieces were lost, and why",
};

/* What a row is for. */
struct head {
	struct slice key[BYS];     /* in the order of --by */
	uint32_t lot;              /* whose parents are told, or 0 */
	uint32_t step;             /* a WAY_... or STEP_ALL */
};

struct row {
	struct head head;
	int64_t n[STAGE_COUNTS];
};

/* Where what is counted in a cell goes: its own row, its key's, and the same two of all keys. */
struct goes {
	struct head head;
	uint32_t cell, nat;
	size_t at[4];
};

struct answer {
	struct book book;
	struct stock stock;
	struct provenance origins;
	struct stages way;
	int32_t today, from, to, since;
	size_t by[BYS], nby;
	bool parents;              /* there is a column for them */
	struct goes *goes;
	size_t ngoes;
	struct row *row;
	size_t nrows, rows_cap;
};

/* ---- options */

static void choose_keys(struct answer *a)
{
	a->nby = tool_words("--by", by_text, BY_WORDS, a->by);
	for (size_t i = 0; i < a->nby; i++)
		a->parents |= a->by[i] < BY_CHARGE && !want_shares;
}

static int32_t day_or(const char *text, int32_t other)
{
	int32_t day = other;

	if (text && *text)
		date_read(slice_of(text), &day);
	return day;
}

static void check_options(void)
{
	if (want_losses && want_through)
		tool_misused("--through has no column among the losses; ask for one of the two");
}

static void choose_days(struct answer *a)
{
	a->from = day_or(from_text, INT32_MIN);
	a->to = day_or(to_text, INT32_MAX);
	if (a->from > a->to)
		tool_misused("--from %s --to %s: no day lies between them", from_text, to_text);
	a->since = day_or(since_text, INT32_MIN);
}

/* ---- from cells to rows */

static enum origin_key origin_of(size_t by)
{
	static const enum origin_key KEY[] = { PROVENANCE_TREE, PROVENANCE_PARCEL, PROVENANCE_SUPPLIER, PROVENANCE_LOT, PROVENANCE_MONTH };

	return KEY[by];
}

/* A key of pieces whose tree is known apart from their lot, which is where pools are shared. */
static bool by_tree(const struct stage_who *who, size_t by)
{
	return who->tree && (by == BY_TREE || by == BY_PARCEL || by == BY_SUPPLIER);
}

static struct slice key_of(const struct answer *a, const struct stage_who *who, size_t by, uint32_t *mixed)
{
	uint32_t lot = provenance_key(&a->origins, who->lot, PROVENANCE_LOT), id;

	if (by == BY_CHARGE)
		return stock_text(&a->stock, who->charge);
	if (by == BY_TYPE)
		return stock_text(&a->stock, who->type);
	id = by_tree(who, by) ? provenance_tree_key(&a->origins, who->tree, origin_of(by)) : provenance_key(&a->origins, who->lot, origin_of(by));
	if (id == PROVENANCE_MIXED || (by == BY_LOT && provenance_is_pool(&a->origins, lot)))
		*mixed = id = lot;
	return stock_text(&a->stock, id);
}

static bool in_cohort(const struct answer *a, const struct stage_who *who)
{
	int32_t day = provenance_day(&a->origins, who->lot);

	return (a->from == INT32_MIN && a->to == INT32_MAX) || (day >= a->from && day <= a->to && day != PROVENANCE_NO_DAY);
}

static struct head head_of(const struct answer *a, const struct stage_cell *cell)
{
	struct head head = { .step = cell->step };

	for (size_t i = 0; i < a->nby; i++)
		head.key[i] = key_of(a, &cell->who, a->by[i], &head.lot);
	return head;
}

static int by_keys(const struct head *x, const struct head *y)
{
	int order = 0;

	for (int i = 0; !order && i < BYS; i++)
		order = slice_cmp(x->key[i], y->key[i]);
	return order;
}

static int by_head(const void *a, const void *b)
{
	const struct goes *x = a, *y = b;
	int order = by_keys(&x->head, &y->head);

	return order ? order : (x->head.step > y->head.step) - (x->head.step < y->head.step);
}

/* Adds what a cell counts to a row of its step, or to one of all steps. */
static void add_cell(struct row *row, const struct stage_cell *cell)
{
	const int64_t *n = cell->n;

	if (row->head.step != STEP_ALL) {
		for (int i = 0; i < STAGE_COUNTS; i++)
			row->n[i] += n[i];
		return;
	}
	row->n[STAGE_START] += n[STAGE_START];
	row->n[STAGE_IN] += cell->step <= STAGE_BUY ? n[STAGE_IN] : 0;
	row->n[STAGE_FOUND] += n[STAGE_FOUND];
	row->n[STAGE_CROSSED] += n[STAGE_JOINED];
	row->n[STAGE_BACK] += n[STAGE_RETURNED];
	row->n[STAGE_OUT] += n[STAGE_SOLD];
	row->n[STAGE_CULLED] += n[STAGE_CULLED];
	row->n[STAGE_STILL] += n[STAGE_STILL];
}

static size_t new_row(struct answer *a, struct head head, uint32_t step)
{
	head.step = step;
	a->row = mem_grow(a->row, &a->rows_cap, a->nrows + 1, sizeof *a->row);
	a->row[a->nrows] = (struct row){ .head = head };
	return a->nrows++;
}

/* The rows of one key, which are goes[first..end), and their row of all steps. */
static void add_key(struct answer *a, size_t first, size_t end)
{
	size_t at = 0;

	for (size_t i = first; i < end; i++) {
		struct goes *g = &a->goes[i];

		if (i == first || g->head.step != a->goes[i - 1].head.step)
			at = new_row(a, g->head, g->head.step);
		if (!a->row[at].head.lot)
			a->row[at].head.lot = g->head.lot;
		g->at[g->nat++] = at;
	}
	at = new_row(a, a->row[at].head, STEP_ALL);
	for (size_t i = first; i < end; i++)
		a->goes[i].at[a->goes[i].nat++] = at;
}

/* The rows of all keys. */
static void add_total(struct answer *a)
{
	struct head all = { .step = 0 };
	size_t at[STAGE_GONE + 1] = { 0 };

	for (size_t i = 0; i < a->nby; i++)
		all.key[i] = SLICE("all");
	for (uint32_t step = 0; step < STAGE_GONE; step++)
		for (size_t i = 0; i < a->ngoes && !at[step]; i++)
			if (a->goes[i].head.step == step)
				at[step] = new_row(a, all, step);
	at[STEP_ALL] = new_row(a, all, STEP_ALL);
	for (size_t i = 0; i < a->ngoes; i++) {
		struct goes *g = &a->goes[i];

		g->at[g->nat++] = at[g->head.step];
		g->at[g->nat++] = at[STEP_ALL];
	}
}

/* Nothing happened in it during the days that are counted. */
static bool is_idle(const struct stage_cell *cell)
{
	int i = 0;

	while (i < STAGE_COUNTS && !cell->n[i])
		i++;
	return i == STAGE_COUNTS;
}

static void make_rows(struct answer *a)
{
	const struct stages *w = &a->way;

	a->goes = mem_zeroed(w->ncells, sizeof *a->goes);
	for (uint32_t i = 0; i < w->ncells; i++)
		if (w->cell[i].step != STAGE_GONE && !is_idle(&w->cell[i]) && in_cohort(a, &w->cell[i].who))
			a->goes[a->ngoes++] = (struct goes){ .head = head_of(a, &w->cell[i]), .cell = i };
	if (!a->ngoes)
		return;
	qsort(a->goes, a->ngoes, sizeof *a->goes, by_head);
	for (size_t i = 0, k; i < a->ngoes; i = k) {
		for (k = i; k < a->ngoes && by_keys(&a->goes[i].head, &a->goes[k].head) == 0; k++)
			;
		add_key(a, i, k);
	}
	if (a->nby)
		add_total(a);
	for (size_t i = 0; i < a->ngoes; i++)
		for (size_t k = 0; k < a->goes[i].nat; k++)
			add_cell(&a->row[a->goes[i].at[k]], &w->cell[a->goes[i].cell]);
}

/* By cell, its place in `goes` + 1; 0 for one that is left out. */
static size_t *goes_by_cell(const struct answer *a)
{
	size_t *at = mem_zeroed(a->way.ncells, sizeof *at);

	for (size_t i = 0; i < a->ngoes; i++)
		at[a->goes[i].cell] = i + 1;
	return at;
}

/* ---- days in a step */

struct stay {
	size_t row;
	int32_t days;
	int64_t n;
};

static int by_row_days(const void *a, const void *b)
{
	const struct stay *x = a, *y = b;

	if (x->row != y->row)
		return x->row < y->row ? -1 : 1;
	return (x->days > y->days) - (x->days < y->days);
}

static int32_t days_at(const struct stay *s, int64_t piece)
{
	while (piece >= s->n)
		piece -= (s++)->n;
	return s->days;
}

/* Twice the median number of days, by row; -1 where nothing went on. */
static int64_t *medians(const struct answer *a)
{
	const size_t *at = goes_by_cell(a);
	struct stay *stay = mem_array(a->way.nstays * 4, sizeof *stay);
	int64_t *twice = mem_array(a->nrows, sizeof *twice);
	size_t n = 0;

	for (size_t i = 0; i < a->nrows; i++)
		twice[i] = -1;
	for (size_t i = 0; i < a->way.nstays; i++) {
		const struct stage_stay *s = &a->way.stay[i];
		const struct goes *g = at[s->cell] ? &a->goes[at[s->cell] - 1] : NULL;

		for (size_t k = 0; g && k < g->nat; k++)
			stay[n++] = (struct stay){ g->at[k], s->days, s->n };
	}
	if (n)
		qsort(stay, n, sizeof *stay, by_row_days);
	for (size_t i = 0, k; i < n; i = k) {
		int64_t pieces = 0;

		for (k = i; k < n && stay[k].row == stay[i].row; k++)
			pieces += stay[k].n;
		twice[stay[i].row] = (int64_t)days_at(&stay[i], (pieces - 1) / 2) + days_at(&stay[i], pieces / 2);
	}
	free(stay);
	free((void *)(uintptr_t)at);
	return twice;
}

/* ---- shares */

/* Of all steps together nothing can be said before they are over. */
static struct stage_share yield_of(const struct row *r)
{
	bool closed = stages_entered(r->n) == r->n[STAGE_OUT] + r->n[STAGE_CULLED];

	return r->head.step == STEP_ALL && !closed ? (struct stage_share){ false, 0, 0 } : stages_yield(r->n);
}

/* What is cleft and what is bought comes in side by side. */
static struct stage_share arrival(const struct row *cleave, const struct row *buy)
{
	struct row both = *cleave;

	for (int i = 0; i < STAGE_COUNTS; i++)
		both.n[i] += buy->n[i];
	return yield_of(&both);
}

/* ---- printing */

static void put_day(struct table *t, int32_t day)
{
	struct buf text = BUF_INIT;

	day_write(&text, day);
	table_date(t, buf_slice(&text));
	buf_release(&text);
}

static void put_word(struct table *t, struct slice word)
{
	if (word.n)
		table_text(t, word);
	else
		table_absent(t);
}

static void put_parents(const struct answer *a, struct table *t, const struct head *r)
{
	struct buf text = BUF_INIT;

	if (r->lot && !want_shares)
		provenance_parents(&a->origins, r->lot, &text);
	put_word(t, buf_slice(&text));
	buf_release(&text);
}

static void put_share(struct table *t, struct stage_share s)
{
	double low, high;

	if (!s.known) {
		for (int i = 0; i < 3; i++)
			table_absent(t);
		return;
	}
	wilson_share(s.p, s.n, NORMAL_975, &low, &high);
	table_real(t, s.p);
	table_real(t, low);
	table_real(t, high);
}

static void put_head(const struct answer *a, struct table *t, const struct head *r)
{
	if (since_text)
		put_day(t, a->since);
	put_day(t, a->today);
	for (size_t i = 0; i < a->nby; i++)
		put_word(t, r->key[i]);
	if (a->parents)
		put_parents(a, t, r);
	table_cstr(t, r->step == STEP_ALL ? "all" : stages_step_words[r->step]);
}

static void begin_table(const struct answer *a, struct table *t)
{
	static const struct table_column DAYS[] = { { "since", TABLE_DATE, 0, NULL }, { "as_of", TABLE_DATE, 0, NULL } };

	table_init(t, since_text ? DAYS : DAYS + 1, since_text ? 2 : 1);
	for (size_t i = 0; i < a->nby; i++)
		table_add_column(t, BY_WORDS[a->by[i]], TABLE_TEXT, 0);
	if (a->parents)
		table_add_column(t, "parents", TABLE_TEXT, 0);
	table_add_column(t, "step", TABLE_TEXT, 0);
}

static void add_columns(struct table *t, const char *const *names, size_t n, enum table_type type, unsigned places)
{
	for (size_t i = 0; i < n; i++)
		table_add_column(t, names[i], type, places);
}

static void yield_columns(struct table *t)
{
	static const char *const COUNTS[] = { "start", "in", "found", "crossed", "back", "out", "culled", "still" };
	static const char *const SHARES[] = { "yield", "yield_low", "yield_high", "through", "through_low", "through_high" };
	size_t skip = since_text ? 0 : 1, shares = want_through ? 6 : 3;

	add_columns(t, COUNTS + skip, sizeof COUNTS / sizeof *COUNTS - skip, TABLE_INT, 0);
	add_columns(t, SHARES, shares, TABLE_REAL, 3);
	table_add_column(t, "median_days", TABLE_FIXED, 1);
}

static void put_row(const struct answer *a, struct table *t, const struct row *r, struct stage_share through, int64_t twice)
{
	put_head(a, t, &r->head);
	for (int i = since_text ? STAGE_START : STAGE_IN; i <= STAGE_STILL; i++)
		table_int(t, r->n[i]);
	put_share(t, yield_of(r));
	if (want_through)
		put_share(t, through);
	if (twice < 0)
		table_absent(t);
	else
		table_fixed(t, twice * 5, 1);
}

/* The rows of one key from its first step on, the yields multiplied up. */
static size_t print_key(const struct answer *a, struct table *t, size_t first, const int64_t *twice)
{
	struct stages_through through = stages_through_none;
	size_t i = first;

	for (; a->row[i].head.step != STEP_ALL; i++) {
		bool two = i == first && a->row[i].head.step == STAGE_CLEAVE && a->row[i + 1].head.step == STAGE_BUY;

		if (!(i > first && a->row[i].head.step == STAGE_BUY))
			stages_through_add(&through, two ? arrival(&a->row[i], &a->row[i + 1]) : yield_of(&a->row[i]));
		put_row(a, t, &a->row[i], stages_through(&through), twice[i]);
	}
	put_row(a, t, &a->row[i], (struct stage_share){ false, 0, 0 }, -1);
	return i + 1;
}

static void print_yield(const struct answer *a)
{
	int64_t *twice = medians(a);
	struct table t;

	begin_table(a, &t);
	yield_columns(&t);
	for (size_t i = 0; i < a->nrows;)
		i = print_key(a, &t, i, twice);
	table_note(&t, SLICE("yield: of those that came to the end of the step, the share that went on"));
	if (want_through)
		table_note(&t, SLICE("through: the yields so far, multiplied"));
	table_note(&t, SLICE("in + found + crossed (pooled, or of another type or charge from there on) + back = out + culled + still; median_days: of those that went on"));
	tool_print_table(&t);
	table_release(&t);
	free(twice);
}

/* ---- losses */

struct loss {
	size_t row;
	struct slice cause;
	int64_t n;
};

static int by_cause(const void *a, const void *b)
{
	const struct loss *x = a, *y = b;

	if (x->row != y->row)
		return x->row < y->row ? -1 : 1;
	return slice_cmp(x->cause, y->cause);
}

static int by_size(const void *a, const void *b)
{
	const struct loss *x = a, *y = b;

	if (x->row != y->row)
		return x->row < y->row ? -1 : 1;
	if (x->n != y->n)
		return x->n > y->n ? -1 : 1;
	return slice_cmp(x->cause, y->cause);
}

static struct loss *losses(const struct answer *a, size_t *n)
{
	const size_t *at = goes_by_cell(a);
	struct loss *loss = mem_array(a->way.nlosses * 4, sizeof *loss);
	size_t all = 0;

	*n = 0;
	for (size_t i = 0; i < a->way.nlosses; i++) {
		const struct stage_loss *l = &a->way.loss[i];
		const struct goes *g = at[l->cell] ? &a->goes[at[l->cell] - 1] : NULL;

		for (size_t k = 0; g && k < g->nat; k++)
			loss[all++] = (struct loss){ g->at[k], stock_text(&a->stock, l->cause), l->n };
	}
	if (all)
		qsort(loss, all, sizeof *loss, by_cause);
	for (size_t i = 0; i < all; i++)
		if (*n && by_cause(&loss[*n - 1], &loss[i]) == 0)
			loss[*n - 1].n += loss[i].n;
		else
			loss[(*n)++] = loss[i];
	if (*n)
		qsort(loss, *n, sizeof *loss, by_size);
	free((void *)(uintptr_t)at);
	return loss;
}

static size_t print_losses(const struct answer *a)
{
	static const char *const SHARES[] = { "share", "share_low", "share_high" };
	size_t n;
	struct loss *loss = losses(a, &n);
	struct table t;

	begin_table(a, &t);
	table_add_column(&t, "cause", TABLE_TEXT, 0);
	table_add_column(&t, "count", TABLE_INT, 0);
	table_add_column(&t, "entered", TABLE_INT, 0);
	add_columns(&t, SHARES, 3, TABLE_REAL, 3);
	for (size_t i = 0; i < n; i++) {
		const struct row *r = &a->row[loss[i].row];
		int64_t all = stages_entered(r->n);

		put_head(a, &t, &r->head);
		table_text(&t, loss[i].cause);
		table_int(&t, loss[i].n);
		table_int(&t, all);
		put_share(&t, (struct stage_share){ all > 0, (double)loss[i].n / (double)all, (double)all });
	}
	table_note(&t, SLICE("share: of all that entered the step"));
	tool_print_table(&t);
	table_release(&t);
	free(loss);
	return n;
}

/* ---- the run */

static void read_book(struct answer *a)
{
	const struct line *l;

	while ((l = book_next(&a->book))) {
		if (l->kind != LINE_EVENT || l->stamp.day > a->today)
			continue;
		provenance_add(&a->origins, l);
		book_stock_add(&a->book, &a->stock, l);
	}
}

int main(int argc, char **argv)
{
	static struct answer a;
	int status, adds_up;
	size_t rows;

	tool_start(&page, argc, argv);
	choose_keys(&a);
	choose_days(&a);
	check_options();
	book_start(&a.book, 0);
	book_stock_init(&a.book, &a.stock);
	provenance_init(&a.origins, &a.stock.ids);
	a.today = book_today(&a.book);
	if (a.since > a.today)
		tool_misused("--since %s is after the day of the answer, which --on names", since_text);
	read_book(&a);
	status = book_end(&a.book);
	provenance_end(&a.origins);
	stages_init(&a.way, &a.stock, a.book.house);
	a.way.handles = want_handles;
	a.way.heaps.apportion = want_shares;
	a.way.from = a.since;
	stock_run(&a.stock, a.today, stages_flow, &a.way);
	stages_end(&a.way);
	adds_up = book_stock_tell(&a.book, &a.stock);
	make_rows(&a);
	rows = a.nrows;
	if (want_losses)
		rows = print_losses(&a);
	else
		print_yield(&a);
	return tool_finish(rows && !status && !adds_up ? TOOL_DONE : TOOL_NO);
}
