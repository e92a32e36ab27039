/*
 * gradings.h - all gradings of a book as a state (table/partial.h), and a state's gradings counted into a mix.
 *
 * A state has a row for each day, lot and outcome of grading, with where the blades are from. So it serves any keys, days and
 * baseline. Its grades are as written: which schemes are joined (`former`) depends on the last day of all states
 * together.
 *
 * The stock says which blades a line grades, and the lines of one lot say that together with those of its tree, pools and
 * charges. So a state is sound when all of these are in one part of the book: `whole`, the second set of a state
 * (stock_whole.h).
 */
#ifndef WITHY_GRADINGS_H
#define WITHY_GRADINGS_H

#include "grades/grade_mix.h"
#include "table/group.h"

struct buf;
struct house;
struct stock;
struct stock_flow;

enum { GRADINGS_SETS = 2 };

struct gradings {
	struct groups rows, whole;
	struct groups *set[GRADINGS_SETS];
	struct grade_ask ask;      /* for everything */
	struct grade_mix mix;      /* says what the flows are; counts nothing */
};

void gradings_init(struct gradings *g);
void gradings_release(struct gradings *g);

/* What the house file must have alike for two states to be added: the schemes with their grades. */
void gradings_settings(const struct house *house, struct buf *out);

/* Before stock_run(): as grade_mix_init(). Then its flows come to gradings_flow(), a stock_sink. */
void gradings_start(struct gradings *g, const struct stock *s, const struct provenance *origins, const struct charge_kiln *kilns);
void gradings_flow(void *context, const struct stock_flow *flow);

/* After states were read: the last day of a grading up to `to`, INT32_MIN for none. */
int32_t gradings_last_day(const struct gradings *g, int32_t to);

/*
 * Counts all into a mix that was initialized; its `end` is gradings_last_day(). Lots get numbers in `ids`, those of the mix's
 * engine. False when a row is not one that gradings_flow() makes.
 */
bool gradings_count(struct gradings *g, struct intern *ids, struct grade_mix *m);

#endif
