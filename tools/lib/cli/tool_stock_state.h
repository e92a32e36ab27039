/*
 * tool_stock_state.h - --partial and --merge for the stock on a day (stock/stock_batches.h).
 *
 * Like tool.h this is a half of a main: it prints and may end the process.
 */
#ifndef WITHY_TOOL_STOCK_STATE_H
#define WITHY_TOOL_STOCK_STATE_H

#include "cli/tool_book.h"
#include "cli/tool_state.h"

/*
 * In place of book_stock_read() and stock_run(): reads the book up to `today`, or with --merge states. With --partial it prints the state.
 * Afterwards the stock has its buckets. The result is the status so far.
 */
int tool_stock_state(struct book *b, struct stock *s, int32_t today);

#endif
