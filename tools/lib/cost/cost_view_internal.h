/*
 * cost_view_internal.h - private to the files of cost_view.h.
 */
#ifndef WITHY_COST_VIEW_INTERNAL_H
#define WITHY_COST_VIEW_INTERNAL_H

#include <stdint.h>

#include "cost/cost_rows.h"
#include "stock/stock_cells.h"
#include "stock/stock_say.h"
#include "table/number_text.h"

struct cost_row;
struct costing;
struct table;

/* A column of amounts with the decimals of the works' currency. */
void cost_view_column(const struct costing *c, struct table *t, const char *name, const char *heading);

/* A cell of it. */
void cost_view_money(const struct costing *c, struct table *t, int64_t amount);

/* The works' currency as a cell. */
void cost_view_currency(const struct costing *c, struct table *t);

/* Columns for the keys that are asked for; the cells of a row, NULL for that of all. */
void cost_view_keys(const struct costing *c, struct table *t);
void cost_view_row_keys(const struct costing *c, struct table *t, const struct cost_row *row);

/* What still waits, in all. */
int64_t cost_view_waiting(const struct costing *c);

/* Notes on rates that are not of the day, on the method, and on waiting costs. */
void cost_view_notes(const struct costing *c, struct table *t);

#endif
