/*
 * stock_doubt.h - what a line that cannot be applied makes doubtful: clause 6.8 of book(5).
 */
#ifndef WITHY_STOCK_DOUBT_H
#define WITHY_STOCK_DOUBT_H

#include <stddef.h>
#include <stdint.h>

struct stock;
struct stock_op;

/* The fault that makes something doubtful that the op names (index + 1), or 0. */
uint32_t stock_doubt_of(const struct stock *s, const struct stock_op *op);

/*
 * Makes doubtful all that the op names: its lots, bats and charges. lots[0..n) are those of its charge,
 * if it names no lot. What is doubtful already keeps its fault.
 */
void stock_doubt_all(struct stock *s, const struct stock_op *op, const uint32_t *lots, size_t n, uint32_t fault);

/* After an op was applied: doubt follows its pieces. */
void stock_doubt_follow(struct stock *s, const struct stock_op *op);

#endif
