/*
 * stock_search.h - the order of a group of lines: clauses 7.5 and 7.7 of book(5).
 *
 * The search is exact: it finds the first valid order, or that there is none. It looks ahead depth first
 * and never twice into a state that it has left; the state is the lines that are applied and all counts
 * of pieces. A line that no line to come can hinder is applied as soon as it can be, so that lines which
 * do not depend on each other are not tried in all their orders. Lines that say the same are one line that
 * comes so many times. No order is followed in which a single batch can no longer come out right. Where the
 * search is too long, it says so.
 */
#ifndef WITHY_STOCK_SEARCH_H
#define WITHY_STOCK_SEARCH_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "stock/stock_levels.h"

struct stock;

enum stock_found { ORDER_FOUND, ORDER_NONE, ORDER_UNKNOWN };

enum {
	SEARCH_SURE = 12,      /* lines of a group that is always decided */
	SEARCH_MOST = 100000,  /* lines that are applied on trial for a larger one */
	SEARCH_LINES = 2048    /* lines of the largest group that is searched, and in which each is tried in each place */
};

struct stock_search_frame;

/* A group. Lines are known by their positions in op[], which is sorted by key. */
struct stock_search {
	uint32_t *op;
	size_t n;
	struct stock_reaches *all;
	struct stock_reach *reach;
	struct stock_reach *settled; /* the same where it is known which batch they are about */
	bool *done;                /* applied, or set aside */
	uint32_t *order;           /* the order that was found: positions */
	size_t ordered;            /* how many of them */
	bool free_times;           /* as if no line had a time */
	size_t tries;              /* that are left */
	/* private */
	uint32_t begin, untimed;   /* the first line that is not done; the first without a time */
	uint64_t *alike;           /* for a state: the same random bits for lines that say the same */
	uint64_t *hinders;         /* rows of `words` words: the lines that can hinder it; NULL before they are asked for */
	uint64_t *left;            /* the lines that are not done */
	size_t words;
	struct stock_levels levels;
	struct stock_search_frame *frame;
	uint32_t *trial;
	uint64_t lines;            /* of the state: the sum of the bits of the lines applied */
	uint64_t *dead;            /* states from which no order leads on */
	size_t ndead, dead_cap;
	struct hash_index dead_index;
};

/* Begins the group op[0..n), which is sorted by key; op and reach are the caller's and stay. */
void stock_search_init(struct stock_search *g, struct stock *s, uint32_t *op, size_t n, struct stock_reaches *all, struct stock_reach *reach);
void stock_search_release(struct stock_search *g);

/* Sets a line aside: it has no part in the group any more. */
void stock_search_set_aside(struct stock_search *g, uint32_t at);

/* The first line at or after `from` that may come next by its time; UINT32_MAX when there is none. */
uint32_t stock_search_candidate(const struct stock *s, const struct stock_search *g, uint32_t from);

/*
 * Applies lines as long as one can be, always the first by key, and fills g->order. The state is then
 * that after them, doubts too: stock_search_back() undoes it. Whether that was all of them.
 */
bool stock_search_greedy(struct stock *s, struct stock_search *g);
void stock_search_back(struct stock *s, struct stock_search *g);

/* Finds the first valid order; any valid order. The state is left as it was. */
enum stock_found stock_search_first(struct stock *s, struct stock_search *g);
enum stock_found stock_search_any(struct stock *s, struct stock_search *g);

#endif
