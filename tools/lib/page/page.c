#include "page/page.h"

#include "base/escape.h"
#include "base/sha256.h"
#include "page_style.h"

enum { COMMIT_SHOWN = 10, LONG_ROWS = 7 };

struct slice page_line(struct slice *text)
{
	size_t end = slice_find(*text, '\n');
	struct slice line = slice_upto(*text, end);

	*text = slice_from(*text, end < text->n ? end + 1 : end);
	return line;
}

static void element(struct buf *out, const char *open, struct slice text, const char *close)
{
	buf_str(out, open);
	buf_html(out, text);
	buf_str(out, close);
}

/* ---- the head */

/* What stands in the margins of paper: what the page was made from. */
static void write_margins(const struct page_head *head, struct buf *style)
{
	buf_str(style, "@page{@bottom-left{font:6.5pt sans-serif;content:\"");
	if (head->through.n) {
		buf_str(style, "data through ");
		buf_add(style, head->through);
	}
	if (head->commit.n) {
		buf_str(style, head->through.n ? ", book at " : "book at ");
		buf_add(style, slice_upto(head->commit, head->commit.n < COMMIT_SHOWN ? head->commit.n : COMMIT_SHOWN));
	}
	buf_str(style, "\"}@bottom-right{font:6.5pt sans-serif;content:\"page \" counter(page) \" of \" counter(pages)}}");
}

/* The source of a policy that allows just these bytes. */
static void write_source(struct slice bytes, struct buf *out)
{
	unsigned char digest[SHA256_BYTES];

	sha256(bytes, digest);
	buf_str(out, " 'sha256-");
	buf_base64(out, (struct slice){ (const char *)digest, sizeof digest });
	buf_char(out, '\'');
}

void page_policy(struct slice style, const char *script, struct buf *out)
{
	buf_str(out, "<meta http-equiv=\"Content-Security-Policy\" content=\"default-src 'none'; style-src");
	write_source(style, out);
	if (script) {
		buf_str(out, "; script-src");
		write_source(slice_of(script), out);
	}
	buf_str(out, "; base-uri 'none'; form-action 'none'\">\n");
}

static void write_title(const struct page_head *head, struct buf *out)
{
	buf_str(out, "<title>");
	buf_html(out, head->title);
	if (head->works.n) {
		buf_str(out, ", ");
		buf_html(out, head->works);
	}
	buf_str(out, "</title>\n");
}

static void write_head(const struct page_head *head, struct buf *out)
{
	struct buf style = BUF_INIT;

	for (size_t i = 0; page_style[i]; i++)
		buf_str(&style, page_style[i]);
	buf_add(&style, head->styles);
	write_margins(head, &style);
	buf_str(out, "<!doctype html>\n<html lang=\"en\">\n<head>\n<meta charset=\"utf-8\">\n");
	page_policy(buf_slice(&style), head->script, out);
	buf_str(out, "<meta name=\"viewport\" content=\"width=device-width, initial-scale=1\">\n<meta name=\"color-scheme\" content=\"light dark\">\n");
	write_title(head, out);
	buf_str(out, "<style>");
	buf_add(out, buf_slice(&style));
	buf_str(out, "</style>\n</head>\n");
	buf_release(&style);
}

/* ---- the beginning of the body */

static void write_mark(const char *name, struct slice text, struct buf *out)
{
	if (!text.n)
		return;
	buf_str(out, "<dt>");
	buf_str(out, name);
	element(out, "</dt><dd>", text, "</dd>");
}

static void write_masthead(const struct page_head *head, struct buf *out)
{
	size_t shown = head->commit.n < COMMIT_SHOWN ? head->commit.n : COMMIT_SHOWN;

	buf_str(out, "<header class=\"mast\">\n<div>");
	if (head->works.n)
		element(out, "<p class=\"works\" dir=\"auto\">", head->works, "</p>\n");
	element(out, "<h1 dir=\"auto\">", head->title, "</h1>\n");
	if (head->lead.n)
		element(out, "<p class=\"lead\">", head->lead, "</p>\n");
	buf_str(out, "</div>\n<dl class=\"marks\">");
	write_mark("data through", head->through, out);
	write_mark("book at", slice_upto(head->commit, shown), out);
	if (head->command.n)
		element(out, "<dt>made by</dt><dd><code>", head->command, "</code></dd>");
	buf_str(out, "</dl>\n</header>\n");
}

static void write_links(const struct page_link *link, size_t n, const char *hash, const char *here, struct buf *out)
{
	buf_str(out, hash ? "<ul>" : "<ul class=\"plain\">");
	for (size_t i = 0; i < n; i++) {
		buf_str(out, "<li><a href=\"");
		buf_str(out, hash ? hash : "");
		buf_html(out, slice_of(link[i].to));
		buf_str(out, here && strcmp(here, link[i].to) == 0 ? "\" aria-current=\"page\">" : "\">");
		buf_html(out, link[i].title);
		buf_str(out, "</a></li>");
	}
	buf_str(out, "</ul>");
}

void page_begin(struct page *p, const struct page_head *head, const struct table_links *links, struct buf *out)
{
	*p = (struct page){ .head = head, .links = links, .out = out };
	write_head(head, out);
	buf_str(out, "<body>\n<a class=\"skip\" href=\"#main\">Skip to the content</a>\n");
	if (head->n_beside) {
		buf_str(out, "<nav aria-label=\"Pages\">");
		write_links(head->beside, head->n_beside, "", head->here, out);
		buf_str(out, "</nav>\n");
	}
	write_masthead(head, out);
	if (head->n_parts > 1) {
		buf_str(out, "<nav class=\"parts\" aria-label=\"Parts of this page\">");
		write_links(head->parts, head->n_parts, "#", NULL, out);
		buf_str(out, "</nav>\n");
	}
	buf_str(out, "<main id=\"main\" tabindex=\"-1\">\n");
}

/* ---- parts and blocks */

static void end_part(struct page *p)
{
	buf_str(p->out, p->in_part ? "</div>\n</section>\n" : "");
	p->in_part = false;
}

void page_part(struct page *p, const char *key, struct slice title)
{
	end_part(p);
	buf_printf(p->out, "<section class=\"part%s\" id=\"%s\" aria-labelledby=\"%s-heading\">\n<h2 id=\"%s-heading\"", p->parts ? "" : " first", key, key, key);
	element(p->out, ">", title, "</h2>\n<div class=\"blocks\">\n");
	p->in_part = true;
	p->parts++;
}

static void write_table(const struct page *p, const struct page_block *block)
{
	static const struct table_links none = { NULL, NULL };
	const struct table_style style = { .form = TABLE_AS_HTML, .links = p->links ? p->links : &none };
	struct buf text = BUF_INIT;
	struct slice table, finding = SLICE("<table>");
	size_t at = 0;

	table_write(block->table, style, &text);
	table = buf_slice(&text);
	while (!slice_starts(slice_from(table, at), finding))
		at++;
	buf_add(p->out, slice_upto(table, at));
	buf_printf(p->out, "<div class=\"scroll\" role=\"group\" tabindex=\"0\" aria-label=\"Table\">\n<table>\n");
	if (block->heading.n)
		element(p->out, "<caption>", block->heading, "</caption>");
	table = slice_from(table, at + finding.n);
	at = 0;
	while (!slice_starts(slice_from(table, at), SLICE("</table>")))
		at++;
	at += strlen("</table>");
	buf_add(p->out, slice_upto(table, at));
	buf_str(p->out, "</div>");
	buf_add(p->out, slice_from(table, at));
	buf_release(&text);
}

/* How much of a subject goes on the label: an id, or a word with a comma after it, alone; else all of it. */
static size_t label_of(struct slice subject)
{
	bool digit = false;
	size_t n = 0;

	for (; n < subject.n && subject.p[n] != ' ' && subject.p[n] != ','; n++)
		digit |= subject.p[n] >= '0' && subject.p[n] <= '9';
	return digit || (n < subject.n && subject.p[n] == ',') ? n : subject.n;
}

static void write_label(const struct page *p, struct slice label)
{
	struct buf to = BUF_INIT;

	if (p->links && p->links->to)
		p->links->to(p->links->context, "", label, &to);
	buf_str(p->out, "<b class=\"tag\" dir=\"auto\">");
	if (to.n)
		element(p->out, "<a href=\"", buf_slice(&to), "\">");
	buf_html(p->out, label);
	buf_str(p->out, to.n ? "</a></b>" : "</b>");
	buf_release(&to);
}

/* "O-417 for kowelin: 7 blades" is a label, and the rest; what parts them is heard, not seen. */
static void write_point(const struct page *p, struct slice point, size_t subject)
{
	size_t label = label_of(slice_upto(point, subject));
	struct slice rest = slice_from(point, label);

	write_label(p, slice_upto(point, label));
	buf_str(p->out, "<span dir=\"auto\">");
	if (rest.n && rest.p[0] != ' ') {
		element(p->out, "<span class=\"heard\">", slice_upto(rest, 2), "</span>");
		rest = slice_from(rest, 2);
		label += 2;
	}
	if (label < subject)
		element(p->out, "<b>", slice_upto(rest, subject - label), "</b>");
	element(p->out, "", slice_from(rest, label < subject ? subject - label : 0), "</span></li>\n");
}

/* How long the subject of a point is; 0 for a sentence without one. */
static size_t subject_of(struct slice point)
{
	for (size_t i = 0; i + 1 < point.n; i++)
		if (point.p[i] == ':' && point.p[i + 1] == ' ')
			return i;
	return 0;
}

static void write_points(const struct page *p, struct slice points)
{
	buf_str(p->out, "<ul class=\"points\">\n");
	while (points.n) {
		struct slice point = page_line(&points);
		size_t subject = subject_of(point);

		buf_str(p->out, subject ? "<li>" : "<li class=\"said\">");
		if (subject)
			write_point(p, point, subject);
		else
			element(p->out, "<span dir=\"auto\">", point, "</span></li>\n");
	}
	buf_str(p->out, "</ul>\n");
}

static void write_lines(const struct page *p, const char *open, struct slice lines, const char *close)
{
	while (lines.n)
		element(p->out, open, page_line(&lines), close);
}

static void write_content(const struct page *p, const struct page_block *block)
{
	bool rows = block->table && table_rows(block->table);

	if (block->finding.n)
		element(p->out, "<p class=\"finding\">", block->finding, "</p>\n");
	if (block->picture.n) {
		buf_str(p->out, "<figure>");
		buf_add(p->out, block->picture);
		buf_str(p->out, "</figure>\n");
	}
	if (rows)
		write_table(p, block);
	if (block->points.n)
		write_points(p, block->points);
	if (block->n_links)
		write_links(block->link, block->n_links, NULL, NULL, p->out);
	if (!rows && !block->picture.n && !block->points.n && !block->n_links)
		buf_str(p->out, "<p class=\"none\">nothing</p>\n");
}

void page_block(struct page *p, const struct page_block *block)
{
	bool is_long = block->table && table_rows(block->table) > LONG_ROWS;

	buf_str(p->out, block->key.n ? "<section" : "<div");
	buf_printf(p->out, " class=\"block%s%s%s", block->wide ? " wide" : "", is_long ? " long" : "", block->ruled ? " ruled" : "");
	buf_str(p->out, block->picture.n ? " picture\"" : "\"");
	if (block->key.n) {
		element(p->out, " id=\"", block->key, "\" aria-labelledby=\"");
		element(p->out, "", block->key, "-heading\">\n<h3 id=\"");
		element(p->out, "", block->key, "-heading\">");
		element(p->out, "", block->heading, "</h3>\n");
	} else {
		buf_str(p->out, ">\n");
	}
	write_content(p, block);
	write_lines(p, "<p class=\"note\">", block->notes, "</p>\n");
	if (block->commands.n) {
		buf_str(p->out, "<p class=\"made\">");
		write_lines(p, "<code>", block->commands, "</code>");
		buf_str(p->out, "</p>\n");
	}
	buf_str(p->out, block->key.n ? "</section>\n" : "</div>\n");
}

void page_end(struct page *p, struct slice footer)
{
	end_part(p);
	buf_str(p->out, "</main>\n<footer>\n");
	write_lines(p, "<p>", footer, "</p>\n");
	buf_str(p->out, "</footer>\n");
	if (p->head->script) {
		buf_str(p->out, "<script>");
		buf_str(p->out, p->head->script);
		buf_str(p->out, "</script>\n");
	}
	buf_str(p->out, "</body>\n</html>\n");
}
