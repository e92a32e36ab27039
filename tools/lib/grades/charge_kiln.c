#include "grades/charge_kiln.h"

#include <stdlib.h>
#include <string.h>

#include "book/line.h"
#include "stock/provenance.h"

void charge_kiln_release(struct charge_kiln *c)
{
	free(c->kiln);
	*c = (struct charge_kiln){ .n = 0 };
}

static uint32_t *place_of(struct charge_kiln *c, uint32_t charge)
{
	if (charge >= c->n) {
		c->kiln = mem_grow(c->kiln, &c->cap, (size_t)charge + 1, sizeof *c->kiln);
		memset(c->kiln + c->n, 0, ((size_t)charge + 1 - c->n) * sizeof *c->kiln);
		c->n = (size_t)charge + 1;
	}
	return &c->kiln[charge];
}

void charge_kiln_add(struct charge_kiln *c, struct intern *ids, const struct line *l)
{
	struct slice kiln = line_word(l, FIELD_KILN);
	uint32_t id, *place;

	if (l->event->id != EVENT_LOAD || !kiln.n)
		return;
	id = intern_id(ids, kiln);
	place = place_of(c, intern_id(ids, l->subject));
	*place = *place && *place != id ? PROVENANCE_MIXED : id;
}

uint32_t charge_kiln_of(const struct charge_kiln *c, uint32_t charge)
{
	if (charge == PROVENANCE_MIXED)
		return PROVENANCE_MIXED;
	return charge < c->n ? c->kiln[charge] : 0;
}
