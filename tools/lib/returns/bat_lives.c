#include "returns/bat_lives.h"

#include <math.h>
#include <stdlib.h>

#include "book/value.h"
#include "moist/lot_readings.h"
#include "trace/sources.h"
#include "trace/ties.h"

#define DAYS_A_MONTH (365.25 / 12)
#define LIFE_SHARE_LEAST 0.05

/* Of more names a bat is of "several". */
enum { LIFE_NAMES_MOST = 2 };

/* What the readings say, for the time of finding. */
struct life_moist {
	struct lot_readings wood, handles;
	double *blade, *handle;    /* of a bat's own parts, by id of the stock: sums, */
	uint32_t *nblade, *nhandle; /* and of how many */
	struct ties ties;          /* of the bat in hand */
	struct sources sources;
};

void bat_lives_init(struct bat_lives *b, struct trace *trace)
{
	*b = (struct bat_lives){ .trace = trace };
	trace->airs = trace->kins = trace->stated.judges = false;
	bat_facts_init(&b->facts, &trace->stock->ids);
	intern_init(&b->words);
}

void bat_lives_release(struct bat_lives *b)
{
	bat_facts_release(&b->facts);
	intern_release(&b->words);
	free(b->life);
	*b = (struct bat_lives){ .n = 0 };
}

void bat_lives_take(struct bat_lives *b, const struct line *l)
{
	trace_take(b->trace, l);
	bat_facts_add(&b->facts, l);
}

double bat_life_months(const struct bat_life *life)
{
	return fmax(life->end - life->sold, 0.5) / DAYS_A_MONTH;
}

/* ---- readings */

/* Of a bat's own part, on the day on which it was made. */
static void take_part(struct life_moist *m, const struct trace *t, const struct reading *x, bool handle)
{
	uint32_t bat = intern_find(&t->stock->ids, readings_name(&t->readings, x->subject));
	size_t n;
	const struct stated_bat *made = stated_bats_of(&t->stated, bat, &n);

	if (!bat || !n || made->day != x->day)
		return;
	(handle ? m->handle : m->blade)[bat] += (double)x->mc / VALUE_STEPS;
	(handle ? m->nhandle : m->nblade)[bat]++;
}

static void take_reading(struct life_moist *m, struct trace *t, const struct reading *x)
{
	struct reading_of of;
	uint32_t lot;
	bool handle;

	if (x->mark == VALUE_ABSENT || x->mark == VALUE_ABOVE)
		return;
	of = reading_of(&t->facts, x);
	handle = of.part && of.part == t->facts.handle;
	if (of.single && x->label && x->mark == VALUE_EXACT)
		take_part(m, t, x, handle);
	lot = trace_lot(t, &of);
	if (lot)
		lot_readings_add(handle ? &m->handles : &m->wood, lot, x->day, x->mc, x->n, x->mark == VALUE_BELOW);
}

static void moist_find(struct life_moist *m, struct trace *t)
{
	size_t n = t->stock->ids.n + 1u;
	struct reading x;

	*m = (struct life_moist){ .blade = mem_zeroed(n, sizeof *m->blade), .handle = mem_zeroed(n, sizeof *m->handle),
		.nblade = mem_zeroed(n, sizeof *m->nblade), .nhandle = mem_zeroed(n, sizeof *m->nhandle) };
	while (readings_next(&t->readings, &x))
		take_reading(m, t, &x);
	lot_readings_end(&m->wood);
	lot_readings_end(&m->handles);
}

static void moist_release(struct life_moist *m)
{
	lot_readings_release(&m->wood);
	lot_readings_release(&m->handles);
	free(m->blade);
	free(m->handle);
	free(m->nblade);
	free(m->nhandle);
	ties_release(&m->ties);
	sources_release(&m->sources);
}

/* ---- names of what it may be of */

struct names {
	struct slice name[LIFE_NAMES_MOST];
	size_t n;                  /* may be more than fit */
};

static void names_add(struct names *names, struct slice name)
{
	for (size_t i = 0; i < names->n && i < LIFE_NAMES_MOST; i++)
		if (slice_eq(names->name[i], name))
			return;
	if (names->n < LIFE_NAMES_MOST)
		names->name[names->n] = name;
	names->n++;
}

static uint32_t names_word(struct bat_lives *b, struct names *names)
{
	struct buf text = BUF_INIT;
	uint32_t id;

	if (names->n > LIFE_NAMES_MOST)
		return intern_id(&b->words, SLICE("several"));
	if (names->n == 1)
		return intern_id(&b->words, slice_eq(names->name[0], SLICE("-")) ? SLICE("") : names->name[0]);
	for (size_t i = 1; i < names->n; i++)
		for (size_t k = i; k && slice_cmp(names->name[k - 1], names->name[k]) > 0; k--) {
			struct slice other = names->name[k];

			names->name[k] = names->name[k - 1];
			names->name[k - 1] = other;
		}
	for (size_t i = 0; i < names->n; i++) {
		buf_str(&text, i ? " or " : "");
		buf_add(&text, names->name[i].n ? names->name[i] : SLICE("-"));
	}
	id = intern_id(&b->words, slice_eq(buf_slice(&text), SLICE("-")) ? SLICE("") : buf_slice(&text));
	buf_release(&text);
	return id;
}

static void set_charge(struct bat_lives *b, struct bat_life *life, struct ties *ties)
{
	struct names names = { .n = 0 };

	ties->n = 0;
	ties_add(ties, b->trace, &b->trace->wood);
	ties_sort(ties, b->trace);
	for (size_t i = 0; i < ties->n; i++)
		if (ties->tie[i].kind == TIE_CHARGE && ties->tie[i].share >= LIFE_SHARE_LEAST)
			names_add(&names, trace_text(b->trace, ties->tie[i].id));
	life->word[LIFE_CHARGE] = names_word(b, &names);
}

/* Its lots, and who sold them; the driest reading is that of any of them. */
static void set_sources(struct bat_lives *b, struct bat_life *life, struct life_moist *m, int32_t made)
{
	const struct trace *t = b->trace;
	struct sources *s = &m->sources;
	struct names lots = { .n = 0 }, parcels = lots, suppliers = lots;

	s->n = 0;
	sources_add(s, t, &t->wood);
	sources_sort(s, t);
	for (size_t i = 0; i < s->n; i++) {
		const struct source *r = &s->row[i];
		double driest = lot_readings_driest(&m->wood, r->lot, made);

		if (r->share < LIFE_SHARE_LEAST)
			continue;
		names_add(&lots, trace_text(t, r->lot));
		names_add(&parcels, trace_text(t, r->stated ? r->stated->parcel : 0));
		names_add(&suppliers, trace_text(t, r->stated ? r->stated->from : 0));
		life->figure[LIFE_DRIEST] = fmin(life->figure[LIFE_DRIEST], driest); /* NAN is no number to it */
	}
	life->word[LIFE_LOT] = names_word(b, &lots);
	life->word[LIFE_PARCEL] = names_word(b, &parcels);
	life->word[LIFE_SUPPLIER] = names_word(b, &suppliers);
}

/* The lots that the blade was in, pools too, have readings. */
static void set_pools(struct bat_life *life, const struct trace *t, const struct life_moist *m, int32_t made)
{
	for (size_t i = 0; i < t->wood.n; i++) {
		const struct log_flow *f = &t->log.flow[t->wood.step[i].flow];
		uint32_t lot = flow_log_lot(&t->log, f->to);

		if (t->wood.step[i].share >= LIFE_SHARE_LEAST && f->from && flow_log_lot(&t->log, f->from) != lot && lot != life->bat)
			life->figure[LIFE_DRIEST] = fmin(life->figure[LIFE_DRIEST], lot_readings_driest(&m->wood, lot, made));
	}
}

/* ---- the making */

static uint32_t season_of(struct bat_lives *b, int32_t day)
{
	static const char *const SEASONS[] = { "Jan-Mar", "Apr-Jun", "Jul-Sep", "Oct-Dec" };
	int year, month, date;

	day_split(day, &year, &month, &date);
	return intern_id(&b->words, slice_of(SEASONS[(month - 1) / 3]));
}

static uint32_t month_of(struct bat_lives *b, int32_t day)
{
	struct buf text = BUF_INIT;
	uint32_t id;

	day_write(&text, day);
	id = intern_id(&b->words, slice_upto(buf_slice(&text), 7));
	buf_release(&text);
	return id;
}

/* From its first grading, which steps have from the latest back, to its making. */
static double months_stored(const struct trace *t, int32_t made)
{
	double share = 0, days = 0;

	for (size_t i = 0; i < t->wood.n; i++) {
		const struct log_flow *f = &t->log.flow[t->wood.step[i].flow];
		const struct log_op *op = flow_log_op(&t->log, f);

		if (op->event->id != EVENT_GRADE || flow_log_kind(&t->log, f->from).grade)
			continue;
		share += t->wood.step[i].share;
		days += t->wood.step[i].share * (made - op->day);
	}
	return share > 0.5 ? tie_round(days / share / DAYS_A_MONTH) : NAN;
}

static void set_making(struct bat_lives *b, struct bat_life *life, struct life_moist *m)
{
	struct trace *t = b->trace;
	size_t n;
	const struct stated_bat *made = stated_bats_of(&t->stated, life->bat, &n);

	lineage_find(&t->wood, LINEAGE_BAT, life->bat);
	if (n) {
		life->word[LIFE_SEASON] = season_of(b, made->day);
		life->word[LIFE_MONTH] = month_of(b, made->day);
		life->figure[LIFE_STORED] = months_stored(t, made->day);
	}
	set_charge(b, life, &m->ties);
	set_sources(b, life, m, n ? made->day : life->sold);
	set_pools(life, t, m, n ? made->day : life->sold);
	if (m->nblade[life->bat])
		life->figure[LIFE_BLADE_READ] = tie_round(m->blade[life->bat] / m->nblade[life->bat]);
	if (m->nhandle[life->bat])
		life->figure[LIFE_HANDLE_READ] = tie_round(m->handle[life->bat] / m->nhandle[life->bat]);
	if (bat_facts_mass(&b->facts, life->bat))
		life->figure[LIFE_MASS] = (double)bat_facts_mass(&b->facts, life->bat) / 1e6;
}

/* ---- sales and returns */

/* The handle that was in the bat as it was sold by flow of[at]. */
static void set_handle(struct bat_lives *b, struct bat_life *life, const struct life_moist *m, const uint32_t *of, size_t at)
{
	const struct flow_log *g = &b->trace->log;

	while (at-- > 0) {
		const struct log_flow *f = &g->flow[of[at]];
		uint32_t lot = flow_log_lot(g, f->from);

		if (!f->is_handle)
			continue;
		life->word[LIFE_HANDLE] = intern_id(&b->words, trace_text(b->trace, lot));
		life->figure[LIFE_HANDLE_MC] = lot_readings_last(&m->handles, lot, flow_log_op(g, f)->day);
		return;
	}
}

static void set_cause(struct bat_lives *b, struct bat_life *life)
{
	size_t n;
	const struct stated_return *back = stated_returns_of(&b->trace->stated, life->bat, &n);

	for (size_t i = 0; i < n; i++)
		if (back[i].day == life->end)
			life->cause = intern_id(&b->words, trace_text(b->trace, back[i].cause));
}

static void add_life(struct bat_lives *b, struct life_moist *m, const uint32_t *of, size_t n, size_t at)
{
	const struct flow_log *g = &b->trace->log;
	const struct log_flow *sale = &g->flow[of[at]];
	struct stock_kind kind = flow_log_kind(g, sale->to);
	struct bat_life life = { .bat = kind.lot, .name = trace_text(b->trace, kind.lot), .sold = flow_log_op(g, sale)->day, .end = b->trace->today };

	for (int i = 0; i < LIFE_FIGURES; i++)
		life.figure[i] = NAN;
	life.word[LIFE_TYPE] = intern_id(&b->words, trace_text(b->trace, kind.type));
	life.word[LIFE_GRADE] = intern_id(&b->words, trace_text(b->trace, kind.grade));
	life.word[LIFE_CUSTOMER] = intern_id(&b->words, trace_text(b->trace, kind.party));
	if (at + 1 < n) {
		life.back = true;
		life.end = flow_log_op(g, &g->flow[of[at + 1]])->day;
		set_cause(b, &life);
	}
	set_making(b, &life, m);
	set_handle(b, &life, m, of, at);
	b->life = mem_grow(b->life, &b->cap, b->n + 1, sizeof *b->life);
	b->life[b->n++] = life;
}

static void count_others(struct bat_lives *b)
{
	const struct flow_log *g = &b->trace->log;

	for (size_t i = 0; i < g->n; i++) {
		struct stock_kind from = flow_log_kind(g, g->flow[i].from);

		if (from.place == b->trace->stock->sold && from.form != FORM_BAT && g->flow[i].change == STOCK_GONE_ON)
			b->others_back += log_flow_n(&g->flow[i]);
	}
}

/* A day's lines come in any order. */
static int by_sale(const void *a, const void *b)
{
	const struct bat_life *x = a, *y = b;
	int order;

	if (x->sold != y->sold)
		return x->sold < y->sold ? -1 : 1;
	order = slice_cmp(x->name, y->name);
	return order ? order : (x->end > y->end) - (x->end < y->end);
}

/* A sale whose next flow of the bat is its return; nothing else happens to what was sold. */
void bat_lives_find(struct bat_lives *b)
{
	struct life_moist moist;
	const struct flow_log *g = &b->trace->log;

	moist_find(&moist, b->trace);
	for (size_t i = 0; i < g->n; i++) {
		struct stock_kind to = flow_log_kind(g, g->flow[i].to);
		const uint32_t *of;
		size_t n, at = 0;

		if (to.form != FORM_BAT || to.place != b->trace->stock->sold)
			continue;
		of = flow_log_to(g, to.lot, &n);
		while (of[at] != i)
			at++;
		add_life(b, &moist, of, n, at);
	}
	if (b->n)
		qsort(b->life, b->n, sizeof *b->life, by_sale);
	count_others(b);
	moist_release(&moist);
}
