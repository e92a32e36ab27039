/*
 * charge_page.h - one charge as a document of HTML: what needs attention, how it dries, its readings, what it holds; and a sheet for the kiln
 * door.
 */
#ifndef WITHY_CHARGE_PAGE_H
#define WITHY_CHARGE_PAGE_H

#include <stdbool.h>

#include "month/month_html.h"

/*
 * As of the last day of the page's month. False when no charge of that id was loaded by then; then `why` says so and what to
 * write, and `out` is as it was.
 */
bool charge_page_write(const struct month_page *page, const struct month_html *how, const char *id, struct buf *out, struct buf *why);

/* The charge's probes, their last readings, and ruled rows to write new ones by hand: a page of A4. */
bool charge_sheet_write(const struct month_page *page, const struct month_html *how, const char *id, struct buf *out, struct buf *why);

#endif
