#include "yield/yield_view.h"

#include <math.h>
#include <stdlib.h>

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

/* What the table shows for reading; the other forms have all of it. */
enum show { SHOW_YIELD, SHOW_THROUGH, SHOW_DAYS, SHOWS };

enum { HIDDEN = 99 };

struct ranked {
	const char *name;
	enum table_type type;
	unsigned char places, rank[SHOWS];
	const char *heading;
};

static enum show show_of(const struct yield_ask *ask)
{
	return ask->days ? SHOW_DAYS : ask->through ? SHOW_THROUGH : SHOW_YIELD;
}

bool yield_view_has_row(const struct yield_rows *y, size_t row)
{
	return !y->ask->step || y->ask->step - 1 == y->row[row].head.step;
}

static bool has_shared(const struct yield_rows *y)
{
	for (size_t i = 0; i < y->nrows; i++)
		if (y->row[i].shared && yield_view_has_row(y, i))
			return true;
	return false;
}

/* Where pieces are shared out, that is said before any interval. */
static void add_column(const struct yield_rows *y, struct table *t, const struct ranked *c, bool shared, size_t before)
{
	enum { SHARED = 5 };
	unsigned char rank = c->rank[show_of(y->ask)];
	struct yield_column column = { c->name, c->type, c->places, rank, c->heading };

	if (strcmp(c->name, "shared") == 0)
		column.rank = shared ? SHARED : HIDDEN;
	else if (shared && rank >= SHARED && rank < HIDDEN && strcmp(c->name, "through") != 0)
		column.rank = (unsigned char)(rank + 2);
	yield_view_add_columns(y, t, &column, 1, before);
}

static void add_columns(const struct yield_rows *y, struct table *t)
{
	enum { SHARE = TABLE_PERCENT + 1 };
	static const struct yield_column START = { "start", TABLE_INT, 0, 0, "at the start" };
	static const struct ranked COLUMN[] = {
		{ "in", TABLE_INT, 0, { HIDDEN, HIDDEN, HIDDEN }, NULL }, { "found", TABLE_INT, 0, { HIDDEN, HIDDEN, HIDDEN }, NULL },
		{ "crossed", TABLE_INT, 0, { HIDDEN, HIDDEN, HIDDEN }, NULL }, { "back", TABLE_INT, 0, { HIDDEN, HIDDEN, HIDDEN }, NULL },
		{ "out", TABLE_INT, 0, { 2, 2, 2 }, "went on" }, { "culled", TABLE_INT, 0, { 1, 1, 4 }, "culled" },
		{ "still", TABLE_INT, 0, { 4, 4, 1 }, "waiting" }, { "pieces", TABLE_INT, 0, { 3, 3, 5 }, "in all" },
		{ "yield", TABLE_REAL, SHARE, { 0, 5, HIDDEN }, "yield" }, { "yield_low", TABLE_REAL, SHARE, { 7, HIDDEN, HIDDEN }, "at least" },
		{ "yield_high", TABLE_REAL, SHARE, { 7, HIDDEN, HIDDEN }, "at most" },
		{ "through", TABLE_REAL, SHARE, { 7, 0, HIDDEN }, "so far" }, { "through_low", TABLE_REAL, SHARE, { HIDDEN, 7, HIDDEN }, "at least" },
		{ "through_high", TABLE_REAL, SHARE, { HIDDEN, 7, HIDDEN }, "at most" },
		{ "median_days", TABLE_FIXED, 1, { 8, 8, 0 }, "days" }, { "median_low_days", TABLE_FIXED, 1, { HIDDEN, HIDDEN, 7 }, "at least" },
		{ "median_high_days", TABLE_FIXED, 1, { HIDDEN, HIDDEN, 7 }, "at most" }, { "p90_days", TABLE_FIXED, 1, { HIDDEN, HIDDEN, 3 }, "9 in 10" },
		{ "batches", TABLE_INT, 0, { HIDDEN, HIDDEN, HIDDEN }, NULL }, { "shared", TABLE_INT, 0, { HIDDEN, HIDDEN, HIDDEN }, "shared" }
	};
	size_t start = has_since(y->ask) ? YIELD_FIGURES : 0;
	bool shared = has_shared(y);

	if (start)
		yield_view_add_columns(y, t, &START, 1, 0);
	for (size_t i = 0; i < sizeof COLUMN / sizeof *COLUMN; i++)
		add_column(y, t, &COLUMN[i], shared, start);
}

static void put_days(struct table *t, double days)
{
	if (isnan(days))
		table_absent(t);
	else
		table_fixed(t, (int64_t)(10 * days), 1); /* a whole number of halves */
}

/* The rows of a table in the making. */
struct rows_view {
	const struct yield_spread *spread;
	const struct yield_days *days;
	struct table *t;
};

static void put_row(const struct rows_view *v, size_t i, struct sure_yield yield, struct sure_yield through)
{
	const struct yield_rows *y = v->spread->rows;
	const struct yield_row *r = &y->row[i];
	const struct yield_days *days = &v->days[i];
	struct table *t = v->t;

	if (!yield_view_has_row(y, i))
		return;
	yield_view_head(y, t, &r->head);
	if (has_since(y->ask))
		table_int(t, r->n[STAGE_START]);
	for (int k = STAGE_IN; k <= STAGE_STILL; k++)
		table_int(t, r->n[k]);
	table_int(t, r->n[STAGE_OUT] + r->n[STAGE_CULLED] + r->n[STAGE_STILL]);
	yield_view_share(t, yield.share, yield.point);
	yield_view_share(t, through.share, through.point);
	put_days(t, days->median);
	put_days(t, days->low);
	put_days(t, days->high);
	put_days(t, days->most);
	table_int(t, (int64_t)days->batches);
	table_int(t, r->shared);
}

static bool is_known(const struct yield_spread *s)
{
	for (int i = 0; i <= YIELD_ALL_STEPS; i++)
		if (s->step[i].all.known)
			return true;
	return false;
}

static void note_shared(const struct yield_rows *y, struct table *t)
{
	const struct yield_ask *ask = y->ask;
	bool charge = false;

	for (size_t i = 0; i < ask->nby; i++)
		charge |= ask->by[i] == YIELD_BY_CHARGE;
	if (!has_shared(y))
		return;
	table_note(t, charge ? SLICE("shared: pieces that are out of a heap of several charges, divided by their numbers; the other figures are exact")
		: SLICE("shared: pieces that are out of a heap of several lots or trees, divided by their numbers; the other figures are exact"));
}

static void add_notes(const struct yield_spread *s, struct table *t)
{
	const struct yield_rows *y = s->rows;

	table_note(t, SLICE("in all: the pieces that were in the step, those found in a tally included; they went on, were culled or are waiting there"));
	if (y->nrows && y->row[y->nrows - 1].n[STAGE_BACK] && yield_view_has_row(y, y->nrows - 1))
		table_note(t, SLICE("all: a piece that came back counts again in this row"));
	if (yield_view_shows(t, "yield"))
		table_note(t, SLICE("yield: of the pieces in the step, the per cent that goes on; while some are there, what those that left show"));
	if (yield_view_shows(t, "through"))
		table_note(t, SLICE("so far: of the pieces at the start, the per cent that gets through this step: the yields up to it, multiplied"));
	if (yield_view_shows(t, y->ask->through ? "through_high" : "yield_high"))
		table_note(t, is_known(s) ? SLICE("at least, at most: the 95 % interval; from 5 lots in a step on it allows for the differences between lots")
			: SLICE("at least, at most: the 95 % interval, by chance alone; it needs 5 lots in a step to allow for the differences between lots"));
	if (yield_view_shows(t, "median_days"))
		table_note(t, y->ask->days ? SLICE("days: by then half of the pieces have gone on, and 9 in 10; pieces that wait or were culled count up to their last day (Kaplan-Meier)")
			: SLICE("days: by then half of the pieces have gone on; those that wait count up to now (Kaplan-Meier); more with --days"));
	if (yield_view_shows(t, "median_high_days"))
		table_note(t, SLICE("at least, at most: the 95 % interval of the days, where what came in on one day goes on together"));
	note_shared(y, t);
}

void yield_view(const struct yield_rows *y, struct table *t)
{
	struct yield_days *days = yield_days_of(y);
	struct yield_spread spread;
	struct rows_view view = { &spread, days, t };
	struct yield_through *through;

	yield_spread_init(&spread, y);
	through = yield_throughs(&spread);
	yield_view_start(y, t);
	add_columns(y, t);
	for (size_t i = 0; i < y->nrows; i++)
		put_row(&view, i, through[i].yield, through[i].so_far);
	yield_view_say(y, days, through, t);
	add_notes(&spread, t);
	yield_spread_release(&spread);
	free(through);
	free(days);
}
