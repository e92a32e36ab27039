#include "chart/draw.h"

#include <math.h>
#include <stdlib.h>

#include "chart/rows.h"

#define COLUMNS "age form count"
#define COMMAND "wy-stock -b --by age,form --value"

enum { FORMS_MOST = 8 };

struct ages {
	const struct table *t;
	struct given_words age, form;
	struct slice currency;
	double pieces, value;      /* of all */
};

static struct look form_look(size_t form)
{
	static const struct look looks[] = { { .tone = TONE_CANE, .pattern = PATTERN_DOTS }, { .tone = TONE_WILLOW, .pattern = PATTERN_FULL },
		{ .tone = TONE_WATER, .pattern = PATTERN_HATCH }, { .tone = TONE_PLUM, .pattern = PATTERN_CROSS } };

	return looks[form % (sizeof looks / sizeof *looks)];
}

static void take(struct ages *a)
{
	static const char *const forms[] = { "cleft", "blade", "handle", "bat" };

	for (size_t k = 0; k < sizeof forms / sizeof *forms; k++)
		for (size_t i = 0; i < given_rows(a->t); i++)
			if (given_is(a->t, i, "form", forms[k]))
				given_words_at(&a->form, given_word(a->t, i, "form"));
	for (size_t i = 0; i < given_rows(a->t); i++) {
		given_words_at(&a->age, given_word(a->t, i, "age"));
		given_words_at(&a->form, given_word(a->t, i, "form"));
		a->pieces += fmax(0, given_count(a->t, i, "count"));
		a->value += fmax(0, given_count(a->t, i, "value"));
		a->currency = a->currency.n ? a->currency : given_word(a->t, i, "currency");
	}
}

/* Of an age: all forms where `form` is FORMS_MOST. */
static double sum(const struct ages *a, size_t age, size_t form, const char *column)
{
	double all = 0;

	for (size_t i = 0; i < given_rows(a->t); i++)
		if (slice_eq(given_word(a->t, i, "age"), a->age.word[age]) &&
			(form == FORMS_MOST || slice_eq(given_word(a->t, i, "form"), a->form.word[form])))
			all += fmax(0, given_count(a->t, i, column));
	return all;
}

/* "52.." is "over 52 weeks", "..13" "up to 13 weeks". */
static void say_age(struct buf *b, struct slice age)
{
	size_t n = slice_find(age, '.');

	if (!age.n)
		buf_str(b, "unknown");
	else if (n == 0)
		buf_printf(b, "up to %.*s weeks", (int)(age.n > 2 ? age.n - 2 : 0), age.p + 2);
	else if (n + 2 == age.n)
		buf_printf(b, "over %.*s weeks", (int)n, age.p);
	else if (n < age.n)
		buf_printf(b, "%.*s to %.*s weeks", (int)n, age.p, (int)(age.n - n - 2), age.p + n + 2);
	else
		buf_add(b, age);
}

static void say_finding(struct scene *s, const struct ages *a)
{
	double old = sum(a, 0, FORMS_MOST, "count");

	say_whole(&s->title, old);
	buf_str(&s->title, " of ");
	say_count(&s->title, a->pieces, "piece");
	buf_str(&s->title, ", ");
	if (a->value > 0) {
		say_percent(&s->title, sum(a, 0, FORMS_MOST, "value") / a->value);
		buf_str(&s->title, " % of the value, ");
	}
	buf_str(&s->title, a->age.n == 1 ? "are of the only age band: " : "are of the oldest age band: ");
	say_age(&s->title, a->age.word[0]);
	buf_add(&s->desc, buf_slice(&s->title));
	buf_printf(&s->desc, ". The stock in %zu bands of age, in pieces%s, by form.", a->age.n, a->value > 0 ? " and in money" : "");
}

static void draw_bar(struct scene *s, const struct rows *r, const struct ages *a, size_t age, const char *column, double most)
{
	double x = r->left, px = (r->right - r->left) / (most > 0 ? most : 1);
	struct buf text = BUF_INIT;

	say_age(&text, a->age.word[age]);
	rows_name(s, r, age, buf_slice(&text));
	for (size_t i = 0; i < a->form.n && i < FORMS_MOST; i++) {
		double n = sum(a, age, i, column), to = fmin(x + n * px, r->right);

		text.n = 0;
		say_whole(&text, n);
		rows_part(s, r, age, form_look(i), x, to, buf_slice(&text));
		x = to;
	}
	text.n = 0;
	say_whole(&text, sum(a, age, FORMS_MOST, column));
	rows_end(s, r, age, x, buf_slice(&text));
	buf_release(&text);
}

/* The bars of pieces, or those of money below them. */
static double draw_block(struct scene *s, const struct ages *a, double top, const char *column, const char *heading)
{
	struct slice *name = mem_array(a->age.n, sizeof *name);
	struct buf *names = mem_zeroed(a->age.n, sizeof *names), end = BUF_INIT;
	double most = 0, widest = 0;
	struct rows r;

	for (size_t i = 0; i < a->age.n; i++) {
		double n = sum(a, i, FORMS_MOST, column);

		say_age(&names[i], a->age.word[i]);
		name[i] = buf_slice(&names[i]);
		most = fmax(most, n);
		end.n = 0;
		say_whole(&end, n);
		widest = fmax(widest, scene_text_width(s, TEXT_SMALL, buf_slice(&end)));
	}
	top = scene_words(s, scene_in_cells(s) ? 0 : SCENE_MARGIN, top, s->width - 2 * SCENE_MARGIN, TEXT_LABEL, TONE_INK, 1, slice_of(heading));
	r = rows_fit(s, name, a->age.n, widest, top);
	for (size_t i = 0; i < a->age.n; i++)
		draw_bar(s, &r, a, i, column, most);
	for (size_t i = 0; i < a->age.n; i++)
		buf_release(&names[i]);
	buf_release(&end);
	free(names);
	free(name);
	return rows_bottom(&r, a->age.n) + (scene_in_cells(s) ? SCENE_CELL_H : 8);
}

static void lay_out(struct scene *s, const struct ages *a)
{
	struct frame_key key[FORMS_MOST];
	struct buf text[FORMS_MOST] = { BUF_INIT }, heading = BUF_INIT;
	double y = frame_head(s, "the stock by age, the oldest first");
	size_t n = 0;

	for (size_t i = 0; i < a->form.n && i < FORMS_MOST; i++) {
		buf_add(&text[i], a->form.word[i]);
		key[n++] = (struct frame_key){ form_look(i), MARK_RECT, buf_cstr(&text[i]) };
	}
	y = frame_keys(s, y, key, n) + (scene_in_cells(s) ? 0 : 6);
	y = draw_block(s, a, y, "count", "pieces");
	if (a->value > 0) {
		buf_printf(&heading, "value at cost, %.*s", (int)a->currency.n, a->currency.p);
		y = draw_block(s, a, y, "value", buf_cstr(&heading));
	}
	scene_set_height(s, y);
	for (size_t i = 0; i < FORMS_MOST; i++)
		buf_release(&text[i]);
	buf_release(&heading);
}

bool draw_ages(struct scene *s, const struct given *g)
{
	struct ages a = { .t = given_need(g, COLUMNS, COMMAND) };

	if (!a.t)
		return false;
	take(&a);
	say_finding(s, &a);
	lay_out(s, &a);
	given_words_release(&a.age);
	given_words_release(&a.form);
	return true;
}
