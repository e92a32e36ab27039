/*
 * ascending.h - the longest run of numbers that ascend, which others may interrupt.
 *
 * Of lines that two versions of a file have in common these are the ones that kept their order.
 */
#ifndef WITHY_ASCENDING_H
#define WITHY_ASCENDING_H

#include <stdbool.h>
#include <stddef.h>

/*
 * Sets in[i] for the numbers of a longest strictly ascending run, and clears it for the others. SIZE_MAX
 * counts as no number. n log n steps.
 */
void ascending_mark(const size_t *number, size_t n, bool *in);

#endif
