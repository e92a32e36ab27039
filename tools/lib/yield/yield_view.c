#include "yield/yield_view.h"

#include <stdlib.h>

#include "math/stats.h"
#include "stock/stock_cells.h"
#include "stock/stock_say.h"
#include "yield/yield_days.h"
#include "yield/yield_spread.h"
#include "yield/yield_view_internal.h"

/* ---- parts of both tables */

static bool has_since(const struct yield_ask *ask)
{
	return ask->since != INT32_MIN;
}

/* Pieces of several trees or lots have their lot as the key, and its parents beside it. */
static bool has_parents(const struct yield_ask *ask)
{
	for (size_t i = 0; i < ask->nby; i++)
		if (ask->by[i] < YIELD_BY_CHARGE && !ask->apportion)
			return true;
	return false;
}

static void add_word(struct table *t, const char *name, const char *heading)
{
	table_add_column(t, name, TABLE_TEXT, 0);
	table_heading(t, heading);
}

void yield_view_start(const struct yield_rows *y, struct table *t)
{
	const struct yield_ask *ask = y->ask;

	table_init(t, NULL, 0);
	if (has_since(ask))
		table_add_column(t, "since", TABLE_DATE, 0);
	table_add_column(t, "as_of", TABLE_DATE, 0);
	for (size_t i = 0; i < ask->nby; i++)
		add_word(t, yield_by_words[ask->by[i]], yield_by_words[ask->by[i]]);
	if (has_parents(ask))
		add_word(t, "parents", NULL);
	add_word(t, "step", "step");
}

/* The cells that the keys and the step of a row take, as ids commonly are. */
static size_t head_cells(const struct yield_ask *ask)
{
	enum { STEP = 8 };
	static const unsigned char CELLS[YIELD_KEYS] = { [YIELD_BY_TREE] = 6, [YIELD_BY_PARCEL] = 8, [YIELD_BY_SUPPLIER] = 10, [YIELD_BY_LOT] = 8,
		[YIELD_BY_MONTH] = 9, [YIELD_BY_CHARGE] = 8, [YIELD_BY_TYPE] = 6 };
	size_t cells = STEP;

	for (size_t i = 0; i < ask->nby; i++)
		cells += CELLS[ask->by[i]];
	return cells;
}

void yield_view_add_columns(const struct yield_rows *y, struct table *t, const struct yield_column *column, size_t n, size_t before)
{
	size_t room = stock_say_room(head_cells(y->ask) + before, YIELD_FIGURES);

	for (size_t i = 0; i < n; i++) {
		table_add_column(t, column[i].name, column[i].type, column[i].places);
		table_heading(t, stock_say_heading(column[i].heading, column[i].rank, room));
	}
}

bool yield_view_shows(const struct table *t, const char *name)
{
	for (size_t i = 0; i < t->n_columns; i++)
		if (strcmp(t->columns[i].name, name) == 0)
			return t->columns[i].heading != NULL;
	return false;
}

static void put_parents(const struct yield_rows *y, struct table *t, uint32_t lot)
{
	struct buf text = BUF_INIT;

	if (lot)
		provenance_parents(y->origins, lot, &text);
	stock_cell_word(t, buf_slice(&text));
	buf_release(&text);
}

void yield_view_head(const struct yield_rows *y, struct table *t, const struct yield_head *head)
{
	const struct yield_ask *ask = y->ask;

	if (has_since(ask))
		stock_cell_day(t, ask->since);
	stock_cell_day(t, ask->today);
	for (size_t i = 0; i < ask->nby; i++)
		stock_cell_word(t, head->key[i]);
	if (has_parents(ask))
		put_parents(y, t, head->lot);
	table_cstr(t, head->step == YIELD_ALL_STEPS ? "all" : stages_step_words[head->step]);
}

void yield_view_share(struct table *t, struct stage_share s, double point)
{
	double low, high;

	if (!s.known) {
		for (int i = 0; i < 3; i++)
			table_absent(t);
		return;
	}
	wilson_share(s.p, s.n, point, &low, &high);
	table_real(t, s.p);
	table_real(t, low);
	table_real(t, high);
}

/* ---- the yields */

/* All steps together have no yield before they are over, nor where pieces that were good so far left for other keys. */
static struct stage_share yield_of(const struct yield_row *r)
{
	bool closed = stages_entered(r->n) == r->n[STAGE_OUT] + r->n[STAGE_CULLED] && r->n[STAGE_CROSSED] >= 0;

	return r->head.step == YIELD_ALL_STEPS && !closed ? (struct stage_share){ false, 0, 0 } : stages_yield(r->n);
}

/* The yield of the i-th row, as good as fewer pieces where lots differ, and the point of its interval. */
struct sure_yield {
	struct stage_share share;
	double point;
};

static struct sure_yield sure_yield(const struct yield_spread *s, size_t i)
{
	const struct yield_rows *y = s->rows;
	const struct spread *spread = &s->step[y->row[i].head.step];
	struct stage_share share = yield_of(&y->row[i]);

	share.n /= yield_spread_design(y, spread, i);
	return (struct sure_yield){ share, yield_spread_point(y, spread, i) };
}

/* Cleaving and buying are one first step: rows i and i + 1. */
static struct sure_yield arrival(const struct yield_spread *s, size_t i)
{
	struct yield_row both = s->rows->row[i];
	struct sure_yield a = sure_yield(s, i), b = sure_yield(s, i + 1);
	double cases = a.share.n + b.share.n;

	for (int k = 0; k < STAGE_COUNTS; k++)
		both.n[k] += s->rows->row[i + 1].n[k];
	a.share = yield_of(&both);
	a.share.n = cases > 0 && cases < a.share.n ? cases : a.share.n;
	a.point = a.point > b.point ? a.point : b.point;
	return a;
}

static void add_columns(const struct yield_rows *y, struct table *t)
{
	static const struct yield_column START[] = { { "start", TABLE_INT, 0, 5, "at the start" } };
	static const struct yield_column COUNTS[] = { { "in", TABLE_INT, 0, 0, NULL }, { "found", TABLE_INT, 0, 0, NULL },
		{ "crossed", TABLE_INT, 0, 0, NULL }, { "back", TABLE_INT, 0, 0, NULL }, { "out", TABLE_INT, 0, 2, "went on" },
		{ "culled", TABLE_INT, 0, 1, "culled" }, { "still", TABLE_INT, 0, 4, "still there" },
		{ "pieces", TABLE_INT, 0, 3, "in all" } };
	static const struct yield_column YIELD[] = { { "yield", TABLE_REAL, TABLE_PERCENT + 1, 0, "yield" }, { "yield_low", TABLE_REAL, TABLE_PERCENT + 1, 6, "at least" },
		{ "yield_high", TABLE_REAL, TABLE_PERCENT + 1, 6, "at most" } };
	static const struct yield_column ALONE[] = { { "yield", TABLE_REAL, TABLE_PERCENT + 1, 5, "yield" }, { "yield_low", TABLE_REAL, TABLE_PERCENT + 1, 0, NULL },
		{ "yield_high", TABLE_REAL, TABLE_PERCENT + 1, 0, NULL } };
	static const struct yield_column THROUGH[] = { { "through", TABLE_REAL, TABLE_PERCENT + 1, 0, "so far" }, { "through_low", TABLE_REAL, TABLE_PERCENT + 1, 7, "at least" },
		{ "through_high", TABLE_REAL, TABLE_PERCENT + 1, 7, "at most" } };
	static const struct yield_column DAYS[] = { { "median_days", TABLE_FIXED, 1, 7, "median days" } };
	static const struct yield_column LAST[] = { { "median_days", TABLE_FIXED, 1, 8, "median days" } };
	bool through = y->ask->through;
	size_t start = has_since(y->ask) ? YIELD_FIGURES : 0;

	if (start)
		yield_view_add_columns(y, t, START, 1, 0);
	yield_view_add_columns(y, t, COUNTS, sizeof COUNTS / sizeof *COUNTS, 0);
	yield_view_add_columns(y, t, through ? ALONE : YIELD, 3, start);
	if (through)
		yield_view_add_columns(y, t, THROUGH, 3, start);
	yield_view_add_columns(y, t, through ? LAST : DAYS, 1, start);
}

static void put_row(const struct yield_spread *s, struct table *t, size_t i, struct sure_yield through, int64_t twice)
{
	const struct yield_rows *y = s->rows;
	const struct yield_row *r = &y->row[i];
	struct sure_yield yield = sure_yield(s, i);

	yield_view_head(y, t, &r->head);
	if (has_since(y->ask))
		table_int(t, r->n[STAGE_START]);
	for (int k = STAGE_IN; k <= STAGE_STILL; k++)
		table_int(t, r->n[k]);
	table_int(t, r->n[STAGE_OUT] + r->n[STAGE_CULLED] + r->n[STAGE_STILL]);
	yield_view_share(t, yield.share, yield.point);
	if (y->ask->through)
		yield_view_share(t, through.share, through.point);
	if (twice < 0)
		table_absent(t);
	else
		table_fixed(t, twice * 5, 1);
}

/* The rows of one set of keys from its first step on, with the yields multiplied; returns the row after them. */
static size_t put_key(const struct yield_spread *s, struct table *t, size_t first, const int64_t *twice)
{
	struct stages_through product = stages_through_none;
	const struct yield_row *row = s->rows->row;
	struct sure_yield through = { { false, 0, 0 }, NORMAL_975 };
	size_t i = first;

	for (; row[i].head.step != YIELD_ALL_STEPS; i++) {
		bool two = i == first && row[i].head.step == STAGE_CLEAVE && row[i + 1].head.step == STAGE_BUY;
		struct sure_yield step = two ? arrival(s, i) : sure_yield(s, i);

		if (!(i > first && row[i].head.step == STAGE_BUY)) {
			stages_through_add(&product, step.share);
			through.point = step.point > through.point ? step.point : through.point;
		}
		through.share = stages_through(&product);
		put_row(s, t, i, through, twice[i]);
	}
	through.share.known = false;
	put_row(s, t, i, through, -1);
	return i + 1;
}

static bool is_known(const struct yield_spread *s)
{
	for (int i = 0; i <= YIELD_ALL_STEPS; i++)
		if (s->step[i].all.known)
			return true;
	return false;
}

static void add_notes(const struct yield_spread *s, struct table *t)
{
	const struct yield_rows *y = s->rows;

	table_note(t, SLICE("in all: the pieces that were in the step, those found in a tally included; they went on, were culled or are still there"));
	table_note(t, SLICE("yield: of the pieces in the step, the per cent that goes on; while some are there, what those that left show"));
	if (y->ask->through)
		table_note(t, SLICE("so far: the yields up to this step, multiplied"));
	if (yield_view_shows(t, y->ask->through ? "through_high" : "yield_high"))
		table_note(t, is_known(s) ? SLICE("at least, at most: the 95 % interval; from 5 lots in a step on it allows for the differences between lots")
			: SLICE("at least, at most: the 95 % interval, by chance alone; it needs 5 lots in a step to allow for the differences between lots"));
	if (yield_view_shows(t, "median_days"))
		table_note(t, SLICE("median days: of the pieces that went on"));
}

void yield_view(const struct yield_rows *y, struct table *t)
{
	int64_t *twice = yield_days_twice(y);
	struct yield_spread spread;

	yield_spread_init(&spread, y);
	yield_view_start(y, t);
	add_columns(y, t);
	for (size_t i = 0; i < y->nrows;)
		i = put_key(&spread, t, i, twice);
	yield_view_say(y, t);
	add_notes(&spread, t);
	yield_spread_release(&spread);
	free(twice);
}
