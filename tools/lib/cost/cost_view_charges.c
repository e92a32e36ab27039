
#include <stdlib.h>

#include "cost/charge_costs.h"
#include "cost/cost_view_internal.h"
#include "house/house.h"

struct charge_row {
	struct slice name;
	const struct charge_cost *charge;
	int64_t cost, energy;      /* energy: 0.0001 kWh */
	bool has_cost, has_energy;
};

static int by_loading(const void *a, const void *b)
{
	const struct charge_row *x = a, *y = b;

	if (x->charge->first != y->charge->first)
		return x->charge->first < y->charge->first ? -1 : 1;
	return slice_cmp(x->name, y->name);
}

/* What was put on the pieces of a charge, and the energy that goes with it. */
static void add_costs(const struct costing *c, uint32_t charge, struct charge_row *row)
{
	for (size_t i = 0; i < c->out.nrecords; i++) {
		const struct spread_record *r = &c->out.record[i];
		const struct cost_entry *e = &c->book.entry[r->entry];

		if (c->book.element[e->element].use != COST_FOR_DRYING || c->holdings.cohort[r->base].key.charge != charge)
			continue;
		row->has_cost = true;
		row->cost += r->amount;
		if (e->energy < 0 || !e->amount)
			continue;
		row->has_energy = true;
		row->energy += e->amount > 0 ? money_part(e->energy, r->amount, e->amount) : 0;
	}
}

static int32_t days_of(const struct costing *c, const struct charge_cost *charge)
{
	return (charge->left < charge->loaded ? c->ask->today : charge->last) - charge->first;
}

static void put_load(const struct costing *c, const struct charge_cost *charge, struct table *t)
{
	struct slice kiln = stock_text(c->stock, cost_book_kiln(&c->book, charge->charge));
	const struct house_place *place = c->book.house ? house_place(c->book.house, kiln) : NULL;

	table_int(t, charge->loaded);
	if (place && place->capacity > 0) {
		table_int(t, place->capacity);
		table_real(t, (double)charge->loaded / (double)place->capacity);
	} else {
		table_absent(t);
		table_absent(t);
	}
}

static void put_points(const struct costing *c, const struct charge_row *row, struct table *t)
{
	double points = row->charge->points, unit = 1;

	for (int i = 0; i < c->book.places; i++)
		unit *= 10;
	if (!(points > 0)) {
		table_rest_absent(t);
		return;
	}
	table_real(t, points);
	table_real(t, row->charge->half);
	table_cstr(t, row->charge->above ? "yes" : "no");
	if (row->has_energy)
		table_real(t, (double)row->energy / 10000 / points);
	else
		table_absent(t);
	if (row->has_cost)
		table_real(t, (double)row->cost / unit / points);
	else
		table_absent(t);
}

static void put_row(const struct costing *c, const struct charge_row *row, struct table *t)
{
	const struct charge_cost *charge = row->charge;

	stock_cell_day(t, c->ask->today);
	table_text(t, row->name);
	stock_cell_word(t, stock_text(c->stock, cost_book_kiln(&c->book, charge->charge)));
	stock_cell_day(t, charge->first);
	table_cstr(t, charge->left < charge->loaded ? "yes" : "no");
	table_int(t, days_of(c, charge));
	table_real(t, days_of(c, charge) / 7.0);
	put_load(c, charge, t);
	cost_view_currency(c, t);
	if (row->has_cost && charge->loaded) {
		cost_view_money(c, t, row->cost);
		cost_view_money(c, t, money_part(row->cost, 1, charge->loaded));
	} else {
		table_absent(t);
		table_absent(t);
	}
	if (row->has_energy) {
		table_fixed(t, row->energy, 4);
		table_real(t, charge->loaded ? (double)row->energy / 10000 / (double)charge->loaded : 0);
	} else {
		table_absent(t);
		table_absent(t);
	}
	put_points(c, row, t);
}

static void start_table(const struct costing *c, struct table *t)
{
	static const struct table_column HEAD[] = { { "as_of", TABLE_DATE, 0, NULL }, { "charge", TABLE_TEXT, 0, "charge" }, { "kiln", TABLE_TEXT, 0, "kiln" },
		{ "loaded", TABLE_DATE, 0, NULL }, { "open", TABLE_TEXT, 0, NULL }, { "days", TABLE_INT, 0, NULL }, { "weeks", TABLE_REAL, 1, "weeks" }, { "pieces", TABLE_INT, 0, "pieces" },
		{ "capacity", TABLE_INT, 0, NULL }, { "load_share", TABLE_REAL, TABLE_PERCENT, "load, %" }, { "currency", TABLE_TEXT, 0, NULL } };
	static const struct table_column REST[] = { { "energy_kwh", TABLE_FIXED, 0, NULL }, { "energy_each_kwh", TABLE_REAL, 2, "kWh a piece" },
		{ "removed_points", TABLE_REAL, 1, "points" },
		{ "removed_error_points", TABLE_REAL, 1, "+/-" }, { "removed_above", TABLE_TEXT, 0, NULL }, { "energy_point_kwh", TABLE_REAL, 1, "kWh a point" }, { "cost_point", TABLE_REAL, 2, "cost a point" } };

	table_init(t, HEAD, sizeof HEAD / sizeof *HEAD);
	cost_view_column(c, t, "cost", NULL);
	cost_view_column(c, t, "each", "cost a piece");
	for (size_t i = 0; i < sizeof REST / sizeof *REST; i++) {
		table_add_column(t, REST[i].name, REST[i].type, REST[i].places);
		table_heading(t, REST[i].heading);
	}
}

static int by_days(const void *a, const void *b)
{
	const int32_t *x = a, *y = b;

	return (*x > *y) - (*x < *y);
}

/* Whether drying a piece in x cost more than in y. */
static bool is_dearer(const struct charge_row *x, const struct charge_row *y)
{
	return (int128)x->cost * y->charge->loaded > (int128)y->cost * x->charge->loaded;
}

/* " Dearest was K27-06: 1.38 NZD a piece, with 220 pieces in." */
static void say_dearest(const struct costing *c, const struct charge_row *row, size_t n, struct buf *text)
{
	const struct charge_row *most = NULL;
	size_t known = 0;

	for (size_t i = 0; i < n; i++) {
		if (row[i].charge->left < row[i].charge->loaded || !row[i].has_cost || !row[i].charge->loaded)
			continue;
		known++;
		if (!most || is_dearer(&row[i], most))
			most = &row[i];
	}
	if (known < 2)
		return;
	buf_str(text, " Dearest was ");
	buf_add(text, most->name);
	buf_str(text, ": ");
	cost_book_money(&c->book, money_part(most->cost, 1, most->charge->loaded), text);
	buf_str(text, " a piece, with ");
	stock_say_count(text, most->charge->loaded, SLICE("piece"));
	buf_str(text, " in it.");
}

/* Of the charges that are out: the median of their days, the cost and the energy of a piece. */
static void say_charges(const struct costing *c, const struct charge_row *row, size_t n, struct table *t)
{
	int32_t *days = mem_array(n, sizeof *days);
	int64_t pieces = 0, cost = 0, energy = 0, metered = 0, done = 0;
	struct buf text = BUF_INIT;

	for (size_t i = 0; i < n; i++) {
		if (row[i].charge->left < row[i].charge->loaded)
			continue;
		days[done++] = days_of(c, row[i].charge);
		pieces += row[i].has_cost ? row[i].charge->loaded : 0;
		cost += row[i].cost;
		energy += row[i].energy;
		metered += row[i].has_energy ? row[i].charge->loaded : 0;
	}
	if (done)
		qsort(days, (size_t)done, sizeof *days, by_days);
	stock_say_count(&text, done, SLICE("charge"));
	buf_str(&text, PLURAL(done, " is out", " are out"));
	if (done) {
		buf_str(&text, "; the median took ");
		buf_real_shown(&text, (days[(done - 1) / 2] + days[done / 2]) / 14.0, 1);
		buf_str(&text, " weeks");
	}
	if (pieces) {
		buf_str(&text, ". Drying a piece cost ");
		cost_book_money(&c->book, money_part(cost, 1, pieces), &text);
	}
	if (metered) {
		buf_str(&text, pieces ? " and took " : ". Drying a piece took ");
		buf_real_shown(&text, (double)energy / 10000 / (double)metered, 2);
		buf_str(&text, " kWh");
	}
	buf_char(&text, '.');
	say_dearest(c, row, n, &text);
	table_finding(t, buf_slice(&text));
	buf_release(&text);
	free(days);
}

static void note_above(const struct charge_row *row, size_t n, struct table *t)
{
	struct buf text = BUF_INIT;
	size_t above = 0;

	for (size_t i = 0; i < n; i++) {
		if (!row[i].charge->above)
			continue;
		buf_str(&text, above++ ? ", " : "more points went, as a first reading was beyond the meter's scale: ");
		buf_add(&text, row[i].name);
	}
	if (above)
		table_note(t, buf_slice(&text));
	buf_release(&text);
}

void cost_view_charges(const struct costing *c, const struct charge_costs *charges, struct table *t)
{
	struct charge_row *row = mem_array(charges->n, sizeof *row);

	for (size_t i = 0; i < charges->n; i++) {
		row[i] = (struct charge_row){ stock_text(c->stock, charges->row[i].charge), &charges->row[i], 0, 0, false, false };
		add_costs(c, charges->row[i].charge, &row[i]);
	}
	if (charges->n)
		qsort(row, charges->n, sizeof *row, by_loading);
	start_table(c, t);
	for (size_t i = 0; i < charges->n; i++)
		put_row(c, &row[i], t);
	say_charges(c, row, charges->n, t);
	table_note(t, SLICE("cost: power of the charge, and its part of what is for the kiln; a point: one point of mean moisture content of the whole charge"));
	table_note(t, SLICE("points: by how much the wood dried; the mean over the probes of the first reading less the last, with what the others lost while one was not read, and its 95 % interval"));
	note_above(row, charges->n, t);
	cost_view_notes(c, t);
	free(row);
}
