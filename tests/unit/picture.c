/*
 * Pictures of random tables, of every kind and in every medium: no label lies over another or leaves the picture, the SVG is
 * well-formed XML, and no line of a terminal is too long. The data are none, one row, many, equal, huge, below zero, and
 * names with markup, of 300 characters, from right to left, of emoji.
 */
#include <math.h>
#include <stdlib.h>

#include "base/utf8.h"
#include "base/xml_read.h"
#include "chart/cells.h"
#include "chart/draw.h"
#include "chart/labels.h"
#include "chart/svg.h"
#include "chart/text_width.h"
#include "check.h"
#include "math/dice.h"
#include "table/table.h"

#if defined(__SANITIZE_ADDRESS__)
enum { CASES = 21 };
#else
enum { CASES = 84 };
#endif
enum { TABLES_MOST = 3 };

static struct dice dice = { .state = 20271231 };

static size_t below(size_t n)
{
	return (size_t)(dice_share(&dice) * (double)n) % n;
}

/* ---- random tables. A column is NAME:KIND: w word, d day, t day and time, n number, s share, c count, or words with | between */

static const struct ask {
	draw_kind *draw;
	const char *tables[TABLES_MOST];
} asks[] = {
	{ draw_drying, { "charge:K1 probe:w source:probe|oven|air date:d day:n kind:at|at-least|at-most|emc|set|model mc_pct:n low_pct:n high_pct:n",
		"charge:K1 kiln:w ready_on:d ready_50_from:d ready_50_to:d ready_90_from:d ready_90_to:d verdict:emptied|ready", "date:d subject:w stage:w" } },
	{ draw_orders, { "order:w form:blade|bat type:w grade:w class:w open:c in_stock:c short:c", "form:blade|bat type:w grade:w there:c" } },
	{ draw_store, { "place:r1|r2 day:d emc_mean_pct:n emc_min_pct:n emc_max_pct:n emc_out_of_target_h:c", "place:r1|r2 target_low_pct:n target_high_pct:n",
		"place:r1|r2 day:d mc_mean_pct:n driest_pct:n wettest_pct:n" } },
	{ draw_steps, { "step:w culled:c still:c pieces:c", "step:w cause:w count:c" } },
	{ draw_grades, { "supplier:w scheme:2024|2027 grade:1|2|3|culled count:c of:c share:s" } },
	{ draw_ends, { "charge:w verdict:emptied read_on:d mean_pct:n driest_pct:n wettest_pct:n low_pct:n high_pct:n" } },
	{ draw_weights, { "type:w from:w to:w bats:c low_g:n high_g:n", "order:w type:w open:c", "subject:w mass_low_g:n mass_high_g:n" } },
	{ draw_ages, { "age:w form:cleft|blade|handle|bat|w count:c value:n currency:NZD" } },
	{ draw_readings, { "place:w day:d n:c rh_gap_h:c rh_out_of_band_h:c" } },
	{ draw_origin, { "first:d last:d event:make|sell|return|w part:cleft|handle|bat what:w", "place:w kiln:w first:d last:d days_mean:n emc_mean_pct:n",
		"part:cleft|handle lot:w supplier:w" } },
	{ draw_cost, { "supplier:w blades:c currency:NZD each:n timber_share:s drying_share:s other_share:s losses_share:s" } },
	{ draw_forecasts, { "charge:w day:n after_days:n by_days:n ready_days:n ready_50_low_days:n ready_50_high_days:n ready_90_low_days:n ready_90_high_days:n held_90:s" } },
};

/* One table's manner: how far numbers and days go, and how odd words are. */
struct manner {
	int words, numbers, days;
	double share_absent;
};

static void put_word(struct table *t, const struct manner *m)
{
	static const char *const plain[] = { "a", "b", "K27-09", "store/r1", "alder", "5", "2lb8oz" };
	static const char *const odd[] = { "<b>&\"'</b>", "]]><!--", "שלום עולם", "مرحبا", "🏏🏏🏏", "👩‍🌾👩‍🌾", "日本の柳", "x\ty", "\xff\xfe", "e\xcc\x81\xcc\x81\xcc\x81", "\xef\xbf\xbf", "%s%n" };
	char longer[301];

	if (m->words == 2 && below(3) == 0) {
		memset(longer, 'a' + (int)below(26), 300);
		for (size_t i = 7; below(2) && i < 300; i += 5 + below(20))
			longer[i] = ' ';
		table_text(t, (struct slice){ longer, 300 });
	} else if (m->words && below(2)) {
		table_text(t, slice_of(odd[below(sizeof odd / sizeof *odd)]));
	} else {
		table_text(t, slice_of(plain[below(sizeof plain / sizeof *plain)]));
	}
}

static void put_number(struct table *t, const struct manner *m)
{
	static const double huge[] = { 1e300, -1e300, 1.7e308, -1e18, 1e-300, 1e15, 0 };
	double v = 5 + 20 * dice_share(&dice);

	if (m->numbers == 1)
		v = 9;
	else if (m->numbers == 2)
		v = 1000 * dice_normal(&dice);
	else if (m->numbers == 3)
		v = huge[below(sizeof huge / sizeof *huge)];
	if (below(2))
		table_real(t, v);
	else {
		char text[40];

		snprintf(text, sizeof text, "%.10g", v);
		table_text(t, slice_of(text));
	}
}

static void put_day(struct table *t, const struct manner *m)
{
	static const char *const odd[] = { "0001-01-01", "9999-12-31", "2027-02-30", "yesterday", "2027-06-08 09:05" };
	char text[40];

	if (m->days == 2 && below(3) == 0)
		snprintf(text, sizeof text, "%s", odd[below(sizeof odd / sizeof *odd)]);
	else if (m->days == 1)
		snprintf(text, sizeof text, "2027-06-08");
	else
		snprintf(text, sizeof text, "2027-%02zu-%02zu", 1 + below(12), 1 + below(28));
	table_date(t, slice_of(text));
}

static void put_one_of(struct table *t, struct slice words, const struct manner *m)
{
	size_t n = 1, at;

	for (size_t i = 0; i < words.n; i++)
		n += words.p[i] == '|';
	for (at = below(n); at; at--)
		words = slice_from(words, slice_find(words, '|') + 1);
	words = slice_upto(words, slice_find(words, '|'));
	if (slice_eq(words, SLICE("w")))
		put_word(t, m);
	else
		table_text(t, words);
}

static void put_cell(struct table *t, struct slice kind, const struct manner *m)
{
	if (dice_share(&dice) < m->share_absent)
		table_absent(t);
	else if (slice_eq(kind, SLICE("d")))
		put_day(t, m);
	else if (slice_eq(kind, SLICE("n")))
		put_number(t, m);
	else if (slice_eq(kind, SLICE("s")))
		table_real(t, m->numbers == 3 ? 4 * dice_normal(&dice) : dice_share(&dice));
	else if (slice_eq(kind, SLICE("c")) && m->numbers == 3)
		table_int(t, (int64_t)(dice_normal(&dice) * 1e12));
	else if (slice_eq(kind, SLICE("c")))
		table_int(t, (int64_t)below(2000));
	else
		put_one_of(t, kind, m);
}

/* The columns of the form "name:kind name:kind". */
static void make_table(struct table *t, const char *form, size_t rows, const struct manner *m)
{
	struct slice kind[16];
	size_t n = 0;

	table_init(t, NULL, 0);
	for (const char *at = form; *at; n++) {
		char name[32] = { 0 };
		size_t name_n = strcspn(at, ":"), kind_n = strcspn(at + name_n + 1, " ");

		memcpy(name, at, name_n);
		table_add_column(t, name, TABLE_TEXT, 0);
		kind[n] = (struct slice){ at + name_n + 1, kind_n };
		at += name_n + 1 + kind_n;
		at += *at == ' ';
	}
	for (size_t i = 0; i < rows; i++)
		for (size_t k = 0; k < n; k++)
			put_cell(t, kind[k], m);
}

/* ---- what must hold */

static void check_boxes(const struct scene *s, size_t kind)
{
	size_t over = 0, out = 0, wide = 0;

	for (size_t i = 0; i < s->n; i++) {
		const struct mark *a = &s->mark[i];

		if (a->kind != MARK_TEXT)
			continue;
		if (!(a->box.x >= -0.01 && a->box.y >= -0.01 && a->box.x + a->box.w <= s->width + 0.01 && a->box.y + a->box.h <= s->height + 0.01))
			out++;
		if (scene_text_width(s, a->size, (struct slice){ s->texts.p + a->at, a->n }) > a->box.w + 0.01)
			wide++;
		for (size_t k = 0; k < i; k++)
			if (s->mark[k].kind == MARK_TEXT && labels_overlap(&a->box, &s->mark[k].box))
				over++;
	}
	if (!CHECK(over == 0) || !CHECK(out == 0) || !CHECK(wide == 0))
		printf("\tkind %zu: %zu labels lie over others, %zu leave the picture, %zu are wider than their box\n", kind, over, out, wide);
}

static void check_svg(const struct scene *s, size_t kind)
{
	static const struct xml_calls none = { 0 };
	struct xml_read *x = xml_open(&none, NULL);
	struct buf out = BUF_INIT;
	size_t line;

	svg_write(s, "t", false, &out);
	if (!CHECK(xml_add(x, buf_slice(&out), true)))
		printf("\tkind %zu: %s\n", kind, xml_error(x, &line));
	CHECK(utf8_check(buf_slice(&out), NULL));
	CHECK(!strstr(buf_cstr(&out), "nan") && !strstr(buf_cstr(&out), "inf\""));
	xml_close(x);
	buf_release(&out);
}

static void check_cells(const struct scene *s, size_t kind)
{
	struct buf out = BUF_INIT;
	struct slice rest;
	size_t most = 0;

	cells_write(s, &out);
	for (rest = buf_slice(&out); rest.n;) {
		size_t n = slice_find(rest, '\n'), width = utf8_width(slice_upto(rest, n));

		most = width > most ? width : most;
		rest = slice_from(rest, n < rest.n ? n + 1 : n);
	}
	if (!CHECK((double)most <= s->width / SCENE_CELL_W))
		printf("\tkind %zu: a line of %zu cells\n", kind, most);
	if (s->medium == PICTURE_ASCII)
		for (size_t i = 0; i < out.n; i++)
			if ((unsigned char)out.p[i] >= 0x7f && CHECK((unsigned char)out.p[i] < 0x7f))
				break;
	buf_release(&out);
}

static const enum picture_medium media[] = { PICTURE_SVG, PICTURE_SVG, PICTURE_SVG, PICTURE_CELLS, PICTURE_CELLS, PICTURE_ASCII };
static const double widths[] = { 320, 360, 720, 320, 960, 640 };

static bool draw_once(size_t kind, const struct table *const *tables, size_t n, size_t medium)
{
	struct buf error = BUF_INIT;
	struct given given = { tables, n, "kind", &error };
	struct scene s;
	bool drawn;

	scene_init(&s, media[medium], widths[medium]);
	drawn = asks[kind].draw(&s, &given);
	CHECK(drawn != (error.n > 0));
	if (drawn) {
		CHECK(s.title.n && s.desc.n && isfinite(s.height));
		check_boxes(&s, kind);
		if (media[medium] == PICTURE_SVG)
			check_svg(&s, kind);
		else
			check_cells(&s, kind);
	}
	scene_release(&s);
	buf_release(&error);
	return drawn;
}

static bool draw_random(size_t kind, size_t rows, const struct manner *m)
{
	struct table table[TABLES_MOST];
	const struct table *given[TABLES_MOST];
	size_t n = 0;
	bool drawn = false;

	for (; n < TABLES_MOST && asks[kind].tables[n]; n++) {
		make_table(&table[n], asks[kind].tables[n], rows, m);
		given[n] = &table[n];
	}
	for (size_t i = 0; i < sizeof media / sizeof *media; i++)
		drawn = draw_once(kind, given, n, i) || drawn;
	while (n)
		table_release(&table[--n]);
	return drawn;
}

static void check_kind(size_t kind)
{
	static const size_t sizes[] = { 0, 1, 2, 3, 12, 40, 200 };
	size_t drawn = 0;

	for (size_t i = 0; i < CASES; i++) {
		const struct manner m = { (int)below(3), (int)below(4), (int)below(3), below(3) ? 0 : 0.3 };

		CHECK_CASE(i);
		drawn += draw_random(kind, sizes[i % (sizeof sizes / sizeof *sizes)], &m);
	}
	CHECK_CASE(-1);
	if (!CHECK(drawn > CASES / 3))
		printf("\tkind %zu: only %zu of %d were drawn\n", kind, drawn, CASES);
}

/* ---- labels alone: what is placed is apart and inside */

static void check_labels(void)
{
	struct labels l = { .width = 400, .height = 300 };
	size_t placed = 0;

	for (size_t i = 0; i < 2000; i++) {
		double at = dice_share(&dice), up = dice_share(&dice), wide = dice_share(&dice), high = dice_share(&dice);
		struct label_box want = { 600 * at - 100, 500 * up - 100, 90 * wide, 5 + 20 * high };

		placed += labels_place(&l, &want, 60 * dice_share(&dice));
	}
	CHECK(placed == l.n && placed > 50);
	for (size_t i = 0; i < l.n; i++)
		for (size_t k = 0; k < i; k++)
			CHECK(!labels_overlap(&l.box[i], &l.box[k]));
	labels_release(&l);
}

static void check_widths(void)
{
	CHECK_NEAR(text_width(SLICE("willow"), 100, false), 82 + 28 + 28 + 28 + 62 + 82, 0.001);
	CHECK(text_width(SLICE("willow"), 12, true) > text_width(SLICE("willow"), 12, false));
	CHECK_NEAR(text_width(SLICE("e\xcc\x81"), 100, false), 62, 0.001);
	CHECK_INT(text_fitting(SLICE("willow"), 100, false, 139), 3);
	CHECK_INT(text_fitting(SLICE("willow"), 100, false, 0), 0);
}

int main(void)
{
	check_labels();
	check_widths();
	for (size_t i = 0; i < sizeof asks / sizeof *asks; i++)
		check_kind(i);
	return check_end();
}
