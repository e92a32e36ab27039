#include "chart/draw.h"

#include <math.h>
#include <stdlib.h>

#include "time/calendar.h"

#define COLUMNS "place day emc_mean_pct emc_min_pct emc_max_pct emc_out_of_target_h"
#define COMMAND "wy-air -b --timed --by place,day --place ID"
#define TARGET_COLUMNS "place target_low_pct target_high_pct"
#define WOOD_COLUMNS "place day mc_mean_pct driest_pct wettest_pct"

enum { DAYS_MOST = 1100 }; /* three years and a little; what was before is not shown */

struct ribbon {
	const struct table *t, *wood;
	struct slice place;
	double low, high;          /* of the target; NAN: none */
	double first, last, least, most, out_h;
	size_t others;             /* more places in the table */
};

static bool is_here(const struct ribbon *r, const struct table *t, size_t row)
{
	return slice_eq(given_word(t, row, "place"), r->place) && given_day(t, row, "day") > r->last - DAYS_MOST;
}

static void take_last(struct ribbon *r)
{
	for (size_t i = 0; i < given_rows(r->t); i++)
		if (slice_eq(given_word(r->t, i, "place"), r->place) && !isnan(given_number(r->t, i, "emc_mean_pct")))
			r->last = fmax(r->last, given_day(r->t, i, "day"));
}

static void note(struct ribbon *r, double a, double b)
{
	r->least = fmin(r->least, fmin(a, b));
	r->most = fmax(r->most, fmax(a, b));
}

static void take_air(struct ribbon *r)
{
	struct given_words places = { 0 };

	r->place = given_word(r->t, 0, "place");
	take_last(r);
	for (size_t i = 0; i < given_rows(r->t); i++) {
		double day = given_day(r->t, i, "day");

		given_words_at(&places, given_word(r->t, i, "place"));
		if (!is_here(r, r->t, i) || isnan(given_number(r->t, i, "emc_mean_pct")))
			continue;
		r->first = fmin(r->first, day);
		note(r, given_number(r->t, i, "emc_min_pct"), given_number(r->t, i, "emc_max_pct"));
		note(r, given_number(r->t, i, "emc_mean_pct"), given_number(r->t, i, "emc_mean_pct"));
		r->out_h += fmax(0, given_count(r->t, i, "emc_out_of_target_h"));
	}
	r->others = places.n - 1;
	given_words_release(&places);
}

static void take_target(struct ribbon *r, const struct table *t)
{
	r->low = r->high = NAN;
	for (size_t i = 0; t && i < given_rows(t); i++)
		if (slice_eq(given_word(t, i, "place"), r->place)) {
			r->low = given_number(t, i, "target_low_pct");
			r->high = given_number(t, i, "target_high_pct");
		}
	if (!isnan(r->low) && !isnan(r->high))
		note(r, r->low, r->high);
}

static void take_wood(struct ribbon *r)
{
	for (size_t i = 0; r->wood && i < given_rows(r->wood); i++)
		if (is_here(r, r->wood, i) && given_day(r->wood, i, "day") >= r->first && given_day(r->wood, i, "day") <= r->last)
			note(r, given_number(r->wood, i, "driest_pct"), given_number(r->wood, i, "wettest_pct"));
}

static void say_finding(struct scene *s, const struct ribbon *r)
{
	struct buf *b = &s->title;

	buf_add(b, r->place);
	if (r->out_h >= 0.5) {
		buf_str(b, " was outside its target for ");
		say_count(b, r->out_h, "hour");
	} else {
		buf_str(b, isnan(r->low) ? " has no hours outside a target" : " kept its target all the time");
	}
	buf_str(b, ", ");
	say_day_year(b, r->first);
	buf_str(b, " to ");
	say_day_year(b, r->last);
	buf_add(&s->desc, buf_slice(b));
	buf_str(&s->desc, ". The moisture at which wood equilibrates in its air by day, and the hours outside the target by month.");
}

/* ---- the ribbon */

static void draw_target(struct scene *s, const struct frame *f, const struct ribbon *r)
{
	struct buf text = BUF_INIT;
	double y = scale_at(&f->y, r->high);

	if (isnan(r->low) || isnan(r->high))
		return;
	scene_rect(s, (struct look){ .tone = TONE_BAND, .pattern = PATTERN_FULL }, f->left, y, f->right - f->left, scale_at(&f->y, r->low) - y);
	buf_str(&text, "target ");
	say_number(&text, r->low, 1);
	buf_str(&text, " to ");
	say_number(&text, r->high, 1);
	scene_label(s, (struct label){ f->left + 4, scale_at(&f->y, r->low) - 8, 1, TEXT_SMALL, TONE_WILLOW, 0, 0, true }, buf_slice(&text));
	buf_release(&text);
}

/* One stretch without a gap of more than a day: from the least to the most of each day, and the mean. */
static void draw_stretch(struct scene *s, const struct frame *f, const struct ribbon *r, const size_t *row, size_t n)
{
	struct point *area = mem_array(2 * n + 1, sizeof *area), *line = mem_array(n + 1, sizeof *line);

	for (size_t i = 0; i < n; i++) {
		double x = scale_at(&f->x, given_day(r->t, row[i], "day") + 0.5);

		line[i] = (struct point){ x, scale_at(&f->y, given_number(r->t, row[i], "emc_mean_pct")) };
		area[i] = (struct point){ x, scale_at(&f->y, given_number(r->t, row[i], "emc_max_pct")) };
		area[2 * n - 1 - i] = (struct point){ x, scale_at(&f->y, given_number(r->t, row[i], "emc_min_pct")) };
	}
	scene_area(s, (struct look){ .tone = TONE_WATER, .pattern = PATTERN_PALE }, area, 2 * n);
	scene_line(s, (struct look){ .tone = TONE_WATER, .width = 1.6 }, line, n);
	if (n == 1)
		scene_sign(s, (struct look){ .tone = TONE_WATER, .sign = SIGN_ROUND, .width = 4 }, line[0].x, line[0].y);
	free(area);
	free(line);
}

static void draw_emc(struct scene *s, const struct frame *f, const struct ribbon *r)
{
	size_t *row = mem_array(given_rows(r->t), sizeof *row), n = 0;
	double before = NAN;

	for (size_t i = 0; i < given_rows(r->t); i++) {
		double day = given_day(r->t, i, "day");

		if (!is_here(r, r->t, i) || isnan(given_number(r->t, i, "emc_mean_pct")))
			continue;
		if (n && day - before > 1.5) {
			draw_stretch(s, f, r, row, n);
			n = 0;
		}
		row[n++] = i;
		before = day;
	}
	if (n)
		draw_stretch(s, f, r, row, n);
	free(row);
}

static size_t draw_wood(struct scene *s, const struct frame *f, const struct ribbon *r)
{
	size_t n = 0;

	for (size_t i = 0; r->wood && i < given_rows(r->wood); i++) {
		double day = given_day(r->wood, i, "day"), x = scale_at(&f->x, day + 0.5);

		if (!is_here(r, r->wood, i) || day < r->first || day > r->last)
			continue;
		scene_segment(s, (struct look){ .tone = TONE_INK, .width = 1 }, x, scale_at(&f->y, given_number(r->wood, i, "driest_pct")), x,
			scale_at(&f->y, given_number(r->wood, i, "wettest_pct")));
		scene_sign(s, (struct look){ .tone = TONE_INK, .sign = SIGN_DIAMOND, .width = 6 }, x, scale_at(&f->y, given_number(r->wood, i, "mc_mean_pct")));
		n++;
	}
	return n;
}

/* ---- hours by month */

static double hours_from_to(const struct ribbon *r, double from, double to)
{
	double h = 0;

	for (size_t i = 0; i < given_rows(r->t); i++)
		if (is_here(r, r->t, i) && given_day(r->t, i, "day") >= from && given_day(r->t, i, "day") < to)
			h += fmax(0, given_count(r->t, i, "emc_out_of_target_h"));
	return h;
}

static int32_t month_start(double day)
{
	int year, month, date;

	day_split((int32_t)day, &year, &month, &date);
	return (int32_t)day - date + 1;
}

static int32_t month_end(int32_t start)
{
	int year, month, date;

	day_split(start, &year, &month, &date);
	return start + month_length(year, month);
}

static void draw_month(struct scene *s, const struct frame *f, double from, double to, double hours, double most)
{
	double x1 = scale_at(&f->x, from), x2 = scale_at(&f->x, to), y = f->bottom - (f->bottom - f->top - 16) * hours / most;
	struct buf text = BUF_INIT;

	if (hours > 0)
		scene_rect(s, (struct look){ .tone = TONE_BARK, .pattern = PATTERN_HATCH }, x1 + 1, y, x2 - x1 - 2, f->bottom - y);
	say_whole(&text, hours);
	scene_label(s, (struct label){ (x1 + x2) / 2, y - 8, 0, TEXT_SMALL, hours > 0 ? TONE_BARK : TONE_SOFT, 0, 0, true }, buf_slice(&text));
	buf_release(&text);
}

static double draw_hours(struct scene *s, const struct ribbon *r, const struct frame *above, double top)
{
	double margin = scene_in_cells(s) ? 0 : SCENE_MARGIN, most = 24;
	struct frame f = { .left = above->left, .right = above->right, .x = above->x };

	top = scene_words(s, margin, top, s->width - 2 * margin, TEXT_SMALL, TONE_SOFT, 2, SLICE("hours outside the target, by month"));
	f.top = top;
	f.bottom = top + (scene_in_cells(s) ? 4 * SCENE_CELL_H : 64);
	for (int32_t m = month_start(r->first); m <= r->last; m = month_end(m))
		most = fmax(most, hours_from_to(r, m, month_end(m)));
	for (int32_t m = month_start(r->first); m <= r->last; m = month_end(m))
		draw_month(s, &f, fmax(m, r->first), fmin(month_end(m), r->last + 1), hours_from_to(r, m, month_end(m)), most);
	scene_segment(s, (struct look){ .tone = TONE_SOFT, .width = 1.2 }, f.left, f.bottom, f.right, f.bottom);
	return f.bottom + (scene_in_cells(s) ? SCENE_CELL_H : 12);
}

static void lay_out(struct scene *s, const struct ribbon *r)
{
	struct frame_key key[3] = { { { .tone = TONE_WATER, .width = 1.6 }, MARK_LINE, "EMC, mean of the day" },
		{ { .tone = TONE_WATER, .pattern = PATTERN_PALE }, MARK_RECT, "from the least to the most of the day" },
		{ { .tone = TONE_INK, .sign = SIGN_DIAMOND, .width = 6 }, MARK_SIGN, "wood that was read there, driest to wettest" } };
	double y = frame_head(s, r->others ? "EMC of the air, %; the table has more places, this is the first" : "EMC of the air, %");
	struct frame f = frame_plot(s, y, scene_in_cells(s) ? 10 * SCENE_CELL_H : 190, 8, scale_days(r->first, r->last + 1),
		scale_nice(r->least, r->most, 5), "%", true);
	size_t wood;

	draw_target(s, &f, r);
	draw_emc(s, &f, r);
	wood = draw_wood(s, &f, r);
	y = frame_keys(s, f.bottom + FRAME_AXIS, key, wood ? 3 : 2) + (scene_in_cells(s) ? 0 : 8);
	scene_set_height(s, draw_hours(s, r, &f, y));
}

bool draw_store(struct scene *s, const struct given *g)
{
	struct ribbon r = { .t = given_need(g, COLUMNS, COMMAND), .wood = given_table(g, WOOD_COLUMNS), .first = INFINITY, .last = -INFINITY,
		.least = INFINITY, .most = -INFINITY };

	if (!r.t)
		return false;
	take_air(&r);
	if (!(r.first <= r.last))
		return given_nothing(g, "the first place of the table has no EMC");
	take_target(&r, given_table(g, TARGET_COLUMNS));
	take_wood(&r);
	say_finding(s, &r);
	lay_out(s, &r);
	return true;
}
