/*
 * cost_view.h - the tables of wy-cost(1), out of a costing that has ended.
 *
 * Each function initializes its table, which then belongs to the caller. Amounts are exact, in the works' currency.
 */
#ifndef WITHY_COST_VIEW_H
#define WITHY_COST_VIEW_H

#include "base/text.h"

struct charge_costs;
struct costing;
struct table;

/* By the keys: usable blades, what each cost, and what share of that is timber, drying, losses. */
void cost_view_blades(const struct costing *c, struct table *t);

/* By the keys: the pieces in stock and what they are worth. */
void cost_view_stock(const struct costing *c, struct table *t);

/* By stage: opening, in, passed, out, lost, closing. */
void cost_view_account(const struct costing *c, struct table *t);

/* By kind of cost: what was spent, and where it is now. */
void cost_view_kinds(const struct costing *c, struct table *t);

/* By charge: days, load against capacity, cost and energy of a piece and of a point of moisture removed. */
void cost_view_charges(const struct costing *c, const struct charge_costs *charges, struct table *t);

/*
 * The lines that made the figure of a tree, a parcel, a supplier, a lot, a charge, a kiln, a place, a bat or an
 * order, with how much of each it has: of a charge those that dried its pieces, as in cost_view_charges(). `path` are the names of the files.
 */
void cost_view_lines(const struct costing *c, struct slice id, const char *const *path, struct table *t);

#endif
