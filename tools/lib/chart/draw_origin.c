#include "chart/draw.h"

#include <math.h>
#include <stdlib.h>

#include "chart/rows.h"

#define EVENT_COLUMNS "first last event part what"
#define PLACE_COLUMNS "place kiln first last days_mean emc_mean_pct"
#define SOURCE_COLUMNS "part lot supplier"
#define COMMAND "wy-trace -b ID"

enum { PLACES_MOST = 40, PARTS = 3 };

struct strip {
	const struct table *events, *places, *sources;
	double first, last;
	size_t nplaces;
};

static void take_span(struct strip *d, const struct table *t)
{
	for (size_t i = 0; t && i < given_rows(t); i++) {
		double first = given_day(t, i, "first"), last = given_day(t, i, "last");

		if (!isnan(first))
			d->first = fmin(d->first, first);
		if (!isnan(last))
			d->last = fmax(d->last, last);
	}
}

/* ---- the finding */

static void say_source(struct buf *b, const struct strip *d, const char *part, const char *called)
{
	for (size_t i = 0; d->sources && i < given_rows(d->sources); i++) {
		struct slice lot = given_word(d->sources, i, "lot"), from = given_word(d->sources, i, "supplier");

		if (!given_is(d->sources, i, "part", part))
			continue;
		buf_printf(b, "%s%s of %.*s", b->n ? ", " : "A bat: ", called, (int)lot.n, lot.p);
		if (from.n)
			buf_printf(b, " from %.*s", (int)from.n, from.p);
	}
}

static void say_event(struct buf *b, const struct strip *d, const char *event, const char *said)
{
	for (size_t i = 0; d->events && i < given_rows(d->events); i++)
		if (given_is(d->events, i, "event", event) && (strcmp(event, "make") != 0 || given_is(d->events, i, "part", "bat"))) {
			buf_printf(b, "; %s ", said);
			say_day_year(b, given_day(d->events, i, "last"));
		}
}

static void say_finding(struct scene *s, const struct strip *d)
{
	struct buf *b = &s->title;

	say_source(b, d, "cleft", "wood");
	say_source(b, d, "blade", "blade");
	say_source(b, d, "handle", "handle");
	if (!b->n)
		buf_str(b, "A bat of unknown sources");
	say_event(b, d, "make", "made");
	say_event(b, d, "sell", "sold");
	say_event(b, d, "return", "came back");
	say_event(b, d, "scrap", "culled");
	buf_add(&s->desc, buf_slice(b));
	buf_printf(&s->desc, ". Where it was in time, in %zu places, and what happened to its wood, its handle and the bat.", d->nplaces);
}

/* ---- where it was */

static struct slice place_name(const struct strip *d, size_t i, struct buf *text)
{
	struct slice kiln = given_word(d->places, i, "kiln"), place = given_word(d->places, i, "place");

	text->n = 0;
	buf_add(text, place);
	if (kiln.n)
		buf_printf(text, " in %.*s", (int)kiln.n, kiln.p);
	return buf_slice(text);
}

static void draw_place(struct scene *s, const struct rows *r, const struct frame *f, const struct strip *d, size_t i)
{
	static const struct look kiln = { .tone = TONE_CANE, .pattern = PATTERN_HATCH }, room = { .tone = TONE_WILLOW, .pattern = PATTERN_FULL };
	double first = given_day(d->places, i, "first"), last = given_day(d->places, i, "last"), x1 = scale_at(&f->x, first), x2 = scale_at(&f->x, last + 1);
	double emc = given_number(d->places, i, "emc_mean_pct"), days = given_number(d->places, i, "days_mean");
	struct buf text = BUF_INIT, mean = BUF_INIT;

	rows_name(s, r, i, place_name(d, i, &text));
	if (isnan(first) || isnan(last)) {
		buf_release(&text);
		return;
	}
	rows_part(s, r, i, given_word(d->places, i, "kiln").n ? kiln : room, x1, fmax(x2, x1 + 2), SLICE(""));
	if (!isnan(days)) {
		say_count(&mean, nearbyint(days), "day");
		if (!isnan(emc)) {
			buf_str(&mean, ", EMC ");
			say_number(&mean, emc, 1);
		}
	}
	if (!scene_label(s, (struct label){ x2 + 6, rows_middle(r, i), 1, TEXT_SMALL, TONE_SOFT, s->width - x2 - 10, 0, true }, buf_slice(&mean)))
		scene_label(s, (struct label){ x1 - 6, rows_middle(r, i), -1, TEXT_SMALL, TONE_SOFT, x1 - r->left - 10, 0, true }, buf_slice(&mean));
	buf_release(&text);
	buf_release(&mean);
}

/* ---- what happened */

static const char *const lanes[PARTS] = { "wood", "handle", "bat" };

static size_t lane_of(const struct strip *d, size_t i)
{
	if (given_is(d->events, i, "part", "handle"))
		return 1;
	return given_is(d->events, i, "part", "bat") ? 2 : 0;
}

/* Those that matter most get their labels first. */
static int rank_of(const struct strip *d, size_t i)
{
	static const char *const ranks[] = { "return", "scrap", "make", "sell", "load", "buy", "cleave", "grade", "finish" };
	int n = sizeof ranks / sizeof *ranks;

	for (int k = 0; k < n; k++)
		if (given_is(d->events, i, "event", ranks[k]))
			return k;
	return n;
}

static void label_event(struct scene *s, const struct frame *f, const struct strip *d, size_t i, double y, double slide)
{
	bool bad = rank_of(d, i) < 2;
	double x = scale_at(&f->x, given_day(d->events, i, "first"));
	struct slice event = given_word(d->events, i, "event"), what = given_word(d->events, i, "what");
	struct buf text = BUF_INIT;

	buf_add(&text, event);
	if (what.n)
		buf_printf(&text, " %.*s", (int)what.n, what.p);
	scene_label(s, (struct label){ x, y, x > s->width * 0.6 ? -1 : 1, TEXT_SMALL, bad ? TONE_BARK : TONE_INK, s->width / 3, slide, false }, buf_slice(&text));
	buf_release(&text);
}

static void draw_lane(struct scene *s, const struct frame *f, const struct strip *d, size_t lane, double top, double height)
{
	double y = top + (scene_in_cells(s) ? SCENE_CELL_H / 2.0 : 8), half = scene_line_height(s, TEXT_SMALL) / 2;

	scene_label_cstr(s, (struct label){ f->left - (scene_in_cells(s) ? SCENE_CELL_W : 8), y, -1, TEXT_LABEL, TONE_INK, 0, 0, false }, lanes[lane]);
	scene_segment(s, (struct look){ .tone = TONE_HAIR, .width = 1 }, f->left, y, f->right, y);
	for (size_t i = 0; i < given_rows(d->events); i++)
		if (lane_of(d, i) == lane)
			scene_sign(s, (struct look){ .tone = rank_of(d, i) < 2 ? TONE_BARK : TONE_INK, .sign = rank_of(d, i) < 2 ? SIGN_DIAMOND : SIGN_ROUND, .width = 7 },
				scale_at(&f->x, given_day(d->events, i, "first")), y);
	for (int rank = 0; rank < 10; rank++)
		for (size_t i = 0; i < given_rows(d->events); i++)
			if (lane_of(d, i) == lane && rank_of(d, i) == rank)
				label_event(s, f, d, i, top + height / 2 + half, height / 2 - 2 * half + 4);
}

static double draw_lanes(struct scene *s, const struct frame *f, const struct strip *d, double y)
{
	double height = scene_in_cells(s) ? 4 * SCENE_CELL_H : 62;

	for (size_t lane = 0; lane < PARTS; lane++) {
		bool any = false;

		for (size_t i = 0; i < given_rows(d->events); i++)
			any = any || lane_of(d, i) == lane;
		if (!any)
			continue;
		draw_lane(s, f, d, lane, y, height);
		y += height + (scene_in_cells(s) ? 0 : 6);
	}
	return y;
}

static void lay_out(struct scene *s, const struct strip *d)
{
	struct slice name[PLACES_MOST + 1];
	struct buf text[PLACES_MOST] = { BUF_INIT };
	double y = frame_head(s, "where it was, and what happened to it");
	struct rows r;
	struct frame f;

	for (size_t i = 0; i < d->nplaces; i++)
		name[i] = place_name(d, i, &text[i]);
	name[d->nplaces] = SLICE("handle");
	r = rows_fit(s, name, d->nplaces + 1, 0, y);
	f = (struct frame){ .left = r.left, .right = r.right - (scene_in_cells(s) ? 0 : 4), .top = y, .bottom = rows_bottom(&r, d->nplaces) };
	f.x = scale_between(scale_days(d->first, d->last + 1), f.left, f.right);
	for (size_t i = 0; i < d->nplaces; i++)
		draw_place(s, &r, &f, d, i);
	frame_rule(s, &f, scene_in_cells(s) ? 96 : 72);
	y = draw_lanes(s, &f, d, f.bottom + FRAME_AXIS + (scene_in_cells(s) ? 4 : 8));
	scene_set_height(s, y);
	for (size_t i = 0; i < d->nplaces; i++)
		buf_release(&text[i]);
}

bool draw_origin(struct scene *s, const struct given *g)
{
	struct strip d = { .events = given_need(g, EVENT_COLUMNS, COMMAND), .places = given_table(g, PLACE_COLUMNS), .sources = given_table(g, SOURCE_COLUMNS),
		.first = INFINITY, .last = -INFINITY };

	if (!d.events)
		return false;
	take_span(&d, d.events);
	take_span(&d, d.places);
	if (!(d.first <= d.last))
		return given_nothing(g, "no row has a first and a last day");
	d.nplaces = d.places ? given_rows(d.places) : 0;
	d.nplaces = d.nplaces < PLACES_MOST ? d.nplaces : PLACES_MOST;
	say_finding(s, &d);
	lay_out(s, &d);
	return true;
}
