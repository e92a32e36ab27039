#include "chart/draw.h"

#include <math.h>
#include <stdlib.h>

#include "chart/rows.h"

#define COLUMNS "charge day after_days by_days ready_days ready_50_low_days ready_50_high_days ready_90_low_days ready_90_high_days held_90"
#define COMMAND "wy-dry -b --score --each"

enum { CHARGES_MOST = 60 };

static const double ON_DAY = 14;  /* the forecast nearest to this day of the charge is shown */

/* Of one charge; all in days after loading. */
struct outcome {
	struct slice charge;
	double day, ready, low_50, high_50, low_90, high_90, after, by;
	bool held;
};

struct cases {
	struct outcome v[CHARGES_MOST];
	size_t n, held;
	double last;
};

static struct outcome *outcome_of(struct cases *c, struct slice charge)
{
	for (size_t i = 0; i < c->n; i++)
		if (slice_eq(c->v[i].charge, charge))
			return &c->v[i];
	if (c->n == CHARGES_MOST)
		return NULL;
	c->v[c->n] = (struct outcome){ .charge = charge, .day = NAN };
	return &c->v[c->n++];
}

static void take_row(struct cases *c, const struct table *t, size_t row)
{
	double day = given_number(t, row, "day"), ready = given_number(t, row, "ready_days");
	struct outcome *at;

	if (isnan(day) || isnan(ready) || isnan(given_number(t, row, "after_days")))
		return;
	at = outcome_of(c, given_word(t, row, "charge"));
	if (!at || (!isnan(at->day) && fabs(day - ON_DAY) >= fabs(at->day - ON_DAY)))
		return;
	*at = (struct outcome){ at->charge, day, day + ready, day + given_number(t, row, "ready_50_low_days"), day + given_number(t, row, "ready_50_high_days"),
		day + given_number(t, row, "ready_90_low_days"), day + given_number(t, row, "ready_90_high_days"),
		day + given_number(t, row, "after_days"), day + given_number(t, row, "by_days"), given_count(t, row, "held_90") >= 0.5 };
}

static double finite_max(double a, double b)
{
	return isfinite(b) && b > a ? b : a;
}

static void take(struct cases *c, const struct table *t)
{
	for (size_t i = 0; i < given_rows(t); i++)
		take_row(c, t, i);
	for (size_t i = 0; i < c->n; i++) {
		const struct outcome *v = &c->v[i];

		c->held += v->held;
		c->last = finite_max(finite_max(finite_max(c->last, v->ready), v->by), v->after);
		c->last = finite_max(c->last, fmin(v->high_90, 1.5 * fmax(v->ready, v->after)));
	}
}

static void say_finding(struct scene *s, const struct cases *c)
{
	buf_printf(&s->title, "%zu of %zu charge%s got ready inside the 90 %% range of the forecast of about day %g", c->held, c->n, PLURAL(c->n, "", "s"), ON_DAY);
	buf_add(&s->desc, buf_slice(&s->title));
	buf_str(&s->desc, ". For each charge the forecast with its 50 and 90 % ranges, and the days between which the rule of ready wood began to hold.");
}

/* A range that has no end goes to the edge. */
static void draw_range(struct scene *s, const struct frame *f, double low, double high, double y, double thick, enum pattern pattern)
{
	double x1 = scale_at(&f->x, low), x2 = isnan(high) ? f->right : fmin(f->right, scale_at(&f->x, high));

	if (isfinite(low) && x2 > x1)
		scene_rect(s, (struct look){ .tone = TONE_CANE, .pattern = pattern }, x1, y - thick / 2, x2 - x1, thick);
}

static void draw_case(struct scene *s, const struct rows *r, const struct frame *f, const struct outcome *c, size_t row)
{
	double y = rows_middle(r, row), bar = r->bar, by = isnan(c->by) ? f->right : scale_at(&f->x, c->by), after = scale_at(&f->x, c->after);

	rows_name(s, r, row, c->charge);
	draw_range(s, f, c->low_90, c->high_90, y, bar, PATTERN_PALE);
	draw_range(s, f, c->low_50, c->high_50, y, bar, PATTERN_HATCH);
	scene_rect(s, (struct look){ .tone = TONE_INK, .pattern = PATTERN_FULL }, after, y + (scene_in_cells(s) ? -bar / 2 : bar / 2 - 3), fmax(2, by - after), scene_in_cells(s) ? bar : 4);
	scene_sign(s, (struct look){ .tone = TONE_BARK, .sign = SIGN_BAR, .width = bar * 0.7 }, scale_at(&f->x, c->ready), y);
	rows_end(s, r, row, r->right, c->held ? SLICE("inside") : SLICE("outside"));
}

static void lay_out(struct scene *s, const struct cases *c)
{
	static const struct frame_key key[] = { { { .tone = TONE_CANE, .pattern = PATTERN_HATCH }, MARK_RECT, "forecast: 50 %" },
		{ { .tone = TONE_CANE, .pattern = PATTERN_PALE }, MARK_RECT, "90 %" },
		{ { .tone = TONE_BARK, .sign = SIGN_BAR, .width = 12 }, MARK_SIGN, "its middle" },
		{ { .tone = TONE_INK, .width = 4 }, MARK_LINE, "happened between these days" } };
	struct slice name[CHARGES_MOST];
	double y = frame_head(s, "days after loading until the wood is ready");
	struct rows r;
	struct frame f;

	for (size_t i = 0; i < c->n; i++)
		name[i] = c->v[i].charge;
	y = frame_keys(s, y, key, sizeof key / sizeof *key) + (scene_in_cells(s) ? 0 : 6);
	r = rows_fit(s, name, c->n, scene_text_width(s, TEXT_SMALL, SLICE("outside")), y);
	r.pitch = scene_in_cells(s) ? SCENE_CELL_H : 22;
	r.bar = scene_in_cells(s) ? SCENE_CELL_H : 15;
	f = (struct frame){ .left = r.left, .right = r.right, .top = y, .bottom = rows_bottom(&r, c->n) + (scene_in_cells(s) ? 0 : 4) };
	f.x = scale_between(scale_nice(0, c->last, 6), r.left, r.right);
	for (size_t i = 0; i < c->n; i++)
		draw_case(s, &r, &f, &c->v[i], i);
	frame_rule(s, &f, 40);
	scene_set_height(s, f.bottom + FRAME_AXIS + (scene_in_cells(s) ? 0 : 4));
}

bool draw_forecasts(struct scene *s, const struct given *g)
{
	const struct table *t = given_need(g, COLUMNS, COMMAND);
	struct cases *c = mem_zeroed(1, sizeof *c);
	bool any = false;

	if (t) {
		take(c, t);
		any = c->n;
	}
	if (any) {
		say_finding(s, c);
		lay_out(s, c);
	}
	free(c);
	return any || (t && given_nothing(g, "the table has no forecast of a charge that ended"));
}
