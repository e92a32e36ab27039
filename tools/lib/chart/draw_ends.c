#include "chart/draw.h"

#include <math.h>
#include <stdlib.h>

#include "math/individuals.h"

#define COLUMNS "charge verdict read_on mean_pct driest_pct wettest_pct"
#define COMMAND "wy-dry -b --all"

/* One charge that is over. */
struct end {
	struct slice charge;
	double day, mean, driest, wettest;
};

struct ends {
	struct end *v;
	size_t n;
	bool limited;
	struct individuals limits;
	double low, high;          /* of the house's band; NAN: none */
	size_t out;                /* beyond the limits */
};

static int compare(const void *a, const void *b)
{
	const struct end *x = a, *y = b;

	return x->day < y->day ? -1 : x->day > y->day ? 1 : slice_cmp(x->charge, y->charge);
}

static bool is_out(const struct ends *d, size_t i)
{
	return d->limited && (d->v[i].mean < d->limits.low || d->v[i].mean > d->limits.high);
}

static void take(struct ends *d, const struct table *t)
{
	double *mean;

	d->v = mem_array(given_rows(t), sizeof *d->v);
	d->low = d->high = NAN;
	for (size_t i = 0; i < given_rows(t); i++) {
		struct end e = { given_word(t, i, "charge"), given_day(t, i, "read_on"), given_number(t, i, "mean_pct"),
			given_number(t, i, "driest_pct"), given_number(t, i, "wettest_pct") };

		if (!given_is(t, i, "verdict", "emptied") || isnan(e.day) || isnan(e.mean))
			continue;
		d->low = isnan(d->low) ? given_number(t, i, "low_pct") : d->low;
		d->high = isnan(d->high) ? given_number(t, i, "high_pct") : d->high;
		e.driest = isnan(e.driest) ? e.mean : e.driest;
		e.wettest = isnan(e.wettest) ? e.mean : e.wettest;
		d->v[d->n++] = e;
	}
	qsort(d->v, d->n, sizeof *d->v, compare);
	mean = mem_array(d->n, sizeof *mean);
	for (size_t i = 0; i < d->n; i++)
		mean[i] = d->v[i].mean;
	d->limited = individuals_of(mean, d->n, &d->limits);
	for (size_t i = 0; i < d->n; i++)
		d->out += is_out(d, i);
	free(mean);
}

static void say_finding(struct scene *s, const struct ends *d)
{
	struct buf *b = &s->title;
	bool first = true;

	if (!d->limited) {
		buf_printf(b, "%zu charge%s ended; fewer than %d show no usual range", d->n, PLURAL(d->n, "", "s"), INDIVIDUALS_LEAST);
	} else {
		buf_str(b, "Charges end at ");
		say_number(b, d->limits.centre, 1);
		buf_str(b, " %, usually ");
		say_number(b, d->limits.low, 1);
		buf_str(b, " to ");
		say_number(b, d->limits.high, 1);
		buf_printf(b, " %%; %s", d->out ? "outside: " : "none of ");
		if (!d->out)
			buf_printf(b, "%zu is outside", d->n);
	}
	for (size_t i = 0; i < d->n; i++)
		if (is_out(d, i)) {
			buf_str(b, first ? "" : ", ");
			buf_add(b, d->v[i].charge);
			first = false;
		}
	buf_add(&s->desc, buf_slice(b));
	buf_printf(&s->desc, ". The mean of the probes at the end of each of %zu charges, with the driest and the wettest one, in order of time.", d->n);
}

static void draw_limit(struct scene *s, const struct frame *f, double v, const char *name, bool centre)
{
	struct buf text = BUF_INIT;
	double y = scale_at(&f->y, v);

	scene_segment(s, (struct look){ .tone = TONE_PLUM, .dash = centre ? DASH_NONE : DASH_LONG, .width = 1.2 }, f->left, y, f->right, y);
	buf_printf(&text, "%s ", name);
	say_number(&text, v, 2);
	scene_label(s, (struct label){ f->right + 6, y, 1, TEXT_SMALL, TONE_PLUM, s->width - f->right - 6, 30, false }, buf_slice(&text));
	buf_release(&text);
}

/* For the words of a limit, such as "high 10.15", beside the plot. */
static double limit_space(const struct scene *s)
{
	return fmax(80, scene_text_width(s, TEXT_SMALL, SLICE("mean 10.15")) + 16);
}

static void draw_band(struct scene *s, const struct frame *f, const struct ends *d)
{
	if (isnan(d->low) || isnan(d->high))
		return;
	scene_rect(s, (struct look){ .tone = TONE_BAND, .pattern = PATTERN_FULL }, f->left, scale_at(&f->y, d->high), f->right - f->left,
		scale_at(&f->y, d->low) - scale_at(&f->y, d->high));
}

static void draw_end(struct scene *s, const struct frame *f, const struct ends *d, size_t i, double x)
{
	const struct end *e = &d->v[i];
	double y = scale_at(&f->y, e->mean);
	bool out = is_out(d, i);

	scene_segment(s, (struct look){ .tone = TONE_SOFT, .width = 1 }, x, scale_at(&f->y, e->driest), x, scale_at(&f->y, e->wettest));
	scene_sign(s, (struct look){ .tone = out ? TONE_BARK : TONE_INK, .sign = out ? SIGN_DIAMOND : SIGN_ROUND, .width = out ? 10 : 7 }, x, y);
	if (out)
		scene_label(s, (struct label){ x, y - 16, 0, TEXT_SMALL, TONE_BARK, 0, 60, false }, e->charge);
}

/* Below the axis, if it is apart from the name before it, which ends at *named. */
static void name_charge(struct scene *s, const struct frame *f, struct slice charge, double x, double *named)
{
	double wide = scene_text_width(s, TEXT_SMALL, charge), half = scene_line_height(s, TEXT_SMALL) / 2;

	if (x - wide / 2 < *named + scene_text_width(s, TEXT_SMALL, SLICE(" ")))
		return;
	if (scene_label(s, (struct label){ x, f->bottom + (scene_in_cells(s) ? SCENE_CELL_H : 6) + half, 0, TEXT_SMALL, TONE_SOFT, 0, 0, true }, charge))
		*named = x + wide / 2;
}

/* Charges follow each other at even steps, for they are a row and not a time. */
static void draw_ends_all(struct scene *s, const struct frame *f, const struct ends *d)
{
	double step = (f->right - f->left) / (double)d->n, named = -INFINITY;
	struct point *p = mem_array(d->n, sizeof *p);

	for (size_t i = 0; i < d->n; i++)
		p[i] = (struct point){ f->left + step * ((double)i + 0.5), scale_at(&f->y, d->v[i].mean) };
	scene_line(s, (struct look){ .tone = TONE_SOFT, .dash = DASH_DOT, .width = 1 }, p, d->n);
	for (size_t i = 0; i < d->n; i++) {
		draw_end(s, f, d, i, p[i].x);
		name_charge(s, f, d->v[i].charge, p[i].x, &named);
	}
	scene_segment(s, (struct look){ .tone = TONE_SOFT, .width = 1.2 }, f->left, f->bottom, f->right, f->bottom);
	free(p);
}

static void lay_out(struct scene *s, const struct ends *d)
{
	static const struct frame_key key[] = { { { .tone = TONE_INK, .sign = SIGN_ROUND }, MARK_SIGN, "mean of the probes, from the driest to the wettest" },
		{ { .tone = TONE_BARK, .sign = SIGN_DIAMOND, .width = 10 }, MARK_SIGN, "outside the usual limits" },
		{ { .tone = TONE_BAND, .pattern = PATTERN_FULL }, MARK_RECT, "band of the rule of ready wood" } };
	double y = frame_head(s, "moisture content at the last reading of each charge, %"), least = INFINITY, most = -INFINITY;
	struct frame f;

	for (size_t i = 0; i < d->n; i++) {
		least = fmin(least, d->v[i].driest);
		most = fmax(most, d->v[i].wettest);
	}
	if (d->limited) {
		least = fmin(least, d->limits.low);
		most = fmax(most, d->limits.high);
	}
	if (!isnan(d->low) && !isnan(d->high)) {
		least = fmin(least, d->low);
		most = fmax(most, d->high);
	}
	f = frame_plot(s, y, scene_in_cells(s) ? 13 * SCENE_CELL_H : 230, d->limited ? limit_space(s) : 8, scale_days(0, 0), scale_nice(least, most, 5), "%", false);
	draw_band(s, &f, d);
	if (d->limited) {
		draw_limit(s, &f, d->limits.high, "high", false);
		draw_limit(s, &f, d->limits.centre, "mean", true);
		draw_limit(s, &f, d->limits.low, "low", false);
	}
	draw_ends_all(s, &f, d);
	y = frame_keys(s, f.bottom + FRAME_AXIS, key, isnan(d->low) ? 2 : 3);
	scene_set_height(s, y + (scene_in_cells(s) ? 0 : 8));
}

bool draw_ends(struct scene *s, const struct given *g)
{
	const struct table *t = given_need(g, COLUMNS, COMMAND);
	struct ends d = { .n = 0 };

	if (!t)
		return false;
	take(&d, t);
	if (d.n) {
		say_finding(s, &d);
		lay_out(s, &d);
	}
	free(d.v);
	return d.n || given_nothing(g, "no charge is over and was read");
}
