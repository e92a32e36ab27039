#include <stdio.h>

#include "day.h"
#include "works.h"

static const char *const currencies[3] = { "GBP", "EUR", "AUD" };

static const struct customer {
	const char *id, *currency;
	double price; /* of a blade against the list, in that currency */
} blade_customers[] = {
	{ "kowelin", "NZD", 1 },
	{ "groevil", "EUR", 0.57 },
	{ "luntova", "GBP", 0.47 },
	{ "tervane", "AUD", 0.91 },
};

static const char *const bat_customers[] = { "velmor-cc", "puravel-cc", "ostrin-cc", "kavelu-school" };

bool counting_day(int day)
{
	return day == day_of(2026, 12, 31) || day == day_of(2027, 1, 20) || day == day_of(2027, 12, 31);
}

/* ---- orders ---- */

static struct order *order_new(struct works *w, const char *to, bool bats, int due_in)
{
	struct order *o = mem_zeroed(1, sizeof *o);

	snprintf(o->id, sizeof o->id, "O-%d", w->order_no++);
	o->to = to;
	o->bats = bats;
	o->placed = w->day;
	o->due = w->day + due_in;
	o->deadline = o->due + 50;
	o->next_try = day_next_work(w->day + rng_int(&w->sales_rng, 4, 16));
	w->orders = mem_grow(w->orders, &w->orders_cap, w->orders_n + 1, sizeof *w->orders);
	return w->orders[w->orders_n++] = o;
}

static int order_sum(int table[TYPES][GRADES])
{
	int sum = 0;

	for (int k = 0; k < TYPES; k++)
		for (int g = 0; g < GRADES; g++)
			sum += table[k][g];
	return sum;
}

static struct items order_items(int table[TYPES][GRADES])
{
	struct items it = { .sum = 0 };

	for (int k = 0; k < TYPES; k++)
		for (int g = 0; g < GRADES; g++) {
			char what[12];

			snprintf(what, sizeof what, "%s/%s", kinds[k].id, grades[g]);
			items_add(&it, what, table[k][g]);
		}
	return it;
}

static struct line *order_entry(struct works *w, const struct order *o, int table[TYPES][GRADES])
{
	struct line *l = page_say(&w->page, UNTIMED, "order", o->id);
	char date[11];

	if (!o->bats)
		line_add(l, "form", "blade");
	line_add(l, "count", "%s", order_items(table).text);
	if (o->mass_hi)
		line_add(l, "mass", "%dlb%doz..%dlb%doz", o->mass_lo / 32, o->mass_lo % 32 / 2,
			o->mass_hi / 32, o->mass_hi % 32 / 2);
	line_add(l, "due", "%s", day_text(date, o->due));
	line_add(l, "to", "%s", o->to);
	line_add(l, "by", "jo");
	return l;
}

static int stored_of(const struct works *w, int kind, int grade)
{
	int sum = 0;

	for (size_t i = 0; i < w->shelf.n; i++) {
		const struct bucket *b = &w->shelf.v[i];

		if (strncmp(b->key.at, "store/r", 7) == 0 && strcmp(b->key.type, kinds[kind].id) == 0
			&& strcmp(b->key.grade, grades[grade]) == 0)
			sum += shelf_free(b);
	}
	return sum;
}

static int fives(double n)
{
	return (int)num_round(n / 5) * 5;
}

static void blade_order(struct works *w)
{
	struct rng *r = &w->sales_rng;
	const struct customer *c = &blade_customers[rng_int(r, 0, 3)];
	struct order *o;
	int kind = rng_chance(r, 0.70) ? 0 : rng_int(r, 1, 3), want[TYPES][GRADES] = { { 0 } };
	double part;

	part = rng_between(r, 0.3, 0.6);
	want[kind][0] = fives(stored_of(w, kind, 0) * part + rng_int(r, 0, 10));
	for (int g = 1; g < GRADES; g++)
		if (rng_chance(r, 0.75))
			want[kind][g] = fives(stored_of(w, kind, g) * rng_between(r, 0.15, 0.42));
	if (order_sum(want) < 10)
		return;
	o = order_new(w, c->id, false, rng_int(r, 25, 60));
	memcpy(o->want, want, sizeof want);
	order_entry(w, o, o->want);
}

static void bat_order(struct works *w)
{
	struct rng *r = &w->sales_rng;
	int who = rng_int(r, 0, 3);
	struct order *o = order_new(w, bat_customers[who], true, rng_int(r, 70, 110));

	if (who == 3) {
		o->want[2][1] = rng_int(r, 1, 3);
		o->want[2][2] = rng_int(r, 2, 4);
		o->want[1][2] = rng_int(r, 0, 3);
	} else {
		o->want[0][0] = rng_int(r, 1, 3);
		o->want[0][1] = rng_int(r, 2, 5);
		o->want[1][1] = rng_int(r, 0, 2);
		o->mass_lo = o->want[1][1] ? 0 : 32 * 2 + 2 * 8;
		o->mass_hi = o->want[1][1] ? 0 : 32 * 2 + 2 * rng_int(r, 12, 13);
	}
	order_entry(w, o, o->want);
}

/* ---- blades go out ---- */

static int list_price(int kind, int grade)
{
	static const int price[GRADES] = { 96, 61, 37, 19 };
	static const int share[TYPES] = { 100, 85, 62, 55 };

	return price[grade] * share[kind];
}

static const struct customer *customer_of(const char *id)
{
	for (size_t i = 0; i < sizeof blade_customers / sizeof blade_customers[0]; i++)
		if (strcmp(blade_customers[i].id, id) == 0)
			return &blade_customers[i];
	stop("no customer %s", id);
}

static void blades_sell(struct works *w, struct order *o, const struct bucket *b, int kind, int grade, int n)
{
	struct line *l = page_say(&w->page, UNTIMED, "sell", b->key.lot);
	const struct customer *c = customer_of(o->to);
	char price[24];

	line_pick(l, b->key, W_LOT, W_AT | W_TYPE | W_GRADE);
	line_add(l, "count", "%d", n);
	line_add(l, "price", "%s%s", num_text(price, n * c->price * list_price(kind, grade) / 100.0, 2),
		c->currency);
	line_add(l, "to", "%s", o->to);
	line_add(l, "for", "%s", o->id);
	line_add(l, "doc", "I-%d", w->invoice_no);
	line_add(l, "by", "jo");
	page_take(&w->page, b->key, n);
	o->sent[kind][grade] += n;
}

static void sell_grade(struct works *w, struct order *o, int kind, int grade)
{
	size_t buckets = w->shelf.n;

	for (size_t i = 0; i < buckets && o->sent[kind][grade] < o->want[kind][grade]; i++) {
		struct bucket b = w->shelf.v[i];
		int need = o->want[kind][grade] - o->sent[kind][grade], n = shelf_free(&b);

		if (strncmp(b.key.at, "store/r", 7) != 0 || strcmp(b.key.type, kinds[kind].id) != 0
			|| strcmp(b.key.grade, grades[grade]) != 0 || n == 0)
			continue;
		blades_sell(w, o, &b, kind, grade, n < need ? n : need);
	}
}

static void freight(struct works *w, const struct order *o)
{
	struct line *l;

	if (strcmp(o->to, "kowelin") == 0 || w->order_no % 2)
		return;
	l = page_say(&w->page, UNTIMED, "cost", o->id);
	line_add(l, "kind", "freight");
	line_add(l, "price", "%d.00NZD", rng_int(&w->sales_rng, 18, 64) * 10);
	line_add(l, "from", "tuvoro");
}

static void blades_go_out(struct works *w, struct order *o)
{
	int before = order_sum(o->sent);

	for (int k = 0; k < TYPES; k++)
		for (int g = 0; g < GRADES; g++)
			sell_grade(w, o, k, g);
	if (order_sum(o->sent) > before) {
		w->invoice_no++;
		freight(w, o);
	}
	o->next_try = day_next_work(w->day + rng_int(&w->sales_rng, 16, 30));
}

/* Complete, or given up: then the order is said again as what it came to. */
static void order_close(struct works *w, struct order *o)
{
	bool whole = order_sum(o->sent) == order_sum(o->want);

	if (!whole && (w->day < o->deadline || order_sum(o->sent) == 0))
		return;
	o->closed = true;
	for (size_t i = 0; i < w->bats_n; i++)
		if (w->bats[i]->order == o && (w->bats[i]->state == BAT_MADE || w->bats[i]->state == BAT_FINISHED))
			w->bats[i]->order = NULL;
	if (!whole)
		line_remark(order_entry(w, o, o->sent), "they keep what they have; the rest is cancelled");
}

/* A change of mind, while nothing has gone out yet. */
static void order_change(struct works *w, struct order *o)
{
	if (o->restated || o->bats || order_sum(o->sent) || w->day != day_next_work(o->placed + 3)
		|| !rng_chance(&w->sales_rng, 0.3))
		return;
	for (int k = 0; k < TYPES; k++)
		o->restated |= o->want[k][2] > 0;
	if (!o->restated)
		return;
	for (int k = 0; k < TYPES; k++)
		if (o->want[k][2])
			o->want[k][2] += 10;
	line_remark(order_entry(w, o, o->want), "rang: ten more of the 3s if we can");
}

static void orders_day(struct works *w)
{
	if (w->day % 11 == 4 || w->day % 13 == 6)
		blade_order(w);
	if (w->day % 9 == 2)
		bat_order(w);
	for (size_t i = 0; i < w->orders_n; i++) {
		struct order *o = w->orders[i];

		if (o->closed)
			continue;
		order_change(w, o);
		if (!o->bats && o->next_try <= w->day)
			blades_go_out(w, o);
		if (o->placed < w->day)
			order_close(w, o);
	}
}

/* ---- money, instruments, words ---- */

static void rates_day(struct works *w)
{
	static const double middle[3] = { 2.22, 1.86, 1.09 };
	char text[24];

	if (w->day != day_next_work(day_of(day_year(w->day), day_month(w->day), 1)))
		return;
	for (int i = 0; i < 3; i++) {
		struct line *l = page_say(&w->page, UNTIMED, "rate", currencies[i]);

		if (w->rate[i] == 0)
			w->rate[i] = middle[i];
		w->rate[i] += 0.2 * (middle[i] - w->rate[i]) + 0.012 * rng_normal(&w->office_rng);
		line_add(l, "is", "%sNZD", num_text(text, w->rate[i], 4));
	}
}

struct dated {
	int year, month, day;
};

static bool today(const struct works *w, struct dated d)
{
	return w->day == day_next_work(day_of(d.year, d.month, d.day));
}

static void meter_entry(struct works *w, int minute, const char *meter, double is, double shows, const char *remark)
{
	struct line *l = page_say(&w->page, minute, "meter", meter);
	char text[24];

	line_add(l, "true", "%s%%", num_text(text, is, 1));
	line_add(l, "read", "%s%%", num_text(text, shows, 1));
	line_add(l, "by", "mk");
	line_remark(l, "%s", remark);
}

/* The test blocks are read at 20 C. */
static void pin_check(struct works *w)
{
	struct rng *r = &w->office_rng;

	meter_entry(w, 8 * 60 + 5, "pin2", 12, (12 - PIN_A) / PIN_B + 0.06 * rng_normal(r), "block B12");
	meter_entry(w, 8 * 60 + 10, "pin2", 18, (18 - PIN_A) / PIN_B + 0.06 * rng_normal(r), "block B18");
}

static void humidity_check(struct works *w)
{
	static const char *const name[5] = { "hyg1", "log1", "log2", "log3", "psy1" };
	static const double bias[5] = { -HYG_BIAS, 0.4, -0.6, 0.2, 0 };

	for (int i = 0; i < 5; i++)
		meter_entry(w, 9 * 60 + 5 * i, name[i], 75.3,
			75.3 + bias[i] + 0.2 * rng_normal(&w->office_rng), "salt jar");
}

static void meters_day(struct works *w)
{
	static const struct dated pins[] = { { 2026, 1, 12 }, { 2026, 5, 18 }, { 2026, 10, 5 }, { 2027, 2, 22 },
		{ 2027, 7, 12 }, { 2027, 11, 29 } };
	static const struct dated rooms[] = { { 2026, 1, 1 }, { 2026, 11, 16 }, { 2027, 10, 4 } };

	for (size_t i = 0; i < sizeof pins / sizeof pins[0]; i++)
		if (today(w, pins[i]))
			pin_check(w);
	for (size_t i = 0; i < sizeof rooms / sizeof rooms[0]; i++)
		if (i ? today(w, rooms[i]) : w->day == 0)
			humidity_check(w);
}

static void firewood(struct works *w, const char *volume, const char *price, const char *to)
{
	struct line *l = page_say(&w->page, UNTIMED, "sell", "firewood");

	line_add(l, "volume", "%sm3", volume);
	line_add(l, "price", "%sNZD", price);
	line_add(l, "to", "%s", to);
	line_add(l, "by", "jo");
}

static void note(struct works *w, const char *whom, const char *words)
{
	struct line *l = page_say(&w->page, UNTIMED, "note", whom);

	line_add(l, "text", "\"%s\"", words);
	line_add(l, "by", "jo");
}

static void place_cost(struct works *w, const char *place, const char *kind, const char *price, const char *over)
{
	struct line *l = page_say(&w->page, UNTIMED, "cost", place);

	line_add(l, "kind", "%s", kind);
	line_add(l, "price", "%sNZD", price);
	line_add(l, "over", "%s", over);
}

static void odds_and_ends(struct works *w)
{
	if (today(w, (struct dated){ 2026, 3, 16 }))
		place_cost(w, "store/r1", "service", "412.50", "2026-01-01..2026-12-31");
	if (today(w, (struct dated){ 2026, 8, 3 }))
		place_cost(w, "south", "service", "1180.00", "2026-07-01..2027-06-30");
	if (today(w, (struct dated){ 2027, 8, 3 }))
		place_cost(w, "north", "service", "960.00", "2027-07-01..2028-06-30");
	if (today(w, (struct dated){ 2026, 9, 7 }))
		firewood(w, "6.4", "320.00", "ravengo");
	if (today(w, (struct dated){ 2026, 10, 19 }))
		firewood(w, "3.5", "175.00", "walk-in");
	if (today(w, (struct dated){ 2027, 9, 6 }))
		firewood(w, "7.2", "360.00", "ravengo");
	if (today(w, (struct dated){ 2026, 2, 23 }))
		note(w, "store/r1", "cyclone week: the room could not keep up, dehumidifier ran day and night");
	if (today(w, (struct dated){ 2026, 7, 28 }))
		note(w, "store/r1", "drain of the dehumidifier was blocked; cleared");
	if (today(w, (struct dated){ 2027, 2, 16 }))
		note(w, "cane", "heat pump had been left on since the holidays; cane at 38 %");
	if (today(w, (struct dated){ 2027, 7, 12 }))
		note(w, "store/r1", "fan motor of the dehumidifier replaced");
	if (today(w, (struct dated){ 2027, 9, 13 }))
		note(w, "H034", "loose splices, and all of them out of this lot; it had not rested when we used it in April and May");
	if (today(w, (struct dated){ 2026, 9, 2 }))
		note(w, "P13", "the mill-road trees are stained from the root up; no more from there");
	if (today(w, (struct dated){ 2027, 6, 1 }))
		note(w, "C014", "grades like the other firm's; asked the Alderquen people which stand it came from");
}

void office_day(struct works *w)
{
	meters_day(w);
	if (!day_works(w->day))
		return;
	rates_day(w);
	odds_and_ends(w);
	if (!counting_day(w->day))
		orders_day(w);
}
