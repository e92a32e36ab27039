#include "yield/loss_log.h"

#include <stdlib.h>

#include "cost/costing.h"
#include "stock/stages.h"

/* The money of the flow that has waited the longest, because the costing reports it in the order of the flows. */
static void take_money(void *context, const struct stock_flow *flow, int64_t amount)
{
	struct loss_log *log = context;
	size_t n = log->waiting[log->known++];
	int128 *weight = mem_array(n, sizeof *weight);
	int64_t *share = mem_array(n, sizeof *share);

	(void)flow;
	for (size_t i = 0; i < n; i++)
		weight[i] = log->row[log->priced + i].n;
	if (n)
		money_share(amount, weight, n, share);
	for (size_t i = 0; i < n; i++)
		log->row[log->priced++].money = share[i];
	if (log->known == log->nwaiting)
		log->known = log->nwaiting = 0;
	free(weight);
	free(share);
}

void loss_log_init(struct loss_log *log, struct stages *stages, struct costing *costing)
{
	*log = (struct loss_log){ .stages = stages, .costing = costing };
	if (costing)
		costing_tell_losses(costing, take_money, log);
}

void loss_log_release(struct loss_log *log)
{
	free(log->row);
	free(log->waiting);
	*log = (struct loss_log){ .stages = NULL };
}

/* What the stages made of the flow; a flow of which they count nothing has no rows. */
static void log_flow(struct loss_log *log, const struct stock_flow *flow)
{
	const struct stages *w = log->stages;

	log->row = mem_grow(log->row, &log->cap, log->n + w->nlost, sizeof *log->row);
	for (size_t i = 0; i < w->nlost; i++)
		log->row[log->n++] = (struct logged_loss){ w->lost[i].loss, flow->op->day, w->lost[i].waited, w->lost[i].n, 0 };
	if (!log->costing)
		return;
	log->waiting = mem_grow(log->waiting, &log->waiting_cap, log->nwaiting + 1, sizeof *log->waiting);
	log->waiting[log->nwaiting++] = w->nlost;
}

static int64_t items_sum(const struct stock *s, uint32_t first, uint32_t n)
{
	int64_t sum = 0;

	for (uint32_t i = first; i < first + n; i++)
		sum += s->item[i].n;
	return sum;
}

/* A tally that finds all of its pieces opens a batch: nothing was lost or found. */
static void log_tally(struct loss_log *log, const struct stock_flow *flow)
{
	const struct stages *w = log->stages;
	const struct stock_op *op = flow->op;
	bool handle = (flow->from.lot ? flow->from.form : flow->to.form) == FORM_HANDLE;

	if (op->event->id != EVENT_TALLY || handle != w->handles || !w->counting)
		return;
	if (flow->change == STOCK_LOST)
		log->missing += flow->n;
	else if (flow->change == STOCK_FOUND && flow->n < items_sum(w->stock, op->counts, op->ncounts) + items_sum(w->stock, op->culls, op->nculls))
		log->found += flow->n;
}

void loss_log_flow(void *context, const struct stock_flow *flow)
{
	struct loss_log *log = context;

	stages_flow(log->stages, flow);
	log_tally(log, flow);
	if (flow->change == STOCK_LOST || flow->change == STOCK_CAME_OFF)
		log_flow(log, flow);
	if (log->costing)
		costing_flow(log->costing, flow);
}
