#include <stdio.h>

#include "day.h"
#include "works.h"

enum { LOAD_STEP = 4, STAGES = 5 };

static const struct stage {
	const char *name;
	double temp_c, rh_pct;
} stages[STAGES] = {
	{ "warm", 24, 80 },
	{ "dry", 28, 74 },
	{ "dry", 30, 62 },
	{ "dry", 32, 50 },
	{ "equalize", 32, 43 },
};

/* ---- the air and the wood ---- */

static bool tripped(const struct works *w, const struct charge *c, int step)
{
	int now = (w->day - c->trip_from) * STEPS + step;

	return c->trip_days && now >= 6 && now < c->trip_days * STEPS + 3;
}

static void kiln_step(struct works *w, struct kiln *k, int step)
{
	struct charge *c = k->charge;
	const struct air *out = &w->air[ROOM_YARD];
	bool runs = k->set_temp_c > 0 && !(c && tripped(w, c, step));
	double temp = runs ? k->set_temp_c : out->temp_c + 1.5, rh = runs ? k->set_rh_pct : 88;
	int at = (w->day - (c ? c->load_day : 0)) * STEPS + step;

	k->temp_c += 0.5 * (temp - k->temp_c) + 0.15 * rng_normal(&w->climate_rng);
	k->err_rh = 0.8 * k->err_rh + 0.6 * rng_normal(&w->climate_rng);
	k->rh_pct += 0.5 * (rh + k->err_rh - k->rh_pct);
	if (k->rh_pct > 96)
		k->rh_pct = 96;
	k->day_temp[w->day * STEPS + step] = k->temp_c;
	k->day_rh[w->day * STEPS + step] = k->rh_pct;
	if (c && at < KILN_DAYS * STEPS)
		c->me[at] = num_emc_pct(k->temp_c, k->rh_pct);
}

/* First order below 30 %; above it as fast as at 30 %. Until 09:00 of `day`. */
static double piece_mc(const struct charge *c, double k, double mc, int day)
{
	int end = (day - c->load_day) * STEPS + 3;

	for (int i = LOAD_STEP; i < end && i < KILN_DAYS * STEPS; i++)
		mc -= k / STEPS * ((mc < 30 ? mc : 30) - c->me[i]);
	return mc;
}

/* Some piece of a part. The order of the two draws is fixed here: C does not fix it in one expression. */
static double some_piece_mc(struct charge *c, const struct part *p, int day)
{
	double k = p->k_med * rng_spread(&c->rng, K_PIECE_SD);
	double start = p->start_mc + p->start_sd * rng_normal(&c->rng);

	return piece_mc(c, k, start, day);
}

static double probe_mc(const struct works *w, const struct charge *c, const struct probe *p)
{
	return piece_mc(c, p->k, p->start_mc, w->day);
}

static struct kiln *kiln_of(struct works *w, const char *id)
{
	return &w->kilns[strcmp(id, "south") == 0];
}

static bool has_trouble(const struct charge *c, enum trouble t)
{
	return c->plan->trouble[0] == t || c->plan->trouble[1] == t;
}

/* ---- loading ---- */

static bool wanted(struct works *w, const struct want *want, const struct bucket *b)
{
	const char *lot = b->key.lot;

	if (strcmp(b->key.form, "cleft") != 0 || strncmp(b->key.at, "yard/", 5) != 0 || b->n == 0)
		return false;
	if (want->type && strcmp(want->type, b->key.type) != 0)
		return false;
	return strcmp(lot, want->from) == 0
		|| (lot[0] == 'L' && strcmp(lot_find(w, lot)->source->id, want->from) == 0);
}

static int load_entry(struct works *w, struct charge *c, struct key from, int n, int minute)
{
	struct line *l = page_say(&w->page, minute, "load", c->plan->id);
	int split = rng_chance(&c->rng, 0.2);
	struct key to = from;

	line_add(l, "kiln", "%s", c->plan->kiln);
	line_pick(l, from, 0, W_LOT | W_AT);
	line_add(l, "count", "%d", n - split);
	if (split)
		line_add(l, "cull", "split:1");
	line_add(l, "by", "mk");
	page_take(&w->page, from, n);
	to.at = shelf_name(&w->shelf, c->plan->id);
	page_give(&w->page, to, n - split);
	return minute + 5 + n / 20;
}

static int load_want(struct works *w, struct charge *c, const struct want *want, int minute)
{
	int left = want->n ? want->n : 100000;
	size_t buckets = w->shelf.n;

	for (size_t i = 0; i < buckets && left > 0; i++) {
		struct bucket b = w->shelf.v[i];
		int n = b.n < left ? b.n : left;

		if (!wanted(w, want, &b))
			continue;
		minute = load_entry(w, c, b.key, n, minute);
		left -= n;
	}
	return minute;
}

static void part_add(struct works *w, struct charge *c, struct lot *lot, const char *type, int n,
	double mc, double sd)
{
	struct part *p = &c->part[c->parts];

	if (c->parts++ == PARTS)
		stop("%s has too many lots", c->plan->id);
	*p = (struct part){ .lot = lot, .type = shelf_name(&w->shelf, type), .n = n,
		.start_mc = mc, .start_sd = sd };
}

/* Our own lots of one size, which have the same chalk, continue under one name. */
static int pool_type(struct works *w, struct charge *c, const char *type, int minute)
{
	const char *at = shelf_name(&w->shelf, c->plan->id);
	char id[12], list[200] = "";
	int sum = 0, lots = 0;
	double mc = 0;
	struct lot *pool = NULL;
	struct line *l;

	snprintf(id, sizeof id, "%c%.8s", strcmp(type, "SH") == 0 ? 'M' : 'N', c->plan->id + 1);
	for (size_t i = 0; i < w->lots_n; i++) {
		struct lot *lot = w->lots[i];
		int n = lot->id[0] == 'L' ? shelf_at(&w->shelf, key_of(w, lot, "cleft", type, "", at))->n : 0;

		if (n == 0)
			continue;
		snprintf(list + strlen(list), sizeof list - strlen(list), "%s%s:%d", lots ? "," : "", lot->id, n);
		mc += (double)n * lot->cleft_mc;
		sum += n;
		lots++;
		if (!pool)
			pool = lot_new(w, id, lot->source);
	}
	if (!pool)
		return minute;
	l = page_say(&w->page, minute, "pool", id);
	line_add(l, "lot", "%s", list);
	line_add(l, "at", "%s", at);
	line_add(l, "type", "%s", type);
	line_add(l, "by", "mk");
	if (strcmp(type, "SH") == 0)
		line_remark(l, "one chalk, cannot be told apart");
	for (size_t i = 0; i < w->lots_n; i++) {
		struct key k = key_of(w, w->lots[i], "cleft", type, "", at);

		if (w->lots[i]->id[0] == 'L' && shelf_at(&w->shelf, k)->n)
			page_take(&w->page, k, shelf_at(&w->shelf, k)->n);
	}
	page_give(&w->page, key_of(w, pool, "cleft", type, "", at), sum);
	part_add(w, c, pool, type, sum, mc / sum, 2.2);
	return minute + 5;
}

static void parts_bought(struct works *w, struct charge *c)
{
	const char *at = shelf_name(&w->shelf, c->plan->id);

	for (size_t i = 0; i < w->shelf.n; i++) {
		struct bucket b = w->shelf.v[i];
		struct lot *lot;

		if (b.key.at != at || b.n == 0 || b.key.lot[0] == 'M' || b.key.lot[0] == 'N')
			continue;
		lot = lot_find(w, b.key.lot);
		part_add(w, c, lot, b.key.type, b.n, lot->cleft_mc, lot->cleft_sd);
	}
}

static void parts_truth(struct works *w, struct charge *c)
{
	double charge_k = K_BASE * rng_spread(&c->rng, K_CHARGE_SD);

	for (int i = 0; i < c->parts; i++) {
		struct part *p = &c->part[i];
		char whom[40];

		p->k_med = charge_k * kinds[kind_index(p->type)].k * p->lot->source->k;
		snprintf(whom, sizeof whom, "%s/%s/%s", c->plan->id, p->lot->id, p->type);
		truth_add(w, "charge", whom, "k", p->k_med, 4, "1/d");
		truth_add(w, "charge", whom, "start_mc", p->start_mc, 2, "%");
		truth_add(w, "charge", whom, "start_sd", p->start_sd, 2, "%");
	}
}

/* ---- probes ---- */

static void probe_truth(struct works *w, const struct charge *c, int i, const char *why)
{
	const struct probe *p = &c->probe[i];
	char whom[40];

	snprintf(whom, sizeof whom, "%s/%c", c->plan->id, 'a' + i);
	truth_add(w, "probe", whom, "k", p->k, 4, "1/d");
	truth_add(w, "probe", whom, "start_mc", p->start_mc, 2, "%");
	if (*why)
		truth_add(w, "probe", whom, why, 1, 0, "");
}

/* The part at a share of the load. */
static int part_at(const struct charge *c, double share)
{
	int total = 0, seen = 0;

	for (int i = 0; i < c->parts; i++)
		total += c->part[i].n;
	for (int i = 0; i < c->parts; i++)
		if ((seen += c->part[i].n) > share * total)
			return i;
	return c->parts - 1;
}

/* Probe b happens to sit in a wet piece. */
static bool probe_wet(const struct charge *c)
{
	return has_trouble(c, TR_WET_POCKET) || has_trouble(c, TR_WET_STAY);
}

static void probe_choose(struct charge *c, int i, int part)
{
	const struct part *p = &c->part[part];
	bool wet = i == 1 && probe_wet(c);

	c->probe[i] = (struct probe){ .part = part, .in = true };
	c->probe[i].k = p->k_med * rng_spread(&c->rng, K_PIECE_SD) * (wet ? 0.66 : 1);
	c->probe[i].start_mc = p->start_mc + p->start_sd * rng_normal(&c->rng) + (wet ? 4 : 0);
	if (i == 3 && has_trouble(c, TR_FROZEN))
		c->probe[i].frozen_from = 9;
}

struct dedup {
	double sum, wettest, driest;
	int n;
};

static void dedup_add(struct dedup *s, double raw, double wood)
{
	double mc = raw - PIN_PER10C * (wood - 20) / 10;

	if (s->n == 0 || mc > s->wettest)
		s->wettest = mc;
	if (s->n == 0 || mc < s->driest)
		s->driest = mc;
	s->sum += mc;
	s->n++;
}

static double probe_raw(const struct works *w, struct charge *c, struct probe *p, double wood)
{
	int days = w->day - c->load_day;
	double raw = meter_raw(&c->rng, probe_mc(w, c, p), wood);

	if (p->frozen_from && days >= p->frozen_from) {
		if (p->frozen_raw == 0)
			p->frozen_raw = raw;
		return p->frozen_raw;
	}
	return raw;
}

/* Nine days without moving: the people leave it out of their judgement. */
static bool probe_left_out(const struct works *w, const struct charge *c, const struct probe *p)
{
	return p->frozen_from && w->day - c->load_day >= p->frozen_from + 9;
}

/* The mc= items of the probes that are in. */
static void readings(struct works *w, struct charge *c, double wood, char *list, size_t size,
	int dead, struct dedup *seen)
{
	char one[24];

	list[0] = 0;
	for (int i = 0; i < PROBES; i++) {
		struct probe *p = &c->probe[i];
		double raw;
		bool missed;

		if (!p->in)
			continue;
		raw = probe_raw(w, c, p, wood);
		missed = i == dead || rng_chance(&c->rng, 0.012);
		snprintf(list + strlen(list), size - strlen(list), "%s%c:%s", *list ? "," : "", 'a' + i,
			missed ? "-" : reading_text(one, raw));
		if (!missed && !probe_left_out(w, c, p))
			dedup_add(seen, raw, wood);
	}
}

static void metered(struct line *l, const char *list, double wood, const char *by)
{
	line_add(l, "mc", "%s", list);
	line_add(l, "wood", "%ldC", num_round(wood));
	line_add(l, "meter", "pin2");
	line_add(l, "by", "%s", by);
}

static void probes_in(struct works *w, struct charge *c, int minute)
{
	double wood = (double)num_round(w->air[ROOM_YARD].temp_c);
	struct line *l = page_say(&w->page, minute, "probe", c->plan->id);
	char in[160] = "", list[160] = "", one[24];

	for (int i = 0; i < PROBES; i++) {
		const struct part *p;

		probe_choose(c, i, part_at(c, ((double)i + 0.5) / PROBES));
		probe_truth(w, c, i, i == 1 && probe_wet(c) ? "wet_pocket"
			: i == 3 && has_trouble(c, TR_FROZEN) ? "frozen" : "");
		p = &c->part[c->probe[i].part];
		snprintf(in + strlen(in), sizeof in - strlen(in), "%s%c:%s/%s", i ? "," : "", 'a' + i,
			p->lot->id, p->type);
		snprintf(list + strlen(list), sizeof list - strlen(list), "%s%c:%s", i ? "," : "", 'a' + i,
			reading_text(one, meter_raw(&c->rng, c->probe[i].start_mc, wood)));
	}
	line_add(l, "in", "%s", in);
	line_add(l, "depth", "8mm");
	metered(l, list, wood, "mk");
}

/* ---- weighing and setting ---- */

static int charge_pieces(struct works *w, const struct charge *c)
{
	int n = 0;

	for (int i = 0; i < c->parts; i++)
		n += shelf_at(&w->shelf, key_of(w, c->part[i].lot, "cleft", c->part[i].type, "", c->plan->id))->n;
	return n;
}

static double cleft_g(const struct part *p, double mc)
{
	return kinds[kind_index(p->type)].mass_g * 1.32 * (100 + mc) / 110;
}

static void weigh_load(struct works *w, struct charge *c, int minute, bool dried)
{
	struct line *l = page_say(&w->page, minute, "weigh", c->plan->id);
	double kg = 0;

	for (int i = 0; i < c->parts; i++)
		kg += (double)c->part[i].n * cleft_g(&c->part[i], dried ? c->part[i].end_mc : c->part[i].start_mc) / 1000;
	line_add(l, "mass", "%ldkg", num_round(kg * rng_between(&c->rng, 0.99, 1.01)));
	line_add(l, "by", "mk");
	line_remark(l, dried ? "the whole load, on the trolleys, dry" : "the whole load, less the trolleys");
}

static void weigh_samples(struct works *w, struct charge *c, int minute)
{
	const struct part *p = &c->part[0];
	struct line *l = page_say(&w->page, minute, "weigh", c->plan->id);
	char list[100] = "", one[24];

	for (int i = 0; i < 4; i++)
		snprintf(list + strlen(list), sizeof list - strlen(list), "%s%skg", i ? "," : "",
			num_text(one, cleft_g(p, p->start_mc) * rng_between(&c->rng, 0.92, 1.08) / 1000, 3));
	line_add(l, "lot", "%s", p->lot->id);
	line_add(l, "type", "%s", p->type);
	line_add(l, "mass", "%s", list);
	line_add(l, "by", "mk");
}

static void set_stage(struct works *w, struct kiln *k, int stage, int minute)
{
	struct line *l = page_say(&w->page, minute, "set", k->id);

	k->set_temp_c = stages[stage].temp_c;
	k->set_rh_pct = stages[stage].rh_pct;
	line_add(l, "stage", "%s", stages[stage].name);
	line_add(l, "temp", "%ldC", num_round(k->set_temp_c));
	line_add(l, "rh", "%ld%%", num_round(k->set_rh_pct));
	line_add(l, "by", minute == UNTIMED ? "jo" : "mk");
}

static void set_off(struct works *w, struct kiln *k, int minute)
{
	struct line *l = page_say(&w->page, minute, "set", k->id);

	k->set_temp_c = 0;
	k->charge = NULL;
	line_add(l, "stage", "off");
	line_add(l, "by", minute == UNTIMED ? "jo" : "mk");
}

static void charge_load(struct works *w, struct charge *c)
{
	struct kiln *k = kiln_of(w, c->plan->kiln);
	int minute = 470;

	if (k->charge)
		stop("%s is not empty when %s comes", k->id, c->plan->id);
	c->rng = rng_named(c->plan->id);
	for (int i = 0; i < 6 && c->plan->want[i].from; i++)
		minute = load_want(w, c, &c->plan->want[i], minute);
	for (int i = 0; i < TYPES; i++)
		minute = pool_type(w, c, kinds[i].id, minute);
	parts_bought(w, c);
	parts_truth(w, c);
	if (c->plan->id[5] % 3 == 0)
		weigh_load(w, c, minute + 5, false);
	if (c->plan->id[5] % 3 == 1)
		weigh_samples(w, c, minute + 5);
	probes_in(w, c, minute + 20);
	set_stage(w, k, 0, minute + 40);
	k->charge = c;
	c->state = CH_DRYING;
	c->next_read = day_next_work(w->day + 2);
	if (has_trouble(c, TR_TRIP)) {
		c->trip_from = w->day + 10;
		c->trip_days = 3;
		truth_add(w, "charge", c->plan->id, "trip_day", 10, 0, "d");
	}
}

/* ---- while it dries ---- */

static void read_out(struct works *w, struct charge *c, struct kiln *k, int minute, int dead)
{
	struct dedup seen = { .n = 0 };
	double wood = (double)num_round(k->temp_c - 0.4);
	struct line *l = page_say(&w->page, minute, "probe", c->plan->id);
	char list[160];

	readings(w, c, wood, list, sizeof list, dead, &seen);
	metered(l, list, wood, minute == UNTIMED ? "jo" : "mk");
	for (int i = 0; i < PROBES; i++)
		if (probe_left_out(w, c, &c->probe[i]) && w->day - c->load_day < c->probe[i].frozen_from + 12)
			line_remark(l, "%c does not move any more: left out", 'a' + i);
	if (dead >= 0)
		line_remark(l, "%c: wire off", 'a' + dead);
	if (seen.n) {
		c->mean_seen = seen.sum / seen.n;
		c->wettest_seen = seen.wettest;
		c->driest_seen = seen.driest;
	}
}

static void probe_again(struct works *w, struct charge *c, struct kiln *k, int i, int minute)
{
	int part = c->probe[i].part;
	double wood = (double)num_round(k->temp_c - 0.4);
	struct line *l = page_say(&w->page, minute, "probe", c->plan->id);
	char item[40], one[24];

	probe_choose(c, i, part);
	probe_truth(w, c, i, "second_piece");
	line_add(l, "out", "%c", 'a' + i);
	line_add(l, "in", "%c:%s/%s", 'a' + i, c->part[part].lot->id, c->part[part].type);
	snprintf(item, sizeof item, "%c:%s", 'a' + i,
		reading_text(one, meter_raw(&c->rng, probe_mc(w, c, &c->probe[i]), wood)));
	metered(l, item, wood, "mk");
}

/* A piece is cut up for the oven. */
static void oven_test(struct works *w, struct charge *c, struct kiln *k)
{
	const struct part *p = &c->part[c->oven_tests % c->parts];
	double wood = (double)num_round(k->temp_c - 0.4), dry = rng_between(&c->rng, 140, 190);
	double mc = some_piece_mc(c, p, w->day);
	struct key key = key_of(w, p->lot, "cleft", p->type, "", c->plan->id);
	struct line *l = page_say(&w->page, 11 * 60 + 5 * c->oven_tests, "oven", c->plan->id);
	char one[24];

	line_pick(l, key, W_AT, W_LOT | W_TYPE);
	line_add(l, "mc", "%s", reading_text(one, meter_raw(&c->rng, mc, wood)));
	line_add(l, "wood", "%ldC", num_round(wood));
	line_add(l, "meter", "pin2");
	line_add(l, "wet", "%sg", num_text(one, dry * (100 + mc) / 100, 1));
	line_add(l, "dry", "%sg", num_text(one, dry, 1));
	line_add(l, "cull", "test:1");
	line_add(l, "by", "mk");
	page_take(&w->page, key, 1);
	c->oven_tests++;
}

static int stage_due(const struct charge *c)
{
	if (c->driest_seen < 10.2 || c->mean_seen < 11.6)
		return 4;
	return c->mean_seen < 15 ? 3 : c->mean_seen < 20 ? 2 : 1;
}

static void charge_stage(struct works *w, struct charge *c, struct kiln *k, int minute)
{
	int due = stage_due(c);

	if (due > c->stage) {
		c->stage = due;
		set_stage(w, k, due, minute);
	}
}

static void ready_count(struct works *w, struct charge *c)
{
	bool ready = c->stage == 4 && c->wettest_seen <= 10.1;

	if (has_trouble(c, TR_WET_STAY))
		ready = c->stage == 4 && c->mean_seen <= 10.3;
	c->ready_reads = ready ? c->ready_reads + 1 : 0;
	if (c->ready_reads == 2 || w->day - c->load_day > 46) {
		c->state = CH_EMPTYING;
		c->empty_day = day_next_work(w->day + 1);
	}
}

static void charge_read(struct works *w, struct charge *c, struct kiln *k)
{
	bool jo = day_weekday(w->day) == 0, swap;
	int minute = jo ? UNTIMED : 460 + 5 * rng_int(&c->rng, 0, 6), days = w->day - c->load_day;

	swap = has_trouble(c, TR_DEAD_WIRE) && !jo && days >= 9 && !c->probe[2].frozen_from
		&& !c->swapped;
	read_out(w, c, k, minute, swap ? 2 : -1);
	if (swap) {
		probe_again(w, c, k, 2, minute + 25);
		c->swapped = true;
	}
	charge_stage(w, c, k, jo ? UNTIMED : minute + 30);
	if (!jo && c->mean_seen < 17 - 2 * c->oven_tests && c->oven_tests < 2)
		oven_test(w, c, k);
	ready_count(w, c);
	c->next_read = day_next_work(w->day + (c->mean_seen < 12 ? 2 : rng_int(&c->rng, 2, 4)));
}

/* Seen on the Saturday; nobody can do anything about it. */
static void trip_seen(struct works *w, struct kiln *k)
{
	struct line *l = page_say(&w->page, 17 * 60, "set", k->id);

	line_add(l, "stage", "off");
	line_add(l, "by", "mk");
	line_remark(l, "intended kiln-off-full: the compressor tripped in the night, the charge stays in");
}

static void trip_over(struct works *w, struct charge *c, struct kiln *k)
{
	struct line *l = page_say(&w->page, 450, "note", k->id);

	line_add(l, "text", "\"compressor tripped on Friday night; thermal relay, reset at half past eight\"");
	line_add(l, "by", "mk");
	set_stage(w, k, c->stage, 510);
	l = page_say(&w->page, UNTIMED, "cost", k->id);
	line_add(l, "kind", "repair");
	line_add(l, "price", "265.00NZD");
	line_add(l, "from", "fravosk");
}

static void charge_dries(struct works *w, struct charge *c, struct kiln *k)
{
	if (w->day == day_next_work(c->load_day + 1) && c->stage == 0) {
		c->stage = 1;
		set_stage(w, k, 1, UNTIMED);
	}
	if (c->trip_days && w->day == day_next_work(c->trip_from + c->trip_days))
		trip_over(w, c, k);
	if (w->day == c->next_read)
		charge_read(w, c, k);
}

/* ---- emptying ---- */

static void part_end(struct works *w, struct charge *c, struct part *p)
{
	double sum = 0, squares = 0, mc;
	char whom[40];
	enum { PIECES = 60 };

	for (int i = 0; i < PIECES; i++) {
		mc = some_piece_mc(c, p, w->day);
		sum += mc;
		squares += mc * mc;
	}
	p->end_mc = sum / PIECES;
	p->end_sd = 0.1;
	while (p->end_sd * p->end_sd < squares / PIECES - p->end_mc * p->end_mc)
		p->end_sd += 0.01;
	p->lot->blade_mc = p->end_mc;
	p->lot->blade_sd = p->end_sd;
	p->lot->fresh = true;
	snprintf(whom, sizeof whom, "%s/%s/%s", c->plan->id, p->lot->id, p->type);
	truth_add(w, "charge", whom, "end_mc", p->end_mc, 2, "%");
	truth_add(w, "charge", whom, "end_sd", p->end_sd, 2, "%");
}

static struct items kiln_culls(struct rng *r, double p, int n)
{
	struct items it = { .sum = 0 };
	int split = rng_binomial(r, n, p * 0.55), warp = rng_binomial(r, n - split, p * 0.35);

	items_add(&it, "split", split);
	items_add(&it, "warp", warp);
	items_add(&it, "honeycomb", rng_binomial(r, n - split - warp, p * 0.10));
	return it;
}

static int unload_part(struct works *w, struct charge *c, const struct part *p, int n, int minute)
{
	struct key from = key_of(w, p->lot, "cleft", p->type, "", c->plan->id), to = from;
	struct items cull = kiln_culls(&c->rng, p->lot->source->kiln_cull, n);
	struct line *l = page_say(&w->page, minute, "unload", c->plan->id);
	bool jo = minute == UNTIMED;

	line_pick(l, from, W_AT, jo ? 0 : W_LOT | W_TYPE);
	line_add(l, "count", "%d", n - cull.sum);
	if (cull.sum)
		line_add(l, "cull", "%s", cull.text);
	line_add(l, "into", "bench");
	line_add(l, "by", jo ? "jo" : "mk");
	page_take(&w->page, from, n);
	to.at = shelf_name(&w->shelf, "bench");
	page_give(&w->page, to, n - cull.sum);
	return jo ? UNTIMED : minute + 10 + n / 12;
}

static void probes_out(struct works *w, struct charge *c, struct kiln *k, bool stay)
{
	struct dedup seen = { .n = 0 };
	double wood = (double)num_round(k->temp_c - 0.4);
	struct line *l = page_say(&w->page, 455, "probe", c->plan->id);
	char list[160], out[20] = "";

	readings(w, c, wood, list, sizeof list, -1, &seen);
	for (int i = 0; i < PROBES; i++) {
		if (!c->probe[i].in || (stay && i == 1))
			continue;
		snprintf(out + strlen(out), sizeof out - strlen(out), "%s%c", *out ? "," : "", 'a' + i);
		c->probe[i].in = false;
	}
	line_add(l, "out", "%s", out);
	metered(l, list, wood, "mk");
}

/* How much of a part is still in. */
static int part_left(struct works *w, struct charge *c, const struct part *p)
{
	return shelf_at(&w->shelf, key_of(w, p->lot, "cleft", p->type, "", c->plan->id))->n;
}

/* The wet ones stay a week; a big charge takes two days. */
static void charge_unload(struct works *w, struct charge *c, bool first, bool stay)
{
	bool jo = strchr("258", c->plan->id[5]) != NULL;
	int minute = jo ? UNTIMED : 510, done = 0;

	for (int i = 0; i < c->parts; i++) {
		struct part *p = &c->part[i];
		int n = part_left(w, c, p), keep = stay && c->probe[1].part == i ? n / 7 : 0;

		if (n == 0 || (first && done > 600))
			continue;
		if (p->end_mc == 0)
			part_end(w, c, p);
		minute = unload_part(w, c, p, n - keep, minute);
		if (keep)
			line_remark(w->page.lines[w->page.n - 1], "%d wet ones stay in for a week", keep);
		done += n - keep;
	}
}

static void power_bill(struct works *w, struct charge *c)
{
	struct line *l = page_say(&w->page, UNTIMED, "cost", c->plan->id);
	int pieces = 0, days = w->day - c->load_day, kwh;
	char price[24];

	for (int i = 0; i < c->parts; i++)
		pieces += c->part[i].n;
	kwh = (int)num_round(0.85 * pieces + 14.0 * days);
	line_add(l, "kind", "power");
	line_add(l, "energy", "%dkWh", kwh);
	line_add(l, "price", "%sNZD", num_text(price, kwh * 0.287, 2));
	line_add(l, "doc", "M-%02d%02d", day_month(w->day), day_year(w->day) % 100);
	line_remark(l, "meter read at the kiln");
}

static void charge_empties(struct works *w, struct charge *c, struct kiln *k)
{
	bool stay = has_trouble(c, TR_WET_STAY), first = w->day == c->empty_day;

	if (first) {
		probes_out(w, c, k, stay);
		charge_unload(w, c, charge_pieces(w, c) > 900, stay);
		if (stay || charge_pieces(w, c))
			c->next_read = day_next_work(w->day + (stay ? 7 : 1));
	} else if (stay && w->day == day_next_work(c->empty_day + 3)) {
		read_out(w, c, k, 465, -1);
	} else if (w->day == c->next_read && charge_pieces(w, c)) {
		if (stay)
			probes_out(w, c, k, false);
		charge_unload(w, c, false, false);
	}
	if (charge_pieces(w, c) == 0 && c->state == CH_EMPTYING) {
		c->state = CH_DONE;
		c->empty_day = w->day;
		c->next_read = day_next_work(w->day + 1);
	}
}

static void charge_done(struct works *w, struct charge *c, struct kiln *k)
{
	if (w->day != c->next_read)
		return;
	set_off(w, k, UNTIMED);
	power_bill(w, c);
	if (c->plan->id[5] % 2)
		line_add(page_say(&w->page, UNTIMED, "clean", k->id), "by", "jo");
	if (c->plan->id[5] % 3 == 0)
		truth_add(w, "charge", c->plan->id, "days", c->empty_day - c->load_day, 0, "d");
}

static void hand_air(struct works *w, const struct kiln *k, int minute)
{
	struct line *l = page_say(&w->page, minute, "air", k->id);
	double rh = k->rh_pct + 0.6 * rng_normal(&w->climate_rng);
	char text[24];

	line_add(l, "temp", "%sC", num_text(text, k->temp_c, 1));
	if (strcmp(k->id, "north") == 0 && day_weekday(w->day) == 2) {
		line_add(l, "wetbulb", "%sC", num_text(text, num_wetbulb_c(k->temp_c, rh), 1));
		line_add(l, "meter", "psy1");
	} else {
		line_add(l, "rh", "%ld%%", num_round(rh - HYG_BIAS));
		line_add(l, "meter", "hyg1");
	}
	line_add(l, "by", "mk");
}

void kiln_night(struct works *w)
{
	for (int i = 0; i < 2; i++)
		for (int step = 0; step < 3; step++)
			kiln_step(w, &w->kilns[i], step);
}

void kiln_day(struct works *w)
{
	for (size_t i = 0; i < plans_n; i++) {
		struct charge *c = &w->charges[i];
		struct kiln *k = kiln_of(w, c->plan->kiln);
		const struct plan *p = c->plan;

		if (c->state == CH_DRYING)
			charge_dries(w, c, k);
		else if (c->state == CH_EMPTYING)
			charge_empties(w, c, k);
		else if (c->state == CH_DONE)
			charge_done(w, c, k);
		else if (w->day == day_next_work(day_of(p->year, p->month, p->day))) {
			c->load_day = w->day;
			charge_load(w, c);
		}
	}
	for (int i = 0; i < 2; i++)
		if (w->kilns[i].charge && day_works(w->day) && w->kilns[i].charge->load_day != w->day)
			hand_air(w, &w->kilns[i], 470 + 10 * i);
}

void kiln_evening(struct works *w)
{
	for (int i = 0; i < 2; i++) {
		struct kiln *k = &w->kilns[i];

		for (int step = 3; step < STEPS; step++)
			kiln_step(w, k, step);
		if (k->charge && k->charge->trip_days && w->day == k->charge->trip_from + 1)
			trip_seen(w, k);
		if (k->charge && day_works(w->day))
			hand_air(w, k, 16 * 60 + 10 * i);
	}
}
