#include "cost/cost_rows.h"

#include <stdlib.h>

#include "house/house.h"
#include "time/stamp.h"

/* ---- keys */

static uint32_t lot_key(const struct costing *c, struct cohort_key cohort, size_t by, bool *mixed)
{
	static const enum origin_key KEY[] = { [COST_BY_TREE] = PROVENANCE_TREE, [COST_BY_PARCEL] = PROVENANCE_PARCEL,
		[COST_BY_SUPPLIER] = PROVENANCE_SUPPLIER, [COST_BY_LOT] = PROVENANCE_LOT };
	uint32_t id = provenance_key(c->origins, cohort.lot, KEY[by]);

	if (cohort.pool && (by == COST_BY_LOT || provenance_key(c->origins, cohort.pool, KEY[by]) == PROVENANCE_MIXED))
		*mixed = true;
	if (id != PROVENANCE_MIXED)
		return id;
	*mixed = true;
	return provenance_key(c->origins, cohort.lot, PROVENANCE_LOT);
}

/* Of a graded blade the month of its first grade, of other pieces that in which they took their form. */
static struct slice month_of(const struct costing *c, const struct layer_facts *is)
{
	struct buf text = BUF_INIT;
	uint32_t id;

	day_write(&text, is->ready == INT32_MAX ? is->since : is->ready);
	id = intern_id(c->book.ids, slice_upto(buf_slice(&text), 7));
	buf_release(&text);
	return intern_text(c->book.ids, id);
}

static struct slice key_of(const struct costing *c, size_t by, const struct batch *b, const struct layer_facts *is, bool *mixed)
{
	struct cohort_key key = c->holdings.cohort[is->cohort].key;

	switch (by) {
	case COST_BY_MONTH:
		return month_of(c, is);
	case COST_BY_FORM:
		return vocab_form(b->kind.form);
	case COST_BY_STAGE:
		return slice_of(b->stage < ACCOUNT_STAGES ? account_stage_words[b->stage] : "sold");
	case COST_BY_CHARGE:
		*mixed |= is->mixed || b->opened;
		return stock_text(c->stock, key.charge);
	case COST_BY_TYPE:
		return stock_text(c->stock, b->kind.type);
	case COST_BY_GRADE:
		return stock_text(c->stock, b->kind.grade);
	case COST_BY_PLACE:
		return stock_text(c->stock, b->stage == ACCOUNT_SOLD ? 0 : b->kind.place);
	default:
		return stock_text(c->stock, lot_key(c, key, by, mixed));
	}
}

static int rank_of(const struct costing *c, size_t by, const struct batch *b)
{
	if (by == COST_BY_FORM)
		return b->kind.form;
	if (by == COST_BY_STAGE)
		return (int)b->stage;
	if (by != COST_BY_GRADE)
		return 0;
	return b->kind.grade ? house_grade_order(c->book.house, c->ask->today, stock_text(c->stock, b->kind.grade)) : -1;
}

static int by_keys(const void *a, const void *b)
{
	const struct cost_row *x = a, *y = b;
	int order = 0;

	for (int i = 0; !order && i < COST_KEYS; i++) {
		order = (x->rank[i] > y->rank[i]) - (x->rank[i] < y->rank[i]);
		order = order ? order : slice_cmp(x->key[i], y->key[i]);
	}
	return order;
}

/* ---- rows */

int64_t cost_row_sum(const struct cost_row *row)
{
	int64_t sum = row->loss;

	for (int use = 0; use < COST_USES; use++)
		sum += row->own[use];
	return sum;
}

static void add_row(struct cost_row *to, const struct cost_row *row)
{
	to->n += row->n;
	to->mixed += row->mixed;
	to->bare += row->bare;
	to->loss += row->loss;
	for (int use = 0; use < COST_USES; use++)
		to->own[use] += row->own[use];
}

/* The money of a layer, without that of handles if blades are asked for. */
static void add_money(const struct costing *c, const int64_t *money, bool blades, struct cost_row *row)
{
	size_t n = c->book.nelements;

	for (size_t e = 0; e < n; e++) {
		enum cost_use use = c->book.element[e].use;

		if (blades && use == COST_FOR_HANDLES)
			continue;
		row->own[use] += money[e];
		row->loss += money[n + e];
	}
}

static bool counts(const struct costing *c, enum cost_what what, const struct batch *b, const struct layer_facts *is)
{
	if (what == COST_OF_STOCK)
		return b->stage < ACCOUNT_STAGES;
	return (b->kind.form == FORM_BLADE || b->kind.form == FORM_BAT) && is->ready != INT32_MAX && is->ready >= c->ask->from && is->ready <= c->ask->to;
}

static bool has_money(const struct costing *c, const int64_t *money)
{
	for (size_t e = 0; e < c->holdings.nmoney; e++)
		if (money[e])
			return true;
	return false;
}

/* Nothing was spent on their wood, though there is a price for the wood of others. */
static bool is_bare(const struct costing *c, const int64_t *money)
{
	size_t n = c->book.nelements, timber = 0;

	for (size_t e = 0; e < n; e++) {
		if (c->book.element[e].use != COST_FOR_TIMBER)
			continue;
		if (money[e] || money[n + e])
			return false;
		timber++;
	}
	return timber > 0 || n == 0;
}

/* What the keys of a layer are; returns whether they stand for others too. */
static bool set_keys(const struct costing *c, const struct batch *b, const struct layer_facts *is, struct slice *key, int *rank)
{
	bool mixed = false;

	for (size_t i = 0; i < c->ask->nby; i++) {
		key[i] = key_of(c, c->ask->by[i], b, is, &mixed);
		rank[i] = rank_of(c, c->ask->by[i], b);
	}
	return mixed;
}

static uint64_t hash_of(const struct slice *key, size_t nkeys)
{
	uint64_t hash = 0;

	for (size_t i = 0; i < nkeys; i++)
		hash = hash_mix(hash * 31 ^ slice_hash(key[i]));
	return hash;
}

static bool has_keys(const struct cost_row *row, const struct slice *key, const int *rank, size_t nkeys)
{
	for (size_t i = 0; i < nkeys; i++)
		if (row->rank[i] != rank[i] || !slice_eq(row->key[i], key[i]))
			return false;
	return true;
}

/* The row of some keys: there are few of these, and many layers. */
static struct cost_row *row_of(struct cost_rows *r, const struct slice *key, const int *rank, size_t nkeys)
{
	uint64_t hash = hash_of(key, nkeys);
	struct hash_probe p = hash_probe_of(&r->index, hash);
	struct cost_row *row;

	while (hash_probe_next(&r->index, &p))
		if (has_keys(&r->row[p.row], key, rank, nkeys))
			return &r->row[p.row];
	r->row = mem_grow(r->row, &r->cap, r->n + 1, sizeof *r->row);
	hash_index_add(&r->index, hash, (uint32_t)r->n);
	row = &r->row[r->n++];
	*row = (struct cost_row){ .n = 0 };
	for (size_t i = 0; i < nkeys; i++) {
		row->key[i] = key[i];
		row->rank[i] = rank[i];
	}
	return row;
}

/* Whose keys a layer has: the handle of a bat those of its blade. */
static const struct layer_facts *keyed_as(const struct holdings *h, const struct batch *b, const struct held_layer *l)
{
	for (uint32_t at = l->is.handle ? b->first : 0; at; at = h->layer[at - 1].next)
		if (!h->layer[at - 1].is.handle)
			return &h->layer[at - 1].is;
	return &l->is;
}

static void add_layer(struct cost_rows *r, const struct costing *c, enum cost_what what, const struct batch *b, const struct held_layer *l,
	const int64_t *money)
{
	int64_t n = l->is.handle ? 0 : l->n;
	struct slice key[COST_KEYS];
	int rank[COST_KEYS];
	struct cost_row *row;
	bool mixed;

	if (l->is.handle ? what == COST_OF_BLADES : !counts(c, what, b, &l->is))
		return;
	mixed = set_keys(c, b, keyed_as(&c->holdings, b, l), key, rank);
	row = row_of(r, key, rank, c->ask->nby);
	if (what == COST_OF_BLADES && is_bare(c, money)) {
		row->bare += n;
		return;
	}
	row->n += n;
	row->mixed += mixed ? n : 0;
	row->bare += what == COST_OF_STOCK && !has_money(c, money) ? n : 0;
	add_money(c, money, what == COST_OF_BLADES, row);
}

/* A bat is one piece, and all that is in it goes to its blade's row. */
static void add_batch(struct cost_rows *r, const struct costing *c, enum cost_what what, uint32_t batch)
{
	const struct holdings *h = &c->holdings;
	const struct batch *b = &h->batch[batch];
	size_t n, i = 0;
	int64_t *mean;

	if (!b->first || (what == COST_OF_STOCK && b->stage >= ACCOUNT_STAGES))
		return;
	mean = h->mean ? holdings_money(h, batch, &n) : NULL;
	for (uint32_t at = b->first; at; at = h->layer[at - 1].next, i++)
		add_layer(r, c, what, b, &h->layer[at - 1], mean ? mean + i * h->nmoney : holdings_amount(h, at - 1, 0));
	free(mean);
}

/* So many batches before their layers are looked at, these are brought near. */
enum { AHEAD = 16 };

void cost_rows_init(struct cost_rows *r, const struct costing *c, enum cost_what what)
{
	const struct holdings *h = &c->holdings;

	*r = (struct cost_rows){ .n = 0 };
	for (uint32_t id = 1; id < h->nbatches; id++) {
		if (id + 2 * AHEAD < h->nbatches)
			holdings_fetch_layer(h, id + 2 * AHEAD);
		if (id + AHEAD < h->nbatches)
			holdings_fetch_cohort(h, h->batch[id + AHEAD].first);
		add_batch(r, c, what, id);
	}
	for (size_t i = 0; i < r->n; i++)
		add_row(&r->all, &r->row[i]);
	if (r->n)
		qsort(r->row, r->n, sizeof *r->row, by_keys);
}

void cost_rows_release(struct cost_rows *r)
{
	free(r->row);
	hash_index_release(&r->index);
	*r = (struct cost_rows){ .n = 0 };
}
