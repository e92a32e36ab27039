#include "chart/scene.h"

#include <math.h>
#include <stdlib.h>

#include "base/utf8.h"
#include "chart/text_width.h"

void scene_init(struct scene *s, enum picture_medium medium, double width)
{
	*s = (struct scene){ .medium = medium, .width = width, .height = INFINITY };
	s->labels.width = width;
	s->labels.height = INFINITY;
	if (scene_in_cells(s)) {
		s->labels.cell_w = SCENE_CELL_W;
		s->labels.cell_h = SCENE_CELL_H;
	}
}

void scene_release(struct scene *s)
{
	free(s->mark);
	free(s->point);
	buf_release(&s->texts);
	buf_release(&s->title);
	buf_release(&s->desc);
	labels_release(&s->labels);
}

bool scene_in_cells(const struct scene *s)
{
	return s->medium != PICTURE_SVG;
}

void scene_set_height(struct scene *s, double height)
{
	for (size_t i = 0; i < s->labels.n; i++)
		height = fmax(height, s->labels.box[i].y + s->labels.box[i].h);
	s->height = scene_in_cells(s) ? ceil(height / SCENE_CELL_H) * SCENE_CELL_H : ceil(height);
	s->labels.height = s->height;
}

/* ---- marks */

static struct mark *add(struct scene *s, enum mark_kind kind, struct look look)
{
	s->mark = mem_grow(s->mark, &s->cap, s->n + 1, sizeof *s->mark);
	s->mark[s->n] = (struct mark){ .kind = kind, .look = look, .at = s->npoints };
	return &s->mark[s->n++];
}

static bool all_finite(const struct point *p, size_t n)
{
	for (size_t i = 0; i < n; i++)
		if (!isfinite(p[i].x) || !isfinite(p[i].y))
			return false;
	return true;
}

/* What is far outside of the picture is as far outside as a number of SVG may be. */
static double within_reach(double v)
{
	const double far = 20000;

	return fmax(-far, fmin(far, v));
}

static void add_points(struct scene *s, enum mark_kind kind, struct look look, const struct point *p, size_t n)
{
	struct mark *m;

	if (!n || !all_finite(p, n))
		return;
	m = add(s, kind, look);
	m->n = n;
	s->point = mem_grow(s->point, &s->points_cap, s->npoints + n, sizeof *s->point);
	for (size_t i = 0; i < n; i++)
		s->point[s->npoints++] = (struct point){ within_reach(p[i].x), within_reach(p[i].y) };
}

void scene_line(struct scene *s, struct look look, const struct point *p, size_t n)
{
	if (n > 1)
		add_points(s, MARK_LINE, look, p, n);
}

void scene_area(struct scene *s, struct look look, const struct point *p, size_t n)
{
	if (n > 2)
		add_points(s, MARK_AREA, look, p, n);
}

void scene_segment(struct scene *s, struct look look, double x1, double y1, double x2, double y2)
{
	scene_line(s, look, (const struct point[]){ { x1, y1 }, { x2, y2 } }, 2);
}

void scene_rect(struct scene *s, struct look look, double x, double y, double w, double h)
{
	if (!all_finite((const struct point[]){ { x, y }, { w, h } }, 2))
		return;
	w = within_reach(x + w) - within_reach(x);
	h = within_reach(y + h) - within_reach(y);
	x = within_reach(x);
	y = within_reach(y);
	add(s, MARK_RECT, look)->box = (struct label_box){ w < 0 ? x + w : x, h < 0 ? y + h : y, fabs(w), fabs(h) };
}

void scene_sign(struct scene *s, struct look look, double x, double y)
{
	add_points(s, MARK_SIGN, look, (const struct point[]){ { x, y } }, 1);
}

/* ---- texts */

double scene_font_px(enum text_size size)
{
	static const double px[] = { 16, 12, 11 };

	return px[size];
}

double scene_text_width(const struct scene *s, enum text_size size, struct slice text)
{
	if (scene_in_cells(s))
		return (double)utf8_width(text) * SCENE_CELL_W;
	return text_width(text, scene_font_px(size), size == TEXT_TITLE);
}

double scene_line_height(const struct scene *s, enum text_size size)
{
	return scene_in_cells(s) ? SCENE_CELL_H : nearbyint(scene_font_px(size) * 1.25);
}

/* How many bytes of the text fit. */
static size_t fitting(const struct scene *s, enum text_size size, struct slice text, double most)
{
	size_t at = 0, n;
	uint32_t point;

	if (!scene_in_cells(s))
		return text_fitting(text, scene_font_px(size), size == TEXT_TITLE, most);
	while (at < text.n) {
		n = utf8_decode(slice_from(text, at), &point);
		n = n ? n : 1;
		if ((double)utf8_width(slice_upto(text, at + n)) * SCENE_CELL_W > most)
			break;
		at += n;
	}
	return at;
}

static const char *ellipsis(const struct scene *s)
{
	return s->medium == PICTURE_ASCII ? "~" : "…";
}

/* The text, cut with an ellipsis where it is wider than `most`; in `out`. */
static bool shorten(const struct scene *s, const struct label *l, struct slice text, double most, struct buf *out)
{
	double dots = scene_text_width(s, l->size, slice_of(ellipsis(s)));

	out->n = 0;
	if (scene_text_width(s, l->size, text) <= most) {
		buf_add(out, text);
		return out->n;
	}
	text = slice_upto(text, fitting(s, l->size, text, most - dots));
	while (text.n && text.p[text.n - 1] == ' ')
		text.n--;
	if (l->whole || !text.n)
		return false;
	buf_add(out, text);
	buf_str(out, ellipsis(s));
	return true;
}

static void add_text(struct scene *s, const struct label *l, struct label_box box, struct slice text)
{
	struct mark *m = add(s, MARK_TEXT, (struct look){ .tone = l->tone });

	m->at = s->texts.n;
	m->n = text.n;
	m->box = box;
	m->size = l->size;
	m->side = (signed char)l->side;
	buf_add(&s->texts, text);
}

/* The text as it can be shown; in ASCII what is not of it becomes a question mark a cell. */
static void add_shown(const struct scene *s, struct slice text, struct buf *out)
{
	struct buf visible = BUF_INIT;
	struct slice rest;

	utf8_add_visible(&visible, text);
	rest = buf_slice(&visible);
	for (uint32_t point; s->medium == PICTURE_ASCII && rest.n;) {
		size_t n = utf8_decode(rest, &point);

		if (n == 1)
			buf_char(out, (char)point);
		else
			buf_fill(out, '?', utf8_width(slice_upto(rest, n ? n : 1)));
		rest = slice_from(rest, n ? n : 1);
	}
	if (s->medium != PICTURE_ASCII)
		buf_add(out, rest);
	buf_release(&visible);
}

bool scene_label(struct scene *s, struct label l, struct slice text)
{
	struct buf visible = BUF_INIT, shown = BUF_INIT;
	double most = fmin(s->width, l.most > 0 ? l.most : s->width);
	struct label_box box;
	bool placed = false;

	add_shown(s, text, &visible);
	if (shorten(s, &l, buf_slice(&visible), most, &shown)) {
		box.w = scene_text_width(s, l.size, buf_slice(&shown));
		box.h = scene_line_height(s, l.size);
		box.x = l.side > 0 ? l.x : l.side < 0 ? l.x - box.w : l.x - box.w / 2;
		box.y = l.y - box.h / 2;
		placed = labels_place(&s->labels, &box, l.slide);
	}
	if (placed)
		add_text(s, &l, box, buf_slice(&shown));
	buf_release(&visible);
	buf_release(&shown);
	return placed;
}

bool scene_label_cstr(struct scene *s, struct label l, const char *text)
{
	return scene_label(s, l, slice_of(text));
}

/* How many bytes make the next line: up to the last blank that fits, or a piece of a word that is too long. */
static size_t next_line(const struct scene *s, enum text_size size, struct slice text, double most)
{
	size_t n = fitting(s, size, text, most), at = n;

	if (n == text.n || !n)
		return n ? n : text.n;
	while (at && text.p[at] != ' ')
		at--;
	return at ? at : n;
}

double scene_words(struct scene *s, double x, double y, double most, enum text_size size, enum tone tone, size_t lines, struct slice text)
{
	struct buf visible = BUF_INIT;
	double height = scene_line_height(s, size);
	struct slice rest;

	add_shown(s, text, &visible);
	rest = slice_trim(buf_slice(&visible));
	for (size_t i = 0; i < lines && rest.n; i++, y += height) {
		size_t n = i + 1 < lines ? next_line(s, size, rest, most) : rest.n;

		scene_label(s, (struct label){ x, y + height / 2, 1, size, tone, most, 0, false }, slice_upto(rest, n));
		rest = slice_trim(slice_from(rest, n));
	}
	buf_release(&visible);
	return y;
}
