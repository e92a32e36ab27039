/*
 * holdings.h - the pieces of every batch in layers of pieces that are alike, with the money that is on them.
 *
 * A layer's pieces are of one cohort: the lot that they came in as, the pool that they went into, the charge
 * that they were dried in. They have had their form since one day, and came to their place on one. A batch is
 * one stock_kind. What leaves it is what came first; a bat leaves with all of its layers, its blade and its
 * handle. What goes with it is, by
 *
 *	first-in, first-out   the money on these layers
 *	the weighted mean     the same on every piece of the batch
 *
 * (IAS 2 Inventories, paragraphs 25 and 27.) The two differ only within a batch, for its pieces cannot be
 * distinguished; lots keep their identity, and so their cost (paragraph 23).
 *
 * Money is an array of amounts by element (cost_book.h): `nelements` spent on the pieces, then as many taken
 * over from culled ones. All of it is counted in the account as it moves.
 */
#ifndef WITHY_HOLDINGS_H
#define WITHY_HOLDINGS_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "cost/account.h"
#include "stock/kind_ids.h"

struct cost_book;

/* Ids; pool and charge 0 for none. */
struct cohort_key {
	uint32_t lot, pool, charge;
};

/* What those who go through the layers of a cohort need of each. */
struct cohort_slot {
	int64_t n;
	uint32_t layer;            /* index + 1; 0 where it is gone */
	enum account_stage stage;
};

struct cohort {
	struct cohort_key key;
	uint32_t base;             /* the cohort of the same lot and charge without a pool */
	int64_t culled;            /* pieces of it, so far */
	int64_t live;              /* pieces of its layers */
	struct cohort_slot *slot;  /* its layers, the last come at the end */
	uint32_t nslots, ngone;
	size_t slots_cap;
	uint32_t next_of_lot, next_of_pool, next_of_base; /* index + 1 */
	uint32_t newest;           /* of a base: the last made of those that have it, itself among them; index + 1 */
};

struct layer_facts {
	uint32_t cohort;           /* index */
	int32_t since;             /* the day from which they have had their form */
	int32_t here;              /* the day on which they came to their place */
	int32_t ready;             /* the day of their first grade, INT32_MAX before */
	bool handle;               /* of a bat: its handle */
	bool mixed;                /* which charge they were in is a share: they came out of a batch from several */
};

struct held_layer {
	struct layer_facts is;
	uint32_t batch;
	int64_t n;
	uint32_t next;             /* of the batch: index + 1 */
	uint32_t slot;             /* of the cohort: index */
	enum account_stage stage;  /* of the batch */
};

/* One that has no pieces left is given to another kind later. */
struct batch {
	struct stock_kind kind;    /* of no form (-1) while nobody has it */
	uint32_t next_of_lot, prev_of_lot; /* index + 1; the spare ones are chained by next_of_lot */
	int64_t n;
	uint32_t first, last;      /* layers: index + 1 */
	uint32_t at;               /* index in the list of its place, while it has layers */
	uint32_t charge;           /* of its first pieces */
	bool several;              /* it has pieces of other charges too */
	bool opened;               /* some of several were taken, so that nobody knows which are left */
	uint8_t stage;             /* enum account_stage */
	bool pending;              /* its lot has gradings of this day whose cost is still to be divided by worth */
};

/* The batches that are at a place now, in no order. */
struct held_place {
	uint32_t *batch;
	size_t n, cap;
};

/* Some pieces in hand. Their money is hand_money() of their index. */
struct hand_part {
	struct layer_facts is;
	int64_t n;
};

struct cost_hand {
	struct hand_part *part;
	size_t n, cap;
	int64_t *money;
	size_t money_cap;
	enum account_stage stage;  /* where they are from */
};

struct holdings {
	const struct stock *stock;
	const struct cost_book *book;
	bool mean;
	size_t nmoney;             /* amounts of a layer: twice the elements */
	struct account account;
	struct batch *batch;       /* by id; 0 is none */
	uint32_t nbatches;         /* how many, number 0 included */
	size_t batches_cap;
	struct hash_index batches; /* by kind */
	uint32_t spare_batch;      /* index + 1 */
	uint32_t *emptied;         /* those whose last layer went since holdings_let_go() */
	size_t nemptied, emptied_cap;
	struct held_layer *layer;
	size_t nlayers, layers_cap;
	uint32_t spare;            /* layers to be used again: index + 1 */
	int64_t *money;            /* of each layer, with the mean of each batch */
	size_t money_cap;
	struct intern cohort_ids;  /* of cohort_key, as bytes */
	struct cohort *cohort;     /* by id - 1 */
	size_t cohorts_cap;
	uint32_t *of_lot, *of_pool; /* cohorts by id: index + 1 */
	uint32_t *kind_of_lot;     /* batches by id: index + 1 */
	struct held_place *at_place; /* by id */
	struct held_place *in_kiln; /* by id: the charges of a kiln that hold pieces, instead of batches */
	uint32_t *kiln_at;         /* by charge: its index there */
	size_t nids;
};

/* After all lines were handed to the stock and the book, and before stock_run(). */
void holdings_init(struct holdings *h, const struct stock *stock, const struct cost_book *book, bool mean);
void holdings_release(struct holdings *h);

/*
 * The hash of a kind. Most kinds are a lot's only one: to keep lots next to each other, as kind_hash() does, would have
 * whole groups of them in each other's way.
 */
static inline uint64_t holdings_hash(const struct stock_kind *k)
{
	uint64_t sort = hash_pair(k->type, k->grade) * 0xff51afd7ed558ccdu + hash_pair(k->class, k->party) * 0xc4ceb9fe1a85ec53u;

	return hash_mix(sort + hash_pair(k->place, (uint32_t)k->form) * 0x87c37b91114253d5u + k->lot * 0x4cf5ad432745937fu);
}

/* The batch of a kind, with no pieces if it has none yet; by the kind's hash, where the caller has it. */
uint32_t holdings_batch(struct holdings *h, const struct stock_kind *kind);
uint32_t holdings_batch_at(struct holdings *h, const struct stock_kind *kind, uint64_t hash);

/*
 * What a move needs is far apart in a large book. Each step brings near what the next one looks at, and is to be called some lines
 * later than the one before, with what that one returned: first the hash of a kind, then its batch, its first layer and that one's cohort,
 * and then the layer behind that, such as the handle of a bat. 0 is nothing. Of a batch that pieces come to, the last layer is needed.
 */
uint32_t holdings_fetch_batch(const struct holdings *h, uint64_t hash);
uint32_t holdings_fetch_layer(const struct holdings *h, uint32_t batch);
void holdings_fetch_last(const struct holdings *h, uint32_t batch);
uint32_t holdings_fetch_cohort(const struct holdings *h, uint32_t layer);
uint32_t holdings_fetch_slot(const struct holdings *h, uint32_t layer);

uint32_t holdings_cohort(struct holdings *h, struct cohort_key key);

/* The charge that a place is, or 0. */
uint32_t holdings_charge(const struct holdings *h, uint32_t place);

/* Takes up to `n` pieces of a batch into the hand, which is emptied before; those that are lacking count as found, at no cost. */
void holdings_take(struct holdings *h, uint32_t batch, int64_t n, int32_t day, struct cost_hand *hand);
int64_t *hand_money(const struct holdings *h, const struct cost_hand *hand, size_t part);

/* Puts pieces with their money (NULL: none) into a batch; it comes from that stage. Returns the layer. */
uint32_t holdings_put(struct holdings *h, uint32_t batch, const struct layer_facts *is, int64_t n, const int64_t *money, enum account_stage from);

/*
 * Pieces that all go on from one batch into another need not come into the hand, if holdings_may_move() them: first-in, first-out
 * decides whose they are, and a bat goes as a whole. They go on by layers, while there are more:
 *
 *	while (holdings_has_more(h, from, n)) {
 *		struct layer_facts first = holdings_first(h, from, n); ... how it then is ...
 *		some = holdings_move(h, from, to, n, &then);
 *		n -= first.handle ? 0 : some;
 *	}
 *
 * holdings_first() is what the first layer is, and holdings_move() has up to `most` of its pieces, or the handle of a bat, become
 * those of `to`, with their money. It returns how many these were.
 */
bool holdings_may_move(const struct holdings *h, uint32_t from, uint32_t to, int64_t n);
struct layer_facts holdings_first(struct holdings *h, uint32_t from, int64_t n);
static inline bool holdings_has_more(const struct holdings *h, uint32_t from, int64_t left)
{
	const struct batch *b = &h->batch[from];

	return left > 0 || (b->kind.form == FORM_BAT && b->first);
}

int64_t holdings_move(struct holdings *h, uint32_t from, uint32_t to, int64_t most, const struct layer_facts *is);

/* After a line, of which the caller remembers no batch: gives those that it emptied back. */
void holdings_let_go(struct holdings *h);

/* Takes the handle of a bat off it: false where it has none. Its money, not known apart by the mean, goes into `money`. */
bool holdings_unhandle(struct holdings *h, uint32_t batch, uint32_t *cohort, int64_t *money);

/* The amount of an element, below 2 * nelements, on a layer; by the mean, on its batch. */
static inline int64_t *holdings_amount(const struct holdings *h, uint32_t layer, size_t element)
{
	return h->money + (h->mean ? h->layer[layer].batch : layer) * h->nmoney + element;
}

/* Adds an amount of an element to a layer; it comes from that stage. */
void holdings_add(struct holdings *h, uint32_t layer, size_t element, int64_t amount, enum account_stage from);

/* The money on a batch's layers, into an array of theirs in order; that of the batch in all for a bat's blade. The caller frees it. */
int64_t *holdings_money(const struct holdings *h, uint32_t batch, size_t *nlayers);

#endif
