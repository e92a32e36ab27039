#include "cost/carry.h"

#include <stdlib.h>

#include "cost/cost_book.h"

/* Some pieces that a line made of some that it took. */
struct carried {
	uint32_t batch;
	struct layer_facts is;
	int64_t n, worth;          /* worth: of a first grade, or -1 */
	bool first;                /* they get their first grade */
};

void carry_init(struct carry *c, struct holdings *h, struct spread_out *out, int32_t since, int32_t today)
{
	*c = (struct carry){ .h = h, .out = out, .since = since, .today = today, .lost = out->lost };
	c->loss = mem_zeroed(h->nmoney + 1, sizeof *c->loss);
	c->last_graded = mem_zeroed(h->nids, sizeof *c->last_graded);
	if (since == INT32_MIN)
		account_open(&h->account);
}

void carry_release(struct carry *c)
{
	free(c->flow);
	free(c->ahead);
	free(c->flow_loss);
	free(c->hand.part);
	free(c->hand.money);
	free(c->made);
	free(c->made_money);
	free(c->loss);
	free(c->graded);
	free(c->last_graded);
	free(c->graded_money);
	free(c->shares);
	free(c->weights);
	free(c->places);
	money_room_release(&c->room);
	*c = (struct carry){ .h = NULL };
}

static int64_t *room_for(int64_t **array, size_t *cap, size_t n)
{
	*array = mem_grow(*array, cap, n, sizeof **array);
	return *array;
}

/* ---- days */

static void open_on(struct carry *c, int32_t day)
{
	if (!c->h->account.counting && day >= c->since)
		account_open(&c->h->account);
}

/* ---- joint products: the gradings of a lot on a day */

static void divide_element(struct carry *c, const uint32_t *at, size_t n, const int128 *weight, size_t e, int64_t *share)
{
	size_t nmoney = c->h->nmoney;
	int64_t sum = 0;

	for (size_t i = 0; i < n; i++)
		sum += c->graded_money[at[i] * nmoney + e];
	if (!sum)
		return;
	money_share_in(&c->room, sum, weight, n, share);
	for (size_t i = 0; i < n; i++) {
		const struct graded *g = &c->graded[at[i]];

		holdings_add(c->h, g->layer, e, share[i] - c->graded_money[at[i] * nmoney + e], c->h->layer[g->layer].stage);
	}
}

static void divide_lot(struct carry *c, const uint32_t *at, size_t n)
{
	const struct cost_book *book = c->h->book;
	int128 *weight = mem_array(n, sizeof *weight), all = 0;
	int64_t *share = mem_array(n, sizeof *share);
	bool known = true;

	for (size_t i = 0; i < n; i++) {
		const struct graded *g = &c->graded[at[i]];

		known &= g->worth >= 0;
		weight[i] = (int128)g->n * (g->worth > 0 ? g->worth : 0);
		all += weight[i];
	}
	for (size_t i = 0; !known && i < n; i++)
		c->unweighed += c->graded[at[i]].n;
	for (size_t e = 0; known && all > 0 && e < c->h->nmoney; e++)
		if (book->element[e % book->nelements].by_worth)
			divide_element(c, at, n, weight, e, share);
	free(weight);
	free(share);
}

/* The lot's gradings of the day, in their order; its blades wait for no more. */
static size_t take_graded(struct carry *c, uint32_t lot, uint32_t *at)
{
	uint32_t last = c->last_graded[lot], i = last ? c->graded[last - 1].next : 0;
	size_t n = 0;

	for (bool more = last; more; i = c->graded[i].next) {
		at[n++] = i;
		c->h->batch[c->h->layer[c->graded[i].layer].batch].pending = false;
		more = i + 1 != last;
	}
	c->last_graded[lot] = 0;
	return n;
}

static void settle_lot(struct carry *c, uint32_t lot)
{
	uint32_t *at = mem_array(c->ngraded, sizeof *at);
	size_t n = take_graded(c, lot, at);

	if (n > 1)
		divide_lot(c, at, n);
	free(at);
}

static void settle_day(struct carry *c)
{
	for (size_t i = 0; i < c->ngraded; i++)
		if (c->last_graded[c->graded[i].lot])
			settle_lot(c, c->graded[i].lot);
	c->ngraded = 0;
}

static void note_graded(struct carry *c, uint32_t lot, uint32_t layer, const struct carried *made, const int64_t *money)
{
	uint32_t last = c->last_graded[lot], at = (uint32_t)c->ngraded, first = at;
	size_t nmoney = c->h->nmoney;

	if (!nmoney)
		return;
	c->graded = mem_grow(c->graded, &c->graded_cap, c->ngraded + 1, sizeof *c->graded);
	c->graded_money = mem_grow(c->graded_money, &c->graded_money_cap, (c->ngraded + 1) * nmoney, sizeof *c->graded_money);
	if (last) {
		first = c->graded[last - 1].next;
		c->graded[last - 1].next = at;
	}
	c->graded[at] = (struct graded){ lot, layer, first, made->n, made->worth };
	memcpy(c->graded_money + at * nmoney, money, nmoney * sizeof *money);
	c->last_graded[lot] = (uint32_t)++c->ngraded;
	c->h->batch[made->batch].pending = true;
}

/* ---- what a line makes of what it takes */

/* The batches that a flow's pieces come from and go into. */
static uint32_t batch_from(const struct carry *c, const struct stock_flow *f)
{
	return holdings_batch_at(c->h, &f->from, c->ahead[f - c->flow].from_hash);
}

static uint32_t batch_to(const struct carry *c, const struct stock_flow *f)
{
	return holdings_batch_at(c->h, &f->to, c->ahead[f - c->flow].to_hash);
}

static size_t made_new(struct carry *c, uint32_t batch, const struct layer_facts *is, int64_t n)
{
	size_t nmoney = c->h->nmoney;

	c->made = mem_grow(c->made, &c->made_cap, c->nmade + 1, sizeof *c->made);
	c->made_money = mem_grow(c->made_money, &c->made_money_cap, (c->nmade + 1) * nmoney, sizeof *c->made_money);
	c->made[c->nmade] = (struct carried){ batch, *is, n, -1, false };
	if (nmoney)
		memset(c->made_money + c->nmade * nmoney, 0, nmoney * sizeof *c->made_money);
	return c->nmade++;
}

/* The element of the losses of an element. */
static size_t loss_of(const struct carry *c, size_t e)
{
	size_t n = c->h->nmoney / 2;

	return e < n ? e + n : e;
}

static void add_loss(struct carry *c, size_t e, int64_t amount)
{
	c->loss[loss_of(c, e)] += amount;
	c->has_loss = true;
}

/* Pieces become what they are after a flow. */
static void facts_after(struct carry *c, const struct stock_flow *f, struct layer_facts *is)
{
	struct cohort_key was = c->h->cohort[is->cohort].key, key = was;
	bool moves = f->from.place != f->to.place;
	uint32_t charge = moves ? holdings_charge(c->h, f->to.place) : 0;

	if (f->change == STOCK_GONE_ON && f->from.lot != f->to.lot)
		key.pool = f->to.lot;
	if (charge) {
		key.charge = charge;
		is->mixed = false;
	}
	if (key.pool != was.pool || key.charge != was.charge)
		is->cohort = holdings_cohort(c->h, key);
	if (f->from.form != f->to.form)
		is->since = f->op->day;
	if (moves)
		is->here = f->op->day;
	if (f->to.form == FORM_BLADE && f->to.grade && is->ready == INT32_MAX)
		is->ready = f->op->day;
}

/*
 * How many pieces of each part each flow has: count[flow * parts + part]. `left` has room for the parts. One flow has all: of a
 * bat, which is one piece, its blade and its handle.
 */
static void divide_counts(struct carry *c, const struct stock_flow *f, size_t nflows, int64_t *left, int64_t *count)
{
	size_t parts = c->hand.n;

	for (size_t p = 0; nflows == 1 && p < parts; p++)
		count[p] = c->hand.part[p].n;
	for (size_t i = 0; parts == 1 && i < nflows; i++)
		count[i] = f[i].n;
	if (parts == 1 || nflows == 1)
		return;
	for (size_t p = 0; p < parts; p++)
		left[p] = c->hand.part[p].n;
	for (size_t i = 0; i < nflows; i++) {
		money_share_small(&c->room, f[i].n, left, parts, count + i * parts);
		for (size_t p = 0; p < parts; p++)
			left[p] -= count[i * parts + p];
	}
}

/* Money of an element goes to what a flow made, as its place + 1, or into its loss if that is 0. */
static void give(struct carry *c, size_t flow, size_t made, size_t e, int64_t amount)
{
	if (made) {
		c->made_money[(made - 1) * c->h->nmoney + e] += amount;
		return;
	}
	add_loss(c, e, amount);
	c->flow_loss[flow] += amount;
}

static int128 sum_of(const int64_t *weight, size_t n)
{
	int128 sum = 0;

	for (size_t i = 0; i < n; i++)
		sum += weight[i];
	return sum;
}

/* The one that has all, or n: none, or several. */
static size_t only_one(const int64_t *weight, size_t n, int128 sum)
{
	for (size_t i = 0; i < n; i++)
		if (weight[i])
			return weight[i] == sum ? i : n;
	return n;
}

/*
 * The money of one part, over the flows from `first` on by its pieces in them. `made` has the place in c->made + 1, or 0
 * for a loss.
 */
static void divide_part(struct carry *c, size_t p, size_t first, size_t nflows, const int64_t *weight, const size_t *made, int64_t *share)
{
	const int64_t *money = hand_money(c->h, &c->hand, p);
	int128 sum = sum_of(weight, nflows);
	size_t only = only_one(weight, nflows, sum);

	for (size_t e = 0; e < c->h->nmoney; e++) {
		if (!money[e])
			continue;
		if (only < nflows) {
			give(c, first + only, made[only], e, money[e]);
			continue;
		}
		money_share_by(&c->room, money[e], sum, weight, nflows, share);
		for (size_t i = 0; i < nflows; i++)
			give(c, first + i, made[i], e, share[i]);
	}
}

static int64_t worth_of(const struct carry *c, const struct stock_flow *f)
{
	return cost_book_worth(c->h->book, f->op->day, f->to.grade);
}

static bool is_first_grade(const struct stock_flow *f)
{
	return f->change == STOCK_GONE_ON && f->to.form == FORM_BLADE && f->to.grade && !f->from.grade;
}

/* What becomes of pieces of several charges is not known of each: then their charges are shares. */
static void mark_mixed(struct carry *c, size_t nflows)
{
	struct hand_part *part = c->hand.part;
	bool several = false;

	for (size_t p = 1; p < c->hand.n; p++)
		several |= c->h->cohort[part[p].is.cohort].key.charge != c->h->cohort[part[0].is.cohort].key.charge;
	for (size_t p = 0; several && nflows > 1 && p < c->hand.n; p++)
		part[p].is.mixed = true;
}

/* Over flows from one batch. */
static void divide(struct carry *c, const struct stock_flow *f, size_t nflows)
{
	size_t parts = c->hand.n, *made;
	int64_t *count = room_for(&c->shares, &c->shares_cap, nflows * (parts + 1)), *share = count + nflows * parts;
	int64_t *weight = room_for(&c->weights, &c->weights_cap, nflows > parts ? nflows : parts);

	c->places = mem_grow(c->places, &c->places_cap, nflows, sizeof *c->places);
	made = c->places;
	mark_mixed(c, nflows);
	divide_counts(c, f, nflows, weight, count);
	for (size_t p = 0; p < parts; p++) {
		for (size_t i = 0; i < nflows; i++) {
			int64_t n = count[i * parts + p];

			weight[i] = n;
			made[i] = 0;
			if (f[i].change == STOCK_LOST)
				c->h->cohort[c->h->cohort[c->hand.part[p].is.cohort].base].culled += n;
			else if (n) {
				struct layer_facts is = c->hand.part[p].is;

				facts_after(c, &f[i], &is);
				made[i] = made_new(c, batch_to(c, &f[i]), &is, n) + 1;
				c->made[made[i] - 1].first = is_first_grade(&f[i]);
				c->made[made[i] - 1].worth = is_first_grade(&f[i]) ? worth_of(c, &f[i]) : -1;
			}
		}
		divide_part(c, p, (size_t)(f - c->line), nflows, weight, made, share);
	}
}

/* ---- losses */

/* Over what the line let go on. */
static void carry_by_made(struct carry *c)
{
	size_t nmoney = c->h->nmoney;
	int64_t *weight = room_for(&c->weights, &c->weights_cap, c->nmade), *share = room_for(&c->shares, &c->shares_cap, c->nmade);
	int128 sum;

	for (size_t i = 0; i < c->nmade; i++)
		weight[i] = c->made[i].n;
	sum = sum_of(weight, c->nmade);
	for (size_t e = 0; e < nmoney; e++) {
		if (!c->loss[e])
			continue;
		money_share_by(&c->room, c->loss[e], sum, weight, c->nmade, share);
		for (size_t i = 0; i < c->nmade; i++)
			c->made_money[i * nmoney + e] += share[i];
		c->loss[e] = 0;
	}
	c->has_loss = false;
}

/* Over layers, which are many: each has n pieces. */
static void carry_by_layers(struct carry *c, const uint32_t *layer, size_t n)
{
	int64_t *weight = room_for(&c->weights, &c->weights_cap, n), *share = room_for(&c->shares, &c->shares_cap, n);

	for (size_t i = 0; i < n; i++)
		weight[i] = c->h->layer[layer[i]].n;
	for (size_t e = 0; e < c->h->nmoney; e++) {
		if (!c->loss[e])
			continue;
		money_share_small(&c->room, c->loss[e], weight, n, share);
		for (size_t i = 0; i < n; i++)
			holdings_add(c->h, layer[i], e, share[i], c->hand.stage);
		c->loss[e] = 0;
	}
	c->has_loss = false;
}

/* Adds a layer to a list if its pieces are in stock. */
static void list_layer(const struct holdings *h, uint32_t at, uint32_t **list, size_t *n, size_t *cap)
{
	const struct held_layer *l = &h->layer[at - 1];

	if (l->stage == ACCOUNT_SOLD)
		return;
	*list = mem_grow(*list, cap, *n + 1, sizeof **list);
	(*list)[(*n)++] = at - 1;
}

/* Over the rest of the batch, or what is left of the lot in stock. */
static void carry_by_rest(struct carry *c, uint32_t batch, uint32_t lot)
{
	struct holdings *h = c->h;
	uint32_t *list = NULL;
	size_t n = 0, cap = 0;

	for (uint32_t at = h->batch[batch].first; at; at = h->layer[at - 1].next)
		list_layer(h, at, &list, &n, &cap);
	for (uint32_t k = n ? 0 : h->of_lot[lot]; k; k = h->cohort[k - 1].next_of_lot)
		for (uint32_t i = h->cohort[k - 1].nslots; i; i--)
			if (h->cohort[k - 1].slot[i - 1].layer)
				list_layer(h, h->cohort[k - 1].slot[i - 1].layer, &list, &n, &cap);
	if (n)
		carry_by_layers(c, list, n);
	free(list);
}

static void lose_rest(struct carry *c)
{
	size_t nelements = c->h->nmoney / 2;

	for (size_t e = nelements; e < c->h->nmoney; e++) {
		account_move(&c->h->account, c->hand.stage, ACCOUNT_LOST, c->loss[e]);
		c->lost[e - nelements] += c->loss[e];
		c->loss[e] = 0;
	}
	c->has_loss = false;
}

/* ---- a line */

static void put_made(struct carry *c, uint32_t lot)
{
	for (size_t i = 0; i < c->nmade; i++) {
		const int64_t *money = c->made_money + i * c->h->nmoney;
		uint32_t layer = holdings_put(c->h, c->made[i].batch, &c->made[i].is, c->made[i].n, money, c->hand.stage);

		if (c->made[i].first)
			note_graded(c, lot, layer, &c->made[i], money);
	}
	c->nmade = 0;
}

/* Pieces that all become the same are not divided; `become` says what. Returns whether they were moved. */
static bool move_alike(struct carry *c, const struct stock_flow *f, uint32_t from, uint32_t to,
	void become(struct carry *c, const struct stock_flow *f, struct layer_facts *is))
{
	bool stays = f->from.place == f->to.place;
	int64_t left = f->n;

	if (!holdings_may_move(c->h, from, to, left))
		return false;
	while (holdings_has_more(c->h, from, left)) {
		struct layer_facts was = holdings_first(c->h, from, left), is = was;
		int64_t some;

		become(c, f, &is);
		some = holdings_move(c->h, from, to, left, &is);

		left -= was.handle ? 0 : some;
		if (!stays)
			spread_out_leave(c->out, &was, f->from.place, some, f->op->day);
	}
	return true;
}

/* Those of a place, which its costs are spread by. */
static void leave(struct carry *c, const struct stock_flow *f, size_t nflows)
{
	bool stays = true;

	for (size_t i = 0; i < nflows; i++)
		stays &= f[i].to.place == f->from.place;
	for (size_t p = 0; !stays && p < c->hand.n; p++)
		spread_out_leave(c->out, &c->hand.part[p].is, f->from.place, c->hand.part[p].n, f->op->day);
}

/* Flows of one line from one batch. */
static void go_on(struct carry *c, const struct stock_flow *f, size_t nflows)
{
	uint32_t batch = batch_from(c, f), lot;
	int64_t n = 0;

	for (size_t i = 0; i < nflows; i++)
		n += f[i].n;
	if (c->h->batch[batch].pending)
		settle_lot(c, f->from.lot);
	if (nflows == 1 && f->change == STOCK_GONE_ON && !is_first_grade(f) && move_alike(c, f, batch, batch_to(c, f), facts_after))
		return;
	holdings_take(c->h, batch, n, f->op->day, &c->hand);
	leave(c, f, nflows);
	if (!c->hand.n)
		return;
	lot = c->h->cohort[c->hand.part[0].is.cohort].key.lot;
	divide(c, f, nflows);
	if (c->has_loss && c->nmade)
		carry_by_made(c);
	put_made(c, f->from.lot);
	if (c->has_loss)
		carry_by_rest(c, batch, lot);
	if (c->has_loss)
		lose_rest(c);
}

static void come_in(struct carry *c, const struct stock_flow *f)
{
	struct layer_facts is = { .since = f->op->day, .here = f->op->day, .ready = INT32_MAX };

	if (f->change == STOCK_FOUND)
		is.since = f->op->since;
	is.cohort = holdings_cohort(c->h, (struct cohort_key){ f->to.lot, 0, holdings_charge(c->h, f->to.place) });
	if (f->to.form == FORM_BLADE && f->to.grade)
		is.ready = is.since;
	if (f->to.form == FORM_BAT)
		is.ready = is.since;
	if (f->to.place == c->h->stock->culled)
		c->h->cohort[is.cohort].culled += f->n;
	else
		holdings_put(c->h, batch_to(c, f), &is, f->n, NULL, ACCOUNT_OUTSIDE);
}

/* A blade or a handle as it is in a bat. */
static void facts_joined(struct carry *c, const struct stock_flow *f, struct layer_facts *is)
{
	(void)c;
	is->handle = f->from.form == FORM_HANDLE;
	is->since = f->op->day;
	is->here = f->op->day;
}

/* A blade or a handle goes into a bat. */
static void join(struct carry *c, const struct stock_flow *f)
{
	uint32_t from = batch_from(c, f), to = batch_to(c, f);

	if (c->h->batch[from].pending)
		settle_lot(c, f->from.lot);
	if (move_alike(c, f, from, to, facts_joined))
		return;
	holdings_take(c->h, from, f->n, f->op->day, &c->hand);
	leave(c, f, 1);
	for (size_t p = 0; p < c->hand.n; p++) {
		struct layer_facts is = c->hand.part[p].is;

		facts_joined(c, f, &is);
		holdings_put(c->h, to, &is, c->hand.part[p].n, hand_money(c->h, &c->hand, p), c->hand.stage);
	}
}

/* The old handle of a bat is culled; the bat carries what it cost. */
static void take_off(struct carry *c, uint32_t bat, int64_t *lost)
{
	int64_t *money = mem_zeroed(c->h->nmoney + 1, sizeof *money);
	uint32_t cohort, blade;

	c->hand.stage = c->h->batch[bat].stage;
	if (holdings_unhandle(c->h, bat, &cohort, money)) {
		c->h->cohort[c->h->cohort[cohort].base].culled++;
		blade = c->h->batch[bat].first;
		for (size_t e = 0; e < c->h->nmoney; e++)
			*lost += money[e];
		for (size_t e = 0; e < c->h->nmoney; e++)
			if (blade)
				holdings_add(c->h, blade - 1, loss_of(c, e), money[e], c->hand.stage);
			else
				add_loss(c, e, money[e]);
	}
	free(money);
	if (c->has_loss)
		lose_rest(c);
}

static bool same_batch(const struct stock_flow *a, const struct stock_flow *b)
{
	return memcmp(&a->from, &b->from, sizeof a->from) == 0 && (b->change == STOCK_GONE_ON || b->change == STOCK_LOST);
}

static void tell_losses(const struct carry *c, size_t nflows)
{
	for (size_t i = 0; c->lose && i < nflows; i++)
		if (c->line[i].change == STOCK_LOST || c->line[i].change == STOCK_CAME_OFF)
			c->lose(c->lose_context, &c->line[i], c->flow_loss[i]);
}

/* Carries out a flow with those that belong to it, of so many that the line still has; returns how many these were. */
static size_t carry_some(struct carry *c, const struct stock_flow *f, size_t left)
{
	size_t n = 1;

	switch (f->change) {
	case STOCK_BORN:
	case STOCK_FOUND:
		come_in(c, f);
		break;
	case STOCK_GONE_ON:
	case STOCK_LOST:
		while (n < left && same_batch(f, f + n))
			n++;
		if (f->from.place != c->h->stock->culled)
			go_on(c, f, n);
		break;
	case STOCK_JOINED:
		join(c, f);
		break;
	case STOCK_CAME_OFF:
		if (left > 1)
			take_off(c, batch_to(c, f + 1), &c->flow_loss[f - c->line]);
		break;
	}
	return n;
}

/* Carries out the flows of the line that has waited the longest. */
static void carry_line(struct carry *c)
{
	size_t n = 1;

	c->line = c->flow + c->first;
	while (c->first + n < c->nflows && c->line[n].op == c->line->op)
		n++;
	c->flow_loss = mem_grow(c->flow_loss, &c->flow_loss_cap, n, sizeof *c->flow_loss);
	memset(c->flow_loss, 0, n * sizeof *c->flow_loss);
	for (size_t i = 0; i < n; i += carry_some(c, c->line + i, n - i))
		;
	tell_losses(c, n);
	holdings_let_go(c->h);
	c->first += n;
}

/* Books and spreads what is due before a day. */
static void advance(struct carry *c, int32_t day)
{
	int32_t next;

	settle_day(c);
	while ((next = spread_out_next(c->out)) < day) {
		open_on(c, next);
		spread_out_day(c->out, next, c->today);
	}
	open_on(c, day);
}

/* What is due before the day of the oldest line. */
static void come_to_oldest(struct carry *c)
{
	int32_t day = c->flow[c->first].op->day;

	if (!c->begun || day != c->day)
		advance(c, day);
	c->begun = true;
	c->day = day;
}

static void carry_oldest(struct carry *c)
{
	come_to_oldest(c);
	carry_line(c);
}

/* ---- the lines that wait */

/*
 * So many flows wait, with those of a line that has more of them: in a large book the batches of a line are far away, and each step
 * on the way to their layers is taken some flows after the one before, so that what it needs has come near.
 */
enum { WAITING = 18, STEP = 3 };

static void make_room(struct carry *c)
{
	size_t n = c->nflows - c->first;

	if (c->first > 4 * WAITING && c->first > n) {
		memmove(c->flow, c->flow + c->first, n * sizeof *c->flow);
		memmove(c->ahead, c->ahead + c->first, n * sizeof *c->ahead);
		c->first = 0;
		c->nflows = n;
	}
	c->flow = mem_grow(c->flow, &c->flows_cap, c->nflows + 1, sizeof *c->flow);
	c->ahead = mem_grow(c->ahead, &c->ahead_cap, c->nflows + 1, sizeof *c->ahead);
}

/* Of the flows that came so many before the last one, those that still wait. */
static void fetch(struct carry *c)
{
	struct carry_ahead *last = &c->ahead[c->nflows - 1];
	size_t before = c->nflows - 1 - c->first;

	if (before >= STEP) {
		last[-STEP].from = holdings_fetch_batch(c->h, last[-STEP].from_hash);
		last[-STEP].to = holdings_fetch_batch(c->h, last[-STEP].to_hash);
	}
	if (before >= 2 * STEP) {
		last[-2 * STEP].from = holdings_fetch_layer(c->h, last[-2 * STEP].from);
		holdings_fetch_last(c->h, last[-2 * STEP].to);
	}
	if (before >= 3 * STEP)
		last[-3 * STEP].from = holdings_fetch_cohort(c->h, last[-3 * STEP].from);
	if (before >= 4 * STEP)
		last[-4 * STEP].from = holdings_fetch_cohort(c->h, holdings_fetch_slot(c->h, last[-4 * STEP].from));
	if (before >= 5 * STEP)
		holdings_fetch_slot(c->h, last[-5 * STEP].from);
}

/* The lines of a day are there until the end of the next. */
static void carry_day_before(struct carry *c, int32_t day)
{
	if (c->first == c->nflows || c->flow[c->nflows - 1].op->day == day)
		return;
	while (c->first < c->nflows)
		carry_oldest(c);
}

void carry_flow(void *context, const struct stock_flow *f)
{
	struct carry *c = context;
	struct carry_ahead ahead = { holdings_hash(&f->from), holdings_hash(&f->to), 0, 0 };

	carry_day_before(c, f->op->day);
	while (c->nflows - c->first >= WAITING && c->flow[c->first].op != f->op)
		carry_oldest(c);
	make_room(c);
	hash_index_fetch(&c->h->batches, ahead.from_hash);
	hash_index_fetch(&c->h->batches, ahead.to_hash);
	c->ahead[c->nflows] = ahead;
	c->flow[c->nflows++] = *f;
	fetch(c);
}

void carry_before(struct carry *c)
{
	while (c->first < c->nflows && c->flow[c->first].op != c->flow[c->nflows - 1].op)
		carry_oldest(c);
	if (c->first < c->nflows)
		come_to_oldest(c);
}

void carry_end(struct carry *c)
{
	while (c->first < c->nflows)
		carry_oldest(c);
	settle_day(c);
	for (int32_t next; (next = spread_out_next(c->out)) <= c->today;) {
		open_on(c, next);
		spread_out_day(c->out, next, c->today);
	}
	open_on(c, c->today);
	spread_out_rest(c->out, c->today);
	if (!c->h->account.counting)
		account_open(&c->h->account);
}
