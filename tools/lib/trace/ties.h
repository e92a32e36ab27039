/*
 * ties.h - what the subject of a trace has in common with other pieces: its trees, lots, charges and handles,
 * each with the subject's share, and who else is of them.
 */
#ifndef WITHY_TIES_H
#define WITHY_TIES_H

#include <stddef.h>
#include <stdint.h>

struct buf;
struct trace;

enum tie_kind { TIE_HANDLE, TIE_LOT, TIE_CHARGE, TIE_TREE, TIE_KINDS };

/* "handle lot", "lot", "charge", "tree". */
extern const char *const tie_words[];

/* How many are of it, to be expected: whole numbers unless pieces were mixed. A bat that is culled counts as culled. */
struct tie_counts {
	double stock, sold, culled;     /* clefts, blades and handles */
	double bats_stock, bats_sold, bats_culled;
	double bats_refit;              /* of a handle lot: bats that had one of its handles and got another */
	double bats_back;               /* of all these bats: came back at least once, of a handle lot with its handle */
};

/* All bats that are, or were, of it. */
double tie_bats(const struct tie_counts *c);

struct tie {
	enum tie_kind kind;
	uint32_t id;
	double share;              /* of the subject; at most 1 */
	struct tie_counts counts;
};

struct ties {
	struct tie *tie;           /* by kind, then the greatest share first, then by name */
	size_t n, cap;
};

/* Finds the ties of the subject; uses t->kin. */
void ties_find(struct ties *ties, struct trace *t);
void ties_release(struct ties *ties);

/* Those of pieces of the wood, or of the handle, of any way back: trees, lots and charges, with their shares; no counts. */
struct lineage;
void ties_add(struct ties *ties, const struct trace *t, const struct lineage *way);
void ties_add_charges(struct ties *ties, const struct trace *t, const struct lineage *way); /* charges alone */
void ties_note(struct ties *ties, enum tie_kind kind, uint32_t id, double share); /* one of them; nothing for id 0 */
void ties_sort(struct ties *ties, const struct trace *t);

/*
 * A share or an expected number without the error of its last bits. A number in words: whole where it is, else with one
 * decimal, "about" before it.
 */
double tie_round(double x);
void tie_say_number(struct buf *b, double n);

/* Finds in t->kin the pieces that are of it. */
void tie_kin(struct trace *t, const struct tie *tie);

#endif
