#include <stdio.h>

#include "day.h"
#include "works.h"

/* ---- what stood there when the book begins ---- */

static void opening(struct works *w, const char *lot, const char *form, const char *type,
	const char *grade, const char *at, int n)
{
	struct line *l = page_say(&w->page, UNTIMED, "tally", lot);
	struct key k = shelf_key(&w->shelf, lot, form, type, grade, at);

	line_add(l, "at", "%s", at);
	line_add(l, "form", "%s", form);
	line_add(l, "type", "%s", type);
	if (*k.grade)
		line_add(l, "grade", "%s", grade);
	line_add(l, "count", "%d", n);
	line_add(l, "found", "%d", n);
	line_add(l, "by", "jo");
	page_give(&w->page, k, n);
}

static struct lot *opening_clefts(struct works *w, const char *id, const char *source, double mc)
{
	struct lot *l = lot_new(w, id, source_of(source));

	l->cleft_mc = mc;
	l->cleft_sd = 1.8;
	return l;
}

static void opening_blades(struct works *w, const char *id, const char *source, const char *type,
	const int n[GRADES], const char *at)
{
	struct lot *l = lot_new(w, id, source_of(source));

	l->blade_mc = 9.3;
	l->blade_sd = 0.5;
	for (int g = 0; g < GRADES; g++)
		opening(w, id, "blade", type, grades[g], at, n[g]);
}

void yard_open(struct works *w)
{
	static const int m25[GRADES] = { 24, 92, 118, 61 }, c008[GRADES] = { 19, 88, 104, 52 },
		n25[GRADES] = { 3, 11, 17, 9 };
	char id[12];

	for (int i = 31; i <= 38; i++) {
		snprintf(id, sizeof id, "L%03u", (unsigned)i % 1000);
		opening_clefts(w, id, "OLD", 19.5 + 0.3 * (double)(i - 31));
		opening(w, id, "cleft", "SH", "", "yard/b1", 24 + (i * 7) % 9);
		opening(w, id, "cleft", "S6", "", "yard/b1", 4 + i % 3);
	}
	line_remark(w->page.lines[w->page.n - 1], "the eight trees of July 2025");
	opening_clefts(w, "C009", "alder", 22);
	opening(w, "C009", "cleft", "SH", "", "yard/b2", 620);
	opening(w, "C009", "cleft", "S6", "", "yard/b2", 80);
	opening_clefts(w, "D004", "koethe", 23);
	opening(w, "D004", "cleft", "SH", "", "yard/b4", 410);
	opening(w, "D004", "cleft", "S6", "", "yard/b4", 60);
	opening_blades(w, "M25-07", "OLD", "SH", m25, "store/r1");
	opening_blades(w, "C008", "alder", "SH", c008, "store/r1");
	opening_blades(w, "N25-07", "OLD", "S6", n25, "store/r2");
}

/* ---- bought-in clefts ---- */

static void claims_text(struct items *it, struct rng *r, const struct source *s, int n)
{
	static const char *const names[3] = { "A", "B", "C" };
	int count[3] = { 0 };

	for (int i = 0; i < n; i++)
		count[rng_which(r, s->claim, 3)]++;
	for (int i = 0; i < 3; i++)
		items_add(it, names[i], count[i]);
}

static void haulage(struct works *w, const struct buying *b, const struct source *s, int doc)
{
	char text[24];
	struct line *l = page_say(&w->page, UNTIMED, "cost", b->lot);
	struct rng *r = &w->yard_rng;

	line_add(l, "kind", "haulage");
	line_add(l, "price", "%s%s", num_text(text, rng_int(r, 380, 620), 2), s->currency);
	line_add(l, "doc", "%s-%d", s->bought && s->k > 1 ? "AC" : "WK", doc);
	line_add(l, "from", "%s", s->party);
	l = page_say(&w->page, UNTIMED, "cost", b->lot);
	line_add(l, "kind", "haulage");
	line_add(l, "price", "%sNZD", num_text(text, rng_int(r, 210, 340), 2));
	line_add(l, "from", "tuvoro");
}

/* The supplier makes up for the clefts that were split on arrival. */
static void credit(struct works *w, const struct buying *b, const struct source *s, int doc)
{
	struct line *l = page_say(&w->page, UNTIMED, "credit", b->lot);
	char price[24];

	line_add(l, "from", "%s", s->party);
	line_add(l, "price", "%s%s", num_text(price, s->price * 2, 2), s->currency);
	line_add(l, "fault", "split");
	line_add(l, "doc", "%s-%d-C", s->k > 1 ? "AC" : "WK", doc);
	line_add(l, "by", "jo");
}

static void delivery(struct works *w, const struct buying *b)
{
	const struct source *s = source_of(b->source);
	struct lot *lot = lot_new(w, b->lot, s);
	struct rng *r = &w->yard_rng;
	struct items count = { .sum = 0 }, cull = { .sum = 0 }, claimed = { .sum = 0 };
	struct line *l = page_say(&w->page, UNTIMED, "buy", b->lot);
	char price[24];
	int doc = rng_int(r, 2100, 9800);

	lot->cleft_mc = b->start_mc;
	lot->cleft_sd = s->k < 1 ? 2.6 : 1.9;
	if (b->grade_like)
		lot->graded_like = source_of(b->grade_like);
	for (int i = 0; i < TYPES; i++)
		items_add(&count, kinds[i].id, b->count[i]);
	items_add(&cull, "split", rng_int(r, 0, 4));
	items_add(&cull, "short", rng_int(r, 0, 2));
	claims_text(&claimed, r, s, count.sum + cull.sum);
	line_add(l, "form", "cleft");
	line_add(l, "count", "%s", count.text);
	if (cull.sum)
		line_add(l, "cull", "%s", cull.text);
	line_add(l, "claimed", "%s", claimed.text);
	line_add(l, "price", "%s%s", num_text(price, s->price * (double)(count.sum + cull.sum), 2),
		s->currency);
	line_add(l, "doc", "%s-%d", s->k > 1 ? "AC" : "WK", doc);
	line_add(l, "origin", "%s", s->origin);
	line_add(l, "from", "%s", s->party);
	line_add(l, "into", "%s", b->at);
	line_add(l, "by", "jo");
	for (int i = 0; i < TYPES; i++)
		if (b->count[i])
			page_give(&w->page, key_of(w, lot, "cleft", kinds[i].id, "", b->at), b->count[i]);
	haulage(w, b, s, doc);
	if (strcmp(b->lot, "C014") == 0)
		credit(w, b, s, doc);
}

static void yard_probe(struct works *w, const struct lot *lot, const char *at, int n)
{
	struct rng *r = &w->yard_rng;
	double wood = (double)num_round(w->air[ROOM_YARD].temp_c);
	struct line *l = page_say(&w->page, 9 * 60 + rng_int(r, 0, 8) * 5, "probe", lot->id);
	char list[200] = "", one[24];

	for (int i = 0; i < n; i++) {
		reading_text(one, meter_raw(r, lot->cleft_mc + lot->cleft_sd * rng_normal(r), wood));
		snprintf(list + strlen(list), sizeof list - strlen(list), "%s%s", i ? "," : "", one);
	}
	line_add(l, "at", "%s", at);
	line_add(l, "mc", "%s", list);
	line_add(l, "wood", "%ldC", num_round(wood));
	line_add(l, "meter", "pin2");
	line_add(l, "depth", "8mm");
	line_add(l, "by", "mk");
}

static void reseal(struct works *w, const struct lot *lot)
{
	struct line *l = page_say(&w->page, UNTIMED, "seal", lot->id);

	line_add(l, "with", "wax");
	line_add(l, "by", "jo");
	line_remark(l, "some ends had cracked open under way");
}

/* The small sizes go to a bay of their own. */
static void sort_out(struct works *w, const struct lot *lot, const char *from, const char *into)
{
	for (int i = 2; i < TYPES; i++) {
		struct key k = key_of(w, lot, "cleft", kinds[i].id, "", from);
		int n = shelf_free(shelf_at(&w->shelf, k));
		struct line *l;

		if (n == 0)
			continue;
		l = page_say(&w->page, UNTIMED, "move", lot->id);
		line_pick(l, k, W_LOT, W_AT);
		line_add(l, "count", "%d", n);
		line_add(l, "into", "%s", into);
		line_add(l, "by", "jo");
		page_take(&w->page, k, n);
		k.at = shelf_name(&w->shelf, into);
		page_give(&w->page, k, n);
	}
}

static void yard_split(struct works *w, const struct lot *lot, const char *at)
{
	struct key k = key_of(w, lot, "cleft", "SH", "", at);
	struct line *l;

	if (shelf_free(shelf_at(&w->shelf, k)) < 5)
		return;
	l = page_say(&w->page, UNTIMED, "scrap", lot->id);
	line_pick(l, k, W_LOT, W_AT);
	line_add(l, "cull", "split:%d", 1 + w->day % 2);
	line_add(l, "by", "jo");
	page_take(&w->page, k, 1 + w->day % 2);
}

static void bought_day(struct works *w, const struct buying *b)
{
	int arrived = day_next_work(day_of(b->year, b->month, b->day));

	if (w->day == arrived)
		delivery(w, b);
	if (w->day == day_next_work(arrived + 1))
		yard_probe(w, lot_find(w, b->lot), b->at, 8);
	if (w->day == day_next_work(arrived + 2))
		reseal(w, lot_find(w, b->lot));
	if (w->day == day_next_work(arrived + 5))
		sort_out(w, lot_find(w, b->lot), b->at, "yard/b6");
	if (w->day == day_next_work(arrived + 17))
		yard_split(w, lot_find(w, b->lot), b->at);
}

/* ---- our own trees ---- */

static void parcel_costs(struct works *w, const struct source *s)
{
	struct rng *r = &w->yard_rng;
	struct line *l = page_say(&w->page, UNTIMED, "cost", s->id);
	char text[24];

	line_add(l, "kind", "timber");
	line_add(l, "price", "%sNZD", num_text(text, rng_int(r, 210, 320) * 10, 2));
	line_add(l, "doc", "%s-%d", s->party, day_year(w->day) % 100);
	line_add(l, "from", "%s", s->party);
	line_remark(l, "the whole parcel, standing");
	l = page_say(&w->page, UNTIMED, "cost", s->id);
	line_add(l, "kind", "haulage");
	line_add(l, "price", "%sNZD", num_text(text, rng_int(r, 52, 80) * 10, 2));
	line_add(l, "from", "tuvoro");
}

static void tree_fell(struct works *w, const struct source *s, int no)
{
	struct rng *r = &w->yard_rng;
	char id[12];
	struct line *l;

	snprintf(id, sizeof id, "T%03u", (unsigned)no % 1000);
	l = page_say(&w->page, UNTIMED, "fell", id);
	line_add(l, "parcel", "%s", s->id);
	line_add(l, "site", "%s", s->site);
	line_add(l, "girth", "%dmm", rng_int(r, 134, 152) * 10);
	line_add(l, "age", "%d", rng_int(r, 15, 20));
	line_add(l, "licence", "FL-%d-%d", day_year(w->day), s->id[2] == '2' || s->id[2] == '4' ? 114 : 131);
	line_add(l, "from", "%s", s->party);
	if (no % 9 == 0) {
		l = page_say(&w->page, UNTIMED, "cost", id);
		line_add(l, "kind", "felling");
		line_add(l, "price", "%d.00NZD", rng_int(r, 9, 14) * 10);
		line_remark(l, "leaned over the fence, winched");
	}
}

static struct items cleave_culls(struct rng *r, double p, int *n)
{
	static const char *const cause[4] = { "knot", "shake", "stain", "split" };
	struct items it = { .sum = 0 };

	for (int i = 0; i < 4; i++) {
		static const double share[4] = { .35, .25, .30, .10 };
		int lost = rng_binomial(r, *n, p * share[i]);

		items_add(&it, cause[i], lost);
		*n -= lost;
	}
	return it;
}

static void cleave_entry(struct works *w, struct lot *lot, const char *tree, int rolls, bool timed)
{
	struct rng *r = &w->yard_rng;
	int n = rolls * 10 + rng_int(r, -1, 2), s6;
	struct items cull = cleave_culls(r, lot->source->cleave_cull, &n), count = { .sum = 0 };
	struct line *l = page_say(&w->page, timed ? 600 + rng_int(r, 0, 30) * 5 : UNTIMED, "cleave", lot->id);

	s6 = rng_binomial(r, n, 0.17);
	items_add(&count, "SH", n - s6);
	items_add(&count, "S6", s6);
	line_add(l, "tree", "%s", tree);
	line_add(l, "rolls", "%d", rolls);
	line_add(l, "count", "%s", count.text);
	if (cull.sum)
		line_add(l, "cull", "%s", cull.text);
	line_add(l, "into", "yard/b1");
	line_add(l, "by", timed ? "mk" : "jo");
	line_add(l, "chalk", "%s", lot->source->id[2] % 2 ? "red" : "blue");
	page_give(&w->page, key_of(w, lot, "cleft", "SH", "", "yard/b1"), n - s6);
	page_give(&w->page, key_of(w, lot, "cleft", "S6", "", "yard/b1"), s6);
}

static void cleave_nothing(struct works *w, const struct lot *lot, const char *tree)
{
	struct line *l = page_say(&w->page, 10 * 60, "cleave", lot->id);

	line_add(l, "tree", "%s", tree);
	line_add(l, "rolls", "3");
	line_add(l, "count", "0");
	line_add(l, "cull", "stain:24,knot:5");
	line_add(l, "by", "mk");
	line_remark(l, "black heart right up; nothing saved");
}

/* A tree in two goes, or in one. */
static void tree_cleave(struct works *w, const struct source *s, int no, int go)
{
	char lot[12], tree[12];
	bool two = no % 3 == 0;
	struct lot *l;

	snprintf(lot, sizeof lot, "L%03u", (unsigned)no % 1000);
	snprintf(tree, sizeof tree, "T%03u", (unsigned)no % 1000);
	if (go == 0) {
		l = lot_new(w, lot, s);
		l->cleft_mc = 58;
		l->cleft_sd = 3.5;
		if (no == 79)
			cleave_nothing(w, l, tree);
		else
			cleave_entry(w, l, tree, two ? 2 : 3 + no % 2, no % 5 != 2);
	} else if (two) {
		cleave_entry(w, lot_find(w, lot), tree, 2, true);
	}
}

static void tree_seal(struct works *w, int no)
{
	char lot[12];
	struct line *l;

	if (no == 79)
		return;
	snprintf(lot, sizeof lot, "L%03u", (unsigned)no % 1000);
	l = page_say(&w->page, UNTIMED, "seal", lot);
	line_add(l, "with", "wax");
	line_add(l, "by", "jo");
}

/* Off the cleaving floor, to where the wind blows. */
static void tree_move(struct works *w, int no)
{
	char id[12];
	int minute = 8 * 60 + 30;

	if (no % 2 || no == 79)
		return;
	snprintf(id, sizeof id, "L%03u", (unsigned)no % 1000);
	for (int i = 0; i < TYPES; i++) {
		struct key k = key_of(w, lot_find(w, id), "cleft", kinds[i].id, "", "yard/b1");
		int n = shelf_free(shelf_at(&w->shelf, k));
		struct line *l;

		if (n == 0)
			continue;
		l = page_say(&w->page, minute++, "move", id);
		line_pick(l, k, W_LOT, W_AT | W_TYPE);
		line_add(l, "count", "%d", n);
		line_add(l, "into", "yard/b3");
		line_add(l, "by", "mk");
		page_take(&w->page, k, n);
		k.at = shelf_name(&w->shelf, "yard/b3");
		page_give(&w->page, k, n);
	}
}

static void felling_day(struct works *w, const struct felling *f, int first_no)
{
	int start = day_of(f->year, f->month, f->day);
	const struct source *s = source_of(f->source);

	if (w->day == day_next_work(start))
		parcel_costs(w, s);
	for (int i = 0; i < f->trees; i++) {
		int felled = day_next_work(start + 3 * (i / 2)), cleft = day_next_work(felled + 1);

		if (w->day == felled)
			tree_fell(w, s, first_no + i);
		if (w->day == cleft)
			tree_cleave(w, s, first_no + i, 0);
		if (w->day == day_next_work(cleft + 1))
			tree_cleave(w, s, first_no + i, 1);
		if (w->day == day_next_work(cleft + 2))
			tree_seal(w, first_no + i);
		if (w->day == day_next_work(cleft + 38))
			tree_move(w, first_no + i);
	}
}

void yard_day(struct works *w)
{
	double emc = num_emc_pct(w->air[ROOM_YARD].temp_c, w->air[ROOM_YARD].rh_pct);
	int no = 61;

	for (size_t i = 0; i < w->lots_n; i++)
		w->lots[i]->cleft_mc += YARD_K * (emc - w->lots[i]->cleft_mc);
	for (size_t i = 0; i < buyings_n; i++)
		bought_day(w, &buyings[i]);
	for (size_t i = 0; i < fellings_n; i++) {
		felling_day(w, &fellings[i], no);
		no += fellings[i].trees;
	}
}
