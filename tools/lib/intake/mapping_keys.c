#include <stdarg.h>
#include <stdio.h>

#include "base/nearest.h"
#include "intake/mapping_internal.h"

bool map_fail(struct map_reader *r, const struct yaml *at, const char *fmt, ...)
{
	va_list ap;

	if (r->failed)
		return false;
	r->failed = true;
	r->error->line = at->line;
	r->error->col = at->col;
	va_start(ap, fmt);
	vsnprintf(r->error->text, sizeof r->error->text, fmt, ap);
	va_end(ap);
	return false;
}

void *map_own(struct map_reader *r, void *p)
{
	r->m->owned = mem_grow(r->m->owned, &r->m->owned_cap, r->m->nowned + 1, sizeof *r->m->owned);
	r->m->owned[r->m->nowned++] = p;
	return p;
}

bool map_has_key(const char *const *keys, struct slice key)
{
	for (; *keys; keys++)
		if (slice_eq(key, slice_of(*keys)))
			return true;
	return false;
}

/* A mapping with no keys but these. */
bool map_only_keys(struct map_reader *r, const struct yaml *map, const char *what, const char *const *keys)
{
	if (map->kind != YAML_MAP)
		return map_fail(r, map, "%s must hold keys with values", what);
	for (size_t i = 0; i < map->n; i++) {
		struct slice key = map->key[i].text;
		struct slice near;

		if (map_has_key(keys, key))
			continue;
		near = nearest_cstr(key, keys);
		return map_fail(r, &map->key[i], "unknown key `%.*s` in %s%s%.*s%s", MAP_SHOWN(key), what,
			near.n ? "; perhaps `" : "", MAP_SHOWN(near), near.n ? "`?" : "");
	}
	return true;
}

bool map_scalar(struct map_reader *r, const struct yaml *node, const char *what, struct slice *out)
{
	*out = (struct slice){ "", 0 };
	if (node->kind != YAML_SCALAR)
		return map_fail(r, node, "%s must be a single text", what);
	*out = node->text;
	return true;
}

bool map_number(struct map_reader *r, const struct yaml *node, const char *what, size_t most, size_t *out)
{
	*out = 0;
	if (node->kind != YAML_SCALAR || !node->text.n || node->text.n > 6)
		return map_fail(r, node, "%s must be a whole number", what);
	for (size_t i = 0; i < node->text.n; i++) {
		char c = node->text.p[i];

		if (c < '0' || c > '9')
			return map_fail(r, node, "%s must be a whole number", what);
		*out = *out * 10 + (size_t)(c - '0');
	}
	return *out <= most || map_fail(r, node, "%s must be at most %zu", what, most);
}

bool map_texts(struct map_reader *r, const struct yaml *node, const char *what, struct map_list *out)
{
	*out = (struct map_list){ NULL, 0 };
	if (!node)
		return true;
	out->n = node->kind == YAML_LIST ? node->n : 1;
	out->v = map_own(r, mem_array(out->n, sizeof *out->v));
	if (node->kind != YAML_LIST)
		return map_scalar(r, node, what, &out->v[0]);
	for (size_t i = 0; i < node->n; i++)
		if (!map_scalar(r, &node->item[i], what, &out->v[i]))
			return false;
	return true;
}

int map_word(struct map_reader *r, const struct yaml *node, const char *what, const char *const *words)
{
	struct buf all = BUF_INIT;

	for (int i = 0; node->kind == YAML_SCALAR && words[i]; i++)
		if (slice_eq(node->text, slice_of(words[i])))
			return i;
	for (int i = 0; words[i]; i++)
		buf_printf(&all, "%s%s", i ? ", " : "", words[i]);
	map_fail(r, node, "%s must be one of %s", what, buf_cstr(&all));
	buf_release(&all);
	return -1;
}

bool map_add_column(struct map_reader *r, const struct yaml *node, int *out)
{
	struct mapping *m = r->m;
	struct map_column c = { .line = node->line, .col = node->col };
	bool digits = node->kind == YAML_SCALAR && !node->quoted && node->text.n > 0;

	for (size_t i = 0; digits && i < node->text.n; i++)
		digits = node->text.p[i] >= '0' && node->text.p[i] <= '9';
	if (digits) {
		if (!map_number(r, node, "the number of a column", CSV_CELLS, &c.number))
			return false;
		if (!c.number)
			return map_fail(r, node, "columns count from 1");
	} else if (!map_scalar(r, node, "a column", &c.name) || !c.name.n) {
		return map_fail(r, node, "a column must be given by its heading or its number");
	}
	for (size_t i = 0; i < m->ncolumns; i++)
		if (m->column[i].number == c.number && slice_eq(m->column[i].name, c.name)) {
			*out = (int)i;
			return true;
		}
	m->column = mem_grow(m->column, &m->column_cap, m->ncolumns + 1, sizeof *m->column);
	m->column[m->ncolumns] = c;
	*out = (int)m->ncolumns++;
	return true;
}
