#include "pair/pair_view.h"

#include <math.h>
#include <stdlib.h>

#include "book/value.h"
#include "pair/pairing.h"
#include "stock/stock_cells.h"
#include "stock/stock_say.h"
#include "wood/moisture.h"

enum { COLUMN_PAIRS = 2, COLUMN_BLADE_AT = 4, COLUMN_CLASS = 7, COLUMN_HANDLE_AT = 15, COLUMN_GAP = 24, COLUMN_MASS = 27, COLUMN_READ = 28, COLUMN_FINISHED = 29, COLUMN_LANDS = 31 };

static const struct table_column pair_columns[] = {
	{ "as_of", TABLE_DATE, 0, NULL }, { "order", TABLE_TEXT, 0, NULL }, { "pairs", TABLE_INT, 0, "pairs" },
	{ "blade", TABLE_TEXT, 0, "blade" }, { "blade_at", TABLE_TEXT, 0, NULL }, { "type", TABLE_TEXT, 0, "type" }, { "grade", TABLE_TEXT, 0, "grade" },
	{ "class", TABLE_TEXT, 0, NULL }, { "blade_mc_pct", TABLE_FIXED, 1, "blade, %" }, { "blade_read_pct", TABLE_FIXED, 1, NULL },
	{ "blade_read", TABLE_DATE, 0, NULL }, { "blade_read_n", TABLE_INT, 0, NULL }, { "blade_source", TABLE_TEXT, 0, NULL }, { "blade_air", TABLE_TEXT, 0, NULL },
	{ "handle", TABLE_TEXT, 0, "handle" }, { "handle_at", TABLE_TEXT, 0, NULL }, { "handle_type", TABLE_TEXT, 0, NULL },
	{ "handle_mc_pct", TABLE_FIXED, 1, "handle, %" }, { "handle_read_pct", TABLE_FIXED, 1, NULL }, { "handle_read", TABLE_DATE, 0, NULL },
	{ "handle_read_n", TABLE_INT, 0, NULL }, { "handle_source", TABLE_TEXT, 0, NULL }, { "handle_air", TABLE_TEXT, 0, NULL },
	{ "apart_pct", TABLE_FIXED, 1, "apart" }, { "gap_mm", TABLE_FIXED, 2, "gap, mm" }, { "blade_mass_g", TABLE_FIXED, 0, NULL },
	{ "handle_mass_g", TABLE_FIXED, 0, NULL }, { "mass_g", TABLE_FIXED, 0, NULL }, { "read_days", TABLE_INT, 0, "days since read" },
	{ "finished_g", TABLE_REAL, 0, NULL }, { "finished_90_g", TABLE_REAL, 0, NULL }, { "lands", TABLE_REAL, TABLE_PERCENT + 0, NULL }
};

enum { PAIR_COLUMNS = sizeof pair_columns / sizeof *pair_columns };

static const struct bench_row *row_of(const struct pairing *p, enum pair_part part, size_t row)
{
	return &p->bench->side[part].row[row];
}

static struct slice text_of(const struct pairing *p, uint32_t id)
{
	return stock_text(p->bench->stock, id);
}

/* ---- which columns are for reading */

/* Where one kind of place is all there is, it is not among them. */
static bool several_places(const struct pairing *p, enum pair_part part)
{
	for (size_t i = 1; i < p->bench->side[part].n; i++)
		if (row_of(p, part, i)->kind.place != row_of(p, part, 0)->kind.place)
			return true;
	return false;
}

static void choose_columns(const struct pairing *p, struct table_column *column)
{
	bool single = true, class = false, mass = false;

	for (size_t i = 0; i < p->npairs; i++) {
		single &= p->pair[i].n == 1;
		class |= row_of(p, PAIR_BLADE, p->pair[i].blade)->kind.class != 0;
		mass |= row_of(p, PAIR_BLADE, p->pair[i].blade)->mass && row_of(p, PAIR_HANDLE, p->pair[i].handle)->mass;
	}
	if (single && p->npairs)
		column[COLUMN_PAIRS].heading = NULL;
	if (class)
		column[COLUMN_CLASS].heading = "class";
	if (mass)
		column[COLUMN_MASS].heading = "mass, g";
	if (p->forecast) {
		column[COLUMN_READ].heading = NULL;
		column[COLUMN_FINISHED].heading = "bat, g";
		column[COLUMN_LANDS].heading = "lands, %";
	}
	if (isnan(p->limits.cane))
		column[COLUMN_GAP].heading = NULL;
	if (several_places(p, PAIR_BLADE))
		column[COLUMN_BLADE_AT].heading = "at";
	if (several_places(p, PAIR_HANDLE))
		column[COLUMN_HANDLE_AT].heading = "at";
}

/* ---- cells */

void pair_view_figure(struct table *t, double v)
{
	if (isnan(v))
		table_absent(t);
	else
		table_fixed(t, llround(v * VALUE_STEPS), 4);
}

static void put_mass(struct table *t, int64_t mass)
{
	if (mass)
		table_fixed(t, mass, 6);
	else
		table_absent(t);
}

static void put_reading(const struct pairing *p, const struct bench_row *row, struct table *t)
{
	pair_view_figure(t, row->mc_pct);
	if (!row->read) {
		for (int i = 0; i < 5; i++)
			table_absent(t);
		return;
	}
	pair_view_figure(t, read_day_mean(row->read));
	stock_cell_day(t, row->read->day);
	table_int(t, row->read->n);
	table_cstr(t, row->own ? "piece" : "lot");
	if (row->room)
		table_text(t, text_of(p, row->room->place));
	else
		table_absent(t);
}

static void put_blade(const struct pairing *p, const struct bench_row *row, struct table *t)
{
	table_text(t, bench_name(p->bench, row));
	stock_cell_word(t, text_of(p, row->kind.place));
	stock_cell_word(t, text_of(p, row->kind.type));
	stock_cell_word(t, text_of(p, row->kind.grade));
	stock_cell_word(t, text_of(p, row->kind.class));
	put_reading(p, row, t);
}

static void put_handle(const struct pairing *p, const struct bench_row *row, struct table *t)
{
	table_text(t, bench_name(p->bench, row));
	stock_cell_word(t, text_of(p, row->kind.place));
	stock_cell_word(t, text_of(p, row->kind.type));
	put_reading(p, row, t);
}

static void put_forecast(const struct pairing *p, const struct pair *pair, struct table *t)
{
	struct prediction at = { NAN, NAN, NAN, NAN };

	if (p->forecast)
		at = pair_forecast_of(p->forecast, pair->blade, pair->handle);
	table_real(t, at.value);
	table_real(t, isnan(at.value) ? (double)NAN : pair_forecast_half(&at));
	table_real(t, p->forecast ? pair_forecast_chance(p->forecast, pair->blade, pair->handle) : (double)NAN);
}

static void put_pair(const struct pairing *p, const struct pair *pair, struct table *t)
{
	const struct bench_row *blade = row_of(p, PAIR_BLADE, pair->blade), *handle = row_of(p, PAIR_HANDLE, pair->handle);
	int32_t oldest = blade->read->day < handle->read->day ? blade->read->day : handle->read->day;

	stock_cell_day(t, p->bench->ask->today);
	if (p->bench->wanted->order)
		table_text(t, text_of(p, p->bench->wanted->order->id));
	else
		table_absent(t);
	table_int(t, pair->n);
	put_blade(p, blade, t);
	put_handle(p, handle, t);
	pair_view_figure(t, pair_apart_pct(p->bench, pair->blade, pair->handle));
	pair_view_figure(t, pair_gap_mm(&p->limits, blade->mc_pct, handle->mc_pct));
	put_mass(t, blade->mass);
	put_mass(t, handle->mass);
	put_mass(t, blade->mass && handle->mass ? blade->mass + handle->mass : 0);
	table_int(t, p->bench->ask->today - oldest);
	put_forecast(p, pair, t);
}

/* ---- the finding */

static int64_t count_of(const struct bench *b, enum pair_part part)
{
	int64_t n = 0;

	for (size_t i = 0; i < b->side[part].n; i++)
		n += b->side[part].row[i].n;
	return n;
}

static void say_order(const struct pairing *p, struct buf *text)
{
	const struct wanted *w = p->bench->wanted;
	int64_t open = 0;

	if (!w->order)
		return;
	for (size_t i = 0; i < w->n; i++)
		open += w->item[i].n;
	buf_add(text, text_of(p, w->order->id));
	if (open) {
		buf_str(text, " still needs ");
		stock_say_count(text, open, SLICE("bat"));
		buf_str(text, ". ");
	} else {
		buf_str(text, " needs no more bats. ");
	}
}

static void say_widest(const struct pairing *p, struct buf *text)
{
	double apart = 0, gap = 0;

	for (size_t i = 0; i < p->npairs; i++) {
		const struct pair *x = &p->pair[i];

		apart = fmax(apart, fabs(pair_apart_pct(p->bench, x->blade, x->handle)));
		gap = fmax(gap, pair_gap_mm(&p->limits, row_of(p, PAIR_BLADE, x->blade)->mc_pct, row_of(p, PAIR_HANDLE, x->handle)->mc_pct));
	}
	if (!p->npairs)
		return;
	buf_printf(text, " They are at most %.1f points apart", apart);
	if (!isnan(p->limits.cane) && gap < 0.005)
		buf_str(text, ", and no gap is foretold");
	else if (!isnan(p->limits.cane))
		buf_printf(text, ", and the widest gap foretold is %.2f mm", gap);
	buf_char(text, '.');
}

static void say_left(const struct pairing *p, struct buf *text)
{
	int64_t left[PAIR_PARTS] = { 0, 0 };

	for (size_t i = 0; i < p->nleft; i++)
		left[p->left[i].part] += p->left[i].n;
	if (!left[PAIR_BLADE] && !left[PAIR_HANDLE])
		return;
	buf_char(text, ' ');
	if (left[PAIR_BLADE])
		stock_say_count(text, left[PAIR_BLADE], SLICE("blade"));
	buf_str(text, left[PAIR_BLADE] && left[PAIR_HANDLE] ? " and " : "");
	if (left[PAIR_HANDLE])
		stock_say_count(text, left[PAIR_HANDLE], SLICE("handle"));
	buf_str(text, left[PAIR_BLADE] + left[PAIR_HANDLE] == 1 ? " is left over." : " are left over.");
}

static void find_pairs(const struct pairing *p, struct table *t)
{
	struct buf text = BUF_INIT;

	say_order(p, &text);
	buf_str(&text, "On ");
	stock_say_day(&text, p->bench->ask->today);
	buf_str(&text, ", ");
	stock_say_count(&text, count_of(p->bench, PAIR_BLADE), SLICE("blade"));
	buf_str(&text, " and ");
	stock_say_count(&text, count_of(p->bench, PAIR_HANDLE), SLICE("handle"));
	buf_str(&text, " make ");
	if (p->pairs)
		stock_say_count(&text, p->pairs, SLICE("pair"));
	else
		buf_str(&text, "no pair");
	buf_char(&text, '.');
	say_widest(p, &text);
	if (p->pairs)
		say_left(p, &text);
	table_finding(t, buf_slice(&text));
	buf_release(&text);
}

/* ---- notes */

static bool asks_for_some(const struct wanted *w)
{
	const struct wanted_item *item = w->item;

	return w->order || item->type != STOCK_ANY || item->grade != STOCK_ANY || item->class != STOCK_ANY;
}

static void note_elsewhere(const struct pairing *p, enum pair_part part, struct buf *text)
{
	const struct bench_side *side = &p->bench->side[part];
	struct slice at = text_of(p, side->most_at);

	text->n = 0;
	if (side->n || !side->elsewhere)
		return;
	buf_printf(text, "No %s is here; ", part == PAIR_HANDLE ? "handle" : asks_for_some(p->bench->wanted) ? "graded blade that is asked for" : "graded blade");
	stock_say_count(text, side->elsewhere, slice_of(pair_part_words[part]));
	buf_printf(text, " elsewhere: write --%ss=%.*s, for example.", pair_part_words[part], (int)at.n, at.p);
}

static void note_apart(const struct pairing *p, struct buf *text)
{
	text->n = 0;
	buf_str(text, "Apart: the handle less the blade, in points; ");
	if (isfinite(p->limits.most_apart_pct))
		buf_printf(text, "the limit is %g.", p->limits.most_apart_pct);
	else
		buf_str(text, "no limit is set: write most-apart under splice in the house file, or --most-apart=1%.");
}

static bool extrapolates(const struct pairing *p)
{
	for (size_t i = 0; i < p->npairs; i++)
		if (movement_extrapolates(row_of(p, PAIR_HANDLE, p->pair[i].handle)->mc_pct, row_of(p, PAIR_BLADE, p->pair[i].blade)->mc_pct))
			return true;
	return false;
}

static void note_gap(const struct pairing *p, struct buf *text)
{
	const struct pair_limits *limits = &p->limits;

	text->n = 0;
	if (isnan(limits->cane)) {
		buf_str(text, "No gap is calculated without a radial coefficient of the handles' wood in the house file; wy-reckon splice says how to measure one.");
		if (isfinite(limits->most_gap_mm))
			buf_printf(text, " So the limit of %g mm refuses no pair.", limits->most_gap_mm);
		return;
	}
	buf_printf(text, "Gap: how far the joint opens when the handle comes to the moisture of the blade: %g a point across %g mm.", limits->cane, limits->width_mm);
	if (isfinite(limits->most_gap_mm))
		buf_printf(text, " The limit is %g mm.", limits->most_gap_mm);
	if (extrapolates(p))
		buf_str(text, " The formula is for 6 to 14 %; outside it is extrapolated.");
}

/* How fast the wood of each place follows its air, and how that is known. */
static void note_lags(const struct pairing *p, struct buf *text)
{
	const struct pair_rooms *rooms = &p->bench->rooms;

	text->n = 0;
	for (size_t i = 0; i < rooms->n; i++) {
		const struct pair_room *room = rooms->room[i];
		struct slice at = text_of(p, room->place);

		buf_printf(text, "%s%.*s (%ss) %.0f days, %s", text->n ? "; " : "Time constants of the wood: ", (int)at.n, at.p,
			pair_part_words[room->handles ? PAIR_HANDLE : PAIR_BLADE], room->lag.lag_h / 24, room->lag_from);
		if (!isnan(room->lag.low_h))
			buf_printf(text, " (%.0f to %.0f)", room->lag.low_h / 24, room->lag.high_h / 24);
	}
	if (text->n)
		buf_char(text, '.');
}

static void note_unsure(const struct pairing *p, struct buf *text)
{
	size_t unsure = 0, lots = 0;

	for (size_t i = 0; i < p->npairs; i++)
		for (int part = 0; part < PAIR_PARTS; part++) {
			const struct bench_row *row = row_of(p, (enum pair_part)part, part == PAIR_BLADE ? p->pair[i].blade : p->pair[i].handle);

			unsure += row->read->unsure > 0;
			lots += !row->own;
		}
	text->n = 0;
	if (lots)
		buf_str(text, "A lot's moisture is the mean of its last readings, and its pieces differ.");
	if (unsure)
		buf_printf(text, "%sSome readings are uncorrected, or outside the trusted range of the meter.", text->n ? " " : "");
	if (p->npairs)
		buf_printf(text, "%sMeasure blade and handle once more before you glue them.", text->n ? " " : "");
}

/* How many of the pairs have a blade whose bat cannot be foretold. */
static int64_t not_foretold(const struct pairing *p)
{
	int64_t n = 0;

	for (size_t i = 0; i < p->npairs; i++)
		n += isnan(pair_forecast_of(p->forecast, p->pair[i].blade, p->pair[i].handle).value) ? p->pair[i].n : 0;
	return n;
}

static void note_mass(const struct pairing *p, struct buf *text)
{
	text->n = 0;
	if (!p->forecast)
		return;
	buf_add(text, text_of(p, p->bench->wanted->order->id));
	buf_str(text, " asks for bats of ");
	order_say_mass(p->bench->wanted->order, p->bench->stock, text);
	buf_str(text, "; foretold by wy-weigh's lines from the blades that were weighed by themselves. ");
	if (isnan(p->forecast->handle_g))
		buf_str(text, "Too few handles in bats were weighed to count theirs.");
	else
		buf_printf(text, "A handle counts by what it is heavier than the usual %.0f g.", p->forecast->handle_g);
	if (not_foretold(p))
		buf_printf(text, " Of %lld %s nothing can be foretold; weigh the blades, and give them numbers in judge lines.", (long long)not_foretold(p),
			PLURAL(not_foretold(p), "pair", "pairs"));
}

static void note_numbered(const struct pairing *p, struct buf *text)
{
	text->n = 0;
	if (p->bench->side[PAIR_BLADE].numbered || p->bench->side[PAIR_HANDLE].numbered)
		buf_str(text, "Some pieces of these lots have numbers, but the book does not say which of them are here. Name those: --blades=C013/19,C013/20.");
}

static void add_note(struct table *t, const struct buf *text)
{
	if (text->n)
		table_note(t, buf_slice(text));
}

static void note_pairs(const struct pairing *p, struct table *t)
{
	static void (*const NOTE[])(const struct pairing *, struct buf *) = { note_apart, note_gap, note_lags, note_mass, note_numbered, note_unsure };
	struct buf text = BUF_INIT;

	for (int part = 0; part < PAIR_PARTS; part++) {
		note_elsewhere(p, (enum pair_part)part, &text);
		add_note(t, &text);
	}
	for (size_t i = 0; i < sizeof NOTE / sizeof *NOTE; i++) {
		NOTE[i](p, &text);
		add_note(t, &text);
	}
	buf_release(&text);
}

void pair_view_pairs(const struct pairing *p, struct table *t)
{
	struct table_column columns[PAIR_COLUMNS];

	memcpy(columns, pair_columns, sizeof columns);
	choose_columns(p, columns);
	table_init(t, columns, PAIR_COLUMNS);
	table_title(t, SLICE("Pairs"), "pairs");
	for (size_t i = 0; i < p->npairs; i++)
		put_pair(p, &p->pair[i], t);
	find_pairs(p, t);
	note_pairs(p, t);
}
