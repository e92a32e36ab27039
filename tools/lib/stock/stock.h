/*
 * stock.h - where every piece is: the book's stock lines, put in order and carried out.
 *
 * Pieces are counted in buckets: so many of one lot, form, type, grade and weight class at one place.
 * A lot takes in a bat, which is a lot of one; a place takes in a charge while it holds pieces, and the
 * two ends that no line names: `sold`, where the pieces are that each party was sold, and `culled`.
 *
 * Lines are handed in in any order (stock_add) and judged by stock_run: day by day, and within a day
 * in the order of clause 7 of book(5), to which the order of the file means nothing.
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

struct diags;
struct event_def;
struct house;
struct line;
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

/* There is one for every stock line of a book, so that it is kept small: 112 bytes. */
struct stock_op {
	const struct event_def *event;
	int32_t day;
	int32_t second;            /* the instant, from 00:00 UTC of the day on (stock_op_utc_s()), or STOCK_UNTIMED */
	uint32_t line;             /* its low bits: see stock_op_line() */
	uint32_t file : 24, line_high : 8;
	uint32_t whose_col : 17;   /* where the lot is named, or else the subject */
	uint32_t ncounts : 15;
	uint32_t whose_end : 17;
	uint32_t nculls : 15;
	uint32_t count_col : 17;   /* where count= is, or else cull=, or 0 */
	int32_t form : 8;          /* picked: FORM_..., or -1 for any */
	uint32_t count_end : 17;
	uint32_t rest_high : 8;
	bool counted : 1;          /* the line has count= */
	bool skipped : 1;          /* it is not carried out */
	bool measured : 1;         /* a sale of a by-product, or by volume or mass: nothing but a bat goes */
	bool uncounted : 1;        /* it should have count=, but for a bat, and has none */
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
	uint32_t rest;             /* the low bits of the place of its other fields, for its sort key: see stock_rest() */
	uint32_t counts, culls;    /* in stock.item */
};

static inline uint64_t stock_op_line(const struct stock_op *op)
{
	return (uint64_t)op->line_high << 32 | op->line;
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
	const struct stock_op *op;
	struct stock_kind from, to;
	int64_t n;
	uint32_t cause;    /* of a loss: its id */
};

typedef void stock_sink(void *context, const struct stock_flow *flow);

struct stock {
	struct intern ids;
	struct stock_op *op;
	size_t nops, ops_cap;
	struct stock_item *item;
	size_t nitems, items_cap;
	uint32_t sold, culled;           /* the places that no line names */
	const struct house *house;       /* or NULL */
	uint32_t memo[FIELDS_END + 1];   /* the last word of each field, and of the subject */
	struct buf rests;                /* the other fields of lines, by name, as written; a line end behind each */
	uint64_t rest_memo[64];          /* places in it, + 1, of some that were met lately */
	struct stock_sort {
		uint32_t word;
		bool grade;
	} sort[64];                      /* what house_is_grade() said lately, by word */
	uint32_t *doubt;                 /* ids given to stock_doubt() */
	size_t ndoubts, doubts_cap;
	size_t nrefits;                  /* how many ops give a bat a new handle */
	struct stock_state *state;         /* what stock_run() works with */
};

/* `house` may be NULL; it says what is a grade and what is a by-product. */
void stock_init(struct stock *s, const struct house *house);

/*
 * Before the first line: how many bytes of book there are to read, where that is known. Room is then
 * made in one go, of addresses rather than of memory, which comes as it is filled.
 */
void stock_expect(struct stock *s, uint64_t bytes);
void stock_release(struct stock *s);

/*
 * Before stock_add(): numbers (0: none) that the line's subject and its lot= may have in `ids`, where the
 * caller has looked words up there. Right ones save the engine from doing so again.
 */
void stock_guess(struct stock *s, uint32_t subject, uint32_t lot);

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

/* Puts what did not add up into `d`; returns how many lines that was, later ones included. */
size_t stock_tell(struct stock *s, struct diags *d);

/* The buckets after stock_run(), in no order that may show. Some are empty, and those may be of no lot (0). */
const struct stock_bucket *stock_buckets(const struct stock *s, size_t *n);

/* The text of an id of the engine; empty for 0. */
struct slice stock_text(const struct stock *s, uint32_t id);

/* The fields of a line that decide of nothing but its sort key, by name. */
struct slice stock_rest(const struct stock *s, const struct stock_op *op);

/* Splits WHAT of `count=WHAT:n` into type, grade and class; STOCK_ANY where it does not say. */
void stock_what(struct stock *s, struct slice what, struct stock_item *item);

/* Whether the op gives a bat a new handle. */
static inline bool stock_op_refits(const struct stock_op *op)
{
	return op->event->stock.take == TAKE_PAIR && op->event->stock.number == NUMBER_CULL;
}

#endif
