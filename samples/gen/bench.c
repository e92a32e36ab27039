#include <stdio.h>

#include "day.h"
#include "works.h"

enum { A_DAY = 210 }; /* pieces planed, and pieces graded */

static struct lot *lot_of(struct works *w, struct key k)
{
	return lot_find(w, k.lot);
}

/* ---- the planer ---- */

static struct items share_out(struct rng *r, const char *const *cause, const double *share, int n,
	double p, int *left)
{
	struct items it = { .sum = 0 };

	for (int i = 0; i < 4 && cause[i]; i++) {
		int lost = rng_binomial(r, n, p * share[i]);

		if (lost > n - it.sum) /* of a few pieces, one cannot be lost twice */
			lost = n - it.sum;
		items_add(&it, cause[i], lost);
	}
	*left = n - it.sum;
	return it;
}

static struct items plane_culls(struct rng *r, double p, int n, int *left)
{
	static const char *const cause[4] = { "knot", "shake", "stain", "honeycomb" };
	static const double share[4] = { .40, .22, .25, .13 };

	return share_out(r, cause, share, n, p, left);
}

static void plane_entry(struct works *w, struct key from, int n, int minute)
{
	struct rng *r = &w->bench_rng;
	const struct lot *lot = lot_of(w, from);
	int good, small;
	struct items cull = plane_culls(r, lot->source->plane_cull, n, &good), count = { .sum = 0 };
	struct line *l = page_say(&w->page, minute, "plane", lot->id);
	bool jo = minute == UNTIMED;

	small = strcmp(from.type, "SH") == 0 ? rng_binomial(r, good, 0.004) : 0;
	line_pick(l, from, W_LOT | W_FORM, jo ? W_AT : W_AT | W_TYPE);
	items_add(&count, from.type, good - small);
	items_add(&count, "S6", small);
	if (small)
		line_add(l, "count", "%s", count.text);
	else
		line_add(l, "count", "%d", good);
	if (cull.sum)
		line_add(l, "cull", "%s", cull.text);
	line_add(l, "by", jo ? "jo" : "mk");
	page_take(&w->page, from, n);
	page_give(&w->page, key_of(w, lot, "blade", from.type, "", "bench"), good - small);
	if (small)
		page_give(&w->page, key_of(w, lot, "blade", "S6", "", "bench"), small);
}

/* What jo unloaded without a time, mk planes the same afternoon: once. */
static bool same_day(const struct bucket *b)
{
	return strcmp(b->key.lot, "D004") == 0 && strcmp(b->key.type, "SH") == 0 && b->given > 60
		&& b->start == 0;
}

static void plane_day(struct works *w)
{
	const char *bench = shelf_name(&w->shelf, "bench");
	int left = A_DAY, minute = w->day % 3 ? 600 : UNTIMED;
	size_t buckets = w->shelf.n;

	for (size_t i = 0; i < buckets && left > 0; i++) {
		struct bucket b = w->shelf.v[i];
		int n = shelf_free(&b) < left ? shelf_free(&b) : left;

		if (b.key.at != bench || strcmp(b.key.form, "cleft") != 0)
			continue;
		if (same_day(&b))
			plane_entry(w, b.key, 60, 15 * 60);
		if (n == 0)
			continue;
		plane_entry(w, b.key, n, minute);
		minute += minute == UNTIMED ? 0 : 5 + n / 2;
		left -= n;
	}
}

/* Some of a lot that came out of the kiln, tried by hand before it is planed. */
static void hand_probe(struct works *w, struct lot *lot)
{
	struct rng *r = &w->bench_rng;
	double wood = (double)num_round(w->air[ROOM_R1].temp_c - 1);
	struct line *l = page_say(&w->page, 9 * 60 + 10, "probe", lot->id);
	char list[200] = "", one[24];

	lot->fresh = false;
	for (int i = 0; i < 10; i++)
		snprintf(list + strlen(list), sizeof list - strlen(list), "%s%s", i ? "," : "",
			reading_text(one, meter_raw(r, lot->blade_mc + lot->blade_sd * rng_normal(r), wood)));
	line_add(l, "at", "bench");
	line_add(l, "mc", "%s", list);
	line_add(l, "wood", "%ldC", num_round(wood));
	line_add(l, "meter", "pin2");
	line_add(l, "by", "mk");
}

static void hand_probes(struct works *w)
{
	const char *bench = shelf_name(&w->shelf, "bench");

	for (size_t i = 0; i < w->shelf.n; i++) {
		const struct bucket *b = &w->shelf.v[i];

		if (b->key.at == bench && shelf_free(b) > 30 && lot_of(w, b->key)->fresh)
			hand_probe(w, lot_of(w, b->key));
	}
}

/* ---- grading ---- */

static void grade_odds(const struct works *w, const struct lot *lot, double odds[GRADES])
{
	for (int g = 0; g < GRADES; g++)
		odds[g] = lot->graded_like->grade[g];
	if (w->day >= day_of(2027, 7, 1)) {
		odds[1] += STRICTER * odds[0];
		odds[0] -= STRICTER * odds[0];
	}
}

static struct items grade_culls(struct rng *r, double p, int n, int *left)
{
	static const char *const cause[4] = { "speck", "butterfly", "knot", NULL };
	static const double share[4] = { .50, .30, .20, 0 };

	return share_out(r, cause, share, n, p, left);
}

static const char *rack(const struct key k)
{
	bool small = k.type[0] == 'S' && k.type[1] != 'H';
	bool second = k.lot[0] == 'D' && strcmp(k.lot, "D006") > 0;

	return small || second ? "store/r2" : "store/r1";
}

static const char *grader(int day)
{
	static const char *const by[3] = { "mk", "hn", "jo" };

	return by[day % 3];
}

static const double noise_grains[GRADES] = { 8.6, 7.6, 6.6, 5.6 };

static const char *class_of(long mass_g)
{
	return mass_g < 1300 ? "light" : mass_g < 1600 ? "middle" : "heavy";
}

static void judge_entry(struct works *w, const struct judged *j, int grade, int minute, const char *by,
	bool measured)
{
	static const char *const faults[4] = { "knot", "speck", "stain", "butterfly" };
	static const char *const colours[3] = { "white", "cream", "mixed" };
	struct rng *r = &w->bench_rng;
	char piece[24], one[24];
	double wood = (double)num_round(w->air[ROOM_R1].temp_c), mc = j->lot->blade_mc
		+ j->lot->blade_sd * rng_normal(r);
	struct line *l;

	snprintf(piece, sizeof piece, "%s/%02d", j->lot->id, j->number);
	l = page_say(&w->page, minute, "judge", piece);
	line_add(l, "grade", "%s", grades[grade]);
	line_add(l, "grains", "%ld", num_round(noise_grains[j->grade] + 1.3 * rng_normal(r)));
	if (measured) {
		line_add(l, "straight", "%s", grade < 2 || rng_chance(r, .6) ? "straight"
			: rng_chance(r, .7) ? "slight" : "crooked");
		line_add(l, "colour", "%s", colours[grade < 2 ? 0 : rng_int(r, 0, 2)]);
	}
	if (grade > 1 && rng_chance(r, .5))
		line_add(l, "fault", "%s", rng_chance(r, .2) ? "knot,speck" : faults[rng_int(r, 0, 3)]);
	line_add(l, "mass", "%ldg", num_round(j->mass_g * (100 + mc) / 110));
	line_add(l, "class", "%s", class_of(num_round(j->mass_g * (100 + mc) / 110)));
	if (measured) {
		line_add(l, "mc", "%s", reading_text(one, meter_raw(r, mc, wood)));
		line_add(l, "wood", "%ldC", num_round(wood));
		line_add(l, "meter", "pin2");
		line_add(l, "handle-end", "%s", rng_chance(r, .7) ? "butt" : "tip");
	}
	line_add(l, "by", "%s", by);
}

static struct judged *judged_new(struct works *w, struct lot *lot, int kind, int grade)
{
	struct judged *j = mem_zeroed(1, sizeof *j);

	*j = (struct judged){ .lot = lot, .number = ++lot->judged, .kind = kind, .grade = grade,
		.mass_g = kinds[kind].mass_g + BLANK_SD * rng_normal(&w->bench_rng), .day = w->day,
		.by = grader(w->day) };
	w->judged = mem_grow(w->judged, &w->judged_cap, w->judged_n + 1, sizeof *w->judged);
	return w->judged[w->judged_n++] = j;
}

/* Some of the pieces just graded are numbered and written up. */
static void judge_some(struct works *w, struct lot *lot, int kind, const int count[GRADES], int minute)
{
	struct rng *r = &w->bench_rng;
	int left[GRADES], n = rng_int(r, 5, 10);

	memcpy(left, count, sizeof left);
	for (int i = 0; i < n; i++) {
		double weight[GRADES];
		int g;

		for (int k = 0; k < GRADES; k++)
			weight[k] = left[k] * (k == 0 ? 3 : 1);
		g = rng_which(r, weight, GRADES);
		if (left[g]-- <= 0)
			return;
		judge_entry(w, judged_new(w, lot, kind, g), g, minute + 5 * i, grader(w->day), true);
	}
}

static int second_opinion(struct rng *r, int grade)
{
	double u = rng_unit(r);

	if (u < JUDGE_SAME)
		return grade;
	if (u < JUDGE_SAME + JUDGE_WORSE)
		return grade < GRADES - 1 ? grade + 1 : grade;
	return grade > 0 ? grade - 1 : grade;
}

/* Another eye goes over part of what was judged in the days before. */
static void judge_again(struct works *w)
{
	int minute = 8 * 60 + 10;
	bool jo = w->day % 2;

	for (size_t i = 0; i < w->judged_n; i++) {
		struct judged *j = w->judged[i];

		if (j->again || j->used || j->day >= w->day || w->day - j->day > 5)
			continue;
		j->again = true;
		if (!rng_chance(&w->bench_rng, 0.4))
			continue;
		judge_entry(w, j, second_opinion(&w->bench_rng, j->grade), jo ? UNTIMED : minute,
			jo ? "jo" : strcmp(j->by, "hn") == 0 ? "mk" : "hn", false);
		minute += 4;
	}
}

static void grade_entry(struct works *w, struct key from, int n, int minute)
{
	struct rng *r = &w->bench_rng;
	struct lot *lot = lot_of(w, from);
	int good, count[GRADES] = { 0 };
	double odds[GRADES];
	struct items cull = grade_culls(r, lot->source->grade_cull, n, &good), items = { .sum = 0 };
	struct line *l = page_say(&w->page, minute, "grade", lot->id);
	bool jo = minute == UNTIMED;

	grade_odds(w, lot, odds);
	for (int i = 0; i < good; i++)
		count[rng_which(r, odds, GRADES)]++;
	for (int g = 0; g < GRADES; g++)
		items_add(&items, grades[g], count[g]);
	line_pick(l, from, W_LOT | W_FORM | W_GRADE, jo ? W_AT : W_AT | W_TYPE);
	line_add(l, "count", "%s", items.sum ? items.text : "0");
	if (cull.sum)
		line_add(l, "cull", "%s", cull.text);
	line_add(l, "into", "%s", rack(from));
	line_add(l, "by", "%s", jo ? "jo" : grader(w->day));
	page_take(&w->page, from, n);
	for (int g = 0; g < GRADES; g++)
		if (count[g])
			page_give(&w->page, key_of(w, lot, "blade", from.type, grades[g], rack(from)), count[g]);
	if (!jo && good > 40 && rng_chance(r, .6))
		judge_some(w, lot, kind_index(from.type), count, minute + 60);
}

static void grade_day(struct works *w)
{
	const char *bench = shelf_name(&w->shelf, "bench");
	int left = A_DAY, minute = strcmp(grader(w->day), "jo") == 0 ? UNTIMED : 15 * 60 + 30;
	size_t buckets = w->shelf.n;

	for (size_t i = 0; i < buckets && left > 0; i++) {
		struct bucket b = w->shelf.v[i];
		int n = shelf_free(&b) < left ? shelf_free(&b) : left;

		if (b.key.at != bench || strcmp(b.key.form, "blade") != 0 || n == 0)
			continue;
		grade_entry(w, b.key, n, minute);
		minute += minute == UNTIMED ? 0 : 20;
		left -= n;
	}
}

void bench_day(struct works *w)
{
	judge_again(w);
	hand_probes(w);
	plane_day(w);
	grade_day(w);
}
