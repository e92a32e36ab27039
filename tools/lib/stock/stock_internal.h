/*
 * stock_internal.h - what the parts of the stock engine share; for stock*.c alone.
 *
 * Each file uses only those before it:
 *
 *	stock_log.c     keeps ops in few bytes
 *	stock_lines.c   reads them back by days
 *	stock_ops.c     turns lines into ops
 *	stock_index.c   finds buckets where there are very many
 *	stock.c         keeps the buckets and carries one op out
 *	stock_hint.c    says of a fault what the book has instead
 *	stock_key.c     the sort key of a line
 *	stock_reach.c   which lines of a day can change something for each other
 *	stock_settle.c  which batches the lines of a group can be about
 *	stock_levels.c  what the lines of a group need of single batches
 *	stock_greedy.c  the run of clause 7.7
 *	stock_search.c  finds the order of a group of lines
 *	stock_doubt.c   what a line that cannot be applied makes doubtful
 *	stock_day.c     takes a day apart into groups and applies them
 *	stock_run.c     stock_run(): goes through the days
 *	stock_report.c  stock_tell(): makes diagnostics of the faults
 */
#ifndef WITHY_STOCK_INTERNAL_H
#define WITHY_STOCK_INTERNAL_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "house/house.h"
#include "stock/stock.h"

struct stock_days;
struct stock_index;

enum stock_why {
	WHY_NOTHING, WHY_SHORT, WHY_ABSENT, WHY_AMBIGUOUS, WHY_TALLY, WHY_TALLY_UNKNOWN, WHY_AGAIN,
	WHY_NO_COUNT, WHY_NO_INTO, WHY_NOT_SOLD, WHY_OTHER_BUYER, WHY_MIXED, WHY_TWO_BATS,
	WHY_MISFIT,                    /* no handle there fits; never kept: the line takes one that does not */
	WHY_UNDECIDED,                 /* the search for an order was too long */
	WHY_REPORTED                   /* reported elsewhere: for the lots given to stock_doubt() */
};

/* Why an op cannot be carried out. */
struct stock_fault {
	enum stock_why why;
	uint32_t op, lot;          /* of the day's lines; lot: the one that is short, for a pool or a pair */
	size_t at_log;             /* where the line is in the log, once the fault is kept */
	uint32_t buyer;            /* WHY_OTHER_BUYER: whom it was sold to */
	int64_t have, need;
	bool order;                /* the day's lines fit in another order of their times */
	size_t later;              /* later faults of the same lots */
	size_t hint, hint_n;       /* in state.hints */
	size_t apart, apart_n;     /* of WHY_AMBIGUOUS: the fields to add, in state.hints */
};

/* A spot's neighbours in a chain: index + 1. */
struct stock_link {
	uint32_t next, prev;
};

/* All buckets of one lot at one place, in a chain; spots of a lot and of a place are chained too. */
struct stock_spot {
	uint32_t lot, place, first;          /* first bucket: index + 1 */
	struct stock_link of_lot, of_place;
};

enum stock_undo_what { UNDO_COUNT, UNDO_BORN, UNDO_DOUBT, UNDO_FITTED };

struct stock_skip {
	uint32_t file;
	uint64_t line;
};

struct stock_undo {
	enum stock_undo_what what;
	uint32_t at;               /* bucket, the id whose `born` or `fault` changed, or the bat whose handle did */
	int32_t since;             /* or the type of the handle */
	int64_t n;                 /* or the lot of the handle */
};

/* The handle of a bat; lot 0 when the book does not know. */
struct stock_fitted {
	uint32_t lot, type;
};

/* By id: where its spots are, how it came in, and whether it is doubtful. */
struct stock_id {
	uint32_t of_lot, of_place; /* first spot: index + 1; those of a place are only kept if it is_alone */
	uint32_t nspots;           /* how many spots it has as a lot */
	uint32_t fault;            /* the fault that made it doubtful: index + 1 */
	uint8_t born;              /* bits BORN_... */
	bool is_charge, is_bat;    /* some line loads into it; makes, buys or counts it as a bat */
	bool is_alone;             /* some line names it as a place, and no lot */
	bool is_issued_to;         /* some line issues pieces into it */
	bool comes_back;           /* pieces of it as a lot come back from who bought them */
	uint32_t day_mark, day_root; /* for stock_day.c: joined lines of the day in hand */
	int32_t last_day;          /* on which a line names it as a lot; one before 1970 is not noted, so that it is not let go */
	int32_t last_any;          /* on which a line names it as a place, and no lot; the same */
};

enum { BORN_CLEAVE = 1, BORN_ONCE = 2, BORN_TALLY = 4 };

/* The lines of a day, and those of the last one before it of which there was a flow, for who looks back. */
struct stock_day_ops {
	struct stock_op *op[2];
	size_t cap[2];
	int at;
};

struct stock_state {
	struct stock_bucket *bucket;
	size_t nbuckets, buckets_cap;
	struct stock_bucket *settled; /* those with pieces that no later line is about; after the run all that hold pieces */
	size_t nsettled, settled_cap;
	struct stock_spot *spot;
	size_t nspots, spots_cap;
	struct hash_index spot_index; /* by lot and place, for lots that have many */
	uint32_t spare_spot, spare_bucket; /* first of those let go, chained by of_lot.next and next: index + 1 */
	struct stock_index *index; /* NULL until it is worth having */
	struct stock_id *id;       /* that of the stock */
	size_t nids;
	struct stock_fitted *fitted; /* by bat; NULL when no bat gets another handle */
	struct stock_undo *undo;
	size_t nundos, undos_cap;
	uint32_t taken;            /* the lot that the last line took pieces of */
	bool hashing;              /* whether `hash` follows what changes; only the search for an order needs it */
	uint64_t hash;             /* of all counts since then; the same state, the same hash */
	struct stock_fault *fault;
	size_t nfaults, faults_cap;
	struct buf hints;
	stock_sink *sink;
	void *context;
	struct stock_day_ops ops;
	struct spill_view rest_view; /* for the other fields of a line, which only lines that are else the same are compared by */
	bool flowed;               /* a flow of the day in hand went to the sink */
	enum { TELL_NOT, TELL_NOW, TELL_HOLD } telling; /* whether flows go to the sink, or are kept in `held` */
	struct stock_flow *held;
	size_t nheld, held_cap;
};

/*
 * A lot is at a few places and a place has a few sorts of it, and then the chains of spots are what
 * is quickest. Once one of them is longer than STOCK_CHAIN_MOST an index is opened and asked instead, so
 * that no book takes the square of its size: every bucket by its kind, and those that hold pieces in
 * four lists, by lot, place, type and grade. A pick goes through the shortest of those that it names.
 */
enum { STOCK_CHAIN_MOST = 256, STOCK_LISTS = 4 };
void stock_index_open(struct stock_state *r);
void stock_index_free(struct stock_index *x);

/*
 * stock_index_find(): the bucket of a kind, as index + 1, or 0. stock_index_add(): adds a new bucket.
 * stock_index_number(): notes a change between none and some.
 */
uint32_t stock_index_find(const struct stock_state *r, const struct stock_kind *kind);
void stock_index_add(struct stock_state *r, uint32_t at);
void stock_index_number(struct stock_state *r, uint32_t at, bool was, bool is);

/* The shortest list of lot, place, type and grade (STOCK_ANY: not named): its first bucket; and the next. */
uint32_t stock_index_shortest(const struct stock_state *r, const uint32_t *ids, int *list);
uint32_t stock_index_next(const struct stock_state *r, uint32_t bucket, int list);

/* Carries one op out; false, and nothing changed, when it cannot be. */
bool stock_apply(struct stock *s, uint32_t op, struct stock_fault *fault);

/*
 * After the lines of the day, which is the last one of which a line names the lot: lets go of its spots, so that
 * what is gone through follows what lines are still about, and memory what is there and not what ever was. Those
 * with pieces are kept while some are at a place of which a later line names no lot, for it can be about them.
 */
void stock_let_go(struct stock *s, uint32_t lot, int32_t day);

/* After the last line: puts all buckets that hold pieces with those that are settled, and lets go of all else. */
void stock_settle_all(struct stock_state *r);

bool stock_same_kind(const struct stock_kind *a, const struct stock_kind *b);

/* What pieces of `from` become by the op and an item of its count=, or without one. */
struct stock_kind stock_becomes(const struct stock_op *op, const struct stock_item *item, struct stock_kind from);

/* How many pieces of a kind there are. */
int64_t stock_number(const struct stock *s, const struct stock_kind *kind);

/* Adds to *lot the lots of which a place holds pieces; one of several sorts more than once. */
void stock_lots_at(const struct stock *s, uint32_t place, uint32_t **lot, size_t *n, size_t *cap);

/* Passes the held flows to the sink. */
void stock_tell_held(struct stock *s);

/* Makes something doubtful, of which nothing was. */
void stock_set_fault(struct stock_state *r, uint32_t id, uint32_t fault);

/* Takes back everything done since `mark` (a value of state->nundos). */
void stock_undo(struct stock *s, size_t mark);

/* Says of a fault that no line fits: what the book has of the lot, in words, into state->hints. */
void stock_hint(struct stock *s, struct stock_fault *fault);

/* All lots and charges that an op can touch, into `ids`; returns how many. Those of a pool are in its items. */
enum { STOCK_TOUCH_MOST = 4 };
static inline size_t stock_touches(const struct stock_op *op, uint32_t *ids)
{
	size_t n = 0;

	ids[n++] = op->subject;
	if (op->lot != STOCK_ANY && op->lot != op->subject)
		ids[n++] = op->lot;
	if (op->event->stock.take == TAKE_PAIR) {
		ids[n++] = op->blade;
		ids[n++] = op->handle;
	}
	return n;
}

/* Calls met() for each lot that an op names: its own, a bat's, a blade's and a handle's, and those of a pool. */
void stock_name_lots(struct stock *s, const struct stock_op *op, void (*met)(struct stock *s, uint32_t lot, int32_t day));

/* Whether the ops of an event have no place for a field, so that its text alone is kept (stock_log_rest()). */
bool stock_field_is_other(const struct event_def *event, const struct field_use *use);

/* Makes space in s->id for every id that there is. */
void stock_ids_widen(struct stock *s);

/* Runs the lines of one day, which are s->op[0..n). */
struct stock_days *stock_days_new(void);
void stock_days_free(struct stock_days *d);
void stock_day(struct stock *s, struct stock_days *d, size_t n);

#endif
