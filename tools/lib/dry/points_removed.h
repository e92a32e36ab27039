/*
 * points_removed.h - by how many points of moisture content the wood of a charge dried, by its probes.
 *
 * Each probe that was read on two days or more gives its first reading less its last, both corrected. One that was moved gives that
 * of each piece it was in, one after another. What its readings leave out, before the first of a probe that was put in late, between
 * two pieces and while it was in and not read any more, is what the charge lost in the mean meanwhile: of the probes read before and
 * after, each by a straight line between its readings. Where there is none, that is the mean of the last readings before less the
 * mean of the first ones after. After a probe came out for good nothing is added, for its piece mostly came out too.
 *
 * The probes are a sample of the charge: of several, the mean has a 95 % interval by Student's t. Each counts by the part of its
 * points that it saw itself, and their number is rounded. Probes in one stack are alike, so this is the best case.
 */
#ifndef WITHY_POINTS_REMOVED_H
#define WITHY_POINTS_REMOVED_H

#include <stdbool.h>
#include <stddef.h>

struct dry_case;

struct points_removed {
	size_t probes;             /* that were read on two days or more */
	double mean, half;         /* points; the mean is NAN without such a probe; half of one probe is */
	bool above;                /* a first reading was beyond the scale, so that more went */
};

struct points_removed points_removed_of(const struct dry_case *c);

#endif
