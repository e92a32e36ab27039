#include "chart/frame.h"

#include <math.h>

static double margin(const struct scene *s)
{
	return scene_in_cells(s) ? 0 : SCENE_MARGIN;
}

double frame_head(struct scene *s, const char *shown)
{
	double x = margin(s), y = scene_in_cells(s) ? 0 : 8, most = s->width - 2 * x;

	if (!s->untitled)
		y = scene_words(s, x, y, most, TEXT_TITLE, TONE_INK, 4, buf_slice(&s->title));
	if (*shown)
		y = scene_words(s, x, y + (scene_in_cells(s) ? 0 : 2), most, TEXT_SMALL, TONE_SOFT, 3, slice_of(shown));
	return y + (scene_in_cells(s) ? SCENE_CELL_H : 10);
}

/* ---- axes */

static double tick_texts_width(const struct scene *s, const struct scale_tick *tick, size_t n, const char *unit)
{
	double most = 0;

	for (size_t i = 0; i < n; i++)
		most = fmax(most, scene_text_width(s, TEXT_SMALL, slice_of(tick[i].text)));
	return most + scene_text_width(s, TEXT_SMALL, slice_of(unit)) + (*unit ? scene_text_width(s, TEXT_SMALL, SLICE(" ")) : 0);
}

/* The unit is beside the uppermost text only. */
static void value_text(struct scene *s, const struct frame *f, const struct scale_tick *tick, const char *unit)
{
	struct buf text = BUF_INIT;
	double gap = scene_in_cells(s) ? SCENE_CELL_W : 6;

	buf_str(&text, tick->text);
	if (*unit)
		buf_printf(&text, " %s", unit);
	scene_label(s, (struct label){ f->left - gap, scale_at(&f->y, tick->value), -1, TEXT_SMALL, TONE_SOFT, 0, 0, true }, buf_slice(&text));
	buf_release(&text);
}

static void value_axis(struct scene *s, const struct frame *f, const struct scale_tick *tick, size_t n, const char *unit)
{
	for (size_t i = 0; i < n; i++) {
		double y = scale_at(&f->y, tick[i].value);

		if (!scene_in_cells(s))
			scene_segment(s, (struct look){ .tone = TONE_HAIR, .width = 1 }, f->left, y, f->right, y);
		value_text(s, f, &tick[i], i + 1 == n ? unit : "");
	}
}

void frame_rule(struct scene *s, const struct frame *f, double apart)
{
	struct scale_tick tick[SCALE_TICKS_MOST];
	size_t n = scale_ticks(&f->x, apart, tick);
	const struct look edge = { .tone = TONE_SOFT, .width = 1.2 };
	double half = scene_line_height(s, TEXT_SMALL) / 2;

	scene_segment(s, edge, f->left, f->bottom, f->right, f->bottom);
	for (size_t i = 0; i < n; i++) {
		double x = scale_at(&f->x, tick[i].value);

		if (!scene_in_cells(s))
			scene_segment(s, edge, x, f->bottom, x, f->bottom + 6);
		scene_label(s, (struct label){ x, f->bottom + (scene_in_cells(s) ? SCENE_CELL_H : 9) + half, 0, TEXT_SMALL, TONE_SOFT, 0, 0, true },
			slice_of(tick[i].text));
	}
}

struct frame frame_plot(struct scene *s, double top, double height, double room, struct scale x, struct scale y, const char *unit,
	bool rule)
{
	struct scale_tick tick[SCALE_TICKS_MOST];
	size_t n = scale_ticks(&y, 0, tick);
	double wide = tick_texts_width(s, tick, n, unit);
	struct frame f = { .top = top, .bottom = top + height };

	f.left = scene_in_cells(s) ? ceil(wide / SCENE_CELL_W + 1) * SCENE_CELL_W : margin(s) + wide + 6;
	f.left = fmin(f.left, s->width / 3);
	f.right = fmax(f.left + 40, s->width - margin(s) - room);
	f.x = scale_between(x, f.left, f.right);
	f.y = scale_between(y, f.bottom, f.top);
	value_axis(s, &f, tick, n, unit);
	if (rule)
		frame_rule(s, &f, scene_in_cells(s) ? 96 : 72);
	return f;
}

struct frame frame_row(struct scene *s, double left, double top, double height, double room, struct scale x)
{
	struct frame f = { .left = left, .top = top, .bottom = top + height };

	f.right = fmax(f.left + 40, s->width - margin(s) - room);
	f.x = scale_between(x, f.left, f.right);
	return f;
}

/* ---- the key */

static void key_sample(struct scene *s, const struct frame_key *key, double x, double y)
{
	const double wide = scene_in_cells(s) ? 2 * SCENE_CELL_W : 22, high = scene_in_cells(s) ? SCENE_CELL_H : 10;

	if (key->kind == MARK_LINE)
		scene_segment(s, key->look, x, y, x + wide, y);
	else if (key->kind == MARK_SIGN)
		scene_sign(s, key->look, x + wide / 2, y);
	else
		scene_rect(s, key->look, x, y - high / 2, wide, high);
}

double frame_keys(struct scene *s, double top, const struct frame_key *key, size_t n)
{
	double x = margin(s), wide = scene_in_cells(s) ? 3 * SCENE_CELL_W : 28, height = scene_in_cells(s) ? SCENE_CELL_H : 18;
	double most = s->width - margin(s);

	for (size_t i = 0; i < n; i++) {
		double text = scene_text_width(s, TEXT_SMALL, slice_of(key[i].text));

		if (x > margin(s) && x + wide + text > most) {
			x = margin(s);
			top += height;
		}
		if (scene_label_cstr(s, (struct label){ x + wide, top + height / 2, 1, TEXT_SMALL, TONE_SOFT, most - x - wide, 0, false }, key[i].text))
			key_sample(s, &key[i], x, top + height / 2);
		x += wide + text + (scene_in_cells(s) ? 2 * SCENE_CELL_W : 16);
	}
	return top + (n ? height : 0);
}
