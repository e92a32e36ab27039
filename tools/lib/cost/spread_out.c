#include "cost/spread_out.h"

#include <stdlib.h>

#include "cost/cost_book.h"
#include "house/house.h"

/* A layer that gets a part. */
struct spread_target {
	uint32_t layer;
	enum account_stage stage;
	int64_t n;                 /* pieces */
};

/* The layers of a cohort, which follow each other among the targets. */
struct spread_run {
	size_t end;                /* index behind the last of them */
	uint32_t base;             /* a cohort */
	int64_t pieces;
	int128 per_piece;          /* weight of a piece before its worth counts */
};

/* A lot, or what of it was dried in one charge, and what one of its pieces weighs. */
struct spread_row {
	uint32_t lot, pool;        /* pool: or STOCK_ANY */
	uint32_t base;             /* the cohort of what was dried in one charge, or STOCK_ANY */
	int128 per_piece;
};

/* Layers that are met one after another are far from each other in memory: those met soon are brought near. */
enum { AHEAD = 16 };

/*
 * What the stays at its place need of an entry. Those of one place follow each other, by their first day: a stay that ends goes back from the
 * last that may be of its time to where `reach`, the latest `to` so far, is before it.
 */
struct spread_window {
	int32_t from, to, reach;
	bool charge;               /* from start to end */
	uint32_t entry;
};

/* Weights are whole numbers: a piece is so much. */
#define PIECE ((int128)1 << 24)

/* ---- the order */

static int by_day(const void *a, const void *b)
{
	const int64_t x = *(const int64_t *)a, y = *(const int64_t *)b;

	return (x > y) - (x < y);
}

/* Entries of one day keep their order. */
static void set_order(struct spread_out *s)
{
	size_t n = s->book->n;
	int64_t *key = mem_array(n, sizeof *key);

	for (size_t i = 0; i < n; i++)
		key[i] = (int64_t)s->book->entry[i].apply * ((int64_t)1 << 32) + (int64_t)i;
	if (n)
		qsort(key, n, sizeof *key, by_day);
	s->order = mem_array(n, sizeof *s->order);
	for (size_t i = 0; i < n; i++)
		s->order[i] = (uint32_t)((uint64_t)key[i] & UINT32_MAX);
	free(key);
}

static struct spread_window window_of(const struct cost_book *c, uint32_t entry)
{
	const struct cost_entry *e = &c->entry[entry];
	bool charge = e->role == COST_CHARGE;

	return (struct spread_window){ charge ? INT32_MIN : e->from, charge ? INT32_MAX : e->to, INT32_MIN, charge, entry };
}

static int by_from(const void *a, const void *b)
{
	const struct spread_window *x = a, *y = b;

	if (x->from != y->from)
		return x->from < y->from ? -1 : 1;
	return (x->entry > y->entry) - (x->entry < y->entry);
}

/* Those of the place whose first entry it is; returns how many. */
static uint32_t set_windows_of(struct spread_out *s, uint32_t entry, struct spread_window *w)
{
	int32_t reach = INT32_MIN;
	uint32_t n = 0;

	for (uint32_t at = entry + 1; at; at = s->book->entry[at - 1].next_window)
		w[n++] = window_of(s->book, at - 1);
	qsort(w, n, sizeof *w, by_from);
	for (uint32_t i = 0; i < n; i++) {
		reach = w[i].to > reach ? w[i].to : reach;
		w[i].reach = reach;
	}
	return n;
}

static void set_windows(struct spread_out *s)
{
	const struct cost_book *c = s->book;
	uint32_t n = 0;

	s->window = mem_array(c->n, sizeof *s->window);
	s->windows_at = mem_zeroed(c->n, sizeof *s->windows_at);
	for (uint32_t i = 0; i < c->n; i++) {
		uint32_t had = n;

		if (cost_book_window(c, c->entry[i].subject) != i + 1)
			continue;
		n += set_windows_of(s, i, s->window + n);
		s->windows_at[i] = (struct spread_windows){ had, n - had, 0 };
	}
}

void spread_out_init(struct spread_out *s, struct holdings *h, struct cost_book *book, int64_t *lost)
{
	*s = (struct spread_out){ .h = h, .book = book, .lost = lost };
	s->rest = mem_zeroed(book->n, sizeof *s->rest);
	s->stays_at = mem_zeroed(book->n, sizeof *s->stays_at);
	set_order(s);
	set_windows(s);
}

void spread_out_release(struct spread_out *s)
{
	free(s->rest);
	free(s->stays_at);
	free(s->order);
	free(s->window);
	free(s->windows_at);
	free(s->stay);
	hash_index_release(&s->stays);
	free(s->record);
	free(s->target);
	free(s->run);
	free(s->worth);
	free(s->row);
	free(s->stay_of);
	free(s->weight);
	free(s->small);
	free(s->share);
	money_room_release(&s->room);
	*s = (struct spread_out){ .h = NULL };
}

/* ---- who was where */

static void add_stay(struct spread_out *s, uint32_t entry, uint32_t base, int64_t pieces, int64_t days)
{
	uint64_t hash = hash_mix(hash_pair(entry, base));
	struct hash_probe p = hash_probe_of(&s->stays, hash);

	while (hash_probe_next(&s->stays, &p))
		if (s->stay[p.row].entry == entry && s->stay[p.row].base == base) {
			s->stay[p.row].pieces += pieces;
			s->stay[p.row].days += days;
			return;
		}
	s->stay = mem_grow(s->stay, &s->stays_cap, s->nstays + 1, sizeof *s->stay);
	s->stay[s->nstays] = (struct spread_stay){ entry, base, s->stays_at[entry], pieces, days };
	hash_index_add(&s->stays, hash, (uint32_t)s->nstays++);
	s->stays_at[entry] = (uint32_t)s->nstays;
}

/* The days of a stay that count for an entry; -1: it was not there in its time. A day of arrival counts, one of leaving does not. */
static int64_t days_within(bool charge, int32_t w_from, int32_t w_to, int32_t from, int32_t until)
{
	int32_t first = from < w_from ? w_from : from, end = until > w_to && !charge ? w_to + 1 : until;

	if (charge)
		return until - from;
	if (until == from)
		return from >= w_from && from <= w_to ? 0 : -1;
	return end > first ? end - first : -1;
}

/* How many of the windows begin on a day or before: seldom others than for the stay before. */
static uint32_t begun_by(struct spread_windows *of, const struct spread_window *w, int32_t day)
{
	while (of->begun && w[of->begun - 1].from > day)
		of->begun--;
	while (of->begun < of->n && w[of->begun].from <= day)
		of->begun++;
	return of->begun;
}

/* The entries of a place, the first of which is given as index + 1. */
static void leave_for(struct spread_out *s, uint32_t first, uint32_t base, int32_t here, int64_t n, int32_t day)
{
	struct spread_windows *of = &s->windows_at[first - 1];
	const struct spread_window *w = s->window + of->first;

	for (uint32_t i = begun_by(of, w, day); i && w[i - 1].reach >= here; i--) {
		int64_t days = days_within(w[i - 1].charge, w[i - 1].from, w[i - 1].to, here, day);

		if (days >= 0)
			add_stay(s, w[i - 1].entry, base, n, n * days);
	}
}

void spread_out_leave(struct spread_out *s, const struct layer_facts *is, uint32_t place, int64_t n, int32_t day)
{
	uint32_t kiln, first = cost_book_windows(s->book, place, &kiln);

	if (first)
		leave_for(s, first, s->h->cohort[is->cohort].base, is->here, n, day);
	if (kiln)
		leave_for(s, kiln, s->h->cohort[is->cohort].base, is->here, n, day);
}

/* The stays of some entries, one for each cohort. */
struct stay_list {
	struct spread_stay *stay;
	size_t n, cap;
	uint32_t *place;           /* the stay_of of the spread_out */
};

static void list_stay(struct stay_list *l, uint32_t base, int64_t pieces, int64_t days)
{
	uint32_t *place = &l->place[base];

	if (!*place) {
		l->stay = mem_grow(l->stay, &l->cap, l->n + 1, sizeof *l->stay);
		l->stay[l->n++] = (struct spread_stay){ .base = base };
		*place = (uint32_t)l->n;
	}
	l->stay[*place - 1].pieces += pieces;
	l->stay[*place - 1].days += days;
}

/* What is needed of a layer, and the one behind it. */
static void fetch_behind(const struct holdings *h, const struct held_layer *layer)
{
	__builtin_prefetch(&h->cohort[layer->is.cohort]);
	if (layer->next)
		__builtin_prefetch(&h->layer[layer->next - 1]);
}

static void list_there(const struct spread_out *s, uint32_t entry, uint32_t place, int32_t day, struct stay_list *l)
{
	const struct cost_entry *e = &s->book->entry[entry];
	const struct holdings *h = s->h;
	const struct held_place *here = &h->at_place[place];

	for (size_t i = 0; i < here->n; i++) {
		if (i + AHEAD < here->n)
			__builtin_prefetch(&h->batch[here->batch[i + AHEAD]]);
		if (i + AHEAD / 2 < here->n)
			__builtin_prefetch(&h->layer[h->batch[here->batch[i + AHEAD / 2]].first - 1]);
		if (i + AHEAD / 4 < here->n)
			fetch_behind(h, &h->layer[h->batch[here->batch[i + AHEAD / 4]].first - 1]);
		for (uint32_t at = h->batch[here->batch[i]].first; at; at = h->layer[at - 1].next) {
			const struct held_layer *layer = &h->layer[at - 1];
			int64_t days = days_within(e->role == COST_CHARGE, e->from, e->to, layer->is.here, day + 1);

			if (days >= 0 && !layer->is.handle)
				list_stay(l, h->cohort[layer->is.cohort].base, layer->n, layer->n * days);
		}
	}
}

static void list_entry(const struct spread_out *s, uint32_t entry, int32_t day, struct stay_list *l)
{
	const struct cost_entry *e = &s->book->entry[entry];

	for (uint32_t k = s->stays_at[entry]; k; k = s->stay[k - 1].next)
		list_stay(l, s->stay[k - 1].base, s->stay[k - 1].pieces, s->stay[k - 1].days);
	list_there(s, entry, e->subject, day, l);
	for (size_t i = 0; e->role == COST_KILN && i < s->h->in_kiln[e->subject].n; i++)
		list_there(s, entry, s->h->in_kiln[e->subject].batch[i], day, l);
}

/* Room for the cohorts that there are now. */
static void widen_stay_of(struct spread_out *s)
{
	size_t had = s->stay_of_cap;

	s->stay_of = mem_grow(s->stay_of, &s->stay_of_cap, s->h->cohort_ids.n, sizeof *s->stay_of);
	memset(s->stay_of + had, 0, (s->stay_of_cap - had) * sizeof *s->stay_of);
}

/* The stays of some entries up to a day, in no order; the caller frees them. */
static struct stay_list stays_of(struct spread_out *s, uint32_t first, uint32_t n, int32_t day)
{
	struct stay_list l = { .n = 0 };

	widen_stay_of(s);
	l.place = s->stay_of;
	for (uint32_t i = first; i < first + n; i++)
		list_entry(s, i, day, &l);
	for (size_t i = 0; i < l.n; i++)
		l.place[l.stay[i].base] = 0;
	return l;
}

/* ---- rows: which lots and charges */

static void add_row(struct spread_out *s, struct spread_row row)
{
	s->row = mem_grow(s->row, &s->rows_cap, s->nrows + 1, sizeof *s->row);
	s->row[s->nrows++] = row;
}

struct lot_part {
	struct slice name;
	uint32_t lot;
	int64_t n;
};

static int by_name(const void *a, const void *b)
{
	return slice_cmp(((const struct lot_part *)a)->name, ((const struct lot_part *)b)->name);
}

struct lot_list {
	struct lot_part *part;
	size_t n, cap;
};

static void list_tree(const struct cost_book *c, uint32_t tree, struct lot_list *l)
{
	for (uint32_t k = cost_book_clefts(c, tree); k; k = c->cleft[k - 1].next) {
		const struct cost_cleft *cleft = &c->cleft[k - 1];

		l->part = mem_grow(l->part, &l->cap, l->n + 1, sizeof *l->part);
		l->part[l->n++] = (struct lot_part){ intern_text(c->ids, cleft->lot), cleft->lot, cleft->n };
	}
}

/* The lots cleft from a tree or from the trees of a parcel, each with its pieces from there. */
static void add_cleft_rows(struct spread_out *s, const struct cost_entry *e)
{
	const struct cost_book *c = s->book;
	struct lot_list l = { NULL, 0, 0 };

	if (e->role == COST_TREE)
		list_tree(c, e->subject, &l);
	for (uint32_t tree = e->role == COST_PARCEL ? cost_book_first(c, e->subject) : 0; tree; tree = cost_book_next(c, tree))
		list_tree(c, tree, &l);
	if (l.n)
		qsort(l.part, l.n, sizeof *l.part, by_name);
	for (size_t i = 0, k; i < l.n; i = k) {
		int64_t part = 0, all = cost_book_cleft(c, l.part[i].lot);

		for (k = i; k < l.n && l.part[k].lot == l.part[i].lot; k++)
			part += l.part[k].n;
		add_row(s, (struct spread_row){ l.part[i].lot, STOCK_ANY, STOCK_ANY, all ? PIECE * part / all : PIECE });
	}
	free(l.part);
}

/* Pieces of a lot and a charge, and those of them that were culled. */
static void count_base(const struct holdings *h, uint32_t base, int64_t *live, int64_t *culled)
{
	*live = 0;
	*culled = h->cohort[base].culled;
	for (uint32_t k = h->cohort[base].newest; k; k = h->cohort[k - 1].next_of_base)
		*live += h->cohort[k - 1].live;
}

/* A stay with the names of its lot and charge, whose first bytes mostly decide. */
struct named_stay {
	uint64_t lot_key, charge_key;
	const struct spread_stay *stay;
	const struct intern *ids;
	struct cohort_key key;
};

/* The first bytes of a name, which are ordered as the names are if they differ. */
static uint64_t first_bytes(struct slice name)
{
	size_t n = name.n < sizeof(uint64_t) ? name.n : sizeof(uint64_t);
	uint64_t key = 0;

	for (size_t i = 0; i < n; i++)
		key = key << 8 | (unsigned char)name.p[i];
	return n ? key << 8 * (sizeof key - n) : 0;
}

static int by_name_of(const struct intern *ids, uint64_t x_key, uint32_t x, uint64_t y_key, uint32_t y)
{
	if (x_key != y_key)
		return x_key < y_key ? -1 : 1;
	return x == y ? 0 : slice_cmp(intern_text(ids, x), intern_text(ids, y));
}

static int by_names(const void *a, const void *b)
{
	const struct named_stay *x = *(const struct named_stay *const *)a, *y = *(const struct named_stay *const *)b;
	int order = by_name_of(x->ids, x->lot_key, x->key.lot, y->lot_key, y->key.lot);

	return order ? order : by_name_of(x->ids, x->charge_key, x->key.charge, y->charge_key, y->key.charge);
}

static void add_stay_row(struct spread_out *s, const struct cost_entry *e, const struct spread_stay *stay, bool days)
{
	int128 weight = days ? stay->days : stay->pieces;
	int64_t live, culled;

	count_base(s->h, stay->base, &live, &culled);
	if (e->role == COST_PLACE)
		culled = 0;
	if (live + culled > 0)
		add_row(s, (struct spread_row){ STOCK_ANY, STOCK_ANY, stay->base, weight * PIECE / (live + culled) });
}

/* By the pieces that were there, or by how long they were. */
static void add_stay_rows(struct spread_out *s, const struct cost_entry *e, uint32_t first, uint32_t n, int32_t day)
{
	struct stay_list l = stays_of(s, first, n, day);
	struct named_stay *named = mem_array(l.n, sizeof *named);
	const struct named_stay **order = mem_array(l.n, sizeof *order);
	const struct intern *ids = s->book->ids;
	bool days = false;

	for (size_t i = 0; i < l.n; i++) {
		struct cohort_key key = s->h->cohort[l.stay[i].base].key;

		named[i] = (struct named_stay){ first_bytes(intern_text(ids, key.lot)), first_bytes(intern_text(ids, key.charge)), &l.stay[i], ids, key };
		order[i] = &named[i];
		days |= e->spread == HOUSE_COST_SPREAD_BY_PIECE_DAY && l.stay[i].days > 0;
	}
	if (l.n)
		qsort(order, l.n, sizeof *order, by_names);
	for (size_t i = 0; i < l.n; i++) {
		if (i + AHEAD < l.n)
			__builtin_prefetch(&s->h->cohort[order[i + AHEAD]->stay->base]);
		add_stay_row(s, e, order[i]->stay, days);
	}
	free(order);
	free(named);
	free(l.stay);
}

static void find_rows(struct spread_out *s, uint32_t entry, bool whole, int32_t day)
{
	const struct cost_entry *e = &s->book->entry[entry];

	s->nrows = 0;
	switch (e->role) {
	case COST_TREE:
	case COST_PARCEL:
		add_cleft_rows(s, e);
		break;
	case COST_LOT:
		add_row(s, (struct spread_row){ e->subject, STOCK_ANY, STOCK_ANY, PIECE });
		break;
	case COST_POOL:
		add_row(s, (struct spread_row){ STOCK_ANY, e->subject, STOCK_ANY, PIECE });
		add_row(s, (struct spread_row){ e->subject, STOCK_ANY, STOCK_ANY, PIECE });
		break;
	case COST_CHARGE:
	case COST_KILN:
	case COST_PLACE:
		add_stay_rows(s, e, whole ? e->first_part : entry, whole ? e->nparts : 1, day);
		break;
	}
}

/* ---- targets */

/* Room for so many more. */
static struct spread_target *more_targets(struct spread_out *s, size_t n)
{
	s->target = mem_grow(s->target, &s->targets_cap, s->ntargets + n, sizeof *s->target);
	return s->target + s->ntargets;
}

/* The last `n` are one, with so many pieces. */
static void end_run(struct spread_out *s, size_t n, uint32_t base, int64_t pieces, int128 per_piece)
{
	s->ntargets += n;
	s->run = mem_grow(s->run, &s->runs_cap, s->nruns + 1, sizeof *s->run);
	s->run[s->nruns++] = (struct spread_run){ s->ntargets, base, pieces, per_piece };
}

static void add_cohort_targets(struct spread_out *s, const struct cohort *c, int128 per_piece)
{
	struct spread_target *first, *to;

	if (c->nslots == c->ngone)
		return;
	first = to = more_targets(s, c->nslots - c->ngone);
	for (const struct cohort_slot *slot = c->slot + c->nslots; slot > c->slot;) {
		slot--;
		if (slot->layer)
			*to++ = (struct spread_target){ slot->layer - 1, slot->stage, slot->n };
	}
	end_run(s, (size_t)(to - first), c->base, c->live, per_piece);
}

static uint32_t first_cohort(const struct holdings *h, const struct spread_row *row)
{
	if (row->base != STOCK_ANY)
		return h->cohort[row->base].newest;
	return row->pool != STOCK_ANY ? h->of_pool[row->pool] : h->of_lot[row->lot];
}

static uint32_t next_cohort(const struct spread_row *row, const struct cohort *c)
{
	if (row->base != STOCK_ANY)
		return c->next_of_base;
	return row->pool != STOCK_ANY ? c->next_of_pool : c->next_of_lot;
}

/* The layers of a row; adds the weight of its culled pieces. */
static void add_row_targets(struct spread_out *s, const struct spread_row *row, const struct cost_entry *e, int128 *culled)
{
	const struct holdings *h = s->h;

	for (uint32_t k = first_cohort(h, row); k; k = next_cohort(row, &h->cohort[k - 1])) {
		const struct cohort *c = &h->cohort[k - 1];

		if (e->role != COST_PLACE)
			*culled += row->per_piece * c->culled;
		add_cohort_targets(s, c, row->per_piece);
	}
}

/* The layers of a cohort are met from the last one on. */
static void fetch_row(const struct spread_out *s, size_t i)
{
	const struct cohort *c;

	for (uint32_t k = i < s->nrows ? first_cohort(s->h, &s->row[i]) : 0; k; k = next_cohort(&s->row[i], c)) {
		c = &s->h->cohort[k - 1];
		for (uint32_t n = c->nslots > c->ngone ? c->nslots : 0, at = 0; at < AHEAD && at < n; at += 4)
			__builtin_prefetch(&c->slot[n - 1 - at]);
	}
}

/* A bat itself, wherever it is. */
static void add_bat_targets(struct spread_out *s, const struct cost_entry *e)
{
	const struct holdings *h = s->h;

	for (uint32_t b = h->kind_of_lot[e->subject]; b; b = h->batch[b - 1].next_of_lot)
		for (uint32_t at = h->batch[b - 1].first; at; at = h->layer[at - 1].next) {
			const struct held_layer *l = &h->layer[at - 1];

			if (l->is.handle)
				continue;
			*more_targets(s, 1) = (struct spread_target){ at - 1, l->stage, l->n };
			end_run(s, 1, h->cohort[l->is.cohort].base, l->n, PIECE);
		}
}

/* ---- weights */

/* The worth of a blade's grade; -1 for others. */
static int64_t worth_of(const struct spread_out *s, uint32_t layer, int32_t day)
{
	uint32_t grade = s->h->batch[s->h->layer[layer].batch].kind.grade;

	return grade ? cost_book_worth(s->book, day, grade) : -1;
}

/* The worth of each target, in 1/10000: of those that are not graded the mean of the others; 1 where nothing says. Returns the mean. */
static int64_t set_worths(struct spread_out *s, int32_t day)
{
	int128 sum = 0, n = 0;
	int64_t mean;

	s->worth = mem_grow(s->worth, &s->worths_cap, s->ntargets, sizeof *s->worth);
	for (size_t i = 0; i < s->ntargets; i++) {
		if (i + AHEAD < s->ntargets)
			__builtin_prefetch(&s->h->layer[s->target[i + AHEAD].layer]);
		s->worth[i] = worth_of(s, s->target[i].layer, day);
		sum += s->worth[i] >= 0 ? (int128)s->worth[i] * s->target[i].n : 0;
		n += s->worth[i] >= 0 ? s->target[i].n : 0;
	}
	mean = n && sum ? (int64_t)(sum / n) : 1;
	for (size_t i = 0; i < s->ntargets; i++)
		s->worth[i] = s->worth[i] >= 0 ? s->worth[i] : mean;
	return mean;
}

/* What a run of targets weighs by pieces alone, or MONEY_SMALL if that is more. */
static int64_t run_weight(const struct spread_run *run)
{
	int64_t weight;

	if (run->per_piece > MONEY_SMALL || __builtin_mul_overflow((int64_t)run->per_piece, run->pieces, &weight))
		return MONEY_SMALL;
	return weight > MONEY_SMALL ? MONEY_SMALL : weight;
}

/* The weights of a run's targets from `i` on by their worth; returns what they weigh, or MONEY_SMALL if that is more. */
static int64_t weigh_by_worth(struct spread_out *s, const struct spread_run *run, size_t i)
{
	int64_t sum = 0;

	for (; i < run->end; i++) {
		bool vast = __builtin_mul_overflow((int64_t)run->per_piece * s->target[i].n, s->worth[i], &s->small[i]);

		vast |= __builtin_add_overflow(sum, s->small[i], &sum);
		if (vast || sum >= MONEY_SMALL)
			return MONEY_SMALL;
	}
	return sum;
}

/* What the targets weigh, if no run of them is beyond MONEY_SMALL, as few are; returns whether that is so. */
static bool weigh_small(struct spread_out *s, bool by_worth, int128 *all)
{
	size_t i = 0;

	*all = 0;
	s->small = mem_grow(s->small, &s->small_cap, s->ntargets, sizeof *s->small);
	for (const struct spread_run *run = s->run; run < s->run + s->nruns; run++) {
		int64_t per_piece = (int64_t)run->per_piece, sum = run_weight(run);

		if (by_worth && sum < MONEY_SMALL)
			sum = weigh_by_worth(s, run, i);
		if (sum >= MONEY_SMALL)
			return false;
		for (size_t k = i; !by_worth && k < run->end; k++)
			s->small[k] = per_piece * s->target[k].n;
		i = run->end;
		*all += sum;
	}
	return true;
}

static int128 weigh_vast(struct spread_out *s, bool by_worth)
{
	int128 all = 0;
	size_t i = 0;

	s->weight = mem_grow(s->weight, &s->weights_cap, s->ntargets, sizeof *s->weight);
	for (size_t k = 0; k < s->nruns; k++)
		for (; i < s->run[k].end; i++) {
			s->weight[i] = s->run[k].per_piece * s->target[i].n * (by_worth ? s->worth[i] : 1);
			all += s->weight[i];
		}
	return all;
}

/* What the targets weigh by their pieces, and by their worth where that counts; `mean` is that of the worth. Returns what all weigh. */
static int128 weigh_targets(struct spread_out *s, const struct cost_entry *e, int32_t day, int64_t *mean)
{
	bool by_worth = e->spread == HOUSE_COST_SPREAD_BY_WORTH && e->role != COST_BAT;
	int128 all;

	*mean = by_worth ? set_worths(s, day) : 1;
	s->vast = !weigh_small(s, by_worth, &all);
	return s->vast ? weigh_vast(s, by_worth) : all;
}

/* ---- putting */

static void record(struct spread_out *s, uint32_t entry, uint32_t base, int64_t amount)
{
	struct spread_record *last = s->nrecords ? &s->record[s->nrecords - 1] : NULL;

	if (last && last->entry == entry && last->base == base) {
		last->amount += amount;
		return;
	}
	s->record = mem_grow(s->record, &s->records_cap, s->nrecords + 1, sizeof *s->record);
	s->record[s->nrecords++] = (struct spread_record){ entry, base, amount };
}

static void record_shares(struct spread_out *s, uint32_t entry, const int64_t *share)
{
	size_t i = 0;

	for (size_t k = 0; k < s->nruns; k++) {
		int64_t sum = 0;

		for (; i < s->run[k].end; i++)
			sum += share[i];
		record(s, entry, s->run[k].base, sum);
	}
}

/* What is put on pieces in stock on its own day came in there, and did not wait. */
static void account_shares(struct spread_out *s, const int64_t *of_stage, bool at_once)
{
	struct account *a = &s->h->account;

	for (enum account_stage stage = 0; stage < ACCOUNT_ENDS; stage++) {
		bool in = at_once && stage < ACCOUNT_STAGES;

		if (in)
			account_move(a, ACCOUNT_WAITING, ACCOUNT_OUTSIDE, of_stage[stage]);
		account_move(a, in ? ACCOUNT_OUTSIDE : ACCOUNT_WAITING, stage, of_stage[stage]);
	}
}

/* A small amount over many pieces leaves most without a share. */
static void put_shares(struct spread_out *s, size_t element, const int64_t *share, bool at_once)
{
	int64_t of_stage[ACCOUNT_ENDS] = { 0 };

	for (size_t i = 0; i < s->ntargets; i++) {
		if (i + AHEAD < s->ntargets && share[i + AHEAD])
			__builtin_prefetch(holdings_amount(s->h, s->target[i + AHEAD].layer, element), 1);
		if (!share[i])
			continue;
		*holdings_amount(s->h, s->target[i].layer, element) += share[i];
		of_stage[s->target[i].stage] += share[i];
	}
	account_shares(s, of_stage, at_once);
}

/* Puts an amount, and what the culled would have had of it, on the targets, which weigh `all`. */
static void put_on(struct spread_out *s, uint32_t entry, int64_t amount, int128 all, int128 culled, bool at_once)
{
	const struct cost_entry *e = &s->book->entry[entry];
	const int128 pair[2] = { all, culled };
	int64_t two[2];

	s->share = mem_grow(s->share, &s->shares_cap, s->ntargets, sizeof *s->share);
	money_share_in(&s->room, amount, pair, 2, two);
	for (size_t k = 0; k < 2; k++) {
		if (!two[k])
			continue;
		if (s->vast)
			money_share_in(&s->room, two[k], s->weight, s->ntargets, s->share);
		else
			money_share_by(&s->room, two[k], all, s->small, s->ntargets, s->share);
		put_shares(s, e->element + k * s->book->nelements, s->share, at_once);
		if (s->recording)
			record_shares(s, entry, s->share);
	}
}

/* Puts so much of an entry on its pieces, or on those of its line's whole period; false where it has none. */
static bool put_amount(struct spread_out *s, uint32_t entry, int64_t amount, bool whole, int32_t day)
{
	const struct cost_entry *e = &s->book->entry[entry];
	int128 culled = 0, all;
	int64_t mean;

	s->ntargets = s->nruns = 0;
	find_rows(s, entry, whole, day);
	for (size_t i = 0; i < s->nrows; i++) {
		fetch_row(s, i + AHEAD / 2);
		add_row_targets(s, &s->row[i], e, &culled);
	}
	if (e->role == COST_BAT)
		add_bat_targets(s, e);
	if (!s->ntargets && !culled)
		return false;
	s->rest[entry] -= amount;
	if (!s->ntargets) {
		account_move(&s->h->account, ACCOUNT_WAITING, ACCOUNT_LOST, amount);
		s->lost[e->element] += amount;
		return true;
	}
	all = weigh_targets(s, e, day, &mean);
	put_on(s, entry, amount, all, culled * mean, e->day == day);
	return true;
}

/* ---- days */

int32_t spread_out_next(const struct spread_out *s)
{
	const struct cost_book *c = s->book;
	int32_t book = s->booked < c->n ? c->entry[s->booked].day : INT32_MAX;
	int32_t apply = s->applied < c->n ? c->entry[s->order[s->applied]].apply : INT32_MAX;

	return book < apply ? book : apply;
}

/* What of an entry falls on the days that are gone: of a period that is not over, its part. */
static int64_t due(const struct cost_entry *e, int32_t today)
{
	bool period = e->role & (COST_KILN | COST_PLACE) && e->to > today;

	if (!period)
		return e->amount;
	if (e->from > today)
		return 0;
	return money_part(e->amount, today - e->from + 1, (int64_t)e->to - e->from + 1);
}

static void book_entries(struct spread_out *s, int32_t day)
{
	const struct cost_book *c = s->book;

	for (; s->booked < c->n && c->entry[s->booked].day <= day; s->booked++) {
		const struct cost_entry *e = &c->entry[s->booked];

		if (!cost_entry_is_spread(e))
			continue;
		account_move(&s->h->account, ACCOUNT_OUTSIDE, ACCOUNT_WAITING, e->amount);
		s->rest[s->booked] = e->amount;
	}
}

/* The period of a line is over: months in which nothing was there go on the pieces of the others. */
static void put_idle(struct spread_out *s, uint32_t entry, int32_t day)
{
	const struct cost_entry *e = &s->book->entry[entry];

	if (entry != e->first_part + e->nparts - 1)
		return;
	for (uint32_t i = e->first_part; i <= entry; i++)
		if (s->rest[i])
			put_amount(s, i, s->rest[i], true, day);
}

void spread_out_day(struct spread_out *s, int32_t day, int32_t today)
{
	const struct cost_book *c = s->book;

	book_entries(s, day);
	for (; s->applied < c->n && c->entry[s->order[s->applied]].apply <= day; s->applied++) {
		uint32_t entry = s->order[s->applied];
		int64_t amount = due(&c->entry[entry], today);

		if (cost_entry_is_spread(&c->entry[entry]) && amount)
			put_amount(s, entry, amount, false, day);
		if (c->entry[entry].nparts > 1 && c->entry[entry].to <= today)
			put_idle(s, entry, day);
	}
}

void spread_out_rest(struct spread_out *s, int32_t today)
{
	for (uint32_t i = 0; i < s->book->n; i++) {
		const struct cost_entry *e = &s->book->entry[i];

		if (cost_entry_is_spread(e) && e->apply < today && s->rest[i] == e->amount && e->amount)
			put_amount(s, i, e->amount, false, today);
	}
}
