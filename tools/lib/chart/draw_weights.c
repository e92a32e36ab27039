#include "chart/draw.h"

#include <math.h>
#include <stdlib.h>

#define COLUMNS "type from to bats low_g high_g"
#define COMMAND "wy-weigh -b --histogram"
#define OPEN_COLUMNS "order type open"
#define MASS_COLUMNS "subject mass_low_g mass_high_g"

enum { TYPES_MOST = 12, BRACKETS_MOST = 40 };

/* The range of an order that is open. */
struct bracket {
	struct slice order;
	double low, high;          /* g; infinite where it is open */
};

struct panel {
	const struct table *t;
	struct slice type;
	struct bracket bracket[BRACKETS_MOST];
	size_t n;
	double low, high, most, bats; /* of the bins; the fullest; all */
	size_t fullest;
};

static bool is_of(const struct panel *p, size_t row)
{
	return slice_eq(given_word(p->t, row, "type"), p->type) && !isnan(given_number(p->t, row, "low_g")) && !isnan(given_number(p->t, row, "high_g"));
}

static void take_bins(struct panel *p)
{
	p->low = INFINITY;
	p->high = -INFINITY;
	for (size_t i = 0; i < given_rows(p->t); i++) {
		double bats = fmax(0, given_count(p->t, i, "bats"));

		if (!is_of(p, i))
			continue;
		p->low = fmin(p->low, given_number(p->t, i, "low_g"));
		p->high = fmax(p->high, given_number(p->t, i, "high_g"));
		p->bats += bats;
		if (bats > p->most) {
			p->most = bats;
			p->fullest = i;
		}
	}
}

static void add_bracket(struct panel *p, const struct table *masses, struct slice order)
{
	for (size_t i = 0; i < p->n; i++)
		if (slice_eq(p->bracket[i].order, order))
			return;
	for (size_t i = given_rows(masses); i-- > 0;) {
		double low = given_number(masses, i, "mass_low_g"), high = given_number(masses, i, "mass_high_g");

		if (!slice_eq(given_word(masses, i, "subject"), order))
			continue;
		if (p->n < BRACKETS_MOST && (!isnan(low) || !isnan(high)))
			p->bracket[p->n++] = (struct bracket){ order, isnan(low) ? -INFINITY : low, isnan(high) ? INFINITY : high };
		return;                /* the last line of an order counts */
	}
}

static void take_orders(struct panel *p, const struct given *g)
{
	const struct table *open = given_table(g, OPEN_COLUMNS), *masses = given_table(g, MASS_COLUMNS);

	for (size_t i = 0; open && masses && i < given_rows(open); i++)
		if (slice_eq(given_word(open, i, "type"), p->type) && given_count(open, i, "open") > 0)
			add_bracket(p, masses, given_word(open, i, "order"));
	for (size_t i = 0; i < p->n; i++) {
		p->low = fmin(p->low, isfinite(p->bracket[i].low) ? p->bracket[i].low : p->low);
		p->high = fmax(p->high, isfinite(p->bracket[i].high) ? p->bracket[i].high : p->high);
	}
}

/* How many bats a bracket holds: those of whole bins that lie in it. */
static double bats_in(const struct panel *p, const struct bracket *b)
{
	double n = 0;

	for (size_t i = 0; i < given_rows(p->t); i++)
		if (is_of(p, i) && given_number(p->t, i, "low_g") >= b->low - 1 && given_number(p->t, i, "high_g") <= b->high + 1)
			n += fmax(0, given_count(p->t, i, "bats"));
	return n;
}

static void say_panel(struct buf *b, const struct panel *p)
{
	struct slice from = given_word(p->t, p->fullest, "from"), to = given_word(p->t, p->fullest, "to");

	buf_printf(b, "%s%.*s: ", b->n ? "; " : "", (int)p->type.n, p->type.p);
	say_count(b, p->bats, "bat");
	if (p->most > 0)
		buf_printf(b, ", most %.*s to %.*s", (int)from.n, from.p, (int)to.n, to.p);
}

/* ---- the picture */

static void draw_bins(struct scene *s, const struct frame *f, const struct panel *p)
{
	struct buf text = BUF_INIT;
	double last = -INFINITY;

	for (size_t i = 0; i < given_rows(p->t); i++) {
		double x1, x2, n = fmax(0, given_count(p->t, i, "bats")), y = scale_at(&f->y, n);

		if (!is_of(p, i))
			continue;
		x1 = scale_at(&f->x, given_number(p->t, i, "low_g"));
		x2 = scale_at(&f->x, given_number(p->t, i, "high_g"));
		scene_rect(s, (struct look){ .tone = TONE_WILLOW, .pattern = PATTERN_FULL }, x1 + 0.5, y, x2 - x1 - 1, f->bottom - y);
		text.n = 0;
		say_whole(&text, n);
		if (n > 0)
			scene_label(s, (struct label){ (x1 + x2) / 2, y - 8, 0, TEXT_SMALL, TONE_INK, 0, 0, true }, buf_slice(&text));
		if (x1 - last > 52 && scene_label(s, (struct label){ x1, f->bottom + (scene_in_cells(s) ? 24 : 14), 0, TEXT_SMALL, TONE_SOFT, 0, 0, true }, given_word(p->t, i, "from"))) {
			last = x1;
			if (!scene_in_cells(s))
				scene_segment(s, (struct look){ .tone = TONE_SOFT, .width = 1.2 }, x1, f->bottom, x1, f->bottom + 6);
		}
	}
	buf_release(&text);
}

static void draw_bracket(struct scene *s, const struct frame *f, const struct panel *p, size_t i, double y)
{
	const struct bracket *b = &p->bracket[i];
	const struct look look = { .tone = TONE_PLUM, .width = 1.6 };
	double x1 = isfinite(b->low) ? scale_at(&f->x, b->low) : f->left, x2 = isfinite(b->high) ? scale_at(&f->x, b->high) : f->right, half;
	struct buf text = BUF_INIT;

	if (isfinite(b->low))
		scene_segment(s, look, x1, y - 4, x1, y + 4);
	if (isfinite(b->high))
		scene_segment(s, look, x2, y - 4, x2, y + 4);
	buf_add(&text, b->order);
	buf_str(&text, ": ");
	say_count(&text, bats_in(p, b), "bat");
	buf_str(&text, " so far");
	half = scene_text_width(s, TEXT_SMALL, buf_slice(&text)) / 2 + 6;
	if (x2 - x1 < 2 * half || !scene_label(s, (struct label){ (x1 + x2) / 2, y, 0, TEXT_SMALL, TONE_PLUM, 0, 0, true }, buf_slice(&text)))
		half = 0;
	scene_segment(s, look, x1, y, (x1 + x2) / 2 - half, y);
	scene_segment(s, look, (x1 + x2) / 2 + half, y, x2, y);
	buf_release(&text);
}

static double draw_panel(struct scene *s, const struct panel *p, double top)
{
	double pitch = scene_in_cells(s) ? SCENE_CELL_H : 17, head = (double)p->n * pitch;
	struct frame f = frame_row(s, scene_in_cells(s) ? 3 * SCENE_CELL_W : SCENE_MARGIN + 12, top + head + 16, scene_in_cells(s) ? 6 * SCENE_CELL_H : 84, 8,
		scale_days(0, 0));

	f.x = scale_between((struct scale){ .from = p->low, .to = p->high }, f.left, f.right);
	f.y = scale_between((struct scale){ .from = 0, .to = fmax(1, p->most) }, f.bottom, f.top);
	scene_label(s, (struct label){ f.left, top - 8, 1, TEXT_LABEL, TONE_INK, 0, 0, false }, p->type);
	for (size_t i = 0; i < p->n; i++)
		draw_bracket(s, &f, p, i, top + pitch * ((double)i + 0.5));
	draw_bins(s, &f, p);
	scene_segment(s, (struct look){ .tone = TONE_SOFT, .width = 1.2 }, f.left, f.bottom, f.right, f.bottom);
	return f.bottom + (scene_in_cells(s) ? 3 * SCENE_CELL_H : 44);
}

bool draw_weights(struct scene *s, const struct given *g)
{
	const struct table *t = given_need(g, COLUMNS, COMMAND);
	struct panel *p = mem_zeroed(TYPES_MOST, sizeof *p);
	struct given_words types = { 0 };
	size_t n = 0, brackets = 0;
	double y;

	for (size_t i = 0; t && i < given_rows(t); i++)
		given_words_at(&types, given_word(t, i, "type"));
	for (size_t i = 0; i < types.n && n < TYPES_MOST; i++) {
		p[n] = (struct panel){ .t = t, .type = types.word[i] };
		take_bins(&p[n]);
		if (!(p[n].low < p[n].high))
			continue;
		take_orders(&p[n], g);
		brackets += p[n].n;
		say_panel(&s->title, &p[n++]);
	}
	if (n) {
		buf_add(&s->desc, buf_slice(&s->title));
		buf_printf(&s->desc, ". How many finished bats weigh how much, by type%s.", brackets ? ", with the ranges that open orders ask for" : "");
		y = frame_head(s, brackets ? "finished bats by mass; brackets: what the open orders ask for" : "finished bats by mass; no open order here asks for a mass");
		for (size_t i = 0; i < n; i++)
			y = draw_panel(s, &p[i], y + (scene_in_cells(s) ? SCENE_CELL_H : 12));
		scene_set_height(s, y - (scene_in_cells(s) ? SCENE_CELL_H : 10));
	}
	free(p);
	given_words_release(&types);
	return n || (t && given_nothing(g, "the table has no bin with its mass"));
}
