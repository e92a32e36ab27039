/*
 * book_made.h - a book that a unit test writes line by line, with the stock that its lines move. Include it once, in the test's only file.
 *
 *	struct book_made m;
 *	const struct line *l;
 *
 *	book_made_init(&m);
 *	if ((l = book_made_line(&m, slice_of("2026-01-03 load C1 kiln=north lot=L1 at=yard count=100"))))
 *		stock_add(&m.stock, l, 0);
 *	...
 *	book_made_release(&m);
 *
 * It must not be moved. There is no house file.
 */
#ifndef WITHY_BOOK_MADE_H
#define WITHY_BOOK_MADE_H

#include "book/diag.h"
#include "book/parse.h"
#include "stock/stock.h"
#include "check.h"

struct book_made {
	struct vocab vocab;
	struct diags diags;
	struct parser parser;
	struct stock stock;
	uint64_t lines;
};

static inline void book_made_init(struct book_made *m)
{
	memset(m, 0, sizeof *m);
	vocab_init(&m->vocab);
	diags_init(&m->diags);
	parser_init(&m->parser, &m->vocab, &m->diags);
	stock_init(&m->stock, NULL);
}

static inline void book_made_release(struct book_made *m)
{
	stock_release(&m->stock);
	parser_release(&m->parser);
	diags_release(&m->diags);
}

/* The next line, valid until the one after it; NULL, and a failed check, where it is not an event's. */
static inline const struct line *book_made_line(struct book_made *m, struct slice text)
{
	const struct line *l = parse_line(&m->parser, text, ++m->lines, 0);

	return CHECK(l->kind == LINE_EVENT) ? l : NULL;
}

#endif
