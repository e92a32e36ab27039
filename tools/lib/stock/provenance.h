/*
 * provenance.h - where a lot's pieces come from: tree, parcel, supplier, and when they came in.
 *
 * It is said by `fell` (of a tree: its parcel and who sold it), `cleave` (a lot's tree), `buy` (who
 * sold it), `tally` (pieces that turned up), `pool` (the lots that went into it, with counts) and
 * `make` (the lot of a bat's blade). Lines may be handed in in any order. The supplier of own
 * clefts is who sold the tree.
 *
 * A lot of several parents, a pool or a lot cleft from several trees, has a key when all of its
 * parents have the same one; else it is ORIGIN_MIXED, and origins_parents() says what it is of. A
 * lot that nothing is known of, such as opening stock, has key 0.
 *
 * Ids are those of the intern table handed in, for instance a stock engine's. Nothing depends on
 * their order.
 *
 * Needs text.h, vocab_words.h, vocab.h, value.h, stamp.h, diag.h, parse.h and intern.h before it.
 */
#ifndef WITHY_PROVENANCE_H
#define WITHY_PROVENANCE_H

#define ORIGIN_MIXED UINT32_MAX
#define ORIGIN_NO_DAY INT32_MAX

enum origin_key {
	ORIGIN_LOT,        /* the lot itself; of a bat, its blade's */
	ORIGIN_TREE,
	ORIGIN_PARCEL,
	ORIGIN_SUPPLIER,
	ORIGIN_MONTH,      /* of the day on which it came in: YYYY-MM */
	ORIGIN_KEYS
};

/* One thing that a lot's pieces are from. */
struct origin_row {
	uint32_t lot, of;          /* of: the tree, the supplier, the parent lot or the blade's lot */
	uint8_t kind;
	int32_t day;
	int64_t n;                 /* how many pieces, culled ones among them */
	struct slice lot_text, of_text;
};

struct origin_tree {
	uint32_t parcel, from;
};

struct origin_lot {
	size_t first, n;           /* in `row` */
	uint8_t state;
	int32_t day;
	uint32_t key[ORIGIN_KEYS];
};

struct origins {
	struct intern *ids;
	struct origin_row *row;
	size_t nrows, rows_cap;
	struct origin_tree *tree;  /* by id */
	size_t trees_cap;
	struct origin_lot *lot;    /* by id; after origins_end() */
	size_t nlots;
};

void origins_init(struct origins *o, struct intern *ids);
void origins_release(struct origins *o);

/* Takes a good line in; one of an event that says nothing of origins is passed over. */
void origins_add(struct origins *o, const struct line *l);

/* When all lines are in, and before anything is asked. */
void origins_end(struct origins *o);

/* The lot's key: an id, 0 for none, or ORIGIN_MIXED. */
uint32_t origins_key(const struct origins *o, uint32_t lot, enum origin_key key);

/* The same of a tree, for ORIGIN_TREE, ORIGIN_PARCEL and ORIGIN_SUPPLIER. */
uint32_t origins_tree_key(const struct origins *o, uint32_t tree, enum origin_key key);

/*
 * The first day on which some of the lot came in, of a pool the first of its parents', of a bat its
 * blade's; ORIGIN_NO_DAY for a lot that never did.
 */
int32_t origins_day(const struct origins *o, uint32_t lot);

/* Whether the lot was pooled of others. */
bool origins_is_pool(const struct origins *o, uint32_t lot);

/* What it is of, with counts, in the order of their names: "L061:34,L062:22"; of a bat, its blade's lot. */
void origins_parents(const struct origins *o, uint32_t lot, struct buf *out);

#endif
