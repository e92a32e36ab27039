#include "chart/draw.h"

#include <math.h>
#include <stdlib.h>

#define CURVE_COLUMNS "charge probe source date day kind mc_pct"
#define CURVE_COMMAND "wy-dry -b --curve --charge ID"
#define READY_COLUMNS "charge ready_on ready_50_from ready_50_to ready_90_from ready_90_to"
#define STAGE_COLUMNS "date subject stage"

enum { CHARGES_MOST = 6 };

enum censor { AT, AT_LEAST, AT_MOST };

struct reading {
	double day, mc;
	enum censor censor;
};

struct readings {
	struct reading *v;
	size_t n, cap;
};

struct probe {
	struct slice name, source;
	struct readings readings;
};

/* When the charge should be ready: the dates of the table, NAN where it has none. */
struct outlook {
	double on, from_50, to_50, from_90, to_90;
	struct slice kiln;
	bool emptied;
};

/* One charge: all that its panel shows. Days are of the calendar. */
struct drying {
	struct slice charge;
	struct probe *probe;
	size_t n, cap;
	struct readings air, set;
	double low, high;          /* of the band; NAN: none */
	double first, last, least, most; /* of the readings */
	struct outlook ready;
	const struct table *stages;
};

static void add_reading(struct readings *r, struct reading reading)
{
	r->v = mem_grow(r->v, &r->cap, r->n + 1, sizeof *r->v);
	r->v[r->n++] = reading;
}

/* ---- taking the rows of a charge */

static struct probe *probe_of(struct drying *d, struct slice name, struct slice source)
{
	for (size_t i = 0; i < d->n; i++)
		if (slice_eq(d->probe[i].name, name) && slice_eq(d->probe[i].source, source))
			return &d->probe[i];
	d->probe = mem_grow(d->probe, &d->cap, d->n + 1, sizeof *d->probe);
	d->probe[d->n] = (struct probe){ .name = name, .source = source };
	return &d->probe[d->n++];
}

/* The moment of loading: each row's day since then is on its date. */
static double loaded_at(const struct table *t, struct slice charge)
{
	double at = -INFINITY;

	for (size_t i = 0; i < given_rows(t); i++)
		if (slice_eq(given_word(t, i, "charge"), charge))
			at = fmax(at, given_day(t, i, "date") - given_number(t, i, "day"));
	return at;
}

static void take_row(struct drying *d, const struct table *t, size_t row, double loaded)
{
	static const char *const marks[] = { "at", "at-least", "at-most" };
	struct reading reading = { loaded + given_number(t, row, "day"), given_number(t, row, "mc_pct"), AT };
	struct slice kind = given_word(t, row, "kind");

	if (!isfinite(reading.day) || isnan(reading.mc))
		return;
	if (slice_eq(kind, SLICE("emc")) || slice_eq(kind, SLICE("set"))) {
		add_reading(slice_eq(kind, SLICE("emc")) ? &d->air : &d->set, reading);
		return;
	}
	for (size_t i = 0; i < sizeof marks / sizeof *marks; i++)
		if (slice_eq(kind, slice_of(marks[i]))) {
			reading.censor = (enum censor)i;
			add_reading(&probe_of(d, given_word(t, row, "probe"), given_word(t, row, "source"))->readings, reading);
		}
}

static int compare_readings(const void *a, const void *b)
{
	const struct reading *x = a, *y = b;

	return x->day < y->day ? -1 : x->day > y->day;
}

static void sort_readings(struct readings *r)
{
	if (r->n > 1)
		qsort(r->v, r->n, sizeof *r->v, compare_readings);
}

static void note_ends(struct drying *d, const struct readings *r)
{
	for (size_t i = 0; i < r->n; i++) {
		d->first = fmin(d->first, r->v[i].day);
		d->last = fmax(d->last, r->v[i].day);
		d->least = fmin(d->least, r->v[i].mc);
		d->most = fmax(d->most, r->v[i].mc);
	}
}

static void take_outlook(struct drying *d, const struct table *t)
{
	struct outlook *o = &d->ready;

	*o = (struct outlook){ NAN, NAN, NAN, NAN, NAN, SLICE(""), false };
	for (size_t i = 0; t && i < given_rows(t); i++)
		if (slice_eq(given_word(t, i, "charge"), d->charge)) {
			*o = (struct outlook){ given_day(t, i, "ready_on"), given_day(t, i, "ready_50_from"), given_day(t, i, "ready_50_to"),
				given_day(t, i, "ready_90_from"), given_day(t, i, "ready_90_to"), given_word(t, i, "kiln"), given_is(t, i, "verdict", "emptied") };
			return;
		}
}

static bool take_charge(struct drying *d, const struct given *g, const struct table *t)
{
	double loaded = loaded_at(t, d->charge);

	d->first = d->least = INFINITY;
	d->last = d->most = -INFINITY;
	d->low = d->high = NAN;
	for (size_t i = 0; i < given_rows(t); i++) {
		if (!slice_eq(given_word(t, i, "charge"), d->charge))
			continue;
		take_row(d, t, i, loaded);
		d->low = isnan(d->low) ? given_number(t, i, "low_pct") : d->low;
		d->high = isnan(d->high) ? given_number(t, i, "high_pct") : d->high;
	}
	for (size_t i = 0; i < d->n; i++) {
		sort_readings(&d->probe[i].readings);
		note_ends(d, &d->probe[i].readings);
	}
	sort_readings(&d->air);
	note_ends(d, &d->air);
	take_outlook(d, given_table(g, READY_COLUMNS));
	d->stages = given_table(g, STAGE_COLUMNS);
	return d->first <= d->last;
}

static void release(struct drying *d)
{
	for (size_t i = 0; i < d->n; i++)
		free(d->probe[i].readings.v);
	free(d->probe);
	free(d->air.v);
	free(d->set.v);
}

/* ---- the finding */

struct last_reading {
	const struct probe *probe;
	double mc, day;
};

/* The wettest (or driest) probe by the last reading of each. */
static struct last_reading extreme(const struct drying *d, bool wettest)
{
	struct last_reading found = { NULL, NAN, NAN };

	for (size_t i = 0; i < d->n; i++) {
		const struct readings *r = &d->probe[i].readings;

		if (!r->n || !slice_eq(d->probe[i].source, SLICE("probe")))
			continue;
		if (!found.probe || (wettest ? r->v[r->n - 1].mc > found.mc : r->v[r->n - 1].mc < found.mc))
			found = (struct last_reading){ &d->probe[i], r->v[r->n - 1].mc, r->v[r->n - 1].day };
	}
	return found;
}

static void say_probe(struct buf *b, const char *which, struct last_reading r)
{
	buf_printf(b, "%s probe, %.*s, ", which, (int)r.probe->name.n, r.probe->name.p);
	say_number(b, r.mc, 1);
	buf_str(b, " %");
}

static void say_ready(struct buf *b, const struct outlook *o)
{
	buf_str(b, "; ready about ");
	say_day_year(b, o->on);
	if (isnan(o->from_90))
		return;
	buf_str(b, " (90 %: ");
	say_day(b, o->from_90);
	buf_str(b, isnan(o->to_90) ? " or later" : " to ");
	say_day(b, o->to_90);
	buf_char(b, ')');
}

static void say_finding(struct buf *b, const struct drying *d)
{
	struct last_reading wet = extreme(d, true), dry = extreme(d, false);

	if (b->n)
		buf_str(b, ". ");
	buf_add(b, d->charge);
	if (!wet.probe) {
		buf_str(b, ": no probe was read");
		return;
	}
	buf_str(b, ": ");
	say_probe(b, "wettest", wet);
	buf_str(b, ", ");
	say_probe(b, "driest", dry);
	buf_str(b, " on ");
	if (isnan(d->ready.on))
		say_day_year(b, wet.day);
	else
		say_day(b, wet.day);
	if (!isnan(d->ready.on))
		say_ready(b, &d->ready);
}

static void say_more(struct buf *b, const struct drying *d)
{
	buf_char(b, ' ');
	buf_printf(b, "Moisture of %zu places of charge %.*s over time", d->n, (int)d->charge.n, d->charge.p);
	if (isfinite(d->high)) {
		buf_str(b, ", with the band of ");
		say_number(b, d->low, 1);
		buf_str(b, " to ");
		say_number(b, d->high, 1);
		buf_str(b, " % in which it is ready");
	}
	buf_str(b, d->air.n ? ", and the moisture at which wood equilibrates in the kiln's air." : ".");
}

/* ---- the panel */

static struct look probe_look(size_t i)
{
	static const struct look looks[] = {
		{ TONE_INK, DASH_NONE, PATTERN_NONE, SIGN_ROUND, 1.3 }, { TONE_WATER, DASH_LONG, PATTERN_NONE, SIGN_SQUARE, 1.3 },
		{ TONE_BARK, DASH_SHORT, PATTERN_NONE, SIGN_DIAMOND, 1.3 }, { TONE_PLUM, DASH_DOT, PATTERN_NONE, SIGN_RING, 1.3 },
		{ TONE_WILLOW, DASH_MIXED, PATTERN_NONE, SIGN_CROSS, 1.3 }, { TONE_SOFT, DASH_NONE, PATTERN_NONE, SIGN_BAR, 1.3 },
	};

	return looks[i % (sizeof looks / sizeof *looks)];
}

/* A gap: more than 2.5 times as long as half of the steps are, and longer than 3 days. */
static double longest_step(const struct readings *r)
{
	double *step = mem_array(r->n + 1, sizeof *step), middle;
	size_t n = 0;

	for (size_t i = 1; i < r->n; i++) {
		double d = r->v[i].day - r->v[i - 1].day;
		size_t k = n++;

		for (; k && step[k - 1] > d; k--)
			step[k] = step[k - 1];
		step[k] = d;
	}
	middle = n ? step[n / 2] : 0;
	free(step);
	return fmax(3, 2.5 * middle);
}

static void draw_run(struct scene *s, const struct frame *f, const struct readings *r, struct look look, bool steps)
{
	struct point *p = mem_array(2 * r->n + 2, sizeof *p);
	double gap = longest_step(r);
	size_t n = 0;

	for (size_t i = 0; i < r->n; i++) {
		struct point at = { scale_at(&f->x, r->v[i].day), scale_at(&f->y, r->v[i].mc) };

		if (n && r->v[i].day - r->v[i - 1].day > gap) {
			scene_line(s, look, p, n);
			n = 0;
		} else if (n && steps) {
			p[n] = (struct point){ at.x, p[n - 1].y };
			n++;
		}
		p[n++] = at;
	}
	scene_line(s, look, p, n);
	free(p);
}

static void draw_signs(struct scene *s, const struct frame *f, const struct probe *probe, struct look look)
{
	static const enum sign censored[] = { SIGN_ROUND, SIGN_UP, SIGN_DOWN };

	for (size_t i = 0; i < probe->readings.n; i++) {
		const struct reading *r = &probe->readings.v[i];
		struct look sign = look;

		sign.width = 6;
		if (r->censor != AT)
			sign.sign = censored[r->censor];
		scene_sign(s, sign, scale_at(&f->x, r->day), scale_at(&f->y, r->mc));
	}
}

/* "b 14.0" beside the last reading, in the line about y. */
static void label_probe(struct scene *s, const struct frame *f, const struct probe *probe, struct look look, double y)
{
	const struct reading *last = &probe->readings.v[probe->readings.n - 1];
	struct buf text = BUF_INIT;

	buf_add(&text, probe->name.n ? probe->name : probe->source);
	buf_char(&text, ' ');
	say_number(&text, last->mc, 1);
	scene_label(s, (struct label){ scale_at(&f->x, last->day) + 8, y, 1, TEXT_SMALL, look.tone, 120, 20, false }, buf_slice(&text));
	buf_release(&text);
}

static double last_mc(const struct probe *probe)
{
	return probe->readings.v[probe->readings.n - 1].mc;
}

/* From the wettest to the driest, so that labels that are moved keep that order. */
static void label_probes(struct scene *s, const struct frame *f, const struct drying *d)
{
	size_t *order = mem_array(d->n, sizeof *order);
	double y = -INFINITY;

	for (size_t i = 0; i < d->n; i++) {
		size_t k = i;

		for (; k && last_mc(&d->probe[order[k - 1]]) < last_mc(&d->probe[i]); k--)
			order[k] = order[k - 1];
		order[k] = i;
	}
	for (size_t i = 0; i < d->n; i++) {
		y = fmax(y + scene_line_height(s, TEXT_SMALL), scale_at(&f->y, last_mc(&d->probe[order[i]])));
		label_probe(s, f, &d->probe[order[i]], probe_look(order[i]), y);
	}
	free(order);
}

static void draw_probes(struct scene *s, const struct frame *f, const struct drying *d)
{
	for (size_t i = 0; i < d->n; i++) {
		struct look look = probe_look(i);

		if (slice_eq(d->probe[i].source, SLICE("probe")))
			draw_run(s, f, &d->probe[i].readings, look, false);
		draw_signs(s, f, &d->probe[i], look);
	}
	label_probes(s, f, d);
}

/* What a probe had at a moment between two of its readings; NAN outside of them. */
static double mc_at(const struct readings *r, double day)
{
	for (size_t i = 0; i < r->n; i++) {
		if (fabs(r->v[i].day - day) < 1e-9)
			return r->v[i].mc;
		if (i && r->v[i - 1].day < day && day < r->v[i].day)
			return r->v[i - 1].mc + (r->v[i].mc - r->v[i - 1].mc) * (day - r->v[i - 1].day) / (r->v[i].day - r->v[i - 1].day);
	}
	return NAN;
}

static bool spread_at(const struct drying *d, double day, double *least, double *most)
{
	size_t n = 0;

	*least = INFINITY;
	*most = -INFINITY;
	for (size_t i = 0; i < d->n; i++) {
		double mc = slice_eq(d->probe[i].source, SLICE("probe")) ? mc_at(&d->probe[i].readings, day) : NAN;

		if (isnan(mc))
			continue;
		*least = fmin(*least, mc);
		*most = fmax(*most, mc);
		n++;
	}
	return n > 1;
}

/* From the wettest to the driest probe, at each moment at which one was read. */
static void draw_spread(struct scene *s, const struct frame *f, const struct drying *d)
{
	struct readings days = { 0 };
	struct point *p;
	size_t n = 0, kept = 0;

	for (size_t i = 0; i < d->n; i++)
		for (size_t k = 0; k < d->probe[i].readings.n; k++)
			add_reading(&days, d->probe[i].readings.v[k]);
	sort_readings(&days);
	p = mem_array(2 * days.n + 1, sizeof *p);
	for (size_t i = 0; i < days.n; i++) {
		double least, most;

		if ((i && days.v[i].day - days.v[i - 1].day < 1e-9) || !spread_at(d, days.v[i].day, &least, &most))
			continue;
		p[n++] = (struct point){ scale_at(&f->x, days.v[i].day), scale_at(&f->y, most) };
		days.v[kept++] = (struct reading){ days.v[i].day, least, AT };
	}
	for (size_t i = kept; i-- > 0;)
		p[n++] = (struct point){ scale_at(&f->x, days.v[i].day), scale_at(&f->y, days.v[i].mc) };
	scene_area(s, (struct look){ .tone = TONE_WATER, .pattern = PATTERN_PALE }, p, n);
	free(p);
	free(days.v);
}

static void draw_band(struct scene *s, const struct frame *f, const struct drying *d)
{
	struct buf text = BUF_INIT;
	double low = scale_at(&f->y, d->low), high = scale_at(&f->y, d->high);

	if (!isfinite(d->low) || !isfinite(d->high))
		return;
	scene_rect(s, (struct look){ .tone = TONE_BAND, .pattern = PATTERN_FULL }, f->left, high, f->right - f->left, low - high);
	scene_segment(s, (struct look){ .tone = TONE_BARK, .dash = DASH_MIXED, .width = 1.2 }, f->left, low, f->right, low);
	buf_str(&text, "floor ");
	say_number(&text, d->low, 1);
	scene_label(s, (struct label){ f->left + 4, low + scene_line_height(s, TEXT_SMALL) / 2 + 1, 1, TEXT_SMALL, TONE_BARK, 0, 0, true }, buf_slice(&text));
	text.n = 0;
	buf_str(&text, "ready up to ");
	say_number(&text, d->high, 1);
	scene_label(s, (struct label){ f->left + 4, high + scene_line_height(s, TEXT_SMALL) / 2 + 1, 1, TEXT_SMALL, TONE_WILLOW, 0, 0, true }, buf_slice(&text));
	buf_release(&text);
}

static void draw_wedge(struct scene *s, const struct frame *f, struct point apex, double from, double to, double level, enum pattern pattern)
{
	const struct point p[] = { apex, { scale_at(&f->x, from), level }, { scale_at(&f->x, to), level } };

	if (isfinite(from) && isfinite(to))
		scene_area(s, (struct look){ .tone = TONE_CANE, .pattern = pattern }, p, 3);
}

/* The fan goes from the wettest probe to the days on which it should come into the band; where it is in it, it lies at its level. */
static void draw_fan(struct scene *s, const struct frame *f, const struct drying *d, double end)
{
	const struct outlook *o = &d->ready;
	struct last_reading wet = extreme(d, true);
	struct point apex;
	struct buf text = BUF_INIT;
	double level;

	if (isnan(o->on) || !wet.probe)
		return;
	apex = (struct point){ scale_at(&f->x, wet.day), scale_at(&f->y, wet.mc) };
	level = isnan(d->high) ? apex.y : fmax(apex.y, scale_at(&f->y, d->high));
	draw_wedge(s, f, apex, o->from_90, isnan(o->to_90) ? end : o->to_90 + 1, level, PATTERN_PALE);
	draw_wedge(s, f, apex, o->from_50, isnan(o->to_50) ? end : o->to_50 + 1, level, PATTERN_HATCH);
	if (isfinite(o->from_90))
		scene_segment(s, (struct look){ .tone = TONE_CANE, .width = 3 }, scale_at(&f->x, o->from_90), level,
			scale_at(&f->x, isnan(o->to_90) ? end : o->to_90 + 1), level);
	scene_sign(s, (struct look){ .tone = TONE_INK, .sign = SIGN_BAR, .width = 12 }, scale_at(&f->x, o->on + 0.5), level);
	buf_str(&text, "ready ");
	say_day(&text, o->on);
	scene_label(s, (struct label){ scale_at(&f->x, o->on + 0.5), level - 20, 0, TEXT_LABEL, TONE_INK, 0, 40, false }, buf_slice(&text));
	buf_release(&text);
}

/* A line up from the first moment of each stage that was set, with its name. */
static void draw_stages(struct scene *s, const struct frame *f, const struct drying *d)
{
	struct slice before = SLICE("");

	for (size_t i = 0; d->stages && d->ready.kiln.n && i < given_rows(d->stages); i++) {
		struct slice stage = given_word(d->stages, i, "stage");
		double day = given_day(d->stages, i, "date"), x = scale_at(&f->x, day);

		if (!stage.n || slice_eq(stage, before) || !slice_eq(given_word(d->stages, i, "subject"), d->ready.kiln) ||
			!(day >= floor(d->first) && day <= d->last))
			continue;
		before = stage;
		x = fmax(x, f->left);
		scene_segment(s, (struct look){ .tone = TONE_SOFT, .dash = DASH_DOT, .width = 1 }, x, f->top, x, f->bottom);
		scene_label(s, (struct label){ x + 4, f->top + 8, 1, TEXT_SMALL, TONE_SOFT, 80, 16, false }, stage);
	}
}

static void draw_air(struct scene *s, const struct frame *f, const struct drying *d)
{
	const struct look look = { .tone = TONE_WILLOW, .width = 2 }, set = { .tone = TONE_WILLOW, .dash = DASH_SHORT, .width = 1 };

	draw_run(s, f, &d->set, set, true);
	draw_run(s, f, &d->air, look, true);
}

/* After the labels of the probes, whose places count more. */
static void label_air(struct scene *s, const struct frame *f, const struct drying *d)
{
	if (d->air.n)
		scene_label_cstr(s, (struct label){ scale_at(&f->x, d->air.v[d->air.n - 1].day) + 6, scale_at(&f->y, d->air.v[d->air.n - 1].mc), 1,
			TEXT_SMALL, TONE_WILLOW, 0, 40, true }, "EMC");
}

static double draw_panel(struct scene *s, const struct drying *d, double top)
{
	double height = scene_in_cells(s) ? 14 * SCENE_CELL_H : 260, end = d->last;
	double least = isnan(d->low) ? d->least : fmin(d->least, d->low - 0.5), most = isnan(d->high) ? d->most : fmax(d->most, d->high);
	struct frame f;

	if (isfinite(d->ready.on))
		end = fmax(end, fmax(d->ready.on, isnan(d->ready.to_90) ? d->ready.on + 5 : d->ready.to_90) + 1);
	f = frame_plot(s, top, height, isfinite(d->ready.on) ? 8 : 56, scale_days(floor(d->first), end + 0.5), scale_nice(least, most, 5), "%", true);
	draw_band(s, &f, d);
	draw_stages(s, &f, d);
	draw_fan(s, &f, d, end);
	draw_spread(s, &f, d);
	draw_air(s, &f, d);
	draw_probes(s, &f, d);
	label_air(s, &f, d);
	return f.bottom + FRAME_AXIS;
}

/* ---- the picture */

static bool has_censored(const struct drying *d)
{
	for (size_t i = 0; i < d->n; i++)
		for (size_t k = 0; k < d->probe[i].readings.n; k++)
			if (d->probe[i].readings.v[k].censor != AT)
				return true;
	return false;
}

static double draw_keys(struct scene *s, const struct drying *d, double top)
{
	struct frame_key key[6];
	size_t n = 0;

	key[n++] = (struct frame_key){ { .tone = TONE_WATER, .pattern = PATTERN_PALE }, MARK_RECT, "driest to wettest probe" };
	if (d->air.n)
		key[n++] = (struct frame_key){ { .tone = TONE_WILLOW, .width = 2 }, MARK_LINE, "EMC of the kiln's air" };
	if (d->set.n)
		key[n++] = (struct frame_key){ { .tone = TONE_WILLOW, .dash = DASH_SHORT, .width = 1 }, MARK_LINE, "EMC of the settings" };
	if (isfinite(d->ready.on)) {
		key[n++] = (struct frame_key){ { .tone = TONE_CANE, .pattern = PATTERN_HATCH }, MARK_RECT, "ready: 50 %" };
		key[n++] = (struct frame_key){ { .tone = TONE_CANE, .pattern = PATTERN_PALE }, MARK_RECT, "90 %" };
	}
	if (has_censored(d))
		key[n++] = (struct frame_key){ { .tone = TONE_INK, .sign = SIGN_UP, .width = 6 }, MARK_SIGN, "at least (off the scale)" };
	return frame_keys(s, top, key, n);
}

static double draw_charges(struct scene *s, const struct drying *d, size_t n)
{
	double y = frame_head(s, "moisture content by probe, %");

	for (size_t i = 0; i < n; i++) {
		if (n > 1)
			y = scene_words(s, scene_in_cells(s) ? 0 : SCENE_MARGIN, y, s->width - 2 * SCENE_MARGIN, TEXT_LABEL, TONE_INK, 1, d[i].charge);
		y = draw_panel(s, &d[i], y + (scene_in_cells(s) ? 0 : 6));
		y = draw_keys(s, &d[i], y) + (scene_in_cells(s) ? 0 : 10);
	}
	return y;
}

bool draw_drying(struct scene *s, const struct given *g)
{
	const struct table *t = given_need(g, CURVE_COLUMNS, CURVE_COMMAND);
	struct drying d[CHARGES_MOST] = { { .n = 0 } };
	struct given_words charges = { 0 };
	size_t n = 0;

	for (size_t i = 0; t && i < given_rows(t); i++)
		given_words_at(&charges, given_word(t, i, "charge"));
	for (size_t i = 0; i < charges.n && n < CHARGES_MOST; i++) {
		d[n].charge = charges.word[i];
		if (take_charge(&d[n], g, t)) {
			say_finding(&s->title, &d[n]);
			n++;
		} else {
			release(&d[n]);
			d[n] = (struct drying){ .n = 0 };
		}
	}
	buf_add(&s->desc, buf_slice(&s->title));
	buf_char(&s->desc, '.');
	for (size_t i = 0; i < n; i++)
		say_more(&s->desc, &d[i]);
	if (n)
		scene_set_height(s, draw_charges(s, d, n));
	for (size_t i = 0; i < n; i++)
		release(&d[i]);
	given_words_release(&charges);
	return n || (t && given_nothing(g, "the table has no reading with an mc_pct"));
}
