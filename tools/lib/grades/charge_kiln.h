/*
 * charge_kiln.h - the kiln of a charge, as its load lines say (kiln=).
 *
 * Lines may come in any order. Ids are those of the intern table handed in.
 */
#ifndef WITHY_CHARGE_KILN_H
#define WITHY_CHARGE_KILN_H

#include <stddef.h>
#include <stdint.h>

struct intern;
struct line;

/* By the id of the charge. A zeroed struct is empty. */
struct charge_kiln {
	uint32_t *kiln;
	size_t n, cap;
};

void charge_kiln_release(struct charge_kiln *c);

/* Takes a good line in; one that loads nothing is passed over. */
void charge_kiln_add(struct charge_kiln *c, struct intern *ids, const struct line *l);

/* The kiln's id: 0 for none, PROVENANCE_MIXED for several, or where the charge is PROVENANCE_MIXED. */
uint32_t charge_kiln_of(const struct charge_kiln *c, uint32_t charge);

#endif
