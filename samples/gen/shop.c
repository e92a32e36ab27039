#include <stdio.h>

#include "day.h"
#include "works.h"

/* ---- handles ---- */

static const struct handles {
	int year, month, day;
	const char *lot, *type;
	int n;
	double mc;
} handles[] = {
	{ 2026, 2, 23, "H032", "HS", 220, 13.6 },
	{ 2026, 3, 30, "J008", "HJ", 80, 13.2 },
	{ 2026, 9, 14, "H033", "HS", 140, 13.9 },
	{ 2027, 3, 22, "H034", "HS", 120, 16.2 },
	{ 2027, 4, 26, "J009", "HJ", 70, 13.5 },
	{ 2027, 7, 26, "H035", "HS", 160, 13.8 },
};

static struct lot *handles_new(struct works *w, const char *id, double mc)
{
	struct lot *l = lot_new(w, id, NULL);

	l->handle = true;
	l->blade_mc = mc;
	l->blade_sd = 0.5;
	return l;
}

static void handles_opening(struct works *w, const char *lot, const char *type, int n)
{
	struct line *l = page_say(&w->page, UNTIMED, "tally", lot);

	handles_new(w, lot, 9.4);
	line_add(l, "at", "cane");
	line_add(l, "form", "handle");
	line_add(l, "type", "%s", type);
	line_add(l, "count", "%d", n);
	line_add(l, "found", "%d", n);
	line_add(l, "since", "2025-09-15");
	line_add(l, "by", "jo");
	page_give(&w->page, shelf_key(&w->shelf, lot, "handle", type, "", "cane"), n);
}

void shop_open(struct works *w)
{
	handles_opening(w, "H031", "HS", 90);
	handles_opening(w, "J007", "HJ", 40);
}

static void handles_arrive(struct works *w, const struct handles *h)
{
	struct line *l = page_say(&w->page, UNTIMED, "buy", h->lot);
	char price[24];

	handles_new(w, h->lot, h->mc);
	line_add(l, "form", "handle");
	line_add(l, "count", "%s:%d", h->type, h->n);
	line_add(l, "price", "%sGBP", num_text(price, h->n * 3.15, 2));
	line_add(l, "doc", "RC-%d", 480 + h->n + h->day);
	line_add(l, "from", "rattovane");
	line_add(l, "into", "cane");
	line_add(l, "by", "jo");
	page_give(&w->page, shelf_key(&w->shelf, h->lot, "handle", h->type, "", "cane"), h->n);
}

static void handles_probe(struct works *w, const struct lot *lot)
{
	struct rng *r = &w->shop_rng;
	double wood = (double)num_round(w->air[ROOM_CANE].temp_c);
	struct line *l = page_say(&w->page, UNTIMED, "probe", lot->id);
	char list[120] = "", one[24];

	for (int i = 0; i < 4; i++)
		snprintf(list + strlen(list), sizeof list - strlen(list), "%s%s", i ? "," : "",
			reading_text(one, meter_raw(r, lot->blade_mc + lot->blade_sd * rng_normal(r), wood)));
	line_add(l, "at", "cane");
	line_add(l, "mc", "%s", list);
	line_add(l, "wood", "%ldC", num_round(wood));
	line_add(l, "meter", "pin2/cane");
	line_add(l, "by", "jo");
}

static void handles_split(struct works *w, const struct handles *h)
{
	struct key k = shelf_key(&w->shelf, h->lot, "handle", h->type, "", "cane");
	struct line *l = page_say(&w->page, UNTIMED, "scrap", h->lot);

	line_pick(l, k, W_LOT, W_AT);
	line_add(l, "cull", "split:%d", 2 + h->n % 3);
	line_add(l, "by", "jo");
	page_take(&w->page, k, 2 + h->n % 3);
}

static void handles_day(struct works *w)
{
	for (size_t i = 0; i < sizeof handles / sizeof handles[0]; i++) {
		const struct handles *h = &handles[i];
		int arrived = day_next_work(day_of(h->year, h->month, h->day));

		if (w->day == arrived)
			handles_arrive(w, h);
		if (w->day == day_next_work(arrived + 1))
			handles_probe(w, lot_find(w, h->lot));
		if (w->day == day_next_work(arrived + 19))
			handles_split(w, h);
	}
}

/* The hasty weeks: handles went into blades before they had rested. */
static bool hasty(int day)
{
	return day >= day_of(2027, 4, 14) && day < day_of(2027, 6, 4);
}

static bool handle_fit(const struct works *w, const struct lot *l, double blade_mc)
{
	double apart = l->blade_mc - blade_mc;

	if (hasty(w->day) && strcmp(l->id, "H034") == 0)
		return true;
	return apart < 0.6 && apart > -0.6;
}

static int handles_in(struct works *w, const struct lot *l, const char *type, const char *at)
{
	return shelf_free(shelf_at(&w->shelf, shelf_key(&w->shelf, l->id, "handle", type, "", at)));
}

/* The lot to take handles of a type from, in a place; NULL when none will do. */
static struct lot *handle_choose(struct works *w, const char *type, const char *at, double blade_mc)
{
	struct lot *best = NULL;

	for (size_t i = 0; i < w->lots_n; i++) {
		struct lot *l = w->lots[i];

		if (!l->handle || handles_in(w, l, type, at) == 0 || !handle_fit(w, l, blade_mc))
			continue;
		if (!best || (hasty(w->day) && strcmp(l->id, "H034") == 0))
			best = l;
	}
	return best;
}

static void handles_fetch(struct works *w, const char *type, int least, int minute)
{
	struct lot *lot = handle_choose(w, type, "cane", 9.3);
	struct key k;
	struct line *l;
	int n;

	if (!lot || handles_in(w, lot, type, "shop") >= least)
		return;
	k = shelf_key(&w->shelf, lot->id, "handle", type, "", "cane");
	n = shelf_free(shelf_at(&w->shelf, k));
	n = n < 16 ? n : 16;
	l = page_say(&w->page, minute, "move", lot->id);
	line_pick(l, k, W_LOT, W_AT);
	line_add(l, "count", "%d", n);
	line_add(l, "into", "shop");
	line_add(l, "by", "mk");
	page_take(&w->page, k, n);
	k.at = shelf_name(&w->shelf, "shop");
	page_give(&w->page, k, n);
}

/* ---- blades into the shop ---- */

static void issue_entry(struct works *w, struct order *o, const struct bucket *b, int n)
{
	struct line *l = page_say(&w->page, UNTIMED, "issue", b->key.lot);
	struct key to = b->key;

	line_pick(l, b->key, W_LOT, W_AT | W_GRADE);
	line_add(l, "count", "%d", n);
	line_add(l, "into", "shop");
	line_add(l, "for", "%s", o->id);
	line_add(l, "by", "jo");
	page_take(&w->page, b->key, n);
	to.at = shelf_name(&w->shelf, "shop");
	page_give(&w->page, to, n);
	for (int i = 0; i < n; i++) {
		struct bat *bat = mem_zeroed(1, sizeof *bat);

		*bat = (struct bat){ .order = o, .lot = lot_find(w, b->key.lot), .kind = kind_index(b->key.type),
			.grade = b->key.grade[0] - '1', .since = w->day };
		w->bats = mem_grow(w->bats, &w->bats_cap, w->bats_n + 1, sizeof *w->bats);
		w->bats[w->bats_n++] = bat;
	}
}

static void issue_grade(struct works *w, struct order *o, int kind, int grade)
{
	size_t buckets = w->shelf.n;

	for (size_t i = 0; i < buckets && o->issued[kind][grade] < o->want[kind][grade]; i++) {
		struct bucket b = w->shelf.v[i];
		int need = o->want[kind][grade] - o->issued[kind][grade], n = shelf_free(&b);

		if (strncmp(b.key.at, "store/r", 7) != 0 || strcmp(b.key.type, kinds[kind].id) != 0
			|| strcmp(b.key.grade, grades[grade]) != 0 || n == 0)
			continue;
		n = n < need ? n : need;
		o->issued[kind][grade] += n;
		issue_entry(w, o, &b, n);
	}
}

static void issue_day(struct works *w)
{
	for (size_t i = 0; i < w->orders_n; i++) {
		struct order *o = w->orders[i];

		if (!o->bats || o->closed || o->next_try > w->day)
			continue;
		o->next_try = day_next_work(w->day + 9);
		for (int k = 0; k < TYPES; k++)
			for (int g = 0; g < GRADES; g++)
				issue_grade(w, o, k, g);
	}
}

/* ---- making ---- */

static struct key shop_blade(struct works *w, const struct bat *b)
{
	return key_of(w, b->lot, "blade", kinds[b->kind].id, grades[b->grade], "shop");
}

static void press_split(struct works *w, struct bat *b)
{
	struct key k = shop_blade(w, b);
	struct line *l = page_say(&w->page, UNTIMED, "scrap", b->lot->id);

	line_pick(l, k, W_LOT, W_AT);
	line_add(l, "cull", "split:1");
	line_add(l, "by", "fz");
	line_remark(l, "went in the press; was for %s", b->order->id);
	page_take(&w->page, k, 1);
	b->order->issued[b->kind][b->grade]--;
	b->order = NULL;
	b->state = BAT_GONE;
}

static struct judged *numbered_piece(struct works *w, const struct bat *b)
{
	for (size_t i = 0; i < w->judged_n; i++) {
		struct judged *j = w->judged[i];

		if (j->lot == b->lot && j->kind == b->kind && j->grade == b->grade && !j->used)
			return j;
	}
	return NULL;
}

static double rounded(double mc)
{
	return (double)num_round(mc * 10) / 10;
}

/* Two readings that are no further apart than the house allows, or 0. */
static bool make_readings(struct works *w, struct bat *b, const struct lot *handle, double wood,
	double *blade_raw, double *handle_raw)
{
	struct rng *r = &w->shop_rng;

	*blade_raw = rounded(meter_raw(r, b->blade_mc, wood));
	*handle_raw = rounded(meter_raw(r, handle->blade_mc, wood));
	return *blade_raw - *handle_raw < 0.95 && *handle_raw - *blade_raw < 0.95;
}

static void make_entry(struct works *w, struct bat *b, const struct lot *handle, int minute)
{
	struct rng *r = &w->shop_rng;
	struct key blade = shop_blade(w, b), h = shelf_key(&w->shelf, handle->id, "handle",
		kinds[b->kind].handle, "", "shop");
	double wood = (double)num_round(w->air[ROOM_R1].temp_c), x, y;
	bool measured = minute != UNTIMED && make_readings(w, b, handle, wood, &x, &y);
	char one[24], two[24];
	struct line *l;

	snprintf(b->id, sizeof b->id, "B%04u", (unsigned)w->bat_no++ % 10000);
	l = page_say(&w->page, minute, "make", b->id);
	b->piece = rng_chance(r, 0.5) ? numbered_piece(w, b) : NULL;
	if (b->piece) {
		b->piece->used = true;
		line_add(l, "blade", "%s/%02d", b->lot->id, b->piece->number);
	} else {
		line_add(l, "blade", "%s", b->lot->id);
	}
	line_add(l, "handle", "%s", handle->id);
	line_pick(l, blade, W_LOT | W_FORM, W_AT);
	if (measured) {
		line_add(l, "mc", "blade:%s,handle:%s", reading_text(one, x), reading_text(two, y));
		line_add(l, "wood", "%ldC", num_round(wood));
		line_add(l, "meter", "pin2");
	}
	line_add(l, "by", minute == UNTIMED ? "fz" : "mk");
	page_take(&w->page, blade, 1);
	page_take(&w->page, h, 1);
	page_give(&w->page, shelf_key(&w->shelf, b->id, "bat", kinds[b->kind].id, grades[b->grade], "shop"), 1);
}

static void bat_made(struct works *w, struct bat *b, const struct lot *handle)
{
	struct rng *r = &w->shop_rng;
	double blank = b->piece ? b->piece->mass_g : kinds[b->kind].mass_g + BLANK_SD * rng_normal(r);

	b->state = BAT_MADE;
	b->handle = handle;
	b->handle_mc = handle->blade_mc;
	b->mass_g = FINISH_A + FINISH_B * blank + FINISH_SD * rng_normal(r);
	b->finish_day = day_next_work(w->day + rng_int(r, 14, 30));
}

static void make_day(struct works *w)
{
	struct rng *r = &w->shop_rng;
	bool by_feel = w->day % 3 == 0 || hasty(w->day);
	int left = 3, minute = 9 * 60 + 5 * rng_int(r, 0, 6);

	for (size_t i = 0; i < w->bats_n && left > 0; i++) {
		struct bat *b = w->bats[i];
		const struct lot *handle;

		if (b->state != BAT_BLADE || b->since >= w->day)
			continue;
		b->blade_mc = b->lot->blade_mc + 0.5 * b->lot->blade_sd * rng_normal(r);
		handle = handle_choose(w, kinds[b->kind].handle, "shop", b->blade_mc);
		if (!handle)
			continue;
		left--;
		if (rng_chance(r, 0.02) && w->press_day != w->day) {
			w->press_day = w->day;
			press_split(w, b);
			continue;
		}
		make_entry(w, b, handle, by_feel ? UNTIMED : minute);
		bat_made(w, b, handle);
		minute += 80;
	}
}

/* ---- finishing ---- */

static char *lb_oz(char *out, int half_oz)
{
	snprintf(out, 24, "%dlb%d%soz", half_oz / 32, half_oz % 32 / 2, half_oz % 2 ? ".5" : "");
	return out;
}

static struct key bat_key(struct works *w, const struct bat *b, const char *at)
{
	return shelf_key(&w->shelf, b->id, "bat", kinds[b->kind].id, grades[b->grade], at);
}

static void finish_entry(struct works *w, struct bat *b, int minute)
{
	static const int length[TYPES] = { 850, 810, 775, 745 }, width[TYPES] = { 107, 103, 99, 96 };
	struct rng *r = &w->shop_rng;
	struct line *l = page_say(&w->page, minute, "finish", b->id);
	char mass[24];

	b->half_oz = (int)num_round(b->mass_g / 14.1747615625);
	line_add(l, "mass", "%s", lb_oz(mass, b->half_oz));
	line_add(l, "length", "%dmm", length[b->kind] + rng_int(r, -1, 1));
	line_add(l, "width", "%dmm", width[b->kind] - rng_int(r, 0, 1));
	line_add(l, "depth", "%dmm", 62 - 3 * b->kind + rng_int(r, 0, 4));
	line_add(l, "edge", "%dmm", 37 - 2 * b->kind + rng_int(r, 0, 3));
	if (w->day >= day_of(2027, 11, 15)) /* from then on the works writes down what shape it gave the blade */
		line_add(l, "shape", "%s", b->half_oz % 3 ? "mid" : "low");
	line_pick(l, bat_key(w, b, "shop"), W_LOT, 0);
	line_add(l, "into", "store/bats");
	line_add(l, "by", minute == UNTIMED ? "fz" : "mk");
	page_take(&w->page, bat_key(w, b, "shop"), 1);
	page_give(&w->page, bat_key(w, b, "store/bats"), 1);
	b->state = BAT_FINISHED;
	b->since = w->day;
	if (b->order && b->order->mass_hi && (b->half_oz < b->order->mass_lo || b->half_oz > b->order->mass_hi)) {
		line_remark(l, "%s for %s", b->half_oz > b->order->mass_hi ? "too heavy" : "too light", b->order->id);
		b->order->issued[b->kind][b->grade]--;
		b->order = NULL;
	}
}

static void finish_day(struct works *w)
{
	int minute = w->day % 2 ? UNTIMED : 16 * 60;

	for (size_t i = 0; i < w->bats_n; i++) {
		if (w->bats[i]->state != BAT_MADE || w->bats[i]->finish_day > w->day)
			continue;
		finish_entry(w, w->bats[i], minute);
		minute += minute == UNTIMED ? 0 : 8;
	}
}

/* In the last week one handle breaks at the knocking-in, and the bat gets another. */
static void rehandle_day(struct works *w)
{
	for (size_t i = 0; w->day >= day_of(2027, 12, 13) && !w->rehandled && i < w->bats_n; i++) {
		struct bat *b = w->bats[i];
		struct lot *handle = b->state == BAT_MADE && b->since < w->day ? handle_choose(w, kinds[b->kind].handle, "shop", b->blade_mc) : NULL;
		struct line *l;

		if (!handle)
			continue;
		l = page_say(&w->page, UNTIMED, "rehandle", b->id);
		line_add(l, "handle", "%s", handle->id);
		line_add(l, "at", "shop");
		line_add(l, "cull", "broken:1");
		line_add(l, "by", "mk");
		page_take(&w->page, shelf_key(&w->shelf, handle->id, "handle", kinds[b->kind].handle, "", "shop"), 1);
		w->rehandled = true;
	}
}

/* ---- selling and coming back ---- */

static void fate(struct works *w, struct bat *b)
{
	static const char *const causes[3] = { "broken", "soft", "splice-loose" };
	struct rng *r = &w->shop_rng;
	bool wet = b->handle_mc > b->blade_mc + 1.2;

	if (!rng_chance(r, wet ? RETURN_WET_P : RETURN_P))
		return;
	b->return_day = w->day + (wet ? rng_int(r, 50, 150) : rng_int(r, 40, 260));
	b->cause = wet ? "splice-loose" : causes[rng_int(r, 0, 2)];
}

static int bat_price(const struct bat *b)
{
	static const int price[TYPES][GRADES] = { { 460, 340, 240, 170 }, { 390, 290, 210, 150 },
		{ 290, 210, 150, 110 }, { 250, 190, 140, 100 } };

	return price[b->kind][b->grade];
}

static void bat_sell(struct works *w, struct bat *b, const char *to)
{
	struct line *l = page_say(&w->page, UNTIMED, "sell", b->id);
	struct key k = bat_key(w, b, "store/bats");

	line_pick(l, k, W_LOT, 0);
	line_add(l, "price", "%d.00NZD", bat_price(b) - (b->order ? 0 : 30));
	line_add(l, "to", "%s", to);
	if (b->order)
		line_add(l, "for", "%s", b->order->id);
	if (b->order)
		line_add(l, "doc", "I-%d", w->invoice_no);
	line_add(l, "by", "jo");
	page_take(&w->page, k, 1);
	b->state = BAT_SOLD;
	b->to = to;
	fate(w, b);
}

/* Fridays the parcels go out. */
static void send_order(struct works *w, struct order *o)
{
	bool any = false;

	for (size_t i = 0; i < w->bats_n; i++) {
		struct bat *b = w->bats[i];

		if (b->order != o || b->state != BAT_FINISHED || b->since >= w->day)
			continue;
		o->sent[b->kind][b->grade]++;
		bat_sell(w, b, o->to);
		any = true;
	}
	w->invoice_no += any;
}

static void over_the_counter(struct works *w)
{
	for (size_t i = 0; i < w->bats_n; i++) {
		struct bat *b = w->bats[i];

		if (b->state == BAT_FINISHED && !b->order && b->since < w->day && rng_chance(&w->shop_rng, 0.12))
			bat_sell(w, b, "walk-in");
	}
}

static void bat_back(struct works *w, struct bat *b)
{
	struct line *l = page_say(&w->page, UNTIMED, "return", b->id);

	line_add(l, "cause", "%s", b->cause);
	line_add(l, "from", "%s", b->to);
	line_add(l, "into", "shop");
	line_add(l, "by", "jo");
	page_give(&w->page, bat_key(w, b, "shop"), 1);
	b->state = BAT_BACK;
	b->return_day = day_next_work(w->day + 1);
}

static void bat_looked_at(struct works *w, struct bat *b)
{
	struct rng *r = &w->shop_rng;
	double wood = (double)num_round(w->air[ROOM_R1].temp_c);
	struct line *l = page_say(&w->page, 9 * 60 + 5 * rng_int(r, 0, 8), "probe", b->id);
	char one[24], two[24], mass[24];

	reading_text(one, meter_raw(r, 9.4, wood));
	reading_text(two, meter_raw(r, 9.2, wood));
	line_add(l, "mc", "blade:%s,handle:%s", one, two);
	line_add(l, "wood", "%ldC", num_round(wood));
	line_add(l, "meter", "pin2");
	line_add(l, "by", "mk");
	l = page_say(&w->page, 9 * 60 + 50, "weigh", b->id);
	line_add(l, "mass", "%s", lb_oz(mass, b->half_oz));
	line_add(l, "by", "mk");
	l = page_say(&w->page, UNTIMED, "cost", b->id);
	line_add(l, "kind", "refund");
	line_add(l, "price", "%d.00NZD", bat_price(b));
	line_add(l, "to", "%s", b->to);
	l = page_say(&w->page, UNTIMED, "scrap", b->id);
	line_pick(l, bat_key(w, b, "shop"), W_LOT, 0);
	line_add(l, "cull", "%s:1", strcmp(b->cause, "splice-loose") == 0 ? "splice" : "broken");
	line_add(l, "by", "mk");
	page_take(&w->page, bat_key(w, b, "shop"), 1);
	b->state = BAT_GONE;
}

static void returns_day(struct works *w)
{
	for (size_t i = 0; i < w->bats_n; i++) {
		struct bat *b = w->bats[i];

		if (b->state == BAT_SOLD && b->return_day && b->return_day <= w->day)
			bat_back(w, b);
		else if (b->state == BAT_BACK && b->return_day <= w->day)
			bat_looked_at(w, b);
	}
}

/* ---- blades that no order wants any more go back ---- */

static void back_to_store(struct works *w)
{
	for (size_t i = 0; i < w->bats_n; i++) {
		struct bat *b = w->bats[i];
		struct key k;
		struct line *l;

		if (b->state != BAT_BLADE || !b->order || !b->order->closed || b->since >= w->day)
			continue;
		k = shop_blade(w, b);
		l = page_say(&w->page, UNTIMED, "move", b->lot->id);
		line_pick(l, k, W_LOT, W_AT);
		line_add(l, "count", "1");
		line_add(l, "into", "store/r1");
		line_add(l, "by", "jo");
		line_remark(l, "not needed after all");
		page_take(&w->page, k, 1);
		k.at = shelf_name(&w->shelf, "store/r1");
		page_give(&w->page, k, 1);
		b->state = BAT_GONE;
		return;
	}
}

void shop_day(struct works *w)
{
	handles_day(w);
	handles_fetch(w, "HS", 8, 8 * 60 + 20);
	handles_fetch(w, "HJ", 6, 8 * 60 + 25);
	rehandle_day(w);
	make_day(w);
	finish_day(w);
	returns_day(w);
	back_to_store(w);
	issue_day(w);
	if (day_weekday(w->day) == 4)
		for (size_t i = 0; i < w->orders_n; i++)
			if (w->orders[i]->bats && !w->orders[i]->closed)
				send_order(w, w->orders[i]);
	if (day_weekday(w->day) == 2)
		over_the_counter(w);
}
