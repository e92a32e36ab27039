/*
 * individuals.h - the control chart of single values: natural limits from their moving range.
 *
 * Source: NIST/SEMATECH e-Handbook 6.3.2.2.2: the limits are the mean and 3 times the mean moving range of two neighbours divided by 1.128.
 */
#ifndef WITHY_INDIVIDUALS_H
#define WITHY_INDIVIDUALS_H

#include <stdbool.h>
#include <stddef.h>

enum { INDIVIDUALS_LEAST = 5 }; /* fewer show no range */

struct individuals {
	double centre, low, high;
};

/* Values in their order in time; false for fewer than INDIVIDUALS_LEAST. */
bool individuals_of(const double *v, size_t n, struct individuals *limits);

#endif
