/*
 * cadence.h - how regularly readings come: gaps, a clock that was set, an interval that changed.
 *
 * A `struct cadence` watches one series of readings (instants in seconds). The usual interval is
 * given, or learned from the first CADENCE_LEARN steps as the most frequent one. A series in which
 * fewer than 6 in 10 steps are alike is irregular; then only a step of more than five times the
 * median is a gap. A reading at an extra time, after which the old times go on, is allowed:
 * instruments write one when a button is pressed.
 */
#ifndef WITHY_CADENCE_H
#define WITHY_CADENCE_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

enum { CADENCE_LEARN = 16 };

enum cadence_kind {
	CADENCE_GAP,       /* readings are missing between `from` and `to` */
	CADENCE_BACK,      /* the time of `to` is before that of `from`, which is an earlier row */
	CADENCE_SHIFT,     /* from `to` on the readings fall on other times, `by_s` later */
	CADENCE_INTERVAL,  /* from `from` on they come every `by_s` instead of every `interval_s` */
};

struct cadence_mark {
	int64_t t_s;
	uint64_t line;
	uint32_t file;
};

struct cadence_find {
	enum cadence_kind kind;
	struct cadence_mark from, to;
	int64_t by_s;          /* GAP: how long; BACK: how far, positive; SHIFT, INTERVAL as above */
	int64_t missing;       /* GAP: readings, 0 when the series is irregular */
	int64_t interval_s;    /* the usual one; BACK: the last step before it */
};

struct cadence_finds {
	struct cadence_find *row;
	size_t n, cap;
};

struct cadence {
	int64_t interval_s;    /* 0: not known yet; < 0: do not watch */
	bool told, irregular;
	struct cadence_mark last, anchor, odd;
	bool have, has_odd;
	struct cadence_mark learn[CADENCE_LEARN + 1];
	size_t nlearn;
	int64_t step_s;        /* the last one forward */
	int64_t run_s;         /* steps alike so far */
	int run;
	struct cadence_mark run_from;
	struct cadence_find held[3];
	size_t nheld;
};

/* `interval_s` > 0 is the usual interval; 0: it is learned; < 0: nothing is watched. */
void cadence_init(struct cadence *c, int64_t interval_s);

/*
 * One more reading. What is found is added to `out`; the end of a gap may be reported a few readings
 * later. With `again`, a step back is not the clock's (a second export of the same time).
 */
void cadence_add(struct cadence *c, struct cadence_mark at, bool again, struct cadence_finds *out);

/* The last reading was added: what was held back is reported. */
void cadence_end(struct cadence *c, struct cadence_finds *out);

#endif
