#include "month/month_page.h"

#include "base/utf8.h"
#include "due/due_reasons.h"
#include "month/attention.h"
#include "month/history_sections.h"
#include "month/month_lines.h"
#include "month/sections.h"
#include "table/table_read.h"

enum { WIDTH = 80, WIDEST = 120, INDENT = 2 };

/* ---- lines */

/* The words of a text in lines; the first begins with `head`, the others with as many spaces. */
static void put_folded(struct buf *out, const char *head, struct slice text)
{
	buf_str(out, head);
	utf8_add_folded(out, text, strlen(head), WIDTH);
	buf_char(out, '\n');
}

/* Each line of the text as a point of a list. */
static void put_points(struct buf *out, struct slice text)
{
	struct buf point = BUF_INIT;

	while (text.n) {
		size_t end = slice_find(text, '\n');

		point.n = 0;
		utf8_add_visible(&point, slice_upto(text, end));
		put_folded(out, "  - ", buf_slice(&point));
		text = slice_from(text, end < text.n ? end + 1 : end);
	}
	buf_release(&point);
}

static void put_title(struct buf *out, const char *title)
{
	buf_char(out, '\n');
	buf_str(out, title);
	buf_char(out, '\n');
}

static void put_nothing(struct buf *out)
{
	buf_str(out, "  nothing\n");
}

/* ---- tables */

/* Whether a blank line parts the table: not all of its columns had space in one line. */
static bool is_parted(struct slice text)
{
	for (size_t i = 1; i < text.n; i++)
		if (text.p[i] == '\n' && text.p[i - 1] == '\n')
			return true;
	return false;
}

/* Long names are better in a line that is too long by some cells than in a table of two parts. */
static void lay_out(const struct table *t, struct buf *text)
{
	struct table_style style = { .form = TABLE_AS_TEXT, .width = WIDTH - INDENT };

	for (unsigned width = style.width; width <= WIDEST - INDENT; width++) {
		text->n = 0;
		style.width = width;
		table_write(t, style, text);
		if (!is_parted(buf_slice(text)))
			return;
	}
	text->n = 0;
	style.width = WIDTH - INDENT;
	table_write(t, style, text);
}

static void put_table(const struct table *t, struct buf *out)
{
	struct buf text = BUF_INIT;
	struct slice left;

	if (!table_rows(t)) {
		put_nothing(out);
		return;
	}
	lay_out(t, &text);
	for (left = buf_slice(&text); left.n;) {
		size_t end = slice_find(left, '\n');

		buf_fill(out, ' ', end ? INDENT : 0);
		buf_add(out, slice_upto(left, end));
		buf_char(out, '\n');
		left = slice_from(left, end < left.n ? end + 1 : end);
	}
	buf_release(&text);
}

static void put_section(const struct month *m, const char *title, void section(const struct month *, struct table *), struct buf *out)
{
	struct table t;

	section(m, &t);
	put_title(out, title);
	put_table(&t, out);
	table_release(&t);
}

/* ---- the parts that are more than a table */

static void put_head(const struct month *m, struct buf *out)
{
	static const char *const names[] = { "January", "February", "March", "April", "May", "June", "July", "August", "September",
		"October", "November", "December" };
	int year, month, date;

	day_split(m->days.first, &year, &month, &date);
	if (m->house && m->house->works.n) {
		utf8_add_visible(out, m->house->works);
		buf_str(out, ", ");
	}
	buf_printf(out, "%s %04d\n", names[month - 1], year);
}

/* A page without entries looks like one on which all is well. */
static void say_entries(const struct month_lines *lines, struct buf *text)
{
	if (!lines->entries)
		buf_str(text, "the book has no entries; check that the right files were read\n");
	else if (!lines->entries_here) {
		buf_str(text, "the book has no entries of this month; its entries run from ");
		day_write(text, lines->first);
		buf_str(text, " to ");
		day_write(text, lines->last);
		buf_char(text, '\n');
	}
}

static void put_attention(const struct month_page *p, struct buf *out)
{
	struct buf text = BUF_INIT;

	put_title(out, "Needs attention");
	say_entries(p->lines, &text);
	month_lines_find(p->lines, p->diags, p->name, &text);
	attention_write(p->month, p->name, &text);
	history_attention(p->month, &text);
	if (text.n)
		put_points(out, buf_slice(&text));
	else
		put_nothing(out);
	buf_release(&text);
}

static void put_open(const struct month *m, struct buf *out)
{
	struct buf title = BUF_INIT, reasons = BUF_INIT;

	buf_str(&title, "Charges in the kilns on ");
	day_write(&title, m->days.last);
	put_section(m, buf_cstr(&title), section_open, out);
	due_reasons_write(&m->book.is.reasons, "against", &reasons);
	put_points(out, buf_slice(&reasons));
	buf_release(&title);
	buf_release(&reasons);
}

/* A sentence that names the places of the table for which `is` is true; none where there are none. */
static void note_places(const struct month *m, const char *sentence, bool is(const struct month *, size_t row), struct buf *out)
{
	const struct table *t = &m->book.is.air;
	struct buf text = BUF_INIT, shown = BUF_INIT;

	for (size_t i = 0; i < table_rows(t); i++) {
		if (!table_count(t, i, "n") || !is(m, i))
			continue;
		buf_str(&text, text.n ? ", " : sentence);
		buf_add(&text, table_word(t, i, "place"));
	}
	if (text.n) {
		buf_char(&text, '.');
		utf8_add_visible(&shown, buf_slice(&text));
		put_folded(out, "  ", buf_slice(&shown));
	}
	buf_release(&text);
	buf_release(&shown);
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

static void put_rooms(const struct month *m, struct buf *out)
{
	bool any = false;

	put_section(m, "Rooms: their air, and the moisture content at which wood equilibrates (EMC)", section_rooms, out);
	for (size_t i = 0; i < table_rows(&m->book.is.air); i++)
		any |= table_count(&m->book.is.air, i, "n") > 0;
	if (!any)
		return;
	put_folded(out, "  ", SLICE("Hours: those that are known. Means, and the per cent in band and in target, are over these hours."
		" Readings are corrected by the checks of their instruments. RH: relative humidity."));
	note_places(m, "Readings too far apart to know the hours between them (air-every in the house file): ", is_unknown, out);
	note_places(m, "No target in the house file: ", has_no_target, out);
	note_places(m, "A kiln's air goes from damp to dry, so it is not in the target all the time: ", is_targeted_kiln, out);
}

void month_page_write(const struct month_page *p, struct buf *out)
{
	const struct month *m = p->month;

	put_head(m, out);
	put_attention(p, out);
	put_section(m, "Pieces this month", section_pieces, out);
	put_section(m, "Pieces of the charges in a kiln this month", section_charges, out);
	put_section(m, "Their moisture content, %: the last reading of each probe", section_moisture, out);
	put_open(m, out);
	put_section(m, "Grades: this month, and the twelve months before", section_grades, out);
	put_section(m, "Culled pieces, by step and cause, against the twelve months before", section_culls, out);
	put_section(m, "What a usable blade cost: graded this month, and in the twelve months before", section_cost, out);
	put_section(m, "Lots graded this month against their claim, with the twelve months before", section_claims, out);
	put_section(m, "Bats that came back, and how many of all with the same handle or charge did", section_returns, out);
	put_section(m, "Stock at the end of the month", section_stock, out);
	put_section(m, "Open orders", section_orders, out);
	put_rooms(m, out);
	put_section(m, "Wood read in the rooms: moisture content, %", section_wood, out);
	buf_str(out, "\nEMC is good to about 1 point. A probe shows its own piece, not the whole charge.\n");
	put_folded(out, "", slice_of(due_kiln_caution));
}
