#include "chart/draw.h"

#include <math.h>

#include "chart/rows.h"

#define COLUMNS "blades currency each timber_share drying_share other_share losses_share"
#define COMMAND "wy-cost -b --by supplier"

enum { PARTS = 4, ROWS_MOST = 60 };

static const struct part {
	const char *column, *name;
	struct look look;
} parts[PARTS] = {
	{ "timber_share", "timber", { .tone = TONE_WILLOW, .pattern = PATTERN_FULL } },
	{ "drying_share", "drying", { .tone = TONE_WATER, .pattern = PATTERN_DOTS } },
	{ "other_share", "other", { .tone = TONE_PLUM, .pattern = PATTERN_CROSS } },
	{ "losses_share", "losses", { .tone = TONE_BARK, .pattern = PATTERN_HATCH } },
};

static const char *key_of(const struct table *t)
{
	static const char *const keys[] = { "supplier", "parcel", "tree", "lot", "charge", "month", "type", "grade", "place" };

	for (size_t i = 0; i < sizeof keys / sizeof *keys; i++)
		if (given_has(t, keys[i]))
			return keys[i];
	return "";
}

static struct slice name_of(const struct table *t, size_t row)
{
	struct slice name = given_word(t, row, key_of(t));

	return name.n ? name : *key_of(t) ? SLICE("unknown") : SLICE("all");
}

/* The row of all together is the one called all, or the only one. */
static size_t row_of_all(const struct table *t)
{
	for (size_t i = 0; i < given_rows(t); i++)
		if (slice_eq(name_of(t, i), SLICE("all")))
			return i;
	return 0;
}

static size_t shown_rows(const struct table *t)
{
	return given_rows(t) < ROWS_MOST ? given_rows(t) : ROWS_MOST;
}

/* The row of a bar: of too many rows the first, and at the end that of all together. */
static size_t shown_row(size_t bar, size_t all)
{
	return bar == ROWS_MOST - 1 && all > bar ? all : bar;
}

static void say_each(struct buf *b, const struct table *t, size_t row)
{
	struct slice currency = given_word(t, row, "currency");

	say_number(b, given_number(t, row, "each"), 2);
	buf_printf(b, " %.*s", (int)currency.n, currency.p);
}

static void say_finding(struct scene *s, const struct table *t)
{
	size_t all = row_of_all(t);

	if (!slice_eq(name_of(t, all), SLICE("all")))
		buf_printf(&s->title, "%.*s: ", (int)name_of(t, all).n, name_of(t, all).p);
	buf_str(&s->title, "A usable blade cost ");
	say_each(&s->title, t, all);
	buf_str(&s->title, ": ");
	for (size_t i = 0; i < PARTS; i++) {
		buf_printf(&s->title, "%s%s ", i ? ", " : "", parts[i].name);
		say_percent(&s->title, fmax(0, given_count(t, all, parts[i].column)));
		buf_str(&s->title, " %");
	}
	buf_add(&s->desc, buf_slice(&s->title));
	buf_printf(&s->desc, ". The cost of a blade in %zu bars, each of timber, drying, other and losses.", shown_rows(t));
	if (given_rows(t) > shown_rows(t))
		buf_printf(&s->desc, " %zu more rows are left out.", given_rows(t) - shown_rows(t));
}

static void say_end(struct buf *b, const struct table *t, size_t row)
{
	say_each(b, t, row);
	buf_str(b, ", n ");
	say_whole(b, given_count(t, row, "blades"));
}

/* The bar from 0 of a row. */
static void draw_bar(struct scene *s, const struct rows *r, const struct table *t, size_t bar, size_t row, double most)
{
	double each = given_count(t, row, "each"), x = r->left, px = (r->right - r->left) / most;
	struct buf text = BUF_INIT;

	rows_name(s, r, bar, name_of(t, row));
	for (size_t i = 0; i < PARTS; i++) {
		double part = fmax(0, fmin(1, given_count(t, row, parts[i].column))) * fmax(0, each), to = fmin(x + part * px, r->right);

		text.n = 0;
		buf_printf(&text, "%s ", parts[i].name);
		say_number(&text, part, 2);
		buf_char(&text, '\t');
		say_number(&text, part, 2);
		rows_part(s, r, bar, parts[i].look, x, to, buf_slice(&text));
		x = to;
	}
	text.n = 0;
	say_end(&text, t, row);
	rows_end(s, r, bar, x, buf_slice(&text));
	buf_release(&text);
}

static void lay_out(struct scene *s, const struct table *t)
{
	size_t n = shown_rows(t), all = row_of_all(t), row[ROWS_MOST];
	struct slice name[ROWS_MOST];
	struct frame_key key[PARTS];
	struct buf end = BUF_INIT;
	double y = frame_head(s, "cost of a usable blade by where it comes from"), most = 0, widest = 0;
	struct rows r;

	for (size_t i = 0; i < n; i++) {
		row[i] = shown_row(i, all);
		name[i] = name_of(t, row[i]);
		most = fmax(most, given_count(t, row[i], "each"));
		end.n = 0;
		say_end(&end, t, row[i]);
		widest = fmax(widest, scene_text_width(s, TEXT_SMALL, buf_slice(&end)));
	}
	for (size_t i = 0; i < PARTS; i++)
		key[i] = (struct frame_key){ parts[i].look, MARK_RECT, parts[i].name };
	y = frame_keys(s, y, key, PARTS) + (scene_in_cells(s) ? 0 : 6);
	r = rows_fit(s, name, n, widest, y);
	for (size_t i = 0; i < n; i++)
		draw_bar(s, &r, t, i, row[i], most > 0 ? most : 1);
	scene_set_height(s, rows_bottom(&r, n) + (scene_in_cells(s) ? 0 : 10));
	buf_release(&end);
}

bool draw_cost(struct scene *s, const struct given *g)
{
	const struct table *t = given_need(g, COLUMNS, COMMAND);

	if (!t)
		return false;
	say_finding(s, t);
	lay_out(s, t);
	return true;
}
