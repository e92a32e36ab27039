#include "chart/draw.h"

#include <math.h>
#include <stdlib.h>

#include "chart/rows.h"

#define COLUMNS "blades currency each timber_share drying_share other_share losses_share"
#define COMMAND "wy-cost -b --by supplier"

enum { PARTS = 4 };

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
	buf_printf(&s->desc, ". The cost of a blade in %zu bars, each of timber, drying, other and losses.", given_rows(t));
}

static void say_end(struct buf *b, const struct table *t, size_t row)
{
	say_each(b, t, row);
	buf_str(b, ", n ");
	say_whole(b, given_count(t, row, "blades"));
}

static void draw_bar(struct scene *s, const struct rows *r, const struct table *t, size_t row, double most)
{
	double each = given_count(t, row, "each"), x = r->left, px = (r->right - r->left) / most;
	struct buf text = BUF_INIT;

	rows_name(s, r, row, name_of(t, row));
	for (size_t i = 0; i < PARTS; i++) {
		double part = fmax(0, fmin(1, given_count(t, row, parts[i].column))) * fmax(0, each), to = fmin(x + part * px, r->right);

		text.n = 0;
		buf_printf(&text, "%s ", parts[i].name);
		say_number(&text, part, 2);
		buf_char(&text, '\t');
		say_number(&text, part, 2);
		rows_part(s, r, row, parts[i].look, x, to, buf_slice(&text));
		x = to;
	}
	text.n = 0;
	say_end(&text, t, row);
	rows_end(s, r, row, x, buf_slice(&text));
	buf_release(&text);
}

static void lay_out(struct scene *s, const struct table *t)
{
	size_t n = given_rows(t);
	struct slice *name = mem_array(n, sizeof *name);
	struct frame_key key[PARTS];
	struct buf end = BUF_INIT;
	double y = frame_head(s, "cost of a usable blade by where it comes from"), most = 0, widest = 0;
	struct rows r;

	for (size_t i = 0; i < n; i++) {
		name[i] = name_of(t, i);
		most = fmax(most, given_count(t, i, "each"));
		end.n = 0;
		say_end(&end, t, i);
		widest = fmax(widest, scene_text_width(s, TEXT_SMALL, buf_slice(&end)));
	}
	for (size_t i = 0; i < PARTS; i++)
		key[i] = (struct frame_key){ parts[i].look, MARK_RECT, parts[i].name };
	y = frame_keys(s, y, key, PARTS) + (scene_in_cells(s) ? 0 : 6);
	r = rows_fit(s, name, n, widest, y);
	for (size_t i = 0; i < n; i++)
		draw_bar(s, &r, t, i, most > 0 ? most : 1);
	scene_set_height(s, rows_bottom(&r, n) + (scene_in_cells(s) ? 0 : 10));
	buf_release(&end);
	free(name);
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
