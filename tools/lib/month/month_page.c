#include "month/month_page.h"

#include "base/utf8.h"
#include "month/month_parts.h"
#include "month/month_sparks.h"
#include "table/table_say.h"

enum { WIDTH = 80, WIDEST = 120, INDENT = 2 };

/* ---- lines */

/* The words of a text in lines; the first begins with `head`, the others with as many spaces. */
static void put_folded(const struct month_text *how, struct buf *out, const char *head, struct slice text)
{
	if (how->plain) {
		buf_add(out, text);
	} else {
		buf_str(out, head);
		utf8_add_folded(out, text, strlen(head), how->width);
	}
	buf_char(out, '\n');
}

/* Each line of the text in lines of its own. */
static void put_lines(const struct month_text *how, struct buf *out, const char *head, struct slice text)
{
	struct buf line = BUF_INIT;

	while (text.n) {
		size_t end = slice_find(text, '\n');

		line.n = 0;
		utf8_add_visible(&line, slice_upto(text, end));
		put_folded(how, out, head, buf_slice(&line));
		text = slice_from(text, end < text.n ? end + 1 : end);
	}
	buf_release(&line);
}

static void put_title(struct buf *out, struct slice title)
{
	buf_char(out, '\n');
	buf_add(out, title);
	buf_char(out, '\n');
}

static void put_nothing(const struct month_text *how, struct buf *out)
{
	buf_str(out, how->plain ? "nothing\n" : "  nothing\n");
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
static void lay_out(const struct table *t, unsigned least, struct buf *text)
{
	struct table_style style = { .form = TABLE_AS_TEXT };

	for (unsigned width = least; width <= WIDEST - INDENT; width++) {
		text->n = 0;
		style.width = width;
		table_write(t, style, text);
		if (!is_parted(buf_slice(text)))
			return;
	}
	text->n = 0;
	style.width = least;
	table_write(t, style, text);
}

static void put_rows(const struct month_text *how, const struct table *t, struct buf *out)
{
	struct buf text = BUF_INIT;
	struct slice left;

	lay_out(t, (unsigned)how->width - INDENT, &text);
	for (left = buf_slice(&text); left.n;) {
		size_t end = slice_find(left, '\n');

		buf_fill(out, ' ', end ? INDENT : 0);
		buf_add(out, slice_upto(left, end));
		buf_char(out, '\n');
		left = slice_from(left, end < left.n ? end + 1 : end);
	}
	buf_release(&text);
}

static void put_table(const struct month_text *how, const struct table *t, struct buf *out)
{
	if (!table_rows(t))
		put_nothing(how, out);
	else if (how->plain)
		table_say(t, out);
	else
		put_rows(how, t, out);
}

/* ---- small lines for a terminal */

static void put_sparks(struct month *m, const char *title, void write(struct month *m, struct buf *out), struct buf *out)
{
	struct buf lines = BUF_INIT;
	struct slice left;

	write(m, &lines);
	if (lines.n) {
		buf_str(out, "  ");
		buf_str(out, title);
		buf_char(out, '\n');
	}
	for (left = buf_slice(&lines); left.n;) {
		size_t end = slice_find(left, '\n');

		buf_str(out, "  ");
		buf_add(out, slice_upto(left, end + 1));
		left = slice_from(left, end + 1);
	}
	buf_release(&lines);
}

static void put_sparks_of(struct month *m, enum month_about about, const char *key, struct buf *out)
{
	if (about == MONTH_KILNS && strcmp(key, "open") == 0)
		put_sparks(m, "Mean of the probes, %, by reading, from the lowest to the highest:", month_sparks_charges, out);
	else if (about == MONTH_ROOMS && strcmp(key, "air") == 0)
		put_sparks(m, "EMC by day, %, from the lowest to the highest:", month_sparks_air, out);
}

/* ---- the page */

static void put_part(const struct month_page *p, const struct month_text *how, const struct month_part *part, struct buf *out)
{
	struct buf text = BUF_INIT;
	struct table t;

	month_words(p, part->title, &text);
	put_title(out, buf_slice(&text));
	part->table(p->month, &t);
	put_table(how, &t, out);
	table_release(&t);
	text.n = 0;
	if (part->points)
		part->points(p->month, &text);
	put_lines(how, out, "  - ", buf_slice(&text));
	text.n = 0;
	if (how->sparks)
		put_sparks_of(p->month, part->about, part->key, out);
	if (part->notes)
		part->notes(p->month, &text);
	put_lines(how, out, "  ", buf_slice(&text));
	buf_release(&text);
}

static void put_head(const struct month *m, struct buf *out)
{
	if (month_works(m).n) {
		utf8_add_visible(out, month_works(m));
		buf_str(out, ", ");
	}
	month_title(m, out);
	buf_char(out, '\n');
}

static void put_attention(const struct month_page *p, const struct month_text *how, struct buf *out)
{
	struct buf text = BUF_INIT;

	put_title(out, SLICE("Needs attention"));
	month_attention(p, &text);
	if (text.n)
		put_lines(how, out, "  - ", buf_slice(&text));
	else
		put_nothing(how, out);
	buf_release(&text);
}

void month_page_write(const struct month_page *p, const struct month_text *asked, struct buf *out)
{
	struct month_text how = *asked;
	struct buf text = BUF_INIT;

	how.width = how.width < WIDTH ? WIDTH : how.width > WIDEST ? WIDEST : how.width;
	how.sparks = how.sparks && !how.plain;
	put_head(p->month, out);
	put_attention(p, &how, out);
	for (size_t i = 0; i < MONTH_PARTS; i++)
		put_part(p, &how, &month_parts[i], out);
	buf_char(out, '\n');
	month_cautions(&text);
	put_lines(&how, out, "", buf_slice(&text));
	buf_release(&text);
}
