#include "returns/bat_lives.h"

#include <math.h>
#include <stdlib.h>

#include "book/value.h"
#include "returns/life_wood.h"

#define DAYS_A_MONTH (365.25 / 12)

enum { DAYS_KEPT = 256 };

/* The words of a day on which bats were made. */
struct day_words {
	bool known;
	int32_t day;
	uint32_t season, month;
};

/* Of a bat that was made: sums of readings of its own parts, and of how many. */
struct part_sums {
	double blade, handle;
	uint32_t nblade, nhandle;
};

/* What is known of bats, for the time of finding. */
struct life_facts {
	struct lot_readings wood, handles;
	uint32_t *made;            /* by id of the stock: the first row of what is stated of a bat, + 1 */
	struct part_sums *part;    /* by that row */
	uint32_t *word;            /* by id of the stock: its word + 1; 0: not looked up */
	struct day_words day[DAYS_KEPT];
	struct life_woods woods;
};

void bat_lives_init(struct bat_lives *b, struct trace *trace)
{
	*b = (struct bat_lives){ .trace = trace };
	trace->airs = trace->kins = trace->stated.pieces = false;
	trace->readings.lots_only = trace->log.bats_only = true;
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
	if (bat_facts_add(&b->facts, l))
		trace_guess(b->trace, l, b->facts.met);
}

double bat_life_months(const struct bat_life *life)
{
	return fmax(life->end - life->sold, 0.5) / DAYS_A_MONTH;
}

/* ---- readings */

/* Of a bat's own part, on the day on which it was made. */
static void take_part(struct life_facts *m, const struct trace *t, const struct reading *x, bool handle)
{
	uint32_t made = m->made[intern_find(&t->stock->ids, readings_name(&t->readings, x->subject))];
	struct part_sums *part;

	if (!made || t->stated.bat[made - 1].day != x->day)
		return;
	part = &m->part[made - 1];
	*(handle ? &part->handle : &part->blade) += (double)x->mc / VALUE_STEPS;
	(*(handle ? &part->nhandle : &part->nblade))++;
}

static void take_reading(struct life_facts *m, struct trace *t, const struct reading *x)
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

/* Of a lot, any of its pieces. */
static void take_lot(struct life_facts *m, struct trace *t, const struct lot_day *row)
{
	struct reading_of of = reading_of_lot(&t->facts, row);
	uint32_t lot = trace_lot(t, &of);

	if (lot)
		lot_readings_add_day(of.part == t->facts.handle ? &m->handles : &m->wood, lot, row);
}

/* Rows are in the order of their bats and days. */
static void note_made(struct life_facts *m, const struct trace *t)
{
	m->made = mem_zeroed(t->stock->ids.n + 1u, sizeof *m->made);
	for (size_t i = t->stated.nbats; i-- > 0;)
		m->made[t->stated.bat[i].id] = (uint32_t)i + 1;
	m->part = mem_zeroed(t->stated.nbats + 1, sizeof *m->part);
}

static void facts_find(struct life_facts *m, struct bat_lives *b)
{
	struct trace *t = b->trace;
	struct reading x;

	*m = (struct life_facts){ .word = mem_zeroed(t->stock->ids.n + 1u, sizeof *m->word) };
	note_made(m, t);
	while (readings_next(&t->readings, &x))
		take_reading(m, t, &x);
	for (size_t i = 0; i < t->readings.lots.nrows; i++)
		take_lot(m, t, &t->readings.lots.row[i]);
	lot_readings_end(&m->wood);
	lot_readings_end(&m->handles);
	life_woods_init(&m->woods, t, &b->words);
}

static void facts_release(struct life_facts *m)
{
	lot_readings_release(&m->wood);
	lot_readings_release(&m->handles);
	life_woods_release(&m->woods);
	free(m->made);
	free(m->part);
	free(m->word);
}

/* The word of a text of the stock. */
static uint32_t word_of(struct bat_lives *b, struct life_facts *m, uint32_t id)
{
	if (!m->word[id])
		m->word[id] = intern_id(&b->words, trace_text(b->trace, id)) + 1;
	return m->word[id] - 1;
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

static const struct day_words *words_of(struct bat_lives *b, struct life_facts *m, int32_t day)
{
	struct day_words *w = &m->day[(uint32_t)day % DAYS_KEPT];

	if (!w->known || w->day != day)
		*w = (struct day_words){ true, day, season_of(b, day), month_of(b, day) };
	return w;
}

/* From its first grading to its making. */
static double months_stored(const struct life_facts *m, const struct life_wood *wood, int32_t made)
{
	double share = 0, days = 0;

	for (size_t i = wood->gradings; i < wood->gradings + wood->ngradings; i++) {
		const struct life_grading *g = &m->woods.grading[i];

		share += g->share;
		days += g->share * (made - g->day);
	}
	return share > 0.5 ? tie_round(days / share / DAYS_A_MONTH) : NAN;
}

/* The driest reading is that of any of its lots. */
static void set_wood(struct bat_life *life, const struct life_facts *m, const struct life_wood *wood, int32_t made)
{
	life->word[LIFE_CHARGE] = wood->charge;
	life->word[LIFE_LOT] = wood->lot;
	life->word[LIFE_PARCEL] = wood->parcel;
	life->word[LIFE_SUPPLIER] = wood->supplier;
	for (size_t i = wood->lots; i < wood->lots + wood->nlots; i++)
		life->figure[LIFE_DRIEST] = fmin(life->figure[LIFE_DRIEST], lot_readings_driest(&m->wood, m->woods.lot[i], made)); /* NAN is no number to it */
}

static void set_parts(struct bat_life *life, const struct part_sums *part)
{
	if (part->nblade)
		life->figure[LIFE_BLADE_READ] = tie_round(part->blade / part->nblade);
	if (part->nhandle)
		life->figure[LIFE_HANDLE_READ] = tie_round(part->handle / part->nhandle);
}

static void set_making(struct bat_lives *b, struct bat_life *life, struct life_facts *m)
{
	uint32_t made = m->made[life->bat];
	int32_t day = made ? b->trace->stated.bat[made - 1].day : life->sold;
	const struct life_wood *wood = life_wood_of(&m->woods, life->bat);
	int64_t micrograms = bat_facts_mass(&b->facts, life->bat);

	if (made) {
		const struct day_words *words = words_of(b, m, day);

		life->word[LIFE_SEASON] = words->season;
		life->word[LIFE_MONTH] = words->month;
		life->figure[LIFE_STORED] = months_stored(m, wood, day);
		set_parts(life, &m->part[made - 1]);
	}
	set_wood(life, m, wood, day);
	if (micrograms)
		life->figure[LIFE_MASS] = (double)micrograms / 1e6;
}

/* ---- sales and returns */

/* The handle that was in the bat as it was sold by flow of[at]. */
static void set_handle(struct bat_lives *b, struct bat_life *life, struct life_facts *m, const uint32_t *of, size_t at)
{
	const struct flow_log *g = &b->trace->log;

	while (at-- > 0) {
		const struct log_flow *f = &g->flow[of[at]];
		uint32_t lot = flow_log_lot(g, f->from);

		if (!f->is_handle)
			continue;
		life->word[LIFE_HANDLE] = word_of(b, m, lot);
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

static void add_life(struct bat_lives *b, struct life_facts *m, const uint32_t *of, size_t n, size_t at)
{
	const struct flow_log *g = &b->trace->log;
	const struct log_flow *sale = &g->flow[of[at]];
	struct stock_kind kind = flow_log_kind(g, sale->to);
	struct bat_life life = { .bat = kind.lot, .name = trace_text(b->trace, kind.lot), .sold = flow_log_op(g, sale)->day, .end = b->trace->today };

	for (int i = 0; i < LIFE_FIGURES; i++)
		life.figure[i] = NAN;
	life.word[LIFE_TYPE] = word_of(b, m, kind.type);
	life.word[LIFE_GRADE] = word_of(b, m, kind.grade);
	life.word[LIFE_CUSTOMER] = word_of(b, m, kind.party);
	if (at + 1 < n) {
		life.back = true;
		life.end = flow_log_op(g, &g->flow[of[at + 1]])->day;
		set_cause(b, &life);
	}
	set_making(b, &life, m);
	set_handle(b, &life, m, of, at);
	b->life[b->n++] = life;
}

static void count_others(struct bat_lives *b)
{
	const struct flow_log *g = &b->trace->log;

	for (size_t i = 0; i < g->n; i++) {
		const struct log_flow *f = &g->flow[i];

		if (f->was_sold && f->change == STOCK_GONE_ON && flow_log_form(g, f->from) != FORM_BAT)
			b->others_back += log_flow_n(f);
	}
}

/* A day's lines come in any order. */
static int by_name(const void *a, const void *b)
{
	const struct bat_life *x = a, *y = b;
	int order = slice_cmp(x->name, y->name);

	return order ? order : (x->end > y->end) - (x->end < y->end);
}

/* Flows are in the order of their days. */
static void sort_days(struct bat_lives *b)
{
	for (size_t i = 0, end; i < b->n; i = end) {
		for (end = i + 1; end < b->n && b->life[end].sold == b->life[i].sold; end++)
			;
		qsort(&b->life[i], end - i, sizeof *b->life, by_name);
	}
}

/* A sale whose next flow of the bat is its return; nothing else happens to what was sold. */
void bat_lives_find(struct bat_lives *b)
{
	struct life_facts facts;
	const struct flow_log *g = &b->trace->log;

	facts_find(&facts, b);
	b->life = mem_store(g->nsales, sizeof *b->life);
	for (size_t i = 0; i < g->n; i++) {
		const struct log_flow *f = &g->flow[i];
		const uint32_t *of;
		size_t n, at = 0;

		if (!f->is_sold || flow_log_form(g, f->to) != FORM_BAT)
			continue;
		of = flow_log_to(g, flow_log_lot(g, f->to), &n);
		while (of[at] != i)
			at++;
		add_life(b, &facts, of, n, at);
	}
	sort_days(b);
	count_others(b);
	facts_release(&facts);
}
