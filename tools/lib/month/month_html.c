#include "month/month_html.h"

#include "month/month_pictures.h"
#include "page/page.h"

/* ---- the head */

struct page_head month_html_head(const struct month_page *p, const struct month_html *how)
{
	return (struct page_head){ .works = month_works(p->month), .through = month_lines_through(p->lines), .commit = how->commit,
		.command = how->command, .beside = how->beside, .n_beside = how->n_beside, .here = how->here };
}

static size_t count_lines(struct slice text)
{
	size_t n = 0;

	for (size_t i = 0; i < text.n; i++)
		n += text.p[i] == '\n';
	return n;
}

/* The first thing that a reader wants to know. */
static void write_lead(struct slice attention, struct buf *out)
{
	size_t n = count_lines(attention);

	if (n)
		buf_printf(out, "%zu %s attention.", n, PLURAL(n, "matter needs", "matters need"));
	else
		buf_str(out, "Nothing needs attention.");
}

/* ---- the parts */

static void put_attention(struct page *page, const struct month_page *p, struct slice attention)
{
	struct buf commands = BUF_INIT;
	const struct page_block block = { .points = attention, .wide = true };
	struct page_block with = block;

	month_words(p, "wy-month{book} --{span}={name}\nwy-check{book}", &commands);
	with.commands = buf_slice(&commands);
	page_part(page, "attention", SLICE("Needs attention"));
	page_block(page, &with);
	buf_release(&commands);
}

static void put_section(struct page *page, const struct month_page *p, const struct month_part *part)
{
	struct buf heading = BUF_INIT, commands = BUF_INIT, points = BUF_INIT, notes = BUF_INIT;
	struct table t;

	month_words(p, part->title, &heading);
	month_words(p, part->commands, &commands);
	part->table(p->month, &t);
	if (part->points)
		part->points(p->month, &points);
	if (part->notes)
		part->notes(p->month, &notes);
	page_block(page, &(struct page_block){ .key = slice_of(part->key), .heading = buf_slice(&heading), .table = &t, .points = buf_slice(&points),
		.notes = buf_slice(&notes), .commands = buf_slice(&commands) });
	table_release(&t);
	buf_release(&heading);
	buf_release(&commands);
	buf_release(&points);
	buf_release(&notes);
}

/* The first sentence: what follows it is for who does not see the picture, and is in its description. */
static struct slice first_sentence(struct slice text)
{
	for (size_t i = 0; i + 1 < text.n; i++)
		if (text.p[i] == '.' && text.p[i + 1] == ' ')
			return slice_upto(text, i + 1);
	return text;
}

void month_html_picture(void *page, const struct month_picture *picture)
{
	if (picture->svg.n)
		page_block(page, &(struct page_block){ .key = buf_slice(&picture->key), .heading = first_sentence(buf_slice(&picture->finding)),
			.picture = buf_slice(&picture->svg), .commands = buf_slice(&picture->commands) });
}

void month_html_about(struct page *page, const struct month_page *p, enum month_about about, bool all)
{
	page_part(page, month_about_words[about].key, slice_of(month_about_words[about].title));
	month_pictures(p, about, all, month_html_picture, page);
	for (size_t i = 0; i < MONTH_PARTS; i++)
		if (month_parts[i].about == about)
			put_section(page, p, &month_parts[i]);
}

void month_html_write(const struct month_page *p, const struct month_html *how, struct buf *out)
{
	struct page_link parts[MONTH_ABOUTS + 1] = { { "attention", SLICE("Needs attention") } };
	struct page_head head = month_html_head(p, how);
	struct buf title = BUF_INIT, lead = BUF_INIT, attention = BUF_INIT, footer = BUF_INIT, styles = BUF_INIT;
	struct page page;

	month_picture_styles(&styles);
	for (size_t i = 0; i < MONTH_ABOUTS; i++)
		parts[i + 1] = (struct page_link){ month_about_words[i].key, slice_of(month_about_words[i].title) };
	month_title(p->month, &title);
	month_attention(p, &attention);
	write_lead(buf_slice(&attention), &lead);
	month_cautions(&footer);
	head.styles = buf_slice(&styles);
	head.title = buf_slice(&title);
	head.lead = buf_slice(&lead);
	head.parts = parts;
	head.n_parts = MONTH_ABOUTS + 1;
	page_begin(&page, &head, how->links, out);
	put_attention(&page, p, buf_slice(&attention));
	for (int i = 0; i < MONTH_ABOUTS; i++)
		month_html_about(&page, p, (enum month_about)i, false);
	page_end(&page, buf_slice(&footer));
	buf_release(&title);
	buf_release(&lead);
	buf_release(&attention);
	buf_release(&footer);
	buf_release(&styles);
}
