/*
 * stock.h - where every piece is: the book's stock lines, put in order and carried out.
 *
 * Pieces are counted in buckets: so many of one lot, form, type, grade and weight class at one place.
 * A lot takes in a bat, which is a lot of one; a place takes in a charge while it holds pieces, and the
 * two ends that no line names: `sold`, where the pieces are that each party was sold, and `culled`.
 *
 * Lines are handed in in any order (stock_add), packed, and judged by stock_run: day by day, and within a day
 * in the order of clause 7 of book(5), to which the order of the file means nothing. Of the lines in full there are
 * only those of a day, and of the packed ones there are some megabytes in memory (stock_log.h). So memory follows the
 * ids and the pieces that there are, and not the lines.
 *
 * Sums of pieces fit: a line has under 2^12 items of a type, each of 10^9 at the most, so it takes
 * over two million of the longest lines, 140 GB, to come near 2^63.
 *
 * A line that cannot be carried out is a fault and changes nothing. What it names is doubtful from there
 * on, and later faults of that are counted with the first.
 */
#ifndef WITHY_STOCK_H
#define WITHY_STOCK_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "base/intern.h"
#include "book/vocab.h"
#include "stock/stock_log.h"

struct diags;
struct event_def;
struct house;
struct line;
struct stock_id;
struct stock_state;

#define STOCK_ANY UINT32_MAX

/* What a piece is and where. type, grade and class are ids, 0 for none; party is whom it was sold to, else 0. */
struct stock_kind {
	uint32_t lot, place, type, grade, class, party;
	int32_t form;              /* FORM_... */
};

struct stock_bucket {
	struct stock_kind kind;
	int64_t n;
	int32_t since;             /* the day on which the oldest of them took this form */
	uint32_t next;             /* another bucket of this lot and place: index + 1 */
};

/* One item of count=, cull= or a pool's lot=. */
struct stock_item {
	union {
		uint32_t type;     /* what they become, or STOCK_ANY for unchanged */
		uint32_t word;     /* the cause of a cull, the lot of a pool; grade is STOCK_ANY */
	};
	uint32_t grade, class;     /* as type */
	int32_t n;
};

#define STOCK_UNTIMED INT32_MIN

/* A stock line. Its items are in stock.item, and in that of the walk if one gave it. */
struct stock_op {
	const struct event_def *event;
	int32_t day;
	int32_t second;            /* the instant, from 00:00 UTC of the day on (stock_op_utc_s()), or STOCK_UNTIMED */
	uint64_t line;
	uint32_t file;
	uint32_t whose_col, whose_end; /* where the lot is named, or else the subject */
	uint32_t count_col, count_end; /* where count= is, or else cull=, or 0 */
	uint32_t ncounts, nculls;
	int32_t form;              /* picked: FORM_..., or -1 for any */
	bool counted;              /* the line has count= */
	bool measured;             /* a sale of a by-product, or by volume or mass: nothing but a bat goes */
	bool misfits;              /* it takes a handle that does not fit where no other is: no order gives it one that does */
	bool uncounted;            /* it should have count=, but for a bat, and has none */
	int32_t found, since;      /* of a tally; since: the day from which those found have had their form */
	uint32_t subject, lot;     /* lot: whose pieces, or STOCK_ANY (a charge that holds one kind) */
	uint32_t at;               /* a place, or STOCK_ANY */
	uint32_t into;             /* where they go; STOCK_ANY: they stay */
	uint32_t type, grade, class; /* picked: an id, 0 for none, or STOCK_ANY */
	uint32_t blade, handle;    /* of a bat that is made: their lots; of one that gets a handle: itself and the handle's */
	union {
		uint32_t tree;     /* of clefts that come in: their tree, or 0 */
		uint32_t party;    /* of what is sold or comes back: to whom, from whom, or STOCK_ANY */
	};
	uint32_t order, by;        /* for= and by=, or 0 */
	uint32_t nrest;            /* bytes of stock_log_rest(), which has its other fields */
	uint32_t counts, culls;    /* where its items begin */
	size_t at_log;             /* where it is in the log, so that it is the same line if this is the same */
};

static inline uint64_t stock_op_line(const struct stock_op *op)
{
	return op->line;
}

/* The instant in seconds since 1970 UTC; INT64_MIN when no time is written. */
static inline int64_t stock_op_utc_s(const struct stock_op *op)
{
	return op->second == STOCK_UNTIMED ? INT64_MIN : (int64_t)op->day * 86400 + op->second;
}

/* What happened to some pieces that were alike. */
enum stock_change {
	STOCK_BORN,        /* they came in; from.lot is 0 */
	STOCK_FOUND,       /* a tally found them */
	STOCK_GONE_ON,     /* they went on, as `to` */
	STOCK_LOST,        /* they were culled for `cause`; to.place is STOCK_CULLED */
	STOCK_JOINED,      /* a blade or a handle went into the bat `to` */
	STOCK_CAME_OFF     /* the old handle of a bat, `from`, was culled for `cause`; its lot is counted again */
};

struct stock_flow {
	enum stock_change change;
	const struct stock_op *op; /* valid up to the end of the next day of which there is a flow; its items for this flow alone */
	struct stock_kind from, to;
	int64_t n;
	uint32_t cause;    /* of a loss: its id */
};

typedef void stock_sink(void *context, const struct stock_flow *flow);

/* A short word of a count=, and what it says. */
struct stock_label {
	uint64_t word;
	struct stock_item what;
};

struct stock {
	struct intern ids;
	struct stock_log log;            /* all lines: see stock_walk_next() */
	struct stock_op *op;             /* in stock_run(): the lines of the day */
	struct stock_item *item;         /* of the line that is added, or of those of the day */
	size_t nitems, items_cap;
	uint32_t sold, culled;           /* the places that no line names */
	const struct house *house;       /* or NULL */
	uint32_t memo[16][FIELDS_END + 1]; /* by some bits of the event: the last word of each field, and of the subject */
	struct stock_sort {
		uint32_t word;
		bool grade;
	} sort[64];                      /* what house_is_grade() said lately, by word */
	struct stock_label label[64];    /* what stock_what() said lately */
	uint32_t *doubt;                 /* ids given to stock_doubt() */
	size_t ndoubts, doubts_cap;
	size_t nrefits;                  /* how many lines give a bat a new handle */
	struct stock_skip *skip;         /* lines given to stock_skip() */
	size_t nskips, skips_cap;
	struct stock_id *id;             /* what the lines so far say of each id */
	size_t ids_cap;
	int32_t last_added;              /* the day of the last line */
	int32_t last_graded;             /* the last day of a `grade` line, or INT32_MIN */
	bool disorder;                   /* a line came after one of a later day */
	struct stock_state *state;         /* what stock_run() works with */
};

/* `house` may be NULL; it says what is a grade and what is a by-product. */
void stock_init(struct stock *s, const struct house *house);

void stock_release(struct stock *s);

/*
 * Before stock_add() of a line of that event: numbers (0: none) that its subject and its lot= may have in `ids`, where
 * the caller has looked words up there. Right ones save the engine from doing so again.
 */
void stock_guess(struct stock *s, const struct event_def *event, uint32_t subject, uint32_t lot);
void stock_guess_subject(struct stock *s, const struct event_def *event, uint32_t subject);

/* Takes a good line in, if its event moves pieces. `utc_s` is its instant; unused when untimed. */
void stock_add(struct stock *s, const struct line *l, int64_t utc_s);

/*
 * Both are called before stock_run(). stock_doubt(): a fault of this lot was already reported, so its
 * faults are not reported. stock_skip(): the line at that place is there by mistake, so it is
 * not carried out.
 */
void stock_doubt(struct stock *s, uint32_t lot);
void stock_skip(struct stock *s, uint32_t file, uint64_t line);

/* After stock_run(): whether a fault, or stock_doubt(), made the lot doubtful. */
bool stock_is_doubtful(const struct stock *s, uint32_t id);

/*
 * Carries out all lines up to and including `last_day`, reporting to `sink` (may be NULL) every
 * flow in the order in which it happened. To be called once.
 */
void stock_run(struct stock *s, int32_t last_day, stock_sink *sink, void *context);

/* Instead of it, for a stock without lines: has these buckets, of ids of s->ids. */
void stock_restore(struct stock *s, const struct stock_bucket *bucket, size_t n);

/* Puts what did not add up into `d`; returns how many lines that was, later ones included. */
size_t stock_tell(struct stock *s, struct diags *d);

/* The buckets that hold pieces after stock_run(), in no order that may show. */
const struct stock_bucket *stock_buckets(const struct stock *s, size_t *n);

/* The text of an id of the engine; empty for 0. */
struct slice stock_text(const struct stock *s, uint32_t id);

/*
 * Goes through all lines that were added, in the order of the input:
 *
 *	struct stock_walk walk = { .stock = s };
 *
 *	while ((op = stock_walk_next(&walk)))
 *		...
 *	stock_walk_release(&walk);
 *
 * An op is valid until the next call, with its items in walk.items.v. Neither what stock_skip() nor what the other lines
 * say of it is seen here.
 */
struct stock_walk {
	const struct stock *stock;
	size_t at;
	struct stock_op op;
	struct stock_items items;
	struct spill_view view;
};

const struct stock_op *stock_walk_next(struct stock_walk *walk);
void stock_walk_release(struct stock_walk *walk);

/* What the lines that were added, those of stock_skip() too, say of an id. */
enum stock_said {
	STOCK_SAID_CHARGE = 1,     /* pieces are loaded into it */
	STOCK_SAID_ALONE = 2,      /* a line is about pieces there and names no lot */
	STOCK_SAID_ISSUED = 4,     /* pieces are issued into it */
	STOCK_SAID_BACK = 8        /* pieces of this lot come back from who bought them */
};

/* The bits of enum stock_said that hold. */
unsigned stock_said_of(const struct stock *s, uint32_t id);

/* Splits WHAT of `count=WHAT:n` into type, grade and class; STOCK_ANY where it does not say. */
void stock_what(struct stock *s, struct slice what, struct stock_item *item);

/* Whether the op gives a bat a new handle. */
static inline bool stock_op_refits(const struct stock_op *op)
{
	return op->event->stock.take == TAKE_PAIR && op->event->stock.number == NUMBER_CULL;
}

#endif
