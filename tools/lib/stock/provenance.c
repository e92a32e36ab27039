#include "stock/provenance.h"

#include <stdlib.h>

#include "book/line.h"

/* What a row says; a lot that was found only is from nowhere that is known, unless the tally says from whom. */
enum { FROM_TREE, FROM_BUY, FROM_POOL, FROM_BLADE, FROM_TALLY };

enum { STATE_NEW, STATE_OPEN, STATE_DONE };

void provenance_init(struct provenance *o, struct intern *ids)
{
	memset(o, 0, sizeof *o);
	o->ids = ids;
}

void provenance_release(struct provenance *o)
{
	free(o->row);
	free(o->tree);
	free(o->lot);
	memset(o, 0, sizeof *o);
}

/* ---- taking lines in */

/* The day of the line; of pieces that a tally found, the earlier one that it gives. */
static int32_t came_in(const struct line *l)
{
	int64_t since = line_field(l, FIELD_SINCE) ? line_item(l, FIELD_SINCE)->v.fix : l->stamp.day;

	return since < l->stamp.day ? (int32_t)since : l->stamp.day;
}

static void add_row(struct provenance *o, const struct line *l, uint8_t kind, struct slice of, int64_t n)
{
	uint32_t lot = intern_id(o->ids, l->subject), id = intern_id(o->ids, of);

	o->row = mem_grow(o->row, &o->rows_cap, o->nrows + 1, sizeof *o->row);
	o->row[o->nrows++] = (struct provenance_row){ lot, id, kind, came_in(l), n, intern_text(o->ids, lot), intern_text(o->ids, id) };
}

/* If two lines disagree, the name that sorts first is used, whatever their order. */
static void set_first(const struct provenance *o, uint32_t *id, uint32_t said)
{
	if (said && (!*id || slice_cmp(intern_text(o->ids, said), intern_text(o->ids, *id)) < 0))
		*id = said;
}

static void add_tree(struct provenance *o, const struct line *l)
{
	uint32_t tree = intern_id(o->ids, l->subject);
	uint32_t parcel = intern_id(o->ids, line_word(l, FIELD_PARCEL)), from = intern_id(o->ids, line_word(l, FIELD_FROM));
	size_t had = o->trees_cap;

	o->tree = mem_grow(o->tree, &o->trees_cap, tree + 1u, sizeof *o->tree);
	if (o->trees_cap > had)
		memset(o->tree + had, 0, (o->trees_cap - had) * sizeof *o->tree);
	set_first(o, &o->tree[tree].parcel, parcel);
	set_first(o, &o->tree[tree].from, from);
}

static void add_pool(struct provenance *o, const struct line *l)
{
	const struct field *f = line_field(l, FIELD_LOT);

	for (size_t i = 0; f && i < f->n; i++)
		add_row(o, l, FROM_POOL, l->item[f->first + i].label, l->item[f->first + i].v.fix);
}

void provenance_add(struct provenance *o, const struct line *l)
{
	struct slice blade;

	switch (l->event->id) {
	case EVENT_FELL:
		add_tree(o, l);
		break;
	case EVENT_CLEAVE:
		add_row(o, l, FROM_TREE, line_word(l, FIELD_TREE), line_sum(l, FIELD_COUNT) + line_sum(l, FIELD_CULL));
		break;
	case EVENT_BUY:
		add_row(o, l, FROM_BUY, line_word(l, FIELD_FROM), line_sum(l, FIELD_COUNT) + line_sum(l, FIELD_CULL));
		break;
	case EVENT_TALLY:
		if (line_sum(l, FIELD_FOUND))
			add_row(o, l, FROM_TALLY, line_word(l, FIELD_FROM), line_sum(l, FIELD_FOUND));
		break;
	case EVENT_POOL:
		add_pool(o, l);
		break;
	case EVENT_MAKE:
		blade = line_word(l, FIELD_BLADE);
		add_row(o, l, FROM_BLADE, slice_upto(blade, slice_find(blade, '/')), 1);
		break;
	}
}

/* ---- the rows, lot by lot */

static int by_lot(const void *a, const void *b)
{
	const struct provenance_row *x = a, *y = b;
	int order;

	order = slice_cmp(x->lot_text, y->lot_text);
	if (order)
		return order;
	if (x->kind != y->kind)
		return x->kind < y->kind ? -1 : 1;
	order = slice_cmp(x->of_text, y->of_text);
	return order ? order : (x->day > y->day) - (x->day < y->day);
}

/* Rows of one lot and one source become one. */
static void merge_rows(struct provenance *o)
{
	size_t n = 0;

	for (size_t i = 0; i < o->nrows; i++) {
		struct provenance_row *r = &o->row[i], *last = n ? &o->row[n - 1] : NULL;

		if (last && last->lot == r->lot && last->kind == r->kind && last->of == r->of)
			last->n += r->n;
		else
			o->row[n++] = *r;
	}
	o->nrows = n;
}

/* Tallies count only for a lot that came in in no other way. */
static size_t rows_that_count(const struct provenance *o, size_t first, size_t n)
{
	size_t sure = 0;

	while (sure < n && o->row[first + sure].kind != FROM_TALLY)
		sure++;
	return sure ? sure : n;
}

static void split_rows(struct provenance *o)
{
	for (size_t i = 0, k; i < o->nrows; i = k) {
		struct provenance_lot *lot = &o->lot[o->row[i].lot];

		for (k = i; k < o->nrows && o->row[k].lot == o->row[i].lot; k++)
			lot->day = o->row[k].day < lot->day ? o->row[k].day : lot->day;
		lot->first = i;
		lot->n = rows_that_count(o, i, k - i);
	}
}

/* ---- what follows for each lot */

static uint32_t month_id(const struct provenance *o, int32_t day)
{
	struct buf text = BUF_INIT;
	uint32_t id;

	day_write(&text, day);
	id = intern_id(o->ids, slice_upto(buf_slice(&text), 7));
	buf_release(&text);
	return id;
}

static uint32_t tree_key(const struct provenance *o, uint32_t tree, enum origin_key key)
{
	if (key == PROVENANCE_TREE)
		return tree;
	if (tree >= o->trees_cap)
		return 0;
	return key == PROVENANCE_PARCEL ? o->tree[tree].parcel : key == PROVENANCE_SUPPLIER ? o->tree[tree].from : 0;
}

static bool has_parent_lot(const struct provenance_row *r)
{
	return r->kind == FROM_POOL || r->kind == FROM_BLADE;
}

static uint32_t row_key(const struct provenance *o, const struct provenance_row *r, enum origin_key key)
{
	if (has_parent_lot(r))
		return o->lot[r->of].key[key];
	if (r->kind == FROM_TREE)
		return tree_key(o, r->of, key);
	return (r->kind == FROM_BUY || r->kind == FROM_TALLY) && key == PROVENANCE_SUPPLIER ? r->of : 0;
}

static void set_day(const struct provenance *o, struct provenance_lot *lot)
{
	int32_t first = PROVENANCE_NO_DAY;

	for (size_t i = lot->first; i < lot->first + lot->n; i++) {
		const struct provenance_row *r = &o->row[i];

		if (has_parent_lot(r) && o->lot[r->of].day < first)
			first = o->lot[r->of].day;
	}
	if (first != PROVENANCE_NO_DAY)
		lot->day = first;
}

static uint32_t common_key(const struct provenance *o, const struct provenance_lot *lot, enum origin_key key)
{
	uint32_t first = row_key(o, &o->row[lot->first], key);

	for (size_t i = lot->first + 1; i < lot->first + lot->n; i++)
		if (row_key(o, &o->row[i], key) != first)
			return PROVENANCE_MIXED;
	return first;
}

static void set_keys(const struct provenance *o, struct provenance_lot *lot, uint32_t id)
{
	bool parents = has_parent_lot(&o->row[lot->first]);

	lot->key[PROVENANCE_LOT] = o->row[lot->first].kind == FROM_BLADE ? o->lot[o->row[lot->first].of].key[PROVENANCE_LOT] : id;
	if (!lot->key[PROVENANCE_LOT])
		lot->key[PROVENANCE_LOT] = o->row[lot->first].of;
	if (!parents)
		lot->key[PROVENANCE_MONTH] = month_id(o, lot->day);
	for (enum origin_key key = PROVENANCE_TREE; key < (parents ? PROVENANCE_KEYS : PROVENANCE_MONTH); key++)
		lot->key[key] = common_key(o, lot, key);
}

/* Depth first without recursion, for a chain of pools may be as long as a book. */
static void resolve(struct provenance *o, uint32_t id, uint32_t **stack, size_t *cap)
{
	size_t depth = 0;

	*stack = mem_grow(*stack, cap, 1, sizeof **stack);
	(*stack)[depth++] = id;
	while (depth) {
		uint32_t top = (*stack)[depth - 1];
		struct provenance_lot *lot = &o->lot[top];

		if (lot->state != STATE_NEW) {
			depth--;
			if (lot->state == STATE_OPEN && lot->n) {
				set_day(o, lot);
				set_keys(o, lot, top);
			}
			lot->state = STATE_DONE;
			continue;
		}
		lot->state = STATE_OPEN;
		*stack = mem_grow(*stack, cap, depth + lot->n, sizeof **stack);
		for (size_t i = lot->first; i < lot->first + lot->n; i++)
			if (has_parent_lot(&o->row[i]) && o->lot[o->row[i].of].state == STATE_NEW)
				(*stack)[depth++] = o->row[i].of;
	}
}

void provenance_end(struct provenance *o)
{
	uint32_t *stack = NULL;
	size_t cap = 0;

	if (o->nrows)
		qsort(o->row, o->nrows, sizeof *o->row, by_lot);
	merge_rows(o);
	o->nlots = o->ids->n;
	o->lot = mem_zeroed(o->nlots, sizeof *o->lot);
	for (size_t i = 0; i < o->nlots; i++)
		o->lot[i].day = PROVENANCE_NO_DAY;
	split_rows(o);
	for (size_t i = 0; i < o->nrows; i++)
		if (o->lot[o->row[i].lot].state == STATE_NEW)
			resolve(o, o->row[i].lot, &stack, &cap);
	free(stack);
}

/* ---- asking */

uint32_t provenance_key(const struct provenance *o, uint32_t lot, enum origin_key key)
{
	if (lot >= o->nlots || !o->lot[lot].n)
		return key == PROVENANCE_LOT ? lot : 0;
	return o->lot[lot].key[key];
}

uint32_t provenance_tree_key(const struct provenance *o, uint32_t tree, enum origin_key key)
{
	return tree_key(o, tree, key);
}

int32_t provenance_day(const struct provenance *o, uint32_t lot)
{
	return lot < o->nlots ? o->lot[lot].day : PROVENANCE_NO_DAY;
}

bool provenance_is_pool(const struct provenance *o, uint32_t lot)
{
	return lot < o->nlots && o->lot[lot].n && o->row[o->lot[lot].first].kind == FROM_POOL;
}

void provenance_parents(const struct provenance *o, uint32_t id, struct buf *out)
{
	const struct provenance_lot *lot;

	id = provenance_key(o, id, PROVENANCE_LOT);
	if (id >= o->nlots)
		return;
	lot = &o->lot[id];
	for (size_t i = lot->first; i < lot->first + lot->n; i++) {
		if (!o->row[i].of)
			continue;
		if (i > lot->first)
			buf_char(out, ',');
		buf_add(out, o->row[i].of_text);
		buf_char(out, ':');
		buf_int(out, o->row[i].n);
	}
}
