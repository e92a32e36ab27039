#include "chart/draw.h"

#include <math.h>
#include <stdlib.h>

#include "chart/rows.h"

#define COLUMNS "step culled still pieces"
#define COMMAND "wy-yield -b"
#define LOSS_COLUMNS "step cause count"

enum { STEPS_MOST = 40, CAUSES_NAMED = 4 };

struct steps {
	const struct table *t, *losses;
	size_t row[STEPS_MOST], n; /* of the table, without that of all steps */
	double most, culled;
	size_t worst;              /* the step that loses the largest share */
};

static double count(const struct steps *d, size_t i, const char *column)
{
	return fmax(0, given_count(d->t, d->row[i], column));
}

static double lost_share(const struct steps *d, size_t i)
{
	double pieces = count(d, i, "pieces");

	return pieces > 0 ? fmin(1, count(d, i, "culled") / pieces) : 0;
}

static void take(struct steps *d)
{
	for (size_t i = 0; i < given_rows(d->t) && d->n < STEPS_MOST; i++)
		if (!given_is(d->t, i, "step", "all"))
			d->row[d->n++] = i;
	for (size_t i = 0; i < d->n; i++) {
		d->most = fmax(d->most, count(d, i, "pieces"));
		d->culled += count(d, i, "culled");
		if (lost_share(d, i) > lost_share(d, d->worst))
			d->worst = i;
	}
}

static struct slice step_of(const struct steps *d, size_t i)
{
	return given_word(d->t, d->row[i], "step");
}

/* ---- "−341: split 174, warp 113 and others" */

struct cause {
	struct slice name;
	double n;
};

static size_t largest_causes(const struct steps *d, size_t i, struct cause *cause)
{
	size_t n = 0;

	for (size_t k = 0; d->losses && k < given_rows(d->losses); k++) {
		struct cause now = { given_word(d->losses, k, "cause"), given_count(d->losses, k, "count") };
		size_t at;

		if (!slice_eq(given_word(d->losses, k, "step"), step_of(d, i)) || now.n <= 0)
			continue;
		for (at = n < CAUSES_NAMED ? n++ : CAUSES_NAMED; at && cause[at - 1].n < now.n; at--)
			if (at < CAUSES_NAMED)
				cause[at] = cause[at - 1];
		if (at < CAUSES_NAMED)
			cause[at] = now;
	}
	return n;
}

static void say_losses(struct buf *b, const struct scene *s, const struct steps *d, size_t i)
{
	struct cause cause[CAUSES_NAMED] = { { { NULL, 0 }, 0 } };
	size_t n = largest_causes(d, i, cause);

	buf_str(b, s->medium == PICTURE_ASCII ? "-" : "−");
	say_whole(b, count(d, i, "culled"));
	for (size_t k = 0; k < n; k++) {
		buf_printf(b, "%s%.*s ", k ? ", " : ": ", (int)cause[k].name.n, cause[k].name.p);
		say_whole(b, cause[k].n);
	}
}

static void say_finding(struct scene *s, const struct steps *d)
{
	struct slice step = step_of(d, d->worst);

	say_count(&s->title, d->culled, "piece");
	buf_str(&s->title, d->culled >= 0.5 && d->culled < 1.5 ? " was" : " were");
	buf_str(&s->title, " lost from tree to bat");
	if (d->culled > 0) {
		buf_printf(&s->title, "; the largest share at the step %.*s: ", (int)step.n, step.p);
		say_number(&s->title, 100 * lost_share(d, d->worst), 1);
		buf_str(&s->title, " %");
	}
	buf_add(&s->desc, buf_slice(&s->title));
	buf_printf(&s->desc, ". Of each of %zu steps the pieces that went on, that are still there, and that were lost, with their causes.", d->n);
}

/* ---- the picture: a line of text and a bar a step */

static void draw_step(struct scene *s, const struct rows *r, const struct steps *d, size_t i)
{
	double pieces = count(d, i, "pieces"), culled = count(d, i, "culled"), still = count(d, i, "still"), px = (r->right - r->left) / fmax(1, d->most);
	double end = r->left + pieces * px, on = fmax(0, pieces - culled - still);
	struct buf text = BUF_INIT;

	rows_name(s, r, 2 * i + 1, step_of(d, i));
	say_whole(&text, on);
	buf_str(&text, " went on\t");
	say_whole(&text, on);
	rows_part(s, r, 2 * i + 1, (struct look){ .tone = TONE_WILLOW, .pattern = PATTERN_FULL }, r->left, r->left + on * px, buf_slice(&text));
	text.n = 0;
	say_whole(&text, still);
	buf_str(&text, " still there\t");
	say_whole(&text, still);
	rows_part(s, r, 2 * i + 1, (struct look){ .tone = TONE_CANE, .pattern = PATTERN_PALE }, r->left + on * px, r->left + (on + still) * px, buf_slice(&text));
	rows_part(s, r, 2 * i + 1, (struct look){ .tone = TONE_BARK, .pattern = PATTERN_HATCH }, end - culled * px, end, SLICE(""));
	text.n = 0;
	say_losses(&text, s, d, i);
	if (culled > 0)
		scene_label(s, (struct label){ fmax(end, r->left), rows_middle(r, 2 * i), end - r->left > 240 ? -1 : 1, TEXT_SMALL, TONE_BARK, s->width - r->left - 8, 0, false },
			buf_slice(&text));
	buf_release(&text);
}

static void lay_out(struct scene *s, const struct steps *d)
{
	const struct frame_key key[] = { { { .tone = TONE_WILLOW, .pattern = PATTERN_FULL }, MARK_RECT, "went on" },
		{ { .tone = TONE_CANE, .pattern = PATTERN_PALE }, MARK_RECT, "still there" },
		{ { .tone = TONE_BARK, .pattern = PATTERN_HATCH }, MARK_RECT, d->losses ? "lost, with the causes" : "lost" } };
	struct slice name[STEPS_MOST];
	double y = frame_head(s, "pieces at each step of the work");
	struct rows r;

	for (size_t i = 0; i < d->n; i++)
		name[i] = step_of(d, i);
	y = frame_keys(s, y, key, sizeof key / sizeof *key);
	r = rows_fit(s, name, d->n, 0, y);
	r.pitch = scene_in_cells(s) ? SCENE_CELL_H : 17;
	r.bar = scene_in_cells(s) ? SCENE_CELL_H : 15;
	for (size_t i = 0; i < d->n; i++)
		draw_step(s, &r, d, i);
	scene_set_height(s, rows_bottom(&r, 2 * d->n) + (scene_in_cells(s) ? 0 : 10));
}

bool draw_steps(struct scene *s, const struct given *g)
{
	struct steps d = { .t = given_need(g, COLUMNS, COMMAND), .losses = given_table(g, LOSS_COLUMNS) };

	if (!d.t)
		return false;
	take(&d);
	if (!d.n)
		return given_nothing(g, "the table has no step of the work");
	say_finding(s, &d);
	lay_out(s, &d);
	return true;
}
