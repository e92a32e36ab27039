#include "month/month_parts.h"

#include "due/due_reasons.h"
#include "month/attention.h"
#include "month/history_sections.h"
#include "month/sections.h"
#include "table/table_read.h"

/* ---- words */

struct slice month_works(const struct month *m)
{
	return m->house ? m->house->works : SLICE("");
}

void month_title(const struct month *m, struct buf *out)
{
	static const char *const names[] = { "January", "February", "March", "April", "May", "June", "July", "August", "September",
		"October", "November", "December" };
	int year, month, date;

	day_split(m->days.first, &year, &month, &date);
	if (!m->days.is_year)
		buf_printf(out, "%s ", names[month - 1]);
	buf_printf(out, "%04d", year);
	day_split(m->days.last + 1, &year, &month, &date);
	if (date != 1 || (m->days.is_year && month != 1)) {
		buf_str(out, ", up to ");
		day_write(out, m->days.last);
	}
}

/* As --month or --year has it. */
static void write_name(const struct month *m, struct buf *out)
{
	enum { YEAR = 4, MONTH = 7 };
	struct buf day = BUF_INIT;

	day_write(&day, m->days.first);
	buf_add(out, slice_upto(buf_slice(&day), m->days.is_year ? YEAR : MONTH));
	buf_release(&day);
}

static void add_word(const struct month_page *p, struct slice word, struct buf *out)
{
	const struct month_days days = p->month->days;

	if (slice_eq(word, SLICE("span")))
		buf_str(out, days.is_year ? "year" : "month");
	else if (slice_eq(word, SLICE("name")))
		write_name(p->month, out);
	else if (slice_eq(word, SLICE("book")))
		buf_add(out, p->book);
	else if (slice_eq(word, SLICE("first")))
		day_write(out, days.first);
	else if (slice_eq(word, SLICE("last")))
		day_write(out, days.last);
	else if (slice_eq(word, SLICE("from")))
		day_write(out, p->month->history.before);
	else
		day_write(out, days.first - 1);
}

void month_words(const struct month_page *p, const char *words, struct buf *out)
{
	struct slice left = slice_of(words);

	while (left.n) {
		size_t open = slice_find(left, '{'), close = slice_find(left, '}');

		buf_add(out, slice_upto(left, open));
		if (open < left.n)
			add_word(p, slice_from(slice_upto(left, close), open + 1), out);
		left = slice_from(left, open < left.n ? close + 1 : left.n);
	}
}

void month_cautions(struct buf *out)
{
	buf_str(out, "EMC is good to about 1 point. A probe shows its own piece, not the whole charge.\n");
	buf_str(out, due_kiln_caution);
	buf_char(out, '\n');
}

/* ---- what needs attention */

/* A page without entries looks like one on which all is well. */
static void say_entries(const struct month_page *p, struct buf *text)
{
	const struct month_lines *lines = p->lines;

	if (!lines->entries)
		buf_str(text, "the book has no entries; check that the right files were read\n");
	else if (!lines->entries_here) {
		month_words(p, "the book has no entries of this {span}; its entries run from ", text);
		day_write(text, lines->first);
		buf_str(text, " to ");
		day_write(text, lines->last);
		buf_char(text, '\n');
	}
}

void month_attention(const struct month_page *p, struct buf *out)
{
	say_entries(p, out);
	month_lines_find(p->lines, p->diags, p->name, out);
	attention_write(p->month, p->name, out);
	history_attention(p->month, out);
}

/* ---- remarks of sections */

static void say_reasons(const struct month *m, struct buf *out)
{
	due_reasons_write(&m->book.is.reasons, "against", out);
}

/* A sentence that names the places of the table for which `is` is true; none where there are none. */
static void note_places(const struct month *m, const char *sentence, bool is(const struct month *, size_t row), struct buf *out)
{
	const struct table *t = &m->book.is.air;
	bool any = false;

	for (size_t i = 0; i < table_rows(t); i++) {
		if (!table_count(t, i, "n") || !is(m, i))
			continue;
		buf_str(out, any ? ", " : sentence);
		buf_add(out, table_word(t, i, "place"));
		any = true;
	}
	buf_str(out, any ? ".\n" : "");
}

static bool has_target(const struct month *m, size_t row)
{
	const struct house_place *p = m->house ? house_place(m->house, table_word(&m->book.is.air, row, "place")) : NULL;

	return p && house_range_given(p->target);
}

static bool has_no_target(const struct month *m, size_t row)
{
	return !has_target(m, row);
}

static bool is_targeted_kiln(const struct month *m, size_t row)
{
	return has_target(m, row) && due_book_is_kiln(&m->book, table_word(&m->book.is.air, row, "place"));
}

static bool is_unknown(const struct month *m, size_t row)
{
	return !table_has(&m->book.is.air, row, "temp_mean_c") && !table_has(&m->book.is.air, row, "rh_mean_pct");
}

static void note_rooms(const struct month *m, struct buf *out)
{
	bool any = false;

	for (size_t i = 0; i < table_rows(&m->book.is.air); i++)
		any |= table_count(&m->book.is.air, i, "n") > 0;
	if (!any)
		return;
	buf_str(out, "Hours: those that are known. Means, and the per cent in band and in target, are over these hours."
		" Readings are corrected by the checks of their instruments. RH: relative humidity.\n");
	note_places(m, "Readings too far apart to know the hours between them (air-every in the house file): ", is_unknown, out);
	note_places(m, "No target in the house file: ", has_no_target, out);
	note_places(m, "A kiln's air goes from damp to dry, so it is not in the target all the time: ", is_targeted_kiln, out);
}

/* ---- the sections */

const struct month_about_words month_about_words[] = {
	[MONTH_KILNS] = { "kilns", "Kilns" },
	[MONTH_STOCK] = { "stock", "Orders and stock" },
	[MONTH_GRADES] = { "grades", "Grades, losses and costs" },
	[MONTH_ROOMS] = { "rooms", "Rooms" },
};

const struct month_part month_parts[MONTH_PARTS] = {
	{ MONTH_STOCK, "pieces", "Pieces this {span}", section_pieces, "wy-stock{book} --since={first} --on={last}", NULL, NULL },
	{ MONTH_KILNS, "charges", "Pieces of the charges in a kiln this {span}", section_charges,
		"wy-yield{book} --by=charge --since={first} --on={last}", NULL, NULL },
	{ MONTH_KILNS, "moisture", "Their moisture content, %: the last reading of each probe", section_moisture,
		"wy-moist{book} --by=charge --to={last}", NULL, NULL },
	{ MONTH_KILNS, "open", "Charges in the kilns on {last}", section_open, "wy-dry{book} --on={last}", say_reasons, NULL },
	{ MONTH_GRADES, "graded", "Grades: this {span}, and the twelve months before", section_grades,
		"wy-grade{book} --by=type --from={first} --to={last} --baseline=12\nwy-grade{book} --by=type --from={first} --to={last} --baseline=12 --shift",
		NULL, NULL },
	{ MONTH_GRADES, "culled", "Culled pieces, by step and cause, against the twelve months before", section_culls,
		"wy-yield{book} --losses --baseline=12 --since={first} --on={last}", NULL, NULL },
	{ MONTH_GRADES, "cost", "What a usable blade cost: graded this {span}, and in the twelve months before", section_cost,
		"wy-cost{book} --by=supplier --from={first} --to={last} --on={last}\nwy-cost{book} --by=supplier --from={from} --to={to} --on={last}", NULL, NULL },
	{ MONTH_GRADES, "claims", "Lots graded this {span} against their claim, with the twelve months before", section_claims,
		"wy-grade{book} --claims --from={from} --to={last}", NULL, NULL },
	{ MONTH_GRADES, "returned", "Bats that came back, and how many of all with the same handle or charge did", section_returns,
		"wy-returns{book} --bats --on={last}\nwy-returns{book} --by=handle --on={last}\nwy-returns{book} --by=charge --on={last}", NULL, NULL },
	{ MONTH_STOCK, "in-stock", "Stock at the end of the {span}", section_stock, "wy-stock{book} --by=form,type,grade --on={last}", NULL, NULL },
	{ MONTH_STOCK, "orders", "Open orders", section_orders, "wy-stock{book} --orders --on={last}", NULL, NULL },
	{ MONTH_ROOMS, "air", "Rooms: their air, and the moisture content at which wood equilibrates (EMC)", section_rooms,
		"wy-air{book} --timed --by=place --from={first} --to={last}", NULL, note_rooms },
	{ MONTH_ROOMS, "wood", "Wood read in the rooms: moisture content, %", section_wood,
		"wy-moist{book} --by=place,part --from={first} --to={last}", NULL, NULL },
};
