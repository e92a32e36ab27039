/*
 * month.h - the answers that the page of a month is made of, each as the filter of its name gives it.
 *
 * The computations are those of the filters; month.c only shares readings of the book and runs of the stock among them. They are in two
 * halves, each with its own reading and its own stock, so that two threads can do them: the past, which is month_history.h, with the air
 * and the places of lines, which need no stock; and all else.
 * Every good line is handed to both once, in any order. `first` and `last` are the days of the month:
 *
 *	flow     wy-stock --since FIRST --on LAST
 *	stock    wy-stock --by form,type,grade --on LAST
 *	kilns    wy-yield --by charge --since FIRST --on LAST
 *	grades   wy-grade --by type --from FIRST --to LAST --baseline 12
 *	shift    the same with --shift
 *	steps    wy-yield --since FIRST --on LAST
 *	suppliers    wy-grade --by supplier --from BEFORE --to LAST, the twelve months before and these days
 *
 * The others are those of due_book.h, from FIRST to LAST, and those about where the wood is from, of month_history.h.
 */
#ifndef WITHY_MONTH_H
#define WITHY_MONTH_H

#include <stdint.h>

#include "due/due_book.h"
#include "grades/grade_mix.h"
#include "month/month_days.h"
#include "month/month_history.h"
#include "stock/stock_movement.h"

struct month_answers {
	struct table flow, stock, kilns, grades, shift, steps, suppliers;
};

struct month {
	const struct house *house; /* or NULL */
	struct month_days days;
	struct stock *stock, *past_stock;
	struct provenance origins, past_origins; /* of the one stock, and of the other */
	struct stock_movement movement;
	struct stages stages;
	struct grade_ask grade_ask, supplier_ask;
	struct grade_mix mix, by_supplier;
	struct due_book book;      /* with answers after month_answer() */
	struct due due;            /* what is due, likewise; not closed */
	struct month_history history;
	struct month_answers is;   /* after month_answer() */
};

/*
 * Both stocks are initialized, for the same house, and empty. The caller adds every line up to `last` to them.
 * All arguments must last as long as the month.
 */
void month_init(struct month *m, const struct house *house, const struct zone *zone, struct month_days days, struct stock *stock,
	struct stock *past_stock);
void month_release(struct month *m);

/* Takes a line of any kind and day in, with its instant; after the last one, runs the stock. */
void month_take(struct month *m, const struct line *l, int64_t utc_s);
void month_run(struct month *m);

/* The same of the past, which needs no instant. Where others run its stock, too, they call the three parts. */
void month_take_past(struct month *m, const struct line *l);
void month_run_past(struct month *m);
void month_begin_past(struct month *m);
void month_flow_past(void *context, const struct stock_flow *f);
void month_end_past(struct month *m);

/*
 * When both halves have run: fills in the answers. The result is 0, or the errno of why readings of moisture could not be held in a
 * temporary file.
 */
int month_answer(struct month *m);

#endif
