#include "air/air_counts.h"

#include <math.h>
#include <stdlib.h>

#include "air/air_ask.h"
#include "air/air_finding.h"
#include "book/scan.h"
#include "house/house.h"
#include "math/stats.h"
#include "wood/climate.h"

/* ---- what is counted */

enum { N_READINGS, N_WETBULB, N_RH_JUDGED, N_RH_IN, N_EMC_JUDGED, N_EMC_IN, COUNTS };

static const char *const COUNT_NAMES[COUNTS] = { "readings", "wetbulb", "rh-judged", "rh-in", "emc-judged", "emc-in" };

/* What a worker keeps with the group of a place and a period, for the next line of the kind. */
struct spot {
	uint64_t name[2], mask[2];  /* the place as two words; no mask: it is longer */
	int32_t from, to;           /* the days of the group */
	struct group *after;        /* the group of the line that came after this one's last time */
	struct lane lane[AIR_QUANTITIES];
	int64_t readings, wetbulb, rh_in, emc_in;
	struct house_range rh, target;
	struct group *instrument;   /* that read the last line, in `written`, or NULL */
	bool started;
};

/* The digits of a date that a period has: 2026-03, 2026-03-14. */
enum { MONTH_WIDTH = 7, DAY_WIDTH = 10 };

static const struct groups_plan SPOTS = { .name = "air", .nkeys = 2, .ncounts = COUNTS, .nsums = AIR_QUANTITIES,
	.counts = COUNT_NAMES, .sums = air_words, .extra = sizeof(struct spot) };

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
	const struct air_ask *ask;
	bool by_month, by_day, noted;
	struct groups spots;
	struct as_written written;
	struct group *last;
	struct pending pending[PENDING];
	size_t npending;
	struct curve curve[1 << CURVE_BITS];
};

static bool is_by(const struct air_ask *ask, size_t key)
{
	for (size_t i = 0; i < ask->nby; i++)
		if (ask->by[i] == key)
			return true;
	return false;
}

static void set_days(const struct worker *w, struct spot *s, int32_t day)
{
	int year, month, date;

	day_split(day, &year, &month, &date);
	s->from = w->ask->from;
	s->to = w->ask->to;
	if (w->by_day)
		s->from = s->to = day;
	else if (w->by_month) {
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

static void start_spot(const struct worker *w, struct spot *s, const struct line *l)
{
	const struct house_place *place = w->ask->house ? house_place(w->ask->house, l->subject) : NULL;
	const struct house_range none = { HOUSE_NONE, HOUSE_NONE };

	s->started = true;
	set_name(s, l->subject);
	set_days(w, s, l->stamp.day);
	s->rh = place ? place->rh : none;
	s->target = place ? place->target : none;
	for (int i = 0; i < AIR_QUANTITIES; i++)
		lane_clear(&s->lane[i]);
}

static struct group *find_spot(struct worker *w, const struct line *l)
{
	const struct slice key[2] = { l->subject, slice_upto(l->date, w->by_day ? DAY_WIDTH : w->by_month ? MONTH_WIDTH : 0) };
	struct group *g = groups_at(&w->spots, key);

	if (!((struct spot *)g->extra)->started)
		start_spot(w, g->extra, l);
	if (w->last)
		((struct spot *)w->last->extra)->after = g;
	return g;
}

/* Whether the line is of that spot; a line has 16 readable bytes after it. */
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
		*c = (struct curve){ temp, emc_curve_at((double)temp / VALUE_STEPS) };
	return &c->at;
}

static inline bool is_in(struct house_range band, int64_t value)
{
	return (band.low <= value) & (value <= band.high);
}

static inline void add_emc(struct worker *w, struct group *g, int64_t temp, int64_t rh)
{
	struct spot *s = g->extra;
	int64_t emc = emc_curve_fixed(curve_of(w, temp), (double)rh / VALUE_STEPS);

	if (emc == EMC_NONE)
		return;
	lane_add(&s->lane[AIR_EMC], emc, &g->sums[AIR_EMC]);
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
			lane_add(&s->lane[AIR_TEMP], p->temp, &g->sums[AIR_TEMP]);
		if (p->rh == HOUSE_NONE)
			continue;
		lane_add(&s->lane[AIR_RH], p->rh, &g->sums[AIR_RH]);
		s->rh_in += is_in(s->rh, p->rh);
		if (w->ask->wants[AIR_EMC] && p->temp != HOUSE_NONE)
			add_emc(w, g, p->temp, p->rh);
	}
	w->npending = 0;
}

/* The humidity that a wet bulb means at sea level; HOUSE_NONE where it means none. */
static int64_t rh_of_wet_bulb(const struct item *temp, const struct item *wet)
{
	int64_t rh = temp && wet ? rh_from_wet_bulb_fixed(temp->v.fix, wet->v.fix) : RH_NONE;

	return rh == RH_NONE ? HOUSE_NONE : rh;
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
	if (w->noted) {
		struct spot *s = p->group->extra;

		s->instrument = as_written_take_air(&w->written, s->instrument, l);
	}
	if (w->npending == PENDING)
		settle(w);
}

static void *begin(void *arg)
{
	const struct air_counts *counts = arg;
	struct worker *w = mem_zeroed(1, sizeof *w);

	w->ask = counts->ask;
	w->by_month = is_by(w->ask, AIR_BY_MONTH);
	w->by_day = is_by(w->ask, AIR_BY_DAY);
	w->noted = counts->noted;
	groups_init(&w->spots, &SPOTS);
	as_written_init(&w->written);
	for (size_t i = 0; i < sizeof w->curve / sizeof *w->curve; i++)
		w->curve[i].temp = INT64_MIN;
	return w;
}

static void lines(void *state, struct reader *r)
{
	struct worker *w = state;
	const struct line *l;

	while ((l = reader_next(r))) {
		if (l->kind != LINE_EVENT)
			continue;
		if (l->event->id == EVENT_AIR && air_ask_covers(w->ask, l->stamp.day) && air_ask_place(w->ask, l->subject))
			take(w, l);
		else if (l->event->id == EVENT_METER && w->noted)
			as_written_take_check(&w->written, l);
	}
}

/* Empties what the inner loop kept into the group's own sums and counts. */
static void close_spot(struct group *g)
{
	struct spot *s = g->extra;

	for (int i = 0; i < AIR_QUANTITIES; i++)
		lane_empty(&s->lane[i], &g->sums[i]);
	g->count[N_READINGS] = s->readings;
	g->count[N_WETBULB] = s->wetbulb;
	g->count[N_RH_IN] = s->rh_in;
	g->count[N_EMC_IN] = s->emc_in;
	g->count[N_RH_JUDGED] = house_range_given(s->rh) ? g->sums[AIR_RH].n : 0;
	g->count[N_EMC_JUDGED] = house_range_given(s->target) ? g->sums[AIR_EMC].n : 0;
}

static void end(void *arg, void *state)
{
	struct air_counts *counts = arg;
	struct worker *w = state;
	struct slice key[GROUP_KEYS_MOST];

	settle(w);
	for (size_t i = 0; i < w->spots.n; i++) {
		struct group *g = w->spots.list[i];

		close_spot(g);
		for (size_t k = 0; k < w->ask->nby; k++)
			key[k] = w->ask->by[k] == AIR_BY_PLACE ? g->key[0] : slice_upto(g->key[1], w->ask->by[k] == AIR_BY_MONTH ? MONTH_WIDTH : DAY_WIDTH);
		group_merge(&counts->plan, groups_at(&counts->groups, key), g);
	}
	as_written_merge(&counts->written, &w->written);
	as_written_release(&w->written);
	groups_release(&w->spots);
	free(w);
}

struct scan_work air_counts_work(struct air_counts *counts)
{
	return (struct scan_work){ counts, begin, lines, end };
}

void air_counts_init(struct air_counts *counts, const struct air_ask *ask)
{
	*counts = (struct air_counts){ .ask = ask, .plan = { .name = "air", .nkeys = ask->nby, .ncounts = COUNTS,
		.nsums = AIR_QUANTITIES, .counts = COUNT_NAMES, .sums = air_words } };
	groups_init(&counts->groups, &counts->plan);
	as_written_init(&counts->written);
}

void air_counts_release(struct air_counts *counts)
{
	groups_release(&counts->groups);
	as_written_release(&counts->written);
}

/* ---- the answer */

enum { MEASURES = 4 };

/* For reading the mean is enough, where more than one quantity is asked for. */
static const char *const HEADINGS[AIR_QUANTITIES][MEASURES] = {
	{ "mean temp, C", "standard deviation, C", "lowest temp, C", "highest temp, C" },
	{ "mean RH, %", "standard deviation, %", "lowest RH, %", "highest RH, %" },
	{ "mean EMC, %", "standard deviation, %", "lowest EMC, %", "highest EMC, %" },
};

static void add_measure(struct table *t, int quantity, bool alone)
{
	static const char *const what[MEASURES] = { "mean", "sd", "min", "max" };
	const char *name = air_words[quantity], *unit = quantity == AIR_TEMP ? "c" : "pct";
	struct buf column = BUF_INIT;

	buf_printf(&column, "%s_n", name);
	table_add_column(t, buf_cstr(&column), TABLE_INT, 0);
	for (size_t i = 0; i < MEASURES; i++) {
		column.n = 0;
		buf_printf(&column, "%s_%s_%s", name, what[i], unit);
		table_add_column(t, buf_cstr(&column), TABLE_REAL, i < 2 ? 2 : 1);
		if (i == 0 || alone)
			table_heading(t, HEADINGS[quantity][i]);
	}
	buf_release(&column);
}

static void add_columns(const struct air_ask *ask, struct table *t)
{
	bool alone = ask->wants[AIR_TEMP] + ask->wants[AIR_RH] + ask->wants[AIR_EMC] == 1;

	table_init(t, NULL, 0);
	air_ask_keys(ask, t);
	table_add_column(t, "n", TABLE_INT, 0);
	table_heading(t, "readings");
	if (ask->wants[AIR_TEMP])
		add_measure(t, AIR_TEMP, alone);
	if (ask->wants[AIR_RH]) {
		add_measure(t, AIR_RH, alone);
		table_add_column(t, "rh_wetbulb_n", TABLE_INT, 0);
		table_add_column(t, "rh_in_band_share", TABLE_REAL, TABLE_PERCENT + 1);
		table_heading(t, "RH in band, %");
	}
	if (ask->wants[AIR_EMC]) {
		add_measure(t, AIR_EMC, alone);
		table_add_column(t, "emc_in_target_share", TABLE_REAL, TABLE_PERCENT + 1);
		table_heading(t, "EMC in target, %");
	}
}

static void put_measure(struct table *t, const struct sums *s)
{
	table_int(t, s->n);
	table_real(t, sums_mean(s, VALUE_STEPS));
	table_real(t, sums_sd(s, VALUE_STEPS));
	table_real(t, s->n ? (double)s->least / VALUE_STEPS : NAN);
	table_real(t, s->n ? (double)s->most / VALUE_STEPS : NAN);
}

static void put_share(struct table *t, int64_t in, int64_t judged)
{
	table_real(t, judged ? (double)in / (double)judged : NAN);
}

static void put_row(const struct air_ask *ask, struct table *t, const struct group *g)
{
	for (size_t k = 0; k < ask->nby; k++)
		table_text(t, g->key[k]);
	table_int(t, g->count[N_READINGS]);
	if (ask->wants[AIR_TEMP])
		put_measure(t, &g->sums[AIR_TEMP]);
	if (ask->wants[AIR_RH]) {
		put_measure(t, &g->sums[AIR_RH]);
		table_int(t, g->count[N_WETBULB]);
		put_share(t, g->count[N_RH_IN], g->count[N_RH_JUDGED]);
	}
	if (ask->wants[AIR_EMC]) {
		put_measure(t, &g->sums[AIR_EMC]);
		put_share(t, g->count[N_EMC_IN], g->count[N_EMC_JUDGED]);
	}
}

static bool is_guessed(const struct group *g)
{
	const struct sums *temp = &g->sums[AIR_TEMP], *rh = &g->sums[AIR_RH];

	return g->sums[AIR_EMC].n && (emc_extrapolates((double)temp->least / VALUE_STEPS, (double)rh->least / VALUE_STEPS)
		|| emc_extrapolates((double)temp->most / VALUE_STEPS, (double)rh->most / VALUE_STEPS));
}

/* How much of the readings of each place lay in its band. */
static void find_shares(const struct air_counts *counts, struct table *t, int judged, int in, const char *band)
{
	struct air_shares shares = { NULL, 0, 0 };

	for (size_t i = 0; i < counts->groups.n; i++) {
		const struct group *g = counts->groups.list[i];

		air_shares_add(&shares, air_ask_place_key(counts->ask, g->key), (double)g->count[judged], (double)g->count[in]);
	}
	air_shares_find(&shares, t, band, "of the readings");
	air_shares_release(&shares);
}

static void note_written(struct air_counts *counts, struct table *t)
{
	const bool *wants = counts->ask->wants;
	struct buf text = BUF_INIT;

	as_written_say(&counts->written, &text, wants[AIR_TEMP] || wants[AIR_EMC], wants[AIR_RH] || wants[AIR_EMC]);
	if (text.n)
		table_note(t, buf_slice(&text));
	buf_release(&text);
}

bool air_counts_table(struct air_counts *counts, struct table *t)
{
	bool guessed = false;

	add_columns(counts->ask, t);
	groups_sort(&counts->groups);
	for (size_t i = 0; i < counts->groups.n; i++) {
		put_row(counts->ask, t, counts->groups.list[i]);
		guessed |= counts->ask->wants[AIR_EMC] && is_guessed(counts->groups.list[i]);
	}
	if (counts->ask->wants[AIR_RH])
		find_shares(counts, t, N_RH_JUDGED, N_RH_IN, "its humidity band in");
	note_written(counts, t);
	table_note(t, SLICE("Each reading counts alike, however long the time to the next. RH: relative humidity."));
	if (counts->ask->wants[AIR_EMC])
		table_note(t, SLICE("EMC (equilibrium moisture content): the moisture at which wood equilibrates in this air."));
	if (counts->ask->wants[AIR_EMC])
		table_note(t, SLICE("EMC is good to about 1 point either way."));
	if (guessed)
		table_note(t, slice_of(AIR_COUNTS_GUESSED));
	return guessed;
}
