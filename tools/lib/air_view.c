#include "text.h"
#include "vocab_words.h"
#include "vocab.h"
#include "value.h"
#include "stamp.h"
#include "diag.h"
#include "parse.h"
#include "zone.h"
#include "intern.h"
#include "house_words.h"
#include "house.h"
#include "table.h"
#include "wide.h"
#include "stats.h"
#include "group.h"
#include "climate.h"
#include "air_track.h"
#include "air_book.h"
#include "air_ahead.h"
#include "air_chart.h"
#include "air_view.h"

#include <math.h>
#include <stdlib.h>

#include "mem.h"

#define STEPS 10000.0

enum { DAY_S = 86400 };

static const char *const NAMES[AIR_QUANTITIES] = { "temp", "rh", "emc" };
static const char *const UNITS[AIR_QUANTITIES] = { "C", "%", "%" };

/* ---- a room, with what the house says of it */

struct room {
	const struct air_room *in;
	const struct house_place *place;   /* or NULL */
	struct air_point *point;
	struct air_track track;
	struct air_band band[AIR_QUANTITIES];
};

static struct air_band band_of(struct house_range r)
{
	if (!house_range_given(r))
		return (struct air_band){ NAN, NAN };
	return (struct air_band){ r.low == INT64_MIN ? -HUGE_VAL : (double)r.low / STEPS, r.high == INT64_MAX ? HUGE_VAL : (double)r.high / STEPS };
}

static double limit_h(const struct air_ask *ask, const struct house_place *place)
{
	int64_t every = ask->house ? ask->house->intervals.air : HOUSE_NONE, own = place ? place->air_every : every;

	if (place && place->kind == HOUSE_PLACE_KIND_KILN && own == every && ask->house->intervals.kiln_air != HOUSE_NONE)
		own = ask->house->intervals.kiln_air;
	return own == HOUSE_NONE ? AIR_GAP_USUAL_H : (double)own / STEPS;
}

static void room_init(const struct air_ask *ask, struct room *r, const struct air_room *in)
{
	const struct house_range none = { HOUSE_NONE, HOUSE_NONE };

	r->in = in;
	r->place = ask->house ? house_place(ask->house, in->id) : NULL;
	r->point = air_book_points(ask->book, in, ask->raw, &r->track.n);
	r->track.point = r->point;
	r->track.limit_s = (int64_t)llround(3600 * limit_h(ask, r->place));
	r->band[AIR_TEMP] = band_of(r->place ? r->place->temp : none);
	r->band[AIR_RH] = band_of(r->place ? r->place->rh : none);
	r->band[AIR_EMC] = band_of(r->place ? r->place->target : none);
}

static void room_release(struct room *r)
{
	free(r->point);
}

/* ---- the clock on the wall */

static int64_t wall_of(const struct air_ask *ask, int64_t utc_s)
{
	return utc_s + zone_offset(ask->book->zone, utc_s);
}

static int32_t day_at(const struct air_ask *ask, int64_t utc_s)
{
	int64_t wall = wall_of(ask, utc_s);

	return (int32_t)(wall >= 0 ? wall / DAY_S : -((DAY_S - 1 - wall) / DAY_S));
}

/* The instant at which a day begins: of a midnight that comes twice, the first. */
static int64_t start_of(const struct air_ask *ask, int32_t day)
{
	struct zone_memo memo = { 0 };
	struct zone_wall found = zone_wall(ask->book->zone, &memo, (int64_t)day * DAY_S);

	return found.kind == ZONE_NEVER ? found.change_s : found.utc_s[0];
}

static bool is_doubled(const struct air_ask *ask, int64_t utc_s, bool *first)
{
	struct zone_memo memo = { 0 };
	struct zone_wall found = zone_wall(ask->book->zone, &memo, wall_of(ask, utc_s));

	*first = found.kind == ZONE_TWICE && utc_s == found.utc_s[0];
	return found.kind == ZONE_TWICE;
}

static void put_instant(const struct air_ask *ask, struct table *t, double utc_s)
{
	int64_t s = (int64_t)floor(utc_s + 0.5), wall = wall_of(ask, s);
	int32_t day = day_at(ask, s);
	struct stamp stamp = { day, (int32_t)(wall - (int64_t)day * DAY_S), STAMP_NO_OFFSET };
	struct buf text = BUF_INIT;
	bool first;

	is_doubled(ask, s, &first);
	if (first)
		stamp.offset = (int16_t)(zone_offset(ask->book->zone, s) / 60);
	day_write(&text, day);
	buf_char(&text, ' ');
	time_write(&text, &stamp);
	table_date(t, buf_slice(&text));
	buf_release(&text);
}

static void put_day(struct table *t, int32_t day)
{
	struct buf text = BUF_INIT;

	day_write(&text, day);
	table_date(t, buf_slice(&text));
	buf_release(&text);
}

/* The window that is asked for, in instants. */
static void window_of(const struct air_ask *ask, int64_t *from_s, int64_t *to_s)
{
	*from_s = ask->from == INT32_MIN ? INT64_MIN : start_of(ask, ask->from);
	*to_s = ask->to == INT32_MAX ? INT64_MAX : start_of(ask, ask->to + 1);
}

/* ---- notes */

/* By id, which instruments read the air; with `pin2/cane` also `pin2`. The caller frees it. */
static bool *used_meters(const struct air_book *b)
{
	bool *used = mem_zeroed(b->ids.n, sizeof *used);

	for (size_t i = 0; i < b->nrooms; i++)
		for (size_t j = 0; j < b->room[i].n; j++)
			used[b->room[i].row[j].meter] = true;
	for (uint32_t i = 1; i < b->ids.n; i++) {
		struct slice name = intern_text(&b->ids, i);
		uint32_t of = used[i] ? intern_find(&b->ids, slice_upto(name, slice_find(name, '/'))) : 0;

		used[of] = true;
	}
	return used;
}

/* Says which offsets are in the figures: each once, by its day and its instrument. */
static void note_offsets(const struct air_ask *ask, struct table *t)
{
	const struct air_book *b = ask->book;
	struct buf text = BUF_INIT;
	bool *used = used_meters(b);

	for (size_t i = 0; !ask->raw && i < b->nchecks; i++) {
		const struct air_check *c = &b->check[i];
		struct slice id = intern_text(&b->ids, c->meter);
		double off = air_book_offset(b, c->meter, c->quantity, c->day);
		bool told = false;

		for (size_t j = 0; j < i; j++)
			told |= b->check[j].day == c->day && b->check[j].meter == c->meter && b->check[j].quantity == c->quantity;
		if (told || off == 0 || !used[c->meter])
			continue;
		buf_printf(&text, "%s%.*s %+.2f %s from ", text.n ? ", " : "Offsets of instruments are put in: ", (int)id.n, id.p, off, c->quantity == AIR_RH ? "% rh" : "C");
		day_write(&text, c->day);
	}
	if (text.n)
		buf_char(&text, '.');
	if (text.n)
		table_note(t, buf_slice(&text));
	buf_release(&text);
	free(used);
}

static void note_gaps(const struct air_ask *ask, struct table *t)
{
	bool assumed = false;

	for (size_t i = 0; i < ask->book->nrooms; i++) {
		const struct house_place *p = ask->house ? house_place(ask->house, ask->book->room[i].id) : NULL;

		assumed |= (p ? p->air_every : ask->house ? ask->house->intervals.air : HOUSE_NONE) == HOUSE_NONE;
	}
	if (assumed)
		table_note(t, SLICE("Where the house file does not say how far apart readings may be, more than 36 h is taken for a gap."));
}

/* ---- means by time */

struct period {
	int32_t day;
	int64_t from_s, to_s, n;
	struct air_sum sum[AIR_QUANTITIES];
};

/* The last day of the period that a day begins. */
static int32_t last_of(int key, int32_t day)
{
	int year, month, date;

	if (key == AIR_BY_DAY)
		return day;
	if (key == AIR_BY_PLACE)
		return INT32_MAX - 1;
	day_split(day, &year, &month, &date);
	return day - date + month_length(year, month);
}

static struct period *periods_of(const struct air_ask *ask, const struct room *r, int key, size_t *n)
{
	int32_t first = day_at(ask, r->point[0].utc_s), last = day_at(ask, r->point[r->track.n - 1].utc_s);
	struct period *period = NULL;
	size_t cap = 0;

	*n = 0;
	first = first < ask->from ? ask->from : first;
	last = last > ask->to ? ask->to : last;
	for (int32_t day = first; day <= last;) {
		int32_t end = last_of(key, day);

		end = end > last ? last : end;
		period = mem_grow(period, &cap, *n + 1, sizeof *period);
		period[(*n)++] = (struct period){ .day = day, .from_s = start_of(ask, day), .to_s = start_of(ask, end + 1) };
		day = end + 1;
	}
	return period;
}

static void sum_periods(const struct room *r, int quantity, struct period *period, size_t n)
{
	struct air_stretch s;
	size_t k = 0;

	for (size_t at = 0; k < n && air_next(&r->track, quantity, &at, &s);) {
		while (k < n && period[k].to_s <= s.from->utc_s)
			k++;
		for (size_t j = k; j < n && period[j].from_s < s.to->utc_s; j++)
			air_sum_add(&period[j].sum[quantity], &s, quantity, period[j].from_s, period[j].to_s, r->band[quantity]);
	}
}

static void count_periods(const struct room *r, struct period *period, size_t n)
{
	size_t k = 0;

	for (size_t i = 0; i < r->track.n; i++) {
		while (k < n && period[k].to_s <= r->point[i].utc_s)
			k++;
		if (k < n && r->point[i].utc_s >= period[k].from_s)
			period[k].n += r->point[i].n;
	}
}

struct row {
	int64_t n;
	struct air_sum sum[AIR_QUANTITIES];
};

static void add_row(const struct air_ask *ask, struct groups *rows, struct slice place, const struct period *p)
{
	struct slice key[GROUP_KEYS_MOST];
	struct buf day = BUF_INIT;
	struct row *row;

	day_write(&day, p->day);
	for (size_t k = 0; k < ask->nby; k++)
		key[k] = ask->by[k] == AIR_BY_PLACE ? place : slice_upto(buf_slice(&day), ask->by[k] == AIR_BY_MONTH ? 7 : 10);
	row = groups_at(rows, key)->extra;
	row->n += p->n;
	for (int q = 0; q < AIR_QUANTITIES; q++)
		air_sum_merge(&row->sum[q], &p->sum[q]);
	buf_release(&day);
}

static bool is_told(const struct air_ask *ask, const struct period *p)
{
	bool any = p->n > 0;

	for (int q = 0; q < AIR_QUANTITIES; q++)
		any |= ask->wants[q] && (p->sum[q].covered_h > 0 || p->sum[q].gap_h > 0);
	return any;
}

static void add_room(const struct air_ask *ask, struct groups *rows, const struct air_room *in)
{
	struct room r;
	struct period *period;
	size_t n;
	int key = AIR_BY_PLACE;

	for (size_t k = 0; k < ask->nby; k++)
		key = (int)ask->by[k] > key ? (int)ask->by[k] : key;
	room_init(ask, &r, in);
	period = periods_of(ask, &r, key, &n);
	for (int q = 0; q < AIR_QUANTITIES; q++)
		if (ask->wants[q])
			sum_periods(&r, q, period, n);
	count_periods(&r, period, n);
	for (size_t i = 0; i < n; i++)
		if (is_told(ask, &period[i]))
			add_row(ask, rows, in->id, &period[i]);
	free(period);
	room_release(&r);
}

static void add_column(struct table *t, const char *quantity, const char *what, unsigned places)
{
	struct buf name = BUF_INIT;

	buf_printf(&name, "%s_%s", quantity, what);
	table_add_column(t, buf_cstr(&name), TABLE_REAL, places);
	buf_release(&name);
}

static double kiln_target(const struct air_ask *ask)
{
	return ask->house && ask->house->ready.node && ask->house->ready.target != HOUSE_NONE ? (double)ask->house->ready.target / STEPS : NAN;
}

static void add_timed_columns(const struct air_ask *ask, struct table *t)
{
	static const char *const by[] = { "place", "month", "day" };
	static const char *const c[] = { "mean_c", "raw_mean_c", "min_c", "max_c" }, *const pct[] = { "mean_pct", "raw_mean_pct", "min_pct", "max_pct" };

	for (size_t k = 0; k < ask->nby; k++)
		table_add_column(t, by[ask->by[k]], TABLE_TEXT, 0);
	table_add_column(t, "n", TABLE_INT, 0);
	for (int q = 0; q < AIR_QUANTITIES; q++) {
		if (!ask->wants[q])
			continue;
		add_column(t, NAMES[q], "covered_h", 1);
		add_column(t, NAMES[q], "gap_h", 1);
		for (int i = 0; i < 4; i++)
			add_column(t, NAMES[q], q == AIR_TEMP ? c[i] : pct[i], i < 2 ? 2 : 1);
		add_column(t, NAMES[q], q == AIR_EMC ? "in_target_h" : "in_band_h", 1);
		add_column(t, NAMES[q], q == AIR_EMC ? "out_of_target_h" : "out_of_band_h", 1);
		add_column(t, NAMES[q], q == AIR_EMC ? "in_target_share" : "in_band_share", 3);
	}
	if (ask->wants[AIR_EMC]) {
		table_add_column(t, "kiln_target_pct", TABLE_REAL, 1);
		table_add_column(t, "emc_less_kiln_target_pct", TABLE_REAL, 2);
	}
}

static void put_sum(struct table *t, const struct air_sum *s)
{
	bool covered = s->covered_h > 0, judged = s->judged_h > 0;

	table_real(t, s->covered_h);
	table_real(t, s->gap_h);
	table_real(t, air_sum_mean(s));
	table_real(t, air_sum_raw_mean(s));
	table_real(t, covered ? s->least : NAN);
	table_real(t, covered ? s->most : NAN);
	table_real(t, judged ? s->in_h : NAN);
	table_real(t, judged ? s->judged_h - s->in_h : NAN);
	table_real(t, judged ? s->in_h / s->judged_h : NAN);
}

static void put_timed_row(const struct air_ask *ask, struct table *t, const struct group *g)
{
	const struct row *row = g->extra;

	for (size_t k = 0; k < ask->nby; k++)
		table_text(t, g->key[k]);
	table_int(t, row->n);
	for (int q = 0; q < AIR_QUANTITIES; q++)
		if (ask->wants[q])
			put_sum(t, &row->sum[q]);
	if (ask->wants[AIR_EMC]) {
		table_real(t, kiln_target(ask));
		table_real(t, air_sum_mean(&row->sum[AIR_EMC]) - kiln_target(ask));
	}
}

void air_view_timed(const struct air_ask *ask, struct table *t)
{
	const struct groups_plan plan = { .name = "air", .nkeys = ask->nby, .extra = sizeof(struct row) };
	struct groups rows;

	table_init(t, NULL, 0);
	add_timed_columns(ask, t);
	groups_init(&rows, &plan);
	for (size_t i = 0; i < ask->book->nrooms; i++)
		add_room(ask, &rows, &ask->book->room[i]);
	groups_sort(&rows);
	for (size_t i = 0; i < rows.n; i++)
		put_timed_row(ask, t, rows.list[i]);
	groups_release(&rows);
	table_note(t, SLICE("Means are over time, in straight lines between readings; gaps are left out."));
	if (ask->wants[AIR_EMC])
		table_note(t, SLICE("EMC is good to about 1 point either way."));
	note_gaps(ask, t);
	note_offsets(ask, t);
}

/* ---- spells out of band */

static const struct table_column spell_columns[] = {
	{ "place", TABLE_TEXT, 0 }, { "quantity", TABLE_TEXT, 0 }, { "side", TABLE_TEXT, 0 }, { "from", TABLE_DATE, 0 },
	{ "to", TABLE_DATE, 0 }, { "hours", TABLE_REAL, 1 }, { "limit", TABLE_REAL, 1 }, { "worst", TABLE_REAL, 1 },
	{ "worst_at", TABLE_DATE, 0 }, { "unit", TABLE_TEXT, 0 }, { "open", TABLE_TEXT, 0 }
};

static void put_spell(const struct air_ask *ask, struct table *t, const struct room *r, int q, const struct air_spell *s)
{
	table_text(t, r->in->id);
	table_cstr(t, NAMES[q]);
	table_cstr(t, s->side > 0 ? "above" : "below");
	put_instant(ask, t, s->from_s);
	put_instant(ask, t, s->to_s);
	table_real(t, (s->to_s - s->from_s) / 3600);
	table_real(t, s->side > 0 ? r->band[q].high : r->band[q].low);
	table_real(t, s->worst);
	put_instant(ask, t, (double)s->worst_s);
	table_cstr(t, UNITS[q]);
	table_cstr(t, s->cut_before && s->cut_after ? "both" : s->cut_before ? "start" : s->cut_after ? "end" : "no");
}

static void put_spells(const struct air_ask *ask, struct table *t, const struct room *r, int q)
{
	struct air_spell s;
	int64_t from_s, to_s;

	window_of(ask, &from_s, &to_s);
	for (size_t at = 0; air_next_spell(&r->track, q, r->band[q], &at, &s);)
		if (s.to_s >= (double)from_s && s.from_s < (double)to_s)
			put_spell(ask, t, r, q, &s);
}

void air_view_spells(const struct air_ask *ask, struct table *t)
{
	table_init(t, spell_columns, sizeof spell_columns / sizeof *spell_columns);
	for (size_t i = 0; i < ask->book->nrooms; i++) {
		struct room r;

		room_init(ask, &r, &ask->book->room[i]);
		for (int q = 0; q < AIR_QUANTITIES; q++)
			if (ask->wants[q] && air_band_given(r.band[q]))
				put_spells(ask, t, &r, q);
		room_release(&r);
	}
	table_note(t, SLICE("A spell that a gap or the end of the readings cuts off is open there, and may have been longer and worse."));
	note_gaps(ask, t);
	note_offsets(ask, t);
}

/* ---- gaps, repeats and clocks */

static const struct table_column gap_columns[] = {
	{ "place", TABLE_TEXT, 0 }, { "what", TABLE_TEXT, 0 }, { "quantity", TABLE_TEXT, 0 }, { "from", TABLE_DATE, 0 },
	{ "to", TABLE_DATE, 0 }, { "hours", TABLE_REAL, 1 }, { "most_h", TABLE_REAL, 1 }, { "n", TABLE_INT, 0 },
	{ "apart", TABLE_REAL, 1 }, { "unit", TABLE_TEXT, 0 }
};

/* Something odd from one moment to another: `n` readings, at most `apart` from each other. */
struct oddity {
	const char *what;
	int quantity;      /* or -1 */
	int64_t from_s, to_s, n;
	double most_h, apart;
};

static void put_oddity(const struct air_ask *ask, struct table *t, const struct room *r, const struct oddity *o)
{
	int64_t from_s, to_s;

	window_of(ask, &from_s, &to_s);
	if (o->to_s < from_s || o->from_s >= to_s)
		return;
	table_text(t, r->in->id);
	table_cstr(t, o->what);
	table_cstr(t, o->quantity < 0 ? NULL : NAMES[o->quantity]);
	put_instant(ask, t, (double)o->from_s);
	put_instant(ask, t, (double)o->to_s);
	table_real(t, (double)(o->to_s - o->from_s) / 3600);
	table_real(t, o->most_h);
	if (o->n)
		table_int(t, o->n);
	else
		table_absent(t);
	table_real(t, o->apart);
	table_cstr(t, o->quantity < 0 || isnan(o->apart) ? NULL : UNITS[o->quantity]);
}

static void put_gaps(const struct air_ask *ask, struct table *t, const struct room *r, int q)
{
	struct air_stretch s;

	for (size_t at = 0; air_next(&r->track, q, &at, &s);)
		if (s.gap)
			put_oddity(ask, t, r, &(struct oddity){ "gap", q, s.from->utc_s, s.to->utc_s, 0, (double)r->track.limit_s / 3600, NAN });
}

static bool is_repeat(const struct air_point *p, int q)
{
	return p->n > 1 && p->high[q] > p->low[q];
}

/* Runs of moments at which unlike readings stand; one of the doubled hour has its own name. */
static void put_repeats(const struct air_ask *ask, struct table *t, const struct room *r, int q)
{
	bool first;

	for (size_t i = 0; i < r->track.n; i++) {
		struct oddity o = { "repeat", q, r->point[i].utc_s, r->point[i].utc_s, 0, NAN, 0 };

		if (!is_repeat(&r->point[i], q))
			continue;
		if (is_doubled(ask, o.from_s, &first))
			o.what = "doubled-hour";
		for (; i < r->track.n && is_repeat(&r->point[i], q); i++) {
			o.to_s = r->point[i].utc_s;
			o.n += r->point[i].n;
			o.apart = fmax(o.apart, r->point[i].high[q] - r->point[i].low[q]);
		}
		put_oddity(ask, t, r, &o);
	}
}

static int by_size(const void *a, const void *b)
{
	int64_t x = *(const int64_t *)a, y = *(const int64_t *)b;

	return (x > y) - (x < y);
}

/* How far apart readings usually are, when three in four are so within a tenth; else 0. */
static int64_t usual_step(const struct room *r)
{
	size_t n = r->track.n > 1 ? r->track.n - 1 : 0, alike = 0;
	int64_t *step = mem_array(n, sizeof *step), usual = 0;

	for (size_t i = 0; i < n; i++)
		step[i] = r->point[i + 1].utc_s - r->point[i].utc_s;
	if (n) {
		qsort(step, n, sizeof *step, by_size);
		usual = step[n / 2];
	}
	for (size_t i = 0; i < n; i++)
		alike += 10 * llabs(step[i] - usual) <= usual;
	free(step);
	return 4 * alike >= 3 * n ? usual : 0;
}

/* Where three readings stand again and again in the room of two: a clock that was set back wrote over its own hours. */
static void put_clocks(const struct air_ask *ask, struct table *t, const struct room *r)
{
	int64_t usual = usual_step(r);

	for (size_t i = 0; usual && i + 2 < r->track.n; i++) {
		size_t end = i;

		while (end + 2 < r->track.n && 10 * (r->point[end + 2].utc_s - r->point[end].utc_s) <= 11 * usual)
			end++;
		if (end - i >= 2) {
			put_oddity(ask, t, r, &(struct oddity){ "clock-back", -1, r->point[i].utc_s, r->point[end + 1].utc_s,
				(int64_t)(end + 2 - i), NAN, NAN });
			i = end;
		}
	}
}

static void put_skipped(const struct air_ask *ask, struct table *t, const struct room *r)
{
	for (size_t i = 0; i < r->in->n; i++) {
		int64_t at = r->in->row[i].utc_s, n = 0;

		for (; i < r->in->n && r->in->row[i].utc_s == at; i++)
			n += (r->in->row[i].flags & AIR_SKIPPED) != 0;
		i--;
		if (n)
			put_oddity(ask, t, r, &(struct oddity){ "skipped-hour", -1, at, at, n, NAN, NAN });
	}
}

void air_view_gaps(const struct air_ask *ask, struct table *t)
{
	table_init(t, gap_columns, sizeof gap_columns / sizeof *gap_columns);
	for (size_t i = 0; i < ask->book->nrooms; i++) {
		struct room r;

		room_init(ask, &r, &ask->book->room[i]);
		for (int q = AIR_TEMP; q <= AIR_RH; q++)
			if (ask->wants[q])
				put_gaps(ask, t, &r, q);
		for (int q = AIR_TEMP; q <= AIR_RH; q++)
			if (ask->wants[q])
				put_repeats(ask, t, &r, q);
		put_clocks(ask, t, &r);
		put_skipped(ask, t, &r);
		room_release(&r);
	}
	note_gaps(ask, t);
}

/* ---- where the wood is heading */

static const double WEEKS[] = { 1, 4, 12 };

static const struct table_column heading_columns[] = {
	{ "as_of", TABLE_DATE, 0 }, { "place", TABLE_TEXT, 0 }, { "target_low_pct", TABLE_REAL, 1 }, { "target_high_pct", TABLE_REAL, 1 },
	{ "wood_now_pct", TABLE_REAL, 1 }, { "wood_1w_pct", TABLE_REAL, 1 }, { "wood_4w_pct", TABLE_REAL, 1 }, { "wood_12w_pct", TABLE_REAL, 1 },
	{ "verdict", TABLE_TEXT, 0 }, { "known_share", TABLE_REAL, 2 }, { "lag_days", TABLE_REAL, 1 }, { "lag_from", TABLE_TEXT, 0 },
	{ "lag_low_days", TABLE_REAL, 1 }, { "lag_high_days", TABLE_REAL, 1 }, { "lag_n", TABLE_INT, 0 }, { "air_4w_covered_h", TABLE_REAL, 0 },
	{ "temp_4w_mean_c", TABLE_REAL, 1 }, { "rh_4w_mean_pct", TABLE_REAL, 1 }, { "emc_4w_mean_pct", TABLE_REAL, 1 },
	{ "band_emc_low_pct", TABLE_REAL, 1 }, { "band_emc_high_pct", TABLE_REAL, 1 }, { "room_delivers", TABLE_TEXT, 0 },
	{ "rh_for_middle_pct", TABLE_REAL, 0 }, { "kiln_target_pct", TABLE_REAL, 1 }, { "emc_less_kiln_target_pct", TABLE_REAL, 1 }
};

struct heading {
	const struct room *r;
	int64_t now_s;
	struct air_lag lag;
	const char *lag_from;
	struct air_wood wood;
	double temp_c, rh_pct, emc_pct, covered_h, band_low, band_high;
};

struct labelled {
	struct slice label;
	struct air_weight w;
};

static int by_label(const void *a, const void *b)
{
	const struct labelled *x = a, *y = b;
	int order = slice_cmp(x->label, y->label);

	if (!order)
		order = (x->w.utc_s > y->w.utc_s) - (x->w.utc_s < y->w.utc_s);
	return order ? order : (x->w.mass > y->w.mass) - (x->w.mass < y->w.mass);
}

static struct air_lag weighed_lag(const struct air_ask *ask, const struct heading *h)
{
	const struct air_book *b = ask->book;
	struct labelled *all = mem_array(b->nweighings, sizeof *all);
	struct air_weight *w = mem_array(b->nweighings, sizeof *w);
	struct air_lag lag;
	size_t n = 0;

	for (size_t i = 0; i < b->nweighings; i++)
		if (slice_eq(intern_text(&b->ids, b->weighing[i].place), h->r->in->id) && b->weighing[i].utc_s < h->now_s)
			all[n++] = (struct labelled){ intern_text(&b->ids, b->weighing[i].label), { b->weighing[i].utc_s, 0, (double)b->weighing[i].mass } };
	if (n)
		qsort(all, n, sizeof *all, by_label);
	for (size_t i = 0; i < n; i++) {
		w[i] = all[i].w;
		w[i].piece = i ? w[i - 1].piece + !slice_eq(all[i].label, all[i - 1].label) : 0;
	}
	lag = air_lag_of(&h->r->track, w, n);
	free(all);
	free(w);
	return lag;
}

static void find_lag(const struct air_ask *ask, struct heading *h)
{
	h->lag = weighed_lag(ask, h);
	h->lag_from = "weighed";
	if (!isnan(h->lag.lag_h))
		return;
	if (h->r->place->lag != HOUSE_NONE) {
		h->lag.lag_h = (double)h->r->place->lag / STEPS;
		h->lag_from = "house";
	} else {
		h->lag.lag_h = AIR_LAG_USUAL_H;
		h->lag_from = "assumed";
	}
}

static double mean_of(const struct heading *h, int q, double *covered_h)
{
	struct air_sum sum = air_sum_of(&h->r->track, q, h->now_s - 28 * DAY_S, h->now_s, h->r->band[q]);

	*covered_h = sum.covered_h;
	return air_sum_mean(&sum);
}

static double emc_at_end(double temp_c, double rh_pct)
{
	return isfinite(rh_pct) ? emc_pct(temp_c, rh_pct) : NAN;
}

static void reckon(const struct air_ask *ask, struct heading *h)
{
	double hours;

	find_lag(ask, h);
	h->wood = air_wood_at(&h->r->track, h->lag.lag_h, h->now_s);
	h->temp_c = mean_of(h, AIR_TEMP, &hours);
	h->rh_pct = mean_of(h, AIR_RH, &hours);
	h->emc_pct = mean_of(h, AIR_EMC, &h->covered_h);
	h->band_low = emc_at_end(h->temp_c, h->r->band[AIR_RH].low);
	h->band_high = emc_at_end(h->temp_c, h->r->band[AIR_RH].high);
}

static bool holds(struct air_band band, double v)
{
	return band.low <= v && v <= band.high;
}

static const char *verdict_of(const struct heading *h)
{
	struct air_band target = h->r->band[AIR_EMC];
	double later = air_wood_later(h->wood.mc_pct, h->emc_pct, h->lag.lag_h, 12 * 168);

	if (isnan(later))
		return "not known";
	if (holds(target, later))
		return holds(target, h->wood.mc_pct) ? "in target, stays" : "comes into target";
	if (holds(target, h->wood.mc_pct))
		return later > target.high ? "leaves target, too wet" : "leaves target, too dry";
	return later > target.high ? "stays too wet" : "stays too dry";
}

/* Whether the air, as it is, would bring wood into the target; a set band may do so where the air does not. */
static const char *delivers(const struct heading *h)
{
	struct air_band target = h->r->band[AIR_EMC];

	if (isnan(h->emc_pct))
		return NULL;
	if (holds(target, h->emc_pct))
		return "yes";
	if (isnan(h->band_low) || isnan(h->band_high))
		return "no";
	return h->band_high < target.low || h->band_low > target.high ? "no, nor would its band" : "no, its band would";
}

static double middle_of(struct air_band b)
{
	return isfinite(b.low) && isfinite(b.high) ? (b.low + b.high) / 2 : isfinite(b.low) ? b.low : b.high;
}

static void put_heading(const struct air_ask *ask, struct table *t, const struct heading *h)
{
	struct air_band target = h->r->band[AIR_EMC];

	put_day(t, ask->as_of);
	table_text(t, h->r->in->id);
	table_real(t, target.low);
	table_real(t, target.high);
	table_real(t, h->wood.mc_pct);
	for (size_t i = 0; i < sizeof WEEKS / sizeof *WEEKS; i++)
		table_real(t, air_wood_later(h->wood.mc_pct, h->emc_pct, h->lag.lag_h, 168 * WEEKS[i]));
	table_cstr(t, verdict_of(h));
	table_real(t, h->wood.known);
	table_real(t, h->lag.lag_h / 24);
	table_cstr(t, h->lag_from);
	table_real(t, h->lag.low_h / 24);
	table_real(t, h->lag.high_h / 24);
	table_int(t, (int64_t)h->lag.n);
	table_real(t, h->covered_h);
	table_real(t, h->temp_c);
	table_real(t, h->rh_pct);
	table_real(t, h->emc_pct);
	table_real(t, h->band_low);
	table_real(t, h->band_high);
	table_cstr(t, delivers(h));
	table_real(t, isnan(h->temp_c) ? NAN : rh_for_emc_pct(h->temp_c, middle_of(target)));
	table_real(t, kiln_target(ask));
	table_real(t, h->emc_pct - kiln_target(ask));
}

static void note_heading(struct table *t, bool assumed)
{
	if (assumed)
		table_note(t, SLICE("A lag of 21 days is assumed, not measured, where the house file has none and no pieces were weighed often enough."));
	table_note(t, SLICE("The moistures to come hold if the air stays as in the four weeks before; EMC is good to about 1 point either way."));
	table_note(t, SLICE("What the wood has come to is for a meter or the oven to say."));
}

void air_view_heading(const struct air_ask *ask, struct table *t)
{
	int64_t now_s = start_of(ask, ask->as_of + 1);
	bool assumed = false;

	table_init(t, heading_columns, sizeof heading_columns / sizeof *heading_columns);
	for (size_t i = 0; i < ask->book->nrooms; i++) {
		struct room r;
		struct heading h = { .r = &r, .now_s = now_s };

		room_init(ask, &r, &ask->book->room[i]);
		while (r.track.n && r.point[r.track.n - 1].utc_s >= now_s)
			r.track.n--;
		if (air_band_given(r.band[AIR_EMC]) && r.track.n) {
			reckon(ask, &h);
			put_heading(ask, t, &h);
			assumed |= slice_eq(slice_of(h.lag_from), SLICE("assumed"));
		}
		room_release(&r);
	}
	note_heading(t, assumed);
	note_gaps(ask, t);
	note_offsets(ask, t);
}

/* ---- control charts */

static const struct table_column chart_columns[] = {
	{ "place", TABLE_TEXT, 0 }, { "quantity", TABLE_TEXT, 0 }, { "day", TABLE_DATE, 0 }, { "mean", TABLE_REAL, 2 },
	{ "centre", TABLE_REAL, 2 }, { "low", TABLE_REAL, 2 }, { "high", TABLE_REAL, 2 }, { "out", TABLE_TEXT, 0 },
	{ "range", TABLE_REAL, 2 }, { "range_high", TABLE_REAL, 2 }, { "range_out", TABLE_TEXT, 0 },
	{ "ewma", TABLE_REAL, 2 }, { "ewma_low", TABLE_REAL, 2 }, { "ewma_high", TABLE_REAL, 2 }, { "ewma_out", TABLE_TEXT, 0 },
	{ "unit", TABLE_TEXT, 0 }, { "baseline_n", TABLE_INT, 0 }
};

static const char *out_of(double v, double low, double high)
{
	return v > high ? "above" : v < low ? "below" : "no";
}

/* Days of which at least half is covered. */
static struct air_day *days_of(const struct period *period, size_t n, int q, size_t *ndays)
{
	struct air_day *day = mem_array(n, sizeof *day);

	*ndays = 0;
	for (size_t i = 0; i < n; i++) {
		const struct period *p = &period[i];

		if (2 * p->sum[q].covered_h * 3600 >= (double)(p->to_s - p->from_s))
			day[(*ndays)++] = (struct air_day){ p->day, air_sum_mean(&p->sum[q]) };
	}
	return day;
}

static void put_chart_day(struct table *t, const struct air_day *day, double range, const struct air_limits *l, double ewma)
{
	put_day(t, day->day);
	table_real(t, day->mean);
	table_real(t, l->centre);
	table_real(t, l->low);
	table_real(t, l->high);
	table_cstr(t, out_of(day->mean, l->low, l->high));
	table_real(t, range);
	table_real(t, l->range_high);
	table_cstr(t, isnan(range) ? NULL : out_of(range, 0, l->range_high));
	table_real(t, ewma);
	table_real(t, l->ewma_low);
	table_real(t, l->ewma_high);
	table_cstr(t, out_of(ewma, l->ewma_low, l->ewma_high));
}

static bool put_chart(const struct air_ask *ask, struct table *t, const struct room *r, int q, struct period *period, size_t n)
{
	struct air_limits limits;
	size_t ndays;
	struct air_day *day;
	double ewma, range;
	bool good;

	sum_periods(r, q, period, n);
	day = days_of(period, n, q, &ndays);
	good = air_limits_of(day, ndays, ask->base_from, ask->base_to, &limits);
	ewma = limits.centre;
	for (size_t i = 0; good && i < ndays; i++) {
		if (day[i].day < ask->base_from)
			continue;
		ewma = air_ewma_next(ewma, day[i].mean);
		if (day[i].day < ask->from || day[i].day > ask->to)
			continue;
		range = i && day[i - 1].day == day[i].day - 1 ? fabs(day[i].mean - day[i - 1].mean) : NAN;
		table_text(t, r->in->id);
		table_cstr(t, NAMES[q]);
		put_chart_day(t, &day[i], range, &limits, ewma);
		table_cstr(t, UNITS[q]);
		table_int(t, (int64_t)limits.n);
	}
	free(day);
	return good;
}

static void chart_room(const struct air_ask *ask, struct table *t, const struct air_room *in, struct buf *without)
{
	struct air_ask all = *ask;
	struct period *period;
	struct room r;
	size_t n;

	all.from = INT32_MIN;
	all.to = INT32_MAX;
	room_init(ask, &r, in);
	period = periods_of(&all, &r, AIR_BY_DAY, &n);
	for (int q = 0; q < AIR_QUANTITIES; q++)
		if (ask->wants[q] && !put_chart(ask, t, &r, q, period, n))
			buf_printf(without, "%s%.*s (%s)", without->n ? ", " : "The baseline has under two days, or no change, of: ", (int)in->id.n, in->id.p, NAMES[q]);
	free(period);
	room_release(&r);
}

void air_view_chart(const struct air_ask *ask, struct table *t)
{
	struct buf without = BUF_INIT;

	table_init(t, chart_columns, sizeof chart_columns / sizeof *chart_columns);
	for (size_t i = 0; i < ask->book->nrooms; i++)
		chart_room(ask, t, &ask->book->room[i], &without);
	if (without.n)
		table_note(t, buf_slice(&without));
	table_note(t, SLICE("Days less than half covered are left out. Days of one room follow one another closely, so more of them fall out of limits than chance alone would put there."));
	note_gaps(ask, t);
	note_offsets(ask, t);
	buf_release(&without);
}
