/*
 * stock_audit.h - every lot's pieces, from where they came in to where they are.
 *
 * For each lot
 *
 *	in + found + pooled_in = pooled_out + into_bats + culled + sold + there
 *
 * where `there` is counted from the stock at the end, and the others as the pieces move. A lot whose
 * two sides differ has `adds_up` "no".
 */
#ifndef WITHY_STOCK_AUDIT_H
#define WITHY_STOCK_AUDIT_H

#include <stddef.h>
#include <stdint.h>

struct audited_lot;
struct stock;
struct stock_flow;
struct table;

struct stock_audit {
	const struct stock *stock;
	struct audited_lot *lot;   /* by id */
	size_t nlots;
};

/* After all lines were handed to `s` and before stock_run(). */
void stock_audit_init(struct stock_audit *a, const struct stock *s);
void stock_audit_release(struct stock_audit *a);

/* The stock_sink; its context is the `struct stock_audit`. */
void stock_audit_flow(void *context, const struct stock_flow *flow);

/* After stock_run(), once: counts the pieces that are still there. */
void stock_audit_end(struct stock_audit *a);

/* A row for each lot that ever had pieces, by name. Initializes the table, which then belongs to the caller. */
void stock_audit_view(const struct stock_audit *a, int32_t today, struct table *t);

#endif
