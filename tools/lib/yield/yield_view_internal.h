/*
 * yield_view_internal.h - private to the files of yield_view.h.
 */
#ifndef WITHY_YIELD_VIEW_INTERNAL_H
#define WITHY_YIELD_VIEW_INTERNAL_H

#include <stddef.h>

#include "math/stats.h"
#include "stock/stock_cells.h"
#include "stock/stock_say.h"
#include "table/number_text.h"
#include "yield/yield_days.h"
#include "yield/yield_through.h"

struct cost_book;
struct loss_log;
struct yield_days;
struct yield_head;
struct yield_rows;
struct yield_through;

/* A column of figures, and its rank among those for reading: on a narrow line the last ones are hidden. */
enum { YIELD_FIGURES = 7 }; /* cells of such a column */

struct yield_column {
	const char *name;
	enum table_type type;
	unsigned char places, rank;
	const char *heading; /* or NULL */
};

/* A table with the columns of a row's head; these columns more, after `before` cells of others; the cells of a head. */
void yield_view_start(const struct yield_rows *y, struct table *t);
void yield_view_add_columns(const struct yield_rows *y, struct table *t, const struct yield_column *column, size_t n, size_t before);
void yield_view_head(const struct yield_rows *y, struct table *t, const struct yield_head *head);

/* Whether the column is among those for reading, so that a note must explain it. */
bool yield_view_shows(const struct table *t, const char *name);

/*
 * How many pieces reached the end, and the step that culled most, with its interval; or with the days the slowest step. With one
 * key, whose wood got through best and worst.
 */
void yield_view_say(const struct yield_rows *y, const struct yield_days *days, const struct yield_through *through, struct table *t);

/* Whether the ask has the rows of the row's step shown. */
bool yield_view_has_row(const struct yield_rows *y, size_t row);

/*
 * Money in the tables of losses: the prices of a log, or NULL where the book has none, so that nothing is shown; a column of amounts; its cells, and
 * the currency's; the note on what it is.
 */
const struct cost_book *yield_view_prices(const struct loss_log *log);
void yield_view_add_money(const struct yield_rows *y, struct table *t, const struct cost_book *prices, const char *name, const char *heading, size_t rank, size_t before);
void yield_view_money(struct table *t, const struct cost_book *prices, int64_t amount);
void yield_view_currency(struct table *t, const struct cost_book *prices);
void yield_view_note_money(struct table *t, const struct cost_book *prices);

/* A share and its interval (95 %, Wilson's, with this point): three cells. */
void yield_view_share(struct table *t, struct stage_share s, double point);

#endif
