/*
 * numeric.h - roots and integrals of functions, and the nodes of Gauss and Legendre.
 *
 * They are those of the GNU Scientific Library. What the library cannot find gives NAN, never an abort.
 * `context` is handed to the function as it is.
 */
#ifndef WITHY_NUMERIC_H
#define WITHY_NUMERIC_H

#include <stdbool.h>
#include <stddef.h>

/* A root of f between low and high, to `within`, where f has different signs at the two; NAN when it has not. */
double numeric_root(double (*f)(double x, void *context), void *context, double low, double high, double within);

/* The integral of f from low to high, to 1e-11 of itself; NAN when that is not reached. */
double numeric_integral(double (*f)(double x, void *context), void *context, double low, double high);

/* The `n` nodes between low and high, and their weights. False for lack of memory. */
bool numeric_nodes(double low, double high, size_t n, double *x, double *weight);

#endif
