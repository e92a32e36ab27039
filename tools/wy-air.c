/* wy-air - the climate of kilns and rooms by place and month; wy-air(1). */
#include <math.h>
#include <stdlib.h>

#include "air/air_book.h"
#include "air/air_view.h"
#include "base/mem.h"
#include "book/scan.h"
#include "cli/tool.h"
#include "cli/tool_book.h"
#include "cli/tool_group.h"
#include "house/house.h"
#include "math/stats.h"
#include "table/partial.h"
#include "table/table.h"
#include "wood/climate.h"

/* Temperature, humidity and moisture are all in steps of 0.0001 (value.h). */
#define STEPS 10000

/* ---- options */

enum { BY_PLACE, BY_MONTH, BY_DAY };
static const char *const BY_WORDS[] = { "place", "month", "day", NULL };

enum { TEMP, RH, EMC, SUMS };
static const char *const SUM_NAMES[SUMS + 1] = { "temp", "rh", "emc", NULL };
static const char *of = "temp,rh,emc";
static bool wants[SUMS];
static bool by_time, want_spells, want_gaps, want_heading, want_chart, raw;
static const char *baseline;
static struct opt_list want_places;

static const struct opt options[] = {
	OPT_TEXT(0, "by", &tool_group_by, "KEY,...", "a row for each of place, month or day, in this order (place,month)"),
	OPT_TEXT(0, "of", &of, "WHAT,...", "only these of temp, rh and emc; without emc it is quicker"),
	OPT_FLAG(0, "timed", &by_time, "means over time, and hours in and out of band"),
	OPT_FLAG(0, "spells", &want_spells, "each stretch out of band: from, to, how far"),
	OPT_FLAG(0, "gaps", &want_gaps, "gaps, repeated stamps, and clocks that were set back"),
	OPT_FLAG(0, "heading", &want_heading, "what the wood in each place with a target comes to, now and in weeks"),
	OPT_FLAG(0, "chart", &want_chart, "control chart of the daily means; with --baseline"),
	OPT_TEXT(0, "baseline", &baseline, "FROM..TO", "the days that the chart's limits are from"),
	OPT_LIST(0, "place", &want_places, "ID", "only this place; may be given many times (all)"),
	OPT_FLAG(0, "raw", &raw, "leave out the offsets that checks of the instruments showed"),
	OPT_PART(tool_group_options),
	OPT_PART(tool_house_options),
	OPT_PART(tool_form_options),
	OPT_PART(tool_on_options),
	OPT_PART(tool_bad_options),
	OPT_END
};

static const struct opt_page page = {
	.name = "wy-air",
	.purpose = "the climate of kilns and rooms: temperature, humidity, and the moisture wood settles at",
	.usage = "[options] [FILE...]\n--merge [options] [STATE...]\n--timed | --spells | --gaps | --heading | --chart --baseline=FROM..TO [options] [FILE...]",
	.options = options,
	.example = "wy-air --by=place,month book.wy\na row for each place and month",
};

/* ---- what is counted */

enum { N_READINGS, N_WETBULB, N_RH_JUDGED, N_RH_IN, N_EMC_JUDGED, N_EMC_IN, COUNTS };

static const char *const COUNT_NAMES[COUNTS] = { "readings", "wetbulb", "rh-judged", "rh-in", "emc-judged", "emc-in" };

/* What a worker keeps with the group of a place and a period, for the next line of the kind. */
struct spot {
	uint64_t name[2], mask[2];  /* the place as two words; no mask: it is longer */
	int32_t from, to;           /* the days of the group */
	struct group *after;        /* the group of the line that came after this one's last time */
	struct lane lane[SUMS];
	int64_t readings, wetbulb, rh_in, emc_in;
	struct house_range rh, target;
	bool started;
};

static const struct groups_plan SPOTS = { .name = "air", .nkeys = 2, .ncounts = COUNTS, .nsums = SUMS,
	.counts = COUNT_NAMES, .sums = SUM_NAMES, .extra = sizeof(struct spot) };

static struct groups_plan answer_plan = { .name = "air", .ncounts = COUNTS, .nsums = SUMS,
	.counts = COUNT_NAMES, .sums = SUM_NAMES };
static struct groups answer;
static struct book book;

enum { CURVE_BITS = 11 };

/* The EMC's equation at a temperature that came by. */
struct curve {
	int64_t temp;
	struct emc_curve at;
};

/* What a line said, still to be summed: many in a row are quicker than one a line. */
struct pending {
	struct group *group;
	int64_t temp, rh;           /* HOUSE_NONE for none */
};

enum { PENDING = 256 };

struct worker {
	struct groups spots;
	struct group *last;
	struct pending pending[PENDING];
	size_t npending;
	struct curve curve[1 << CURVE_BITS];
};

static size_t period_width(void)
{
	return tool_group_has(BY_DAY) ? 10 : tool_group_has(BY_MONTH) ? 7 : 0;
}

static void set_days(struct spot *s, int32_t day)
{
	int year, month, date;

	day_split(day, &year, &month, &date);
	s->from = tool_group.from;
	s->to = tool_group.to;
	if (tool_group_has(BY_DAY))
		s->from = s->to = day;
	else if (tool_group_has(BY_MONTH)) {
		int32_t first = day - date + 1, last = first + month_length(year, month) - 1;

		s->from = first > s->from ? first : s->from;
		s->to = last < s->to ? last : s->to;
	}
}

static void set_name(struct spot *s, struct slice place)
{
	char name[16] = { 0 }, mask[16] = { 0 };

	if (place.n <= sizeof name) {
		memcpy(name, place.p, place.n);
		memset(mask, 0xff, place.n);
	}
	memcpy(s->name, name, sizeof name);
	memcpy(s->mask, mask, sizeof mask);
}

static void start_spot(struct spot *s, const struct line *l)
{
	const struct house_place *place = book.house ? house_place(book.house, l->subject) : NULL;
	const struct house_range none = { HOUSE_NONE, HOUSE_NONE };

	s->started = true;
	set_name(s, l->subject);
	set_days(s, l->stamp.day);
	s->rh = place ? place->rh : none;
	s->target = place ? place->target : none;
	for (int i = 0; i < SUMS; i++)
		lane_clear(&s->lane[i]);
}

static struct group *find_spot(struct worker *w, const struct line *l)
{
	const struct slice key[2] = { l->subject, slice_upto(l->date, period_width()) };
	struct group *g = groups_at(&w->spots, key);

	if (!((struct spot *)g->extra)->started)
		start_spot(g->extra, l);
	if (w->last)
		((struct spot *)w->last->extra)->after = g;
	return g;
}

/* Whether the line is of that spot; a line has 16 bytes to read behind it. */
static inline bool is_spot(const struct group *g, const struct line *l)
{
	const struct spot *s = g->extra;
	uint64_t word[2];

	if (l->stamp.day < s->from || l->stamp.day > s->to || g->key[0].n != l->subject.n || !s->mask[0])
		return false;
	memcpy(word, l->subject.p, sizeof word);
	return ((word[0] ^ s->name[0]) & s->mask[0]) == 0 && ((word[1] ^ s->name[1]) & s->mask[1]) == 0;
}

static inline struct group *spot_of(struct worker *w, const struct line *l)
{
	struct group *g = w->last ? ((struct spot *)w->last->extra)->after : NULL;

	if (!g || !is_spot(g, l))
		g = find_spot(w, l);
	return w->last = g;
}

static const struct emc_curve *curve_of(struct worker *w, int64_t temp)
{
	struct curve *c = &w->curve[(uint64_t)temp * 0x9e3779b97f4a7c15u >> (64 - CURVE_BITS)];

	if (c->temp != temp)
		*c = (struct curve){ temp, emc_curve_at((double)temp / STEPS) };
	return &c->at;
}

static inline bool is_in(struct house_range band, int64_t value)
{
	return (band.low <= value) & (value <= band.high);
}

static inline void add_emc(struct worker *w, struct group *g, int64_t temp, int64_t rh)
{
	struct spot *s = g->extra;
	int64_t emc = emc_curve_fixed(curve_of(w, temp), (double)rh / STEPS);

	if (emc == EMC_NONE)
		return;
	lane_add(&s->lane[EMC], emc, &g->sums[EMC]);
	s->emc_in += is_in(s->target, emc);
}

static void settle(struct worker *w)
{
	for (size_t i = 0; i < w->npending; i++) {
		const struct pending *p = &w->pending[i];
		struct group *g = p->group;
		struct spot *s = g->extra;

		s->readings++;
		if (p->temp != HOUSE_NONE)
			lane_add(&s->lane[TEMP], p->temp, &g->sums[TEMP]);
		if (p->rh == HOUSE_NONE)
			continue;
		lane_add(&s->lane[RH], p->rh, &g->sums[RH]);
		s->rh_in += is_in(s->rh, p->rh);
		if (wants[EMC] && p->temp != HOUSE_NONE)
			add_emc(w, g, p->temp, p->rh);
	}
	w->npending = 0;
}

/* The humidity that a wet bulb means at sea level; HOUSE_NONE where it means none. */
static int64_t rh_of_wet_bulb(const struct item *temp, const struct item *wet)
{
	double pct = NAN;

	if (temp && wet)
		pct = rh_from_wet_bulb_pct((double)temp->v.fix / STEPS, (double)wet->v.fix / STEPS, AIR_PRESSURE_PA);
	return isnan(pct) ? HOUSE_NONE : fixed_of(pct, STEPS);
}

static inline void take(struct worker *w, const struct line *l)
{
	struct pending *p = &w->pending[w->npending++];
	const struct item *temp = line_item(l, FIELD_TEMP), *rh = line_item(l, FIELD_RH);

	p->group = spot_of(w, l);
	p->temp = temp ? temp->v.fix : HOUSE_NONE;
	p->rh = rh ? rh->v.fix : HOUSE_NONE;
	if (!rh) {
		p->rh = rh_of_wet_bulb(temp, line_item(l, FIELD_WETBULB));
		((struct spot *)p->group->extra)->wetbulb += p->rh != HOUSE_NONE;
	}
	if (w->npending == PENDING)
		settle(w);
}

static bool is_asked(struct slice place)
{
	for (size_t i = 0; i < want_places.n; i++)
		if (slice_eq(place, slice_of(want_places.v[i])))
			return true;
	return want_places.n == 0;
}

static void *begin(void *arg)
{
	struct worker *w = mem_zeroed(1, sizeof *w);

	(void)arg;
	groups_init(&w->spots, &SPOTS);
	for (size_t i = 0; i < sizeof w->curve / sizeof *w->curve; i++)
		w->curve[i].temp = INT64_MIN;
	return w;
}

static void lines(void *state, struct reader *r)
{
	struct worker *w = state;
	const struct line *l;

	while ((l = reader_next(r)))
		if (l->kind == LINE_EVENT && l->event->id == EVENT_AIR && tool_group_covers(l->stamp.day) && is_asked(l->subject))
			take(w, l);
}

/* Empties what the inner loop kept into the group's own sums and counts. */
static void close_spot(struct group *g)
{
	struct spot *s = g->extra;

	for (int i = 0; i < SUMS; i++)
		lane_empty(&s->lane[i], &g->sums[i]);
	g->count[N_READINGS] = s->readings;
	g->count[N_WETBULB] = s->wetbulb;
	g->count[N_RH_IN] = s->rh_in;
	g->count[N_EMC_IN] = s->emc_in;
	g->count[N_RH_JUDGED] = house_range_given(s->rh) ? g->sums[RH].n : 0;
	g->count[N_EMC_JUDGED] = house_range_given(s->target) ? g->sums[EMC].n : 0;
}

static void end(void *arg, void *state)
{
	struct worker *w = state;
	struct slice key[GROUP_KEYS_MOST];

	(void)arg;
	settle(w);
	for (size_t i = 0; i < w->spots.n; i++) {
		struct group *g = w->spots.list[i];

		close_spot(g);
		for (size_t k = 0; k < tool_group.nby; k++)
			key[k] = tool_group.by[k] == BY_PLACE ? g->key[0] : slice_upto(g->key[1], tool_group.by[k] == BY_MONTH ? 7 : 10);
		group_merge(&answer_plan, groups_at(&answer, key), g);
	}
	groups_release(&w->spots);
	free(w);
}

/* ---- the answer */

static void add_measure(struct table *t, const char *name, const char *unit)
{
	static const char *const what[] = { "mean", "sd", "min", "max" };
	struct buf column = BUF_INIT;

	buf_printf(&column, "%s_n", name);
	table_add_column(t, buf_cstr(&column), TABLE_INT, 0);
	for (size_t i = 0; i < sizeof what / sizeof *what; i++) {
		column.n = 0;
		buf_printf(&column, "%s_%s_%s", name, what[i], unit);
		table_add_column(t, buf_cstr(&column), TABLE_REAL, i < 2 ? 2 : 1);
	}
	buf_release(&column);
}

static void add_columns(struct table *t)
{
	table_init(t, NULL, 0);
	for (size_t k = 0; k < tool_group.nby; k++)
		table_add_column(t, BY_WORDS[tool_group.by[k]], TABLE_TEXT, 0);
	table_add_column(t, "n", TABLE_INT, 0);
	if (wants[TEMP])
		add_measure(t, "temp", "c");
	if (wants[RH]) {
		add_measure(t, "rh", "pct");
		table_add_column(t, "rh_wetbulb_n", TABLE_INT, 0);
		table_add_column(t, "rh_in_band_share", TABLE_REAL, 3);
	}
	if (wants[EMC]) {
		add_measure(t, "emc", "pct");
		table_add_column(t, "emc_in_target_share", TABLE_REAL, 3);
	}
}

static void put_measure(struct table *t, const struct sums *s)
{
	table_int(t, s->n);
	table_real(t, sums_mean(s, STEPS));
	table_real(t, sums_sd(s, STEPS));
	table_real(t, s->n ? (double)s->least / STEPS : NAN);
	table_real(t, s->n ? (double)s->most / STEPS : NAN);
}

static void put_share(struct table *t, int64_t in, int64_t judged)
{
	table_real(t, judged ? (double)in / (double)judged : NAN);
}

static void put_row(struct table *t, const struct group *g)
{
	for (size_t k = 0; k < tool_group.nby; k++)
		table_text(t, g->key[k]);
	table_int(t, g->count[N_READINGS]);
	if (wants[TEMP])
		put_measure(t, &g->sums[TEMP]);
	if (wants[RH]) {
		put_measure(t, &g->sums[RH]);
		table_int(t, g->count[N_WETBULB]);
		put_share(t, g->count[N_RH_IN], g->count[N_RH_JUDGED]);
	}
	if (wants[EMC]) {
		put_measure(t, &g->sums[EMC]);
		put_share(t, g->count[N_EMC_IN], g->count[N_EMC_JUDGED]);
	}
}

/* What the reader of the table should know; in the other forms only a caution is said. */
static void add_notes(struct table *t, bool guessed)
{
	const char *caution = "Some EMCs are beyond the published table (-1.1 to 132.2 C, 5 to 95 %), so they are extrapolated";

	table_note(t, SLICE("Each reading counts alike, however long the time to the next."));
	if (wants[EMC])
		table_note(t, SLICE("EMC is good to about 1 point either way."));
	if (!guessed)
		return;
	table_note(t, slice_of(caution));
	if (tool_form() == TABLE_AS_TSV || tool_form() == TABLE_AS_CSV || tool_form() == TABLE_AS_JSON)
		tool_warn("%s", caution);
}

static bool is_guessed(const struct group *g)
{
	const struct sums *temp = &g->sums[TEMP], *rh = &g->sums[RH];

	return g->sums[EMC].n && (emc_extrapolates((double)temp->least / STEPS, (double)rh->least / STEPS)
		|| emc_extrapolates((double)temp->most / STEPS, (double)rh->most / STEPS));
}

static void print_answer(void)
{
	struct table t;
	bool guessed = false;

	add_columns(&t);
	groups_sort(&answer);
	for (size_t i = 0; i < answer.n; i++) {
		put_row(&t, answer.list[i]);
		guessed |= wants[EMC] && is_guessed(answer.list[i]);
	}
	add_notes(&t, guessed);
	tool_print_table(&t);
	table_release(&t);
}

/* ---- the start */

static void choose(void)
{
	size_t chosen[SUMS], n = tool_group_list("--of", of, SUM_NAMES, chosen);

	for (size_t i = 0; i < n; i++)
		wants[chosen[i]] = true;
	tool_group_start(BY_WORDS, "place,month");
	if (tool_group_has(BY_MONTH) && tool_group_has(BY_DAY))
		tool_misused("--by takes month or day and not both: a day is of its month");
	answer_plan.nkeys = tool_group.nby;
	groups_init(&answer, &answer_plan);
}

/* The views that go by time hold the readings: a state of counts and sums cannot make them. */
static void check_views(void)
{
	int views = by_time + want_spells + want_gaps + want_heading + want_chart;

	if (views > 1)
		tool_misused("--timed, --spells, --gaps, --heading and --chart are five answers; ask for one");
	if (views && (tool_group.partial || tool_group.merge))
		tool_misused("what goes by time has no state, so --partial and --merge do not go with it");
	if (raw && (!views || want_gaps))
		tool_misused("--raw goes with --timed, --spells, --heading and --chart, where offsets are put in");
	if (tool_group_by && views && !by_time)
		tool_misused("--by goes with the means, by reading or --timed");
	if (want_chart != (baseline != NULL))
		tool_misused("--chart and --baseline go together");
	if (tool.on.text && !want_heading)
		tool_misused("--on goes with --heading");
}

/* What was judged by other bands, or was not looked at, does not add up. */
static void add_settings(void)
{
	struct buf bands = BUF_INIT;

	for (size_t i = 0; book.house && i < book.house->nplaces; i++) {
		const struct house_place *p = &book.house->places[i];

		if (!house_range_given(p->rh) && !house_range_given(p->target))
			continue;
		buf_add(&bands, p->id);
		buf_printf(&bands, " %lld %lld %lld %lld\n", (long long)p->rh.low, (long long)p->rh.high,
			(long long)p->target.low, (long long)p->target.high);
	}
	for (size_t i = 0; i < want_places.n; i++)
		buf_printf(&tool_group.settings, " place=%s", want_places.v[i]);
	buf_printf(&tool_group.settings, " of=%d%d%d bands=%016llx", wants[TEMP], wants[RH], wants[EMC],
		(unsigned long long)slice_hash(buf_slice(&bands)));
	buf_release(&bands);
}

/* ---- what goes by time */

static struct air_book readings;

static void *begin_timed(void *arg)
{
	struct air_book *b = mem_zeroed(1, sizeof *b);

	(void)arg;
	air_book_init(b, book.zone, want_heading ? book.house : NULL);
	return b;
}

static void timed_lines(void *state, struct reader *r)
{
	const struct line *l;

	while ((l = reader_next(r))) {
		if (l->kind != LINE_EVENT)
			continue;
		if (l->event->id != EVENT_AIR)
			air_book_take(state, l); /* the checks of all instruments, and what is told of wood */
		else if (is_asked(l->subject))
			air_book_take_air(state, l);
	}
}

static void end_timed(void *arg, void *state)
{
	(void)arg;
	air_book_merge(&readings, state);
	air_book_release(state);
	free(state);
}

static void read_baseline(struct air_ask *ask)
{
	struct slice text = slice_of(baseline), to = SLICE("");
	size_t dots = slice_find(text, '.');

	if (dots + 2 <= text.n)
		to = slice_from(text, dots + 2);
	if (date_read(slice_upto(text, dots), &ask->base_from) != DATE_OK || slice_starts(slice_from(text, dots), SLICE("..")) == false
			|| date_read(to, &ask->base_to) != DATE_OK || ask->base_from > ask->base_to)
		tool_misused("--baseline=%s is no span of days; write 2026-01-01..2026-01-31", baseline);
}

/* Rows as they come: there may be many thousands of them. */
static struct buf rows = BUF_INIT;
static bool begun, told;

static struct table_style style(void)
{
	return (struct table_style){ (enum table_form)tool_form(), tool.no_header, tool_width() };
}

static void print_some(struct table *t)
{
	if (!begun)
		table_begin(t, style(), &rows);
	begun = true;
	told |= table_rows(t) > 0;
	table_flush(t, style(), &rows);
	tool_put_buf(&rows);
}

static void print_view(const struct air_ask *ask)
{
	struct table t;

	(by_time ? air_view_timed : want_spells ? air_view_spells : want_gaps ? air_view_gaps
		: want_heading ? air_view_heading : air_view_chart)(ask, &t);
	print_some(&t);
	table_end(&t, style(), &rows);
	tool_put_buf(&rows);
	table_release(&t);
	buf_release(&rows);
}

/* That nothing was out of band, or amiss, is an answer; that nothing could be reckoned is none. */
static bool is_answered(void)
{
	if (told || (!want_heading && !want_chart))
		return readings.nrecords > 0;
	if (readings.nrecords)
		tool_warn(want_heading ? "no place that has readings by then has a target in the house file"
			: "no place has two days in the baseline that differ, so there are no limits");
	return false;
}

static int answer_in_time(void)
{
	const struct scan_work work = { NULL, begin_timed, timed_lines, end_timed };
	struct air_ask ask = { .book = &readings, .house = book.house, .by = tool_group.by, .nby = tool_group.nby,
		.from = tool_group.from, .to = tool_group.to, .raw = raw, .some = print_some };
	int status;

	memcpy(ask.wants, wants, sizeof ask.wants);
	if (want_chart)
		read_baseline(&ask);
	if (want_heading)
		ask.as_of = book_today(&book);
	air_book_init(&readings, book.zone, want_heading ? book.house : NULL);
	book_scan(&book, &work);
	status = book_end(&book);
	air_book_settle(&readings);
	print_view(&ask);
	return tool_finish(is_answered() ? status : TOOL_NO);
}

int main(int argc, char **argv)
{
	struct groups *sets[] = { &answer };
	struct partial state = { .tool = "wy-air", .set = sets, .nsets = 1 };
	const struct scan_work work = { NULL, begin, lines, end };
	int status;

	tool_start(&page, argc, argv);
	check_views();
	choose();
	book_start(&book, 0);
	if (by_time || want_spells || want_gaps || want_heading || want_chart)
		return answer_in_time();
	add_settings();
	status = tool_group_read(&book, &work, &state);
	if (tool_group.partial)
		return tool_finish(status);
	print_answer();
	return tool_finish(answer.n ? status : TOOL_NO);
}
