/*
 * due_stock.h - stock that is too old by the house's `oldest`, and places whose pieces are to be counted (`count` of
 * `intervals`).
 */
#ifndef WITHY_DUE_STOCK_H
#define WITHY_DUE_STOCK_H

struct due;
struct due_book;

void due_stock_find(struct due *d, struct due_book *b);

#endif
