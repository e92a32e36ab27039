#include "air/series.h"

#include <math.h>

#include "time/calendar.h"

bool air_band_given(struct air_band b)
{
	return !isnan(b.low) && !isnan(b.high);
}

double air_share_in(double a, double b, struct air_band band)
{
	double low = a < b ? a : b, high = a < b ? b : a;
	double in = (high < band.high ? high : band.high) - (low > band.low ? low : band.low);

	if (low >= band.low && high <= band.high)
		return 1;
	if (low == high)
		return 0;
	return in > 0 ? in / (high - low) : 0;
}

/* ---- stretches */

static size_t having(const struct air_series *t, int quantity, size_t i)
{
	while (i < t->n && isnan(t->v[quantity][i]))
		i++;
	return i;
}

bool air_next(const struct air_series *t, int quantity, size_t *at, struct air_stretch *s)
{
	size_t from = having(t, quantity, *at), to = having(t, quantity, from + 1);

	if (to >= t->n)
		return false;
	*s = (struct air_stretch){ from, to, t->utc_s[to] - t->utc_s[from] > t->limit_s };
	*at = to;
	return true;
}

/* The last point at or before an instant, or the first of all. */
static size_t last_by(const struct air_series *t, int64_t utc_s)
{
	size_t low = 0, high = t->n;

	while (low < high) {
		size_t mid = low + (high - low) / 2;

		if (t->utc_s[mid] <= utc_s)
			low = mid + 1;
		else
			high = mid;
	}
	return low ? low - 1 : 0;
}

size_t air_point_by(const struct air_series *t, int quantity, int64_t utc_s)
{
	size_t i = last_by(t, utc_s);

	while (i > 0 && isnan(t->v[quantity][i]))
		i--;
	return i;
}

static double between(double a, double b, double part)
{
	return a + (b - a) * part;
}

static double part_of(const struct air_series *t, const struct air_stretch *s, double utc_s)
{
	return (utc_s - (double)t->utc_s[s->from]) / (double)(t->utc_s[s->to] - t->utc_s[s->from]);
}

double air_at(const struct air_series *t, const struct air_stretch *s, int quantity, double utc_s)
{
	return between(t->v[quantity][s->from], t->v[quantity][s->to], part_of(t, s, utc_s));
}

/* ---- sums */

static void widen(struct air_sum *sum, double low, double high)
{
	if (sum->covered_h == 0 || low < sum->least)
		sum->least = low;
	if (sum->covered_h == 0 || high > sum->most)
		sum->most = high;
}

/* The hours of a straight way from `a` to `b` that are in the band. */
static inline double hours_in(double hours, double a, double b, struct air_band band)
{
	if (a >= band.low && a <= band.high && b >= band.low && b <= band.high)
		return hours;
	return hours * air_share_in(a, b, band);
}

/* One straight way, over the raw mean `raw`. */
static inline void add_way(struct air_sum *sum, double hours, double a, double b, double raw, struct air_band band, bool judged)
{
	sum->covered_h += hours;
	sum->area += hours * (a + b) / 2;
	sum->raw_area += hours * raw;
	if (!judged)
		return;
	sum->judged_h += hours;
	sum->in_h += hours_in(hours, a, b, band);
}

/*
 * The inner loop of a great record: from point `i`, which has the quantity, adds the ways to the very next
 * point, as far as they are joined and up to point `end`. Returns where it stopped.
 */
static inline size_t run(struct air_sum *into, const struct air_series *t, int quantity, size_t i, size_t end, struct air_band band, bool judged)
{
	const double *v = t->v[quantity], *raw = t->raw[quantity];
	const int64_t *utc_s = t->utc_s, limit_s = t->limit_s;
	struct air_sum sum = *into;
	int64_t apart = 0;
	double hours = 0, a = v[i], b;

	for (; i < end; i++, a = b) {
		b = v[i + 1];
		if (utc_s[i + 1] - utc_s[i] != apart) {
			apart = utc_s[i + 1] - utc_s[i];
			hours = (double)apart / HOUR_S;
			if (apart > limit_s)
				break;
		}
		if (isnan(b))
			break;
		sum.least = b < sum.least ? b : sum.least;
		sum.most = b > sum.most ? b : sum.most;
		add_way(&sum, hours, a, b, (raw[i] + raw[i + 1]) / 2, band, judged);
	}
	*into = sum;
	return i;
}

/* The ways from point `i`, which has the quantity, that lie whole before to_s. */
static size_t add_run(struct air_sum *sum, const struct air_series *t, int quantity, size_t i, int64_t to_s, struct air_band band)
{
	size_t end = last_by(t, to_s);

	if (i + 1 >= t->n || end <= i || isnan(t->v[quantity][i + 1]) || t->utc_s[i + 1] - t->utc_s[i] > t->limit_s)
		return i;
	widen(sum, t->v[quantity][i], t->v[quantity][i]);
	return air_band_given(band) ? run(sum, t, quantity, i, end, band, true) : run(sum, t, quantity, i, end, band, false);
}

/* A stretch of any kind, or the part of it that lies in [from_s, to_s). */
static void add_part(struct air_sum *sum, const struct air_series *t, const struct air_stretch *s, int quantity, int64_t from_s, int64_t to_s, struct air_band band)
{
	int64_t first_s = t->utc_s[s->from], last_s = t->utc_s[s->to];
	double start = (double)(from_s > first_s ? from_s : first_s), end = (double)(to_s < last_s ? to_s : last_s);
	double hours = (end - start) / HOUR_S, a = t->v[quantity][s->from], b = t->v[quantity][s->to];
	double raw_a = t->raw[quantity][s->from], raw_b = t->raw[quantity][s->to], raw = (raw_a + raw_b) / 2;

	if (hours <= 0)
		return;
	if (s->gap) {
		sum->gap_h += hours;
		return;
	}
	if (from_s > first_s || to_s < last_s) {
		a = air_at(t, s, quantity, start);
		b = air_at(t, s, quantity, end);
		raw = between(raw_a, raw_b, part_of(t, s, (start + end) / 2));
	}
	widen(sum, a < b ? a : b, a < b ? b : a);
	add_way(sum, hours, a, b, raw, band, air_band_given(band));
}

/* The stretch that begins at the cursor; where it ends is looked for once, however many periods it goes through. */
static bool stretch_at(const struct air_series *t, int quantity, struct air_cursor *c, struct air_stretch *s)
{
	if (c->to <= c->from)
		c->to = having(t, quantity, c->from + 1);
	if (c->to >= t->n)
		return false;
	*s = (struct air_stretch){ c->from, c->to, t->utc_s[c->to] - t->utc_s[c->from] > t->limit_s };
	return true;
}

void air_sum_add(struct air_sum *sum, const struct air_series *t, int quantity, struct air_cursor *c, int64_t from_s, int64_t to_s, struct air_band band)
{
	struct air_stretch s;

	for (c->from = having(t, quantity, c->from); c->from < t->n; c->from = c->to) {
		if (t->utc_s[c->from] >= from_s)
			c->from = add_run(sum, t, quantity, c->from, to_s, band);
		if (!stretch_at(t, quantity, c, &s) || t->utc_s[s.from] >= to_s)
			break;
		add_part(sum, t, &s, quantity, from_s, to_s, band);
		if (t->utc_s[s.to] > to_s)
			break;
	}
}

void air_sum_merge(struct air_sum *into, const struct air_sum *from)
{
	if (from->covered_h > 0)
		widen(into, from->least, from->most);
	into->covered_h += from->covered_h;
	into->gap_h += from->gap_h;
	into->area += from->area;
	into->raw_area += from->raw_area;
	into->judged_h += from->judged_h;
	into->in_h += from->in_h;
}

double air_sum_mean(const struct air_sum *sum)
{
	return sum->covered_h > 0 ? sum->area / sum->covered_h : NAN;
}

double air_sum_raw_mean(const struct air_sum *sum)
{
	return sum->covered_h > 0 ? sum->raw_area / sum->covered_h : NAN;
}

struct air_sum air_sum_of(const struct air_series *t, int quantity, int64_t from_s, int64_t to_s, struct air_band band)
{
	struct air_sum sum = { 0 };
	struct air_cursor c = { air_point_by(t, quantity, from_s), 0 };

	air_sum_add(&sum, t, quantity, &c, from_s, to_s, band);
	return sum;
}

/* ---- spells */

static int side_of(double v, struct air_band band)
{
	return v > band.high ? 1 : v < band.low ? -1 : 0;
}

/* When the way between two points crosses a limit. */
static double crossing(const struct air_series *t, size_t a, size_t b, int quantity, double limit)
{
	double part = (limit - t->v[quantity][a]) / (t->v[quantity][b] - t->v[quantity][a]);

	return between((double)t->utc_s[a], (double)t->utc_s[b], part);
}

/* Follows a spell that has begun at or before point `i`; leaves *at at the first point that is not in it. */
static void follow(const struct air_series *t, int quantity, double limit, struct air_band band, size_t i, size_t *at, struct air_spell *spell)
{
	struct air_stretch s;
	double v;

	for (*at = i; air_next(t, quantity, at, &s);) {
		spell->to_s = (double)t->utc_s[s.from];
		if (s.gap) {
			spell->cut_after = true;
			return;
		}
		v = t->v[quantity][s.to];
		if (side_of(v, band) != spell->side) {
			spell->to_s = crossing(t, s.from, s.to, quantity, limit);
			return;
		}
		if (spell->side * (v - spell->worst) > 0) {
			spell->worst = v;
			spell->worst_s = t->utc_s[s.to];
		}
		spell->to_s = (double)t->utc_s[s.to];
	}
	spell->cut_after = true;
	*at = t->n;
}

bool air_next_spell(const struct air_series *t, int quantity, struct air_band band, size_t *at, struct air_spell *spell)
{
	const double *v = t->v[quantity];
	size_t i = *at, last;
	double now, limit;

	while (i < t->n && !side_of(v[i], band)) /* a missing value is not out of band either */
		i++;
	if (i >= t->n)
		return false;
	for (last = i; last > 0 && isnan(v[last - 1]);)
		last--;
	now = (double)t->utc_s[i];
	*spell = (struct air_spell){ .from_s = now, .to_s = now, .side = side_of(v[i], band), .worst = v[i], .worst_s = t->utc_s[i] };
	limit = spell->side > 0 ? band.high : band.low;
	spell->cut_before = last == 0 || t->utc_s[i] - t->utc_s[last - 1] > t->limit_s;
	if (!spell->cut_before)
		spell->from_s = crossing(t, last - 1, i, quantity, limit);
	follow(t, quantity, limit, band, i, at, spell);
	return true;
}
