/*
 * kilns.h - kilns and charges: which kiln a charge is in, how many pieces a kiln holds at the
 * end of a day, and the fixed probes that are in those pieces.
 *
 * The stock engine's flows report how many pieces a charge holds, and which (kilns_flow is its
 * sink). Rules that go by days are judged as each day is closed, so that the order of a day's
 * untimed lines does not matter. Words have one number here and in the engine (symbols.h).
 */
#ifndef WITHY_KILNS_H
#define WITHY_KILNS_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "check/charge_content.h"

struct charge;
struct diags;
struct kiln;
struct kiln_load;
struct kiln_set;
struct left_in;
struct line;
struct probes;
struct stock;
struct stock_flow;
struct suppress;
struct symbols;

struct kilns {
	struct symbols *symbols;
	struct suppress *suppress;
	struct diags *diags;
	const struct stock *stock;
	struct probes *probes;
	struct kiln_load *load;      /* the first load of each charge, and those that name another kiln */
	size_t nloads, loads_cap;
	uint32_t *last;              /* by number of a charge: its last in `load`, index + 1 */
	size_t nlast, last_cap;
	uint32_t *pooled;            /* numbers of all lots of pool lines */
	size_t npooled, pooled_cap;
	struct kiln_set *set;        /* every set line with a stage */
	size_t nsets, sets_cap;
	struct kiln *kiln;
	size_t nkilns, kilns_cap;
	struct charge *charge;
	size_t ncharges, charges_cap;
	uint32_t *charge_of;         /* by number: charge index + 1 */
	uint32_t *kiln_of;           /* by number: kiln index + 1 */
	bool *watched;               /* by number: lots of which `parts` is kept */
	struct charge_content content;
	uint32_t *touched;           /* charges that had flows on the day in hand */
	size_t ntouched, touched_cap;
	uint32_t *plugged;           /* series by the day they start */
	uint32_t *next_of;           /* by series: an earlier one of the same part, index + 1 */
	struct left_in *left;        /* probes that the day in hand left in */
	size_t nleft, left_cap;
	struct kilns_held *held;     /* diagnostics that wait for the end: stock may yet turn out doubtful */
	size_t nheld, held_cap;
	int32_t day;                 /* the day in hand */
	size_t next_set, next_series;
};

void kilns_init(struct kilns *k, struct symbols *symbols, struct suppress *suppress, struct diags *diags);
void kilns_release(struct kilns *k);

/* Keeps a load line, a set line with a stage, or which lots are pooled; other lines are let pass. */
void kilns_keep(struct kilns *k, const struct line *l);

/*
 * After the last line and before stock_run(): reports charges in two kilns, and gets ready for the
 * flows. `probes` have ended.
 */
void kilns_begin(struct kilns *k, const struct stock *stock, struct probes *probes);

/* The engine's sink; `context` is the struct kilns. */
void kilns_flow(void *context, const struct stock_flow *flow);

/* After stock_run(). */
void kilns_end(struct kilns *k);

#endif
