#include "chart/svg.h"

#include <math.h>

#include "base/escape.h"
#include "chart/scene.h"
#include "table/number_text.h"

/* ---- styles */

static void css_tones(struct buf *out)
{
	for (size_t i = 0; i < TONES; i++) {
		const struct palette_tone *t = &palette[i];

		/* An unknown var() is passed over, and the plain colour before it counts. */
		buf_printf(out, ".wy-f-%s{fill:%s;fill:var(--wy-%s,%s)}", t->name, t->light, t->name, t->light);
		buf_printf(out, ".wy-s-%s{stroke:%s;stroke:var(--wy-%s,%s)}\n", t->name, t->light, t->name, t->light);
	}
}

static void css_dark(struct buf *out)
{
	buf_str(out, "@media screen and (prefers-color-scheme:dark){");
	for (size_t i = 0; i < TONES; i++) {
		const struct palette_tone *t = &palette[i];

		buf_printf(out, ".wy-f-%s{fill:var(--wy-%s,%s)}", t->name, t->name, t->dark);
		buf_printf(out, ".wy-s-%s{stroke:var(--wy-%s,%s)}", t->name, t->name, t->dark);
	}
	buf_str(out, "}\n");
}

void svg_css(struct buf *out)
{
	buf_str(out, ".wy-line{fill:none;stroke-linejoin:round;stroke-linecap:butt}\n"
		".wy-pale{fill-opacity:.28}\n"
		".wy-text{font-family:\"DejaVu Sans\",system-ui,sans-serif;paint-order:stroke;stroke-width:3px;stroke-linejoin:round}\n"
		".wy-bare{stroke:none}\n"
		".wy-title{font-size:16px;font-weight:bold}\n.wy-label{font-size:12px}\n.wy-small{font-size:11px}\n");
	css_tones(out);
	css_dark(out);
}

/* ---- numbers and names */

static void put(struct buf *out, double v)
{
	buf_real_shown(out, nearbyint(v * 10) / 10, 1);
	if (out->n > 2 && memcmp(out->p + out->n - 2, ".0", 2) == 0)
		out->n -= 2;
}

static void attribute(struct buf *out, const char *name, double v)
{
	buf_printf(out, " %s=\"", name);
	put(out, v);
	buf_char(out, '"');
}

/* U+FFFE, U+FFFF are no characters of XML. */
static void put_text(struct buf *out, struct slice text)
{
	for (uint32_t point; text.n;) {
		size_t n = utf8_decode(text, &point);

		if (!n || point == 0xfffe || point == 0xffff)
			buf_str(out, "\xef\xbf\xbd");
		else
			buf_html(out, slice_upto(text, n));
		text = slice_from(text, n ? n : 1);
	}
}

static const char *tone_name(const struct mark *m)
{
	return palette[m->look.tone].name;
}

/* ---- patterns */

static void put_pattern(struct buf *out, const char *ids, enum pattern pattern, enum tone tone)
{
	const char *name = palette[tone].name;

	buf_printf(out, "<pattern id=\"%s-p%d-%s\" patternUnits=\"userSpaceOnUse\" width=\"6\" height=\"6\">", ids, (int)pattern, name);
	buf_str(out, "<rect width=\"6\" height=\"6\" class=\"wy-f-paper\"/>");
	if (pattern == PATTERN_DOTS)
		buf_printf(out, "<circle cx=\"1.5\" cy=\"1.5\" r=\"1\" class=\"wy-f-%s\"/><circle cx=\"4.5\" cy=\"4.5\" r=\"1\" class=\"wy-f-%s\"/>", name, name);
	else
		buf_printf(out, "<path d=\"M-1 1L1 -1M0 6L6 0M5 7L7 5%s\" class=\"wy-line wy-s-%s\" stroke-width=\"1.4\"/>",
			pattern == PATTERN_CROSS ? "M-1 5L1 7M0 0L6 6M5 -1L7 1" : "", name);
	buf_str(out, "</pattern>");
}

static bool is_drawn(enum pattern pattern)
{
	return pattern == PATTERN_HATCH || pattern == PATTERN_CROSS || pattern == PATTERN_DOTS;
}

static void put_patterns(const struct scene *s, const char *ids, struct buf *out)
{
	bool used[PATTERNS][TONES] = { { false } }, any = false;

	for (size_t i = 0; i < s->n; i++)
		if ((s->mark[i].kind == MARK_RECT || s->mark[i].kind == MARK_AREA) && is_drawn(s->mark[i].look.pattern))
			used[s->mark[i].look.pattern][s->mark[i].look.tone] = any = true;
	if (!any)
		return;
	buf_str(out, "<defs>");
	for (int p = 0; p < PATTERNS; p++)
		for (int t = 0; t < TONES; t++)
			if (used[p][t])
				put_pattern(out, ids, (enum pattern)p, (enum tone)t);
	buf_str(out, "</defs>\n");
}

static void put_fill(const struct mark *m, const char *ids, struct buf *out)
{
	if (is_drawn(m->look.pattern))
		buf_printf(out, " fill=\"url(#%s-p%d-%s)\" class=\"wy-s-%s\" stroke-width=\".8\"", ids, (int)m->look.pattern, tone_name(m), tone_name(m));
	else if (m->look.pattern == PATTERN_NONE)
		buf_printf(out, " class=\"wy-line wy-s-%s\"", tone_name(m));
	else
		buf_printf(out, " class=\"wy-f-%s%s\"", tone_name(m), m->look.pattern == PATTERN_PALE ? " wy-pale" : "");
}

/* ---- marks */

static void put_path(const struct scene *s, const struct mark *m, struct buf *out)
{
	for (size_t i = 0; i < m->n; i++) {
		buf_char(out, i ? 'L' : 'M');
		put(out, s->point[m->at + i].x);
		buf_char(out, ' ');
		put(out, s->point[m->at + i].y);
	}
}

static void put_line(const struct scene *s, const struct mark *m, struct buf *out)
{
	static const char *const dashes[] = { NULL, "8 4", "4 3", "1.5 3", "8 3 1.5 3" };

	buf_printf(out, "<path class=\"wy-line wy-s-%s\"", tone_name(m));
	attribute(out, "stroke-width", m->look.width > 0 ? m->look.width : 1.5);
	if (dashes[m->look.dash])
		buf_printf(out, " stroke-dasharray=\"%s\"", dashes[m->look.dash]);
	buf_str(out, " d=\"");
	put_path(s, m, out);
	buf_str(out, "\"/>\n");
}

static void put_area(const struct scene *s, const struct mark *m, const char *ids, struct buf *out)
{
	buf_str(out, "<path");
	put_fill(m, ids, out);
	buf_str(out, " d=\"");
	put_path(s, m, out);
	buf_str(out, "Z\"/>\n");
}

static void put_rect(const struct mark *m, const char *ids, struct buf *out)
{
	buf_str(out, "<rect");
	put_fill(m, ids, out);
	attribute(out, "x", m->box.x);
	attribute(out, "y", m->box.y);
	attribute(out, "width", m->box.w);
	attribute(out, "height", m->box.h);
	buf_str(out, "/>\n");
}

/* Signs about (0, 0) with corners at 1; the scale makes them as large as they are to be. */
static void sign_path(struct buf *out, enum sign sign, double x, double y, double r)
{
	static const struct shape {
		size_t n;
		bool open;
		struct point p[8];
	} shapes[SIGNS] = {
		[SIGN_SQUARE] = { 4, false, { { -0.85, -0.85 }, { 0.85, -0.85 }, { 0.85, 0.85 }, { -0.85, 0.85 } } },
		[SIGN_DIAMOND] = { 4, false, { { 0, -1.2 }, { 1.2, 0 }, { 0, 1.2 }, { -1.2, 0 } } },
		[SIGN_UP] = { 7, false, { { 0, -2.6 }, { 1.2, -0.6 }, { 0.35, -0.6 }, { 0.35, 1 }, { -0.35, 1 }, { -0.35, -0.6 }, { -1.2, -0.6 } } },
		[SIGN_DOWN] = { 7, false, { { 0, 2.6 }, { 1.2, 0.6 }, { 0.35, 0.6 }, { 0.35, -1 }, { -0.35, -1 }, { -0.35, 0.6 }, { -1.2, 0.6 } } },
		[SIGN_CROSS] = { 4, true, { { -1, -1 }, { 1, 1 }, { -1, 1 }, { 1, -1 } } },
		[SIGN_BAR] = { 2, true, { { 0, -1.4 }, { 0, 1.4 } } },
	};
	const struct shape *shape = &shapes[sign];

	for (size_t i = 0; i < shape->n; i++) {
		buf_char(out, i && !(shape->open && i % 2 == 0) ? 'L' : 'M');
		put(out, x + shape->p[i].x * r);
		buf_char(out, ' ');
		put(out, y + shape->p[i].y * r);
	}
	if (!shape->open)
		buf_char(out, 'Z');
}

static void put_sign(const struct scene *s, const struct mark *m, struct buf *out)
{
	const struct point p = s->point[m->at];
	double r = (m->look.width > 0 ? m->look.width : 7) / 2;

	if (m->look.sign == SIGN_ROUND || m->look.sign == SIGN_RING) {
		buf_printf(out, m->look.sign == SIGN_RING ? "<circle class=\"wy-f-paper wy-s-%s\" stroke-width=\"1.5\"" : "<circle class=\"wy-f-%s\"", tone_name(m));
		attribute(out, "cx", p.x);
		attribute(out, "cy", p.y);
		attribute(out, "r", r);
		buf_str(out, "/>\n");
		return;
	}
	if (m->look.sign == SIGN_CROSS || m->look.sign == SIGN_BAR)
		buf_printf(out, "<path class=\"wy-line wy-s-%s\" stroke-width=\"1.8\" d=\"", tone_name(m));
	else
		buf_printf(out, "<path class=\"wy-f-%s\" d=\"", tone_name(m));
	sign_path(out, m->look.sign, p.x, p.y, r);
	buf_str(out, "\"/>\n");
}

/* Its baseline is where capitals are in the middle of the box. A halo of paper keeps lines off it. */
static void put_label(const struct scene *s, const struct mark *m, struct buf *out)
{
	static const char *const anchors[] = { "end", "middle", "start" };
	static const char *const sizes[] = { "title", "label", "small" };
	double x = m->side > 0 ? m->box.x : m->side < 0 ? m->box.x + m->box.w : m->box.x + m->box.w / 2;
	bool bare = m->look.tone == TONE_ON_DARK || m->look.tone == TONE_ON_LIGHT || m->look.tone == TONE_PAPER;

	buf_printf(out, "<text class=\"wy-text wy-%s wy-f-%s %s\"", sizes[m->size], tone_name(m), bare ? "wy-bare" : "wy-s-paper");
	attribute(out, "x", x);
	attribute(out, "y", m->box.y + m->box.h / 2 + scene_font_px(m->size) * 0.36);
	if (m->side <= 0)
		buf_printf(out, " text-anchor=\"%s\"", anchors[m->side + 1]);
	buf_char(out, '>');
	put_text(out, (struct slice){ s->texts.p + m->at, m->n });
	buf_str(out, "</text>\n");
}

static void put_mark(const struct scene *s, const struct mark *m, const char *ids, struct buf *out)
{
	switch (m->kind) {
	case MARK_LINE: put_line(s, m, out); break;
	case MARK_AREA: put_area(s, m, ids, out); break;
	case MARK_RECT: put_rect(m, ids, out); break;
	case MARK_SIGN: put_sign(s, m, out); break;
	case MARK_TEXT: put_label(s, m, out); break;
	}
}

static void put_head(const struct scene *s, const char *ids, bool unstyled, struct buf *out)
{
	buf_str(out, "<svg xmlns=\"http://www.w3.org/2000/svg\" class=\"wy-picture\"");
	attribute(out, "width", s->width);
	attribute(out, "height", s->height);
	buf_str(out, " viewBox=\"0 0 ");
	put(out, s->width);
	buf_char(out, ' ');
	put(out, s->height);
	buf_printf(out, "\" role=\"img\" aria-labelledby=\"%s-title %s-desc\">\n<title id=\"%s-title\">", ids, ids, ids);
	put_text(out, buf_slice(&s->title));
	buf_printf(out, "</title>\n<desc id=\"%s-desc\">", ids);
	put_text(out, buf_slice(&s->desc));
	buf_str(out, "</desc>\n");
	if (!unstyled) {
		buf_str(out, "<style>\n");
		svg_css(out);
		buf_str(out, "</style>\n");
	}
}

void svg_write(const struct scene *s, const char *ids, bool unstyled, struct buf *out)
{
	ids = ids ? ids : "wy";
	put_head(s, ids, unstyled, out);
	put_patterns(s, ids, out);
	buf_str(out, "<rect class=\"wy-f-paper\" x=\"0\" y=\"0\"");
	attribute(out, "width", s->width);
	attribute(out, "height", s->height);
	buf_str(out, "/>\n");
	for (size_t i = 0; i < s->n; i++)
		if (s->mark[i].kind != MARK_TEXT)
			put_mark(s, &s->mark[i], ids, out);
	for (size_t i = 0; i < s->n; i++)
		if (s->mark[i].kind == MARK_TEXT)
			put_mark(s, &s->mark[i], ids, out);
	buf_str(out, "</svg>\n");
}
