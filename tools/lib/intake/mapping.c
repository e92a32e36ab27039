#include "intake/mapping.h"

#include <stdlib.h>

#include "base/yaml.h"
#include "time/zone.h"

void mapping_release(struct mapping *m)
{
	for (size_t i = 0; i < m->nowned; i++)
		free(m->owned[i]);
	free(m->owned);
	free(m->column);
	zone_free(m->zone);
	yaml_doc_free(m->doc);
	*m = (struct mapping){ 0 };
}

bool map_glob(struct slice glob, struct slice text)
{
	size_t g = 0, t = 0, star = glob.n, mark = 0;

	while (t < text.n) {
		if (g < glob.n && glob.p[g] == '*') {
			star = g++;
			mark = t;
		} else if (g < glob.n && glob.p[g] == text.p[t]) {
			g++;
			t++;
		} else if (star < glob.n) {
			g = star + 1;
			t = ++mark;
		} else {
			return false;
		}
	}
	while (g < glob.n && glob.p[g] == '*')
		g++;
	return g == glob.n;
}

bool map_list_has(const struct map_list *list, struct slice text)
{
	for (size_t i = 0; i < list->n; i++)
		if (slice_eq(list->v[i], text))
			return true;
	return false;
}

const struct map_pair *map_cell_word(const struct map_cell *c, struct slice text)
{
	for (size_t i = 0; i < c->nwords; i++)
		if (slice_eq(c->word[i].from, text))
			return &c->word[i];
	return NULL;
}
