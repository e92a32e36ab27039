#include "trace/trace_view.h"

#include <math.h>

#include "book/line.h"
#include "stock/stock_cells.h"
#include "trace/trace_view_internal.h"

/* Rows of a table of the page. */
enum { BRIEF_ROWS = 6 };

/* ---- cells */

static void put_id(const struct trace_found *f, struct table *t, uint32_t id)
{
	if (id == WAY_SEVERAL)
		table_cstr(t, "several");
	else
		stock_cell_word(t, trace_text(f->trace, id));
}

static void put_share(struct table *t, double share)
{
	table_real(t, tie_round(share));
}

static size_t rows_shown(const struct trace_found *f, size_t n)
{
	return f->brief && n > BRIEF_ROWS ? BRIEF_ROWS : n;
}

static void note_rest(const struct trace_found *f, struct table *t, size_t n)
{
	struct buf b = BUF_INIT;

	if (rows_shown(f, n) == n)
		return;
	buf_count(&b, (int64_t)(n - rows_shown(f, n)), "more row");
	buf_str(&b, ": --as=tsv prints all");
	table_note(t, buf_slice(&b));
	buf_release(&b);
}

#define COLUMNS_OF(columns) columns, sizeof columns / sizeof *columns

/* An empty table, where one column has a heading only in some answers. */
static void start(struct table *t, const struct table_column *columns, size_t n, const char *name, const char *heading)
{
	table_init(t, NULL, 0);
	for (size_t i = 0; i < n; i++) {
		table_add_column(t, columns[i].name, columns[i].type, columns[i].places);
		table_heading(t, strcmp(columns[i].name, name) == 0 ? heading : columns[i].heading);
	}
}

/* ---- origin */

static void put_source(const struct trace_found *f, struct table *t, const struct source *s)
{
	const struct stated_source *stated = s->stated;

	table_text(t, vocab_form(s->form));
	put_share(t, s->share);
	table_int(t, s->n);
	put_id(f, t, s->lot);
	put_id(f, t, s->tree);
	put_id(f, t, stated ? stated->parcel : 0);
	put_id(f, t, stated ? stated->licence : 0);
	put_id(f, t, stated ? stated->from : 0);
	put_id(f, t, stated ? stated->origin : 0);
	put_id(f, t, stated ? stated->doc : 0);
	put_id(f, t, stated ? stated->site : 0);
	if (stated && s->tree)
		stock_cell_day(t, stated->day);
	else
		table_absent(t);
	stock_cell_day(t, s->first);
	stock_cell_day(t, s->last);
}

static void view_origin(const struct trace_found *f, struct table *t)
{
	static const struct table_column columns[] = {
		{ "part", TABLE_TEXT, 0, "came as" }, { "share", TABLE_REAL, TABLE_PERCENT + 0, "share" }, { "pieces", TABLE_INT, 0, NULL },
		{ "lot", TABLE_TEXT, 0, "lot" }, { "tree", TABLE_TEXT, 0, "tree" }, { "parcel", TABLE_TEXT, 0, "parcel" },
		{ "licence", TABLE_TEXT, 0, "licence" }, { "supplier", TABLE_TEXT, 0, "supplier" }, { "origin", TABLE_TEXT, 0, "origin" },
		{ "doc", TABLE_TEXT, 0, NULL }, { "site", TABLE_TEXT, 0, NULL }, { "felled", TABLE_DATE, 0, NULL },
		{ "came_in", TABLE_DATE, 0, "came in" }, { "came_in_last", TABLE_DATE, 0, NULL },
	};

	table_init(t, COLUMNS_OF(columns));
	table_title(t, SLICE("Where it is from"), "origin");
	trace_say(f, t);
	for (size_t i = 0; i < rows_shown(f, f->sources.n); i++)
		put_source(f, t, &f->sources.row[i]);
	note_rest(f, t, f->sources.n);
}

/* ---- its way */

/* Of more than three people the first three by name. */
static void put_people(const struct trace_found *f, struct table *t, const struct way_row *row)
{
	enum { SHOWN = 3 };
	struct buf b = BUF_INIT;

	for (size_t i = 0; i < row->nby && i < SHOWN && row->nby <= WAY_PEOPLE; i++) {
		buf_str(&b, i ? "," : "");
		buf_add(&b, trace_text(f->trace, row->by[i]));
	}
	buf_str(&b, row->nby > WAY_PEOPLE ? "several" : row->nby > SHOWN ? ",..." : "");
	stock_cell_word(t, buf_slice(&b));
	buf_release(&b);
}

static void put_way(const struct trace_found *f, struct table *t, const struct way_row *row)
{
	stock_cell_day(t, row->first);
	if (row->last != row->first || !f->brief)
		stock_cell_day(t, row->last);
	else
		table_absent(t);
	table_text(t, row->event);
	if (row->form >= 0)
		table_text(t, vocab_form(row->form));
	else
		table_absent(t);
	put_id(f, t, row->place);
	put_id(f, t, row->what);
	put_people(f, t, row);
	put_share(t, row->share);
	if (isnan(row->share))
		table_int(t, row->n);
	else
		table_absent(t);
}

/* Whether pieces went different ways, so that shares say something. */
static bool is_branched(const struct trace_found *f)
{
	for (size_t i = 0; i < f->way.n; i++)
		if (f->way.row[i].share < 1 - 1e-9)
			return true;
	return false;
}

static void view_way(const struct trace_found *f, struct table *t)
{
	static const struct table_column columns[] = {
		{ "first", TABLE_DATE, 0, "day" }, { "last", TABLE_DATE, 0, "to" }, { "event", TABLE_TEXT, 0, "event" }, { "part", TABLE_TEXT, 0, "part" },
		{ "place", TABLE_TEXT, 0, "place" }, { "what", TABLE_TEXT, 0, "of, as, for" }, { "by", TABLE_TEXT, 0, "by" },
		{ "share", TABLE_REAL, TABLE_PERCENT + 0, NULL }, { "opinions", TABLE_INT, 0, NULL },
	};

	start(t, COLUMNS_OF(columns), "share", is_branched(f) ? "share" : NULL);
	table_title(t, SLICE("What happened to it"), "way");
	for (size_t i = 0; i < f->way.n; i++)
		put_way(f, t, &f->way.row[i]);
	for (size_t i = 0; i < f->way.n; i++)
		if (isnan(f->way.row[i].share)) {
			table_note(t, SLICE("judge without a share: opinions of pieces of its lots, which may be other pieces"));
			break;
		}
}

/* ---- its places */

static void view_places(const struct trace_found *f, struct table *t)
{
	static const struct table_column columns[] = {
		{ "place", TABLE_TEXT, 0, "place" }, { "kiln", TABLE_TEXT, 0, NULL }, { "share", TABLE_REAL, TABLE_PERCENT + 0, "share" },
		{ "first", TABLE_DATE, 0, "from" }, { "last", TABLE_DATE, 0, "to" }, { "days_mean", TABLE_REAL, 0, "days" },
		{ "emc_mean_pct", TABLE_REAL, 1, "EMC, %" }, { "emc_low_pct", TABLE_REAL, 1, "least" }, { "emc_high_pct", TABLE_REAL, 1, "most" },
		{ "emc_days", TABLE_REAL, 0, "EMC days" },
	};

	table_init(t, COLUMNS_OF(columns));
	table_title(t, SLICE("Where it was, and the air there"), "places");
	for (size_t i = 0; i < f->way.nplaces; i++) {
		const struct way_place *p = &f->way.place[i];

		put_id(f, t, p->place);
		put_id(f, t, stated_kiln_of(&f->trace->stated, p->place));
		put_share(t, p->in > 1 ? 1 : p->in);
		stock_cell_day(t, p->first);
		stock_cell_day(t, p->last);
		table_real(t, tie_round(p->days));
		table_real(t, p->emc_pct);
		table_real(t, p->emc_low_pct);
		table_real(t, p->emc_high_pct);
		table_real(t, p->emc_days > 0 ? p->emc_days : NAN);
	}
	if (f->way.nplaces)
		table_note(t, SLICE("EMC: of the air between these days, known for EMC days of them; good to 1 point either way"));
}

/* ---- its moisture */

static void put_end(const struct trace_found *f, struct table *t, const struct read_end *end)
{
	struct buf b = BUF_INIT;

	table_real(t, (double)end->mc / VALUE_STEPS);
	table_cstr(t, end->mark == VALUE_ABOVE ? "above" : end->mark == VALUE_BELOW ? "below" : NULL);
	stock_cell_day(t, end->day);
	reading_source_write(&f->trace->readings, &b, end->a, end->b, end->at_random);
	table_text(t, buf_slice(&b));
	buf_release(&b);
}

/* Of a bat its parts have readings of their own. */
static void put_whose(const struct trace_found *f, struct table *t, const struct read_row *row)
{
	struct slice part = readings_name(&f->trace->readings, row->part);
	bool own = row->of == READ_ITSELF;
	struct buf b = BUF_INIT;

	if (own && f->trace->kind == TRACE_BAT && part.n) {
		buf_str(&b, "its ");
		buf_add(&b, part);
	} else
		buf_str(&b, own && f->trace->kind != TRACE_BAT && f->trace->kind != TRACE_PIECE ? "its pieces" : read_of_words[row->of]);
	table_text(t, buf_slice(&b));
	buf_release(&b);
}

static void put_read(const struct trace_found *f, struct table *t, const struct read_row *row)
{
	const struct readings *r = &f->trace->readings;

	put_whose(f, t, row);
	stock_cell_word(t, readings_name(r, row->part));
	stock_cell_word(t, readings_name(r, row->place));
	table_int(t, row->n);
	put_end(f, t, &row->driest);
	put_end(f, t, &row->wettest);
	table_real(t, row->latest_n ? (double)row->latest_sum / (double)row->latest_n / VALUE_STEPS : NAN);
	stock_cell_day(t, row->last);
}

static void view_moisture(const struct trace_found *f, struct table *t)
{
	static const struct table_column columns[] = {
		{ "of", TABLE_TEXT, 0, "of" }, { "part", TABLE_TEXT, 0, NULL }, { "place", TABLE_TEXT, 0, "in" }, { "n_readings", TABLE_INT, 0, "readings" },
		{ "driest_pct", TABLE_REAL, 1, "driest" }, { "driest_scale", TABLE_TEXT, 0, NULL }, { "driest_day", TABLE_DATE, 0, "on" }, { "driest_piece", TABLE_TEXT, 0, NULL },
		{ "wettest_pct", TABLE_REAL, 1, "wettest" }, { "wettest_scale", TABLE_TEXT, 0, NULL }, { "wettest_day", TABLE_DATE, 0, "on" }, { "wettest_piece", TABLE_TEXT, 0, NULL },
		{ "last_mean_pct", TABLE_REAL, 1, "last" }, { "last_day", TABLE_DATE, 0, NULL },
	};

	table_init(t, COLUMNS_OF(columns));
	table_title(t, SLICE("How wet it was read, %"), "moisture");
	for (size_t i = 0; i < f->read.n; i++)
		put_read(f, t, &f->read.row[i]);
	if (f->read.n)
		table_note(t, SLICE("corrected as wy-moist(1) does; last: the mean of the last day, of a handle lot up to the day of making"));
}

/* ---- what it shares */

/* One decimal for an expected number that is not whole. */
static void put_number(struct table *t, double n)
{
	double round = tie_round(n);

	table_real_shown(t, round, round == floor(round) ? 0 : 1);
}

static void put_tie(const struct trace_found *f, struct table *t, const struct tie *tie)
{
	const struct tie_counts *c = &tie->counts;

	table_cstr(t, tie_words[tie->kind]);
	put_id(f, t, tie->id);
	put_share(t, tie->share);
	put_number(t, c->stock);
	put_number(t, c->sold);
	put_number(t, c->culled);
	put_number(t, c->bats_stock);
	put_number(t, c->bats_sold);
	put_number(t, c->bats_culled);
	put_number(t, c->bats_refit);
	put_number(t, c->bats_back);
}

static void view_ties(const struct trace_found *f, struct table *t)
{
	static const struct table_column columns[] = {
		{ "by", TABLE_TEXT, 0, "shares" }, { "id", TABLE_TEXT, 0, "id" }, { "share", TABLE_REAL, TABLE_PERCENT + 0, "share" },
		{ "in_stock", TABLE_REAL, 0, "in stock" }, { "sold", TABLE_REAL, 0, "sold" }, { "culled", TABLE_REAL, 0, "culled" },
		{ "bats_in_stock", TABLE_REAL, 0, "bats here" }, { "bats_sold", TABLE_REAL, 0, "bats sold" }, { "bats_culled", TABLE_REAL, 0, "bats culled" }, { "bats_refitted", TABLE_REAL, 0, NULL },
		{ "bats_back", TABLE_REAL, 0, "bats back" },
	};
	bool mixed = false;

	table_init(t, COLUMNS_OF(columns));
	table_title(t, SLICE("Who shares what with it"), "shares");
	for (size_t i = 0; i < rows_shown(f, f->ties->n); i++)
		put_tie(f, t, &f->ties->tie[i]);
	for (size_t i = 0; i < f->ties->n; i++)
		mixed |= f->ties->tie[i].share < 1 - 1e-9;
	table_note(t, SLICE("bats back: of the bats here, sold and culled, those that came back; --sharing lists them all"));
	if (mixed)
		table_note(t, SLICE("mixed pieces cannot be distinguished: shares and numbers are those to be expected if each piece is as likely as any other"));
	note_rest(f, t, f->ties->n);
}

/* ---- notes */

static void put_notes(const struct trace_found *f, struct table *t, uint32_t id)
{
	size_t n;
	const struct stated_note *note = stated_notes_of(&f->trace->stated, id, &n);

	for (size_t i = 0; i < n; i++) {
		struct buf b = BUF_INIT;

		item_text(&b, note[i].text);
		stock_cell_day(t, note[i].day);
		put_id(f, t, id);
		put_id(f, t, note[i].by);
		table_text(t, buf_slice(&b));
		buf_release(&b);
	}
}

static void view_notes(const struct trace_found *f, struct table *t)
{
	static const struct table_column columns[] = {
		{ "day", TABLE_DATE, 0, "day" }, { "about", TABLE_TEXT, 0, "about" }, { "by", TABLE_TEXT, 0, "by" }, { "text", TABLE_TEXT, 0, "note" },
	};

	table_init(t, COLUMNS_OF(columns));
	table_title(t, SLICE("Notes about it and what it shares"), "notes");
	if (f->trace->kind == TRACE_BAT || f->trace->kind == TRACE_PIECE)
		put_notes(f, t, f->trace->piece ? f->trace->piece : f->trace->id);
	if (f->trace->kind == TRACE_BAT && f->trace->piece)
		put_notes(f, t, f->trace->id);
	for (size_t i = 0; i < f->ties->n; i++)
		put_notes(f, t, f->ties->tie[i].id);
}

void trace_view(struct trace *trace, const struct ties *ties, bool brief, struct table *tables)
{
	static void (*const VIEWS[TRACE_TABLES])(const struct trace_found *f, struct table *t) = { view_origin, view_way, view_places,
		view_moisture, view_ties, view_notes };
	struct trace_found f = { .trace = trace, .ties = ties, .brief = brief };

	sources_add(&f.sources, trace, &trace->wood);
	sources_add(&f.sources, trace, &trace->handle);
	sources_sort(&f.sources, trace);
	way_find(&f.way, trace, ties);
	read_wood_find(&f.read, trace, ties);
	for (size_t i = 0; i < TRACE_TABLES; i++)
		VIEWS[i](&f, &tables[i]);
	sources_release(&f.sources);
	way_release(&f.way);
	read_wood_release(&f.read);
}
