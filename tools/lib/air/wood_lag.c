#include "air/wood_lag.h"

#include <math.h>
#include <stdlib.h>

#include "air/series.h"
#include "math/random_effect.h"
#include "time/calendar.h"

enum { TRIED = 161 };
static const double LAG_LEAST_H = 12, LAG_MOST_H = 4800;

static const double SURE = 0.9; /* of the interval of the mean lag */

/* Standard errors of a piece's lag, as a log. With more its weights tell no lag; less is finer than what is tried. */
static const double LOG_ERROR_MOST = 0.5, LOG_ERROR_LEAST = 0.002;

/* A walk along a track: what a piece is at a moment, as a line in what it was at the start. */
struct walk {
	const struct air_series *t;
	double lag_h;
	size_t at;
	struct air_stretch s;
	bool more;
	double now_s, mc, fade, known;
	double hours, faded;    /* what faded() last found */
};

/* exp(-hours / lag): steps of a record are mostly alike, so the last answer serves again. */
static double faded(struct walk *w, double hours)
{
	if (!(hours >= w->hours && hours <= w->hours)) {
		w->hours = hours;
		w->faded = exp(-hours / w->lag_h);
	}
	return w->faded;
}

/*
 * One step along a straight line: from EMC `a` to `b` in `hours`, wood of `mc`. With the slope
 * s = (b - a)/hours the answer is M = b - s lag + (mc - a + s lag) exp(-hours/lag).
 */
static double step(struct walk *w, double a, double b, double hours)
{
	double lagging = hours > 0 ? (b - a) / hours * w->lag_h : 0;

	return b - lagging + (w->mc - a + lagging) * faded(w, hours);
}

static void walk_start(struct walk *w, const struct air_series *t, double lag_h, int64_t from_s)
{
	*w = (struct walk){ .t = t, .lag_h = lag_h, .fade = 1, .now_s = (double)from_s, .hours = -1 };
	w->at = air_point_by(t, AIR_EMC, from_s);
	w->more = air_next(t, AIR_EMC, &w->at, &w->s);
}

/* On to an instant of which the air up to it is not known. */
static void walk_blind(struct walk *w, double to_s)
{
	w->known *= exp(-(to_s - w->now_s) / HOUR_S / w->lag_h);
	w->now_s = to_s;
}

static void walk_part(struct walk *w, double to_s)
{
	double hours = (to_s - w->now_s) / HOUR_S, first_s = (double)w->t->utc_s[w->s.from];
	double a, b, left;

	if (hours > 0 && w->s.gap) {
		walk_blind(w, to_s);
		return;
	}
	if (hours > 0) {
		a = w->now_s > first_s ? air_at(w->t, &w->s, AIR_EMC, w->now_s) : w->t->v[AIR_EMC][w->s.from];
		b = air_at(w->t, &w->s, AIR_EMC, to_s);
		w->mc = step(w, a, b, hours);
		left = faded(w, hours);
		w->fade *= left;
		w->known = 1 - (1 - w->known) * left;
	}
	w->now_s = to_s;
}

static void walk_to(struct walk *w, int64_t to_s)
{
	if (w->more && w->now_s < (double)w->t->utc_s[w->s.from]) {
		int64_t first_s = w->t->utc_s[w->s.from];

		walk_blind(w, (double)(first_s < to_s ? first_s : to_s));
	}
	while (w->more && w->t->utc_s[w->s.to] <= to_s) {
		walk_part(w, (double)w->t->utc_s[w->s.to]);
		w->more = air_next(w->t, AIR_EMC, &w->at, &w->s);
	}
	if ((double)to_s <= w->now_s)
		return;
	if (w->more)
		walk_part(w, (double)to_s);
	else
		walk_blind(w, (double)to_s);
}

struct air_wood air_wood_at(const struct air_series *t, double lag_h, int64_t now_s)
{
	struct air_stretch first;
	struct walk w;
	size_t at = 0;

	if (!air_next(t, AIR_EMC, &at, &first) || now_s < t->utc_s[first.from])
		return (struct air_wood){ NAN, 0, 0 };
	walk_start(&w, t, lag_h, t->utc_s[first.from]);
	w.mc = t->v[AIR_EMC][first.from];
	walk_to(&w, now_s);
	return (struct air_wood){ w.mc, w.known, w.fade };
}

struct air_wood air_wood_since(const struct air_series *t, double lag_h, int64_t from_s, double mc_pct, int64_t now_s)
{
	struct walk w;

	walk_start(&w, t, lag_h, from_s);
	w.mc = mc_pct;
	w.known = 1;
	walk_to(&w, now_s);
	return (struct air_wood){ w.mc, w.known, w.fade };
}

double air_wood_later(double mc_pct, double emc_pct, double lag_h, double hours)
{
	return emc_pct + (mc_pct - emc_pct) * exp(-hours / lag_h);
}

/* ---- the lag from weights */

/*
 * A piece's mass is dry (1 + M/100), and M is what it was at first, faded, and what the air gave:
 * so mass = x (1 + gave/100) + y faded, a plane through two unknowns, fitted by least squares.
 */
struct plane {
	double uu, uv, vv, um, vm, mm;
	size_t n;
};

static void plane_add(struct plane *p, double u, double v, double m)
{
	p->uu += u * u;
	p->uv += u * v;
	p->vv += v * v;
	p->um += u * m;
	p->vm += v * m;
	p->mm += m * m;
	p->n++;
}

/* Both unknowns; false where the weights do not part them. */
static bool plane_solve(const struct plane *p, double *x, double *y)
{
	double det = p->uu * p->vv - p->uv * p->uv;

	if (det <= 1e-12 * p->uu * p->vv)
		return false;
	*x = (p->um * p->vv - p->vm * p->uv) / det;
	*y = (p->vm * p->uu - p->um * p->uv) / det;
	return true;
}

static double plane_left(const struct plane *p)
{
	double x, y;

	if (!plane_solve(p, &x, &y))
		return p->mm - (p->uu > 0 ? p->um * p->um / p->uu : 0);
	return fmax(p->mm - x * p->um - y * p->vm, 0);
}

/* Whether the air is known at a moment. */
static bool is_known(const struct air_series *t, int64_t utc_s)
{
	size_t at = t->n ? air_point_by(t, AIR_EMC, utc_s) : 0;
	struct air_stretch s;

	if (t->n && utc_s == t->utc_s[at] && !isnan(t->v[AIR_EMC][at]))
		return true;
	return air_next(t, AIR_EMC, &at, &s) && !s.gap && utc_s >= t->utc_s[s.from] && utc_s <= t->utc_s[s.to];
}

/*
 * What the air made of a piece from its first weight w[0] to each of the `n`: its moisture then is
 * gave + left times its first one. In order of time.
 */
struct trace {
	double gave, left;
};

static void follow(const struct air_series *t, const struct air_weight *w, size_t n, double lag_h, struct trace *trace)
{
	struct walk walk;

	walk_start(&walk, t, lag_h, w[0].utc_s);
	for (size_t i = 0; i < n; i++) {
		walk_to(&walk, w[i].utc_s);
		trace[i] = (struct trace){ walk.mc, walk.fade };
	}
}

static struct plane plane_of(const struct air_weight *w, size_t n, const struct trace *trace)
{
	struct plane plane = { 0 };

	for (size_t i = 0; i < n; i++)
		plane_add(&plane, 1 + trace[i].gave / 100, trace[i].left, w[i].mass / w[0].mass);
	return plane;
}

static size_t end_of_piece(const struct air_weight *w, size_t n, size_t i)
{
	size_t end = i;

	while (end < n && w[end].piece == w[i].piece)
		end++;
	return end;
}

static bool at_same_times(const struct air_weight *a, const struct air_weight *b, size_t n)
{
	for (size_t i = 0; i < n; i++)
		if (a[i].utc_s != b[i].utc_s)
			return false;
	return true;
}

static double lag_tried(int i)
{
	return LAG_LEAST_H * pow(LAG_MOST_H / LAG_LEAST_H, (double)i / (TRIED - 1));
}

/* What is left of each piece's squares at one lag, pieces by TRIED. Mostly they are weighed together, and one way is that of all. */
static void left_at(const struct air_series *t, const struct air_weight *w, size_t n, int tried, struct trace *trace, double *left)
{
	size_t followed = 0, last = 0, piece = 0;

	for (size_t i = 0, end; i < n; i = end, piece++) {
		struct plane plane;

		end = end_of_piece(w, n, i);
		if (end - i != followed || !at_same_times(w + last, w + i, followed))
			follow(t, w + i, end - i, lag_tried(tried), trace);
		followed = end - i;
		last = i;
		plane = plane_of(w + i, end - i, trace);
		left[piece * TRIED + (size_t)tried] = plane_left(&plane);
	}
}

/* Keeps the weights of pieces that say something; *pieces counts those. */
static size_t usable(const struct air_series *t, const struct air_weight *w, size_t n, size_t least, struct air_weight *into, size_t *pieces)
{
	size_t kept = 0;

	*pieces = 0;
	for (size_t i = 0, end; i < n; i = end) {
		size_t start = kept;

		for (end = i; end < n && w[end].piece == w[i].piece; end++)
			if (is_known(t, w[end].utc_s))
				into[kept++] = w[end];
		if (kept - start < least)
			kept = start;
		else
			(*pieces)++;
	}
	return kept;
}

/* The lag of one piece: its best among those tried, and what is left there; `bend` is by how much more for a log of 1, squared. */
struct piece_lag {
	double log_h, bend, left;
	size_t n;
	bool inside;          /* the best is not at an end */
};

/* Through the best and both of its neighbours goes a parabola over the log of the lag. */
static struct piece_lag piece_lag_of(const double *left, size_t n)
{
	struct piece_lag p = { .n = n };
	double gap = log(LAG_MOST_H / LAG_LEAST_H) / (TRIED - 1), curve, slope;
	int best = 0;

	for (int i = 1; i < TRIED; i++)
		best = left[i] < left[best] ? i : best;
	p.left = left[best];
	p.inside = best > 0 && best < TRIED - 1;
	if (!p.inside)
		return p;
	curve = left[best - 1] - 2 * left[best] + left[best + 1];
	slope = (left[best + 1] - left[best - 1]) / 2;
	p.log_h = log(lag_tried(best)) - slope / curve * gap;
	p.bend = curve / 2 / (gap * gap);
	p.left = fmax(left[best] - slope * slope / (2 * curve), 0);
	return p;
}

/* The lags of those pieces that tell one, as logs in hours; *n counts them, *weights their weights. */
static struct effect *lags_told(const struct air_weight *w, size_t n, const double *left, size_t pieces, size_t *told, size_t *weights)
{
	struct piece_lag *p = mem_array(pieces, sizeof *p);
	struct effect *list = mem_array(pieces, sizeof *list);
	double squares = 0, df = 0;
	size_t at = 0;

	*told = *weights = 0;
	for (size_t i = 0, k = 0; i < n; i = at, k++) {
		at = end_of_piece(w, n, i);
		p[k] = piece_lag_of(left + k * TRIED, at - i);
		squares += p[k].left;
		df += (double)(at - i) - 3;
	}
	for (size_t k = 0; k < pieces; k++) {
		double within = p[k].inside ? fmax(squares / df / p[k].bend, LOG_ERROR_LEAST * LOG_ERROR_LEAST) : INFINITY;

		if (!(within <= LOG_ERROR_MOST * LOG_ERROR_MOST))
			continue;
		list[(*told)++] = (struct effect){ p[k].log_h, within };
		*weights += p[k].n;
	}
	free(p);
	return list;
}

static double within_tried(double lag_h)
{
	return fmin(fmax(lag_h, LAG_LEAST_H), LAG_MOST_H);
}

struct wood_lag wood_lag_of(const struct air_series *t, const struct air_weight *w, size_t n)
{
	struct wood_lag lag = { NAN, NAN, NAN, 0, 0 };
	struct air_weight *kept = mem_array(n, sizeof *kept);
	struct trace *trace = mem_array(n, sizeof *trace);
	size_t pieces, used = usable(t, w, n, AIR_WEIGHTS_EACH, kept, &pieces);
	double *left = mem_array(pieces * TRIED, sizeof *left);
	struct effect *list = NULL;

	for (int i = 0; used && i < TRIED; i++)
		left_at(t, kept, used, i, trace, left);
	if (used)
		list = lags_told(kept, used, left, pieces, &lag.pieces, &lag.n);
	if (lag.n >= AIR_WEIGHTS_LEAST) {
		struct random_effect r = random_effect_of(list, lag.pieces);
		double half = random_effect_half(&r, SURE);

		lag.lag_h = exp(r.mean);
		if (!isnan(half)) {
			lag.low_h = within_tried(exp(r.mean - half));
			lag.high_h = within_tried(exp(r.mean + half));
		}
	}
	free(list);
	free(left);
	free(trace);
	free(kept);
	return lag;
}

/* ---- the lag from readings */

/* What a mean of readings may be off, and by how much the EMC may be off for this wood, in points; each a standard error. */
static const double READ_ERROR_PCT = 0.3, EMC_OFF_PCT = 0.6;

/*
 * A reading is what the air gave, the EMC's error as far as it has come to the wood, and the first moisture, faded. For
 * each lot the first moisture is taken out by its own line through the origin; what is left is a line in the EMC's error.
 */
static void add_lot(struct plane *sum, const struct air_weight *r, size_t n, const struct trace *trace)
{
	double xx = 0, xy = 0, xz = 0, yy = 0, yz = 0, zz = 0;

	for (size_t i = 0; i < n; i++) {
		double x = trace[i].left, z = 1 - x, y = r[i].mass - trace[i].gave;

		xx += x * x;
		xy += x * y;
		xz += x * z;
		yy += y * y;
		yz += y * z;
		zz += z * z;
	}
	sum->mm += yy - xy * xy / xx;
	sum->um += yz - xz * xy / xx;
	sum->uu += zz - xz * xz / xx;
}

/* The squares that are left at one lag; that the EMC's error is small is one reading more of it. */
static double left_of_readings(const struct air_series *t, const struct air_weight *r, size_t n, double lag_h, struct trace *trace)
{
	struct plane sum = { .uu = READ_ERROR_PCT * READ_ERROR_PCT / (EMC_OFF_PCT * EMC_OFF_PCT) };

	for (size_t i = 0, end; i < n; i = end) {
		end = end_of_piece(r, n, i);
		follow(t, r + i, end - i, lag_h, trace);
		add_lot(&sum, r + i, end - i, trace);
	}
	return fmax(sum.mm - sum.um * sum.um / sum.uu, 0);
}

static struct wood_lag lag_read(const struct piece_lag *p, size_t lots)
{
	static const double HALF = 1.6448536269514722; /* of the normal distribution: 90 % */
	double df = (double)p->n - (double)lots - 2;
	double error = df > 0 ? sqrt(fmax(p->left / df, READ_ERROR_PCT * READ_ERROR_PCT) / p->bend) : INFINITY;

	if (!p->inside || !(error <= LOG_ERROR_MOST))
		return (struct wood_lag){ NAN, NAN, NAN, 0, 0 };
	return (struct wood_lag){ exp(p->log_h), within_tried(exp(p->log_h - HALF * error)), within_tried(exp(p->log_h + HALF * error)), p->n, lots };
}

struct wood_lag wood_lag_of_readings(const struct air_series *t, const struct air_weight *r, size_t n)
{
	struct air_weight *kept = mem_array(n, sizeof *kept);
	struct trace *trace = mem_array(n, sizeof *trace);
	double left[TRIED];
	size_t lots, used = usable(t, r, n, AIR_READINGS_EACH, kept, &lots);
	struct wood_lag lag = { NAN, NAN, NAN, 0, 0 };

	for (int i = 0; used && i < TRIED; i++)
		left[i] = left_of_readings(t, kept, used, lag_tried(i), trace);
	if (used) {
		struct piece_lag p = piece_lag_of(left, used);

		lag = lag_read(&p, lots);
	}
	free(trace);
	free(kept);
	return lag;
}

double air_weighed_mc(const struct air_series *t, const struct air_weight *w, size_t n, double lag_h, int64_t *last_s)
{
	struct air_weight *kept = mem_array(n, sizeof *kept);
	size_t pieces, used = usable(t, w, n, AIR_WEIGHTS_EACH, kept, &pieces);
	struct trace *trace = mem_array(n, sizeof *trace);
	double dry, moist, mc_pct = NAN;
	struct plane plane;

	if (pieces == 1) {
		follow(t, kept, used, lag_h, trace);
		plane = plane_of(kept, used, trace);
		*last_s = kept[used - 1].utc_s;
		if (plane_solve(&plane, &dry, &moist) && dry > 0)
			mc_pct = 100 * (kept[used - 1].mass / kept[0].mass / dry - 1);
	}
	free(trace);
	free(kept);
	return mc_pct;
}
