/*
 * month_html.h - the month of the works as a document of HTML (page.h): what needs attention, then pictures and tables, each with the
 * command that prints the same figures.
 */
#ifndef WITHY_MONTH_HTML_H
#define WITHY_MONTH_HTML_H

#include <stddef.h>

#include "month/month_parts.h"

struct month_picture;
struct page;
struct page_head;
struct page_link;
struct table_links;

struct month_html {
	struct slice command;      /* that makes the page */
	struct slice commit;       /* of the book; or empty */
	const struct page_link *beside; /* pages beside it; see page.h */
	size_t n_beside;
	const char *here;
	const struct table_links *links;
};

void month_html_write(const struct month_page *page, const struct month_html *how, struct buf *out);

/* A part of the page: pictures and sections about one thing; `all` as in month_pictures(). */
void month_html_about(struct page *page, const struct month_page *p, enum month_about about, bool all);

/* Puts a picture into a `struct page`, its finding above it; nothing where it is empty. */
void month_html_picture(void *page, const struct month_picture *picture);

/* The head of any page of the month's book, without its title: works, day, commit, command, pages beside, styles of pictures. */
struct page_head month_html_head(const struct month_page *page, const struct month_html *how);

#endif
