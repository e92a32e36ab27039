/*
 * loss_log.h - each loss of pieces with its day and the money that was on the pieces.
 *
 * The log hands every flow on to the stages, and to the costing if there is one, and keeps what both say of it: the stages,
 * whose pieces a line lost, and the costing, what these had cost by that day: what was spent on them, and what they had taken
 * over from pieces that were lost before. A cost that the book has only later (the power of the charge that they were culled out
 * of) is not in it, and nothing is on pieces that were culled as they came in. The money of one line and cause is divided among
 * its pieces by their number.
 */
#ifndef WITHY_LOSS_LOG_H
#define WITHY_LOSS_LOG_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

struct costing;
struct stages;
struct stock_flow;

/* Pieces of one cell that a line lost for one cause. */
struct logged_loss {
	size_t loss;               /* of the stages, by index */
	int32_t day;
	bool waited;               /* not on a line that takes pieces out of their step (stages.h) */
	int64_t n, money;
};

struct loss_log {
	struct stages *stages;
	struct costing *costing;   /* or NULL: no money */
	struct logged_loss *row;
	size_t n, cap;
	size_t *waiting;           /* of each flow whose money is not known yet: how many rows it has */
	size_t nwaiting, waiting_cap, known, priced; /* known: of how many of these; priced: rows */
	int64_t missing, found;    /* pieces that tallies did not find, and that they found beside others of the batch */
};

/* After stages_init() and costing_read(). Both must last as long. */
void loss_log_init(struct loss_log *log, struct stages *stages, struct costing *costing);
void loss_log_release(struct loss_log *log);

/* The stock_sink; its context is the `struct loss_log`. The caller ends the stages and the costing. */
void loss_log_flow(void *context, const struct stock_flow *flow);

#endif
