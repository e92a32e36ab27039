/*
 * kin.h - where the pieces of a tree, a lot, a charge or a handle lot are now, and how many.
 *
 * The other way round of lineage.h: of a heap that got 30 such pieces and 20 others, 60 % of whatever is
 * taken out of it are such pieces, to be expected. A bat is one if its wood, or its handle as it is
 * now, is of them.
 */
#ifndef WITHY_KIN_H
#define WITHY_KIN_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

struct flow_log;

enum kin_of { KIN_TREE, KIN_LOT, KIN_CHARGE };

/* A heap that has some now. */
struct kin_heap {
	uint32_t heap;
	int64_t n;         /* its pieces */
	double share;      /* of them, or the chance of a single one */
};

/* By an id: the lots that came from it are lot[start[id]] up to lot[start[id + 1]], some of them often. */
struct kin_roots {
	uint32_t *start, *lot;
	uint32_t ids;
};

struct kin {
	const struct flow_log *log;
	struct kin_roots of_tree, of_place;
	struct kin_heap *heap; /* in no order that may show */
	size_t n, cap;

	enum kin_of of;
	uint32_t id;
	double *wood, *handle; /* by heap: the share of them; handle only of bats */
	uint8_t *seen;         /* by lot */
	uint32_t *lot, *flow;
	size_t nlots, lots_cap, nflows, flows_cap;
	uint32_t *next, *nexts; /* by lot: the lots that its pieces went on as are nexts[next[lot]] up to nexts[next[lot + 1]] */
};

/* After flow_log_end(). */
void kin_init(struct kin *k, const struct flow_log *log);
void kin_release(struct kin *k);

/* Whether clefts are known to be of it. */
bool kin_is_tree(const struct kin *k, uint32_t id);

/* Finds the heaps, in place of those found before. What was culled and sold is among them. */
void kin_find(struct kin *k, enum kin_of of, uint32_t id);

#endif
