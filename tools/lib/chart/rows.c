#include "chart/rows.h"

#include <math.h>

struct rows rows_fit(const struct scene *s, const struct slice *name, size_t n, double end, double top)
{
	double widest = 0, margin = scene_in_cells(s) ? 0 : SCENE_MARGIN, gap = scene_in_cells(s) ? SCENE_CELL_W : 8;
	struct rows r = { .top = top, .pitch = scene_in_cells(s) ? SCENE_CELL_H : 26, .bar = scene_in_cells(s) ? SCENE_CELL_H : 19 };

	for (size_t i = 0; i < n; i++)
		widest = fmax(widest, scene_text_width(s, TEXT_LABEL, name[i]));
	r.left = margin + fmin(widest, s->width / 3) + gap;
	if (scene_in_cells(s))
		r.left = ceil(r.left / SCENE_CELL_W) * SCENE_CELL_W;
	r.right = s->width - margin - fmin(end, s->width / 3) - (end > 0 ? gap : 0);
	return r;
}

double rows_middle(const struct rows *r, size_t row)
{
	return r->top + r->pitch * ((double)row + 0.5);
}

double rows_bottom(const struct rows *r, size_t rows)
{
	return r->top + r->pitch * (double)rows;
}

void rows_name(struct scene *s, const struct rows *r, size_t row, struct slice name)
{
	double gap = scene_in_cells(s) ? SCENE_CELL_W : 8, margin = scene_in_cells(s) ? 0 : SCENE_MARGIN;

	scene_label(s, (struct label){ r->left - gap, rows_middle(r, row), -1, TEXT_LABEL, TONE_INK, r->left - gap - margin, 0, false }, name);
}

void rows_end(struct scene *s, const struct rows *r, size_t row, double x, struct slice text)
{
	double gap = scene_in_cells(s) ? SCENE_CELL_W : 6;

	scene_label(s, (struct label){ x + gap, rows_middle(r, row), 1, TEXT_SMALL, TONE_SOFT, s->width - x - gap, 0, false }, text);
}

/* Texts on full tones need one that is apart from it. */
static enum tone tone_on(struct look look)
{
	if (look.pattern != PATTERN_FULL)
		return TONE_INK;
	if (look.tone >= TONE_STEP3 && look.tone <= TONE_STEP5)
		return TONE_ON_LIGHT;
	return look.tone == TONE_BAND || look.tone == TONE_PAPER ? TONE_INK : look.tone >= TONE_STEP1 ? TONE_ON_DARK : TONE_PAPER;
}

/* On a terminal a blank on each side keeps it off the blocks. */
static bool part_text(struct scene *s, struct label l, struct slice text)
{
	struct buf padded = BUF_INIT;
	bool placed;

	buf_str(&padded, scene_in_cells(s) ? " " : "");
	buf_add(&padded, text);
	buf_str(&padded, scene_in_cells(s) ? " " : "");
	placed = scene_label(s, l, buf_slice(&padded));
	buf_release(&padded);
	return placed;
}

void rows_part(struct scene *s, const struct rows *r, size_t row, struct look look, double x1, double x2, struct slice texts)
{
	double y = rows_middle(r, row), gap = scene_in_cells(s) ? 0 : 6;

	if (!(x2 > x1))
		return;
	scene_rect(s, look, x1, y - r->bar / 2, x2 - x1, r->bar);
	if (!scene_in_cells(s))
		scene_segment(s, (struct look){ .tone = TONE_PAPER, .width = 1 }, x2, y - r->bar / 2, x2, y + r->bar / 2);
	while (texts.n && x2 - x1 > gap) {
		size_t n = slice_find(texts, '\t');

		if (part_text(s, (struct label){ (x1 + x2) / 2, y, 0, TEXT_SMALL, tone_on(look), x2 - x1 - gap, 0, true }, slice_upto(texts, n)))
			return;
		texts = slice_from(texts, n < texts.n ? n + 1 : n);
	}
}
