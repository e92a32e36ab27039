#include "board/board.h"

#include <stdlib.h>

#include "board/board_links.h"
#include "board_find.h"
#include "month/charge_page.h"
#include "month/month_pictures.h"
#include "page/page.h"
#include "table/table_read.h"
#include "trace/ties.h"
#include "trace/trace_view.h"

static const struct page_link pages[] = { { "index.html", { "Month", 5 } }, { "due.html", { "Due", 3 } }, { "charges.html", { "Charges", 7 } },
	{ "stock.html", { "Stock", 5 } }, { "rooms.html", { "Rooms", 5 } }, { "find.html", { "Find", 4 } } };

/* What every page is made with. */
struct work {
	const struct month_page *page;
	struct page_folder *folder;
	struct trace *trace;
	struct board_links ids;
	struct table_links links;
	struct month_html how;
	struct buf footer, styles, script;
};

/* A page of the board: begin, what it has, end. */
struct one {
	struct buf out;
	struct page_head head;
	struct page page;
};

static void begin(struct one *one, struct work *w, const char *here, struct slice title, struct slice lead)
{
	*one = (struct one){ .out = BUF_INIT };
	w->how.here = here;
	one->head = month_html_head(w->page, &w->how);
	one->head.title = title;
	one->head.lead = lead;
	one->head.styles = here ? buf_slice(&w->styles) : SLICE("");
	one->head.script = here && strcmp(here, "find.html") == 0 ? buf_cstr(&w->script) : NULL;
	page_begin(&one->page, &one->head, &w->links, &one->out);
}

static void end(struct one *one, struct work *w, const char *file)
{
	page_end(&one->page, buf_slice(&w->footer));
	page_folder_add(w->folder, file, &one->out);
}

/* ---- the month, and its parts alone */

static void put_month(struct work *w)
{
	struct buf out = BUF_INIT;

	w->how.here = pages[0].to;
	month_html_write(w->page, &w->how, &out);
	page_folder_add(w->folder, pages[0].to, &out);
}

static void put_about(struct work *w, const struct page_link *link, enum month_about about)
{
	struct one one;

	begin(&one, w, link->to, link->title, SLICE(""));
	month_html_about(&one.page, w->page, about, true);
	end(&one, w, link->to);
}

/* ---- what is due */

static void put_due(struct work *w, const struct due_view *due, const struct page_link *link)
{
	struct buf finding = BUF_INIT, command = BUF_INIT;
	struct table t;
	struct one one;

	due_view_table(due, &t);
	due_write_finding(due, &finding);
	t.finding.n = 0;
	month_words(w->page, "wy-due{book} --on={last}", &command);
	begin(&one, w, link->to, link->title, buf_slice(&finding));
	page_part(&one.page, "list", SLICE("By day"));
	page_block(&one.page, &(struct page_block){ .key = SLICE("due"), .heading = SLICE("What needs a decision or a hand"), .table = &t,
		.commands = buf_slice(&command), .wide = true });
	end(&one, w, link->to);
	table_release(&t);
	buf_release(&finding);
	buf_release(&command);
}

/* ---- charges */

static void put_charge(struct work *w, struct slice id)
{
	struct buf out = BUF_INIT, file = BUF_INIT, name = BUF_INIT, why = BUF_INIT;

	buf_add(&name, id);
	board_file("charge-", id, &file);
	w->how.here = "";
	if (charge_page_write(w->page, &w->how, buf_cstr(&name), &out, &why))
		page_folder_add(w->folder, buf_cstr(&file), &out);
	buf_release(&out);
	buf_release(&file);
	buf_release(&name);
	buf_release(&why);
}

static void put_charges(struct work *w)
{
	const struct table *open = &w->page->month->book.is.charges;

	for (size_t row = 0; row < table_rows(open); row++)
		put_charge(w, table_word(open, row, "charge"));
}

/* ---- where an id is from */

/* A table of a trace: its title becomes the heading. */
static void put_trace(struct one *one, struct table *t, size_t at, struct slice commands)
{
	struct buf key = BUF_INIT, heading = BUF_INIT;

	if (table_rows(t) || at == 0) {
		buf_printf(&key, "trace-%zu", at + 1);
		buf_add(&heading, buf_slice(&t->title));
		t->title.n = t->finding.n = 0;
		page_block(&one->page, &(struct page_block){ .key = buf_slice(&key), .heading = buf_slice(&heading), .table = t, .commands = commands });
	}
	buf_release(&key);
	buf_release(&heading);
}

static void put_tables(struct work *w, struct slice id, const char *kind, struct table *t, const char *file)
{
	struct buf title = BUF_INIT, lead = BUF_INIT, command = BUF_INIT;
	struct one one;

	buf_printf(&title, "%c%s ", (char)(kind[0] - 32), kind + 1);
	buf_add(&title, id);
	buf_add(&lead, buf_slice(&t[0].finding));
	month_words(w->page, "wy-trace --on={last} ", &command);
	buf_add(&command, id);
	month_words(w->page, "{book}", &command);
	begin(&one, w, NULL, buf_slice(&title), buf_slice(&lead));
	page_part(&one.page, "origin", SLICE("Origin"));
	for (size_t i = 0; i < TRACE_TABLES; i++)
		put_trace(&one, &t[i], i, i ? SLICE("") : buf_slice(&command));
	end(&one, w, file);
	buf_release(&title);
	buf_release(&lead);
	buf_release(&command);
}

/* An id that is several things is shown as the first of them. */
static void put_origin(struct work *w, const struct board_id *id)
{
	struct buf why = BUF_INIT, file = BUF_INIT;
	struct table t[TRACE_TABLES];
	struct ties ties;
	int kind = 0;

	while (!(id->kinds & 1u << kind))
		kind++;
	board_file("of-", id->id, &file);
	if (trace_find(w->trace, id->id, kind, &why) == TRACE_FOUND) {
		ties_find(&ties, w->trace);
		trace_view(w->trace, &ties, true, t);
		put_tables(w, id->id, trace_kind_words[kind], t, buf_cstr(&file));
		for (size_t i = 0; i < TRACE_TABLES; i++)
			table_release(&t[i]);
		ties_release(&ties);
	}
	buf_release(&why);
	buf_release(&file);
}

/* ---- the index */

static char initial_of(struct slice id)
{
	char c = id.p[0];

	return c >= 'a' && c <= 'z' ? (char)(c - 'a' + 'A') : c;
}

/* Where the ids with another initial begin. */
static size_t end_of_initial(const struct board_links *l, size_t at)
{
	char initial = initial_of(l->id[at].id);

	while (at < l->n && initial_of(l->id[at].id) == initial)
		at++;
	return at;
}

/* The page of an id, and its kinds in words. */
static struct page_link link_of(const struct board_id *id, struct buf *file, struct buf *title)
{
	board_file("of-", id->id, file);
	buf_add(title, id->id);
	for (int k = 0; k < TRACE_KINDS; k++)
		if (id->kinds & 1u << k)
			buf_printf(title, ", %s", trace_kind_words[k]);
	return (struct page_link){ buf_cstr(file), buf_slice(title) };
}

static void put_initial(struct one *one, const struct board_links *l, size_t at, size_t n)
{
	struct page_link *link = mem_array(n, sizeof *link);
	struct buf *text = mem_zeroed(2 * n, sizeof *text), key = BUF_INIT, title = BUF_INIT;

	for (size_t i = 0; i < n; i++)
		link[i] = link_of(&l->id[at + i], &text[2 * i], &text[2 * i + 1]);
	buf_printf(&key, "initial-%02x", (unsigned char)initial_of(l->id[at].id));
	buf_char(&title, initial_of(l->id[at].id));
	page_part(&one->page, buf_cstr(&key), (unsigned char)title.p[0] < 0x80 ? buf_slice(&title) : SLICE("others"));
	page_block(&one->page, &(struct page_block){ .link = link, .n_links = n, .wide = true });
	for (size_t i = 0; i < 2 * n; i++)
		buf_release(&text[i]);
	free(link);
	free(text);
	buf_release(&key);
	buf_release(&title);
}

static void put_find(struct work *w, const struct page_link *link)
{
	struct buf lead = BUF_INIT;
	struct one one;

	buf_count(&lead, (int64_t)w->ids.n, "id");
	buf_str(&lead, " of bats, lots, charges and trees; each leads to its origin.");
	begin(&one, w, link->to, SLICE("Find an id"), buf_slice(&lead));
	for (size_t at = 0, next; at < w->ids.n; at = next) {
		next = end_of_initial(&w->ids, at);
		put_initial(&one, &w->ids, at, next - at);
	}
	end(&one, w, link->to);
	buf_release(&lead);
}

/* ---- the board */

static void start(struct work *w, const struct board *b, struct page_folder *folder)
{
	*w = (struct work){ .page = b->page, .folder = folder, .trace = b->trace };
	board_links_init(&w->ids, b->page->month, b->trace);
	w->links = (struct table_links){ board_links_to, &w->ids };
	w->how = (struct month_html){ .command = b->command, .commit = b->commit, .beside = pages, .n_beside = sizeof pages / sizeof *pages,
		.links = &w->links };
	month_cautions(&w->footer);
	month_picture_styles(&w->styles);
	for (size_t i = 0; board_find[i]; i++)
		buf_str(&w->script, board_find[i]);
}

void board_write(const struct board *b, struct page_folder *folder)
{
	struct work w;

	start(&w, b, folder);
	put_month(&w);
	put_due(&w, b->due, &pages[1]);
	put_about(&w, &pages[2], MONTH_KILNS);
	put_about(&w, &pages[3], MONTH_STOCK);
	put_about(&w, &pages[4], MONTH_ROOMS);
	put_find(&w, &pages[5]);
	put_charges(&w);
	for (size_t i = 0; i < w.ids.n; i++)
		put_origin(&w, &w.ids.id[i]);
	board_links_release(&w.ids);
	buf_release(&w.footer);
	buf_release(&w.styles);
	buf_release(&w.script);
}
