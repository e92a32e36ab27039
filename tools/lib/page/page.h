/*
 * page.h - one document of HTML that needs nothing else: text, tables and pictures for a screen and for A4 paper.
 *
 *	page_begin(&p, &head, &out);
 *	page_part(&p, "stock", "Stock");
 *	page_block(&p, &block);
 *	page_end(&p, footer);
 *
 * The document has its stylesheet (page.css, and the head's own) for light and dark, phone to desk, and print, and a content policy
 * that allows just that and the head's script, by their hashes: nothing is fetched and nothing else runs. Every text may be any bytes: it is
 * escaped, and what could turn the direction of writing is made visible. Pictures are SVG and go in as they are; their
 * attributes may not be `style`, which the policy does not allow, and their ids must be of this page alone.
 *
 * Parts become the page's contents, so they are named in the head. Keys are ids: lower-case letters and hyphens, each once.
 */
#ifndef WITHY_PAGE_H
#define WITHY_PAGE_H

#include <stdbool.h>
#include <stddef.h>

#include "table/table.h"

/* A part in the page's contents, or a page beside this one in its folder. */
struct page_link {
	const char *to;            /* a key, or a file's name */
	struct slice title;
};

struct page_head {
	struct slice works, title; /* whose, or empty; the h1 */
	struct slice lead;         /* the finding of the whole page, or empty */
	struct slice through;      /* the day of the last entry; or empty */
	struct slice commit;       /* that the book is at; or empty */
	struct slice command;      /* that makes the page */
	const struct page_link *parts;
	size_t n_parts;
	const struct page_link *beside; /* pages beside this one; none: it is alone */
	size_t n_beside;
	const char *here;          /* the `to` of this page among them, or NULL */
	struct slice styles;       /* added to the stylesheet, for the pictures; or empty */
	const char *script;        /* at the end of the page; or NULL */
};

struct page {
	const struct page_head *head;
	const struct table_links *links;
	struct buf *out;
	bool in_part;
	size_t parts;              /* so far */
};

/* `links`: where words of tables and points lead; or NULL. All must last as long as the page. */
void page_begin(struct page *p, const struct page_head *head, const struct table_links *links, struct buf *out);

/* Starts a part; the one before ends. */
void page_part(struct page *p, const char *key, struct slice title);

struct page_block {
	struct slice key;          /* an id; empty for one without a heading */
	struct slice heading;
	struct slice finding;      /* a sentence; or empty */
	struct slice picture;      /* an SVG element, or empty */
	const struct table *table; /* or NULL; its own title should be empty */
	const struct page_link *link; /* a list of links; or NULL */
	size_t n_links;
	struct slice points;       /* a line each: "SUBJECT: what is the matter", or a sentence; or empty */
	struct slice notes;        /* a line each */
	struct slice commands;     /* that print the same figures, a line each */
	bool wide;                 /* as wide as the page */
	bool ruled;                /* the table's rows are high, to be written in */
};

/* One that has neither rows, picture, points nor links says "nothing". */
void page_block(struct page *p, const struct page_block *block);

/* `footer`: a line each. */
void page_end(struct page *p, struct slice footer);

/* Adds the content policy that allows just this stylesheet and this script (or none): a <meta> for the head of any document. */
void page_policy(struct slice style, const char *script, struct buf *out);

/* The next line of a text, taken off it. */
struct slice page_line(struct slice *text);

#endif
