/*
 * stock_greedy.h - the run of clause 7.7 of book(5): lines of a group one by one, without looking ahead.
 *
 * A line that cannot be applied is tried again only after a line that changed something at its place, so
 * that a day of very many lines takes no square of them.
 */
#ifndef WITHY_STOCK_GREEDY_H
#define WITHY_STOCK_GREEDY_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

struct stock;
struct stock_search;

/* Applies a line by its position; false if it cannot be. */
typedef bool stock_greedy_apply(struct stock *s, struct stock_search *g, uint32_t at);

/*
 * Applies lines as long as one can be, always the first by key whose turn may come by its time, and puts
 * them into g->order, g->ordered of them. Gives up after `tries`.
 */
void stock_greedy(struct stock *s, struct stock_search *g, stock_greedy_apply *apply, size_t tries);

#endif
