/*
 * stock_cells.h - cells that the tables of stock, yields and grades have in common.
 */
#ifndef WITHY_STOCK_CELLS_H
#define WITHY_STOCK_CELLS_H

#include <stdint.h>

#include "table/table.h"

struct table;

/* A day as a date; a word, absent where it is empty. */
void stock_cell_day(struct table *t, int32_t day);
void stock_cell_word(struct table *t, struct slice word);

/* Two cells: the file as it was named, and its last part with the number of the line, "2027b.wy:166". */
void stock_cells_line(struct table *t, const char *path, uint64_t line);

#endif
