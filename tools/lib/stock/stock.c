#include "stock/stock.h"

#include <limits.h>
#include <stdlib.h>

#include "stock/stock_internal.h"

void stock_init(struct stock *s, const struct house *house)
{
	memset(s, 0, sizeof *s);
	s->house = house;
	s->last_added = s->last_graded = INT32_MIN;
	intern_init(&s->ids);
	s->sold = intern_id(&s->ids, SLICE("(sold)"));
	s->culled = intern_id(&s->ids, SLICE("(culled)"));
}

static void state_free(struct stock_state *r)
{
	if (!r)
		return;
	free(r->bucket);
	free(r->settled);
	free(r->spot);
	hash_index_release(&r->spot_index);
	stock_index_free(r->index);
	free(r->ops.op[0]);
	free(r->ops.op[1]);
	spill_view_release(&r->rest_view);
	free(r->fitted);
	free(r->undo);
	free(r->held);
	free(r->fault);
	buf_release(&r->hints);
	free(r);
}

void stock_release(struct stock *s)
{
	intern_release(&s->ids);
	stock_log_release(&s->log);
	free(s->item);
	free(s->doubt);
	free(s->skip);
	free(s->id);
	state_free(s->state);
	memset(s, 0, sizeof *s);
}

struct slice stock_text(const struct stock *s, uint32_t id)
{
	return intern_text(&s->ids, id);
}

const struct stock_bucket *stock_buckets(const struct stock *s, size_t *n)
{
	*n = s->state ? s->state->nsettled : 0;
	return s->state ? s->state->settled : NULL;
}

void stock_doubt(struct stock *s, uint32_t lot)
{
	s->doubt = mem_grow(s->doubt, &s->doubts_cap, s->ndoubts + 1, sizeof *s->doubt);
	s->doubt[s->ndoubts++] = lot;
}

void stock_skip(struct stock *s, uint32_t file, uint64_t line)
{
	s->skip = mem_grow(s->skip, &s->skips_cap, s->nskips + 1, sizeof *s->skip);
	s->skip[s->nskips++] = (struct stock_skip){ file, line };
}

bool stock_is_doubtful(const struct stock *s, uint32_t id)
{
	return id < s->state->nids && s->state->id[id].fault != 0;
}

/* ---- buckets */

/* A lot at more places has its spots in the index. */
enum { SPOTS_FEW = 6 };

/* Lots are mostly numbered in the order in which they come in, and move on in that order. */
static inline uint64_t spot_hash(uint32_t lot, uint32_t place)
{
	return hash_near(lot, place);
}

static uint32_t find_of_many(const struct stock_state *r, uint32_t lot, uint32_t place)
{
	struct hash_probe p = hash_probe_of(&r->spot_index, spot_hash(lot, place));

	while (hash_probe_next(&r->spot_index, &p))
		if (r->spot[p.row].lot == lot && r->spot[p.row].place == place)
			return p.row + 1;
	return 0;
}

/* The spot's index + 1; 0 when there is none. */
static inline uint32_t find_spot(const struct stock_state *r, uint32_t lot, uint32_t place)
{
	uint32_t spot = r->id[lot].of_lot;

	if (r->id[lot].nspots > SPOTS_FEW)
		return find_of_many(r, lot, place);
	while (spot && r->spot[spot - 1].place != place)
		spot = r->spot[spot - 1].of_lot.next;
	return spot;
}

static struct stock_link *link_of(struct stock_state *r, uint32_t spot, bool by_lot)
{
	return by_lot ? &r->spot[spot - 1].of_lot : &r->spot[spot - 1].of_place;
}

/* Puts a spot (index + 1) at the head of a chain; takes it out. */
static void link_in(struct stock_state *r, uint32_t *head, uint32_t spot, bool by_lot)
{
	*link_of(r, spot, by_lot) = (struct stock_link){ *head, 0 };
	if (*head)
		link_of(r, *head, by_lot)->prev = spot;
	*head = spot;
}

static void link_out(struct stock_state *r, uint32_t *head, uint32_t spot, bool by_lot)
{
	struct stock_link link = *link_of(r, spot, by_lot);

	if (link.next)
		link_of(r, link.next, by_lot)->prev = link.prev;
	if (link.prev)
		link_of(r, link.prev, by_lot)->next = link.next;
	else
		*head = link.next;
}

/* Index + 1. */
static uint32_t new_spot(struct stock_state *r)
{
	uint32_t spot = r->spare_spot;

	if (spot) {
		r->spare_spot = r->spot[spot - 1].of_lot.next;
		return spot;
	}
	r->spot = mem_grow(r->spot, &r->spots_cap, r->nspots + 1, sizeof *r->spot);
	return (uint32_t)++r->nspots;
}

static void index_spot(struct stock_state *r, uint32_t spot)
{
	hash_index_add(&r->spot_index, spot_hash(r->spot[spot - 1].lot, r->spot[spot - 1].place), spot - 1);
}

/* Counts one more of a lot, its first: once there are many, all of them are put into the index. */
static void count_spot(struct stock_state *r, uint32_t lot)
{
	uint32_t n = ++r->id[lot].nspots, spot = r->id[lot].of_lot;

	if (n > SPOTS_FEW)
		index_spot(r, spot);
	while (n == SPOTS_FEW + 1 && (spot = r->spot[spot - 1].of_lot.next))
		index_spot(r, spot);
}

static void uncount_spot(struct stock_state *r, uint32_t spot)
{
	uint32_t lot = r->spot[spot - 1].lot, n = r->id[lot].nspots--;

	if (n > SPOTS_FEW)
		hash_index_remove(&r->spot_index, spot_hash(lot, r->spot[spot - 1].place), spot - 1);
	for (uint32_t i = n == SPOTS_FEW + 1 ? r->id[lot].of_lot : 0; i; i = r->spot[i - 1].of_lot.next)
		if (i != spot)
			hash_index_remove(&r->spot_index, spot_hash(lot, r->spot[i - 1].place), i - 1);
}

static struct stock_spot *spot_of(struct stock_state *r, uint32_t lot, uint32_t place)
{
	uint32_t spot = find_spot(r, lot, place);

	if (!spot) {
		spot = new_spot(r);
		r->spot[spot - 1] = (struct stock_spot){ .lot = lot, .place = place };
		link_in(r, &r->id[lot].of_lot, spot, true);
		count_spot(r, lot);
		if (r->id[place].is_alone)
			link_in(r, &r->id[place].of_place, spot, false);
	}
	return &r->spot[spot - 1];
}

static bool same_sort(const struct stock_kind *a, const struct stock_kind *b)
{
	return a->form == b->form && a->type == b->type && a->grade == b->grade && a->class == b->class && a->party == b->party;
}

static uint32_t new_bucket(struct stock_state *r, const struct stock_kind *kind, uint32_t next)
{
	uint32_t at = r->spare_bucket ? r->spare_bucket - 1 : (uint32_t)r->nbuckets;

	if (r->spare_bucket)
		r->spare_bucket = r->bucket[at].next;
	else {
		r->bucket = mem_grow(r->bucket, &r->buckets_cap, r->nbuckets + 1, sizeof *r->bucket);
		r->nbuckets++;
	}
	r->bucket[at] = (struct stock_bucket){ *kind, 0, 0, next };
	return at;
}

static uint32_t bucket_by_index(struct stock_state *r, const struct stock_kind *kind)
{
	uint32_t at = stock_index_find(r, kind);

	if (at)
		return at - 1;
	at = new_bucket(r, kind, 0);
	stock_index_add(r, at);
	return at;
}

static uint32_t bucket_of(struct stock_state *r, const struct stock_kind *kind)
{
	struct stock_spot *spot;
	size_t steps = 0;
	uint32_t at;

	if (r->index)
		return bucket_by_index(r, kind);
	spot = spot_of(r, kind->lot, kind->place);
	for (uint32_t i = spot->first; i; i = r->bucket[i - 1].next, steps++)
		if (same_sort(&r->bucket[i - 1].kind, kind))
			return i - 1;
	at = new_bucket(r, kind, spot->first);
	spot->first = at + 1;
	if (steps > STOCK_CHAIN_MOST)
		stock_index_open(r);
	return at;
}

static bool is_empty(const struct stock_state *r, const struct stock_spot *spot)
{
	for (uint32_t i = spot->first; i; i = r->bucket[i - 1].next)
		if (r->bucket[i - 1].n)
			return false;
	return true;
}

static void settle(struct stock_state *r, const struct stock_bucket *bucket)
{
	if (!bucket->n)
		return;
	r->settled = mem_grow(r->settled, &r->settled_cap, r->nsettled + 1, sizeof *r->settled);
	r->settled[r->nsettled++] = *bucket;
}

/* Its buckets that hold pieces are set apart: no line finds them any more, and they are in nobody's way. */
static void let_spot_go(struct stock_state *r, uint32_t at)
{
	struct stock_spot *spot = &r->spot[at - 1];

	for (uint32_t i = spot->first, next; i; i = next) {
		next = r->bucket[i - 1].next;
		settle(r, &r->bucket[i - 1]);
		r->bucket[i - 1] = (struct stock_bucket){ .next = r->spare_bucket };
		r->spare_bucket = i;
	}
	uncount_spot(r, at);
	link_out(r, &r->id[spot->lot].of_lot, at, true);
	if (r->id[spot->place].is_alone)
		link_out(r, &r->id[spot->place].of_place, at, false);
	*spot = (struct stock_spot){ .of_lot = { r->spare_spot, 0 } };
	r->spare_spot = at;
}

/* Whether a line of a later day can still be about pieces of the lot, which it does not name. */
static bool can_be_meant(const struct stock_state *r, uint32_t lot, int32_t day)
{
	for (uint32_t i = r->id[lot].of_lot; i; i = r->spot[i - 1].of_lot.next)
		if (r->id[r->spot[i - 1].place].last_any > day && !is_empty(r, &r->spot[i - 1]))
			return true;
	return false;
}

/* An index has its own lists of what is there. */
void stock_let_go(struct stock *s, uint32_t lot, int32_t day)
{
	struct stock_state *r = s->state;
	bool all = !r->index && !can_be_meant(r, lot, day);

	for (uint32_t i = r->index ? 0 : r->id[lot].of_lot, next; i; i = next) {
		next = r->spot[i - 1].of_lot.next;
		if (all || is_empty(r, &r->spot[i - 1]))
			let_spot_go(r, i);
	}
}

void stock_settle_all(struct stock_state *r)
{
	for (size_t i = 0; i < r->nbuckets; i++)
		settle(r, &r->bucket[i]);
	free(r->bucket);
	free(r->spot);
	hash_index_release(&r->spot_index);
	stock_index_free(r->index);
	r->bucket = NULL;
	r->spot = NULL;
	r->index = NULL;
}

static inline void keep_undo(struct stock_state *r, enum stock_undo_what what, uint32_t at, int32_t since, int64_t n)
{
	r->undo = mem_grow(r->undo, &r->undos_cap, r->nundos + 1, sizeof *r->undo);
	r->undo[r->nundos++] = (struct stock_undo){ what, at, since, n };
}

static inline void set_number(struct stock_state *r, uint32_t at, int64_t n)
{
	struct stock_bucket *b = &r->bucket[at];

	if (r->hashing)
		r->hash += hash_mix(at + 1u) * ((uint64_t)n - (uint64_t)b->n);
	if (r->index)
		stock_index_number(r, at, b->n > 0, n > 0);
	b->n = n;
}

static void change(struct stock_state *r, uint32_t at, int64_t by, int32_t since)
{
	struct stock_bucket *b = &r->bucket[at];

	keep_undo(r, UNDO_COUNT, at, b->since, b->n);
	if (by > 0)
		b->since = b->n > 0 && b->since < since ? b->since : since;
	set_number(r, at, b->n + by);
}

static void set_born(struct stock_state *r, uint32_t lot, int bit)
{
	keep_undo(r, UNDO_BORN, lot, 0, r->id[lot].born);
	r->id[lot].born = (uint8_t)(r->id[lot].born | bit);
	r->hash += hash_mix((uint64_t)lot << 8) * (uint64_t)bit;
}

/* Notes the handle that a bat now has, where some bat of the book gets another. Which one it is decides of no line. */
static void fit_handle(struct stock_state *r, uint32_t bat, struct stock_fitted handle)
{
	if (!r->fitted)
		return;
	keep_undo(r, UNDO_FITTED, bat, (int32_t)r->fitted[bat].type, r->fitted[bat].lot);
	r->fitted[bat] = handle;
}

void stock_set_fault(struct stock_state *r, uint32_t id, uint32_t fault)
{
	keep_undo(r, UNDO_DOUBT, id, 0, 0);
	r->id[id].fault = fault;
}

static void undo_one(struct stock_state *r, const struct stock_undo *u)
{
	switch (u->what) {
	case UNDO_COUNT:
		set_number(r, u->at, u->n);
		r->bucket[u->at].since = u->since;
		break;
	case UNDO_BORN:
		r->hash -= hash_mix((uint64_t)u->at << 8) * (uint64_t)(r->id[u->at].born - u->n);
		r->id[u->at].born = (uint8_t)u->n;
		break;
	case UNDO_FITTED:
		r->fitted[u->at] = (struct stock_fitted){ (uint32_t)u->n, (uint32_t)u->since };
		break;
	case UNDO_DOUBT:
		r->id[u->at].fault = 0;
		break;
	}
}

void stock_undo(struct stock *s, size_t mark)
{
	struct stock_state *r = s->state;

	while (r->nundos > mark)
		undo_one(r, &r->undo[--r->nundos]);
}

static void tell_flow(struct stock_state *r, const struct stock_flow *flow)
{
	r->flowed = true;
	if (r->telling == TELL_NOW) {
		r->sink(r->context, flow);
		return;
	}
	r->held = mem_grow(r->held, &r->held_cap, r->nheld + 1, sizeof *r->held);
	r->held[r->nheld++] = *flow;
}

static inline void tell(struct stock *s, enum stock_change change_, const struct stock_op *op, const struct stock_kind *from,
	const struct stock_kind *to, int64_t n, uint32_t cause)
{
	static const struct stock_kind nowhere = { .form = -1 };
	struct stock_state *r = s->state;

	if (r->sink && n && r->telling != TELL_NOT)
		tell_flow(r, &(struct stock_flow){ change_, op, from ? *from : nowhere, *to, n, cause });
}

void stock_tell_held(struct stock *s)
{
	for (size_t i = 0; i < s->state->nheld; i++)
		s->state->sink(s->state->context, &s->state->held[i]);
	s->state->nheld = 0;
}

/* ---- picking */

struct pick {
	uint32_t lot, place, type, grade, class, party;
	int32_t form;
	uint32_t fits[2];   /* the first two buckets that fit; of handles for a bat the one to take */
	int nfits;
	bool joins;         /* handles for a bat */
	uint32_t blade;     /* the type of its blade */
	uint32_t misfit;    /* the one to take of those that do not fit that: index + 1 */
};

static bool fits_sort(const struct pick *p, const struct stock_kind *k)
{
	return (p->form < 0 || k->form == p->form) && (p->type == STOCK_ANY || k->type == p->type)
		&& (p->grade == STOCK_ANY || k->grade == p->grade) && (p->class == STOCK_ANY || k->class == p->class)
		&& (p->party == STOCK_ANY || k->party == p->party);
}

static bool fits_spot(const struct stock *s, const struct pick *p, const struct stock_kind *k)
{
	return (p->lot == STOCK_ANY || k->lot == p->lot) && (p->place == STOCK_ANY ? k->place != s->sold : k->place == p->place);
}

static int type_order(const struct stock *s, uint32_t type)
{
	int at = s->house ? house_index(s->house, HOUSE_TYPE, stock_text(s, type)) : -1;

	return at < 0 ? INT_MAX : at;
}

/* Which of two sorts of handles is taken first: by the house's list of types, and then by their words. */
static bool is_before(const struct stock *s, const struct stock_kind *a, const struct stock_kind *b)
{
	const uint32_t x[] = { a->type, a->grade, a->class }, y[] = { b->type, b->grade, b->class };
	int order = (type_order(s, a->type) > type_order(s, b->type)) - (type_order(s, a->type) < type_order(s, b->type));

	for (size_t i = 0; !order && i < sizeof x / sizeof *x; i++)
		order = slice_cmp(stock_text(s, x[i]), stock_text(s, y[i]));
	return order < 0;
}

/* A bucket that fits the selectors. Of handles for a bat one is kept, so that the search goes on to the last. */
static void pick_add(const struct stock *s, struct pick *p, uint32_t at)
{
	const struct stock_bucket *bucket = s->state->bucket;

	if (!p->joins)
		p->fits[p->nfits++] = at;
	else if (!house_handle_fits(s->house, stock_text(s, bucket[at].kind.type), stock_text(s, p->blade)))
		p->misfit = !p->misfit || is_before(s, &bucket[at].kind, &bucket[p->misfit - 1].kind) ? at + 1 : p->misfit;
	else if (!p->nfits || is_before(s, &bucket[at].kind, &bucket[p->fits[0]].kind)) {
		p->fits[0] = at;
		p->nfits = 1;
	}
}

/* Both return how many steps it took. */
static size_t pick_from_spot(const struct stock *s, uint32_t spot, struct pick *p)
{
	const struct stock_state *r = s->state;
	size_t steps = 1;

	for (uint32_t i = r->spot[spot].first; i && p->nfits < 2; i = r->bucket[i - 1].next, steps++)
		if (r->bucket[i - 1].n > 0 && fits_sort(p, &r->bucket[i - 1].kind))
			pick_add(s, p, i - 1);
	return steps;
}

static size_t pick_from_chains(struct stock *s, struct pick *p)
{
	struct stock_state *r = s->state;
	size_t steps = 0;

	if (p->lot != STOCK_ANY && p->place != STOCK_ANY) {
		uint32_t spot = find_spot(r, p->lot, p->place);

		if (spot)
			steps += pick_from_spot(s, spot - 1, p);
	} else if (p->lot != STOCK_ANY) {
		for (uint32_t i = r->id[p->lot].of_lot; i && p->nfits < 2; i = r->spot[i - 1].of_lot.next)
			if (r->spot[i - 1].place != s->sold)
				steps += pick_from_spot(s, i - 1, p);
	} else if (p->place != STOCK_ANY)
		for (uint32_t i = r->id[p->place].of_place; i && p->nfits < 2; i = r->spot[i - 1].of_place.next)
			steps += pick_from_spot(s, i - 1, p);
	return steps;
}

static void pick_by_index(const struct stock *s, struct pick *p)
{
	const uint32_t ids[STOCK_LISTS] = { p->lot, p->place, p->type, p->grade };
	const struct stock_state *r = s->state;
	int list = 0;

	for (uint32_t i = stock_index_shortest(r, ids, &list); i && p->nfits < 2; i = stock_index_next(r, i, list))
		if (fits_spot(s, p, &r->bucket[i - 1].kind) && fits_sort(p, &r->bucket[i - 1].kind))
			pick_add(s, p, i - 1);
}

/* Finds what fits; where no place is named, anywhere but among what was sold. */
static void pick_find(struct stock *s, struct pick *p)
{
	p->nfits = 0;
	p->misfit = 0;
	if (p->lot == STOCK_ANY && p->place == STOCK_ANY)
		return;
	if (s->state->index)
		pick_by_index(s, p);
	else if (pick_from_chains(s, p) > STOCK_CHAIN_MOST)
		stock_index_open(s->state);
}

static struct pick pick_of(const struct stock_op *op)
{
	return (struct pick){ .lot = op->lot, .place = op->at, .type = op->type, .grade = op->grade, .class = op->class,
		.party = STOCK_ANY, .form = op->form };
}

static bool fail(struct stock_fault *f, enum stock_why why, uint32_t lot, int64_t have, int64_t need)
{
	f->why = why;
	f->lot = lot;
	f->have = have;
	f->need = need;
	return false;
}

/* The one bucket that fits, with `need` pieces in it. */
static bool pick_one(struct stock *s, struct pick *p, int64_t need, struct stock_fault *f)
{
	pick_find(s, p);
	if (p->nfits == 0)
		return need == 0 ? true : fail(f, WHY_ABSENT, p->lot, 0, need);
	if (p->nfits > 1)
		return fail(f, WHY_AMBIGUOUS, p->lot, 0, need);
	if (s->state->bucket[p->fits[0]].n < need)
		return fail(f, WHY_SHORT, p->lot, s->state->bucket[p->fits[0]].n, need);
	return true;
}

int64_t stock_number(const struct stock *s, const struct stock_kind *kind)
{
	const struct stock_state *r = s->state;
	uint32_t at = r->index ? stock_index_find(r, kind) : 0, spot = r->index ? 0 : find_spot(r, kind->lot, kind->place);

	for (uint32_t i = spot ? r->spot[spot - 1].first : 0; i && !at; i = r->bucket[i - 1].next)
		if (same_sort(&r->bucket[i - 1].kind, kind))
			at = i;
	return at ? r->bucket[at - 1].n : 0;
}

static void add_lot_at(const struct stock_state *r, uint32_t bucket, uint32_t **lot, size_t *n, size_t *cap)
{
	if (r->bucket[bucket].n <= 0)
		return;
	*lot = mem_grow(*lot, cap, *n + 1, sizeof **lot);
	(*lot)[(*n)++] = r->bucket[bucket].kind.lot;
}

void stock_lots_at(const struct stock *s, uint32_t place, uint32_t **lot, size_t *n, size_t *cap)
{
	const uint32_t ids[STOCK_LISTS] = { STOCK_ANY, place, STOCK_ANY, STOCK_ANY };
	const struct stock_state *r = s->state;
	int list = 0;

	for (uint32_t i = r->index ? stock_index_shortest(r, ids, &list) : 0; i; i = stock_index_next(r, i, list))
		add_lot_at(r, i - 1, lot, n, cap);
	if (r->index)
		return;
	for (uint32_t i = r->id[place].of_place; i; i = r->spot[i - 1].of_place.next)
		for (uint32_t b = r->spot[i - 1].first; b; b = r->bucket[b - 1].next)
			add_lot_at(r, b - 1, lot, n, cap);
}

/* ---- what the events do */

static int64_t sum_of(const struct stock *s, uint32_t first, uint32_t n)
{
	int64_t sum = 0;

	for (uint32_t i = first; i < first + n; i++)
		sum += s->item[i].n;
	return sum;
}

struct stock_kind stock_becomes(const struct stock_op *op, const struct stock_item *item, struct stock_kind from)
{
	struct stock_kind to = from;

	if (op->event->stock.makes >= 0 && from.form != op->event->stock.makes) {
		to.form = op->event->stock.makes;
		to.grade = to.class = 0;
	}
	if (op->into != STOCK_ANY)
		to.place = op->into;
	to.party = op->event->stock.give == GIVE_SOLD ? op->party : 0;
	if (item && item->type != STOCK_ANY)
		to.type = item->type;
	if (item && item->grade != STOCK_ANY)
		to.grade = item->grade;
	if (item && item->class != STOCK_ANY)
		to.class = item->class;
	return to;
}

static void give(struct stock *s, const struct stock_op *op, enum stock_change change_, const struct stock_kind *from, int32_t since,
	struct stock_kind to, int64_t n)
{
	uint32_t at;

	if (n == 0)
		return;
	at = bucket_of(s->state, &to);
	change(s->state, at, n, from && from->form != to.form ? op->day : since);
	tell(s, change_, op, from, &to, n, 0);
}

static void lose(struct stock *s, const struct stock_op *op, struct stock_kind from)
{
	struct stock_kind to = from;

	to.place = s->culled;
	to.party = 0;
	for (uint32_t i = op->culls; i < op->culls + op->nculls; i++)
		tell(s, STOCK_LOST, op, &from, &to, s->item[i].n, s->item[i].word);
}

/* The pieces of the picked bucket go on and are lost as the line says. */
static void carry(struct stock *s, const struct stock_op *op, uint32_t at, int64_t need)
{
	const struct stock_bucket b = s->state->bucket[at];

	if (need)
		s->state->taken = b.kind.lot;
	change(s->state, at, -need, 0);
	for (uint32_t i = op->counts; i < op->counts + op->ncounts; i++)
		give(s, op, STOCK_GONE_ON, &b.kind, b.since, stock_becomes(op, &s->item[i], b.kind), s->item[i].n);
	if (!op->counted && op->event->stock.number != NUMBER_CULL)
		give(s, op, STOCK_GONE_ON, &b.kind, b.since, stock_becomes(op, NULL, b.kind), need - sum_of(s, op->culls, op->nculls));
	lose(s, op, b.kind);
}

/* How many pieces the line needs. */
static int64_t needed(const struct stock *s, const struct stock_op *op)
{
	int64_t culls = sum_of(s, op->culls, op->nculls);

	if (op->event->stock.number == NUMBER_ONE)
		return 1;
	if (op->event->stock.number == NUMBER_CULL)
		return culls;
	if (op->uncounted)
		return culls > 1 ? culls : 1;
	return sum_of(s, op->counts, op->ncounts) + culls;
}

/* Whether the lot has pieces that are not a bat, so that the line should have had a count. */
static bool wants_count(struct stock *s, const struct pick *pick)
{
	struct pick p = *pick;

	p.form = -1;
	pick_find(s, &p);
	for (int i = 0; i < p.nfits; i++)
		if (s->state->bucket[p.fits[i]].kind.form != FORM_BAT)
			return true;
	return false;
}

/* Both are of pieces that the pick finds; without a count they are of a bat. */
static bool apply_picked(struct stock *s, const struct stock_op *op, struct pick *p, struct stock_fault *f)
{
	int64_t need = needed(s, op);

	if (!pick_one(s, p, need, f)) {
		if (op->uncounted && wants_count(s, p))
			f->why = WHY_NO_COUNT;
		return false;
	}
	if (p->nfits)
		carry(s, op, p->fits[0], need);
	return true;
}

static bool apply_pick(struct stock *s, const struct stock_op *op, struct stock_fault *f)
{
	struct pick p = pick_of(op);

	return apply_picked(s, op, &p, f);
}

/* The sort that the selectors describe, and none where they say nothing. */
static struct stock_kind described(const struct stock_op *op)
{
	return (struct stock_kind){ .lot = op->lot, .place = op->at, .type = op->type == STOCK_ANY ? 0 : op->type,
		.grade = op->grade == STOCK_ANY ? 0 : op->grade, .class = op->class == STOCK_ANY ? 0 : op->class, .form = op->form };
}

/* A bat is one piece: whether the op, which finds so many of them, would make it more. */
static bool is_second_bat(struct stock *s, const struct stock_op *op, int32_t form, int64_t found)
{
	struct pick p = { .lot = op->lot, .place = STOCK_ANY, .type = STOCK_ANY, .grade = STOCK_ANY, .class = STOCK_ANY, .party = STOCK_ANY,
		.form = FORM_BAT };

	if (form != FORM_BAT || !found)
		return false;
	pick_find(s, &p);
	return found + p.nfits > 1;
}

static bool apply_tally(struct stock *s, const struct stock_op *op, struct stock_fault *f)
{
	struct pick p = pick_of(op);
	int64_t there = needed(s, op), book;
	struct stock_kind kind = described(op);

	pick_find(s, &p);
	if (p.nfits > 1)
		return fail(f, WHY_AMBIGUOUS, op->lot, 0, there);
	book = p.nfits ? s->state->bucket[p.fits[0]].n : 0;
	if (there != book + op->found)
		return fail(f, WHY_TALLY, op->lot, book, there);
	if (p.nfits)
		kind = s->state->bucket[p.fits[0]].kind;
	else if (op->found && (op->form < 0 || op->type == STOCK_ANY))
		return fail(f, WHY_TALLY_UNKNOWN, op->lot, book, there);
	if (is_second_bat(s, op, kind.form, op->found))
		return fail(f, WHY_TWO_BATS, op->lot, book, there);
	if (op->found) {
		give(s, op, STOCK_FOUND, NULL, op->since, kind, op->found);
		set_born(s->state, op->lot, BORN_TALLY & ~s->state->id[op->lot].born);
	}
	if (there)
		carry(s, op, bucket_of(s->state, &kind), there);
	return true;
}

static bool apply_birth(struct stock *s, const struct stock_op *op, struct stock_fault *f)
{
	int bit = op->event->stock.makes == FORM_CLEFT ? BORN_CLEAVE : BORN_ONCE;
	int born = s->state->id[op->lot].born;
	struct stock_kind kind = { .lot = op->lot, .place = op->into, .form = op->event->stock.makes >= 0 ? op->event->stock.makes : op->form };
	struct stock_kind lost = kind;

	if (bit == BORN_CLEAVE ? born & BORN_ONCE : born)
		return fail(f, WHY_AGAIN, op->lot, 0, 0);
	if (op->into == STOCK_ANY && sum_of(s, op->counts, op->ncounts))
		return fail(f, WHY_NO_INTO, op->lot, 0, 0);
	if (kind.form < 0)
		kind.form = FORM_CLEFT;
	if (is_second_bat(s, op, kind.form, sum_of(s, op->counts, op->ncounts)))
		return fail(f, WHY_TWO_BATS, op->lot, 0, sum_of(s, op->counts, op->ncounts));
	for (uint32_t i = op->counts; i < op->counts + op->ncounts; i++)
		give(s, op, STOCK_BORN, NULL, op->day, stock_becomes(op, &s->item[i], kind), s->item[i].n);
	lost.place = s->culled;
	if (op->nculls)
		tell(s, STOCK_BORN, op, NULL, &lost, sum_of(s, op->culls, op->nculls), 0);
	lose(s, op, lost);
	set_born(s->state, op->lot, bit & ~born);
	return true;
}

static bool apply_pool(struct stock *s, const struct stock_op *op, struct stock_fault *f)
{
	size_t mark = s->state->nundos;
	struct stock_kind first = { .form = -1 };

	if (s->state->id[op->subject].born)
		return fail(f, WHY_AGAIN, op->subject, 0, 0);
	for (uint32_t i = op->counts; i < op->counts + op->ncounts; i++) {
		struct pick p = pick_of(op);
		struct stock_bucket b;
		struct stock_kind to;

		if (!s->item[i].n)
			continue;
		p.lot = s->item[i].word;
		if (!pick_one(s, &p, s->item[i].n, f)) {
			stock_undo(s, mark);
			return false;
		}
		b = s->state->bucket[p.fits[0]];
		if (first.form >= 0 && !same_sort(&b.kind, &first)) {
			stock_undo(s, mark);
			return fail(f, WHY_MIXED, p.lot, 0, s->item[i].n);
		}
		first = b.kind;
		to = b.kind;
		to.lot = op->subject;
		change(s->state, p.fits[0], -s->item[i].n, 0);
		give(s, op, STOCK_GONE_ON, &b.kind, b.since, to, s->item[i].n);
	}
	set_born(s->state, op->subject, BORN_ONCE);
	return true;
}

/* A handle for a blade, or a bat, that was picked. */
static bool pick_handle(struct stock *s, const struct stock_op *op, const struct pick *blade, struct pick *handle, struct stock_fault *f)
{
	*handle = (struct pick){ .lot = op->handle, .place = op->at, .type = stock_op_refits(op) ? op->type : STOCK_ANY, .grade = STOCK_ANY,
		.class = STOCK_ANY, .party = STOCK_ANY, .form = FORM_HANDLE, .joins = true,
		.blade = s->state->bucket[blade->fits[0]].kind.type };
	if (pick_one(s, handle, 1, f))
		return true;
	if (!handle->misfit)
		return false;
	handle->fits[0] = handle->misfit - 1;
	return op->misfits || fail(f, WHY_MISFIT, op->handle, 0, 1);
}

static bool apply_pair(struct stock *s, const struct stock_op *op, struct stock_fault *f)
{
	struct pick blade = pick_of(op), handle;
	struct stock_kind b, h, bat;

	if (s->state->id[op->subject].born)
		return fail(f, WHY_AGAIN, op->subject, 0, 0);
	blade.lot = op->blade;
	blade.form = FORM_BLADE;
	if (!pick_one(s, &blade, 1, f) || !pick_handle(s, op, &blade, &handle, f))
		return false;
	b = s->state->bucket[blade.fits[0]].kind;
	h = s->state->bucket[handle.fits[0]].kind;
	bat = b;
	bat.lot = op->subject;
	bat.form = FORM_BAT;
	change(s->state, blade.fits[0], -1, 0);
	change(s->state, handle.fits[0], -1, 0);
	change(s->state, bucket_of(s->state, &bat), 1, op->day);
	tell(s, STOCK_JOINED, op, &b, &bat, 1, 0);
	tell(s, STOCK_JOINED, op, &h, &bat, 1, 0);
	set_born(s->state, op->subject, BORN_ONCE);
	fit_handle(s->state, op->subject, (struct stock_fitted){ h.lot, h.type });
	return true;
}

/* The old handle is culled, and is of the lot that it went into the bat from, if the book knows of it. */
static void tell_came_off(struct stock *s, const struct stock_op *op, struct stock_fitted old)
{
	struct stock_kind from = { .lot = old.lot, .place = op->at, .type = old.type, .form = FORM_HANDLE }, to = from;

	to.place = s->culled;
	for (uint32_t i = op->culls; old.lot && i < op->culls + op->nculls; i++)
		tell(s, STOCK_CAME_OFF, op, &from, &to, s->item[i].n, s->item[i].word);
}

/* The bat stays as it is; a handle of the stock goes into it, and its old one is culled. */
static bool apply_refit(struct stock *s, const struct stock_op *op, struct stock_fault *f)
{
	struct pick bat = { .lot = op->subject, .place = op->at, .type = STOCK_ANY, .grade = STOCK_ANY, .class = STOCK_ANY, .party = STOCK_ANY,
		.form = FORM_BAT };
	struct pick handle;
	struct stock_kind b, h;

	if (!pick_one(s, &bat, 1, f) || !pick_handle(s, op, &bat, &handle, f))
		return false;
	b = s->state->bucket[bat.fits[0]].kind;
	h = s->state->bucket[handle.fits[0]].kind;
	change(s->state, handle.fits[0], -1, 0);
	if (s->state->fitted)
		tell_came_off(s, op, s->state->fitted[op->subject]);
	tell(s, STOCK_JOINED, op, &h, &b, 1, 0);
	fit_handle(s->state, op->subject, (struct stock_fitted){ h.lot, h.type });
	return true;
}

/* The only party that has it, where that is not the one of the line; else 0. */
static uint32_t buyer_of(struct stock *s, const struct stock_op *op, struct pick *p)
{
	if (op->counted || op->party == STOCK_ANY)
		return 0;
	p->party = STOCK_ANY;
	pick_find(s, p);
	return p->nfits == 1 && s->state->bucket[p->fits[0]].n > 0 ? s->state->bucket[p->fits[0]].kind.party : 0;
}

static bool apply_sold(struct stock *s, const struct stock_op *op, struct stock_fault *f)
{
	struct pick p = pick_of(op);

	p.place = s->sold;
	p.party = op->party;
	if (apply_picked(s, op, &p, f))
		return true;
	if (f->why != WHY_ABSENT && f->why != WHY_SHORT)
		return false;
	f->buyer = buyer_of(s, op, &p);
	f->why = f->buyer ? WHY_OTHER_BUYER : WHY_NOT_SOLD;
	return false;
}

bool stock_apply(struct stock *s, uint32_t index, struct stock_fault *f)
{
	const struct stock_op *op = &s->op[index];

	*f = (struct stock_fault){ .op = index };
	s->state->taken = 0;
	switch (op->event->stock.take) {
	case TAKE_NONE:
		return apply_birth(s, op, f);
	case TAKE_PICK:
		return op->event->stock.number == NUMBER_TALLY ? apply_tally(s, op, f) : apply_pick(s, op, f);
	case TAKE_LOTS:
		return apply_pool(s, op, f);
	case TAKE_PAIR:
		return stock_op_refits(op) ? apply_refit(s, op, f) : apply_pair(s, op, f);
	case TAKE_SOLD:
		return apply_sold(s, op, f);
	}
	return false;
}
