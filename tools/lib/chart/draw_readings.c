#include "chart/draw.h"

#include <math.h>
#include <stdlib.h>

#include "time/calendar.h"

#define COLUMNS "place day n"
#define COMMAND "wy-air -b --timed --by place,day --place ID"

enum { PLACES_MOST = 8, MONTHS_MOST = 36, DAYS = 31 };

enum state { NOT_DUE, MISSED, PARTLY, READ, ALARM };

/* One place: a state a day from its first to its last row. */
struct place {
	const struct table *t;
	struct slice name;
	double first, last;
	unsigned char *state;
	size_t n, missed, partly, alarms;
	size_t cut;                /* months before those that are shown */
};

/* Out of its band by any of these. */
static bool is_out(const struct table *t, size_t row)
{
	return given_count(t, row, "rh_out_of_band_h") > 0 || given_count(t, row, "temp_out_of_band_h") > 0 || given_count(t, row, "emc_out_of_target_h") > 0;
}

static enum state state_of(const struct table *t, size_t row)
{
	bool gap = given_count(t, row, "rh_gap_h") > 0 || given_count(t, row, "temp_gap_h") > 0;

	if (!(given_count(t, row, "n") > 0))
		return gap || !given_has(t, "rh_gap_h") ? MISSED : NOT_DUE;
	if (is_out(t, row))
		return ALARM;
	return gap ? PARTLY : READ;
}

static int32_t month_start(double day)
{
	int year, month, date;

	day_split((int32_t)day, &year, &month, &date);
	return (int32_t)day - date + 1;
}

/* More months than can be shown are cut at the beginning. */
static void cut_start(struct place *p)
{
	int32_t from = month_start(p->last);

	for (int i = 1; i < MONTHS_MOST && from > p->first; i++)
		from = month_start(from - 1);
	if (from > p->first) {
		p->cut = 1;
		p->first = from;
	}
}

static bool take(struct place *p)
{
	p->first = INFINITY;
	p->last = -INFINITY;
	for (size_t i = 0; i < given_rows(p->t); i++)
		if (slice_eq(given_word(p->t, i, "place"), p->name) && !isnan(given_day(p->t, i, "day"))) {
			p->first = fmin(p->first, floor(given_day(p->t, i, "day")));
			p->last = fmax(p->last, floor(given_day(p->t, i, "day")));
		}
	if (!(p->first <= p->last))
		return false;
	cut_start(p);
	p->n = (size_t)(p->last - p->first) + 1;
	p->state = mem_zeroed(p->n, sizeof *p->state);
	memset(p->state, MISSED, p->n);
	for (size_t i = 0; i < given_rows(p->t); i++) {
		double at = floor(given_day(p->t, i, "day")) - p->first;

		if (slice_eq(given_word(p->t, i, "place"), p->name) && at >= 0 && at < (double)p->n)
			p->state[(size_t)at] = (unsigned char)state_of(p->t, i);
	}
	for (size_t i = 0; i < p->n; i++) {
		p->missed += p->state[i] == MISSED;
		p->partly += p->state[i] == PARTLY;
		p->alarms += p->state[i] == ALARM;
	}
	return true;
}

static void say_place(struct buf *b, const struct place *p)
{
	buf_str(b, b->n ? "; " : "");
	buf_add(b, p->name);
	buf_printf(b, ": %zu of %zu day%s missed, %zu out of band", p->missed, p->n, PLURAL(p->n, "", "s"), p->alarms);
}

/* ---- a row a month, a cell a day */

static void draw_day(struct scene *s, enum state state, double x, double y, double w, double h)
{
	static const struct look looks[] = { [NOT_DUE] = { .tone = TONE_SOFT, .sign = SIGN_ROUND, .width = 2.5 }, [MISSED] = { .tone = TONE_INK, .sign = SIGN_CROSS, .width = 7 },
		[PARTLY] = { .tone = TONE_WILLOW, .sign = SIGN_RING, .width = 7 }, [READ] = { .tone = TONE_WILLOW, .sign = SIGN_ROUND, .width = 7 },
		[ALARM] = { .tone = TONE_BARK, .sign = SIGN_SQUARE, .width = 11 } };
	struct look look = looks[state];

	look.width = fmin(look.width, state == READ ? w * 0.45 : w - 1.5);
	scene_sign(s, look, x + w / 2, y + h / 2);
}

static void draw_month(struct scene *s, const struct place *p, int32_t start, double left, double y, double w, double h)
{
	struct buf text = BUF_INIT;
	int year, month, date;

	day_split(start, &year, &month, &date);
	buf_printf(&text, "%s %d", scale_month(month), year);
	scene_label(s, (struct label){ left - (scene_in_cells(s) ? SCENE_CELL_W : 8), y + h / 2, -1, TEXT_SMALL, TONE_SOFT, 0, 0, true }, buf_slice(&text));
	for (int i = 0; i < month_length(year, month); i++) {
		double at = start + i - p->first;

		if (at >= 0 && at < (double)p->n)
			draw_day(s, (enum state)p->state[(size_t)at], left + w * i, y, w, h);
	}
	buf_release(&text);
}

static void draw_numbers(struct scene *s, double left, double y, double w)
{
	struct buf text = BUF_INIT;

	for (int i = 1; i <= DAYS; i++) {
		if (i != 1 && i % 5)
			continue;
		text.n = 0;
		buf_int(&text, i);
		scene_label(s, (struct label){ left + w * (i - 0.5), y, 0, TEXT_SMALL, TONE_SOFT, 0, 0, true }, buf_slice(&text));
	}
	buf_release(&text);
}

static double draw_place(struct scene *s, const struct place *p, double y)
{
	double margin = scene_in_cells(s) ? 0 : SCENE_MARGIN, h = scene_in_cells(s) ? SCENE_CELL_H : 17;
	double left = margin + scene_text_width(s, TEXT_SMALL, SLICE("Mmm 0000")) + (scene_in_cells(s) ? SCENE_CELL_W : 8);
	double w = fmin(20, (s->width - margin - left) / DAYS);

	if (scene_in_cells(s))
		w = w >= 2 * SCENE_CELL_W ? 2 * SCENE_CELL_W : SCENE_CELL_W;
	y = scene_words(s, margin, y, s->width - 2 * margin, TEXT_LABEL, TONE_INK, 1, p->name);
	draw_numbers(s, left, y + h / 2, w);
	for (int32_t m = month_start(p->first); m <= p->last; m = month_start(m + DAYS + 1))
		draw_month(s, p, m, left, y += h, w, h);
	return y + h + (scene_in_cells(s) ? SCENE_CELL_H : 10);
}

static void lay_out(struct scene *s, const struct place *p, size_t n)
{
	static const struct frame_key key[] = { { { .tone = TONE_WILLOW, .sign = SIGN_ROUND }, MARK_SIGN, "read" },
		{ { .tone = TONE_WILLOW, .sign = SIGN_RING }, MARK_SIGN, "read, but with a gap" }, { { .tone = TONE_INK, .sign = SIGN_CROSS }, MARK_SIGN, "missed" },
		{ { .tone = TONE_SOFT, .sign = SIGN_ROUND, .width = 2.5 }, MARK_SIGN, "not due" }, { { .tone = TONE_BARK, .sign = SIGN_SQUARE, .width = 11 }, MARK_SIGN, "out of its band" } };
	double y = frame_head(s, "readings of the air by day of the month");

	y = frame_keys(s, y, key, sizeof key / sizeof *key) + (scene_in_cells(s) ? SCENE_CELL_H : 8);
	for (size_t i = 0; i < n; i++)
		y = draw_place(s, &p[i], y);
	scene_set_height(s, y - (scene_in_cells(s) ? SCENE_CELL_H : 0));
}

bool draw_readings(struct scene *s, const struct given *g)
{
	const struct table *t = given_need(g, COLUMNS, COMMAND);
	struct place p[PLACES_MOST] = { { .n = 0 } };
	struct given_words places = { 0 };
	size_t n = 0;

	for (size_t i = 0; t && i < given_rows(t); i++)
		given_words_at(&places, given_word(t, i, "place"));
	for (size_t i = 0; i < places.n && n < PLACES_MOST; i++) {
		p[n] = (struct place){ .t = t, .name = places.word[i] };
		if (take(&p[n]))
			say_place(&s->title, &p[n++]);
	}
	if (n) {
		buf_add(&s->desc, buf_slice(&s->title));
		buf_str(&s->desc, ". A row for each month and a sign for each day: read, read with a gap, missed, not due, or out of its band.");
		lay_out(s, p, n);
	}
	for (size_t i = 0; i < n; i++)
		free(p[i].state);
	given_words_release(&places);
	return n || (t && given_nothing(g, "no row has a place and a day"));
}
