#include <stdio.h>

#include "day.h"
#include "works.h"

static bool stored(const struct bucket *b)
{
	return strncmp(b->key.at, "store/r", 7) == 0;
}

/* ---- the wood follows the air ---- */

static void settle(struct works *w)
{
	double room = num_emc_pct(w->air[ROOM_R1].temp_c, w->air[ROOM_R1].rh_pct);
	double cane = num_emc_pct(w->air[ROOM_CANE].temp_c, w->air[ROOM_CANE].rh_pct);

	for (size_t i = 0; i < w->lots_n; i++) {
		struct lot *l = w->lots[i];

		if (l->handle)
			l->blade_mc += HANDLE_K * (cane - l->blade_mc);
		else if (l->blade_mc > 0)
			l->blade_mc += STORE_K * (room - l->blade_mc);
		if (l->blade_sd > 0.2)
			l->blade_sd *= 1 - STORE_K / 2;
	}
}

static void probe_list(struct works *w, const struct lot *lot, const char *at, int n, int minute)
{
	struct rng *r = &w->store_rng;
	double wood = (double)num_round(w->air[lot->handle ? ROOM_CANE : ROOM_R1].temp_c);
	struct line *l = page_say(&w->page, minute, "probe", lot->id);
	char list[160] = "", one[24];

	for (int i = 0; i < n; i++)
		snprintf(list + strlen(list), sizeof list - strlen(list), "%s%s", i ? "," : "",
			reading_text(one, meter_raw(r, lot->blade_mc + lot->blade_sd * rng_normal(r), wood)));
	line_add(l, "at", "%s", at);
	line_add(l, "mc", "%s", list);
	line_add(l, "wood", "%ldC", num_round(wood));
	line_add(l, "meter", lot->handle ? "pin2/cane" : "pin2");
	line_add(l, "by", "mk");
}

static int held(const struct works *w, const struct lot *lot, const char *at)
{
	return shelf_sum(&w->shelf, lot->id, "", at);
}

static void monthly_probes(struct works *w)
{
	int minute = 10 * 60 + 20, n = 0;

	for (size_t i = w->lots_n; i-- > 0;) {
		struct lot *lot = w->lots[i];

		if (lot->handle && held(w, lot, "cane") > 10)
			probe_list(w, lot, "cane", 5, minute += 5);
		else if (!lot->handle && held(w, lot, "store/r1") > 60 && n++ < 4)
			probe_list(w, lot, "store/r1", 6, minute += 5);
	}
}

/* ---- seen again, put elsewhere, thrown together ---- */

static void regrade_entry(struct works *w, const struct bucket *b, int minute)
{
	struct rng *r = &w->store_rng;
	int own = b->key.grade[0] - '1', n = shelf_free(b), count[GRADES] = { 0 };
	struct items items = { .sum = 0 };
	struct line *l = page_say(&w->page, minute, "grade", b->key.lot);
	struct key to = b->key;

	for (int i = 0; i < n; i++) {
		double u = rng_unit(r);
		int g = u < 0.03 && own > 0 ? own - 1 : u > 0.93 && own < GRADES - 1 ? own + 1 : own;

		count[g]++;
	}
	for (int g = 0; g < GRADES; g++)
		items_add(&items, grades[g], count[g]);
	line_pick(l, b->key, W_LOT | W_FORM, W_AT | W_TYPE | W_GRADE);
	line_add(l, "count", "%s", items.text);
	line_add(l, "by", "mk");
	page_take(&w->page, b->key, n);
	for (int g = 0; g < GRADES; g++) {
		to.grade = shelf_name(&w->shelf, grades[g]);
		if (count[g])
			page_give(&w->page, to, count[g]);
	}
}

static void regrade(struct works *w, const char *grade, int most)
{
	size_t buckets = w->shelf.n;
	int minute = 9 * 60;

	for (size_t i = 0; i < buckets && most > 0; i++) {
		struct bucket b = w->shelf.v[i];

		if (!stored(&b) || strcmp(b.key.grade, grade) != 0 || shelf_free(&b) < 12)
			continue;
		regrade_entry(w, &b, minute);
		minute += 25;
		most--;
	}
}

static void move_grade(struct works *w, const char *grade, int most)
{
	size_t buckets = w->shelf.n;
	const char *r1 = shelf_name(&w->shelf, "store/r1");

	for (size_t i = 0; i < buckets && most > 0; i++) {
		struct bucket b = w->shelf.v[i];
		int n = shelf_free(&b);
		struct line *l;

		if (b.key.at != r1 || strcmp(b.key.grade, grade) != 0 || n < 20)
			continue;
		l = page_say(&w->page, UNTIMED, "move", b.key.lot);
		line_pick(l, b.key, W_LOT, W_AT | W_GRADE);
		line_add(l, "count", "%d", n);
		line_add(l, "into", "store/r2");
		line_add(l, "by", "jo");
		page_take(&w->page, b.key, n);
		b.key.at = shelf_name(&w->shelf, "store/r2");
		page_give(&w->page, b.key, n);
		most--;
	}
}

static bool leftover(const struct bucket *b, const char *at)
{
	return strcmp(b->key.at, at) == 0 && strcmp(b->key.type, "S6") == 0
		&& strcmp(b->key.grade, "4") == 0 && shelf_free(b) > 0 && shelf_free(b) < 40
		&& b->key.lot[0] != 'R';
}

/* The last 4s of many lots go on one shelf, and nobody can distinguish them again. */
static void pool_leftovers(struct works *w, const char *id, const char *at)
{
	struct lot *pool = NULL;
	char list[160] = "";
	struct line *l;
	int sum = 0, lots = 0;
	size_t buckets = w->shelf.n;

	for (size_t i = 0; i < buckets && lots < 6; i++) {
		struct bucket b = w->shelf.v[i];
		int n = shelf_free(&b);

		if (!leftover(&b, at))
			continue;
		snprintf(list + strlen(list), sizeof list - strlen(list), "%s%s:%d", lots++ ? "," : "", b.key.lot, n);
		sum += n;
	}
	if (lots < 2)
		stop("nothing to pool in %s", at);
	pool = lot_new(w, id, source_of("OLD"));
	pool->blade_mc = 9.3;
	pool->blade_sd = 0.4;
	l = page_say(&w->page, 11 * 60, "pool", id);
	line_add(l, "lot", "%s", list);
	line_add(l, "at", "%s", at);
	line_add(l, "form", "blade");
	line_add(l, "type", "S6");
	line_add(l, "grade", "4");
	line_add(l, "by", "mk");
	line_remark(l, "the ends of the 4s, on one shelf");
	for (size_t i = 0; i < buckets && lots > 0; i++) {
		struct bucket b = w->shelf.v[i];

		if (leftover(&b, at)) {
			page_take(&w->page, b.key, shelf_free(&b));
			lots--;
		}
	}
	page_give(&w->page, key_of(w, pool, "blade", "S6", "4", at), sum);
}

/* ---- counting ---- */

static void tally_entry(struct works *w, struct key k, int book, int missing, int found)
{
	struct line *l = page_say(&w->page, UNTIMED, "tally", k.lot);

	line_pick(l, k, W_LOT, W_AT);
	line_add(l, "count", "%d", book - missing + found);
	if (missing)
		line_add(l, "cull", "missing:%d", missing);
	if (found)
		line_add(l, "found", "%d", found);
	line_add(l, "by", "jo");
	page_take(&w->page, k, missing);
	page_give(&w->page, k, found);
}

void store_tally(struct works *w, double missing, double found)
{
	size_t buckets = w->shelf.n;

	for (size_t i = 0; i < buckets; i++) {
		struct bucket b = w->shelf.v[i];
		bool here = stored(&b) || strcmp(b.key.at, "cane") == 0 || strncmp(b.key.at, "yard/", 5) == 0;
		bool lost = rng_chance(&w->store_rng, missing), more = rng_chance(&w->store_rng, found);

		if (here && b.n > 0)
			tally_entry(w, b.key, b.n, lost && b.n > 5 ? 1 + b.n % 3 : 0, more && !lost ? 1 : 0);
	}
}

static void found_again(struct works *w)
{
	for (size_t i = 0; i < w->shelf.n; i++) {
		struct bucket b = w->shelf.v[i];
		struct line *l;

		if (!stored(&b) || strcmp(b.key.lot, "C012") != 0 || b.n < 20)
			continue;
		l = page_say(&w->page, 10 * 60, "tally", b.key.lot);
		line_pick(l, b.key, W_LOT, W_AT | W_TYPE | W_GRADE);
		line_add(l, "count", "%d", b.n + 2);
		line_add(l, "found", "2");
		line_add(l, "by", "mk");
		line_remark(l, "behind the rack");
		page_give(&w->page, b.key, 2);
		return;
	}
}

void store_day(struct works *w)
{
	settle(w);
	if (day_works(w->day) && day_weekday(w->day) == 2 && day_dom(w->day) >= 8 && day_dom(w->day) <= 14)
		monthly_probes(w);
	if (w->day == day_of(2026, 11, 19))
		move_grade(w, "4", 4);
	if (w->day == day_of(2026, 12, 15))
		regrade(w, "2", 3);
	if (w->day == day_of(2027, 1, 20))
		found_again(w);
	if (w->day == day_of(2027, 3, 3))
		pool_leftovers(w, "R27-1", "store/r2");
	if (w->day == day_of(2027, 7, 6))
		regrade(w, "1", 6);
	if (w->day == day_of(2027, 11, 10))
		pool_leftovers(w, "R27-2", "store/r2");
	if (w->day == day_of(2027, 11, 24))
		regrade(w, "3", 2);
}
