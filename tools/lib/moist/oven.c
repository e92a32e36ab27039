#include "moist/oven.h"

#include "book/parse.h"

const struct item *oven_beside(const struct line *l, int field, size_t i, struct slice label)
{
	const struct field *f = line_field(l, field);

	for (size_t j = 0; f && label.n && j < f->n; j++)
		if (slice_eq(l->item[f->first + j].label, label))
			return &l->item[f->first + j];
	return f && !label.n && i < f->n && !l->item[f->first + i].label.n ? &l->item[f->first + i] : NULL;
}
