/*
 * assignment.h - the best assignment of rows to columns: as many pairs as can be, and of those the least total cost.
 *
 * Each row and each column is one thing or several that are alike. A pair that is not allowed has the cost
 * ASSIGNMENT_NEVER. The answer is exact. Of equally good answers it takes one that depends on the order of rows and columns
 * alone; so sort them before.
 *
 * The method is successive shortest paths with potentials (Tomizawa 1971; Edmonds and Karp 1972), in a dense matrix as by
 * Jonker and Volgenant (1987). Each row may also stay without a column, at a cost above that of any assignment. Rows are
 * brought in one after another; each goes the cheapest way there is, and others make room. A search takes time in
 * proportion to the matrix; there are about as many searches as rows.
 */
#ifndef WITHY_ASSIGNMENT_H
#define WITHY_ASSIGNMENT_H

#include <stddef.h>
#include <stdint.h>

#include "base/int128.h"

#define ASSIGNMENT_NEVER ((int128)-1)

struct assignment {
	size_t rows, cols;
	const int64_t *row_n, *col_n;  /* how many there are of each, none below 0; NULL: one of each */
	const int128 *cost;            /* by row, then column; 0 or above. The greatest, times how many pairs there can be, is below 2^125 */
};

struct assignment_pair {
	size_t row, col;
	int64_t n;
};

/* Returns the pairs by row, then column, which the caller frees; *n counts them. */
struct assignment_pair *assignment_solve(const struct assignment *a, size_t *n);

#endif
