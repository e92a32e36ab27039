#include "air/air_view.h"

#include <math.h>
#include <stdlib.h>

#include "air/air_view_internal.h"

const char *const AIR_UNITS[AIR_QUANTITIES] = { "C", "%", "%" };
const char *const AIR_NAMES[AIR_QUANTITIES] = { "temperature", "humidity", "EMC" };

/* ---- a place, with what the house says of it */

static struct air_band band_of(struct house_range r)
{
	if (!house_range_given(r))
		return (struct air_band){ NAN, NAN };
	return (struct air_band){ r.low == INT64_MIN ? -HUGE_VAL : (double)r.low / VALUE_STEPS, r.high == INT64_MAX ? HUGE_VAL : (double)r.high / VALUE_STEPS };
}

double air_view_limit_h(const struct house *house, const struct house_place *place)
{
	int64_t every = house ? house->intervals.air : HOUSE_NONE, own = place ? place->air_every : every;

	if (place && place->kind == HOUSE_PLACE_KIND_KILN && own == every && house->intervals.kiln_air != HOUSE_NONE)
		own = house->intervals.kiln_air;
	return own == HOUSE_NONE ? AIR_GAP_USUAL_H : (double)own / VALUE_STEPS;
}

void view_init(struct view *v, const struct air_ask *ask, struct table *t)
{
	*v = (struct view){ .ask = ask, .t = t };
}

void view_release(struct view *v)
{
	air_points_release(&v->points);
	buf_release(&v->text);
}

void view_open(struct view *v, const struct air_record *in, unsigned with)
{
	const struct house_range none = { HOUSE_NONE, HOUSE_NONE };

	v->in = in;
	v->place = v->ask->house ? house_place(v->ask->house, in->id) : NULL;
	air_book_points(v->ask->book, in, with | (v->ask->raw ? AIR_AS_READ : 0), &v->points);
	v->track = v->points.track;
	v->track.limit_s = (int64_t)llround(HOUR_S * air_view_limit_h(v->ask->house, v->place));
	v->band[AIR_TEMP] = band_of(v->place ? v->place->temp : none);
	v->band[AIR_RH] = band_of(v->place ? v->place->rh : none);
	v->band[AIR_EMC] = band_of(v->place ? v->place->target : none);
}

double view_kiln_target(const struct air_ask *ask)
{
	return ask->house && ask->house->ready.node && ask->house->ready.target != HOUSE_NONE ? (double)ask->house->ready.target / VALUE_STEPS : NAN;
}

/* ---- the clock on the wall */

static int64_t wall_of(struct view *v, int64_t utc_s)
{
	const struct zone *zone = v->ask->book->zone;

	if (utc_s < v->from_s || utc_s >= v->to_s) {
		v->from_s = utc_s;
		v->to_s = zone_next_change(zone, utc_s, NULL);
		v->offset_s = zone_offset(zone, utc_s);
	}
	return utc_s + v->offset_s;
}

int32_t view_day(struct view *v, int64_t utc_s)
{
	return seconds_day(wall_of(v, utc_s));
}

int64_t view_start(struct view *v, int32_t day)
{
	struct zone_wall found = zone_wall(v->ask->book->zone, &v->memo, day_seconds(day));

	return found.kind == ZONE_NEVER ? found.change_s : found.utc_s[0];
}

bool view_doubled(struct view *v, int64_t utc_s, bool *first)
{
	struct zone_wall found = zone_wall(v->ask->book->zone, &v->memo, wall_of(v, utc_s));

	*first = found.kind == ZONE_TWICE && utc_s == found.utc_s[0];
	return found.kind == ZONE_TWICE;
}

void view_put_instant(struct view *v, double utc_s)
{
	int64_t s = (int64_t)floor(utc_s + 0.5), wall_s = wall_of(v, s);
	int32_t day = seconds_day(wall_s);
	struct stamp stamp = { day, seconds_in_day(wall_s), STAMP_NO_OFFSET };
	bool first;

	view_doubled(v, s, &first);
	if (first)
		stamp.offset = (int16_t)(v->offset_s / 60);
	v->text.n = 0;
	day_write(&v->text, day);
	buf_char(&v->text, ' ');
	time_write(&v->text, &stamp);
	table_date(v->t, buf_slice(&v->text));
}

void view_put_day(struct view *v, int32_t day)
{
	v->text.n = 0;
	day_write(&v->text, day);
	table_date(v->t, buf_slice(&v->text));
}

enum { ROWS_HELD = 64 };

void view_some(const struct air_ask *ask, struct table *t)
{
	if (ask->some && t->n_cells >= ROWS_HELD * t->n_columns)
		ask->some(t);
}

void view_window(struct view *v, int64_t *from_s, int64_t *to_s)
{
	*from_s = v->ask->from == INT32_MIN ? INT64_MIN : view_start(v, v->ask->from);
	*to_s = v->ask->to == INT32_MAX ? INT64_MAX : view_start(v, v->ask->to + 1);
}

/* ---- notes */

/* By id, which instruments read the air; with `pin2/cane` also `pin2`. The caller frees it. */
static bool *used_meters(const struct air_book *b)
{
	bool *used = mem_zeroed(b->ids.n, sizeof *used);

	for (size_t i = 0; i < b->nrecords; i++)
		for (size_t j = 0; j < b->record[i].n; j++)
			used[air_row(&b->record[i], j)->meter] = true;
	for (uint32_t i = 1; i < b->ids.n; i++) {
		struct slice name = intern_text(&b->ids, i);
		uint32_t of = used[i] ? intern_find(&b->ids, slice_upto(name, slice_find(name, '/'))) : 0;

		used[of] = true;
	}
	return used;
}

/* Each offset once, by its day and its instrument. */
void view_note_offsets(struct view *v, int32_t last)
{
	const struct air_book *b = v->ask->book;
	struct buf text = BUF_INIT;
	bool *used;

	if (v->ask->raw || !b->nchecks)
		return;
	used = used_meters(b);
	for (size_t i = 0; i < b->nchecks; i++) {
		const struct air_check *c = &b->check[i];
		struct slice id = intern_text(&b->ids, c->meter);
		double correction = air_book_offset(b, c->meter, c->quantity, c->day);
		bool noted = false;

		for (size_t j = 0; j < i; j++)
			noted |= b->check[j].day == c->day && b->check[j].meter == c->meter && b->check[j].quantity == c->quantity;
		if (noted || correction == 0 || !used[c->meter] || c->day > last)
			continue;
		buf_printf(&text, "%s%.*s %+.2f %s from ", text.n ? ", " : "Readings were corrected by instrument checks: ", (int)id.n, id.p, correction, c->quantity == AIR_RH ? "% RH" : "C");
		day_write(&text, c->day);
	}
	if (text.n)
		buf_char(&text, '.');
	if (text.n)
		table_note(v->t, buf_slice(&text));
	buf_release(&text);
	free(used);
}

void view_note_gaps(struct view *v)
{
	const struct air_ask *ask = v->ask;
	bool assumed = false;

	for (size_t i = 0; i < ask->book->nrecords; i++) {
		const struct house_place *p = ask->house ? house_place(ask->house, ask->book->record[i].id) : NULL;

		assumed |= (p ? p->air_every : ask->house ? ask->house->intervals.air : HOUSE_NONE) == HOUSE_NONE;
	}
	if (assumed)
		table_note(v->t, SLICE("The house file does not limit how far apart readings may be everywhere; there a gap is more than 36 h."));
}

/* ---- periods */

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

static void count_readings(const struct view *v, struct air_period *period, size_t n)
{
	size_t k = 0;

	for (size_t i = 0; i < n; i++) {
		size_t from;

		while (k < v->track.n && v->track.utc_s[k] < period[i].from_s)
			k++;
		for (from = k; k < v->track.n && v->track.utc_s[k] < period[i].to_s;)
			k++;
		period[i].n = (int64_t)v->points.first[k] - (int64_t)v->points.first[from];
	}
}

struct air_period *view_periods(struct view *v, int key, size_t *n)
{
	const struct air_ask *ask = v->ask;
	int32_t first = view_day(v, v->track.utc_s[0]), last = view_day(v, v->track.utc_s[v->track.n - 1]);
	struct air_period *period = NULL;
	size_t cap = 0;

	*n = 0;
	first = first < ask->from ? ask->from : first;
	last = ask->to != INT32_MAX ? ask->to : last;
	for (int32_t day = first; day <= last;) {
		int32_t end = last_of(key, day);

		end = end > last ? last : end;
		period = mem_grow(period, &cap, *n + 1, sizeof *period);
		period[*n] = (struct air_period){ .day = day, .from_s = *n ? period[*n - 1].to_s : view_start(v, day) };
		period[(*n)++].to_s = view_start(v, end + 1);
		day = end + 1;
	}
	count_readings(v, period, *n);
	return period;
}

/* The time after the last reading that has the quantity, up to a later end that is asked for, is not known. */
static void add_rest(struct view *v, int quantity, struct air_period *period, size_t n)
{
	size_t last = air_point_by(&v->track, quantity, INT64_MAX);
	int64_t last_s = v->track.utc_s[last];

	if (v->ask->to == INT32_MAX || isnan(v->track.v[quantity][last]))
		return;
	for (size_t i = n; i-- > 0 && period[i].to_s > last_s;)
		period[i].sum[quantity].gap_h += (double)(period[i].to_s - (period[i].from_s > last_s ? period[i].from_s : last_s)) / HOUR_S;
}

void view_sum_periods(struct view *v, int quantity, struct air_period *period, size_t n)
{
	struct air_cursor c = { 0 };

	for (size_t i = 0; i < n; i++)
		air_sum_add(&period[i].sum[quantity], &v->track, quantity, &c, period[i].from_s, period[i].to_s, v->band[quantity]);
	add_rest(v, quantity, period, n);
}
