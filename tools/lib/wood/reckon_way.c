#include "wood/reckon_way.h"

int reckon_nargs(const struct reckon_way *w)
{
	int n = 0;

	while (n < RECKON_ARGS && w->arg[n].name)
		n++;
	return n;
}

int reckon_arg_at(const struct reckon_way *w, struct slice name)
{
	for (int i = 0; i < reckon_nargs(w); i++)
		if (slice_eq(slice_of(w->arg[i].name), name))
			return i;
	return -1;
}

void reckon_row_named(const struct reckon_way *w, int i, const struct reckon_input *in, struct slice *name, struct slice *unit)
{
	const struct reckon_gives *g = &w->gives[i];
	int at = g->name ? 0 : reckon_arg_at(w, SLICE("to")), of;

	*name = slice_of(g->name);
	*unit = g->unit ? slice_of(g->unit) : vocab_unit(in[at].unit)->name;
	if (g->name)
		return;
	of = reckon_type_of_unit(*unit, &at);
	*name = vocab_type(of)->name;
}
