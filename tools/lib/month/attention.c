#include "month/attention.h"

#include <math.h>
#include <stdlib.h>

#include "month/month.h"
#include "table/table_read.h"

/* Air that is in the target for less of the time than this needs attention. */
static const double AIR_SHARE = 0.9;

/* A grade's proportion is compared if there are so many blades, this month and before. */
enum { BLADES_LEAST = 30 };

/* ---- words */

static void add_cell(struct buf *out, const struct table *t, size_t row, const char *column)
{
	buf_add(out, table_word(t, row, column));
}

static void add_tenths(struct buf *out, const struct table *t, size_t row, const char *column)
{
	buf_printf(out, "%.1f", table_figure(t, row, column));
}

static bool is_word(const struct table *t, size_t row, const char *column, const char *word)
{
	return slice_eq(table_word(t, row, column), slice_of(word));
}

/* ---- charges */

bool attention_is_charge(const struct month *m, struct slice id)
{
	return charges_case(&m->dried, id) != NULL;
}

bool attention_is_kiln(const struct month *m, struct slice place)
{
	const struct house_place *p = m->house ? house_place(m->house, place) : NULL;

	for (size_t i = 0; i < m->dried.n; i++)
		if (slice_eq(m->dried.cases[i].kiln, place))
			return true;
	return p && p->kind == HOUSE_PLACE_KIND_KILN;
}

/* Of the open charges, from which day on they can be ready. */
static void write_open(const struct table *t, size_t i, struct buf *out)
{
	add_cell(out, t, i, "charge");
	buf_str(out, ": ");
	add_cell(out, t, i, "verdict");
	if (table_has(t, i, "wettest_pct")) {
		int64_t probes = table_count(t, i, "probes");

		buf_printf(out, "; %lld probe%s in it: ", (long long)probes, PLURAL(probes, "", "s"));
		add_tenths(out, t, i, "driest_pct");
		buf_str(out, " to ");
		add_tenths(out, t, i, "wettest_pct");
		buf_str(out, " % on ");
		add_cell(out, t, i, "read_on");
	}
	if (table_has(t, i, "ready_90_from")) {
		buf_str(out, table_has(t, i, "ready_90_to") ? "; ready between " : "; ready on ");
		add_cell(out, t, i, "ready_90_from");
		buf_str(out, table_has(t, i, "ready_90_to") ? " and " : " at the earliest");
		add_cell(out, t, i, "ready_90_to");
		buf_str(out, " (90 %)");
	}
	buf_char(out, '\n');
}

/* A reason without its probe, "probe a reads ...": the probe's label, and what is said of it. */
static struct slice split_reason(struct slice text, struct slice *probe)
{
	const struct slice head = SLICE("probe ");
	size_t end;

	*probe = SLICE("");
	if (!slice_starts(text, head))
		return text;
	end = slice_find(slice_from(text, head.n), ' ');
	if (head.n + end >= text.n)
		return text;
	*probe = slice_upto(slice_from(text, head.n), end);
	return slice_from(text, head.n + end + 1);
}

struct reason {
	struct slice charge, probe, text;
	bool said;
};

/* Whether the same is said of both. */
static bool is_alike(const struct reason *a, const struct reason *b)
{
	return slice_eq(a->charge, b->charge) && slice_eq(a->text, b->text) && !a->probe.n == !b->probe.n;
}

static void write_probes(struct reason *r, size_t n, size_t first, struct buf *out)
{
	size_t many = 0;

	for (size_t i = first; i < n; i++)
		many += is_alike(&r[i], &r[first]);
	buf_str(out, many > 1 ? "each of probes " : "probe ");
	for (size_t i = first; i < n; i++) {
		if (!is_alike(&r[i], &r[first]))
			continue;
		buf_str(out, i > first ? ", " : "");
		buf_add(out, r[i].probe);
		r[i].said = true;
	}
	buf_char(out, ' ');
}

static void write_reasons(struct reason *r, size_t n, struct buf *out)
{
	for (size_t i = 0; i < n; i++) {
		if (r[i].said)
			continue;
		buf_add(out, r[i].charge);
		buf_str(out, ": ");
		if (r[i].probe.n)
			write_probes(r, n, i, out);
		buf_add(out, r[i].text);
		buf_char(out, '\n');
	}
}

void attention_reasons(const struct month *m, const char *side, struct buf *out)
{
	const struct table *t = &m->is.reasons;
	struct reason *r = mem_zeroed(table_rows(t), sizeof *r);
	size_t n = 0;

	for (size_t i = 0; i < table_rows(t); i++) {
		if (!is_word(t, i, "side", side))
			continue;
		r[n].charge = table_word(t, i, "charge");
		r[n].text = split_reason(table_word(t, i, "text"), &r[n].probe);
		n++;
	}
	write_reasons(r, n, out);
	free(r);
}

static void write_open_charges(const struct month *m, struct buf *out)
{
	for (size_t i = 0; i < table_rows(&m->is.charges); i++)
		write_open(&m->is.charges, i, out);
	attention_reasons(m, "doubt", out);
	attention_reasons(m, "warning", out);
}

/* The row of that key; the number of rows where there is none. */
static size_t row_of(const struct table *t, const char *column, struct slice key)
{
	size_t i = 0;

	while (i < table_rows(t) && !slice_eq(table_word(t, i, column), key))
		i++;
	return i;
}

static int64_t out_of_band(const struct table *t, size_t i)
{
	return llround((double)table_count(t, i, "n_judged") * (1 - table_figure(t, i, "share_in_band")));
}

static bool is_out_of_band(const struct table *t, size_t i)
{
	return table_count(t, i, "n_judged") > 0 && out_of_band(t, i) > 0;
}

/* "1 of 30 probes out of the band; wettest 10.6 % (a 2027-12-02), driest 8.9 % (b 2027-12-02)". */
static void write_out_of(const struct table *t, size_t i, const char *of, struct buf *out)
{
	buf_printf(out, "%lld of %lld %s; wettest ", (long long)out_of_band(t, i), (long long)table_count(t, i, "n_judged"), of);
	add_tenths(out, t, i, "wettest_pct");
	buf_str(out, " % (");
	add_cell(out, t, i, "wettest");
	buf_str(out, "), driest ");
	add_tenths(out, t, i, "driest_pct");
	buf_str(out, " % (");
	add_cell(out, t, i, "driest");
	buf_str(out, ")\n");
}

static void write_emptied(const struct month *m, struct buf *out)
{
	const struct table *t = &m->is.kilns, *moist = &m->is.moist;

	for (size_t i = 0; i < table_rows(t); i++) {
		struct slice charge = table_word(t, i, "charge");
		size_t read = row_of(moist, "charge", charge);

		if (!is_word(t, i, "step", "kiln") || !attention_is_charge(m, charge) || table_count(t, i, "still") || !table_count(t, i, "out"))
			continue;
		if (read < table_rows(moist) && !is_out_of_band(moist, read))
			continue;
		buf_add(out, charge);
		if (read == table_rows(moist)) {
			buf_str(out, ": emptied without a reading in the book\n");
			continue;
		}
		buf_str(out, ": emptied with ");
		write_out_of(moist, read, "probes out of the band", out);
	}
}

/* ---- orders */

static bool is_due(const struct month *m, const struct table *t, size_t i)
{
	int32_t due;

	return date_read(table_word(t, i, "due"), &due) == DATE_OK && due <= m->days.last;
}

static bool is_late(const struct month *m, const struct table *t, size_t i)
{
	int32_t due;

	return date_read(table_word(t, i, "due"), &due) == DATE_OK && due < m->days.last;
}

/* "(1 in stock, 7 to make)": what becomes of the pieces that are still open. */
static void write_cover(const struct table *t, size_t i, struct buf *out)
{
	static const struct {
		const char *column, *word;
	} parts[] = { { "in_stock", "in stock" }, { "to_make", "to make" }, { "short", "short" } };
	bool any = false;

	if (table_count(t, i, "in_stock") == table_count(t, i, "open") || table_count(t, i, "short") == table_count(t, i, "open")) {
		buf_str(out, table_count(t, i, "short") ? " (none in stock)" : " (all in stock)");
		return;
	}
	for (size_t k = 0; k < sizeof parts / sizeof *parts; k++) {
		if (!table_count(t, i, parts[k].column))
			continue;
		buf_printf(out, "%s%lld %s", any ? ", " : " (", (long long)table_count(t, i, parts[k].column), parts[k].word);
		any = true;
	}
	buf_char(out, ')');
}

static void write_item(const struct table *t, size_t i, struct buf *out)
{
	int64_t open = table_count(t, i, "open");

	buf_printf(out, "%lld ", (long long)open);
	if (table_has(t, i, "type")) {
		add_cell(out, t, i, "type");
		buf_char(out, ' ');
	}
	if (table_has(t, i, "grade")) {
		buf_str(out, "grade ");
		add_cell(out, t, i, "grade");
		buf_char(out, ' ');
	}
	add_cell(out, t, i, "form");
	buf_str(out, PLURAL(open, "", "s"));
	write_cover(t, i, out);
}

static void write_order_head(const struct month *m, const struct table *t, size_t i, struct buf *out)
{
	add_cell(out, t, i, "order");
	if (table_has(t, i, "to")) {
		buf_str(out, " for ");
		add_cell(out, t, i, "to");
	}
	if (table_has(t, i, "due")) {
		buf_str(out, is_late(m, t, i) ? ", WAS DUE " : ", due ");
		add_cell(out, t, i, "due");
	}
	buf_str(out, ": ");
}

/* The items of one order follow each other. */
static void write_orders(const struct month *m, struct buf *out)
{
	const struct table *t = &m->is.orders;
	struct slice order = SLICE("");

	for (size_t i = 0; i < table_rows(t); i++) {
		if (!is_due(m, t, i) && !table_count(t, i, "short"))
			continue;
		if (slice_eq(order, table_word(t, i, "order"))) {
			buf_str(out, ", ");
		} else {
			buf_str(out, order.n ? "\n" : "");
			order = table_word(t, i, "order");
			write_order_head(m, t, i, out);
		}
		write_item(t, i, out);
	}
	buf_str(out, order.n ? "\n" : "");
}

/* ---- rooms */

static void write_air(const struct table *t, size_t i, struct buf *out)
{
	add_cell(out, t, i, "place");
	buf_printf(out, ": the air was in the target for %.0f %% of the known hours; wood equilibrates at ", 100 * table_figure(t, i, "emc_in_target_share"));
	add_tenths(out, t, i, "emc_mean_pct");
	buf_str(out, " % there (");
	add_tenths(out, t, i, "emc_min_pct");
	buf_str(out, " to ");
	add_tenths(out, t, i, "emc_max_pct");
	buf_str(out, ")\n");
}

/* A reading out of the target with a gap on both sides: it is in no hour that is known. */
static bool is_lone(const struct table *t, size_t i, struct slice place)
{
	return slice_eq(table_word(t, i, "place"), place) && is_word(t, i, "quantity", "emc") && is_word(t, i, "open", "both")
		&& table_figure(t, i, "hours") <= 0;
}

static void write_lone(const struct table *t, struct slice place, struct buf *out)
{
	size_t n = 0, last = 0;

	for (size_t i = 0; i < table_rows(t); i++)
		if (is_lone(t, i, place)) {
			last = i;
			n++;
		}
	if (!n)
		return;
	buf_add(out, place);
	buf_printf(out, ": %zu reading%s of the air out of the target, with no other near; wood equilibrates at ", n, PLURAL(n, "", "s"));
	add_tenths(out, t, last, "worst");
	buf_str(out, PLURAL(n, " % there (", " % there (the last, "));
	add_cell(out, t, last, "from");
	buf_str(out, ")\n");
}

/* Whether the place was read on any day up to the month's end. */
static bool was_read(const struct month *m, const struct air_record *record)
{
	for (size_t i = 0; i < record->n; i++)
		if (air_row(record, i)->day <= m->days.last)
			return true;
	return false;
}

/* Rooms with a target. Kilns are left out: their air goes from damp to dry; see their charges. */
static void write_rooms(const struct month *m, struct buf *out)
{
	const struct table *t = &m->is.air;

	for (size_t k = 0; k < m->air.nrecords; k++) {
		struct slice place = m->air.record[k].id;
		const struct house_place *p = m->house ? house_place(m->house, place) : NULL;
		size_t i = row_of(t, "place", place);

		if (!p || !house_range_given(p->target) || attention_is_kiln(m, place) || !was_read(m, &m->air.record[k]))
			continue;
		if (i == table_rows(t) || !table_count(t, i, "n")) {
			buf_add(out, place);
			buf_str(out, ": no air reading this month\n");
		} else if (table_figure(t, i, "emc_in_target_share") < AIR_SHARE) {
			write_air(t, i, out);
		} else {
			write_lone(&m->is.spells, place, out);
		}
	}
}

/* ---- wood that was read in the rooms */

static void write_wood(const struct month *m, struct buf *out)
{
	const struct table *t = &m->is.wood;

	for (size_t i = 0; i < table_rows(t); i++) {
		if (!table_has(t, i, "place") || attention_is_charge(m, table_word(t, i, "place")) || !is_out_of_band(t, i))
			continue;
		add_cell(out, t, i, "place");
		buf_str(out, ", wood for ");
		add_cell(out, t, i, "part");
		buf_str(out, "s: ");
		write_out_of(t, i, "pieces read out of the target", out);
	}
}

/* ---- grades */

bool attention_differs(const struct table *t, size_t i)
{
	double before = table_figure(t, i, "baseline_share");

	return table_count(t, i, "of") >= BLADES_LEAST && table_count(t, i, "baseline_of") >= BLADES_LEAST
		&& (before < table_figure(t, i, "share_low") || before > table_figure(t, i, "share_high"));
}

static void write_grades(const struct month *m, struct buf *out)
{
	const struct table *t = &m->is.grades;

	for (size_t i = 0; i < table_rows(t); i++) {
		if (!attention_differs(t, i))
			continue;
		add_cell(out, t, i, "type");
		buf_str(out, is_word(t, i, "grade", "culled") ? " " : " grade ");
		add_cell(out, t, i, "grade");
		buf_printf(out, ": %.1f %% of the %lld blades (95 %% interval %.1f to %.1f), but %.1f %% in the twelve months before\n",
			100 * table_figure(t, i, "share"), (long long)table_count(t, i, "of"), 100 * table_figure(t, i, "share_low"),
			100 * table_figure(t, i, "share_high"), 100 * table_figure(t, i, "baseline_share"));
	}
}

void attention_write(const struct month *m, struct buf *out)
{
	write_open_charges(m, out);
	write_emptied(m, out);
	write_orders(m, out);
	write_rooms(m, out);
	write_wood(m, out);
	write_grades(m, out);
}
