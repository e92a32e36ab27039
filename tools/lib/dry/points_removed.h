/*
 * points_removed.h - by how many points of moisture content the wood of a charge dried, by its probes.
 *
 * Each probe that was read twice or more gives its first reading less its last, both corrected. The probes are a sample of the
 * charge: of several, the mean has a 95 % interval by Student's t. Probes in one stack are alike, so this is the best case.
 */
#ifndef WITHY_POINTS_REMOVED_H
#define WITHY_POINTS_REMOVED_H

#include <stdbool.h>
#include <stddef.h>

struct dry_case;

struct points_removed {
	size_t probes;
	double mean, half;         /* points; the mean is NAN without such a probe; half of one probe is */
	bool above;                /* a first reading was beyond the scale, so that more went */
};

struct points_removed points_removed_of(const struct dry_case *c);

#endif
