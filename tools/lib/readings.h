/*
 * readings.h - the moisture readings of a book, corrected, and what each is of.
 *
 * Every item of `mc` in a probe, judge or make, and every pair of masses in an oven test, is one
 * reading. It is collected in no order: the lines that tell what it is of (that an id is a charge,
 * which lot a probe was put into, which blade is in a bat) may stand anywhere, so they are kept
 * beside the readings and brought together by readings_resolve() when all is read. Two collections
 * are added by readings_merge(), or by way of a state (state.h), to the same whole.
 *
 * A metered reading is corrected by the house's rule for its meter (meter.h). The oven's figure
 * is the moisture itself, and the reading of a meter that an oven line also has is not a second one.
 *
 * Memory: 32 bytes a reading, and the texts that differ once.
 *
 * Needs text.h, vocab_words.h, vocab.h, value.h, stamp.h, diag.h, parse.h, zone.h, house_words.h,
 * house.h, intern.h, wide.h, stats.h and group.h before it.
 */
#ifndef WITHY_READINGS_H
#define WITHY_READINGS_H

enum { READING_UNCORRECTED = 1, READING_DOUBTFUL = 2, READING_OVEN = 4 };

struct reading {
	int64_t utc_s;        /* an untimed one stands at noon */
	int64_t mc;           /* 0.0001 %; of an off-scale one the scale's end */
	int32_t day;
	uint32_t origin;      /* the event, its subject, the label and so on, in `origins` */
	uint8_t mark;         /* VALUE_EXACT, _ABOVE, _BELOW or _ABSENT */
	uint8_t flags;        /* READING_... */
};

struct readings {
	const struct house *house; /* or NULL */
	const struct zone *zone;
	struct zone_memo memo;
	struct reading *row;
	size_t n, cap;
	struct intern origins, facts; /* cells joined by tabs */
};

void readings_init(struct readings *r, const struct house *house, const struct zone *zone);
void readings_release(struct readings *r);

/* Takes a good line of any event; those that say nothing of moisture are passed over. */
void readings_take(struct readings *r, const struct line *l);

/* Adds those of `from`, which is of the same house and clock and good for nothing after but its release. */
void readings_merge(struct readings *into, struct readings *from);

/* The two sets that a state has of them, and the way there and back. */
extern const struct groups_plan readings_plan, readings_facts_plan;
void readings_pack(const struct readings *r, struct groups *rows, struct groups *facts);
bool readings_unpack(struct readings *r, const struct groups *rows, const struct groups *facts);

/* What a reading is of. What is not known is empty. Slices hold as long as the readings. */
struct reading_of {
	struct slice charge, lot;
	struct slice place;   /* the charge, while it holds the piece */
	struct slice part;    /* blade or handle: what it is, or is to become */
	struct slice piece;   /* which one it is, in words: the probe, the piece, the bat; empty of one at random */
	struct slice meter;   /* with its setting */
	struct slice form;    /* cleft, blade or handle as it was when read, where the line says so */
	int64_t depth;        /* 0.0001 mm, how deep the pins were; HOUSE_NONE where it is not said */
	bool single;          /* a blade that was judged, or a part of a bat */
};

struct reading_facts;

/* Brings together what was told. Nothing may be taken or merged after. */
struct reading_facts *readings_resolve(const struct readings *r);
void reading_facts_free(struct reading_facts *f);
struct reading_of reading_of(struct reading_facts *f, const struct reading *row);

#endif
