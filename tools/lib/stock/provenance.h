/*
 * provenance.h - where a lot's pieces come from: tree, parcel, supplier, and when they came in.
 *
 * It is said by `fell` (of a tree: its parcel and who sold it), `cleave` (a lot's tree), `buy` (who
 * sold it), `tally` (pieces that turned up, and maybe who sold them and since when they are there),
 * `pool` (the lots that went into it, with counts) and `make` (the lot of a bat's blade). Lines may be
 * handed in in any order. The supplier of own clefts is who sold the tree.
 *
 * A lot of several parents, a pool or a lot cleft from several trees, has a key when all of its
 * parents have the same one; else it is PROVENANCE_MIXED, and provenance_parents() says what it is of. A
 * lot that nothing is known of, such as opening stock without from=, has key 0.
 *
 * Ids are those of the intern table handed in, for instance a stock engine's. Nothing depends on
 * their order.
 */
#ifndef WITHY_PROVENANCE_H
#define WITHY_PROVENANCE_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "stock/stock.h"

struct intern;
struct line;

#define PROVENANCE_MIXED UINT32_MAX
#define PROVENANCE_NO_DAY INT32_MAX

enum origin_key {
	PROVENANCE_LOT,        /* the lot itself; of a bat, its blade's */
	PROVENANCE_TREE,
	PROVENANCE_PARCEL,
	PROVENANCE_SUPPLIER,
	PROVENANCE_MONTH,      /* of the day on which it came in: YYYY-MM */
	PROVENANCE_KEYS
};

/* One thing that a lot's pieces are from. */
struct provenance_row {
	uint32_t lot, of;          /* of: the tree, the supplier, the parent lot or the blade's lot */
	uint8_t kind;
	int32_t day;
	int64_t n;                 /* how many pieces, culled ones among them */
	struct slice lot_text, of_text;
};

struct provenance_tree {
	uint32_t parcel, from;
};

struct provenance_lot {
	size_t first, n;           /* in `row` */
	uint8_t state;
	int32_t day;
	uint32_t key[PROVENANCE_KEYS];
};

struct provenance {
	struct intern *ids;
	struct provenance_row *row;
	size_t nrows, rows_cap;
	struct provenance_tree *tree;  /* by id */
	size_t trees_cap;
	struct provenance_lot *lot;    /* by id; after provenance_end() */
	size_t nlots;
};

void provenance_init(struct provenance *o, struct intern *ids);
void provenance_release(struct provenance *o);

/* Takes a good line in; one of an event that says nothing of origins is passed over. */
void provenance_add(struct provenance *o, const struct line *l);

/* When all lines are in, and before anything is asked. */
void provenance_end(struct provenance *o);

/* The lot's key: an id, 0 for none, or PROVENANCE_MIXED. */
uint32_t provenance_key(const struct provenance *o, uint32_t lot, enum origin_key key);

/* The same of a tree, for PROVENANCE_TREE, PROVENANCE_PARCEL and PROVENANCE_SUPPLIER. */
uint32_t provenance_tree_key(const struct provenance *o, uint32_t tree, enum origin_key key);

/*
 * The first day on which some of the lot came in, of a pool the first of its parents', of a bat its
 * blade's; PROVENANCE_NO_DAY for a lot that never did.
 */
int32_t provenance_day(const struct provenance *o, uint32_t lot);

/* Whether the lot was pooled of others. */
bool provenance_is_pool(const struct provenance *o, uint32_t lot);

/* What it is of, with counts, in the order of their names: "L061:34,L062:22"; of a bat, its blade's lot. */
void provenance_parents(const struct provenance *o, uint32_t lot, struct buf *out);

#endif
