#include "month/charge_page.h"

#include "base/nearest.h"
#include "month/charge_readings.h"
#include "month/month_pictures.h"
#include "month/section_columns.h"
#include "page/page.h"
#include "time/stamp.h"
#include "table/table_read.h"

enum { ALL = 100000, SHEET_BEFORE = 3, SHEET_ROWS = 20, SHEET_ROWS_LEAST = 8, SHEET_PROBES = 4 };

/* ---- the answers of wy-dry about it */

struct charge {
	const struct month_page *page;
	const char *id;
	struct dry_ask ask;
	struct table row, reasons, curve, rates;
};

static const struct charges *charges_of(const struct month_page *p)
{
	return &p->month->book.supply.under_way.charges;
}

static bool find(const struct month_page *p, const char *id, struct buf *why)
{
	struct nearest near = nearest_to(slice_of(id));

	if (charges_case(charges_of(p), slice_of(id)))
		return true;
	for (size_t i = 0; i < charges_of(p)->n; i++)
		nearest_try(&near, charges_of(p)->cases[i].id);
	buf_printf(why, "no charge '%s' was loaded by ", id);
	day_write(why, p->month->days.last);
	buf_str(why, "; ");
	nearest_say(why, near.best, "--month");
	return false;
}

static void charge_init(struct charge *c, const struct month_page *p, const char *const *id)
{
	*c = (struct charge){ .page = p, .id = *id };
	c->ask = month_dry_ask(p->month, id);
	dry_view_charges(&c->ask, &c->row, &c->reasons);
	dry_view_curve(&c->ask, &c->curve);
	dry_view_rates(&c->ask, &c->rates);
}

static void charge_release(struct charge *c)
{
	table_release(&c->row);
	table_release(&c->reasons);
	table_release(&c->curve);
	table_release(&c->rates);
}

static bool is_open(const struct charge *c)
{
	const struct table *open = &c->page->month->book.is.charges;

	return due_row_of(open, "charge", slice_of(c->id)) < table_rows(open);
}

/* Adds "wy-dry -b --charge=ID MORE --on=DAY". */
static void add_command(const struct charge *c, const char *more, struct buf *out)
{
	month_words(c->page, "wy-dry{book} --charge=", out);
	buf_str(out, c->id);
	buf_str(out, more);
	month_words(c->page, " --on={last}", out);
}

/* What wy-dry says of it, without what the title says. */
static void write_ready_range(const struct table *t, size_t row, struct buf *out)
{
	buf_add(out, table_word(t, row, "ready_90_from"));
	if (table_has(t, row, "ready_90_from"))
		buf_str(out, " to ");
	buf_add(out, table_word(t, row, "ready_90_to"));
}

static void readiness(const struct table *from, struct table *t)
{
	static const struct section_column columns[] = { { "day", "day", COUNT, 0, NULL }, { "pieces", "pieces", COUNT, 0, NULL },
		{ "mean_pct", "mean MC, %", TENTHS, 0, NULL }, { "driest_pct", "driest, %", TENTHS, 0, NULL },
		{ "wettest_pct", "wettest, %", TENTHS, 0, NULL }, { "verdict", "verdict", WORD, 0, NULL }, { "ready_on", "ready date", WORD, 0, NULL },
		{ NULL, "90 % interval", WORD, 0, write_ready_range }, { "seen_on", "seen date", WORD, 0, NULL } };

	section_all(t, columns, SECTION_LENGTH(columns), from);
}

/* ---- the page */

/* "995 pieces in kiln south, loaded 2027-12-07, day 24: not ready." */
static void write_lead(const struct charge *c, struct buf *out)
{
	const struct table *t = &c->row;

	buf_count(out, table_count(t, 0, "pieces"), "piece");
	buf_str(out, " in kiln ");
	buf_add(out, table_word(t, 0, "kiln"));
	buf_str(out, ", loaded ");
	buf_add(out, table_word(t, 0, "loaded"));
	buf_printf(out, ", day %lld: ", (long long)table_count(t, 0, "day"));
	buf_add(out, table_word(t, 0, "verdict"));
	if (table_has(t, 0, "ready_on")) {
		buf_str(out, "; expected to be ready on ");
		buf_add(out, table_word(t, 0, "ready_on"));
	}
	buf_char(out, '.');
}

/* Of what needs attention this month, that of the charge. */
static void write_attention(const struct charge *c, struct buf *out)
{
	struct buf all = BUF_INIT, head = BUF_INIT;
	struct slice left;

	buf_str(&head, c->id);
	buf_str(&head, ": ");
	month_attention(c->page, &all);
	for (left = buf_slice(&all); left.n;) {
		struct slice line = page_line(&left);

		if (!slice_starts(line, buf_slice(&head)))
			continue;
		buf_add(out, line);
		buf_char(out, '\n');
	}
	buf_release(&all);
	buf_release(&head);
}

/* A reason on a line, with the side that it speaks for. */
static void write_reasons(const struct charge *c, struct buf *out)
{
	const struct table *t = &c->reasons;

	for (size_t row = 0; row < table_rows(t); row++) {
		buf_add(out, table_word(t, row, "side"));
		buf_str(out, ": ");
		buf_add(out, table_word(t, row, "text"));
		buf_char(out, '\n');
	}
}

/* A block of one of its tables. */
static void put_table(struct page *page, const struct charge *c, const char *key, struct slice heading, const struct table *t, const char *more,
	struct page_block block)
{
	struct buf commands = BUF_INIT;

	add_command(c, more, &commands);
	block.key = slice_of(key);
	block.heading = heading;
	block.table = t;
	block.commands = buf_slice(&commands);
	page_block(page, &block);
	buf_release(&commands);
}

static void put_drying(struct page *page, const struct charge *c)
{
	const struct page_block none = { 0 };
	struct month_picture picture = { .key = BUF_INIT };
	struct table ready;

	page_part(page, "drying", SLICE("Drying"));
	month_picture_drying(c->page, c->id, &c->curve, &c->row, &picture);
	month_html_picture(page, &picture);
	readiness(&c->row, &ready);
	put_table(page, c, "verdict", SLICE("Whether it is ready"), &ready, "", (struct page_block){ .notes = buf_slice(&c->row.notes) });
	table_release(&ready);
	put_table(page, c, "rates", SLICE("How fast each probe's piece dries"), &c->rates, " --rates", none);
	month_picture_release(&picture);
}

static void put_reasons(struct page *page, const struct charge *c)
{
	struct buf reasons = BUF_INIT;

	write_reasons(c, &reasons);
	put_table(page, c, "reasons", SLICE("For and against emptying it"), NULL, "", (struct page_block){ .points = buf_slice(&reasons), .wide = true });
	buf_release(&reasons);
}

static void put_readings(struct page *page, const struct charge *c)
{
	const struct page_block none = { 0 };
	struct table readings, next;

	page_part(page, "readings", SLICE("Readings"));
	charge_readings(&c->curve, ALL, &readings);
	put_table(page, c, "by-day", SLICE("Moisture content by day and probe, %"), &readings, " --curve", none);
	table_release(&readings);
	if (!is_open(c))
		return;
	dry_view_next(&c->ask, &next);
	put_table(page, c, "next", SLICE("What to read next"), &next, " --next-reading", none);
	table_release(&next);
}

static void put_attention(struct page *page, const struct charge *c)
{
	struct buf points = BUF_INIT, commands = BUF_INIT;

	write_attention(c, &points);
	month_words(c->page, "wy-due{book} --on={last}", &commands);
	page_part(page, "attention", SLICE("Needs attention"));
	page_block(page, &(struct page_block){ .points = buf_slice(&points), .commands = buf_slice(&commands), .wide = true });
	buf_release(&points);
	buf_release(&commands);
}

bool charge_page_write(const struct month_page *p, const struct month_html *how, const char *id, struct buf *out, struct buf *why)
{
	static const struct page_link parts[] = { { "attention", { "Needs attention", 15 } }, { "drying", { "Drying", 6 } }, { "readings", { "Readings", 8 } } };
	struct page_head head = month_html_head(p, how);
	struct buf title = BUF_INIT, lead = BUF_INIT, footer = BUF_INIT, styles = BUF_INIT;
	struct page page;
	struct charge c;

	if (!find(p, id, why))
		return false;
	charge_init(&c, p, &id);
	month_picture_styles(&styles);
	head.styles = buf_slice(&styles);
	buf_str(&title, "Charge ");
	buf_str(&title, id);
	write_lead(&c, &lead);
	month_cautions(&footer);
	head.title = buf_slice(&title);
	head.lead = buf_slice(&lead);
	head.parts = parts;
	head.n_parts = sizeof parts / sizeof *parts;
	page_begin(&page, &head, how->links, out);
	put_attention(&page, &c);
	put_drying(&page, &c);
	put_reasons(&page, &c);
	put_readings(&page, &c);
	page_end(&page, buf_slice(&footer));
	charge_release(&c);
	buf_release(&title);
	buf_release(&lead);
	buf_release(&footer);
	buf_release(&styles);
	return true;
}

/* ---- the sheet */

/* What a reading by hand needs: when, each probe, the air, and who. */
static void start_sheet(const struct charge *c, struct table *t)
{
	static const char *const before[] = { "date", "time" }, *const after[] = { "wood, C", "air, C", "RH, %", "by" };
	size_t probes = table_rows(&c->rates);
	struct buf name = BUF_INIT;

	table_init(t, NULL, 0);
	for (size_t i = 0; i < sizeof before / sizeof *before; i++) {
		table_add_column(t, before[i], TABLE_TEXT, 0);
		table_heading(t, before[i]);
	}
	for (size_t i = 0; i < (probes ? probes : SHEET_PROBES); i++) {
		name.n = 0;
		buf_str(&name, "probe ");
		buf_add(&name, probes ? table_word(&c->rates, i, "probe") : SLICE(""));
		table_add_column(t, buf_cstr(&name), TABLE_REAL, 1);
		table_heading(t, buf_cstr(&name));
	}
	for (size_t i = 0; i < sizeof after / sizeof *after; i++) {
		table_add_column(t, after[i], TABLE_TEXT, 0);
		table_heading(t, after[i]);
	}
	buf_release(&name);
}

static void put_sheet(struct page *page, const struct charge *c)
{
	size_t used = table_rows(&c->rates), n = used + SHEET_ROWS_LEAST < SHEET_ROWS ? SHEET_ROWS - used : SHEET_ROWS_LEAST;
	struct table rows;

	start_sheet(c, &rows);
	for (size_t i = 0; i < n; i++) {
		table_absent(&rows);
		table_rest_absent(&rows);
	}
	page_part(page, "sheet", SLICE("To write by hand"));
	page_block(page, &(struct page_block){ .key = SLICE("rows"), .heading = SLICE("Readings as the meter shows them, %; over its scale: 30+; not taken: -"),
		.table = &rows, .wide = true, .ruled = true });
	table_release(&rows);
}

static void put_probes(struct page *page, const struct charge *c)
{
	const struct page_block wide = { .wide = true };
	struct table probes, last;

	table_init(&probes, NULL, 0);
	table_add_column(&probes, "probe", TABLE_TEXT, 0);
	table_heading(&probes, "probe");
	table_add_column(&probes, "piece", TABLE_TEXT, 0);
	table_heading(&probes, "in piece");
	for (size_t i = 0; i < table_rows(&c->rates); i++) {
		table_copy_cell(&probes, &c->rates, i, "probe");
		table_copy_cell(&probes, &c->rates, i, "piece");
	}
	page_part(page, "before", SLICE("So far"));
	put_table(page, c, "probes", SLICE("Probes"), &probes, " --rates", (struct page_block){ 0 });
	charge_readings(&c->curve, SHEET_BEFORE, &last);
	put_table(page, c, "last", SLICE("Last readings, corrected, %"), &last, " --curve", wide);
	table_release(&probes);
	table_release(&last);
}

bool charge_sheet_write(const struct month_page *p, const struct month_html *how, const char *id, struct buf *out, struct buf *why)
{
	struct page_head head = month_html_head(p, how);
	struct buf title = BUF_INIT, lead = BUF_INIT, footer = BUF_INIT;
	struct page page;
	struct charge c;

	if (!find(p, id, why))
		return false;
	charge_init(&c, p, &id);
	buf_printf(&title, "%s, sheet for the door", id);
	write_lead(&c, &lead);
	month_cautions(&footer);
	head.title = buf_slice(&title);
	head.lead = buf_slice(&lead);
	page_begin(&page, &head, how->links, out);
	put_probes(&page, &c);
	put_sheet(&page, &c);
	page_end(&page, buf_slice(&footer));
	charge_release(&c);
	buf_release(&title);
	buf_release(&lead);
	buf_release(&footer);
	return true;
}
