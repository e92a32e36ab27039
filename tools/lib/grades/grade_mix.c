#include "grades/grade_mix.h"

#include <stdlib.h>

#include "house/house.h"
#include "time/stamp.h"

const char *const grade_by_words[] = { "tree", "parcel", "supplier", "charge", "kiln", "lot", "type", "grader", "month", "scheme", "was", NULL };

/* The keys of the groups. */
static void take_keys(struct grade_mix *m)
{
	bool by_scheme = false;

	for (size_t i = 0; i < m->ask->nby; i++) {
		m->by[i] = m->ask->by[i];
		by_scheme |= m->by[i] == GRADE_BY_SCHEME;
		m->by_charge |= m->by[i] == GRADE_BY_CHARGE || m->by[i] == GRADE_BY_KILN;
	}
	m->nby = m->ask->nby;
	if (!by_scheme)
		m->by[m->nby++] = GRADE_BY_SCHEME;
}

int32_t grade_last_day(const struct stock *s, int32_t to)
{
	struct stock_walk walk = { .stock = s };
	const struct stock_op *op;
	int32_t last = INT32_MIN;

	if (s->last_graded <= to)
		return s->last_graded;
	while ((op = stock_walk_next(&walk)))
		if (op->event->id == EVENT_GRADE && op->day <= to && op->day > last)
			last = op->day;
	stock_walk_release(&walk);
	return last;
}

void grade_mix_init(struct grade_mix *m, const struct grade_ask *ask, const struct stock *s, const struct provenance *origins)
{
	*m = (struct grade_mix){ .ask = ask, .stock = s, .origins = origins, .last = INT32_MIN, .end = grade_last_day(s, ask->to) };
	last_charge_init(&m->charges);
	take_keys(m);
	intern_init(&m->months);
	intern_init(&m->grades);
	intern_init(&m->groups);
	intern_init(&m->counts);
	intern_init(&m->lots);
	intern_init(&m->lot_counts);
	intern_id(&m->grades, SLICE(" culled"));
	intern_id(&m->grades, SLICE(" ungraded"));
}

void grade_mix_release(struct grade_mix *m)
{
	last_charge_release(&m->charges);
	intern_release(&m->months);
	intern_release(&m->grades);
	intern_release(&m->groups);
	intern_release(&m->counts);
	intern_release(&m->lots);
	intern_release(&m->lot_counts);
	free(m->lot);
	free(m->lot_count);
	free(m->group);
	free(m->count);
	memset(m, 0, sizeof *m);
}

/* ---- the keys of a piece */

static struct slice id_text(const struct grade_mix *m, uint32_t id)
{
	return id == PROVENANCE_MIXED ? SLICE("several") : stock_text(m->stock, id);
}

static struct slice origin_text(const struct grade_mix *m, uint32_t lot, enum origin_key key)
{
	return id_text(m, provenance_key(m->origins, lot, key));
}

static struct slice month_text(struct grade_mix *m, int32_t day)
{
	enum { YEAR_AND_MONTH = 7 };
	struct buf text = BUF_INIT;
	uint32_t id;

	day_write(&text, day);
	id = intern_id(&m->months, slice_upto(buf_slice(&text), YEAR_AND_MONTH));
	buf_release(&text);
	return intern_text(&m->months, id);
}

static const struct house_scheme *scheme_of(const struct grade_mix *m, int32_t day)
{
	return m->stock->house ? house_scheme_joined(m->stock->house, day, m->end) : NULL;
}

static struct slice scheme_text(const struct grade_mix *m, int32_t day)
{
	const struct house_scheme *scheme = scheme_of(m, day);

	return scheme ? scheme->id : SLICE("");
}

/* A grade of that day, as it counts. */
static struct slice grade_text(const struct grade_mix *m, int32_t day, struct slice grade)
{
	return m->stock->house ? house_grade_joined(m->stock->house, day, m->end, grade) : grade;
}

static struct slice kiln_text(struct grade_mix *m, const struct stock_flow *f)
{
	return m->kilns ? id_text(m, charge_kiln_of(m->kilns, last_charge_of(&m->charges, f))) : SLICE("");
}

/* The keys that only the flow has. */
static struct slice flow_text(struct grade_mix *m, size_t by, const struct stock_flow *f)
{
	switch (by) {
	case GRADE_BY_TREE:
		return origin_text(m, f->from.lot, PROVENANCE_TREE);
	case GRADE_BY_PARCEL:
		return origin_text(m, f->from.lot, PROVENANCE_PARCEL);
	case GRADE_BY_SUPPLIER:
		return origin_text(m, f->from.lot, PROVENANCE_SUPPLIER);
	case GRADE_BY_CHARGE:
		return id_text(m, last_charge_of(&m->charges, f));
	case GRADE_BY_KILN:
		return kiln_text(m, f);
	case GRADE_BY_LOT:
		return stock_text(m->stock, f->from.lot);
	case GRADE_BY_TYPE:
		return stock_text(m->stock, f->change == STOCK_LOST ? f->from.type : f->to.type);
	case GRADE_BY_GRADER:
		return stock_text(m->stock, f->op->by);
	default:
		return SLICE("");
	}
}

static struct slice key_text(struct grade_mix *m, size_t by, const struct grading *g)
{
	switch (by) {
	case GRADE_BY_MONTH:
		return month_text(m, g->day);
	case GRADE_BY_SCHEME:
		return scheme_text(m, g->day);
	case GRADE_BY_WAS:
		return grade_text(m, g->day, g->was);
	default:
		return g->key[by];
	}
}

bool grade_mix_grading(struct grade_mix *m, const struct stock_flow *f, struct grading *g)
{
	if (f->op->event->id != EVENT_GRADE || (f->change != STOCK_GONE_ON && f->change != STOCK_LOST))
		return false;
	g->day = f->op->day;
	g->lot = f->from.lot;
	g->was = stock_text(m->stock, f->from.grade);
	g->culled = f->change == STOCK_LOST;
	g->got = g->culled ? SLICE("") : stock_text(m->stock, f->to.grade);
	g->n = f->n;
	for (size_t i = 0; i < m->nby; i++)
		g->key[m->by[i]] = flow_text(m, m->by[i], f);
	return true;
}

/* ---- counting */

static size_t group_of(struct grade_mix *m, const struct grading *graded)
{
	struct buf joined = BUF_INIT;
	struct grade_group g = { .scheme = scheme_of(m, graded->day) };
	uint32_t had = m->groups.n, id;

	buf_char(&joined, '\n');
	for (size_t i = 0; i < m->nby; i++) {
		g.key[i] = key_text(m, m->by[i], graded);
		buf_add(&joined, g.key[i]);
		buf_char(&joined, '\n');
	}
	id = intern_id(&m->groups, buf_slice(&joined));
	buf_release(&joined);
	if (id == had) {
		m->group = mem_grow(m->group, &m->groups_cap, id, sizeof *m->group);
		m->group[id - 1] = g;
	}
	return id - 1;
}

static uint64_t count_key(size_t group, uint32_t grade)
{
	return (uint64_t)group << 32 | grade;
}

/* The number of a pair in `pairs`, from 1 on; *is_new when it was not there. */
static uint32_t pair_id(struct intern *pairs, size_t a, uint32_t b, bool *is_new)
{
	uint64_t key = count_key(a, b);
	uint32_t had = pairs->n, id = intern_id(pairs, (struct slice){ (const char *)&key, sizeof key });

	*is_new = id == had;
	return id;
}

static struct grade_count *count_of(struct intern *pairs, struct grade_count **list, size_t *cap, size_t of, uint32_t grade)
{
	bool is_new;
	uint32_t id = pair_id(pairs, of, grade, &is_new);

	if (is_new) {
		*list = mem_grow(*list, cap, id, sizeof **list);
		(*list)[id - 1] = (struct grade_count){ 0, 0 };
	}
	return &(*list)[id - 1];
}

static size_t lot_of(struct grade_mix *m, size_t group, uint32_t lot)
{
	bool is_new;
	uint32_t id = pair_id(&m->lots, group, lot, &is_new);

	if (is_new) {
		m->lot = mem_grow(m->lot, &m->lots_cap, id, sizeof *m->lot);
		m->lot[id - 1] = (struct grade_lot){ group, lot, 0, 0 };
	}
	return id - 1;
}

static uint32_t outcome_of(struct grade_mix *m, const struct grading *g)
{
	if (g->culled)
		return GRADE_CULLED;
	if (g->got.n)
		return intern_id(&m->grades, grade_text(m, g->day, g->got));
	m->ungraded = true;
	return GRADE_NONE;
}

/* Whether the answer counts it at all. */
static bool is_asked(const struct grade_mix *m, const struct grading *g)
{
	return g->day >= m->ask->baseline && g->day <= m->ask->to && (g->was.n != 0) == m->ask->regrades;
}

void grade_mix_add(struct grade_mix *m, const struct grading *g)
{
	bool before = g->day < m->ask->from;
	size_t group, lot;
	struct grade_count *count, *of_lot;
	uint32_t outcome;

	if (!is_asked(m, g))
		return;
	group = group_of(m, g);
	lot = lot_of(m, group, g->lot);
	outcome = outcome_of(m, g);
	count = count_of(&m->counts, &m->count, &m->counts_cap, group, outcome);
	of_lot = count_of(&m->lot_counts, &m->lot_count, &m->lot_counts_cap, lot, outcome);
	*(before ? &count->before : &count->now) += g->n;
	*(before ? &of_lot->before : &of_lot->now) += g->n;
	*(before ? &m->lot[lot].before : &m->lot[lot].now) += g->n;
	*(before ? &m->group[group].before : &m->group[group].now) += g->n;
	if (g->day > m->last)
		m->last = g->day;
}

void grade_mix_flow(void *context, const struct stock_flow *f)
{
	struct grade_mix *m = context;
	struct grading g;

	if (grade_mix_grading(m, f, &g))
		grade_mix_add(m, &g);
	if (m->by_charge)
		last_charge_follow(&m->charges, f);
}

/* ---- the counts */

size_t grade_mix_groups(const struct grade_mix *m)
{
	return m->groups.n - 1;
}

static struct grade_count found_count(const struct intern *pairs, const struct grade_count *list, size_t of, uint32_t grade)
{
	uint64_t key = count_key(of, grade);
	uint32_t id = intern_find(pairs, (struct slice){ (const char *)&key, sizeof key });

	return id ? list[id - 1] : (struct grade_count){ 0, 0 };
}

struct grade_count grade_mix_count(const struct grade_mix *m, size_t group, uint32_t grade)
{
	return found_count(&m->counts, m->count, group, grade);
}

size_t grade_mix_lots(const struct grade_mix *m)
{
	return m->lots.n - 1;
}

struct grade_count grade_mix_lot_count(const struct grade_mix *m, size_t lot, uint32_t grade)
{
	return found_count(&m->lot_counts, m->lot_count, lot, grade);
}
