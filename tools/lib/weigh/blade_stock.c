#include "weigh/blade_stock.h"

#include <stdlib.h>

#include "house/house.h"
#include "weigh/weigh_parts.h"

void blade_stock_init(struct blade_stock *b, struct stock *stock)
{
	*b = (struct blade_stock){ .stock = stock };
}

void blade_stock_release(struct blade_stock *b)
{
	free(b->kind);
	free(b->first);
	free(b->here);
	free(b->made);
	free(b->place);
	hash_index_release(&b->index);
	memset(b, 0, sizeof *b);
}

/* ---- the flows */

static bool is_blade_here(const struct blade_stock *b, const struct stock_kind *k)
{
	return k->lot && k->form == FORM_BLADE && k->place != b->stock->sold && k->place != b->stock->culled;
}

static bool same_kind(const struct blade_kind *row, const struct stock_kind *k)
{
	return row->lot == k->lot && row->type == k->type && row->grade == k->grade && row->class == k->class;
}

static struct blade_kind *kind_of(struct blade_stock *b, const struct stock_kind *k)
{
	uint64_t hash = hash_mix(hash_pair(k->lot, k->type) ^ hash_mix(hash_pair(k->grade, k->class)));
	struct hash_probe p = hash_probe_of(&b->index, hash);

	while (hash_probe_next(&b->index, &p))
		if (same_kind(&b->kind[p.row], k))
			return &b->kind[p.row];
	hash_index_add(&b->index, hash, (uint32_t)b->n);
	b->kind = mem_grow(b->kind, &b->cap, b->n + 1, sizeof *b->kind);
	b->kind[b->n] = (struct blade_kind){ .lot = k->lot, .type = k->type, .grade = k->grade, .class = k->class };
	return &b->kind[b->n++];
}

static void note_made(struct blade_stock *b, uint32_t bat, const struct stock_kind *blade)
{
	size_t had = b->made_cap;

	b->made = mem_grow(b->made, &b->made_cap, bat + 1u, sizeof *b->made);
	memset(b->made + had, 0, (b->made_cap - had) * sizeof *b->made);
	b->made[bat] = (struct blade_made){ blade->type, blade->grade, blade->class, true };
}

/* What is sold and comes back has not left. */
void blade_stock_flow(void *context, const struct stock_flow *flow)
{
	struct blade_stock *b = context;
	const struct stock_kind *from = &flow->from, *to = &flow->to;
	bool was = is_blade_here(b, from), is = is_blade_here(b, to);
	bool alike = from->lot == to->lot && from->type == to->type && from->grade == to->grade && from->class == to->class;

	if (was && !is)
		kind_of(b, from)->left += flow->n;
	if (was && is && !alike)
		kind_of(b, from)->changed += flow->n;
	if (is && !was && from->lot && from->form == FORM_BLADE)
		kind_of(b, to)->left -= flow->n;
	if (flow->change == STOCK_JOINED && from->form == FORM_BLADE)
		note_made(b, to->lot, from);
}

/* ---- the end */

struct kind_row {
	struct blade_kind kind;
	struct slice type, grade, class;
};

static int by_kind(const void *a, const void *b)
{
	const struct kind_row *x = a, *y = b;
	int order;

	if (x->kind.lot != y->kind.lot)
		return x->kind.lot < y->kind.lot ? -1 : 1;
	order = slice_cmp(x->type, y->type);
	order = order ? order : slice_cmp(x->grade, y->grade);
	return order ? order : slice_cmp(x->class, y->class);
}

static void sort_kinds(struct blade_stock *b)
{
	struct kind_row *row = mem_array(b->n, sizeof *row);

	for (size_t i = 0; i < b->n; i++)
		row[i] = (struct kind_row){ b->kind[i], stock_text(b->stock, b->kind[i].type), stock_text(b->stock, b->kind[i].grade),
			stock_text(b->stock, b->kind[i].class) };
	if (b->n)
		qsort(row, b->n, sizeof *row, by_kind);
	for (size_t i = 0; i < b->n; i++)
		b->kind[i] = row[i].kind;
	free(row);
	hash_index_release(&b->index);
}

static void index_lots(struct blade_stock *b)
{
	uint32_t lot = 0;

	b->nfirst = b->n ? b->kind[b->n - 1].lot + 2u : 0;
	b->first = mem_array(b->nfirst, sizeof *b->first);
	for (size_t i = 0; i < b->n; i++)
		while (lot <= b->kind[i].lot)
			b->first[lot++] = (uint32_t)i;
	while (lot < b->nfirst)
		b->first[lot++] = (uint32_t)b->n;
}

/* Of each kind the places by name. */
struct place_row {
	uint32_t kind, id;
	struct slice name;
};

static int by_place(const void *a, const void *b)
{
	const struct place_row *x = a, *y = b;

	if (x->kind != y->kind)
		return x->kind < y->kind ? -1 : 1;
	return slice_cmp(x->name, y->name);
}

static struct blade_kind *find_kind(const struct blade_stock *b, const struct stock_kind *k)
{
	const struct blade_kind *kind = blade_stock_kind(b, k);

	return kind ? &b->kind[kind - b->kind] : NULL;
}

static size_t count_here(struct blade_stock *b, const struct stock_bucket *bucket, size_t n, struct place_row *row)
{
	size_t rows = 0;

	for (size_t i = 0; i < n; i++)
		if (bucket[i].n && is_blade_here(b, &bucket[i].kind)) {
			struct blade_kind *k = find_kind(b, &bucket[i].kind);

			k->here += bucket[i].n;
			row[rows++] = (struct place_row){ (uint32_t)(k - b->kind), bucket[i].kind.place, stock_text(b->stock, bucket[i].kind.place) };
		}
	return rows;
}

static void keep_places(struct blade_stock *b, struct place_row *row, size_t n)
{
	if (n)
		qsort(row, n, sizeof *row, by_place);
	for (size_t i = 0; i < n; i++) {
		struct blade_kind *k = &b->kind[row[i].kind];

		k->place = k->nplaces ? k->place : i;
		k->nplaces++;
		b->place = mem_grow(b->place, &b->places_cap, i + 1, sizeof *b->place);
		b->place[i] = row[i].id;
	}
	b->nplaces = n;
}

static void list_here(struct blade_stock *b)
{
	b->here = mem_array(b->n, sizeof *b->here);
	for (size_t i = 0; i < b->n; i++)
		if (b->kind[i].here) {
			b->kind[i].at = b->nhere;
			b->here[b->nhere++] = (uint32_t)i;
		}
}

/* A bat whose blade has a number takes one from its kind. */
static void count_named(struct blade_stock *b, const struct stated *stated)
{
	for (size_t i = 0; i < stated->nbats; i++) {
		struct slice blade = stock_text(b->stock, stated->bat[i].blade);
		struct blade_made made = blade_stock_made(b, stated->bat[i].id);
		size_t slash = slice_find(blade, '/');
		struct stock_kind kind = { .type = made.type, .grade = made.grade, .class = made.class };
		struct blade_kind *k;

		if (slash == blade.n || !made.known)
			continue;
		kind.lot = intern_find(&b->stock->ids, slice_upto(blade, slash));
		k = find_kind(b, &kind);
		if (k)
			k->named++;
	}
}

void blade_stock_end(struct blade_stock *b, const struct stated *stated)
{
	size_t n;
	const struct stock_bucket *bucket = stock_buckets(b->stock, &n);
	struct place_row *row = mem_array(n, sizeof *row);

	for (size_t i = 0; i < n; i++)
		if (bucket[i].n && is_blade_here(b, &bucket[i].kind))
			kind_of(b, &bucket[i].kind);
	sort_kinds(b);
	index_lots(b);
	keep_places(b, row, count_here(b, bucket, n, row));
	list_here(b);
	count_named(b, stated);
	free(row);
}

/* ---- asking */

struct blade_made blade_stock_made(const struct blade_stock *b, uint32_t bat)
{
	return bat < b->made_cap ? b->made[bat] : (struct blade_made){ .known = false };
}

static size_t first_of(const struct blade_stock *b, uint32_t lot)
{
	return lot < b->nfirst ? b->first[lot] : b->n;
}

const struct blade_kind *blade_stock_of(const struct blade_stock *b, uint32_t lot, size_t *n)
{
	size_t first = first_of(b, lot);

	*n = first_of(b, lot + 1) - first;
	return b->kind + first;
}

bool blade_stock_is_here(const struct blade_stock *b, uint32_t lot)
{
	size_t n;
	const struct blade_kind *k = blade_stock_of(b, lot, &n);

	for (size_t i = 0; i < n; i++)
		if (k[i].here)
			return true;
	return false;
}

const struct blade_kind *blade_stock_kind(const struct blade_stock *b, const struct stock_kind *k)
{
	size_t n;
	const struct blade_kind *row = blade_stock_of(b, k->lot, &n);

	for (size_t i = 0; i < n; i++)
		if (same_kind(&row[i], k))
			return &row[i];
	return NULL;
}

bool blade_stock_has_mass_of(const struct blade_stock *b, uint32_t type, double weighed_g)
{
	const struct house_type *of = b->stock->house ? house_type(b->stock->house, stock_text(b->stock, type)) : NULL;

	return !of || !house_range_given(of->mass) || house_range_holds(of->mass, (int64_t)(weighed_g * 1e6));
}

bool blade_stock_can_be(const struct blade_stock *b, const struct blade_kind *k, const struct blank *blank)
{
	return k->lot == blank->lot && (!blank->grade || k->grade == blank->grade) && (!blank->class || !k->class || k->class == blank->class) &&
		blade_stock_has_mass_of(b, k->type, blank->weighed_g);
}

double blade_kind_ever(const struct blade_kind *k, const struct blank *blank)
{
	int64_t others = k->left + (blank->grade ? k->changed : 0) - k->named;

	return (double)(k->here + (others > 0 ? others : 0));
}

static uint32_t only_type(const struct blade_stock *b, const struct blank *blank)
{
	size_t n;
	const struct blade_kind *k = blade_stock_of(b, blank->lot, &n);
	uint32_t type = 0;

	for (size_t i = 0; i < n; i++) {
		if (!k[i].type || !blade_stock_can_be(b, &k[i], blank))
			continue;
		if (type && type != k[i].type)
			return 0;
		type = k[i].type;
	}
	return type;
}

void blade_stock_name_types(const struct blade_stock *b, struct blanks *blanks)
{
	for (size_t i = 0; i < blanks->n; i++) {
		struct blade_made made = blade_stock_made(b, blanks->row[i].bat);

		blanks->row[i].type = made.known ? made.type : only_type(b, &blanks->row[i]);
	}
}
