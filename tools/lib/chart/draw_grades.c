#include "chart/draw.h"

#include <math.h>
#include <stdlib.h>

#include "chart/rows.h"

#define COLUMNS "grade count of share"
#define COMMAND "wy-grade -b --by supplier"

enum { ROWS_MOST = 60, GRADES_MOST = 12, FEW = 30 };

/* One bar: what was graded of a supplier or in a month, by one scheme. */
struct bar {
	struct slice name, scheme;
	double of, share[GRADES_MOST];
	bool has[GRADES_MOST];
};

struct mix {
	struct bar bar[ROWS_MOST];
	size_t n, left_out;
	struct given_words grades;
	const char *key;
};

/* The key of the rows: the first of these that the table has. */
static const char *key_of(const struct table *t)
{
	static const char *const keys[] = { "supplier", "month", "charge", "lot", "parcel", "tree", "kiln", "type", "grader" };

	for (size_t i = 0; i < sizeof keys / sizeof *keys; i++)
		if (given_has(t, keys[i]))
			return keys[i];
	return "scheme";
}

static struct bar *bar_of(struct mix *m, const struct table *t, size_t row)
{
	struct slice name = given_word(t, row, m->key), scheme = given_word(t, row, "scheme");

	for (size_t i = 0; i < m->n; i++)
		if (slice_eq(m->bar[i].name, name) && slice_eq(m->bar[i].scheme, scheme))
			return &m->bar[i];
	if (m->n == ROWS_MOST) {
		m->left_out++;
		return NULL;
	}
	m->bar[m->n] = (struct bar){ .name = name, .scheme = scheme };
	return &m->bar[m->n++];
}

static void take(struct mix *m, const struct table *t)
{
	m->key = key_of(t);
	for (size_t i = 0; i < given_rows(t); i++) {
		double share = given_number(t, i, "share");
		size_t grade = given_words_at(&m->grades, given_word(t, i, "grade"));
		struct bar *bar = bar_of(m, t, i);

		if (!bar || isnan(share) || share < 0 || grade >= GRADES_MOST)
			continue;
		bar->of = given_count(t, i, "of");
		bar->share[grade] = fmin(share, 1);
		bar->has[grade] = true;
	}
}

static bool is_culled(struct slice grade)
{
	return slice_starts(grade, SLICE("cull"));
}

/* The steps go from the best to the least grade; culled pieces are hatched in the tone of what is wrong. */
static struct look grade_look(const struct mix *m, size_t grade, bool few)
{
	size_t graded = m->grades.n, step;

	for (size_t i = 0; i < m->grades.n; i++)
		graded -= is_culled(m->grades.word[i]);
	if (is_culled(m->grades.word[grade]))
		return (struct look){ .tone = TONE_BARK, .pattern = few ? PATTERN_CROSS : PATTERN_HATCH };
	step = graded > 5 ? grade * 5 / graded : grade;
	return (struct look){ .tone = (enum tone)(TONE_STEP1 + (step > 4 ? 4 : step)), .pattern = few ? PATTERN_HATCH : PATTERN_FULL };
}

/* ---- the finding: who has the largest and the smallest share of the best grade, of those with enough pieces */

static void say_bar(struct buf *b, const struct mix *m, const struct bar *bar)
{
	bool many = false;

	buf_add(b, bar->name.n ? bar->name : SLICE("unknown"));
	for (size_t i = 0; i < m->n; i++)
		many = many || !slice_eq(m->bar[i].scheme, m->bar[0].scheme);
	if (many && bar->scheme.n && strcmp(m->key, "scheme") != 0)
		buf_printf(b, " (%.*s)", (int)bar->scheme.n, bar->scheme.p);
}

static const struct bar *extreme(const struct mix *m, bool most)
{
	const struct bar *found = NULL;

	for (size_t i = 0; i < m->n; i++)
		if (m->bar[i].of >= FEW && (!found || (most ? m->bar[i].share[0] > found->share[0] : m->bar[i].share[0] < found->share[0])))
			found = &m->bar[i];
	return found;
}

static void say_share(struct buf *b, const struct mix *m, const struct bar *bar)
{
	say_percent(b, bar->share[0]);
	buf_str(b, " % for ");
	say_bar(b, m, bar);
}

static void say_finding(struct scene *s, const struct mix *m)
{
	const struct bar *best = extreme(m, true), *least = extreme(m, false);
	struct slice grade = m->grades.word[0];

	buf_printf(&s->title, "Grade %.*s: ", (int)grade.n, grade.p);
	if (!best) {
		buf_printf(&s->title, "too few pieces to compare (under %d each)", FEW);
	} else {
		say_share(&s->title, m, best);
		if (best != least) {
			buf_str(&s->title, ", ");
			say_share(&s->title, m, least);
		}
	}
	buf_add(&s->desc, buf_slice(&s->title));
	buf_printf(&s->desc, ". The shares of %zu grades in %zu bars by %s, the best grade first; n is the number of blades.", m->grades.n, m->n, m->key);
}

/* ---- the picture */

static void draw_bar(struct scene *s, const struct rows *r, const struct mix *m, size_t row)
{
	const struct bar *bar = &m->bar[row];
	struct buf text = BUF_INIT;
	double x = r->left, wide = r->right - r->left;

	say_bar(&text, m, bar);
	rows_name(s, r, row, buf_slice(&text));
	for (size_t i = 0; i < m->grades.n && i < GRADES_MOST; i++) {
		double to = fmin(x + bar->share[i] * wide, r->right);

		text.n = 0;
		say_percent(&text, bar->share[i]);
		rows_part(s, r, row, grade_look(m, i, bar->of < FEW), x, to, buf_slice(&text));
		x = to;
	}
	text.n = 0;
	buf_str(&text, "n ");
	say_whole(&text, bar->of);
	rows_end(s, r, row, r->right, buf_slice(&text));
	buf_release(&text);
}

static double draw_key(struct scene *s, const struct mix *m, double top)
{
	struct frame_key key[GRADES_MOST + 1];
	struct buf text[GRADES_MOST] = { BUF_INIT };
	size_t n = 0;
	bool few = false;

	for (size_t i = 0; i < m->grades.n && i < GRADES_MOST; i++) {
		buf_add(&text[i], m->grades.word[i]);
		key[n++] = (struct frame_key){ grade_look(m, i, false), MARK_RECT, buf_cstr(&text[i]) };
	}
	for (size_t i = 0; i < m->n; i++)
		few = few || m->bar[i].of < FEW;
	if (few)
		key[n++] = (struct frame_key){ { .tone = TONE_STEP2, .pattern = PATTERN_HATCH }, MARK_RECT, "hatched: fewer than 30 blades" };
	top = frame_keys(s, top, key, n);
	for (size_t i = 0; i < GRADES_MOST; i++)
		buf_release(&text[i]);
	return top;
}

static void lay_out(struct scene *s, const struct mix *m)
{
	struct slice name[ROWS_MOST];
	struct buf names[ROWS_MOST] = { BUF_INIT }, end = BUF_INIT;
	double y = frame_head(s, "share of the blades in each grade, %; the best grade is on the left"), widest = 0;
	struct rows r;

	for (size_t i = 0; i < m->n; i++) {
		say_bar(&names[i], m, &m->bar[i]);
		name[i] = buf_slice(&names[i]);
		end.n = 0;
		buf_str(&end, "n ");
		say_whole(&end, m->bar[i].of);
		widest = fmax(widest, scene_text_width(s, TEXT_SMALL, buf_slice(&end)));
	}
	y = draw_key(s, m, y) + (scene_in_cells(s) ? 0 : 6);
	r = rows_fit(s, name, m->n, widest, y);
	for (size_t i = 0; i < m->n; i++)
		draw_bar(s, &r, m, i);
	y = rows_bottom(&r, m->n);
	if (m->left_out)
		y = scene_words(s, r.left, y, s->width - r.left, TEXT_SMALL, TONE_SOFT, 2, SLICE("More rows are in the table."));
	scene_set_height(s, y + (scene_in_cells(s) ? 0 : 10));
	for (size_t i = 0; i < m->n; i++)
		buf_release(&names[i]);
	buf_release(&end);
}

bool draw_grades(struct scene *s, const struct given *g)
{
	const struct table *t = given_need(g, COLUMNS, COMMAND);
	struct mix *m;
	bool any;

	if (!t)
		return false;
	m = mem_zeroed(1, sizeof *m);
	take(m, t);
	any = m->n && m->grades.n;
	if (any) {
		say_finding(s, m);
		lay_out(s, m);
	}
	given_words_release(&m->grades);
	free(m);
	return any || given_nothing(g, "the table has no share of a grade");
}
