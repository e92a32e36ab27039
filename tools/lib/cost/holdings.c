#include "cost/holdings.h"

#include <stdlib.h>

#include "cost/cost_book.h"
#include "cost/money.h"
#include "house/house.h"

void holdings_init(struct holdings *h, const struct stock *stock, const struct cost_book *book, bool mean)
{
	*h = (struct holdings){ .stock = stock, .book = book, .mean = mean, .nmoney = 2 * book->nelements, .nids = stock->ids.n };
	h->nbatches = 1;
	h->batch = mem_grow(NULL, &h->batches_cap, 64, sizeof *h->batch);
	h->batch[0] = (struct batch){ .kind = { .form = -1 } };
	intern_init(&h->cohort_ids);
	h->of_lot = mem_zeroed(h->nids, sizeof *h->of_lot);
	h->of_pool = mem_zeroed(h->nids, sizeof *h->of_pool);
	h->kind_of_lot = mem_zeroed(h->nids, sizeof *h->kind_of_lot);
	h->at_place = mem_zeroed(h->nids, sizeof *h->at_place);
	h->in_kiln = mem_zeroed(h->nids, sizeof *h->in_kiln);
	h->kiln_at = mem_zeroed(h->nids, sizeof *h->kiln_at);
}

void holdings_release(struct holdings *h)
{
	for (uint32_t i = 1; i < h->cohort_ids.n; i++)
		free(h->cohort[i - 1].slot);
	for (size_t i = 0; i < h->nids; i++) {
		free(h->at_place[i].batch);
		free(h->in_kiln[i].batch);
	}
	hash_index_release(&h->batches);
	intern_release(&h->cohort_ids);
	free(h->batch);
	free(h->emptied);
	free(h->layer);
	free(h->money);
	free(h->cohort);
	free(h->of_lot);
	free(h->of_pool);
	free(h->kind_of_lot);
	free(h->at_place);
	free(h->in_kiln);
	free(h->kiln_at);
	*h = (struct holdings){ .stock = NULL };
}

/* ---- batches */

uint32_t holdings_charge(const struct holdings *h, uint32_t place)
{
	return cost_book_role(h->book, place) & COST_CHARGE ? place : 0;
}

static bool is_wood_at(const struct holdings *h, uint32_t id)
{
	const struct house_place *place = h->book->house ? house_place(h->book->house, stock_text(h->stock, id)) : NULL;

	return !holdings_charge(h, id) && (!place || place->kind == HOUSE_PLACE_KIND_YARD);
}

static enum account_stage stage_of(const struct holdings *h, const struct stock_kind *k)
{
	if (k->place == h->stock->sold)
		return ACCOUNT_SOLD;
	if (k->form == FORM_BAT)
		return ACCOUNT_BATS;
	if (k->form == FORM_HANDLE)
		return ACCOUNT_HANDLES;
	if (k->form == FORM_BLADE)
		return k->grade ? ACCOUNT_BLADES : ACCOUNT_WORK;
	return is_wood_at(h, k->place) ? ACCOUNT_WOOD : ACCOUNT_WORK;
}

/* Money for one more row, of none yet. */
static void new_money(struct holdings *h, size_t row)
{
	h->money = mem_grow(h->money, &h->money_cap, (row + 1) * h->nmoney, sizeof *h->money);
	if (h->nmoney)
		memset(h->money + row * h->nmoney, 0, h->nmoney * sizeof *h->money);
}

static uint32_t batch_new(struct holdings *h, const struct stock_kind *kind)
{
	uint32_t id = h->spare_batch ? h->spare_batch - 1 : h->nbatches++, next = h->kind_of_lot[kind->lot];

	if (h->spare_batch)
		h->spare_batch = h->batch[id].next_of_lot;
	h->batch = mem_grow(h->batch, &h->batches_cap, h->nbatches, sizeof *h->batch);
	h->batch[id] = (struct batch){ .kind = *kind, .stage = (uint8_t)stage_of(h, kind), .next_of_lot = next };
	if (next)
		h->batch[next - 1].prev_of_lot = id + 1;
	h->kind_of_lot[kind->lot] = id + 1;
	if (h->mean)
		new_money(h, id);
	return id;
}

/* By the mean the money is the batch's own, which then stays. */
static void note_emptied(struct holdings *h, const struct batch *b)
{
	if (h->mean)
		return;
	h->emptied = mem_grow(h->emptied, &h->emptied_cap, h->nemptied + 1, sizeof *h->emptied);
	h->emptied[h->nemptied++] = (uint32_t)(b - h->batch);
}

static void let_go(struct holdings *h, uint32_t id)
{
	struct batch *b = &h->batch[id];

	hash_index_remove(&h->batches, holdings_hash(&b->kind), id);
	*(b->prev_of_lot ? &h->batch[b->prev_of_lot - 1].next_of_lot : &h->kind_of_lot[b->kind.lot]) = b->next_of_lot;
	if (b->next_of_lot)
		h->batch[b->next_of_lot - 1].prev_of_lot = b->prev_of_lot;
	*b = (struct batch){ .kind = { .form = -1 }, .next_of_lot = h->spare_batch };
	h->spare_batch = id + 1;
}

void holdings_let_go(struct holdings *h)
{
	for (size_t i = 0; i < h->nemptied; i++) {
		const struct batch *b = &h->batch[h->emptied[i]];

		if (!b->first && !b->n && !b->pending && b->kind.form >= 0)
			let_go(h, h->emptied[i]);
	}
	h->nemptied = 0;
}

uint32_t holdings_batch_at(struct holdings *h, const struct stock_kind *kind, uint64_t hash)
{
	struct hash_probe p = hash_probe_of(&h->batches, hash);
	uint32_t id;

	while (hash_probe_next(&h->batches, &p))
		if (kind_same(&h->batch[p.row].kind, kind))
			return p.row;
	id = batch_new(h, kind);
	hash_index_add(&h->batches, hash, id);
	return id;
}

uint32_t holdings_batch(struct holdings *h, const struct stock_kind *kind)
{
	return holdings_batch_at(h, kind, holdings_hash(kind));
}

/* The first whose hash is like that: mostly it is the one. */
uint32_t holdings_fetch_batch(const struct holdings *h, uint64_t hash)
{
	struct hash_probe p = hash_probe_of(&h->batches, hash);

	if (!hash_probe_next(&h->batches, &p))
		return 0;
	__builtin_prefetch(&h->batch[p.row], 1);
	return p.row;
}

uint32_t holdings_fetch_layer(const struct holdings *h, uint32_t batch)
{
	uint32_t at = h->batch[batch].first;

	if (at)
		__builtin_prefetch(&h->layer[at - 1], 1);
	return at;
}

void holdings_fetch_last(const struct holdings *h, uint32_t batch)
{
	uint32_t at = h->batch[batch].last;

	if (at)
		__builtin_prefetch(&h->layer[at - 1], 1);
}

uint32_t holdings_fetch_cohort(const struct holdings *h, uint32_t layer)
{
	const struct held_layer *l = layer ? &h->layer[layer - 1] : NULL;

	if (!l)
		return 0;
	__builtin_prefetch(&h->cohort[l->is.cohort], 1);
	for (size_t e = 0; !h->mean && e < h->nmoney; e += 8)
		__builtin_prefetch(holdings_amount(h, layer - 1, e), 1);
	if (!h->mean && h->nmoney)
		__builtin_prefetch(holdings_amount(h, layer - 1, h->nmoney - 1), 1);
	if (l->next)
		__builtin_prefetch(&h->layer[l->next - 1], 1);
	return layer;
}

uint32_t holdings_fetch_slot(const struct holdings *h, uint32_t layer)
{
	const struct held_layer *l = layer ? &h->layer[layer - 1] : NULL;
	const struct cohort *c = l ? &h->cohort[l->is.cohort] : NULL;

	if (!c)
		return 0;
	if (c->nslots) {
		__builtin_prefetch(&c->slot[l->slot], 1);
		__builtin_prefetch(&c->slot[c->nslots], 1);
	}
	return l->next;
}

/* ---- cohorts */

uint32_t holdings_cohort(struct holdings *h, struct cohort_key key)
{
	uint32_t had = h->cohort_ids.n, id = intern_id(&h->cohort_ids, (struct slice){ (const char *)&key, sizeof key });
	struct cohort made = { .key = key, .base = id - 1 };

	if (id < had)
		return id - 1;
	if (key.pool)
		made.base = holdings_cohort(h, (struct cohort_key){ key.lot, 0, key.charge });
	h->cohort = mem_grow(h->cohort, &h->cohorts_cap, h->cohort_ids.n, sizeof *h->cohort);
	made.next_of_lot = h->of_lot[key.lot];
	h->of_lot[key.lot] = id;
	if (key.pool) {
		made.next_of_pool = h->of_pool[key.pool];
		h->of_pool[key.pool] = id;
	}
	h->cohort[id - 1] = made;
	h->cohort[id - 1].next_of_base = h->cohort[made.base].newest;
	h->cohort[made.base].newest = id;
	return id - 1;
}

/* ---- lists of what is there now */

/* Returns the index. */
static uint32_t enter_list(struct held_place *at, uint32_t what)
{
	at->batch = mem_grow(at->batch, &at->cap, at->n + 1, sizeof *at->batch);
	at->batch[at->n] = what;
	return (uint32_t)at->n++;
}

/* Returns what then has that index. */
static uint32_t leave_list(struct held_place *at, uint32_t index)
{
	at->batch[index] = at->batch[--at->n];
	return at->batch[index];
}

/* A batch gets its first layer. */
static void enter_place(struct holdings *h, uint32_t batch)
{
	struct batch *b = &h->batch[batch];
	uint32_t place = b->kind.place, kiln = h->at_place[place].n ? 0 : cost_book_kiln(h->book, place);

	b->at = enter_list(&h->at_place[place], batch);
	if (kiln)
		h->kiln_at[place] = enter_list(&h->in_kiln[kiln], place);
}

/* Its last one is gone. */
static void leave_place(struct holdings *h, const struct batch *b)
{
	uint32_t place = b->kind.place, kiln;

	note_emptied(h, b);
	h->batch[leave_list(&h->at_place[place], b->at)].at = b->at;
	kiln = h->at_place[place].n ? 0 : cost_book_kiln(h->book, place);
	if (kiln)
		h->kiln_at[leave_list(&h->in_kiln[kiln], h->kiln_at[place])] = h->kiln_at[place];
}

/* A layer takes the last slot of its cohort. */
static void enter_cohort(struct holdings *h, uint32_t layer)
{
	struct cohort *c = &h->cohort[h->layer[layer].is.cohort];

	c->slot = mem_grow(c->slot, &c->slots_cap, c->nslots + 1u, sizeof *c->slot);
	h->layer[layer].slot = c->nslots;
	c->slot[c->nslots++] = (struct cohort_slot){ h->layer[layer].n, layer + 1, h->layer[layer].stage };
}

/* Those that are left keep their order; once half of the slots are empty they move together. */
static void leave_cohort(struct holdings *h, uint32_t layer)
{
	struct cohort *c = &h->cohort[h->layer[layer].is.cohort];
	uint32_t kept = 0;

	c->slot[h->layer[layer].slot].layer = 0;
	if (++c->ngone * 2 < c->nslots)
		return;
	for (uint32_t i = 0; i < c->nslots; i++) {
		if (!c->slot[i].layer)
			continue;
		h->layer[c->slot[i].layer - 1].slot = kept;
		c->slot[kept++] = c->slot[i];
	}
	c->nslots = kept;
	c->ngone = 0;
}

/* ---- layers */

/* So many pieces more, or less. */
static void layer_count(struct holdings *h, uint32_t layer, int64_t n)
{
	struct held_layer *l = &h->layer[layer];
	struct cohort *c = &h->cohort[l->is.cohort];

	l->n += n;
	c->live += n;
	c->slot[l->slot].n += n;
}

static uint32_t layer_new(struct holdings *h, uint32_t batch, const struct layer_facts *is, int64_t n)
{
	uint32_t at = h->spare;

	if (at)
		h->spare = h->layer[at - 1].next;
	else {
		h->layer = mem_grow(h->layer, &h->layers_cap, h->nlayers + 1, sizeof *h->layer);
		at = (uint32_t)++h->nlayers;
		if (!h->mean)
			new_money(h, at - 1);
	}
	h->layer[at - 1] = (struct held_layer){ .is = *is, .batch = batch, .n = n, .stage = h->batch[batch].stage };
	h->cohort[is->cohort].live += n;
	enter_cohort(h, at - 1);
	return at - 1;
}

/* A layer without pieces, which its batch no longer has. */
static void layer_free(struct holdings *h, uint32_t layer)
{
	struct held_layer *l = &h->layer[layer];

	leave_cohort(h, layer);
	if (!h->mean && h->nmoney)
		memset(holdings_amount(h, layer, 0), 0, h->nmoney * sizeof *h->money);
	h->cohort[l->is.cohort].live -= l->n;
	l->n = 0;
	l->next = h->spare;
	h->spare = layer + 1;
}

static bool is_like(const struct layer_facts *a, const struct layer_facts *b)
{
	return a->cohort == b->cohort && a->since == b->since && a->here == b->here && a->ready == b->ready && a->handle == b->handle && a->mixed == b->mixed;
}

/* The layer of a batch, as index + 1, after which one comes that has had its form since that day; 0: it is the first. */
static uint32_t spot_of(const struct holdings *h, uint32_t batch, int32_t since)
{
	const struct batch *b = &h->batch[batch];
	uint32_t last = 0;

	if (b->last && h->layer[b->last - 1].is.since <= since)
		return b->last;
	for (uint32_t at = b->first; at && h->layer[at - 1].is.since <= since; at = h->layer[at - 1].next)
		last = at;
	return last;
}

static void link_layer(struct holdings *h, uint32_t batch, uint32_t last, uint32_t layer)
{
	struct batch *b = &h->batch[batch];
	uint32_t *to = last ? &h->layer[last - 1].next : &b->first;

	if (!b->first)
		enter_place(h, batch);
	h->layer[layer].next = *to;
	*to = layer + 1;
	if (b->last == last)
		b->last = layer + 1;
}

/* Into the batch, after those that came before; into one that is like it where that is the last. */
static uint32_t place_layer(struct holdings *h, uint32_t batch, const struct layer_facts *is, int64_t n)
{
	uint32_t last = spot_of(h, batch, is->since), made;

	if (last && is_like(&h->layer[last - 1].is, is)) {
		layer_count(h, last - 1, n);
		return last - 1;
	}
	made = layer_new(h, batch, is, n);
	link_layer(h, batch, last, made);
	return made;
}

/* Whether a batch has pieces of several charges, as it gets some more. */
static void note_charge(struct holdings *h, uint32_t batch, const struct layer_facts *is)
{
	struct batch *b = &h->batch[batch];
	uint32_t charge = h->cohort[is->cohort].key.charge;

	if (is->handle)
		return;
	if (!b->first) {
		b->charge = charge;
		b->several = b->opened = false;
	}
	b->several |= b->charge != charge;
}

uint32_t holdings_put(struct holdings *h, uint32_t batch, const struct layer_facts *is, int64_t n, const int64_t *money, enum account_stage from)
{
	uint32_t layer;
	int64_t *has, sum = 0;

	note_charge(h, batch, is);
	layer = place_layer(h, batch, is, n);
	has = holdings_amount(h, layer, 0);
	h->batch[batch].n += is->handle ? 0 : n;
	for (size_t e = 0; money && e < h->nmoney; e++) {
		has[e] += money[e];
		sum += money[e];
	}
	account_move(&h->account, from, h->batch[batch].stage, sum);
	return layer;
}

void holdings_add(struct holdings *h, uint32_t layer, size_t element, int64_t amount, enum account_stage from)
{
	*holdings_amount(h, layer, element) += amount;
	account_move(&h->account, from, h->layer[layer].stage, amount);
}

/* ---- taking */

int64_t *hand_money(const struct holdings *h, const struct cost_hand *hand, size_t part)
{
	return hand->money + part * h->nmoney;
}

static size_t hand_new(struct holdings *h, struct cost_hand *hand, const struct layer_facts *is, int64_t n)
{
	hand->part = mem_grow(hand->part, &hand->cap, hand->n + 1, sizeof *hand->part);
	hand->money = mem_grow(hand->money, &hand->money_cap, (hand->n + 1) * h->nmoney, sizeof *hand->money);
	hand->part[hand->n] = (struct hand_part){ *is, n };
	if (h->nmoney)
		memset(hand_money(h, hand, hand->n), 0, h->nmoney * sizeof *hand->money);
	return hand->n++;
}

/* By the mean, what is in hand has its share of the batch, and each part its own of that. */
static void pass_mean(struct holdings *h, uint32_t batch, int64_t n, int64_t all, struct cost_hand *hand)
{
	int64_t *from = h->money + batch * h->nmoney, *share;
	int128 *weight = mem_array(hand->n, sizeof *weight);

	share = mem_array(hand->n, sizeof *share);
	for (size_t i = 0; i < hand->n; i++)
		weight[i] = hand->part[i].is.handle ? 0 : hand->part[i].n;
	for (size_t e = 0; e < h->nmoney; e++) {
		int64_t part = from[e] ? money_part(from[e], n, all) : 0;

		if (!part)
			continue;
		from[e] -= part;
		money_share(part, weight, hand->n, share);
		for (size_t i = 0; i < hand->n; i++)
			hand_money(h, hand, i)[e] += share[i];
	}
	free(weight);
	free(share);
}

/* Takes the first layer off its batch. */
static void unlink_first(struct holdings *h, struct batch *b)
{
	b->first = h->layer[b->first - 1].next;
	if (b->first)
		return;
	b->last = 0;
	leave_place(h, b);
}

/* The layers, into the hand; returns how many pieces. */
static int64_t take_layers(struct holdings *h, struct batch *b, int64_t n, struct cost_hand *hand)
{
	bool whole = b->kind.form == FORM_BAT;
	int64_t left = n;

	while (b->first && (left > 0 || whole)) {
		uint32_t at = b->first - 1;
		struct held_layer *l = &h->layer[at];
		int64_t some = whole || l->n < left ? l->n : left;
		size_t part = hand_new(h, hand, &l->is, some);

		if (!h->mean)
			money_pass(holdings_amount(h, at, 0), hand_money(h, hand, part), h->nmoney, some, l->n);
		left -= l->is.handle ? 0 : some;
		layer_count(h, at, -some);
		if (l->n)
			break;
		unlink_first(h, b);
		layer_free(h, at);
	}
	return n - left;
}

void holdings_take(struct holdings *h, uint32_t batch, int64_t n, int32_t day, struct cost_hand *hand)
{
	struct batch *b = &h->batch[batch];
	int64_t all = b->n, taken;
	struct layer_facts lacking = { .since = day, .here = day, .ready = INT32_MAX };

	hand->n = 0;
	hand->stage = b->stage;
	taken = take_layers(h, b, n, hand);
	b->n -= taken;
	b->opened |= b->several && b->first;
	for (size_t i = 0; b->opened && i < hand->n; i++)
		hand->part[i].is.mixed = true;
	if (h->mean && taken)
		pass_mean(h, batch, taken, all, hand);
	if (taken < n) {
		lacking.cohort = holdings_cohort(h, (struct cohort_key){ b->kind.lot, 0, holdings_charge(h, b->kind.place) });
		hand_new(h, hand, &lacking, n - taken);
	}
}

/* ---- moving */

bool holdings_may_move(const struct holdings *h, uint32_t from, uint32_t to, int64_t n)
{
	const struct batch *b = &h->batch[from];

	if (h->mean || from == to || n > b->n)
		return false;
	return b->kind.form != FORM_BAT || n == b->n;
}

struct layer_facts holdings_first(struct holdings *h, uint32_t from, int64_t n)
{
	struct batch *b = &h->batch[from];
	struct layer_facts is = h->layer[b->first - 1].is;

	b->opened |= b->several && n < b->n;
	is.mixed |= b->opened;
	return is;
}

static int64_t layer_sum(const struct holdings *h, uint32_t layer)
{
	const int64_t *money = holdings_amount(h, layer, 0);
	int64_t sum = 0;

	for (size_t e = 0; e < h->nmoney; e++)
		sum += money[e];
	return sum;
}

/* A layer that no batch has becomes one of a batch; its money stays where it is. */
static void turn_layer(struct holdings *h, uint32_t layer, uint32_t batch, const struct layer_facts *is)
{
	struct held_layer *l = &h->layer[layer];

	leave_cohort(h, layer);
	h->cohort[l->is.cohort].live -= l->n;
	l->is = *is;
	l->batch = batch;
	l->stage = h->batch[batch].stage;
	h->cohort[is->cohort].live += l->n;
	enter_cohort(h, layer);
}

/* All of the first layer of a batch, into another, where it may come to one that is like it. */
static void move_whole(struct holdings *h, uint32_t from, uint32_t to, const struct layer_facts *is)
{
	uint32_t layer = h->batch[from].first - 1, last = spot_of(h, to, is->since);
	int64_t *has, *money = holdings_amount(h, layer, 0);

	unlink_first(h, &h->batch[from]);
	if (!last || !is_like(&h->layer[last - 1].is, is)) {
		turn_layer(h, layer, to, is);
		link_layer(h, to, last, layer);
		return;
	}
	has = holdings_amount(h, last - 1, 0);
	for (size_t e = 0; e < h->nmoney; e++)
		has[e] += money[e];
	layer_count(h, last - 1, h->layer[layer].n);
	layer_free(h, layer);
}

/* Some of the first layer; returns their money. */
static int64_t move_some(struct holdings *h, uint32_t from, uint32_t to, int64_t n, const struct layer_facts *is)
{
	uint32_t layer = h->batch[from].first - 1, made = place_layer(h, to, is, n);
	int64_t sum = money_pass(holdings_amount(h, layer, 0), holdings_amount(h, made, 0), h->nmoney, n, h->layer[layer].n);

	layer_count(h, layer, -n);
	return sum;
}

int64_t holdings_move(struct holdings *h, uint32_t from, uint32_t to, int64_t most, const struct layer_facts *is)
{
	struct batch *b = &h->batch[from], *into = &h->batch[to];
	const struct held_layer *l = &h->layer[b->first - 1];
	bool handle = l->is.handle;
	int64_t n = handle || l->n < most ? l->n : most, sum;

	note_charge(h, to, is);
	if (n < l->n) {
		sum = move_some(h, from, to, n, is);
	} else {
		sum = b->stage == into->stage ? 0 : layer_sum(h, b->first - 1);
		move_whole(h, from, to, is);
	}
	b->n -= handle ? 0 : n;
	into->n += is->handle ? 0 : n;
	account_move(&h->account, b->stage, into->stage, sum);
	return n;
}

bool holdings_unhandle(struct holdings *h, uint32_t batch, uint32_t *cohort, int64_t *money)
{
	struct batch *b = &h->batch[batch];
	uint32_t last = 0, at = b->first;

	for (; at && !h->layer[at - 1].is.handle; at = h->layer[at - 1].next)
		last = at;
	if (!at)
		return false;
	*(last ? &h->layer[last - 1].next : &b->first) = h->layer[at - 1].next;
	if (b->last == at)
		b->last = last;
	if (!b->first)
		leave_place(h, b);
	*cohort = h->layer[at - 1].is.cohort;
	if (!h->mean)
		money_pass(holdings_amount(h, at - 1, 0), money, h->nmoney, 1, 1);
	layer_free(h, at - 1);
	return true;
}

/* ---- at the end */

int64_t *holdings_money(const struct holdings *h, uint32_t batch, size_t *nlayers)
{
	const struct batch *b = &h->batch[batch];
	int64_t *money, *share;
	int128 *weight;
	size_t n = 0;

	for (uint32_t at = b->first; at; at = h->layer[at - 1].next)
		n++;
	*nlayers = n;
	money = mem_zeroed(n * h->nmoney, sizeof *money);
	weight = mem_array(n, sizeof *weight);
	share = mem_array(n, sizeof *share);
	n = 0;
	for (uint32_t at = b->first; at; at = h->layer[at - 1].next, n++) {
		weight[n] = h->layer[at - 1].is.handle ? 0 : h->layer[at - 1].n;
		for (size_t e = 0; !h->mean && e < h->nmoney; e++)
			money[n * h->nmoney + e] = holdings_amount(h, at - 1, 0)[e];
	}
	for (size_t e = 0; h->mean && n && e < h->nmoney; e++) {
		money_share(h->money[batch * h->nmoney + e], weight, n, share);
		for (size_t i = 0; i < n; i++)
			money[i * h->nmoney + e] = share[i];
	}
	free(weight);
	free(share);
	return money;
}
