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

#include <math.h>
#include <stdlib.h>

#include "mem.h"

/* Moisture is in steps of 0.0001 % (value.h). */
#define STEPS 10000

/* ---- options */

enum { BY_PLACE, BY_CHARGE, BY_LOT, BY_PART, BY_MONTH, BY_DAY };
static const char *const BY_WORDS[] = { "place", "charge", "lot", "part", "month", "day", NULL };
static bool all;

static const struct opt options[] = {
	OPT_TEXT(0, "by", &tool_group_by, "KEY,...",
		"a row for each of place, charge, lot, part, month or day,\nin this order (place,part)"),
	OPT_FLAG('a', "all", &all, "count every reading alike, not the last of each piece alone"),
	OPT_PART(tool_group_options),
	OPT_PART(tool_house_options),
	OPT_PART(tool_form_options),
	OPT_PART(tool_bad_options),
	OPT_END
};

static const struct opt_page page = {
	.name = "wy-moist",
	.purpose = "moisture of wood by charge, lot, place and month: as it was last, or of all readings",
	.usage = "[options] [FILE...]\n--merge [options] [STATE...]",
	.options = options,
	.example = "wy-moist --by=charge book.wy\nhow wet the probed pieces of each charge were when they were last read",
};

/* ---- reading */

static struct book book;
static struct readings readings;
static struct groups rows, facts; /* of a state */

static void *begin(void *arg)
{
	struct readings *r = mem_zeroed(1, sizeof *r);

	(void)arg;
	readings_init(r, book.house, book.zone);
	return r;
}

static void lines(void *state, struct reader *reader)
{
	const struct line *l;

	while ((l = reader_next(reader)))
		if (l->kind == LINE_EVENT)
			readings_take(state, l);
}

static void end(void *arg, void *state)
{
	(void)arg;
	readings_merge(&readings, state);
	readings_release(state);
	free(state);
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
	uint32_t charge;         /* the charge, in this month or day where there are rows for those; 0 for none */
	const struct reading *row;
	bool at_random;
};

struct sorting {
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
	c.source = source_id(s, 's', c.number, source_name(&name, &of));
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
	tool_group_start(BY_WORDS, "place,part");
	if (tool_group_has(BY_MONTH) && tool_group_has(BY_DAY))
		tool_misused("--by takes month or day and not both: a day is of its month");
	plan.nkeys = tool_group.nby;
	book_start(&book, 0);
	set_settings();
	readings_init(&readings, book.house, book.zone);
	groups_init(&rows, &readings_plan);
	groups_init(&facts, &readings_facts_plan);
	status = tool_group_read(&book, &work, &state);
	if (tool_group.partial)
		return tool_finish(status);
	if (tool_group.merge && !readings_unpack(&readings, &rows, &facts))
		tool_fail("a state holds a reading that no filter wrote; make it anew");
	sort_readings(&s);
	print_answer(&s);
	return tool_finish(s.groups.n ? status : TOOL_NO);
}
