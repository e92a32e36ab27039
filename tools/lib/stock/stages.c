#include "stock/stages.h"

#include <stdlib.h>

#include "house/house.h"
#include "math/stats.h"

const char *const stages_step_words[] = { "cleave", "buy", "yard", "kiln", "plane", "grade", "store", "shop", "bat", NULL };

/* What a place is, as far as the steps go. */
enum { PLACE_OTHER, PLACE_CHARGE, PLACE_BENCH, PLACE_SHOP };

/* ---- places */

static uint8_t place_of_house(const struct house_place *place)
{
	return place->kind == HOUSE_PLACE_KIND_BENCH ? PLACE_BENCH : place->kind == HOUSE_PLACE_KIND_SHOP ? PLACE_SHOP : PLACE_OTHER;
}

static void set_places(struct stages *w, const struct house *house)
{
	const struct stock *s = w->stock;

	w->nplaces = s->ids.n;
	w->place = mem_zeroed(w->nplaces, sizeof *w->place);
	w->returns = mem_zeroed(w->nplaces, sizeof *w->returns);
	for (uint32_t id = 1; id < w->nplaces; id++) {
		unsigned said = stock_said_of(s, id);

		w->returns[id] = said & STOCK_SAID_BACK;
		w->place[id] = said & STOCK_SAID_ISSUED ? PLACE_SHOP : PLACE_OTHER;
	}
	for (size_t i = 0; house && i < house->nplaces; i++)
		w->place[intern_find(&s->ids, house->places[i].id)] = place_of_house(&house->places[i]);
	for (uint32_t id = 1; id < w->nplaces; id++)
		if (stock_said_of(s, id) & STOCK_SAID_CHARGE)
			w->place[id] = PLACE_CHARGE;
	w->place[0] = PLACE_OTHER;
}

void stages_init(struct stages *w, const struct stock *s, const struct house *house)
{
	memset(w, 0, sizeof *w);
	w->stock = s;
	w->from = INT32_MIN;
	w->by_lot = w->by_charge = w->by_type = w->stays_kept = w->stays_apart = true;
	w->until = STAGE_GONE;
	layers_init(&w->heaps, s, false);
	set_places(w, house);
}

void stages_release(struct stages *w)
{
	hash_index_release(&w->cells);
	hash_index_release(&w->losses);
	hash_index_release(&w->stays);
	layers_release(&w->heaps);
	free(w->cell);
	free(w->loss);
	free(w->stay);
	free(w->lost);
	free(w->part);
	free(w->hand.layer);
	free(w->weight);
	free(w->place);
	free(w->returns);
	memset(w, 0, sizeof *w);
}

enum stage_step stages_step_of(const struct stages *w, const struct stock_kind *k, bool dried)
{
	uint8_t place = k->place < w->nplaces ? w->place[k->place] : PLACE_OTHER;

	if (k->place == w->stock->sold)
		return STAGE_GONE;
	if (k->form == FORM_BAT)
		return STAGE_BAT;
	if (place == PLACE_CHARGE)
		return STAGE_KILN;
	if (k->form == FORM_CLEFT)
		return dried || place == PLACE_BENCH ? STAGE_PLANE : STAGE_YARD;
	if (place == PLACE_SHOP)
		return STAGE_SHOP;
	return k->form == FORM_BLADE && !k->grade ? STAGE_GRADE : STAGE_STORE;
}

/* ---- cells */

/* Of who pieces are, what the cells keep apart. */
static struct stage_who kept_of(const struct stages *w, struct stage_who who)
{
	unsigned shared = (w->by_lot ? LAYER_SHARED_ROOT : 0u) | (w->by_charge ? LAYER_SHARED_CHARGE : 0u);

	return (struct stage_who){ w->by_lot ? who.lot : 0, w->by_lot ? who.tree : 0, w->by_charge ? who.charge : 0, w->by_type ? who.type : 0, who.shared & shared };
}

static bool same_who(const struct stage_who *a, const struct stage_who *b)
{
	return a->lot == b->lot && a->tree == b->tree && a->charge == b->charge && a->type == b->type && a->shared == b->shared;
}

/* Lots are mostly numbered in the order in which they come in, and move on in that order. */
static uint64_t cell_hash(const struct stage_who *who, enum stage_step step)
{
	return hash_near(who->lot, hash_mix(hash_pair(who->charge, who->type)) ^ hash_pair(who->tree, who->shared << 4 | step));
}

static uint32_t cell_of(struct stages *w, struct stage_who is, enum stage_step step)
{
	struct stage_who who = kept_of(w, is);
	uint64_t hash = cell_hash(&who, step);
	struct hash_probe p = hash_probe_of(&w->cells, hash);

	while (hash_probe_next(&w->cells, &p))
		if (w->cell[p.row].step == step && same_who(&w->cell[p.row].who, &who))
			return p.row;
	w->cell = mem_grow(w->cell, &w->cells_cap, w->ncells + 1, sizeof *w->cell);
	w->cell[w->ncells] = (struct stage_cell){ .who = who, .step = step };
	hash_index_add(&w->cells, hash, (uint32_t)w->ncells);
	return (uint32_t)w->ncells++;
}

static void count(struct stages *w, uint32_t cell, enum stage_count what, int64_t n)
{
	w->cell[cell].n[what] += n;
}

static struct stage_loss *loss_of(struct stages *w, uint32_t cell, uint32_t cause)
{
	uint64_t hash = hash_mix((uint64_t)cell << 32 | cause);
	struct hash_probe p = hash_probe_of(&w->losses, hash);

	while (hash_probe_next(&w->losses, &p))
		if (w->loss[p.row].cell == cell && w->loss[p.row].cause == cause)
			return &w->loss[p.row];
	w->loss = mem_grow(w->loss, &w->losses_cap, w->nlosses + 1, sizeof *w->loss);
	w->loss[w->nlosses] = (struct stage_loss){ cell, cause, 0 };
	hash_index_add(&w->losses, hash, (uint32_t)w->nlosses);
	return &w->loss[w->nlosses++];
}

static bool same_stay(const struct stage_stay *a, const struct stage_stay *b)
{
	return a->cell == b->cell && a->since == b->since && a->days == b->days && a->end == b->end;
}

/* The cell that a stay is kept for: the step's first where they are not kept apart. */
static uint32_t stay_cell(struct stages *w, uint32_t cell)
{
	uint32_t *first = &w->stay_cell[w->cell[cell].step];

	if (w->stays_apart)
		return cell;
	if (!*first)
		*first = cell + 1;
	return *first - 1;
}

static void keep_stay(struct stages *w, const struct stage_stay *stay)
{
	uint64_t hash = hash_mix(((uint64_t)stay->cell << 32 | (uint32_t)stay->since) ^ hash_mix((uint64_t)(uint32_t)stay->days << 3 | stay->end));
	struct hash_probe p = hash_probe_of(&w->stays, hash);

	while (hash_probe_next(&w->stays, &p))
		if (same_stay(&w->stay[p.row], stay)) {
			w->stay[p.row].n += stay->n;
			return;
		}
	w->stay = mem_grow(w->stay, &w->stays_cap, w->nstays + 1, sizeof *w->stay);
	hash_index_add(&w->stays, hash, (uint32_t)w->nstays);
	w->stay[w->nstays++] = *stay;
}

/* Pieces that are in a step since a day stay there no longer than until `day`. */
static void add_stay(struct stages *w, uint32_t cell, int32_t since, int32_t day, enum stage_end end, int64_t n)
{
	if (w->stays_kept)
		keep_stay(w, &(const struct stage_stay){ stay_cell(w, cell), since, day - since, end, n });
}

static void add_loss(struct stages *w, uint32_t cell, uint32_t cause, int64_t n, bool waited)
{
	struct stage_loss *loss = loss_of(w, cell, cause);

	count(w, cell, STAGE_CULLED, n);
	if (waited)
		count(w, cell, STAGE_WAITED, n);
	loss->n += n;
	w->lost = mem_grow(w->lost, &w->lost_cap, w->nlost + 1, sizeof *w->lost);
	w->lost[w->nlost++] = (struct stage_lost){ (size_t)(loss - w->loss), waited, n };
}

/* ---- who a part is of such a sort, and in which step */

static struct stage_who who_of(const struct layer *part, const struct stock_kind *kind)
{
	return (struct stage_who){ part->lot, part->tree, part->charge, kind->type, part->shared };
}

/* A layer's mark is its cell + 1, or 0 until it is asked. */
static uint32_t part_cell(struct stages *w, const struct layer *part, const struct stock_kind *kind)
{
	return part->mark ? part->mark - 1 : cell_of(w, who_of(part, kind), stages_step_of(w, kind, part->charge != 0));
}

/* The cell of a part that has just become what it is. */
static uint32_t new_cell(struct stages *w, struct layer *part, const struct stock_kind *kind)
{
	part->mark = 0;
	part->mark = part_cell(w, part, kind) + 1;
	return part->mark - 1;
}

static uint32_t charge_at(const struct stages *w, uint32_t place)
{
	return place < w->nplaces && w->place[place] == PLACE_CHARGE ? place : 0;
}

/* ---- what a line takes in hand */

static int64_t items_sum(const struct stock *s, uint32_t first, uint32_t n)
{
	int64_t sum = 0;

	for (uint32_t i = first; i < first + n; i++)
		sum += s->item[i].n;
	return sum;
}

/* How many pieces of the flow's sort its line takes in all. */
static int64_t taken(const struct stages *w, const struct stock_flow *f)
{
	const struct stock_op *op = f->op;
	int64_t n = 0;

	if (op->event->stock.take == TAKE_PICK)
		n = items_sum(w->stock, op->counts, op->ncounts) + items_sum(w->stock, op->culls, op->nculls);
	return n > f->n ? n : f->n;
}

static bool in_hand(const struct stages *w, const struct stock_flow *f)
{
	return w->hand_left >= f->n && w->hand_line == f->op->at_log + 1 && memcmp(&w->hand_kind, &f->from, sizeof f->from) == 0;
}

static void hand_put_back(struct stages *w)
{
	for (size_t i = 0; i < w->hand.n; i++)
		if (w->hand.layer[i].n)
			layers_put(&w->heaps, &w->hand_kind, &w->hand.layer[i]);
	w->hand.n = 0;
}

/*
 * Takes in hand what the line takes of that sort. Only after a line that could not be carried out
 * can there be too few; those that are lacking count as found.
 */
static void hand_fill(struct stages *w, const struct stock_flow *f)
{
	struct layer lacking = { .lot = f->from.lot, .charge = charge_at(w, f->from.place), .since = f->op->day };

	hand_put_back(w);
	w->hand_line = f->op->at_log + 1;
	w->hand_kind = f->from;
	w->hand_left = taken(w, f);
	w->hand_all = layers_count(&w->heaps, &f->from);
	w->hand_unknown[0] = layers_unknown(&w->heaps, &f->from, w->hand_all);
	w->hand_unknown[1] = layers_unknown(&w->heaps, &f->from, w->hand_all - 1);
	lacking.n = layers_take(&w->heaps, &f->from, w->hand_left, &w->hand);
	if (lacking.n)
		layer_hand_add(&w->hand, &lacking, lacking.n);
	if (lacking.n && w->counting)
		count(w, part_cell(w, &lacking, &f->from), STAGE_FOUND, lacking.n);
}

/* Of a part that was divided, nobody knows from now on what it was. */
static void share_part(struct stages *w, const struct stock_flow *f, struct layer *part)
{
	unsigned unknown = w->hand_unknown[f->n < w->hand_all];
	uint32_t was, is;

	if (!(unknown & ~part->shared))
		return;
	if (!w->counting) {
		part->shared |= unknown;
		return;
	}
	was = part_cell(w, part, &f->from);
	part->shared |= unknown;
	is = new_cell(w, part, &f->from);
	for (int k = 0; k < 2 && is != was; k++) {
		enum stage_count what = k ? STAGE_JOINED : STAGE_CROSSED;

		count(w, was, what, -part->n);
		count(w, is, what, part->n);
	}
}

/*
 * The flow's pieces, into w->part; returns how many parts. What a line takes is the first come; what
 * becomes of them, this and that, is shared over them by how many they are.
 */
static size_t take(struct stages *w, const struct stock_flow *f)
{
	size_t n = 0;

	if (!in_hand(w, f))
		hand_fill(w, f);
	w->part = mem_grow(w->part, &w->parts_cap, w->hand.n + 1, sizeof *w->part);
	w->weight = mem_grow(w->weight, &w->weights_cap, 2 * w->hand.n + 1, sizeof *w->weight);
	for (size_t i = 0; i < w->hand.n; i++)
		w->weight[i] = w->hand.layer[i].n;
	if (w->hand.n == 1 && w->weight[0])
		w->weight[1] = f->n;
	else
		apportion(f->n, w->weight, w->hand.n, w->weight + w->hand.n);
	w->hand_left -= f->n;
	for (size_t i = 0; i < w->hand.n; i++) {
		struct layer part = w->hand.layer[i];

		part.n = w->weight[w->hand.n + i];
		w->hand.layer[i].n -= part.n;
		if (!part.n)
			continue;
		share_part(w, f, &part);
		w->part[n++] = part;
	}
	return n;
}

/* ---- the flows */

/* Whether pieces are in a step after the last one that is asked for. */
static bool is_beyond(const struct stages *w, const struct stock_kind *kind)
{
	return w->until < STAGE_GONE && stages_step_of(w, kind, false) > w->until;
}

static bool is_unseen(const struct stages *w, const struct stock_flow *f)
{
	bool comes = f->change == STOCK_BORN || f->change == STOCK_FOUND;

	return (comes || is_beyond(w, &f->from)) && (f->change == STOCK_LOST || is_beyond(w, &f->to));
}

/* Pieces come into the step of a moment, and go on to the first where they stay, unless they are culled at once. */
static void count_born(struct stages *w, const struct stock_flow *f, struct layer *part)
{
	struct stage_who who = { part->lot, part->tree, 0, f->to.type, 0 };
	uint32_t cell = cell_of(w, who, f->op->event->id == EVENT_CLEAVE ? STAGE_CLEAVE : STAGE_BUY);

	count(w, cell, STAGE_IN, f->n);
	if (f->to.place == w->stock->culled)
		return;
	count(w, cell, STAGE_OUT, f->n);
	add_stay(w, cell, f->op->day, f->op->day, STAGE_END_OUT, f->n);
	count(w, new_cell(w, part, &f->to), STAGE_IN, f->n);
}

static void born(struct stages *w, const struct stock_flow *f)
{
	struct layer part = { .lot = f->to.lot, .tree = w->heaps.apportion ? f->op->tree : 0, .charge = charge_at(w, f->to.place),
		.since = f->op->day, .n = f->n };

	if (w->counting)
		count_born(w, f, &part);
	if (f->to.place != w->stock->culled)
		layers_put(&w->heaps, &f->to, &part);
}

static void found(struct stages *w, const struct stock_flow *f)
{
	struct layer part = { .lot = f->to.lot, .charge = charge_at(w, f->to.place), .since = f->op->since, .n = f->n };

	if (w->counting)
		count(w, new_cell(w, &part, &f->to), STAGE_FOUND, f->n);
	layers_put(&w->heaps, &f->to, &part);
}

/* Whether the line takes pieces out of their step, so that it speaks of those that it does not cull too. */
static bool judges(const struct stages *w, const struct stock_op *op, const struct stock_kind *from, uint32_t charge)
{
	struct stock_kind to = *from;

	if (op->into != STOCK_ANY)
		to.place = op->into;
	if (op->event->stock.makes >= 0)
		to.form = op->event->stock.makes;
	if (op->event->id == EVENT_GRADE && !to.grade)
		to.grade = STOCK_ANY;
	return stages_step_of(w, &to, charge != 0) > stages_step_of(w, from, charge != 0);
}

static void lost_at_birth(struct stages *w, const struct stock_flow *f)
{
	struct stage_who who = { f->from.lot, w->heaps.apportion ? f->op->tree : 0, 0, f->from.type, 0 };
	uint32_t cell = cell_of(w, who, f->op->event->id == EVENT_CLEAVE ? STAGE_CLEAVE : STAGE_BUY);

	add_loss(w, cell, f->cause, f->n, false);
	add_stay(w, cell, f->op->day, f->op->day, STAGE_END_CULLED, f->n);
}

static void lost(struct stages *w, const struct stock_flow *f)
{
	size_t parts;

	if (f->from.place == w->stock->culled) {
		if (w->counting)
			lost_at_birth(w, f);
		return;
	}
	parts = take(w, f);
	for (size_t i = 0; i < parts && w->counting; i++) {
		uint32_t cell = part_cell(w, &w->part[i], &f->from);
		bool waited = !judges(w, f->op, &f->from, w->part[i].charge);

		add_loss(w, cell, f->cause, w->part[i].n, waited);
		add_stay(w, cell, w->part[i].since, f->op->day, waited ? STAGE_END_WAITED : STAGE_END_CULLED, w->part[i].n);
	}
}

/* A part left one cell for another, and `changed` if it is another now; `part` is as it now is but for the day since when. */
static void pass(struct stages *w, const struct stock_op *op, uint32_t from, uint32_t to, bool changed, struct layer *part)
{
	uint32_t step = w->cell[from].step, then = w->cell[to].step;

	if (step < then) {
		count(w, from, STAGE_OUT, part->n);
		count(w, to, STAGE_IN, part->n);
		add_stay(w, from, part->since, op->day, STAGE_END_OUT, part->n);
	} else if (step > then) {
		add_stay(w, from, part->since, op->day, STAGE_END_BACK, part->n);
		count(w, from, STAGE_BACK, -part->n);
		count(w, to, STAGE_BACK, part->n);
	} else if (from != to) {
		count(w, from, STAGE_CROSSED, -part->n);
		count(w, to, STAGE_CROSSED, part->n);
	}
	if (then == STAGE_GONE && step != STAGE_GONE)
		count(w, from, STAGE_SOLD, part->n);
	if (step == STAGE_GONE && then != STAGE_GONE)
		count(w, to, STAGE_RETURNED, part->n);
	if (changed) {
		count(w, from, STAGE_JOINED, -part->n);
		count(w, to, STAGE_JOINED, part->n);
	}
	if (step != then)
		part->since = op->day;
}

/* The same where the other step is not asked for. */
static void go_beyond(struct stages *w, const struct stock_op *op, uint32_t from, bool changed, const struct layer *part)
{
	count(w, from, STAGE_OUT, part->n);
	if (changed)
		count(w, from, STAGE_JOINED, -part->n);
	add_stay(w, from, part->since, op->day, STAGE_END_OUT, part->n);
}

/* What was sold is of no step, so that only pieces of lots of which some come back are kept. */
static bool is_kept(const struct stages *w, const struct stock_kind *kind)
{
	return !is_beyond(w, kind) && (kind->place != w->stock->sold || (kind->lot < w->nplaces && w->returns[kind->lot]));
}

/* What a part is after the flow. The pieces of a pool get a new root; those of a bat keep their blade's. */
static void change(const struct stages *w, const struct stock_flow *f, struct layer *part)
{
	uint32_t charge = charge_at(w, f->to.place);

	if (f->change == STOCK_GONE_ON && f->from.lot != f->to.lot && !w->heaps.apportion)
		part->lot = f->to.lot;
	if (charge && f->from.place != f->to.place) {
		part->charge = charge;
		part->shared &= ~(uint32_t)LAYER_SHARED_CHARGE;
	}
}

static void change_and_count(struct stages *w, const struct stock_flow *f, struct layer *part)
{
	struct stage_who was = who_of(part, &f->from), is;
	uint32_t from = part_cell(w, part, &f->from);
	bool changed;

	change(w, f, part);
	is = who_of(part, &f->to);
	changed = memcmp(&was, &is, sizeof was) != 0;
	if (is_beyond(w, &f->to))
		go_beyond(w, f->op, from, changed, part);
	else
		pass(w, f->op, from, new_cell(w, part, &f->to), changed, part);
}

/* Before the first day that is counted, all that matters is what the part is and since when it is in its step. */
static void change_uncounted(const struct stages *w, const struct stock_flow *f, struct layer *part)
{
	enum stage_step step = stages_step_of(w, &f->from, part->charge != 0);

	change(w, f, part);
	if (stages_step_of(w, &f->to, part->charge != 0) != step)
		part->since = f->op->day;
}

static void gone_on(struct stages *w, const struct stock_flow *f)
{
	size_t parts = take(w, f);

	for (size_t i = 0; i < parts; i++) {
		struct layer part = w->part[i];

		if (w->counting)
			change_and_count(w, f, &part);
		else
			change_uncounted(w, f, &part);
		if (is_kept(w, &f->to))
			layers_put(&w->heaps, &f->to, &part);
	}
}

/* A handle goes into a bat and is gone from the handles' way. */
static void handle_used(struct stages *w, const struct stock_flow *f)
{
	size_t parts = take(w, f);

	for (size_t i = 0; i < parts && w->counting; i++) {
		uint32_t cell = part_cell(w, &w->part[i], &f->from);

		count(w, cell, STAGE_OUT, w->part[i].n);
		count(w, cell, STAGE_SOLD, w->part[i].n);
		add_stay(w, cell, w->part[i].since, f->op->day, STAGE_END_OUT, w->part[i].n);
	}
}

/* The old handle of a bat comes back for a moment, to be culled. */
static void came_off(struct stages *w, const struct stock_flow *f)
{
	struct stage_who who = { f->from.lot, 0, 0, f->from.type, 0 };
	uint32_t cell;

	if (!w->counting)
		return;
	cell = cell_of(w, who, STAGE_BAT);
	count(w, cell, STAGE_IN, f->n);
	count(w, cell, STAGE_RETURNED, f->n); /* it counted as sold when it went in */
	add_loss(w, cell, f->cause, f->n, false);
	add_stay(w, cell, f->op->day, f->op->day, STAGE_END_CULLED, f->n);
}

struct still {
	struct stages *way;
	enum stage_count what;
};

static void count_still(void *context, const struct stock_kind *kind, const struct layer *layer)
{
	const struct still *still = context;
	struct stages *w = still->way;
	uint32_t cell;

	if (kind->place == w->stock->sold)
		return;
	cell = part_cell(w, layer, kind);
	count(w, cell, still->what, layer->n);
	if (still->what == STAGE_STILL)
		add_stay(w, cell, layer->since, w->today, STAGE_END_STILL, layer->n);
}

/* The pieces that are in a step now, into `what` of their cells. */
static void count_heaps(struct stages *w, enum stage_count what)
{
	struct still still = { w, what };

	layers_each(&w->heaps, count_still, &still);
}

/* The first day that is counted has come: what went before is but where the pieces are. */
static void begin(struct stages *w)
{
	w->counting = true;
	if (w->from != INT32_MIN)
		count_heaps(w, STAGE_START);
}

void stages_flow(void *context, const struct stock_flow *f)
{
	struct stages *w = context;
	bool handle = (f->from.lot ? f->from.form : f->to.form) == FORM_HANDLE;

	w->nlost = 0;
	if (handle != w->handles || is_unseen(w, f))
		return;
	if (w->hand_line != f->op->at_log + 1)
		hand_put_back(w);
	if (!w->counting && f->op->day >= w->from)
		begin(w);
	switch (f->change) {
	case STOCK_BORN:
		born(w, f);
		break;
	case STOCK_FOUND:
		found(w, f);
		break;
	case STOCK_LOST:
		lost(w, f);
		break;
	case STOCK_JOINED:
		if (handle)
			handle_used(w, f);
		else
			gone_on(w, f);
		break;
	case STOCK_GONE_ON:
		gone_on(w, f);
		break;
	case STOCK_CAME_OFF:
		came_off(w, f);
		break;
	}
}

void stages_end(struct stages *w)
{
	hand_put_back(w);
	if (!w->counting)
		begin(w);
	count_heaps(w, STAGE_STILL);
}

/* ---- shares */

const struct stages_through stages_through_none = { true, 1, 0, 0 };

int64_t stages_entered(const int64_t *n)
{
	return n[STAGE_START] + n[STAGE_IN] + n[STAGE_FOUND] + n[STAGE_CROSSED] + n[STAGE_BACK];
}

struct stage_share stages_yield(const int64_t *n)
{
	int64_t out = n[STAGE_OUT], decided = out + n[STAGE_CULLED], all = stages_entered(n), judged = decided - n[STAGE_WAITED];

	if (all > 0 && all == decided)
		return (struct stage_share){ true, (double)out / (double)all, (double)all };
	if (judged <= 0)
		return (struct stage_share){ false, 0, 0 };
	return (struct stage_share){ true, (double)(all - n[STAGE_WAITED]) / (double)all * (double)out / (double)judged, (double)decided };
}

void stages_through_add(struct stages_through *t, struct stage_share step)
{
	t->known &= step.known;
	if (!t->known)
		return;
	t->p *= step.p;
	t->sum += step.p > 0 ? (1 - step.p) / (step.n * step.p) : 0;
	t->least_n = t->least_n == 0 || step.n < t->least_n ? step.n : t->least_n;
}

struct stage_share stages_through(const struct stages_through *t)
{
	double n = t->p > 0 && t->sum > 0 ? (1 - t->p) / (t->p * t->sum) : t->least_n;

	return (struct stage_share){ t->known, t->p, n };
}
