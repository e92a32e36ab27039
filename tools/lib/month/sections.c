#include "month/sections.h"

#include <limits.h>
#include <stdlib.h>

#include "month/attention.h"
#include "month/month.h"
#include "month/section_columns.h"
#include "table/table_read.h"

static void write_interval(const struct table *t, size_t row, struct buf *out)
{
	section_range(out, t, row, "share_low", "share_high", 1, 100);
}

static void write_whole_interval(const struct table *t, size_t row, struct buf *out)
{
	section_range(out, t, row, "share_low", "share_high", 0, 100);
}

/* ---- pieces */

void section_pieces(const struct month *m, struct table *t)
{
	static const struct section_column columns[] = { { "form", "form", WORD, 0, NULL }, { "type", "type", WORD, 0, NULL },
		{ "start", "start", COUNT, 0, NULL }, { "in", "in", COUNT, 0, NULL }, { "found", "found", COUNT, 0, NULL },
		{ "returned", "returned", COUNT, 0, NULL }, { "made", "made", COUNT, 0, NULL }, { "culled", "culled", COUNT, 0, NULL },
		{ "sold", "sold", COUNT, 0, NULL }, { "used", "used", COUNT, 0, NULL }, { "end", "end", COUNT, 0, NULL } };

	section_all(t, columns, SECTION_LENGTH(columns), &m->is.flow);
}

void section_orders(const struct month *m, struct table *t)
{
	static const struct section_column columns[] = { { "due", "due", WORD, 0, NULL }, { "order", "order", WORD, 0, NULL },
		{ "to", "for", WORD, 0, NULL }, { "form", "form", WORD, 0, NULL }, { "type", "type", WORD, 0, NULL },
		{ "grade", "grade", WORD, 0, NULL }, { "open", "open", COUNT, 0, NULL }, { "in_stock", "in stock", COUNT, 0, NULL },
		{ "to_make", "to make", COUNT, 0, NULL }, { "short", "short", COUNT, 0, NULL } };

	section_all(t, columns, SECTION_LENGTH(columns), &m->book.is.orders);
}

/* ---- charges */

/* Whether the row counts the kiln step of a charge. */
static bool is_dried(const struct month *m, size_t row)
{
	const struct table *t = &m->is.kilns;

	return slice_eq(table_word(t, row, "step"), SLICE("kiln")) && due_book_is_charge(&m->book, table_word(t, row, "charge"));
}

static void put_dried(struct table *to, const struct table *from, size_t row)
{
	table_copy_cell(to, from, row, "charge");
	table_copy_cell(to, from, row, "start");
	table_int(to, table_count(from, row, "in") + table_count(from, row, "back") + table_count(from, row, "crossed")
		+ table_count(from, row, "found"));
	table_copy_cell(to, from, row, "out");
	table_copy_cell(to, from, row, "culled");
	table_copy_cell(to, from, row, "still");
	table_copy_cell(to, from, row, "median_days");
}

void section_charges(const struct month *m, struct table *t)
{
	static const struct section_column columns[] = { { "charge", "charge", WORD, 0, NULL }, { "start", "start", COUNT, 0, NULL },
		{ "in", "loaded", COUNT, 0, NULL }, { "out", "out", COUNT, 0, NULL }, { "culled", "culled", COUNT, 0, NULL },
		{ "still", "end", COUNT, 0, NULL }, { "median_days", "median, days", TENTHS, 0, NULL } };

	section_start(t, columns, SECTION_LENGTH(columns));
	for (size_t row = 0; row < table_rows(&m->is.kilns); row++)
		if (is_dried(m, row))
			put_dried(t, &m->is.kilns, row);
}

static void write_ends(const struct table *t, size_t row, struct buf *out)
{
	section_range(out, t, row, "driest_pct", "wettest_pct", 1, 1);
}

/* The charges that held pieces this month, and how many at its end, by number of `charges`. */
struct dried {
	struct intern charges;
	int64_t *still;
};

static void dried_init(struct dried *d, const struct month *m)
{
	const struct table *t = &m->is.kilns;

	intern_init(&d->charges);
	d->still = mem_array(table_rows(t) + 1, sizeof *d->still);
	for (size_t row = 0; row < table_rows(t); row++) {
		uint32_t known = d->charges.n, id;

		if (!is_dried(m, row))
			continue;
		id = intern_id(&d->charges, table_word(t, row, "charge"));
		if (id == known)
			d->still[id] = table_count(t, row, "still");
	}
}

static void dried_release(struct dried *d)
{
	intern_release(&d->charges);
	free(d->still);
}

void section_moisture(const struct month *m, struct table *t)
{
	static const struct section_column columns[] = { { "charge", "charge", WORD, 0, NULL }, { "state", "state", WORD, 0, NULL },
		{ "n_pieces", "probes", COUNT, 0, NULL }, { "mc_mean_pct", "mean", TENTHS, 0, NULL }, { "mc_sd_pct", "sd", TENTHS, 0, NULL },
		{ NULL, "driest to wettest", WORD, 0, write_ends }, { "share_in_band", "in band", PERCENT, 0, NULL },
		{ NULL, "95 % interval", WORD, 0, write_whole_interval }, { "last", "last read", WORD, 0, NULL } };
	const struct table *from = &m->book.is.moist;
	struct dried dried;

	section_start(t, columns, SECTION_LENGTH(columns));
	dried_init(&dried, m);
	for (size_t row = 0; row < table_rows(from); row++) {
		uint32_t charge = intern_find(&dried.charges, table_word(from, row, "charge"));

		if (!charge)
			continue;
		section_row(t, columns, 1, from, row);
		table_cstr(t, dried.still[charge] ? "in kiln" : "emptied");
		section_row(t, columns + 2, SECTION_LENGTH(columns) - 2, from, row);
	}
	dried_release(&dried);
}

/* A day without its year, where the ready date has one: it is no more than 120 days off. */
static struct slice short_day(const struct table *t, size_t row, const char *column)
{
	enum { YEAR = 4 };
	struct slice day = table_word(t, row, column);

	return day.n > YEAR && table_has(t, row, "ready_on") ? slice_from(day, YEAR + 1) : day;
}

static void write_days(struct buf *out, const struct table *t, size_t row, const char *from, const char *to)
{
	buf_add(out, short_day(t, row, from));
	if (!table_has(t, row, from) || slice_eq(table_word(t, row, from), table_word(t, row, to)))
		return;
	buf_str(out, "..");
	buf_add(out, short_day(t, row, to));
}

static void write_half(const struct table *t, size_t row, struct buf *out)
{
	write_days(out, t, row, "ready_50_from", "ready_50_to");
}

static void write_nine_tenths(const struct table *t, size_t row, struct buf *out)
{
	write_days(out, t, row, "ready_90_from", "ready_90_to");
}

void section_open(const struct month *m, struct table *t)
{
	static const struct section_column columns[] = { { "charge", "charge", WORD, 0, NULL }, { "kiln", "kiln", WORD, 0, NULL },
		{ "day", "day", COUNT, 0, NULL }, { "pieces", "pieces", COUNT, 0, NULL }, { "verdict", "verdict", WORD, 0, NULL },
		{ "ready_on", "ready on", WORD, 0, NULL }, { NULL, "50 % interval", WORD, 0, write_half },
		{ NULL, "90 % interval", WORD, 0, write_nine_tenths } };

	section_all(t, columns, SECTION_LENGTH(columns), &m->book.is.charges);
}

/* ---- grades */

/* Whether blades were graded by more than one scheme, so that one grade has two rows. */
static bool has_schemes(const struct table *t)
{
	struct slice scheme = SLICE("");

	for (size_t row = 0; row < table_rows(t); row++) {
		if (!table_count(t, row, "of"))
			continue;
		if (scheme.n && !slice_eq(scheme, table_word(t, row, "scheme")))
			return true;
		scheme = table_word(t, row, "scheme");
	}
	return false;
}

void section_grades(const struct month *m, struct table *t)
{
	static const struct section_column head[] = { { "type", "type", WORD, 0, NULL }, { "scheme", "scheme", WORD, 0, NULL } };
	static const struct section_column columns[] = { { "grade", "grade", WORD, 0, NULL },
		{ "count", "blades", COUNT, 0, NULL }, { "of", "of", COUNT, 0, NULL }, { "share", "this month, %", PERCENT, 1, NULL },
		{ NULL, "95 % interval", WORD, 0, write_interval }, { "baseline_share", "before, %", PERCENT, 1, NULL },
		{ "baseline_of", "of", COUNT, 0, NULL }, { NULL, "moved", WORD, 0, NULL } };
	const struct table *from = &m->is.grades;
	size_t heads = 1 + has_schemes(from);
	struct section_column all[SECTION_LENGTH(head) + SECTION_LENGTH(columns)];

	memcpy(all, head, heads * sizeof *head);
	memcpy(all + heads, columns, sizeof columns);
	if (m->days.is_year)
		all[heads + 3].heading = "this year, %";
	section_start(t, all, heads + SECTION_LENGTH(columns));
	for (size_t row = 0; row < table_rows(from); row++) {
		if (!table_count(from, row, "of"))
			continue;
		section_row(t, all, heads + SECTION_LENGTH(columns) - 1, from, row);
		table_text(t, attention_moved(m, row));
	}
}

/* ---- stock: a row for each form and type, a column for each grade */

struct grades {
	struct slice *name;
	size_t n, cap;
	bool ungraded;             /* whether there are pieces without a grade: a column of its own */
};

static size_t grade_at(const struct grades *g, struct slice name)
{
	size_t k = 0;

	while (k < g->n && !slice_eq(g->name[k], name))
		k++;
	return k;
}

/* The rank of a grade on the last day; one that the scheme lacks is after all others. */
static int rank_of(const struct month *m, struct slice name)
{
	int rank = m->house ? house_grade_rank(m->house, m->days.last, name) : -1;

	return rank < 0 ? INT_MAX : rank;
}

static bool is_before(const struct month *m, struct slice a, struct slice b)
{
	int x = rank_of(m, a), y = rank_of(m, b);

	return x == y ? slice_cmp(a, b) < 0 : x < y;
}

/* Puts a grade in its place: the best first. */
static void add_grade(const struct month *m, struct grades *g, struct slice name)
{
	size_t at = g->n;

	g->name = mem_grow(g->name, &g->cap, g->n + 1, sizeof *g->name);
	for (; at && is_before(m, name, g->name[at - 1]); at--)
		g->name[at] = g->name[at - 1];
	g->name[at] = name;
	g->n++;
}

static struct grades grades_of(const struct month *m)
{
	const struct table *from = &m->is.stock;
	struct grades g = { NULL, 0, 0, false };

	for (size_t row = 0; row < table_rows(from); row++) {
		struct slice name = table_word(from, row, "grade");

		g.ungraded |= !name.n;
		if (name.n && grade_at(&g, name) == g.n)
			add_grade(m, &g, name);
	}
	return g;
}

static void start_stock(struct table *t, const struct grades *g)
{
	static const struct section_column head[] = { { "form", "form", WORD, 0, NULL }, { "type", "type", WORD, 0, NULL } };
	struct buf name = BUF_INIT;

	section_start(t, head, SECTION_LENGTH(head));
	for (size_t k = 0; k < g->n + g->ungraded; k++) {
		name.n = 0;
		buf_str(&name, k < g->n ? "grade " : "no grade");
		buf_add(&name, k < g->n ? g->name[k] : SLICE(""));
		table_add_column(t, buf_cstr(&name), TABLE_INT, 0);
		table_heading(t, buf_cstr(&name) + (k < g->n ? sizeof "grade " - 1 : 0));
	}
	table_add_column(t, "count", TABLE_INT, 0);
	table_heading(t, "all");
	table_add_column(t, "oldest_days", TABLE_INT, 0);
	table_heading(t, "oldest, days");
	buf_release(&name);
}

static bool is_same(const struct table *t, size_t a, size_t b)
{
	return slice_eq(table_word(t, a, "form"), table_word(t, b, "form")) && slice_eq(table_word(t, a, "type"), table_word(t, b, "type"));
}

/* The row of a form and type, whose rows follow each other from `first` up to `end`. */
static void put_kind(struct table *t, const struct table *from, size_t first, size_t end, const struct grades *g)
{
	int64_t *count = mem_zeroed(g->n + 1, sizeof *count), all = 0, oldest = 0;

	for (size_t row = first; row < end; row++) {
		int64_t days = table_count(from, row, "oldest_days");

		count[grade_at(g, table_word(from, row, "grade"))] += table_count(from, row, "count");
		all += table_count(from, row, "count");
		oldest = days > oldest ? days : oldest;
	}
	table_copy_cell(t, from, first, "form");
	table_copy_cell(t, from, first, "type");
	for (size_t k = 0; k < g->n + g->ungraded; k++)
		if (count[k])
			table_int(t, count[k]);
		else
			table_absent(t);
	table_int(t, all);
	table_int(t, oldest);
	free(count);
}

void section_stock(const struct month *m, struct table *t)
{
	const struct table *from = &m->is.stock;
	struct grades g = grades_of(m);

	start_stock(t, &g);
	for (size_t first = 0, end; first < table_rows(from); first = end) {
		for (end = first + 1; end < table_rows(from) && is_same(from, first, end);)
			end++;
		put_kind(t, from, first, end, &g);
	}
	free(g.name);
}

/* ---- rooms */

void section_rooms(const struct month *m, struct table *t)
{
	static const struct section_column columns[] = { { "place", "place", WORD, 0, NULL }, { "n", "readings", COUNT, 0, NULL },
		{ "rh_covered_h", "hours", WHOLE, 0, NULL }, { "temp_mean_c", "temp, C", TENTHS, 0, NULL },
		{ "rh_mean_pct", "RH, %", TENTHS, 0, NULL }, { "rh_in_band_share", "in band", PERCENT, 1, NULL },
		{ "emc_mean_pct", "EMC, %", TENTHS, 0, NULL }, { "emc_min_pct", "min", TENTHS, 0, NULL }, { "emc_max_pct", "max", TENTHS, 0, NULL },
		{ "emc_in_target_share", "in target", PERCENT, 1, NULL } };
	const struct table *from = &m->book.is.air;

	section_start(t, columns, SECTION_LENGTH(columns));
	for (size_t row = 0; row < table_rows(from); row++)
		if (table_count(from, row, "n"))
			section_row(t, columns, SECTION_LENGTH(columns), from, row);
}

void section_wood(const struct month *m, struct table *t)
{
	static const struct section_column columns[] = { { "place", "place", WORD, 0, NULL }, { "part", "wood for", WORD, 0, NULL },
		{ "n_pieces", "pieces", COUNT, 0, NULL }, { "mc_mean_pct", "mean", TENTHS, 0, NULL }, { "driest_pct", "driest", TENTHS, 0, NULL },
		{ "wettest_pct", "wettest", TENTHS, 0, NULL }, { "share_in_band", "in target, %", PERCENT, 1, NULL },
		{ NULL, "95 % interval", WORD, 0, write_interval } };
	const struct table *from = &m->book.is.wood;

	section_start(t, columns, SECTION_LENGTH(columns));
	for (size_t row = 0; row < table_rows(from); row++)
		if (table_has(from, row, "place") && !due_book_is_charge(&m->book, table_word(from, row, "place")))
			section_row(t, columns, SECTION_LENGTH(columns), from, row);
}
