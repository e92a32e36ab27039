/*
 * board.h - the works as a folder of pages: the month so far, what is due, charges, stock, rooms, where each lot, charge, bat and tree is from,
 * and an index of them.
 *
 * index.html, due.html, charges.html, stock.html, rooms.html, find.html; charge-ID.html for each charge in a kiln; of-ID.html for each id.
 * In a name, what is neither a letter nor a digit of ASCII, nor - or _, is ~ and two hexadecimal digits. Every word of a table that is such an
 * id is a link to its page.
 */
#ifndef WITHY_BOARD_H
#define WITHY_BOARD_H

#include "due/due_view.h"
#include "month/month_html.h"
#include "page/page_folder.h"

struct board {
	const struct month_page *page;   /* of the month so far */
	const struct due_view *due;      /* wy-due of its last day */
	struct trace *trace;             /* settled, of the same day */
	struct slice command, commit;    /* as in struct month_html */
};

/* Adds all pages to the folder. */
void board_write(const struct board *b, struct page_folder *folder);

#endif
