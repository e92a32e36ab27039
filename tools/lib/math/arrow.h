/*
 * arrow.h - symmetric systems of the shape of an arrow: unknowns that all share, and groups of own ones.
 *
 * The unknowns of a group go with the shared ones and with one another, and with those of no other group.
 * Only these parts are kept, and work and memory grow with the number of groups. The results are those of
 * the whole matrix, shared unknowns first, by least_squares.h. Vectors go in that order too. Of a
 * symmetric part only the lower triangle is looked at. Matrices go row by row.
 *
 * Of the shared unknowns the last ones may go with nothing at all (`coupled`): the work is then that of the others.
 */
#ifndef WITHY_ARROW_H
#define WITHY_ARROW_H

#include <stdbool.h>
#include <stddef.h>

enum { ARROW_SHARED_MOST = 16, ARROW_OWN_MOST = 4 };

struct arrow {
	size_t shared, own, groups, n;  /* n = shared + own * groups */
	size_t coupled;                 /* shared unknowns but for those, the last, of which only the diagonal in `top` is not 0; the caller may set it */
	double *top;                    /* shared * shared; arrow_root() turns it into its root; all that follow are in its memory */
	double *side;                   /* of each group, own * shared */
	double *block;                  /* of each group, own * own */
	double *pivot, *reach;          /* of arrow_root(): the roots of the groups, and how earlier unknowns reach later ones */
	double *inverse;                /* of arrow_root(): the inverse's part of the shared unknowns */
};

/* All values are 0. `shared` and `own` are within the bounds above. */
void arrow_init(struct arrow *a, size_t shared, size_t own, size_t groups);
void arrow_release(struct arrow *a);
void arrow_clear(struct arrow *a);

/* Sets top, side and block to those of one of the same sizes, the diagonal times `diagonal`. */
void arrow_copy(struct arrow *to, const struct arrow *from, double diagonal);

/* Prepares for what follows. False, and the answers undefined, where the matrix is not positive definite. */
bool arrow_root(struct arrow *a);

/* After arrow_root(): the logarithm of the determinant. */
double arrow_log_determinant(const struct arrow *a);

/* After arrow_root(): fit_solve() and fit_spread(). */
void arrow_solve(const struct arrow *a, double *b);
void arrow_spread(const struct arrow *a, double *z);

/* After arrow_root(): the diagonal of the inverse at the unknowns of one group. */
void arrow_variances(const struct arrow *a, size_t group, double *variance);

/* After arrow_root(): the inverse's part of the shared unknowns and those of one group, shared + own rows. */
void arrow_inverse(const struct arrow *a, size_t group, double *inverse);

#endif
