#include "air_track.h"

#include <math.h>

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

static size_t having(const struct air_track *t, int quantity, size_t i)
{
	while (i < t->n && isnan(t->point[i].v[quantity]))
		i++;
	return i;
}

bool air_next(const struct air_track *t, int quantity, size_t *at, struct air_stretch *s)
{
	size_t from = having(t, quantity, *at), to = having(t, quantity, from + 1);

	if (to >= t->n)
		return false;
	s->from = &t->point[from];
	s->to = &t->point[to];
	s->gap = s->to->utc_s - s->from->utc_s > t->limit_s;
	*at = to;
	return true;
}

static double between(double a, double b, double part)
{
	return a + (b - a) * part;
}

static double part_of(const struct air_stretch *s, double utc_s)
{
	return (utc_s - (double)s->from->utc_s) / (double)(s->to->utc_s - s->from->utc_s);
}

double air_at(const struct air_stretch *s, int quantity, double utc_s)
{
	return between(s->from->v[quantity], s->to->v[quantity], part_of(s, utc_s));
}

/* ---- sums */

static void widen(struct air_sum *sum, double low, double high)
{
	if (sum->covered_h == 0 || low < sum->least)
		sum->least = low;
	if (sum->covered_h == 0 || high > sum->most)
		sum->most = high;
}

void air_sum_add(struct air_sum *sum, const struct air_stretch *s, int quantity, int64_t from_s, int64_t to_s, struct air_band band)
{
	double start = (double)(from_s > s->from->utc_s ? from_s : s->from->utc_s);
	double end = (double)(to_s < s->to->utc_s ? to_s : s->to->utc_s);
	double hours = (end - start) / 3600, a, b, raw;

	if (hours <= 0)
		return;
	if (s->gap) {
		sum->gap_h += hours;
		return;
	}
	if (from_s <= s->from->utc_s && to_s >= s->to->utc_s) { /* whole, as nearly all are */
		a = s->from->v[quantity];
		b = s->to->v[quantity];
		raw = (s->from->raw[quantity] + s->to->raw[quantity]) / 2;
	} else {
		a = air_at(s, quantity, start);
		b = air_at(s, quantity, end);
		raw = between(s->from->raw[quantity], s->to->raw[quantity], part_of(s, (start + end) / 2));
	}
	widen(sum, a < b ? a : b, a < b ? b : a);
	sum->covered_h += hours;
	sum->area += hours * (a + b) / 2;
	sum->raw_area += hours * raw;
	if (!air_band_given(band))
		return;
	sum->judged_h += hours;
	sum->in_h += hours * air_share_in(a, b, band);
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

struct air_sum air_sum_of(const struct air_track *t, int quantity, int64_t from_s, int64_t to_s, struct air_band band)
{
	struct air_sum sum = { 0 };
	struct air_stretch s;

	for (size_t at = 0; air_next(t, quantity, &at, &s) && s.from->utc_s < to_s;)
		air_sum_add(&sum, &s, quantity, from_s, to_s, band);
	return sum;
}

/* ---- spells */

static int side_of(double v, struct air_band band)
{
	return v > band.high ? 1 : v < band.low ? -1 : 0;
}

/* When a way from point `a` to `b` crosses the limit that a spell on that side has. */
static double crossing(const struct air_point *a, const struct air_point *b, int quantity, double limit)
{
	double part = (limit - a->v[quantity]) / (b->v[quantity] - a->v[quantity]);

	return between((double)a->utc_s, (double)b->utc_s, part);
}

static void worsen(struct air_spell *spell, const struct air_point *p, int quantity)
{
	double v = p->v[quantity];

	if (spell->side * (v - spell->worst) > 0) {
		spell->worst = v;
		spell->worst_s = p->utc_s;
	}
}

/* Follows a spell that has begun at or before point `i`; leaves *at at the first point that is not in it. */
static void follow(const struct air_track *t, int quantity, double limit, struct air_band band, size_t i, size_t *at, struct air_spell *spell)
{
	struct air_stretch s;

	for (*at = i; air_next(t, quantity, at, &s);) {
		spell->to_s = (double)s.from->utc_s;
		if (s.gap) {
			spell->cut_after = true;
			return;
		}
		if (side_of(s.to->v[quantity], band) != spell->side) {
			spell->to_s = crossing(s.from, s.to, quantity, limit);
			return;
		}
		worsen(spell, s.to, quantity);
		spell->to_s = (double)s.to->utc_s;
	}
	spell->cut_after = true;
	*at = t->n;
}

/* The point before `i` that has the quantity, or NULL. */
static const struct air_point *before(const struct air_track *t, int quantity, size_t i)
{
	while (i-- > 0)
		if (!isnan(t->point[i].v[quantity]))
			return &t->point[i];
	return NULL;
}

bool air_next_spell(const struct air_track *t, int quantity, struct air_band band, size_t *at, struct air_spell *spell)
{
	size_t i = having(t, quantity, *at);
	const struct air_point *p, *last;
	double limit;

	while (i < t->n && !side_of(t->point[i].v[quantity], band))
		i = having(t, quantity, i + 1);
	if (i >= t->n)
		return false;
	p = &t->point[i];
	last = before(t, quantity, i);
	*spell = (struct air_spell){ .from_s = (double)p->utc_s, .to_s = (double)p->utc_s, .side = side_of(p->v[quantity], band),
		.worst = p->v[quantity], .worst_s = p->utc_s };
	limit = spell->side > 0 ? band.high : band.low;
	spell->cut_before = !last || p->utc_s - last->utc_s > t->limit_s;
	if (!spell->cut_before)
		spell->from_s = crossing(last, p, quantity, limit);
	follow(t, quantity, limit, band, i, at, spell);
	return true;
}
