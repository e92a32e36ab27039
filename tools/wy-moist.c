/* wy-moist - moisture by charge, lot, place and month; wy-moist(1). */
#include "text.h"
#include "vocab_words.h"
#include "vocab.h"
#include "value.h"
#include "stamp.h"
#include "rules_words.h"
#include "diag.h"
#include "parse.h"
#include "reader.h"
#include "scan.h"
#include "opt.h"
#include "tool.h"
#include "tool_book.h"
#include "table.h"
#include "wide.h"
#include "stats.h"
#include "group.h"
#include "state.h"
#include "tool_group.h"
#include "zone.h"
#include "house_words.h"
#include "house.h"
#include "intern.h"
#include "wood.h"
#include "meter.h"
#include "readings.h"
#include "numerics.h"
#include "moist_quality.h"
#include "moist_line.h"
#include "moist_depth.h"
#include "figure.h"

#include <math.h>
#include <stdlib.h>

#include "mem.h"

/* Moisture is in steps of 0.0001 % (value.h). */
#define STEPS 10000

/* ---- options */

enum { BY_PLACE, BY_CHARGE, BY_LOT, BY_PART, BY_MONTH, BY_DAY };
static const char *const BY_WORDS[] = { "place", "charge", "lot", "part", "month", "day", NULL };
static bool all;

/* What is answered: moisture as it is, or one of the views. */
static bool quality, sampling, by_depth, planing, calibrate;
static const char *target_text, *share_text, *sure_text;

static const struct opt options[] = {
	OPT_TEXT(0, "by", &tool_group_by, "KEY,...",
		"a row for each of place, charge, lot, part, month or day,\nin this order (place,part)"),
	OPT_FLAG('a', "all", &all, "count every reading alike, not the last of each piece alone"),
	OPT_FLAG(0, "quality", &quality, "instead: the drying quality against a target (EN 14298), and what\nthe pieces read assure of the rest"),
	OPT_FLAG(0, "plan", &sampling, "instead: how many pieces to read after the kiln, and the verdict on\nthose that were read"),
	OPT_FLAG(0, "depth", &by_depth, "instead: by depth of the pins, with how much wetter the core is"),
	OPT_FLAG(0, "planing", &planing, "instead: before and after planing (by lot)"),
	OPT_FLAG(0, "calibrate", &calibrate, "instead: each meter's own line from its oven tests"),
	OPT_TEXT(0, "target", &target_text, "PCT", "of --quality: the target, 8% (the place's, or that of ready in the\nhouse file)"),
	OPT_TEXT(0, "share", &share_text, "PCT", "the share of pieces to be assured (the house file's, else 90%)"),
	OPT_TEXT(0, "sure", &sure_text, "PCT", "how sure (the house file's, else 90%)"),
	OPT_PART(tool_group_options),
	OPT_PART(tool_house_options),
	OPT_PART(tool_form_options),
	OPT_PART(tool_bad_options),
	OPT_END
};

static const struct opt_page page = {
	.name = "wy-moist",
	.purpose = "moisture of wood by charge, lot, place and month: as it was last, or of all readings",
	.usage = "[options] [FILE...]\n--quality|--plan|--depth|--planing|--calibrate [options] [FILE...]\n--merge [options] [STATE...]",
	.options = options,
	.example = "wy-moist --by=charge book.wy\nhow wet the probed pieces of each charge were when they were last read",
};

/* ---- reading */

static struct book book;
static struct readings readings;
static struct groups rows, facts; /* of a state */

/* A piece that a meter read and the oven dried. */
struct test {
	uint32_t meter;          /* in `meters`, with its setting */
	bool usable;             /* as a pair for the meter's line */
	struct moist_pair pair;
};

struct tests {
	struct intern meters;
	struct test *list;
	size_t n, cap;
};

static struct tests tests;

struct worker {
	struct readings readings;
	struct tests tests;
};

/* The item that belongs to the i-th of another field: that of its label, else the one in its place. */
static const struct item *beside(const struct line *l, int id, size_t i, struct slice label)
{
	const struct field *f = line_field(l, id);

	for (size_t j = 0; f && label.n && j < f->n; j++)
		if (slice_eq(l->item[f->first + j].label, label))
			return &l->item[f->first + j];
	return f && !label.n && i < f->n && !l->item[f->first + i].label.n ? &l->item[f->first + i] : NULL;
}

/* A reading at the meter's reference temperature, before any line of its own. */
static bool at_reference(const struct line *l, const struct item *mc, double *reading_pct)
{
	const struct item *wood = line_item(l, FIELD_WOOD);
	struct meter_use use = { .rule = meter_rule_none() };
	int64_t corrected;

	if (mc->v.mark != VALUE_EXACT)
		return false;
	if (book.house)
		meter_use_on(book.house, line_word(l, FIELD_METER), l->stamp.day, &use);
	use.line = NULL;
	use.rule.line_a = 0;
	use.rule.line_b = 1;
	if (!meter_correct(&use, mc->v.fix, wood ? wood->v.fix : HOUSE_NONE, &corrected) && use.by_temperature)
		return false;
	*reading_pct = (double)corrected / STEPS;
	return true;
}

static void take_test(struct tests *t, const struct line *l, size_t i, const struct item *mc)
{
	const struct item *wet = beside(l, FIELD_WET, i, mc->label), *dry = beside(l, FIELD_DRY, i, mc->label);
	struct test test = { .meter = intern_id(&t->meters, line_word(l, FIELD_METER)), .pair = { .day = l->stamp.day } };
	double pct = wet && dry ? mc_of_masses_pct(value_number(TYPE_MASS, wet->v.fix), value_number(TYPE_MASS, dry->v.fix)) : NAN;

	test.pair.true_pct = pct;
	test.usable = at_reference(l, mc, &test.pair.reading_pct) && !isnan(pct);
	t->list = mem_grow(t->list, &t->cap, t->n + 1, sizeof *t->list);
	t->list[t->n++] = test;
}

static void take_tests(struct tests *t, const struct line *l)
{
	const struct field *mc = line_field(l, FIELD_MC);

	for (size_t i = 0; mc && line_field(l, FIELD_METER) && i < mc->n; i++)
		if (tool_group_covers(l->stamp.day))
			take_test(t, l, i, &l->item[mc->first + i]);
}

static void *begin(void *arg)
{
	struct worker *w = mem_zeroed(1, sizeof *w);

	(void)arg;
	readings_init(&w->readings, book.house, book.zone);
	intern_init(&w->tests.meters);
	return w;
}

static void lines(void *state, struct reader *reader)
{
	struct worker *w = state;
	const struct line *l;

	while ((l = reader_next(reader))) {
		if (l->kind != LINE_EVENT)
			continue;
		if (!calibrate)
			readings_take(&w->readings, l);
		else if (l->event->id == EVENT_OVEN)
			take_tests(&w->tests, l);
	}
}

static void merge_tests(struct tests *into, const struct tests *from)
{
	if (!from->n)
		return;
	into->list = mem_grow(into->list, &into->cap, into->n + from->n, sizeof *into->list);
	for (size_t i = 0; i < from->n; i++) {
		into->list[into->n] = from->list[i];
		into->list[into->n++].meter = intern_id(&into->meters, intern_text(&from->meters, from->list[i].meter));
	}
}

static void end(void *arg, void *state)
{
	struct worker *w = state;

	(void)arg;
	readings_merge(&readings, &w->readings);
	readings_release(&w->readings);
	merge_tests(&tests, &w->tests);
	intern_release(&w->tests.meters);
	free(w->tests.list);
	free(w);
}

/* A fact is told once, in however many states it stood. */
static void pack(void)
{
	if (!tool_group.merge)
		readings_pack(&readings, &rows, &facts);
	for (size_t i = 0; i < facts.n; i++)
		facts.list[i]->count[0] = 1;
}

/* ---- sorting readings into rows of the answer */

enum { N_READINGS, N_UNREAD, N_PIECES, N_ABOVE, N_BELOW, N_UNCORRECTED, N_DOUBTFUL, N_JUDGED, N_IN, COUNTS };
enum { MC, OVER, UNDER, SUMS }; /* OVER, UNDER: of what was off the scale, the scale's ends */

/* What a row has besides its counts. */
struct row_extra {
	uint32_t number;         /* from 1, in the order of their making */
	int32_t last;            /* the latest day that counts */
	struct buf rules;        /* texts of the corrections, a line each */
};

static struct groups_plan plan = { .name = "moist", .ncounts = COUNTS, .nsums = SUMS, .nnamed = SUMS,
	.extra = sizeof(struct row_extra) };

/* A reading that may count, and what decides whether it does. */
struct candidate {
	struct group *group;
	uint32_t number, source; /* of the group; of what was read */
	uint32_t piece;          /* the piece, at whichever depth; 0 of one at random */
	uint32_t charge;         /* the charge, in this month or day where there are rows for those; 0 for none */
	const struct reading *row;
	bool at_random;
};

/* What a view has of each reading that counts. */
struct counted {
	uint32_t number, piece;  /* of the row; 0 of one at random */
	int32_t day;
	int64_t mc, target, depth; /* target and depth HOUSE_NONE where there is none */
	struct house_range band;
	uint8_t mark, form;      /* VALUE_..., UNSAID or BEFORE or AFTER */
};

enum { UNSAID, BEFORE, AFTER }; /* planing */

struct sorting {
	struct counted *value;   /* by row and depth, of a view alone */
	size_t nvalues, values_cap;
	struct reading_facts *facts;
	struct groups groups;
	struct intern sources;
	struct candidate *list;
	size_t n, cap;
	int64_t *charge_last;    /* by candidate.charge: when its probes were last read */
	size_t charges_cap;
};

static struct slice key_text(size_t word, const struct reading_of *of, struct slice day)
{
	switch (word) {
	case BY_PLACE:
		return of->place;
	case BY_CHARGE:
		return of->charge;
	case BY_LOT:
		return of->lot;
	case BY_PART:
		return of->part;
	case BY_MONTH:
		return slice_upto(day, 7);
	default:
		return day;
	}
}

static struct group *group_of(struct sorting *s, const struct reading_of *of, int32_t day)
{
	struct slice key[GROUP_KEYS_MOST];
	struct buf date = BUF_INIT;
	struct row_extra *extra;
	struct group *g;

	day_write(&date, day);
	for (size_t k = 0; k < tool_group.nby; k++)
		key[k] = key_text(tool_group.by[k], of, buf_slice(&date));
	g = groups_at(&s->groups, key);
	extra = g->extra;
	if (!extra->number) {
		extra->number = (uint32_t)s->groups.n;
		extra->last = INT32_MIN;
	}
	buf_release(&date);
	return g;
}

/* What is taken to be read again and again: a probe or piece, or a lot in a place, or a charge. */
static struct slice source_name(struct buf *name, const struct reading_of *of)
{
	name->n = 0;
	if (of->piece.n)
		return of->piece;
	if (of->charge.n)
		return of->charge;
	buf_add(name, of->lot);
	if (of->place.n) {
		buf_str(name, " at ");
		buf_add(name, of->place);
	}
	return buf_slice(name);
}

static uint32_t source_id(struct sorting *s, char kind, uint32_t number, struct slice name)
{
	struct buf text = BUF_INIT;
	uint32_t id;

	buf_printf(&text, "%c%lu ", kind, (unsigned long)number);
	buf_add(&text, name);
	id = intern_id(&s->sources, buf_slice(&text));
	buf_release(&text);
	return id;
}

/* Read at another depth, or in another form, it is another source where the view is of these. */
static uint32_t source_of(struct sorting *s, uint32_t number, struct slice name, const struct reading_of *of)
{
	struct buf text = BUF_INIT;
	uint32_t id;

	if (by_depth)
		buf_printf(&text, "%lld ", (long long)of->depth);
	if (planing) {
		buf_add(&text, of->form);
		buf_char(&text, ' ');
	}
	buf_add(&text, name);
	id = source_id(s, 's', number, buf_slice(&text));
	buf_release(&text);
	return id;
}

/* A number for the month or the day that rows are for; 0 when they are for neither. */
static uint32_t period_of(int32_t day)
{
	int year, month, date;

	day_split(day, &year, &month, &date);
	if (tool_group_has(BY_DAY))
		return (uint32_t)((year * 12 + month) * 31 + date);
	return tool_group_has(BY_MONTH) ? (uint32_t)(year * 12 + month) : 0;
}

static void keep_charge_last(struct sorting *s, uint32_t charge, int64_t utc_s)
{
	size_t had = s->charges_cap;

	s->charge_last = mem_grow(s->charge_last, &s->charges_cap, charge + 1u, sizeof *s->charge_last);
	for (size_t i = had; i < s->charges_cap; i++)
		s->charge_last[i] = INT64_MIN;
	if (utc_s > s->charge_last[charge])
		s->charge_last[charge] = utc_s;
}

static void sort_in(struct sorting *s, const struct reading *row)
{
	struct reading_of of = reading_of(s->facts, row);
	struct group *g = group_of(s, &of, row->day);
	struct row_extra *extra = g->extra;
	struct candidate c = { .group = g, .number = extra->number, .row = row, .at_random = !of.piece.n };
	struct buf name = BUF_INIT;

	if (row->mark == VALUE_ABSENT) {
		g->count[N_UNREAD]++;
		return;
	}
	g->count[N_READINGS]++;
	if (of.piece.n)
		c.piece = source_id(s, 'p', 0, of.piece);
	c.source = source_of(s, c.number, source_name(&name, &of), &of);
	buf_release(&name);
	if (of.charge.n) {
		c.charge = source_id(s, 'c', period_of(row->day), of.charge);
		keep_charge_last(s, c.charge, c.at_random || row->flags & READING_OVEN ? INT64_MIN : row->utc_s);
	}
	s->list = mem_grow(s->list, &s->cap, s->n + 1, sizeof *s->list);
	s->list[s->n++] = c;
}

/* By row and source, the latest first, of equal ones the wettest first. */
static int candidate_order(const void *a, const void *b)
{
	const struct candidate *x = a, *y = b;

	if (x->number != y->number)
		return x->number < y->number ? -1 : 1;
	if (x->source != y->source)
		return x->source < y->source ? -1 : 1;
	if (x->row->utc_s != y->row->utc_s)
		return x->row->utc_s > y->row->utc_s ? -1 : 1;
	if (x->row->mc != y->row->mc)
		return x->row->mc > y->row->mc ? -1 : 1;
	return x->row->mark == y->row->mark ? 0 : x->row->mark < y->row->mark ? -1 : 1;
}

/* ---- counting */

static struct house_range band_of(const struct reading_of *of)
{
	const struct house_place *place = book.house ? house_place(book.house, of->place) : NULL;
	const struct house_range none = { HOUSE_NONE, HOUSE_NONE };

	if (place && house_range_given(place->target))
		return place->target;
	if (!book.house || !(of->charge.n || (of->single && slice_eq(of->part, SLICE("blade")))))
		return none;
	return book.house->ready.band;
}

/* An off-scale reading is judged only where the scale's end lies outside the band already. */
static void judge(struct group *g, const struct reading *row, struct house_range band)
{
	if (!house_range_given(band))
		return;
	if ((row->mark == VALUE_ABOVE && row->mc < band.high) || (row->mark == VALUE_BELOW && row->mc > band.low))
		return;
	g->count[N_JUDGED]++;
	g->count[N_IN] += row->mark == VALUE_EXACT && house_range_holds(band, row->mc);
}

/* Keeps each rule of correction once, in bytewise order. */
static void keep_rule(struct buf *rules, struct slice rule)
{
	struct buf next = BUF_INIT;
	struct slice rest = buf_slice(rules);
	bool put = false;

	while (rest.n) {
		size_t n = slice_find(rest, '\n');
		struct slice held = slice_upto(rest, n);
		int order = slice_cmp(rule, held);

		if (order <= 0 && !put) {
			buf_add(&next, rule);
			buf_char(&next, '\n');
			put = true;
		}
		if (order) {
			buf_add(&next, held);
			buf_char(&next, '\n');
		}
		rest = slice_from(rest, n + 1);
	}
	if (!put) {
		buf_add(&next, rule);
		buf_char(&next, '\n');
	}
	buf_release(rules);
	*rules = next;
}

static void add_rule(struct group *g, const struct reading *row, const struct reading_of *of)
{
	struct row_extra *extra = g->extra;
	struct meter_use use;
	struct buf rule = BUF_INIT;

	if (row->flags & READING_OVEN)
		buf_str(&rule, "oven");
	else if (row->mark != VALUE_EXACT)
		return;
	else if (row->flags & READING_UNCORRECTED || !book.house)
		buf_str(&rule, "uncorrected");
	else if (meter_use_on(book.house, of->meter, row->day, &use) == METER_OK) {
		buf_add(&rule, of->meter);
		buf_str(&rule, ": ");
		meter_use_write(&rule, &use);
	}
	keep_rule(&extra->rules, buf_slice(&rule));
	buf_release(&rule);
}

/* The middle of a range that has two ends, or HOUSE_NONE. */
static int64_t middle_of(struct house_range r)
{
	if (!house_range_given(r) || r.low == INT64_MIN || r.high == INT64_MAX)
		return HOUSE_NONE;
	return r.low + (r.high - r.low) / 2;
}

static int64_t target_asked = HOUSE_NONE;

/* What the piece is to be dried to: the place's, of charges and blades that of `ready`. */
static int64_t target_of(const struct reading_of *of)
{
	const struct house_place *place = book.house ? house_place(book.house, of->place) : NULL;

	if (target_asked != HOUSE_NONE)
		return target_asked;
	if (place && middle_of(place->target) != HOUSE_NONE)
		return middle_of(place->target);
	if (!book.house || !(of->charge.n || (of->single && slice_eq(of->part, SLICE("blade")))))
		return HOUSE_NONE;
	return book.house->ready.target != HOUSE_NONE ? book.house->ready.target : middle_of(book.house->ready.band);
}

/* A charge is of clefts; elsewhere the line has to say what was read, or it is a blade that was judged. */
static uint8_t form_of(const struct reading_of *of)
{
	if (slice_eq(of->form, SLICE("blade")))
		return AFTER;
	if (slice_eq(of->form, SLICE("cleft")))
		return BEFORE;
	return of->charge.n && !of->form.n ? BEFORE : UNSAID;
}

static void keep_value(struct sorting *s, const struct candidate *c, const struct reading_of *of)
{
	s->value = mem_grow(s->value, &s->values_cap, s->nvalues + 1, sizeof *s->value);
	s->value[s->nvalues++] = (struct counted){ .number = c->number, .piece = c->piece, .day = c->row->day, .mc = c->row->mc,
		.target = target_of(of), .depth = of->depth, .band = band_of(of), .mark = c->row->mark, .form = form_of(of) };
}

static void count(struct sorting *s, const struct candidate *c)
{
	const struct reading *row = c->row;
	struct reading_of of = reading_of(s->facts, row);
	struct group *g = c->group;
	struct row_extra *extra = g->extra;
	struct buf who = BUF_INIT, name = BUF_INIT;

	buf_add(&who, source_name(&name, &of));
	buf_char(&who, ' ');
	day_write(&who, row->day);
	if (row->mark != VALUE_EXACT)
		buf_str(&who, row->mark == VALUE_ABOVE ? " or above" : " or below");
	g->count[N_ABOVE] += row->mark == VALUE_ABOVE;
	g->count[N_BELOW] += row->mark == VALUE_BELOW;
	g->count[N_UNCORRECTED] += (row->flags & READING_UNCORRECTED) != 0;
	g->count[N_DOUBTFUL] += (row->flags & READING_DOUBTFUL) != 0;
	group_add(&plan, g, row->mark == VALUE_ABOVE ? OVER : row->mark == VALUE_BELOW ? UNDER : MC, row->mc, buf_slice(&who));
	extra->last = row->day > extra->last ? row->day : extra->last;
	judge(g, row, band_of(&of));
	if (quality || sampling || by_depth || planing)
		keep_value(s, c, &of);
	add_rule(g, row, &of);
	buf_release(&who);
	buf_release(&name);
}

/*
 * Whether a reading is of the last that is known of its source: `latest` is the first of the source
 * that is no oven test. A sample of a charge at random is past when its probes were read later.
 */
static bool is_last(const struct sorting *s, const struct candidate *c, const struct candidate *latest)
{
	if (c->row->flags & READING_OVEN)
		return false;
	if (!c->at_random)
		return c == latest;
	if (c->charge && c->row->utc_s < s->charge_last[c->charge])
		return false;
	return c->row->utc_s == latest->row->utc_s;
}

static void count_source(struct sorting *s, size_t from, size_t to)
{
	size_t latest = from;
	bool read = false;

	while (latest < to && s->list[latest].row->flags & READING_OVEN)
		latest++;
	for (size_t i = from; i < to; i++) {
		const struct candidate *c = &s->list[i];
		bool last = latest < to && is_last(s, c, &s->list[latest]);

		if (all || last)
			count(s, c);
		/* a piece is counted once, one at random with each reading, one in the oven for itself */
		if (all ? c->at_random || c->row->flags & READING_OVEN || !read : last)
			c->group->count[N_PIECES]++;
		read |= !(c->row->flags & READING_OVEN);
	}
}

static void sort_readings(struct sorting *s)
{
	*s = (struct sorting){ .facts = readings_resolve(&readings) };
	groups_init(&s->groups, &plan);
	intern_init(&s->sources);
	for (size_t i = 0; i < readings.n; i++)
		if (tool_group_covers(readings.row[i].day))
			sort_in(s, &readings.row[i]);
	if (s->n)
		qsort(s->list, s->n, sizeof *s->list, candidate_order);
	for (size_t from = 0, to; from < s->n; from = to) {
		for (to = from + 1; to < s->n && s->list[to].number == s->list[from].number && s->list[to].source == s->list[from].source; to++)
			;
		count_source(s, from, to);
	}
	groups_sort(&s->groups);
}

/* ---- the answer */

static const struct table_column COLUMNS[] = {
	{ "n_readings", TABLE_INT, 0 }, { "n_unread", TABLE_INT, 0 }, { "n_pieces", TABLE_INT, 0 },
	{ "n_above", TABLE_INT, 0 }, { "n_below", TABLE_INT, 0 }, { "n_uncorrected", TABLE_INT, 0 }, { "n_doubtful", TABLE_INT, 0 },
	{ "mc_mean_pct", TABLE_REAL, 1 }, { "mc_sd_pct", TABLE_REAL, 2 },
	{ "driest_pct", TABLE_REAL, 1 }, { "driest", TABLE_TEXT, 0 }, { "wettest_pct", TABLE_REAL, 1 }, { "wettest", TABLE_TEXT, 0 },
	{ "n_judged", TABLE_INT, 0 }, { "share_in_band", TABLE_REAL, 3 }, { "share_low", TABLE_REAL, 3 }, { "share_high", TABLE_REAL, 3 },
	{ "last", TABLE_DATE, 0 }, { "rule", TABLE_TEXT, 0 },
};

static void put_end(struct table *t, int64_t mc, const struct buf *who)
{
	table_real(t, (double)mc / STEPS);
	table_text(t, buf_slice(who));
}

/* What was off the scale goes before what was on it: how far off is not known. */
static void put_ends(struct table *t, const struct group *g)
{
	int driest = g->sums[UNDER].n ? UNDER : g->sums[MC].n ? MC : OVER;
	int wettest = g->sums[OVER].n ? OVER : g->sums[MC].n ? MC : UNDER;

	if (!g->sums[driest].n) {
		for (int i = 0; i < 4; i++)
			table_absent(t);
		return;
	}
	put_end(t, g->sums[driest].least, &g->ends[driest].least);
	put_end(t, g->sums[wettest].most, &g->ends[wettest].most);
}

static void put_share(struct table *t, const struct group *g)
{
	int64_t judged = g->count[N_JUDGED], in = g->count[N_IN];
	double low = NAN, high = NAN;

	table_int(t, judged);
	table_real(t, judged ? (double)in / (double)judged : NAN);
	if (all || !wilson_interval(in, judged, NORMAL_975, &low, &high))
		low = high = NAN;
	table_real(t, low);
	table_real(t, high);
}

static void put_last(struct table *t, const struct row_extra *extra)
{
	struct buf text = BUF_INIT;

	if (extra->last == INT32_MIN)
		table_absent(t);
	else {
		day_write(&text, extra->last);
		table_date(t, buf_slice(&text));
	}
	text.n = 0;
	for (size_t i = 0; i + 1 < extra->rules.n; i++)
		if (extra->rules.p[i] == '\n')
			buf_str(&text, "; ");
		else
			buf_char(&text, extra->rules.p[i]);
	table_text(t, buf_slice(&text));
	buf_release(&text);
}

static void put_row(struct table *t, const struct group *g)
{
	for (size_t k = 0; k < tool_group.nby; k++)
		if (g->key[k].n)
			table_text(t, g->key[k]);
		else
			table_absent(t);
	for (int i = N_READINGS; i <= N_DOUBTFUL; i++)
		table_int(t, g->count[i]);
	table_real(t, sums_mean(&g->sums[MC], STEPS));
	table_real(t, sums_sd(&g->sums[MC], STEPS));
	put_ends(t, g);
	put_share(t, g);
	put_last(t, g->extra);
}

static void add_notes(struct table *t)
{
	if (all) {
		table_note(t, SLICE("Every reading counts alike; readings of one piece are no sample, so the share has no interval."));
		return;
	}
	table_note(t, SLICE("Each piece counts by its last reading; of a lot in a place the last sample counts."));
	table_note(t, SLICE("The interval (95 %) takes the pieces for a random sample, which probes chosen by hand are not."));
}

static void print_answer(const struct sorting *s)
{
	struct table t;

	table_init(&t, NULL, 0);
	for (size_t k = 0; k < tool_group.nby; k++)
		table_add_column(&t, BY_WORDS[tool_group.by[k]], TABLE_TEXT, 0);
	for (size_t i = 0; i < sizeof COLUMNS / sizeof *COLUMNS; i++)
		table_add_column(&t, COLUMNS[i].name, COLUMNS[i].type, COLUMNS[i].places);
	for (size_t i = 0; i < s->groups.n; i++)
		put_row(&t, s->groups.list[i]);
	add_notes(&t);
	tool_print_table(&t);
	table_release(&t);
}

/* ---- views: what they share */

static double cover = 0.9, sure = 0.9;

static void check_views(void)
{
	int views = quality + sampling + by_depth + planing + calibrate;

	if (views > 1)
		tool_misused("--quality, --plan, --depth, --planing and --calibrate are answers of their own; take one");
	if (views && all)
		tool_misused("--all counts readings, and this answer counts pieces");
	if (calibrate && (tool_group.merge || tool_group.partial))
		tool_misused("a state has no readings as they were before correction; give --calibrate the book");
	if (calibrate && tool_group_by)
		tool_misused("--calibrate has a row for each meter and setting, and no --by");
	if (target_text && !quality)
		tool_misused("--target is for --quality");
	if ((share_text || sure_text) && (!views || calibrate))
		tool_misused("--share and --sure are for the answers that assure a share");
}

static void read_share(const char *option, const char *text, int64_t given, double *share)
{
	struct value v = { .fix = given };

	if (text && value_read(TYPE_HUMIDITY, 0, slice_of(text), &v) != VALUE_OK)
		tool_misused("%s takes a share such as 90%% and not '%s'", option, text);
	if (text && (v.fix <= 0 || v.fix >= 100 * STEPS))
		tool_misused("%s=%s: say more than 0%% and less than 100%%; no sample makes sure of all", option, text);
	if (v.fix > 0 && v.fix < 100 * STEPS)
		*share = (double)v.fix / (100 * STEPS);
}

/* What is asked for, else what the house says, else nine in ten. */
static void read_shares(void)
{
	struct value v;

	read_share("--share", share_text, book.house ? book.house->ready.share : 0, &cover);
	read_share("--sure", sure_text, book.house ? book.house->ready.sure : 0, &sure);
	if (sampling && sure <= 0.5)
		tool_misused("--plan needs to be surer than 50%%");
	if (!target_text)
		return;
	if (value_read(TYPE_MOISTURE, 0, slice_of(target_text), &v) != VALUE_OK || v.fix <= 0)
		tool_misused("--target takes a moisture such as 8%% and not '%s'", target_text);
	target_asked = v.fix;
}

static int value_order(const void *a, const void *b)
{
	const struct counted *x = a, *y = b;

	if (x->number != y->number)
		return x->number < y->number ? -1 : 1;
	if (x->depth != y->depth)
		return x->depth < y->depth ? -1 : 1;
	if (x->form != y->form)
		return x->form < y->form ? -1 : 1;
	return (x->mc > y->mc) - (x->mc < y->mc);
}

/* Some of the values, one behind the other. */
struct run {
	const struct counted *v;
	size_t n;
};

/* The values of a row, sorted before with value_order(). */
static struct run run_of(const struct sorting *s, const struct group *g)
{
	uint32_t number = ((const struct row_extra *)g->extra)->number;
	size_t from = 0, to = s->nvalues;

	while (from < to) {
		size_t mid = from + (to - from) / 2;

		if (s->value[mid].number < number)
			from = mid + 1;
		else
			to = mid;
	}
	for (to = from; to < s->nvalues && s->value[to].number == number; to++)
		;
	return (struct run){ s->value + from, to - from };
}

static void sort_values(struct sorting *s)
{
	if (s->nvalues)
		qsort(s->value, s->nvalues, sizeof *s->value, value_order);
}

static struct sums sums_of(struct run r)
{
	struct sums sums = { 0 };

	for (size_t i = 0; i < r.n; i++)
		if (r.v[i].mark == VALUE_EXACT)
			sums_add(&sums, r.v[i].mc);
	return sums;
}

static void start_table(struct table *t, const struct table_column *columns, size_t n)
{
	table_init(t, NULL, 0);
	for (size_t k = 0; k < tool_group.nby; k++)
		table_add_column(t, BY_WORDS[tool_group.by[k]], TABLE_TEXT, 0);
	for (size_t i = 0; i < n; i++)
		table_add_column(t, columns[i].name, columns[i].type, columns[i].places);
}

#define START_TABLE(t, columns) start_table(t, columns, sizeof (columns) / sizeof *(columns))

static void put_keys(struct table *t, const struct group *g)
{
	for (size_t k = 0; k < tool_group.nby; k++)
		if (g->key[k].n)
			table_text(t, g->key[k]);
		else
			table_absent(t);
}

static void note_shares(struct table *t, const char *form)
{
	struct buf text = BUF_INIT;

	buf_printf(&text, form, 100 * cover, 100 * sure);
	table_note(t, buf_slice(&text));
	buf_release(&text);
}

#define AT_RANDOM SLICE("This holds of pieces taken at random; probes chosen by hand, or in one stack, say less.")

/* ---- --quality */

static const struct table_column QUALITY[] = {
	{ "target_pct", TABLE_REAL, 1 }, { "n_pieces", TABLE_INT, 0 }, { "n_off_scale", TABLE_INT, 0 },
	{ "verdict", TABLE_TEXT, 0 }, { "why", TABLE_TEXT, 0 },
	{ "mc_mean_pct", TABLE_REAL, 1 }, { "mean_least_pct", TABLE_REAL, 1 }, { "mean_most_pct", TABLE_REAL, 1 },
	{ "n_judged", TABLE_INT, 0 }, { "share_within", TABLE_REAL, 3 }, { "piece_least_pct", TABLE_REAL, 1 }, { "piece_most_pct", TABLE_REAL, 1 },
	{ "mc_sd_pct", TABLE_REAL, 2 }, { "mean_low_pct", TABLE_REAL, 1 }, { "mean_high_pct", TABLE_REAL, 1 },
	{ "share_above_pct", TABLE_REAL, 1 }, { "share_below_pct", TABLE_REAL, 1 },
	{ "share_low_pct", TABLE_REAL, 1 }, { "share_high_pct", TABLE_REAL, 1 },
	{ "share_assured", TABLE_REAL, 3 }, { "free_sure", TABLE_REAL, 3 }, { "limits", TABLE_TEXT, 0 },
};

/* The target that all pieces of the row have, or HOUSE_NONE. */
static int64_t common_target(struct run r, bool *mixed)
{
	int64_t target = r.n ? r.v[0].target : HOUSE_NONE;

	*mixed = false;
	for (size_t i = 1; i < r.n; i++)
		*mixed |= r.v[i].target != target;
	return *mixed ? HOUSE_NONE : target;
}

/* An off-scale piece is judged only where the scale's end lies outside already. */
static void judge_piece(struct moist_sample *s, const struct counted *v, int64_t target)
{
	enum moist_place place = moist_piece(v->mc, target);

	s->off_scale += v->mark != VALUE_EXACT;
	if ((v->mark == VALUE_ABOVE && place != MOIST_HIGH) || (v->mark == VALUE_BELOW && place != MOIST_LOW))
		return;
	s->judged++;
	s->within += place == MOIST_WITHIN;
}

static struct moist_sample sample_of(struct run r, int64_t target)
{
	struct sums sums = sums_of(r);
	struct moist_sample s = { .n = sums.n, .mean_pct = sums_mean(&sums, STEPS), .sd_pct = sums_sd(&sums, STEPS) };

	for (size_t i = 0; i < r.n; i++)
		if (target != HOUSE_NONE)
			judge_piece(&s, &r.v[i], target);
		else
			s.off_scale += r.v[i].mark != VALUE_EXACT;
	return s;
}

static void write_why(struct buf *why, const struct moist_limits *l, const struct moist_sample *s, unsigned fails)
{
	if (fails & MOIST_OFF_SCALE)
		buf_printf(why, "%lld off the meter's scale, so the mean is not known", (long long)s->off_scale);
	else if (!(fails & MOIST_NO_PIECE))
		buf_printf(why, "mean of %lld %s %.1f..%.1f", (long long)s->n, fails & MOIST_MEAN_LOW ? "below" : fails & MOIST_MEAN_HIGH ? "above" : "within",
			l->mean_low_pct, l->mean_high_pct);
	if (s->judged)
		buf_printf(why, "%s%lld of %lld within %.1f..%.1f", why->n ? "; " : "", (long long)s->within, (long long)s->judged, l->piece_low_pct, l->piece_high_pct);
}

static void put_verdict(struct table *t, const struct moist_limits *l, const struct moist_sample *s, const char *unjudged)
{
	unsigned fails = l ? moist_fails(l, s) : 0;
	struct buf why = BUF_INIT;

	if (!l) {
		table_cstr(t, "unjudged");
		table_cstr(t, unjudged);
		return;
	}
	write_why(&why, l, s, fails);
	table_cstr(t, fails & (MOIST_MEAN_LOW | MOIST_MEAN_HIGH | MOIST_PIECES_OUT) ? "outside" : fails ? "unjudged" : "within");
	table_text(t, buf_slice(&why));
	buf_release(&why);
}

static void put_limits(struct table *t, const struct moist_limits *l, const struct moist_sample *s)
{
	table_real(t, s->mean_pct);
	table_real(t, l ? l->mean_low_pct : NAN);
	table_real(t, l ? l->mean_high_pct : NAN);
	table_int(t, s->judged);
	table_real(t, s->judged ? (double)s->within / (double)s->judged : NAN);
	table_real(t, l ? l->piece_low_pct : NAN);
	table_real(t, l ? l->piece_high_pct : NAN);
}

static void put_assured(struct table *t, const struct moist_limits *l, const struct moist_sample *s)
{
	struct moist_assured a = moist_assures(l, s, cover, sure);
	const double cell[] = { s->sd_pct, a.mean_low_pct, a.mean_high_pct, a.above_pct, a.below_pct, a.low_pct, a.high_pct, a.share, a.free_sure };

	for (size_t i = 0; i < sizeof cell / sizeof *cell; i++)
		table_real(t, cell[i]);
	if (!l)
		table_absent(t);
	else
		table_cstr(t, l->remembered ? "EN 14298, those of the mean from memory" : "EN 14298");
}

static void put_quality(struct table *t, const struct group *g, struct run r)
{
	bool mixed;
	int64_t target = common_target(r, &mixed);
	struct moist_limits limits;
	bool known = target != HOUSE_NONE && moist_limits_of((double)target / STEPS, &limits);
	struct moist_sample s = sample_of(r, known ? target : HOUSE_NONE);

	put_keys(t, g);
	table_real(t, target == HOUSE_NONE ? NAN : (double)target / STEPS);
	table_int(t, (int64_t)r.n);
	table_int(t, s.off_scale);
	put_verdict(t, known ? &limits : NULL, &s, !r.n ? "no piece" : mixed ? "its pieces have different targets"
		: target == HOUSE_NONE ? "it has no target; --target says one" : "no limits for this target");
	put_limits(t, known ? &limits : NULL, &s);
	put_assured(t, known ? &limits : NULL, &s);
}

static void print_quality(struct sorting *s)
{
	struct table t;

	sort_values(s);
	START_TABLE(&t, QUALITY);
	for (size_t i = 0; i < s->groups.n; i++)
		put_quality(&t, s->groups.list[i], run_of(s, s->groups.list[i]));
	table_note(&t, SLICE("verdict: of the pieces that were read; how many EN 14298 has measured was not found, so n_pieces says on how many it rests."));
	note_shares(&t, "share_above, share_below; share_low and share_high: %.6g %% of all lie above, below; between, at %.6g %%, if pieces are normally distributed.");
	table_note(&t, SLICE("share_assured: so many of all lie within the limits of pieces. free_sure: how sure that share lies between driest and wettest, whatever the distribution."));
	table_note(&t, AT_RANDOM);
	tool_print_table(&t);
	table_release(&t);
}

/* ---- --plan */

static const struct table_column PLAN[] = { { "out", TABLE_INT, 0 }, { "read", TABLE_INT, 0 } };
static const struct table_column TAKEN[] = {
	{ "n_at_random", TABLE_INT, 0 }, { "n_others", TABLE_INT, 0 }, { "n_untold", TABLE_INT, 0 }, { "out", TABLE_INT, 0 },
	{ "verdict", TABLE_TEXT, 0 }, { "more", TABLE_INT, 0 }, { "share_out", TABLE_REAL, 3 },
	{ "share_out_low", TABLE_REAL, 3 }, { "share_out_high", TABLE_REAL, 3 },
};

enum { PLAN_OUT_MOST = 5 };

static void fill_plan(struct table *t)
{
	table_init(t, PLAN, sizeof PLAN / sizeof *PLAN);
	table_title(t, SLICE("How many to read"), "plan");
	for (int64_t out = 0; out <= PLAN_OUT_MOST; out++) {
		table_int(t, out);
		table_int(t, num_sample(cover, sure, out));
	}
	note_shares(t, "Before reading, choose a row; with at most so many out of band among so many read, %.6g %% conform at %.6g %%.");
	table_note(t, AT_RANDOM);
}

enum { TAKEN_RANDOM, TAKEN_OTHER, TAKEN_UNTOLD, TAKEN_OUT, TAKEN_COUNTS };

/* Where a piece cannot be told to be in the band or out of it, it is in no verdict. */
static void count_taken(int64_t *count, const struct counted *v)
{
	bool high = v->mark == VALUE_ABOVE && v->mc < v->band.high, low = v->mark == VALUE_BELOW && v->mc > v->band.low;

	if (v->piece)
		count[TAKEN_OTHER]++;
	else if (!house_range_given(v->band) || high || low)
		count[TAKEN_UNTOLD]++;
	else {
		count[TAKEN_RANDOM]++;
		count[TAKEN_OUT] += v->mark != VALUE_EXACT || !house_range_holds(v->band, v->mc);
	}
}

static const char *const SHOWN[] = { "shown", "not shown", "refuted" };

static void put_taken(struct table *t, const struct group *g, struct run r)
{
	int64_t count[TAKEN_COUNTS] = { 0 }, n;
	struct moist_taken taken;

	for (size_t i = 0; i < r.n; i++)
		count_taken(count, &r.v[i]);
	n = count[TAKEN_RANDOM];
	taken = moist_taken_of(count[TAKEN_OUT], n, cover, sure);
	put_keys(t, g);
	for (int i = 0; i < TAKEN_COUNTS; i++)
		table_int(t, count[i]);
	table_cstr(t, n ? count[TAKEN_UNTOLD] ? "unjudged" : SHOWN[taken.shown] : "no sample");
	if (taken.more < 0)
		table_absent(t);
	else
		table_int(t, taken.more);
	table_real(t, n ? (double)count[TAKEN_OUT] / (double)n : NAN);
	table_real(t, n ? taken.out_low : NAN);
	table_real(t, n ? taken.out_high : NAN);
}

static void print_plan(struct sorting *s)
{
	struct table plan_of, taken;
	const struct table *tables[] = { &plan_of, &taken };

	sort_values(s);
	fill_plan(&plan_of);
	START_TABLE(&taken, TAKEN);
	table_title(&taken, SLICE("What was read"), "taken");
	for (size_t i = 0; i < s->groups.n; i++)
		put_taken(&taken, s->groups.list[i], run_of(s, s->groups.list[i]));
	note_shares(&taken, "shown: %.6g %% conform at %.6g %%. refuted: as sure, fewer do. more: so many more to read, none of them out, until it is shown.");
	table_note(&taken, SLICE("Readings without a label are of pieces taken at random; n_others (probes, judged pieces) are no sample. share_out_low and _high are one-sided (Clopper and Pearson)."));
	tool_print_tables(tables, 2);
	table_release(&plan_of);
	table_release(&taken);
}

/* ---- --depth */

static const struct table_column DEPTHS[] = {
	{ "depth_mm", TABLE_REAL, 1 }, { "n_pieces", TABLE_INT, 0 }, { "n_off_scale", TABLE_INT, 0 },
	{ "mc_mean_pct", TABLE_REAL, 1 }, { "mc_sd_pct", TABLE_REAL, 2 },
	{ "less_shell_pct", TABLE_REAL, 2 }, { "less_shell_low_pct", TABLE_REAL, 2 }, { "less_shell_high_pct", TABLE_REAL, 2 },
	{ "n_pairs", TABLE_INT, 0 }, { "meaning", TABLE_TEXT, 0 },
};

static struct moist_depth *points_of(struct run r, size_t *n)
{
	struct moist_depth *list = mem_array(r.n + 1, sizeof *list);

	*n = 0;
	for (size_t i = 0; i < r.n; i++)
		if (r.v[i].mark == VALUE_EXACT)
			list[(*n)++] = (struct moist_depth){ r.v[i].piece, r.v[i].day, (double)r.v[i].mc / STEPS };
	return list;
}

static struct moist_difference difference_of(struct run shallow, struct run deep)
{
	size_t m, n;
	struct moist_depth *a = points_of(shallow, &m), *b = points_of(deep, &n);
	struct moist_difference d = moist_difference_of(a, m, b, n, sure);

	free(a);
	free(b);
	return d;
}

static const char *meaning_of(const struct moist_difference *d)
{
	if (isnan(d->points))
		return NULL;
	if (isnan(d->low))
		return "too few pieces to tell";
	if (d->low > 0)
		return "core wetter: it still dries inside";
	return d->high < 0 ? "shell wetter: it has taken up water, or was conditioned" : "no difference told";
}

static void put_difference(struct table *t, const struct moist_difference *d)
{
	table_real(t, d->points);
	table_real(t, d->low);
	table_real(t, d->high);
}

static void put_depth(struct table *t, const struct group *g, struct run shell, struct run r)
{
	struct sums sums = sums_of(r);
	struct moist_difference d;

	put_keys(t, g);
	table_real(t, (double)r.v[0].depth / STEPS);
	table_int(t, (int64_t)r.n);
	table_int(t, (int64_t)r.n - sums.n);
	table_real(t, sums_mean(&sums, STEPS));
	table_real(t, sums_sd(&sums, STEPS));
	if (r.v == shell.v) {
		table_rest_absent(t);
		return;
	}
	d = difference_of(shell, r);
	put_difference(t, &d);
	table_int(t, (int64_t)d.pairs);
	table_cstr(t, meaning_of(&d));
}

/* Rows by depth; what bears no depth is none of them. */
static size_t put_depths(struct table *t, const struct group *g, struct run all_of)
{
	struct run shell = { NULL, 0 };
	size_t from = 0, to;

	while (from < all_of.n && all_of.v[from].depth == HOUSE_NONE)
		from++;
	for (size_t i = from; i < all_of.n; i = to) {
		for (to = i + 1; to < all_of.n && all_of.v[to].depth == all_of.v[i].depth; to++)
			;
		if (i == from)
			shell = (struct run){ all_of.v + i, to - i };
		put_depth(t, g, shell, (struct run){ all_of.v + i, to - i });
	}
	return from;
}

/* Whether any depth was written. */
static bool print_depths(struct sorting *s)
{
	struct table t;
	struct buf note = BUF_INIT;
	size_t unsaid = 0;
	bool any;

	sort_values(s);
	START_TABLE(&t, DEPTHS);
	for (size_t i = 0; i < s->groups.n; i++)
		unsaid += put_depths(&t, s->groups.list[i], run_of(s, s->groups.list[i]));
	buf_printf(&note, "less_shell: this depth less the shallowest, with its interval at %.6g %%: of the differences within pieces read at both on one day (n_pairs), else of two samples.", 100 * sure);
	table_note(&t, buf_slice(&note));
	note.n = 0;
	buf_printf(&note, "Left out because no depth was written: %zu.", unsaid);
	table_note(&t, buf_slice(&note));
	any = table_rows(&t) > 0;
	tool_print_table(&t);
	table_release(&t);
	buf_release(&note);
	return any;
}

/* ---- --planing */

static const struct table_column PLANED[] = {
	{ "n_clefts", TABLE_INT, 0 }, { "clefts_mean_pct", TABLE_REAL, 1 }, { "clefts_sd_pct", TABLE_REAL, 2 },
	{ "n_blades", TABLE_INT, 0 }, { "blades_mean_pct", TABLE_REAL, 1 }, { "blades_sd_pct", TABLE_REAL, 2 },
	{ "change_pct", TABLE_REAL, 2 }, { "change_low_pct", TABLE_REAL, 2 }, { "change_high_pct", TABLE_REAL, 2 },
	{ "n_unsaid", TABLE_INT, 0 }, { "n_off_scale", TABLE_INT, 0 },
};

/* The values of one form, taken off those of a row into a list of their own. */
static struct run run_of_form(struct run r, uint8_t form, struct counted *into)
{
	struct run of = { into, 0 };

	for (size_t i = 0; i < r.n; i++)
		if (r.v[i].form == form) {
			into[of.n] = r.v[i];
			into[of.n++].piece = 0;
		}
	return of;
}

static void put_planing(struct table *t, const struct group *g, struct run r)
{
	struct counted *kept = mem_array(2 * r.n + 1, sizeof *kept);
	struct run of[] = { run_of_form(r, BEFORE, kept), run_of_form(r, AFTER, kept + r.n) };
	struct moist_difference d = difference_of(of[0], of[1]);
	struct sums sums[] = { sums_of(of[0]), sums_of(of[1]) }, every = sums_of(r);

	put_keys(t, g);
	for (int i = 0; i < 2; i++) {
		table_int(t, (int64_t)of[i].n);
		table_real(t, sums_mean(&sums[i], STEPS));
		table_real(t, sums_sd(&sums[i], STEPS));
	}
	put_difference(t, &d);
	table_int(t, (int64_t)(r.n - of[0].n - of[1].n));
	table_int(t, (int64_t)r.n - every.n);
	free(kept);
}

static void print_planing(struct sorting *s)
{
	struct table t;
	struct buf note = BUF_INIT;

	sort_values(s);
	START_TABLE(&t, PLANED);
	for (size_t i = 0; i < s->groups.n; i++)
		put_planing(&t, s->groups.list[i], run_of(s, s->groups.list[i]));
	buf_printf(&note, "change: blades less clefts, with its interval at %.6g %%; planing takes off the shell, so that it shows what the shell hid, and time passed too.", 100 * sure);
	table_note(&t, buf_slice(&note));
	table_note(&t, SLICE("Clefts are what form= calls so, and pieces in a charge; blades what form= calls so, judged pieces and bats."));
	table_note(&t, AT_RANDOM);
	tool_print_table(&t);
	table_release(&t);
	buf_release(&note);
}

/* ---- --calibrate */

static const struct table_column LINES[] = {
	{ "meter", TABLE_TEXT, 0 }, { "n_pairs", TABLE_INT, 0 }, { "n_left_out", TABLE_INT, 0 }, { "n_lacking", TABLE_INT, 0 },
	{ "a", TABLE_REAL, 3 }, { "a_error", TABLE_REAL, 3 }, { "b", TABLE_REAL, 4 }, { "b_error", TABLE_REAL, 4 }, { "sd_pct", TABLE_REAL, 2 },
	{ "least_pct", TABLE_REAL, 1 }, { "most_pct", TABLE_REAL, 1 }, { "first", TABLE_DATE, 0 }, { "last", TABLE_DATE, 0 },
	{ "own", TABLE_TEXT, 0 },
};

static void write_own(struct buf *out, struct slice meter, const struct moist_line *l)
{
	size_t stroke = slice_find(meter, '/');

	buf_str(out, "- {");
	if (stroke < meter.n) {
		buf_str(out, "setting: ");
		buf_add(out, slice_from(meter, stroke + 1));
		buf_str(out, ", ");
	}
	buf_str(out, "date: ");
	day_write(out, l->last);
	buf_str(out, ", a: ");
	buf_real_shown(out, l->a, 3);
	buf_str(out, ", b: ");
	buf_real_shown(out, l->b, 4);
	buf_printf(out, ", pairs: %zu, sd: ", l->n);
	buf_real_shown(out, l->sd, 2);
	buf_str(out, ", span: ");
	buf_real_shown(out, l->low_pct, 1);
	buf_str(out, "..");
	buf_real_shown(out, l->high_pct, 1);
	buf_str(out, "%}");
}

static void put_day(struct table *t, const struct moist_line *l, int32_t day)
{
	struct buf text = BUF_INIT;

	if (!l->n)
		table_absent(t);
	else {
		day_write(&text, day);
		table_date(t, buf_slice(&text));
	}
	buf_release(&text);
}

static void put_line(struct table *t, struct slice meter, const struct moist_line *l, size_t left_out)
{
	const double cell[] = { l->a, l->a_error, l->b, l->b_error, l->sd, l->low_pct, l->high_pct };
	struct buf own = BUF_INIT;

	table_text(t, meter);
	table_int(t, (int64_t)l->n);
	table_int(t, (int64_t)left_out);
	table_int(t, (int64_t)l->lack);
	for (size_t i = 0; i < sizeof cell / sizeof *cell; i++)
		table_real(t, cell[i]);
	put_day(t, l, l->first);
	put_day(t, l, l->last);
	if (!l->lack && l->b > 0 && !isnan(l->sd)) {
		write_own(&own, meter, l);
		table_text(t, buf_slice(&own));
	} else
		table_absent(t);
	buf_release(&own);
}

static int test_order(const void *a, const void *b)
{
	const struct test *x = a, *y = b;

	return slice_cmp(intern_text(&tests.meters, x->meter), intern_text(&tests.meters, y->meter));
}

/* The tests from `from` on that are of one meter. */
static size_t put_meter(struct table *t, size_t from)
{
	struct moist_pair *pair = mem_array(tests.n, sizeof *pair);
	struct moist_line line;
	size_t n = 0, to = from;

	for (; to < tests.n && tests.list[to].meter == tests.list[from].meter; to++)
		if (tests.list[to].usable)
			pair[n++] = tests.list[to].pair;
	line = moist_line_of(pair, n);
	put_line(t, intern_text(&tests.meters, tests.list[from].meter), &line, to - from - n);
	free(pair);
	return to;
}

static void print_lines(void)
{
	struct table t;

	table_init(&t, LINES, sizeof LINES / sizeof *LINES);
	if (tests.n)
		qsort(tests.list, tests.n, sizeof *tests.list, test_order);
	for (size_t from = 0; from < tests.n; )
		from = put_meter(&t, from);
	table_note(&t, SLICE("true = a + b reading, by least squares; readings corrected for the temperature of the wood alone, as the house says. own: the line for the meter in the house file."));
	table_note(&t, SLICE("n_lacking: so many more pairs until there are ten, and a line to use. n_left_out: off the scale, without the wood's temperature, or lighter wet than dry."));
	table_note(&t, SLICE("The line holds for readings from least to most; beyond them it is a guess."));
	tool_print_table(&t);
	table_release(&t);
}

/* ---- the start */

/* A state holds readings as they were corrected, at instants of the works' clock, and no more than that. */
static void set_settings(void)
{
	struct buf rules = BUF_INIT;

	for (size_t i = 0; book.house && i < book.house->nmeters; i++) {
		const struct house_meter *m = &book.house->meters[i];

		buf_add(&rules, m->id);
		buf_printf(&rules, " %d %lld %.17g %lld %lld", m->kind, (long long)m->reference, m->per10c,
			(long long)m->trust.low, (long long)m->trust.high);
		for (size_t k = 0; k < m->nown; k++) {
			buf_printf(&rules, " %d %.17g %.17g ", (int)m->own[k].from, m->own[k].a, m->own[k].b);
			buf_add(&rules, m->own[k].setting);
		}
		buf_char(&rules, '\n');
	}
	tool_group.settings.n = 0;
	buf_str(&tool_group.settings, "clock=");
	buf_add(&tool_group.settings, book.house ? book.house->clock : SLICE("Z"));
	buf_printf(&tool_group.settings, " meters=%016llx", (unsigned long long)slice_hash(buf_slice(&rules)));
	buf_release(&rules);
}

int main(int argc, char **argv)
{
	struct groups *sets[] = { &rows, &facts };
	struct state state = { .tool = "wy-moist", .set = sets, .nsets = 2, .pack = pack };
	const struct scan_work work = { NULL, begin, lines, end };
	struct sorting s;
	int status;

	tool_start(&page, argc, argv);
	check_views();
	tool_group_start(BY_WORDS, planing ? "lot" : "place,part");
	if (tool_group_has(BY_MONTH) && tool_group_has(BY_DAY))
		tool_misused("--by takes month or day and not both: a day is of its month");
	plan.nkeys = tool_group.nby;
	book_start(&book, 0);
	set_settings();
	readings_init(&readings, book.house, book.zone);
	intern_init(&tests.meters);
	read_shares();
	groups_init(&rows, &readings_plan);
	groups_init(&facts, &readings_facts_plan);
	status = tool_group_read(&book, &work, &state);
	if (tool_group.partial)
		return tool_finish(status);
	if (tool_group.merge && !readings_unpack(&readings, &rows, &facts))
		tool_fail("a state holds a reading that no filter wrote; make it anew");
	if (calibrate) {
		print_lines();
		return tool_finish(tests.n ? status : TOOL_NO);
	}
	sort_readings(&s);
	if (quality)
		print_quality(&s);
	else if (sampling)
		print_plan(&s);
	else if (by_depth)
		status = print_depths(&s) ? status : TOOL_NO;
	else if (planing)
		print_planing(&s);
	else
		print_answer(&s);
	return tool_finish(s.groups.n ? status : TOOL_NO);
}
