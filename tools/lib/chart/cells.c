#include "chart/cells.h"

#include <math.h>
#include <stdlib.h>

#include "base/utf8.h"
#include "chart/scene.h"

enum { DOT_PX = 4, DOTS_W = 2, DOTS_H = 4 };

struct cell {
	unsigned char dots;        /* of braille, or in ASCII whether a line goes through */
	char slope;                /* of the line in ASCII: - | / \ */
	const char *area, *sign;   /* NULL: none */
	struct slice text;
	bool covered;              /* by a text that begins to the left */
};

struct canvas {
	const struct scene *s;
	bool ascii;
	int w, h;
	struct cell *cell;
};

static struct cell *cell_at(const struct canvas *c, int x, int y)
{
	return x < 0 || y < 0 || x >= c->w || y >= c->h ? NULL : &c->cell[y * c->w + x];
}

/* ---- areas */

static const char *const blocks_right[] = { " ", "▏", "▎", "▍", "▌", "▋", "▊", "▉", "█" };
static const char *const blocks_up[] = { " ", "▁", "▂", "▃", "▄", "▅", "▆", "▇", "█" };

static const char *area_glyph(const struct canvas *c, const struct look *look)
{
	static const char *const steps[] = { "█", "▓", "▒", "░", "·" }, *const steps_ascii[] = { "#", "%", "=", "-", "." };
	static const char *const patterns[] = { NULL, "█", "░", "╱", "╳", ":" }, *const patterns_ascii[] = { NULL, "#", ":", "/", "x", ":" };

	if (look->pattern == PATTERN_FULL && look->tone == TONE_BAND)
		return c->ascii ? "." : "·";
	if (look->pattern == PATTERN_FULL && look->tone == TONE_PAPER)
		return NULL;
	if (look->pattern == PATTERN_FULL && look->tone >= TONE_STEP1 && look->tone <= TONE_STEP5)
		return (c->ascii ? steps_ascii : steps)[look->tone - TONE_STEP1];
	return (c->ascii ? patterns_ascii : patterns)[look->pattern];
}

/* How much of [at, at + size) lies in [from, to). */
static double share_in(double at, double size, double from, double to)
{
	return fmax(0, fmin(at + size, to) - fmax(at, from)) / size;
}

/* The glyph of a cell of which the rectangle covers so much; a bar's end is a part of a block. */
static const char *rect_glyph(const struct canvas *c, const struct look *look, double across, double down)
{
	bool solid = look->pattern == PATTERN_FULL && look->tone != TONE_BAND && !c->ascii && (look->tone < TONE_STEP1 || look->tone == TONE_STEP1);

	if (solid && down >= 0.5 && across < 1)
		return across < 0.0625 ? NULL : blocks_right[(int)nearbyint(across * 8)];
	if (solid && across >= 0.5 && down < 0.5)
		return down < 0.0625 ? NULL : blocks_up[(int)nearbyint(down * 8)];
	return across >= 0.5 && down >= 0.5 ? area_glyph(c, look) : NULL;
}

static void draw_rect(struct canvas *c, const struct mark *m)
{
	const struct label_box *b = &m->box;
	int x1 = (int)fmax(0, floor(b->x / SCENE_CELL_W)), x2 = (int)fmin(c->w, ceil((b->x + b->w) / SCENE_CELL_W));
	int y1 = (int)fmax(0, floor(b->y / SCENE_CELL_H)), y2 = (int)fmin(c->h, ceil((b->y + b->h) / SCENE_CELL_H));

	for (int y = y1; y < y2; y++)
		for (int x = x1; x < x2; x++) {
			struct cell *cell = cell_at(c, x, y);
			const char *glyph = rect_glyph(c, &m->look, share_in(x * SCENE_CELL_W, SCENE_CELL_W, b->x, b->x + b->w),
				share_in(y * SCENE_CELL_H, SCENE_CELL_H, b->y, b->y + b->h));

			if (cell && glyph)
				cell->area = glyph;
		}
}

static bool is_inside(const struct point *p, size_t n, double x, double y)
{
	bool inside = false;

	for (size_t i = 0, k = n - 1; i < n; k = i++)
		if ((p[i].y > y) != (p[k].y > y) && x < (p[k].x - p[i].x) * (y - p[i].y) / (p[k].y - p[i].y) + p[i].x)
			inside = !inside;
	return inside;
}

static void draw_area(struct canvas *c, const struct mark *m)
{
	const struct point *p = c->s->point + m->at;
	const char *glyph = area_glyph(c, &m->look);

	for (int y = 0; y < c->h; y++)
		for (int x = 0; x < c->w; x++)
			if (glyph && is_inside(p, m->n, (x + 0.5) * SCENE_CELL_W, (y + 0.5) * SCENE_CELL_H))
				cell_at(c, x, y)->area = glyph;
}

/* ---- lines */

static void dot(struct canvas *c, int x, int y, char slope)
{
	static const unsigned char bits[DOTS_H][DOTS_W] = { { 0x01, 0x08 }, { 0x02, 0x10 }, { 0x04, 0x20 }, { 0x40, 0x80 } };
	struct cell *cell = x < 0 || y < 0 ? NULL : cell_at(c, x / DOTS_W, y / DOTS_H);

	if (!cell)
		return;
	cell->dots |= bits[y % DOTS_H][x % DOTS_W];
	cell->slope = slope;
}

static bool is_on(enum dash dash, long i)
{
	static const unsigned char on[DASHES] = { 1, 4, 2, 1, 5 }, all[DASHES] = { 1, 6, 4, 3, 7 };

	return i % all[dash] < on[dash];
}

static char slope_of(double dx, double dy)
{
	if (fabs(dy) <= fabs(dx) * 0.8)
		return '-';
	return fabs(dx) <= fabs(dy) * 0.2 ? '|' : (dx > 0) == (dy > 0) ? '\\' : '/';
}

/* Dots from one point to the next, as many as the longer side has; `*i` goes on so that dashes do. */
static void draw_segment(struct canvas *c, struct point a, struct point b, enum dash dash, long *i)
{
	double dx = (b.x - a.x) / DOT_PX, dy = (b.y - a.y) / DOT_PX, steps = fmax(1, ceil(fmax(fabs(dx), fabs(dy))));

	for (double k = 0; k <= steps; k++, ++*i)
		if (is_on(dash, *i))
			dot(c, (int)floor(a.x / DOT_PX + dx * k / steps), (int)floor(a.y / DOT_PX + dy * k / steps), slope_of(dx, dy));
}

static void draw_line(struct canvas *c, const struct mark *m)
{
	long i = 0;

	for (size_t k = 1; k < m->n; k++)
		draw_segment(c, c->s->point[m->at + k - 1], c->s->point[m->at + k], m->look.dash, &i);
}

static void draw_outline(struct canvas *c, const struct mark *m)
{
	const struct label_box *b = &m->box;
	const struct point p[] = { { b->x, b->y }, { b->x + b->w, b->y }, { b->x + b->w, b->y + b->h }, { b->x, b->y + b->h }, { b->x, b->y } };
	long i = 0;

	for (size_t k = 1; k < sizeof p / sizeof *p; k++)
		draw_segment(c, p[k - 1], p[k], m->look.dash, &i);
}

/* ---- signs and texts */

static void draw_sign(struct canvas *c, const struct mark *m)
{
	static const char *const signs[SIGNS] = { "●", "■", "◆", "↑", "↓", "×", "○", "┃" };
	static const char *const signs_ascii[SIGNS] = { "o", "#", "+", "^", "v", "x", "O", "|" };
	const struct point *p = &c->s->point[m->at];
	struct cell *cell = cell_at(c, (int)floor(p->x / SCENE_CELL_W), (int)floor(p->y / SCENE_CELL_H));

	if (cell && m->look.width > 0 && m->look.width < DOT_PX)
		cell->sign = c->ascii ? "." : "·";
	else if (cell)
		cell->sign = (c->ascii ? signs_ascii : signs)[m->look.sign];
}

static void draw_text(struct canvas *c, const struct mark *m)
{
	int x = (int)nearbyint(m->box.x / SCENE_CELL_W), y = (int)nearbyint(m->box.y / SCENE_CELL_H), w = (int)nearbyint(m->box.w / SCENE_CELL_W);
	struct cell *cell = cell_at(c, x, y);

	if (!cell)
		return;
	cell->text = (struct slice){ c->s->texts.p + m->at, m->n };
	for (int i = 1; i < w; i++)
		if (cell_at(c, x + i, y))
			cell_at(c, x + i, y)->covered = true;
}

static void draw_marks(struct canvas *c)
{
	for (size_t i = 0; i < c->s->n; i++) {
		const struct mark *m = &c->s->mark[i];

		switch (m->kind) {
		case MARK_LINE: draw_line(c, m); break;
		case MARK_AREA: draw_area(c, m); break;
		case MARK_RECT: (m->look.pattern == PATTERN_NONE ? draw_outline : draw_rect)(c, m); break;
		case MARK_SIGN: draw_sign(c, m); break;
		case MARK_TEXT: draw_text(c, m); break;
		}
	}
}

/* ---- writing */

static void put_cell(const struct canvas *c, const struct cell *cell, struct buf *out)
{
	if (cell->text.n)
		buf_add(out, cell->text);
	else if (cell->covered)
		return;
	else if (cell->sign)
		buf_str(out, cell->sign);
	else if (cell->dots && c->ascii)
		buf_char(out, cell->slope);
	else if (cell->dots)
		utf8_add(out, 0x2800u + cell->dots);
	else
		buf_str(out, cell->area ? cell->area : " ");
}

static void put_row(const struct canvas *c, int y, struct buf *out)
{
	size_t from = out->n;

	for (int x = 0; x < c->w; x++)
		put_cell(c, cell_at(c, x, y), out);
	while (out->n > from && out->p[out->n - 1] == ' ')
		out->n--;
	buf_char(out, '\n');
}

void cells_write(const struct scene *s, struct buf *out)
{
	struct canvas c = { .s = s, .ascii = s->medium == PICTURE_ASCII };

	c.w = (int)(s->width / SCENE_CELL_W);
	c.h = (int)ceil(s->height / SCENE_CELL_H);
	c.cell = mem_zeroed((size_t)c.w * (size_t)c.h, sizeof *c.cell);
	draw_marks(&c);
	for (int y = 0; y < c.h; y++)
		put_row(&c, y, out);
	free(c.cell);
}
