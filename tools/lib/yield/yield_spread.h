/*
 * yield_spread.h - how much more than by chance the yields and losses of lots differ, for the rows of wy-yield.
 *
 * Pieces of one lot are alike (spread.h). For each step the yields of its lots are compared, and for each cause
 * of a loss the shares that it took. Where the rows are by origin (tree, parcel, supplier), only the lots of one
 * row are compared with each other.
 */
#ifndef WITHY_YIELD_SPREAD_H
#define WITHY_YIELD_SPREAD_H

#include "math/spread.h"
#include "yield/yield_rows.h"

/* The spread of the yields by step; index YIELD_ALL_STEPS: of all steps. */
struct yield_spread {
	const struct yield_rows *rows;
	struct spread step[YIELD_ALL_STEPS + 1];
};

void yield_spread_init(struct yield_spread *s, const struct yield_rows *rows);
void yield_spread_release(struct yield_spread *s);

/*
 * The spread of one cause in one step (without a cause, of all): the pieces of a lot in the step, and those of
 * them that were culled for it. The caller releases it.
 */
void yield_spread_of_loss(const struct yield_rows *rows, uint32_t step, struct slice cause, struct spread *spread);

/* The spreads of losses, each computed once, when it is first asked for: a table has a row for each key and cause, but few causes. */
struct yield_loss_spreads {
	const struct yield_rows *rows;
	struct yield_loss_spread *spread;
	size_t n, cap;
};

/* All zero but `rows` to begin with. The answer is good until the next call; the cause must last as long as `s`. */
const struct spread *yield_loss_spread(struct yield_loss_spreads *s, uint32_t step, struct slice cause);
void yield_loss_spreads_release(struct yield_loss_spreads *s);

/* What a share of a row's pieces must be divided by in number, 1 or more; the point of its 95 % interval. */
double yield_spread_design(const struct yield_rows *rows, const struct spread *spread, size_t row);
double yield_spread_point(const struct yield_rows *rows, const struct spread *spread, size_t row);

#endif
