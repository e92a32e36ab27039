#include "chart/draw.h"

#include <math.h>
#include <stdlib.h>

#define COLUMNS "form type grade class open in_stock short"
#define COMMAND "wy-stock -b --orders"
#define FREE_COLUMNS "form type there"    /* wy-stock --free */
#define STOCK_COLUMNS "form type count"   /* wy-stock --by form,type,grade */

enum { FORMS_MOST = 6, KINDS_MOST = 40 };

/* A matrix: types by grades, or by weight classes where the orders ask for these. */
struct matrix {
	const struct table *orders, *stock; /* stock: NULL for none */
	const char *there;         /* the column of the stock */
	const char *column;        /* grade or class */
	struct slice form;
	struct given_words types, kinds;
	double open, missing;
};

static bool is_of(const struct table *t, size_t row, const struct matrix *m, size_t type, size_t kind)
{
	return slice_eq(given_word(t, row, "form"), m->form) && slice_eq(given_word(t, row, "type"), m->types.word[type]) &&
		slice_eq(given_word(t, row, m->column), m->kinds.word[kind]);
}

static double sum(const struct table *t, const struct matrix *m, size_t type, size_t kind, const char *column)
{
	double all = 0;

	for (size_t i = 0; t && i < given_rows(t); i++)
		if (is_of(t, i, m, type, kind))
			all += given_count(t, i, column);
	return all;
}

/* The rows that stock has of a form that is ordered are in the matrix too. */
static void take_words(struct matrix *m, const struct table *t)
{
	for (size_t i = 0; t && i < given_rows(t); i++)
		if (slice_eq(given_word(t, i, "form"), m->form) && (t == m->orders || given_count(t, i, m->there) > 0)) {
			given_words_at(&m->types, given_word(t, i, "type"));
			given_words_at(&m->kinds, given_word(t, i, m->column));
		}
}

static int compare_words(const void *a, const void *b)
{
	return slice_cmp(*(const struct slice *)a, *(const struct slice *)b);
}

/* What the rows of the stock say of two kinds: those of a type are in the order of the works' scheme. */
static void find_after(const struct matrix *m, bool after[KINDS_MOST][KINDS_MOST])
{
	for (size_t i = 1; m->stock && i < given_rows(m->stock); i++) {
		size_t kind, last;

		if (!slice_eq(given_word(m->stock, i, "form"), m->form) || !slice_eq(given_word(m->stock, i - 1, "form"), m->form) ||
			!slice_eq(given_word(m->stock, i, "type"), given_word(m->stock, i - 1, "type")))
			continue;
		kind = given_words_find(&m->kinds, given_word(m->stock, i, m->column));
		last = given_words_find(&m->kinds, given_word(m->stock, i - 1, m->column));
		if (kind < m->kinds.n && last < m->kinds.n && kind != last)
			after[kind][last] = true;
	}
}

/* The first kind, by its word, that comes after none of those left; the first of all if they go in a circle. */
static size_t next_kind(const struct matrix *m, bool after[KINDS_MOST][KINDS_MOST], const bool *placed)
{
	size_t first = m->kinds.n;

	for (size_t i = 0; i < m->kinds.n; i++) {
		bool waits = placed[i];

		first = !placed[i] && first == m->kinds.n ? i : first;
		for (size_t k = 0; k < m->kinds.n; k++)
			waits |= after[i][k] && !placed[k];
		if (!waits)
			return i;
	}
	return first;
}

/* Grades in the order of the works' scheme as far as the rows of the stock tell it, else by their words. */
static void order_grades(struct matrix *m)
{
	bool after[KINDS_MOST][KINDS_MOST] = { { false } }, placed[KINDS_MOST] = { false };
	struct slice word[KINDS_MOST];

	if (m->kinds.n)
		qsort(m->kinds.word, m->kinds.n, sizeof *m->kinds.word, compare_words);
	m->kinds.n = m->kinds.n < KINDS_MOST ? m->kinds.n : KINDS_MOST;
	find_after(m, after);
	for (size_t i = 0; i < m->kinds.n; i++) {
		size_t kind = next_kind(m, after, placed);

		placed[kind] = true;
		word[i] = m->kinds.word[kind];
	}
	for (size_t i = 0; i < m->kinds.n; i++)
		m->kinds.word[i] = word[i];
}

static void take(struct matrix *m)
{
	take_words(m, m->stock);
	take_words(m, m->orders);
	if (strcmp(m->column, "grade") == 0)
		order_grades(m);
	m->kinds.n = m->kinds.n < KINDS_MOST ? m->kinds.n : KINDS_MOST;
	m->types.n = m->types.n < KINDS_MOST ? m->types.n : KINDS_MOST;
	for (size_t i = 0; i < given_rows(m->orders); i++)
		if (slice_eq(given_word(m->orders, i, "form"), m->form)) {
			m->open += given_count(m->orders, i, "open");
			m->missing += given_count(m->orders, i, "short");
		}
}

/* Classes where some order asks for one, and so does the stock where it is there. */
static const char *column_of(const struct table *orders, const struct table *stock)
{
	for (size_t i = 0; i < given_rows(orders); i++)
		if (given_word(orders, i, "class").n && (!stock || given_has(stock, "class")))
			return "class";
	return "grade";
}

static void say_cell(struct buf *b, const struct matrix *m, size_t type, size_t kind)
{
	struct slice a = m->types.word[type], c = m->kinds.word[kind];

	buf_printf(b, "%.*s%s%.*s", (int)a.n, a.p, a.n && c.n ? "/" : "", (int)c.n, c.p);
}

static void say_shorts(struct buf *b, const struct matrix *m, size_t n)
{
	enum { NAMED = 3 };
	size_t said = 0, more = 0;

	for (size_t f = 0; f < n; f++)
		for (size_t i = 0; i < m[f].types.n; i++)
			for (size_t k = 0; k < m[f].kinds.n; k++) {
				double missing = sum(m[f].orders, &m[f], i, k, "short");

				if (missing <= 0)
					continue;
				if (said == NAMED) {
					more++;
					continue;
				}
				buf_str(b, said++ ? ", " : ": ");
				say_whole(b, missing);
				buf_char(b, ' ');
				say_cell(b, &m[f], i, k);
			}
	if (more)
		buf_printf(b, " and %zu more", more);
}

static void say_finding(struct scene *s, const struct matrix *m, size_t n)
{
	double open = 0, missing = 0;

	for (size_t f = 0; f < n; f++) {
		open += m[f].open;
		missing += m[f].missing;
	}
	if (missing > 0) {
		say_whole(&s->title, missing);
		buf_str(&s->title, " of ");
		say_count(&s->title, open, "piece");
		buf_str(&s->title, missing >= 2 ? " on order are short" : " on order is short");
		say_shorts(&s->title, m, n);
	} else {
		buf_str(&s->title, "None of ");
		say_count(&s->title, open, "piece");
		buf_str(&s->title, " on order is short");
	}
	buf_add(&s->desc, buf_slice(&s->title));
	buf_printf(&s->desc, ". A matrix of types by %s: the pieces in stock, those that open orders ask for, and those that are short.", m->column);
}

/* ---- the picture */

struct grid {
	double left, top, w, h;
};

static void draw_cell(struct scene *s, const struct grid *g, const struct matrix *m, size_t type, size_t kind)
{
	double there = m->stock ? sum(m->stock, m, type, kind, m->there) : sum(m->orders, m, type, kind, "in_stock");
	double open = sum(m->orders, m, type, kind, "open"), missing = sum(m->orders, m, type, kind, "short"), make = sum(m->orders, m, type, kind, "to_make");
	double x = g->left + g->w * (double)kind, y = g->top + g->h * (double)type, line = scene_in_cells(s) ? SCENE_CELL_H / 2.0 : g->h * 0.3;
	double second = scene_in_cells(s) ? y + 1.5 * SCENE_CELL_H : y + g->h - line;
	enum tone tone = missing > 0 ? TONE_BARK : open > 0 ? TONE_BAND : TONE_PAPER;
	struct buf text = BUF_INIT;

	if (!scene_in_cells(s))
		scene_rect(s, (struct look){ .tone = tone, .pattern = missing > 0 ? PATTERN_PALE : PATTERN_FULL }, x + 1.5, y + 1.5, g->w - 3, g->h - 3);
	if (!scene_in_cells(s))
		scene_rect(s, (struct look){ .tone = missing > 0 ? TONE_BARK : TONE_HAIR, .pattern = PATTERN_NONE }, x + 1.5, y + 1.5, g->w - 3, g->h - 3);
	say_whole(&text, there);
	scene_label(s, (struct label){ x + g->w / 2, y + (open > 0 || scene_in_cells(s) ? line : g->h / 2), 0, TEXT_LABEL, there > 0 ? TONE_INK : TONE_SOFT, g->w - 4, 0, true }, buf_slice(&text));
	text.n = 0;
	if (missing > 0) {
		buf_str(&text, s->medium == PICTURE_ASCII ? "! " : "▼ ");
		say_whole(&text, missing);
		buf_str(&text, " short");
	} else if (open > 0) {
		say_whole(&text, make > 0 ? make : open);
		buf_str(&text, make > 0 ? " to make" : " asked");
	}
	scene_label(s, (struct label){ x + g->w / 2, second, 0, TEXT_SMALL, missing > 0 ? TONE_BARK : TONE_SOFT, g->w - 4, 0, false }, buf_slice(&text));
	buf_release(&text);
}

static double draw_matrix(struct scene *s, const struct matrix *m, double top)
{
	double margin = scene_in_cells(s) ? 0 : SCENE_MARGIN, widest = 0, head = scene_in_cells(s) ? SCENE_CELL_H : 18;
	struct grid g;

	for (size_t i = 0; i < m->types.n; i++)
		widest = fmax(widest, scene_text_width(s, TEXT_LABEL, m->types.word[i]));
	widest = fmax(fmin(widest, s->width / 4), scene_text_width(s, TEXT_LABEL, m->form)) + (scene_in_cells(s) ? SCENE_CELL_W : 10);
	g = (struct grid){ margin + widest, top + head, fmin(130, (s->width - 2 * margin - widest) / (double)m->kinds.n), scene_in_cells(s) ? 3 * SCENE_CELL_H : 42 };
	scene_label(s, (struct label){ margin, top + head / 2, 1, TEXT_LABEL, TONE_INK, 0, 0, false }, m->form);
	for (size_t k = 0; k < m->kinds.n; k++)
		scene_label(s, (struct label){ g.left + g.w * ((double)k + 0.5), top + head / 2, 0, TEXT_SMALL, TONE_SOFT, g.w - 2, 0, false },
			m->kinds.word[k].n ? m->kinds.word[k] : SLICE("any"));
	for (size_t i = 0; i < m->types.n; i++) {
		scene_label(s, (struct label){ margin, g.top + g.h * ((double)i + (scene_in_cells(s) ? 1 / 6.0 : 0.5)), 1, TEXT_LABEL, TONE_INK, widest - 8, 0, false },
			m->types.word[i].n ? m->types.word[i] : SLICE("any"));
		for (size_t k = 0; k < m->kinds.n; k++)
			draw_cell(s, &g, m, i, k);
	}
	return g.top + g.h * (double)m->types.n + (scene_in_cells(s) ? 0 : 12);
}

static void lay_out(struct scene *s, const struct matrix *m, size_t n)
{
	struct buf shown = BUF_INIT;
	double y;

	buf_printf(&shown, "pieces %s, by type and %s; below: what open orders ask for", m->stock ? "in stock" : "that orders can have", m->column);
	y = frame_head(s, buf_cstr(&shown));
	for (size_t f = 0; f < n; f++)
		y = draw_matrix(s, &m[f], y);
	scene_set_height(s, y);
	buf_release(&shown);
}

bool draw_orders(struct scene *s, const struct given *g)
{
	const struct table *orders = given_need(g, COLUMNS, COMMAND), *stock = given_table(g, FREE_COLUMNS);
	const char *there = stock ? "there" : "count";
	struct given_words forms = { 0 };
	struct matrix m[FORMS_MOST] = { { .open = 0 } };
	size_t n = 0;

	if (!orders)
		return false;
	if (!stock)
		stock = given_table(g, STOCK_COLUMNS);
	for (size_t i = 0; i < given_rows(orders); i++)
		given_words_at(&forms, given_word(orders, i, "form"));
	for (; n < forms.n && n < FORMS_MOST; n++) {
		m[n] = (struct matrix){ .orders = orders, .stock = stock, .there = there, .column = column_of(orders, stock), .form = forms.word[n] };
		take(&m[n]);
	}
	say_finding(s, m, n);
	lay_out(s, m, n);
	for (size_t f = 0; f < n; f++) {
		given_words_release(&m[f].types);
		given_words_release(&m[f].kinds);
	}
	given_words_release(&forms);
	return true;
}
