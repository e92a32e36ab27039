/*
 * yield_view_internal.h - private to the files of yield_view.h.
 */
#ifndef WITHY_YIELD_VIEW_INTERNAL_H
#define WITHY_YIELD_VIEW_INTERNAL_H

#include <stddef.h>

#include "stock/stages.h"
#include "stock/yield_rows.h"
#include "table/table.h"

struct yield_head;
struct yield_rows;

/* A table with the columns of a row's head; these columns more; the cells of a head. */
void yield_view_start(const struct yield_rows *y, struct table *t);
void yield_view_add_columns(struct table *t, const char *const *names, size_t n, enum table_type type, unsigned places);
void yield_view_head(const struct yield_rows *y, struct table *t, const struct yield_head *head);

/* A share and its interval (95 %, Wilson): three cells. */
void yield_view_share(struct table *t, struct stage_share s);

#endif
