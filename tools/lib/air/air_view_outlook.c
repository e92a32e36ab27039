#include <math.h>
#include <stdlib.h>

#include "air/air_view_internal.h"
#include "air/place_lag.h"
#include "math/tolerance.h"
#include "wood/climate.h"
#include "wood/meter.h"

enum { WEEKS_N = 3 };

static const double WEEKS[WEEKS_N] = { 1, 4, 12 };

static const double END_H = 12 * 168; /* what the verdict is about */

/* Either way: what the formula of the EMC may be off for this wood, and a meter on a single piece (both handbooks'). */
static const double EMC_ERROR_PCT = 1, METER_ERROR_PCT = 2;

static const double SURE = 0.9;

static const struct table_column outlook_columns[] = {
	{ "as_of", TABLE_DATE, 0, NULL }, { "place", TABLE_TEXT, 0, "place" }, { "target_low_pct", TABLE_REAL, 1, "target from, %" }, { "target_high_pct", TABLE_REAL, 1, "to, %" },
	{ "wood_now_pct", TABLE_REAL, 1, "wood now" }, { "wood_1w_pct", TABLE_REAL, 1, NULL }, { "wood_4w_pct", TABLE_REAL, 1, NULL }, { "wood_12w_pct", TABLE_REAL, 1, "in 12 weeks" },
	{ "wood_12w_low_pct", TABLE_REAL, 1, "at least" }, { "wood_12w_high_pct", TABLE_REAL, 1, "at most" }, { "verdict", TABLE_TEXT, 0, "verdict" }, { "known_share", TABLE_REAL, TABLE_PERCENT + 0, NULL }, { "start_from", TABLE_TEXT, 0, NULL }, { "start_first", TABLE_DATE, 0, NULL },
	{ "start_last", TABLE_DATE, 0, NULL }, { "start_n", TABLE_INT, 0, NULL }, { "start_mean_pct", TABLE_REAL, 1, NULL }, { "start_sd_pct", TABLE_REAL, 2, NULL },
	{ "wood_by_air_pct", TABLE_REAL, 1, NULL }, { "lag_days", TABLE_REAL, 1, NULL }, { "lag_from", TABLE_TEXT, 0, NULL },
	{ "lag_low_days", TABLE_REAL, 1, NULL }, { "lag_high_days", TABLE_REAL, 1, NULL }, { "lag_n", TABLE_INT, 0, NULL }, { "lag_pieces", TABLE_INT, 0, NULL }, { "air_4w_covered_h", TABLE_REAL, 0, NULL },
	{ "temp_4w_mean_c", TABLE_REAL, 1, NULL }, { "rh_4w_mean_pct", TABLE_REAL, 1, NULL }, { "emc_4w_mean_pct", TABLE_REAL, 1, NULL },
	{ "band_emc_low_pct", TABLE_REAL, 1, NULL }, { "band_emc_high_pct", TABLE_REAL, 1, NULL }, { "room_delivers", TABLE_TEXT, 0, NULL },
	{ "rh_for_middle_pct", TABLE_REAL, 0, "RH to set, %" }, { "kiln_target_pct", TABLE_REAL, 1, NULL }, { "emc_less_kiln_target_pct", TABLE_REAL, 1, NULL }
};

/* In a kiln the charge's own readings show its outlook; the time constant of a store does not apply. */
static bool has_target(const struct air_ask *ask, struct slice id)
{
	const struct house_place *place = ask->house ? house_place(ask->house, id) : NULL;

	return place && place->kind != HOUSE_PLACE_KIND_KILN && house_range_given(place->target);
}

/* What the wood was last found to be, and what that is now. */
struct start {
	const char *from;           /* NULL while there is nothing */
	int64_t first_s, last_s;
	size_t n, unsure;
	double sum, squares, now_sum, known_sum, left_sum;
};

struct outlook {
	struct view *v;
	int64_t now_s, recent_s;
	struct wood_lag lag;
	const char *lag_from;
	struct start start;
	struct air_wood wood, by_air;
	double later_pct, low_pct, high_pct; /* at the end, and between what it may be then */
	double temp_c, rh_pct, emc_pct, covered_h, band_low, band_high;
};

/* ---- what the wood was found to be */

/* `now` is what wood of `mc` at that moment has come to. */
static void add_start(struct start *s, int64_t utc_s, double mc, struct air_wood now)
{
	s->first_s = s->n && s->first_s < utc_s ? s->first_s : utc_s;
	s->last_s = s->n && s->last_s > utc_s ? s->last_s : utc_s;
	s->n++;
	s->sum += mc;
	s->squares += mc * mc;
	s->now_sum += now.mc_pct;
	s->known_sum += now.known;
	s->left_sum += now.left;
}

static double start_sd(const struct start *s)
{
	double n = (double)s->n;

	return s->n > 1 ? sqrt(fmax(s->squares - s->sum * s->sum / n, 0) / (n - 1)) : NAN;
}

struct found {
	struct slice lot;
	const struct air_found *in;
};

static int by_lot(const void *a, const void *b)
{
	const struct found *x = a, *y = b;
	int order = slice_cmp(x->lot, y->lot);

	if (!order)
		order = (x->in->utc_s > y->in->utc_s) - (x->in->utc_s < y->in->utc_s);
	return order ? order : (x->in->mc > y->in->mc) - (x->in->mc < y->in->mc);
}

static struct found *found_of(const struct air_ask *ask, const struct outlook *h, size_t *n)
{
	const struct air_book *b = ask->book;
	struct found *all = mem_array(b->nfound, sizeof *all);

	*n = 0;
	for (size_t i = 0; i < b->nfound; i++) {
		const struct air_found *f = &b->found[i];

		if (f->utc_s >= h->recent_s && f->utc_s < h->now_s && slice_eq(intern_text(&b->ids, f->place), h->v->in->id))
			all[(*n)++] = (struct found){ intern_text(&b->ids, f->lot), f };
	}
	if (*n)
		qsort(all, *n, sizeof *all, by_lot);
	return all;
}

/* Of each lot the readings of its last day in the place, for those before were of what it was then. */
static void start_from_probes(const struct air_ask *ask, struct outlook *h)
{
	size_t n;
	struct found *all = found_of(ask, h, &n);

	for (size_t i = 0, end; i < n; i = end) {
		for (end = i; end < n && slice_eq(all[end].lot, all[i].lot);)
			end++;
		for (size_t k = i; k < end; k++) {
			const struct air_found *f = all[k].in;
			double mc = (double)f->mc / VALUE_STEPS;

			if (f->day != all[end - 1].in->day)
				continue;
			add_start(&h->start, f->utc_s, mc, air_wood_since(&h->v->track, h->lag.lag_h, f->utc_s, mc, h->now_s));
			h->start.unsure += f->unsure;
			h->start.from = "probed";
		}
	}
	free(all);
}

static void start_from_weights(struct outlook *h, const struct air_weight *w, size_t n)
{
	for (size_t i = 0, end; i < n; i = end) {
		int64_t last_s = 0;
		double mc;

		for (end = i; end < n && w[end].piece == w[i].piece;)
			end++;
		mc = air_weighed_mc(&h->v->track, w + i, end - i, h->lag.lag_h, &last_s);
		if (isnan(mc) || last_s < h->recent_s)
			continue;
		add_start(&h->start, last_s, mc, air_wood_since(&h->v->track, h->lag.lag_h, last_s, mc, h->now_s));
		h->start.from = "weighed";
	}
}

/* From what the wood was found to be, if it was; else from the air alone. */
static void find_wood(const struct air_ask *ask, struct outlook *h, const struct air_weight *w, size_t n)
{
	const struct air_series *t = &h->v->track;
	size_t at = 0;
	struct air_stretch first;

	h->start = (struct start){ 0 };
	h->by_air = air_wood_at(t, h->lag.lag_h, h->now_s);
	start_from_probes(ask, h);
	if (!h->start.n && slice_eq(slice_of(h->lag_from), SLICE("weighed")))
		start_from_weights(h, w, n);
	if (h->start.n) {
		double found = (double)h->start.n;

		h->wood = (struct air_wood){ h->start.now_sum / found, h->start.known_sum / found, h->start.left_sum / found };
		return;
	}
	h->wood = h->by_air;
	if (!air_next(t, AIR_EMC, &at, &first) || isnan(h->wood.mc_pct))
		return;
	h->start = (struct start){ .from = "air", .first_s = t->utc_s[first.from], .last_s = t->utc_s[first.from], .sum = t->v[AIR_EMC][first.from] };
}

/* ---- the air */

static double mean_of(const struct outlook *h, int q, double *covered_h)
{
	struct air_sum sum = air_sum_of(&h->v->track, q, h->now_s - 28 * DAY_S, h->now_s, h->v->band[q]);

	*covered_h = sum.covered_h;
	return air_sum_mean(&sum);
}

static double emc_at_end(double temp_c, double rh_pct)
{
	return isfinite(rh_pct) ? emc_pct(temp_c, rh_pct) : NAN;
}

/* ---- how far off the forecast may be */

static double later_of(const struct outlook *h)
{
	return air_wood_later(h->wood.mc_pct, h->emc_pct, h->lag.lag_h, END_H);
}

static bool is_probed(const struct outlook *h)
{
	return h->start.n && slice_eq(slice_of(h->start.from), SLICE("probed"));
}

/* How far the mean of the pieces that were read may be off. */
static double start_half(const struct start *s)
{
	return s->n > 1 ? tolerance_mean((int64_t)s->n, SURE) * fmax(start_sd(s), METER_SPREAD_PCT) : METER_ERROR_PCT;
}

/* How far the end moves where all EMCs are a point higher. Wood known from the air, or by weights through it, is a point higher now. */
static double moved_by_emc(const struct outlook *h)
{
	double left = exp(-END_H / h->lag.lag_h);

	return 1 - left + left * (is_probed(h) ? 1 - h->wood.left : 1);
}

/* The end if the lag is another, from the same measurements. */
static double later_with(const struct air_ask *ask, const struct outlook *h, double lag_h, const struct air_weight *w, size_t n)
{
	struct outlook other = *h;

	other.lag.lag_h = lag_h;
	find_wood(ask, &other, w, n);
	return later_of(&other);
}

/* Each error moves the end by itself; they have nothing to do with each other, so their squares add up (GUM, 5.1.2). */
static void find_range(const struct air_ask *ask, struct outlook *h, const struct air_weight *w, size_t n)
{
	double emc = EMC_ERROR_PCT * moved_by_emc(h), start = is_probed(h) ? start_half(&h->start) * h->wood.left * exp(-END_H / h->lag.lag_h) : 0;
	double below = emc * emc + start * start, above = below;
	const double lag_h[] = { h->lag.low_h, h->lag.high_h };

	h->later_pct = later_of(h);
	for (int i = 0; i < 2; i++) {
		double moved = isnan(lag_h[i]) ? 0 : later_with(ask, h, lag_h[i], w, n) - h->later_pct;

		*(moved < 0 ? &below : &above) += moved * moved;
	}
	h->low_pct = h->later_pct - sqrt(below);
	h->high_pct = h->later_pct + sqrt(above);
}

static void calculate(const struct air_ask *ask, struct outlook *h)
{
	double hours;
	size_t n;
	struct air_weight *w = place_weights(ask->book, h->v->in->id, h->now_s, &n);

	h->lag = place_lag_of(&h->v->track, h->v->place, w, n, &h->lag_from);
	h->recent_s = h->now_s - (int64_t)llround(HOUR_S * place_recent_h(h->lag.lag_h));
	find_wood(ask, h, w, n);
	h->temp_c = mean_of(h, AIR_TEMP, &hours);
	h->rh_pct = mean_of(h, AIR_RH, &hours);
	h->emc_pct = mean_of(h, AIR_EMC, &h->covered_h);
	h->band_low = emc_at_end(h->temp_c, h->v->band[AIR_RH].low);
	h->band_high = emc_at_end(h->temp_c, h->v->band[AIR_RH].high);
	find_range(ask, h, w, n);
	free(w);
}

static bool holds(struct air_band band, double v)
{
	return band.low <= v && v <= band.high;
}

/* Whether all that the end may be is in the target, none of it, or some. */
enum certainty { CERTAIN_IN, CERTAIN_OUT, DOUBTFUL };

static enum certainty certainty_of(const struct outlook *h)
{
	struct air_band target = h->v->band[AIR_EMC];

	if (holds(target, h->low_pct) && holds(target, h->high_pct))
		return CERTAIN_IN;
	return h->high_pct < target.low || h->low_pct > target.high ? CERTAIN_OUT : DOUBTFUL;
}

static const char *verdict_of(const struct outlook *h)
{
	struct air_band target = h->v->band[AIR_EMC];
	bool now = holds(target, h->wood.mc_pct), doubt = certainty_of(h) == DOUBTFUL, wet = h->later_pct > target.high;

	if (isnan(h->later_pct))
		return "not known";
	if (now && doubt)
		return "in target, may leave";
	if (holds(target, h->later_pct))
		return now ? "in target, stays" : doubt ? "may come into target" : "comes into target";
	if (now)
		return wet ? "leaves target, too wet" : "leaves target, too dry";
	if (doubt)
		return wet ? "too wet, may stay so" : "too dry, may stay so";
	return wet ? "stays too wet" : "stays too dry";
}

/* Whether the air, as it is, would bring wood into the target; a set band may do so where the air does not. */
static const char *delivers(const struct outlook *h)
{
	struct air_band target = h->v->band[AIR_EMC];

	if (isnan(h->emc_pct))
		return NULL;
	if (holds(target, h->emc_pct))
		return "yes";
	if (isnan(h->band_low) || isnan(h->band_high))
		return "no";
	return h->band_high < target.low || h->band_low > target.high ? "no, and its band would not" : "no, its band would";
}

static double middle_of(struct air_band b)
{
	return isfinite(b.low) && isfinite(b.high) ? (b.low + b.high) / 2 : isfinite(b.low) ? b.low : b.high;
}

static void put_start(const struct outlook *h)
{
	const struct start *s = &h->start;
	struct table *t = h->v->t;

	table_cstr(t, s->from);
	if (s->from) {
		view_put_day(h->v, view_day(h->v, s->first_s));
		view_put_day(h->v, view_day(h->v, s->last_s));
	} else {
		table_absent(t);
		table_absent(t);
	}
	if (s->n)
		table_int(t, (int64_t)s->n);
	else
		table_absent(t);
	table_real(t, s->from ? s->sum / (s->n ? (double)s->n : 1) : NAN);
	table_real(t, start_sd(s));
	table_real(t, h->by_air.mc_pct);
}

enum { NAMED_MOST = 3 };

/* The places one by one, while they are few. */
static void find_place(struct table *t, const struct outlook *h, size_t place)
{
	struct slice id = h->v->in->id;
	struct buf text = BUF_INIT;

	if (place >= NAMED_MOST)
		return;
	if (isnan(h->later_pct))
		buf_printf(&text, "The outlook of the wood in %.*s is not known.", (int)id.n, id.p);
	else
		buf_printf(&text, "The wood in %.*s is at %.1f %% and is heading for %.1f %% (%.1f to %.1f %%).", (int)id.n, id.p, h->wood.mc_pct,
			h->later_pct, h->low_pct, h->high_pct);
	table_finding(t, buf_slice(&text));
	buf_release(&text);
}

/* Places by what the wood will be in twelve weeks: in the target, and whether that is certain. */
struct ends {
	size_t places, in, certain;
	const char *only;       /* of the only place: whether it is in its target */
};

static void count_end(struct ends *ends, const struct outlook *h)
{
	bool in = holds(h->v->band[AIR_EMC], h->later_pct);
	enum certainty c = certainty_of(h);

	ends->places++;
	ends->in += in;
	ends->certain += c == CERTAIN_IN && in;
	ends->only = in ? c == CERTAIN_IN ? "That is within the target." : "That is within the target, but may be out of it."
		: c == CERTAIN_OUT ? "That is not within the target." : "That is not within the target, but may be.";
}

static void find_places(struct table *t, const struct ends *ends)
{
	struct buf text = BUF_INIT;

	if (ends->places > 1)
		buf_printf(&text, "In 12 weeks %zu of %zu places will have wood within the target, if the air stays as it is.", ends->in, ends->places);
	else if (ends->places)
		buf_str(&text, ends->only);
	if (ends->places > 1 && ends->certain)
		buf_printf(&text, " It is certain for %zu.", ends->certain);
	else if (ends->places > 1)
		buf_str(&text, " It is certain for none.");
	if (text.n)
		table_finding(t, buf_slice(&text));
	buf_release(&text);
}

static void put_outlook(const struct air_ask *ask, struct table *t, const struct outlook *h)
{
	struct air_band target = h->v->band[AIR_EMC];

	view_put_day(h->v, ask->as_of);
	table_text(t, h->v->in->id);
	table_real(t, target.low);
	table_real(t, target.high);
	table_real(t, h->wood.mc_pct);
	for (size_t i = 0; i < WEEKS_N; i++)
		table_real(t, air_wood_later(h->wood.mc_pct, h->emc_pct, h->lag.lag_h, 168 * WEEKS[i]));
	table_real(t, h->low_pct);
	table_real(t, h->high_pct);
	table_cstr(t, verdict_of(h));
	table_real(t, h->wood.known);
	put_start(h);
	table_real(t, h->lag.lag_h / 24);
	table_cstr(t, h->lag_from);
	table_real(t, h->lag.low_h / 24);
	table_real(t, h->lag.high_h / 24);
	table_int(t, (int64_t)h->lag.n);
	table_int(t, (int64_t)h->lag.pieces);
	table_real(t, h->covered_h);
	table_real(t, h->temp_c);
	table_real(t, h->rh_pct);
	table_real(t, h->emc_pct);
	table_real(t, h->band_low);
	table_real(t, h->band_high);
	table_cstr(t, delivers(h));
	table_real(t, isnan(h->temp_c) ? NAN : rh_for_emc_pct(h->temp_c, middle_of(target)));
	table_real(t, view_kiln_target(ask));
	table_real(t, h->emc_pct - view_kiln_target(ask));
}

/* The places that start from readings without a correction. */
static void add_unsure(struct buf *text, const struct outlook *h)
{
	struct slice id = h->v->in->id;

	if (h->start.unsure)
		buf_printf(text, "%s%.*s (%zu of %zu)", text->n ? ", " : "Some readings that the wood starts from are uncorrected, or outside the trusted range of the meter: ",
			(int)id.n, id.p, h->start.unsure, h->start.n);
}

/* The places whose wood was not measured lately. */
static void add_unmeasured(struct buf *text, const struct outlook *h)
{
	struct slice id = h->v->in->id;

	if (!h->start.n)
		buf_printf(text, "%s%.*s", text->n ? ", " : "No recent reading of the wood, so measure it with a meter or in the oven: ", (int)id.n, id.p);
}

static void note_outlook(struct table *t, bool assumed, struct buf *unsure, struct buf *unmeasured)
{
	if (unmeasured->n)
		table_note(t, buf_slice(unmeasured));
	if (unsure->n)
		table_note(t, buf_slice(unsure));
	if (assumed)
		table_note(t, SLICE("A time constant of 21 days is assumed, not measured, where the house file has none and too few weights were recorded."));
	table_note(t, SLICE("The forecast assumes that the air stays as in the last four weeks."));
	table_note(t, SLICE("At least, at most: what the wood may be in 12 weeks, per cent. EMC is good to about 1 point either way; readings and a time constant from weights have errors too."));
}

void air_view_outlook(const struct air_ask *ask, struct table *t)
{
	struct view v;
	struct buf unsure = BUF_INIT, unmeasured = BUF_INIT;
	int64_t now_s;
	bool assumed = false;
	struct ends ends = { 0, 0, 0, NULL };

	table_init(t, outlook_columns, sizeof outlook_columns / sizeof *outlook_columns);
	view_init(&v, ask, t);
	now_s = view_start(&v, ask->as_of + 1);
	for (size_t i = 0; i < ask->book->nrecords; i++) {
		struct outlook h = { .v = &v, .now_s = now_s };

		if (!has_target(ask, ask->book->record[i].id))
			continue;
		view_open(&v, &ask->book->record[i], AIR_WITH_EMC);
		while (v.track.n && v.track.utc_s[v.track.n - 1] >= now_s)
			v.track.n--;
		if (!v.track.n)
			continue;
		calculate(ask, &h);
		put_outlook(ask, t, &h);
		find_place(t, &h, ends.places);
		count_end(&ends, &h);
		add_unsure(&unsure, &h);
		add_unmeasured(&unmeasured, &h);
		assumed |= slice_eq(slice_of(h.lag_from), SLICE("assumed"));
	}
	find_places(t, &ends);
	note_outlook(t, assumed, &unsure, &unmeasured);
	buf_release(&unsure);
	buf_release(&unmeasured);
	view_note_gaps(&v);
	view_note_offsets(&v, ask->as_of);
	view_release(&v);
}
