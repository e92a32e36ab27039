/*
 * plausible.h - whether the readings of one sensor are those of a working one, one after another.
 *
 * Three things are found, each once until it is over: a value outside what can be, a change between
 * readings at most an hour apart that is too large, and one value shown for too long and in
 * PLAUSIBLE_STUCK_LEAST readings or more. The order in time
 * may run backwards, as in an export with the newest reading first.
 */
#ifndef WITHY_PLAUSIBLE_H
#define WITHY_PLAUSIBLE_H

#include <stdbool.h>
#include <stdint.h>

enum { PLAUSIBLE_SENSORS = 2, PLAUSIBLE_STUCK_LEAST = 24 }; /* sensors of air: temperature, humidity */

struct plausible_sensor {
	bool have, outside, stuck;
	int64_t t_s, since_s;        /* of the last reading, and of the first with its value */
	uint64_t since_line;
	int same;                    /* readings with its value; counted up to the least */
	int64_t value;               /* as house.h keeps them */
};

struct plausible_limits {
	int64_t low, high;           /* what can be */
	double jump;                 /* in steps of the value; HUGE_VAL: not watched */
	int64_t stuck_s;
};

enum { PLAUSIBLE_OUTSIDE = 1, PLAUSIBLE_JUMP = 2, PLAUSIBLE_STUCK = 4 };

/*
 * Takes the next reading; returns what is found of it, some of PLAUSIBLE_..., and puts the reading before
 * (of a jump) and the first of those with the value (of a stuck one) into *before.
 */
unsigned plausible_add(struct plausible_sensor *s, const struct plausible_limits *limits, int64_t t_s, int64_t value, uint64_t line,
	struct plausible_sensor *before);

#endif
