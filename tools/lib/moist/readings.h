/*
 * readings.h - the moisture readings of a book, corrected, and what each is of.
 *
 * Every item of `mc` in a probe, judge or make, and every pair of masses in an oven test, is one
 * reading. It is collected in no order: the lines that say which piece it is of (that an id is a charge,
 * which lot a probe was put into, which blade is in a bat) may be anywhere. So readings are only
 * noted down, and given out again by readings_next() when all is read and readings_resolve() has
 * brought together these facts. Two collections are added by readings_merge(), or by way of a
 * state (partial.h), to the same whole.
 *
 * A metered reading is corrected by the house's rule for its meter (meter.h). The oven's figure
 * is the moisture itself, and the reading of a meter that an oven line also has is not a second one.
 *
 * Memory depends on the facts, and not on the number of readings: each id once (intern_compact.h), 24
 * bytes for each time that a probe was put in and each bat, and READINGS_HELD bytes of the notes. The
 * rest, 32 bytes a reading, is in a file of the system's temporary folder (spool.h).
 */
#ifndef WITHY_READINGS_H
#define WITHY_READINGS_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "base/intern_compact.h"
#include "base/spool.h"
#include "moist/lot_readings.h"
#include "table/group.h"
#include "time/zone.h"

struct house;
struct line;
struct reading_fact;
struct readings_meter;
struct readings_part;

enum { READINGS_HELD = 512 * 1024 };

enum { READING_UNCORRECTED = 1, READING_DOUBTFUL = 2, READING_OVEN = 4 };

/* Numbers are of `names` and `frames`. */
struct reading {
	int64_t utc_s;            /* an untimed one is taken at noon */
	int32_t mc;               /* 0.0001 %; of an off-scale one the scale's end */
	int32_t day;
	uint32_t subject, label, frame;
	uint16_t n;               /* so many, all alike */
	uint8_t mark;             /* VALUE_EXACT, _ABOVE, _BELOW or _ABSENT */
	uint8_t flags;            /* READING_... */
};

/* What else a line says of its readings. It has no gaps: its bytes are its identity. */
struct reading_frame {
	int64_t depth;            /* 0.0001 mm, how deep the pins were; HOUSE_NONE where it is not said */
	uint32_t event, at, lot, form, meter, nothing;
};

enum { READINGS_MET = 256, READINGS_SHORT = 16 };

/* A short name that was met lately, as its first and last bytes; n is 0 for none. */
struct readings_met {
	uint64_t first, last;
	uint32_t n, id;
};

/* Which readings, and whether it will be asked which lot or part they are of. */
struct readings_want {
	int32_t from, to;         /* days, both counted in */
	bool lots;
};

struct readings {
	const struct house *house; /* or NULL */
	const struct zone *zone;
	struct zone_memo memo;
	struct readings_want want;
	bool lots_only;           /* the caller's to set after readings_init(): what is read of a lot, and of its judged pieces, is added up in `lots` */
	struct lot_readings lots; /* and not given out by readings_next(); see reading_of_lot() */
	struct intern_compact names, frames;
	uint8_t *marks;           /* by name: whether it is a charge, whether it is of handles */
	size_t marks_cap;
	struct reading_fact *fact;
	size_t nfacts, facts_cap;
	struct spool log;
	struct readings_part *part; /* merged logs, in numbers of their own */
	size_t nparts, parts_cap;
	size_t reading;           /* which log readings_next() is at */
	struct slice rest;        /* of its piece */
	uint32_t frame;           /* what was met last, and is mostly met next */
	struct readings_met met[READINGS_MET]; /* names that were met lately, by some bits of them */
	uint32_t *lot_of;         /* by name: that of a piece's lot, else the name itself; of readings_resolve() */
	uint64_t notes;           /* how many there are, merged ones too */
	uint32_t *first_start;    /* see reading_facts */
	struct reading_frame *frame_at; /* likewise */
	struct readings_meter *meter; /* the rule of the last meter */
	int error;                /* the errno of why the notes cannot be held or read back, or 0 */
};

void readings_init(struct readings *r, const struct house *house, const struct zone *zone, struct readings_want want);
void readings_release(struct readings *r);

/* Takes a good line of any event; those that say nothing of moisture are passed over. See r->error. */
void readings_take(struct readings *r, const struct line *l);

/*
 * Adds those of `from`, which is of the same house, clock and wants, was not merged into before, and is good for
 * nothing after but its release.
 */
void readings_merge(struct readings *into, struct readings *from);

/*
 * In part, for who takes only the lines of some pieces by readings_take(): what any line says of lots and charges as such. It may be
 * given all lines.
 */
void readings_take_marks(struct readings *r, const struct line *l);

/*
 * The next of all readings, once each and in no order; false at the end, and when they cannot be
 * read back (r->error). Nothing may be taken or merged after.
 */
bool readings_next(struct readings *r, struct reading *row);

/* Makes the next reading the first one again. */
void readings_again(struct readings *r);

/*
 * A walk over all readings of its own, for several threads at once: after readings_settle(), which is called once. It is {0} but
 * for `readings` at first; false at the end, and when they cannot be read back (walk->spool.error, readings->error).
 */
struct readings_walk {
	const struct readings *readings;
	size_t log;               /* which it is at */
	struct slice rest;        /* of its piece */
	struct spool_walk spool;
};

void readings_settle(struct readings *r);
bool readings_walk_next(struct readings_walk *w, struct reading *row);
void readings_walk_release(struct readings_walk *w);

struct slice readings_name(const struct readings *r, uint32_t id);
struct reading_frame readings_frame(const struct readings *r, uint32_t id);

/*
 * Whether `a` goes before `b` of what is read of one piece: the later, of equal ones the wetter, then
 * by all else that it says, in an order that does not depend on numbers.
 */
bool reading_is_before(const struct readings *r, const struct reading *a, const struct reading *b);

/*
 * The two sets that a state has of them, and the way there and back. Packing uses readings_next() up.
 * A row of the first set is added by readings_unpack_row(), one of the other by
 * readings_unpack_fact(): false when no filter wrote it. A packed set holds every reading that differs.
 */
extern const struct groups_plan readings_plan, readings_facts_plan;
void readings_pack(struct readings *r, struct groups *rows, struct groups *facts);
bool readings_unpack_row(struct readings *r, const struct slice *key, int64_t n);
bool readings_unpack_fact(struct readings *r, const struct slice *key);

/* What a reading is of. Numbers are of `names`; what is not known is 0, or empty. */
struct reading_of {
	uint32_t charge;
	uint32_t place;       /* the charge, while it holds the piece */
	uint32_t part;        /* `blade` or `handle`: what it is, or is to become */
	uint32_t form;        /* `cleft`, `blade` or `handle` as it was when read, where the line says so */
	uint32_t meter;       /* with its setting */
	uint32_t a, b;        /* what is read again and again, in words `a` or `a b`: the probe, the piece, the bat */
	bool at_random;       /* it is any piece of the charge `a`, of the lot `a`, or of the lot `a` in place `b` */
	bool single;          /* a blade that was judged, or a part of a bat */
	struct slice lot;     /* holds as long as the readings */
	uint32_t lot_name;    /* its number, where it has one */
	int64_t depth;        /* as in its frame */
};

struct reading_facts {
	struct readings *readings;
	const struct reading_fact *start, *bat;
	size_t nstarts, nbats;
	const uint32_t *first_start; /* by the number of a charge, and one more; NULL when no probe was put in */
	const struct reading_frame *frame; /* by number */
	uint32_t blade, handle, cleft, none; /* the numbers of these words; none: "-" */
};

/* Brings the facts together. Nothing may be taken or merged after. It owns nothing; any number of threads may ask what a reading is of. */
struct reading_facts readings_resolve(struct readings *r);
struct reading_of reading_of(const struct reading_facts *f, const struct reading *row);

/* The same for a row of `lots`; only its lot and its part are known. */
struct reading_of reading_of_lot(const struct reading_facts *f, const struct lot_day *row);

/* A number that all readings have in common whose `a` or charge is the same, for who shares readings out: that of a lot, or of `a`. */
uint32_t reading_root(const struct reading_facts *f, const struct reading *row);

/* Adds its `a`, `a b` or `a at b`. */
void reading_source_write(const struct readings *r, struct buf *out, uint32_t a, uint32_t b, bool at_random);

#endif
