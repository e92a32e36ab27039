#include "stock/yield_view.h"

#include <stdlib.h>

#include "math/stats.h"
#include "stock/stock_cells.h"
#include "stock/stock_say.h"
#include "stock/yield_days.h"
#include "stock/yield_view_internal.h"

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

void yield_view_share(struct table *t, struct stage_share s)
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

/* ---- the yields */

/* All steps together have no yield before they are over. */
static struct stage_share yield_of(const struct yield_row *r)
{
	bool closed = stages_entered(r->n) == r->n[STAGE_OUT] + r->n[STAGE_CULLED];

	return r->head.step == YIELD_ALL_STEPS && !closed ? (struct stage_share){ false, 0, 0 } : stages_yield(r->n);
}

/* Cleaving and buying are one first step. */
static struct stage_share arrival(const struct yield_row *cleave, const struct yield_row *buy)
{
	struct yield_row both = *cleave;

	for (int i = 0; i < STAGE_COUNTS; i++)
		both.n[i] += buy->n[i];
	return yield_of(&both);
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

static void put_row(const struct yield_rows *y, struct table *t, const struct yield_row *r, struct stage_share through, int64_t twice)
{
	yield_view_head(y, t, &r->head);
	if (has_since(y->ask))
		table_int(t, r->n[STAGE_START]);
	for (int i = STAGE_IN; i <= STAGE_STILL; i++)
		table_int(t, r->n[i]);
	table_int(t, r->n[STAGE_OUT] + r->n[STAGE_CULLED] + r->n[STAGE_STILL]);
	yield_view_share(t, yield_of(r));
	if (y->ask->through)
		yield_view_share(t, through);
	if (twice < 0)
		table_absent(t);
	else
		table_fixed(t, twice * 5, 1);
}

/* The rows of one set of keys from its first step on, with the yields multiplied; returns the row after them. */
static size_t put_key(const struct yield_rows *y, struct table *t, size_t first, const int64_t *twice)
{
	struct stages_through through = stages_through_none;
	const struct yield_row *row = y->row;
	size_t i = first;

	for (; row[i].head.step != YIELD_ALL_STEPS; i++) {
		bool two = i == first && row[i].head.step == STAGE_CLEAVE && row[i + 1].head.step == STAGE_BUY;

		if (!(i > first && row[i].head.step == STAGE_BUY))
			stages_through_add(&through, two ? arrival(&row[i], &row[i + 1]) : yield_of(&row[i]));
		put_row(y, t, &row[i], stages_through(&through), twice[i]);
	}
	put_row(y, t, &row[i], (struct stage_share){ false, 0, 0 }, -1);
	return i + 1;
}

static void add_notes(const struct yield_rows *y, struct table *t)
{
	table_note(t, SLICE("in all: the pieces that were in the step, those found in a tally included; they went on, were culled or are still there"));
	table_note(t, SLICE("yield: of the pieces that reached the end of the step, the per cent that went on"));
	if (y->ask->through)
		table_note(t, SLICE("so far: the yields up to this step, multiplied"));
	if (yield_view_shows(t, y->ask->through ? "through_high" : "yield_high"))
		table_note(t, SLICE("at least, at most: the 95 % interval"));
	if (yield_view_shows(t, "median_days"))
		table_note(t, SLICE("median days: of the pieces that went on"));
}

void yield_view(const struct yield_rows *y, struct table *t)
{
	int64_t *twice = yield_days_twice(y);

	yield_view_start(y, t);
	add_columns(y, t);
	for (size_t i = 0; i < y->nrows;)
		i = put_key(y, t, i, twice);
	yield_view_say(y, t);
	add_notes(y, t);
	free(twice);
}
