#include "trace/driest.h"

#include <stdlib.h>

#include "book/value.h"
#include "house/house.h"
#include "stock/stock_cells.h"
#include "stock/stock_say.h"
#include "trace/read_wood.h"
#include "trace/ties.h"
#include "trace/trace.h"

const char *driest_floor(const struct house *house, const char *under, int64_t *floor)
{
	struct value v;

	if (!under) {
		if (!house || !house_range_given(house->ready.band) || house->ready.band.low == INT64_MIN)
			return "the house file has no ready: band with a low end; name the floor, such as --under=8%";
		*floor = house->ready.band.low;
		return NULL;
	}
	if (value_read(TYPE_MOISTURE, 0, slice_of(under), &v) != VALUE_OK || v.fix <= 0)
		return "the value of --under is not a moisture content above zero; write it as --under=8%";
	*floor = v.fix;
	return NULL;
}

/* What a row is of. It has no gaps: its bytes are its identity. */
struct dry_key {
	uint32_t a, b, lot, charge, place, part;
};

struct dry_row {
	struct dry_key key;        /* names of the readings; lot: an id of the stock */
	struct read_row read;
};

/* A lot that rows are of. */
struct dry_lot {
	uint32_t id;
	int64_t rows, driest;
};

struct dry_rows {
	struct trace *trace;
	struct intern keys;
	struct dry_row *row;
	size_t n, cap;
	struct dry_lot *lot;       /* the one with the driest reading first */
	size_t nlots, lots_cap;
	uint32_t *lot_at;          /* by id: index + 1 */
};

/* ---- collecting */

static void take(struct dry_rows *d, const struct reading *x, const struct reading_of *of)
{
	struct dry_key key = { of->a, of->b, trace_lot(d->trace, of), of->charge, of->place, of->part };
	uint32_t at = intern_id(&d->keys, (struct slice){ (const char *)&key, sizeof key }) - 1;

	if (at == d->n) {
		d->row = mem_grow(d->row, &d->cap, d->n + 1, sizeof *d->row);
		d->row[d->n++] = (struct dry_row){ .key = key };
	}
	read_row_add(&d->trace->readings, &d->row[at].read, x, of);
}

/* A reading that is at most the scale's end may be under a floor above that end. */
static bool is_under(const struct reading *x, int64_t floor)
{
	return x->mark == VALUE_EXACT ? x->mc < floor : x->mark == VALUE_BELOW && x->mc <= floor;
}

static void collect(struct dry_rows *d, int64_t floor)
{
	struct reading x;

	while (readings_next(&d->trace->readings, &x)) {
		struct reading_of of;

		if (!is_under(&x, floor))
			continue;
		of = reading_of(&d->trace->facts, &x);
		take(d, &x, &of);
	}
}

/* ---- what is known of a lot */

static void say_charges(struct trace *t, uint32_t lot, struct buf *b)
{
	struct ties ties = { .n = 0 };
	size_t said = 0;

	lineage_find(&t->wood, LINEAGE_LOT, lot);
	ties_add(&ties, t, &t->wood);
	ties_sort(&ties, t);
	for (size_t i = 0; i < ties.n; i++) {
		if (ties.tie[i].kind != TIE_CHARGE)
			continue;
		buf_str(b, said++ ? ", " : "");
		buf_add(b, trace_text(t, ties.tie[i].id));
		if (ties.tie[i].share < 0.995) {
			buf_char(b, ' ');
			stock_say_percent(b, ties.tie[i].share);
		}
	}
	ties_release(&ties);
}

static void add_number(struct buf *b, double n, const char *what)
{
	if (n < 0.5)
		return;
	buf_printf(b, "%s%.0f %s", b->n ? ", " : "", n, what);
}

/* How many of a lot are in each place: there are few. */
struct there {
	uint32_t place;
	double n;
};

struct theres {
	struct there *row;
	size_t n, cap;
};

static void add_there(struct theres *all, const struct trace *t, uint32_t place, double n)
{
	size_t at = 0;

	while (at < all->n && slice_cmp(trace_text(t, all->row[at].place), trace_text(t, place)) < 0)
		at++;
	if (at == all->n || all->row[at].place != place) {
		all->row = mem_grow(all->row, &all->cap, all->n + 1, sizeof *all->row);
		memmove(all->row + at + 1, all->row + at, (all->n - at) * sizeof *all->row);
		all->row[at] = (struct there){ place, 0 };
		all->n++;
	}
	all->row[at].n += n;
}

static void say_now(struct trace *t, uint32_t lot, struct buf *b)
{
	struct tie tie = { .kind = TIE_LOT, .id = lot };
	struct theres there = { .n = 0 };
	double sold = 0, culled = 0, bats = 0;

	tie_kin(t, &tie);
	for (size_t i = 0; i < t->kin.n; i++) {
		struct stock_kind kind = flow_log_kind(&t->log, t->kin.heap[i].heap);
		double n = t->kin.heap[i].share * (double)t->kin.heap[i].n;

		if (kind.form == FORM_BAT)
			bats += n;
		else if (kind.place == t->stock->sold)
			sold += n;
		else if (kind.place == t->stock->culled)
			culled += n;
		else
			add_there(&there, t, kind.place, n);
	}
	for (size_t i = 0; i < there.n; i++) {
		buf_printf(b, "%s%.0f in ", b->n ? ", " : "", there.row[i].n);
		buf_add(b, trace_text(t, there.row[i].place));
	}
	add_number(b, bats, "in bats");
	add_number(b, sold, "sold");
	add_number(b, culled, "culled");
	free(there.row);
}

/* ---- rows */

/* The driest first, then by the names of what was read. */
static int by_driest(const struct trace *t, const struct dry_row *x, const struct dry_row *y)
{
	const uint32_t of_x[] = { x->key.a, x->key.b, x->key.charge, x->key.place, x->key.part }, of_y[] = { y->key.a, y->key.b, y->key.charge, y->key.place, y->key.part };
	int order = 0;

	if (x->read.driest.mc != y->read.driest.mc)
		return x->read.driest.mc < y->read.driest.mc ? -1 : 1;
	for (size_t i = 0; !order && i < sizeof of_x / sizeof *of_x; i++)
		order = slice_cmp(readings_name(&t->readings, of_x[i]), readings_name(&t->readings, of_y[i]));
	return order ? order : slice_cmp(trace_text(t, x->key.lot), trace_text(t, y->key.lot));
}

static void merge(const struct trace *t, struct dry_row *row, struct dry_row *spare, size_t n)
{
	size_t half = n / 2, a = 0, b = half;

	if (n < 2)
		return;
	merge(t, row, spare, half);
	merge(t, row + half, spare, n - half);
	for (size_t i = 0; i < n; i++)
		spare[i] = b == n || (a < half && by_driest(t, &row[a], &row[b]) <= 0) ? row[a++] : row[b++];
	memcpy(row, spare, n * sizeof *row);
}

/* The bat that a numbered blade is in. */
static uint32_t bat_of(const struct trace *t, const struct dry_row *row)
{
	struct slice piece = readings_name(&t->readings, row->key.a);

	return slice_find(piece, '/') < piece.n ? stated_bat_with(&t->stated, intern_find(&t->stock->ids, piece)) : 0;
}

static void put_row(struct dry_rows *d, struct table *table, const struct dry_row *row)
{
	struct trace *t = d->trace;
	struct buf b = BUF_INIT;

	table_real(table, (double)row->read.driest.mc / VALUE_STEPS);
	table_cstr(table, row->read.driest.mark == VALUE_BELOW ? "below" : NULL);
	stock_cell_day(table, row->read.driest.day);
	reading_source_write(&t->readings, &b, row->key.a, row->key.b, row->read.driest.at_random);
	table_text(table, buf_slice(&b));
	stock_cell_word(table, readings_name(&t->readings, row->key.part));
	stock_cell_word(table, readings_name(&t->readings, row->key.place));
	table_int(table, row->read.n);
	stock_cell_word(table, trace_text(t, row->key.lot));
	stock_cell_word(table, readings_name(&t->readings, row->key.charge));
	stock_cell_word(table, trace_text(t, bat_of(t, row)));
	buf_release(&b);
}

/* Rows come with the driest first, and so do their lots. */
static void note_lot(struct dry_rows *d, const struct dry_row *row)
{
	uint32_t *at = &d->lot_at[row->key.lot];

	if (!row->key.lot)
		return;
	if (!*at) {
		d->lot = mem_grow(d->lot, &d->lots_cap, d->nlots + 1, sizeof *d->lot);
		d->lot[d->nlots++] = (struct dry_lot){ row->key.lot, 0, row->read.driest.mc };
		*at = (uint32_t)d->nlots;
	}
	d->lot[*at - 1].rows++;
}

static void put_lot(struct dry_rows *d, struct table *table, const struct dry_lot *lot)
{
	struct buf b = BUF_INIT;

	table_text(table, trace_text(d->trace, lot->id));
	table_int(table, lot->rows);
	table_real(table, (double)lot->driest / VALUE_STEPS);
	say_charges(d->trace, lot->id, &b);
	stock_cell_word(table, buf_slice(&b));
	b.n = 0;
	say_now(d->trace, lot->id, &b);
	stock_cell_word(table, buf_slice(&b));
	buf_release(&b);
}

/* ---- the finding */

static void say(const struct dry_rows *d, int64_t floor, struct table *table)
{
	struct buf b = BUF_INIT;

	if (!d->n)
		buf_printf(&b, "No piece was read under %.1f %%.", (double)floor / VALUE_STEPS);
	else {
		const struct dry_row *first = d->row;

		buf_count(&b, (int64_t)d->n, "piece");
		buf_printf(&b, " w%s read under %.1f %%; the driest, ", PLURAL(d->n, "as", "ere"), (double)floor / VALUE_STEPS);
		reading_source_write(&d->trace->readings, &b, first->key.a, first->key.b, first->read.driest.at_random);
		buf_printf(&b, ", %.1f %% on ", (double)first->read.driest.mc / VALUE_STEPS);
		stock_say_day(&b, first->read.driest.day);
		buf_char(&b, '.');
	}
	table_finding(table, buf_slice(&b));
	buf_release(&b);
}

static void fill(struct dry_rows *d, struct table *pieces, struct table *lots)
{
	d->lot_at = mem_zeroed(d->trace->stock->ids.n, sizeof *d->lot_at);
	for (size_t i = 0; i < d->n; i++) {
		put_row(d, pieces, &d->row[i]);
		note_lot(d, &d->row[i]);
	}
	for (size_t i = 0; i < d->nlots; i++)
		put_lot(d, lots, &d->lot[i]);
}

void driest_view(struct trace *t, int64_t floor, struct table *pieces, struct table *lots)
{
	static const struct table_column of_piece[] = {
		{ "driest_pct", TABLE_REAL, 2, "driest, %" }, { "driest_scale", TABLE_TEXT, 0, NULL }, { "day", TABLE_DATE, 0, "on" }, { "piece", TABLE_TEXT, 0, "piece" },
		{ "part", TABLE_TEXT, 0, "wood for" }, { "place", TABLE_TEXT, 0, NULL }, { "n_readings", TABLE_INT, 0, "readings" }, { "lot", TABLE_TEXT, 0, NULL },
		{ "charge", TABLE_TEXT, 0, "read in charge" }, { "bat", TABLE_TEXT, 0, "now in bat" },
	};
	static const struct table_column of_lot[] = {
		{ "lot", TABLE_TEXT, 0, "lot" }, { "pieces", TABLE_INT, 0, "pieces" }, { "driest_pct", TABLE_REAL, 2, "driest, %" },
		{ "charges", TABLE_TEXT, 0, "dried in" }, { "now", TABLE_TEXT, 0, "now" },
	};
	struct dry_rows d = { .trace = t };
	struct dry_row *spare;

	intern_init(&d.keys);
	collect(&d, floor);
	spare = mem_array(d.n + 1, sizeof *spare);
	merge(t, d.row, spare, d.n);
	table_init(pieces, of_piece, sizeof of_piece / sizeof *of_piece);
	table_title(pieces, SLICE("Pieces that were read under the floor"), "pieces");
	table_init(lots, of_lot, sizeof of_lot / sizeof *of_lot);
	table_title(lots, SLICE("Their lots, and where these are now"), "lots");
	say(&d, floor, pieces);
	fill(&d, pieces, lots);
	free(d.lot);
	free(d.lot_at);
	free(d.row);
	free(spare);
	intern_release(&d.keys);
}
