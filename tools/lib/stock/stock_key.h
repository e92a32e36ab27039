/*
 * stock_key.h - the sort key of a day's lines: clause 7.4 of book(5).
 */
#ifndef WITHY_STOCK_KEY_H
#define WITHY_STOCK_KEY_H

#include <stddef.h>
#include <stdint.h>

struct stock;

/*
 * Compares two ops of one day: below 0 if a comes first, 0 if they are the same line but for their
 * comments. Neither the file nor the place in it counts.
 */
int stock_key_order(const struct stock *s, uint32_t a, uint32_t b);

/* Sorts op[0..n) by their keys; `spare` has space for as many. Lines of the same key keep their order. */
void stock_key_sort(const struct stock *s, uint32_t *op, uint32_t *spare, size_t n);

#endif
