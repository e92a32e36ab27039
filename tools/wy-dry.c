/*
 * wy-dry - which charges are ready, why, and when the others will be.
 */
#include <math.h>
#include <stdlib.h>

#include "base/mem.h"
#include "cli/tool.h"
#include "cli/tool_book.h"
#include "dry/charges.h"
#include "dry/warnings.h"
#include "house/house.h"
#include "math/distributions.h"
#include "stock/stock.h"
#include "table/table.h"
#include "wood/climate.h"

enum { DAY_S = 86400, PAST_MOST = 24, TELLINGS_MOST = 64, SCORE_READINGS = 5, SCORE_PLACES = 4, HAND_DAYS = 3 };

static bool want_all, want_curve, want_score, want_each, want_rates;
static struct opt_list want_charges;

static const struct opt options[] = {
	OPT_LIST('c', "charge", &want_charges, "ID", "this charge, open or past; may be given many times (the open ones)"),
	OPT_FLAG('a', "all", &want_all, "the past charges too"),
	OPT_FLAG(0, "curve", &want_curve, "what was read and what the model says, day by day, for a picture"),
	OPT_FLAG(0, "rates", &want_rates, "how fast each probe's piece dries"),
	OPT_FLAG(0, "score", &want_score, "how good the forecasts were: past charges, as they stood day by day"),
	OPT_FLAG(0, "each", &want_each, "with --score: every single forecast"),
	OPT_PART(tool_answer_options),
	OPT_END
};

static const struct opt_page page = {
	.name = "wy-dry",
	.purpose = "which charges are ready, why, and when the others will be",
	.usage = "[--all | --charge ID...] [--curve | --rates] [options] [FILE...]\n--score [--each] [options] [FILE...]",
	.options = options,
	.exits = "0  done\n1  no such charge, or the book has errors\n2  wrong use, or something could not be read or written",
	.example = "wy-dry --on 2026-07-20 -b\nthe charges in the kilns, with verdict, reasons and the day they will be ready",
};

/* A prior and what it was learned from: how many charges had ended. */
struct lore {
	size_t ended;
	bool learned;
	struct dry_prior prior;
};

struct answer {
	struct book book;
	struct stock stock;
	struct charges dry;
	const struct house *house;
	struct house *own_house;      /* an empty one, where there is none */
	int32_t today;
	int64_t now_s;                /* the end of that day */
	int64_t *held;                /* pieces in each place, by id */
	size_t held_n;
	struct dry_case **ended;      /* cases by when they ended */
	size_t nended;
	struct lore *lore;            /* by how many had ended */
};

/* One charge as it stood at a moment. */
struct view {
	const struct dry_case *c;
	int64_t now_s;
	double now;
	bool open;
	struct dry_charge charge;     /* what there is of it by then */
	struct dry_probe *known;
	struct dry_place *place;
	const struct dry_prior *prior;
	struct dry_fit fit;
	struct dry_run *run;
	size_t *probe, n;             /* those in it, that the rule looks at */
	unsigned fails;
	double assures;
	struct dry_limits limits;
	struct dry_telling telling[TELLINGS_MOST];
	size_t ntellings;
	size_t *warnings;         /* how many of its reasons so far are warnings */
	bool doubted;
	struct dry_forecast forecast;
};

/* ---- days and instants on the works' clock */

static int32_t day_at(const struct answer *a, int64_t utc_s)
{
	int64_t wall = utc_s + zone_offset(a->book.zone, utc_s);

	return (int32_t)(wall >= 0 ? wall / DAY_S : -((DAY_S - 1 - wall) / DAY_S));
}

/* The instant at which a day is over. */
static int64_t end_of_day(struct answer *a, int32_t day)
{
	struct stamp stamp = { day + 1, 0, STAMP_NO_OFFSET };
	int64_t utc_s;

	book_instant(&a->book, &stamp, &utc_s);
	return utc_s;
}

static void put_day(struct table *t, int32_t day)
{
	struct buf text = BUF_INIT;

	day_write(&text, day);
	table_date(t, buf_slice(&text));
	buf_release(&text);
}

/* The day on which `days` after loading falls; nothing for never. */
static void put_day_of(const struct answer *a, struct table *t, const struct dry_case *c, double days)
{
	if (isfinite(days))
		put_day(t, day_at(a, c->load_s + llround(days * DAY_S)));
	else
		table_absent(t);
}

static void put_word(struct table *t, struct slice word)
{
	if (word.n)
		table_text(t, word);
	else
		table_absent(t);
}

/* ---- what the past taught, at a moment */

static int by_end(const void *a, const void *b)
{
	const struct dry_case *x = *(struct dry_case *const *)a, *y = *(struct dry_case *const *)b;

	if (x->end_s != y->end_s)
		return x->end_s < y->end_s ? -1 : 1;
	return slice_cmp(x->id, y->id);
}

/* Whether a charge can teach: it was read and is over. */
static bool teaches(const struct dry_case *c)
{
	return c->end_s != INT64_MAX && c->charge.nprobes > 0;
}

static void gather_ended(struct answer *a)
{
	a->ended = mem_array(a->dry.n, sizeof *a->ended);
	for (size_t i = 0; i < a->dry.n; i++)
		if (teaches(&a->dry.cases[i]))
			a->ended[a->nended++] = &a->dry.cases[i];
	if (a->nended)
		qsort(a->ended, a->nended, sizeof *a->ended, by_end);
	a->lore = mem_zeroed(a->nended + 1, sizeof *a->lore);
}

/* Learned from the last PAST_MOST charges that had ended before a moment. */
static const struct dry_prior *lore_at(struct answer *a, int64_t now_s)
{
	const struct dry_charge *past[PAST_MOST];
	size_t ended = 0, n = 0;
	struct lore *lore;

	while (ended < a->nended && a->ended[ended]->end_s < now_s)
		ended++;
	lore = &a->lore[ended];
	if (lore->learned)
		return &lore->prior;
	for (size_t i = ended > PAST_MOST ? ended - PAST_MOST : 0; i < ended; i++)
		past[n++] = &a->ended[i]->charge;
	dry_prior_init(&lore->prior);
	dry_learn(&lore->prior, past, n);
	*lore = (struct lore){ ended, true, lore->prior };
	return &lore->prior;
}

/* ---- a charge at a moment */

/* Whether a probe was there by then; masses begin to say something with the second. */
static bool is_known(const struct view *v, const struct dry_probe *probe, enum dry_source source)
{
	size_t need = source == DRY_WEIGHED || source == DRY_LOAD ? 2 : 1;

	if (source == DRY_PROBE)
		return probe->from <= v->now;
	return probe->n >= need && probe->reading[need - 1].day <= v->now;
}

static void take_known(struct view *v)
{
	const struct dry_charge *all = &v->c->charge;
	size_t n = 0;

	v->known = mem_array(all->nprobes, sizeof *v->known);
	v->place = mem_array(all->nprobes, sizeof *v->place);
	for (size_t p = 0; p < all->nprobes; p++)
		if (is_known(v, &all->probe[p], v->c->place[p].source)) {
			v->known[n] = all->probe[p];
			v->place[n++] = v->c->place[p];
		}
	v->charge = *all;
	v->charge.probe = v->known;
	v->charge.nprobes = n;
}

/* Until when the last probes were in a charge that is over. */
static double last_in(const struct view *v)
{
	double last = 0;

	for (size_t p = 0; p < v->charge.nprobes; p++)
		if (v->known[p].ruled)
			last = fmax(last, fmin(v->known[p].until, v->now));
	return last;
}

/* Whether the rule looks at a probe at that moment; of a charge that is over, at its last reading. */
static bool counts(const struct view *v, const struct dry_probe *probe)
{
	if (!probe->ruled || probe->from > v->now)
		return false;
	return v->open ? probe->until > v->now : probe->until >= last_in(v) - 0.5;
}

static void take_runs(struct answer *a, struct view *v)
{
	const struct dry_charge *charge = &v->charge;

	v->run = mem_zeroed(charge->nprobes, sizeof *v->run);
	v->probe = mem_array(charge->nprobes, sizeof *v->probe);
	for (size_t p = 0; p < charge->nprobes; p++) {
		const struct dry_probe *probe = &charge->probe[p];

		if (!counts(v, probe))
			continue;
		for (size_t i = 0; i < probe->n && probe->reading[i].day <= v->now; i++)
			dry_run_take(&v->run[v->n], &a->dry.rule, probe->reading[i].day, probe->reading[i].mc, probe->reading[i].mark);
		v->probe[v->n++] = p;
	}
}

/* The end of a band of moisture; an open one is infinite. */
static double end_of(int64_t fix)
{
	return fix == INT64_MIN ? -INFINITY : fix == INT64_MAX ? INFINITY : (double)fix / 10000;
}

/* How fast the wood of a kiln may dry. The caller frees it. */
static struct dry_most *most_of(const struct house_place *kiln, size_t *n)
{
	struct dry_most *most = mem_array(kiln ? kiln->nrates : 0, sizeof *most);

	for (size_t i = 0; kiln && i < kiln->nrates; i++) {
		const struct house_rate *r = &kiln->rates[i];
		bool given = house_range_given(r->band);

		if (r->most != HOUSE_NONE)
			most[(*n)++] = (struct dry_most){ given ? end_of(r->band.low) : -INFINITY, given ? end_of(r->band.high) : INFINITY, !given,
				(double)r->most / 10000 };
	}
	return most;
}

static void take_limits(const struct answer *a, struct view *v)
{
	int64_t every = a->house->intervals.probe;

	v->limits = (struct dry_limits){ .target = a->dry.has_rule ? a->dry.target : NAN, .every = every == HOUSE_NONE ? NAN : (double)every / 240000 };
	v->limits.most = most_of(house_place(a->house, v->c->kiln), &v->limits.nmost);
}

static uint64_t seed_of(const struct view *v)
{
	uint64_t seed = slice_hash(v->c->id);

	for (size_t p = 0; p < v->charge.nprobes; p++)
		for (size_t i = 0; i < v->charge.probe[p].n && v->charge.probe[p].reading[i].day <= v->now; i++)
			seed = seed * UINT64_C(6364136223846793005) + (uint64_t)llround(v->charge.probe[p].reading[i].mc * 1000);
	return seed;
}

static void judge(struct answer *a, struct view *v)
{
	double spread = dry_spread(&v->charge, v->prior, &v->fit, v->now);
	size_t n = 0;

	v->fails = dry_rule_fails(&a->dry.rule, v->run, v->n, spread);
	v->assures = v->fails & DRY_UNREAD ? NAN : dry_rule_assures(&a->dry.rule, v->run, v->n, spread);
	v->ntellings = dry_warn(&v->charge, v->prior, &v->fit, &a->dry.rule, &v->limits, v->telling, TELLINGS_MOST);
	for (size_t i = 0; i < v->ntellings; i++)
		v->doubted = v->doubted || dry_sign_doubts(v->telling[i].sign);
	while (n < v->n && v->run[n].read)
		n++;
	if (v->open && v->n && n == v->n && v->fails)
		dry_forecast(&v->charge, v->prior, &v->fit, &a->dry.rule, seed_of(v), &v->forecast);
}

static void view_init(struct answer *a, struct view *v, const struct dry_case *c, int64_t now_s)
{
	*v = (struct view){ .c = c, .open = c->end_s >= now_s, .assures = NAN,
		.forecast = { HUGE_VAL, HUGE_VAL, HUGE_VAL, HUGE_VAL, HUGE_VAL, NAN } };
	v->now_s = v->open ? now_s : c->end_s;
	v->now = fmax(dry_case_day(c, v->now_s), 0);
	v->prior = lore_at(a, v->now_s);
	take_known(v);
	take_limits(a, v);
	dry_fit(&v->charge, v->prior, v->now, &v->fit);
	take_runs(a, v);
	if (a->dry.has_rule)
		judge(a, v);
}

static void view_release(struct view *v)
{
	dry_fit_release(&v->fit);
	free((void *)(uintptr_t)v->limits.most);
	free(v->known);
	free(v->place);
	free(v->run);
	free(v->probe);
}

static const char *verdict_of(const struct answer *a, const struct view *v)
{
	if (!v->open)
		return "emptied";
	if (!a->dry.has_rule)
		return "no rule";
	if (v->n == 0 || v->fails & DRY_UNREAD)
		return "not read";
	if (v->fails)
		return "not ready";
	return v->doubted ? "doubtful" : "ready";
}

/* ---- the table of charges */

static const struct table_column charge_columns[] = {
	{ "as_of", TABLE_DATE, 0, NULL }, { "charge", TABLE_TEXT, 0, NULL }, { "kiln", TABLE_TEXT, 0, NULL }, { "loaded", TABLE_DATE, 0, NULL },
	{ "day", TABLE_INT, 0, NULL }, { "pieces", TABLE_INT, 0, NULL }, { "probes", TABLE_INT, 0, NULL }, { "read_on", TABLE_DATE, 0, NULL },
	{ "mean_pct", TABLE_REAL, 1, NULL }, { "driest_pct", TABLE_REAL, 1, NULL }, { "wettest_pct", TABLE_REAL, 1, NULL }, { "verdict", TABLE_TEXT, 0, NULL },
	{ "ready_on", TABLE_DATE, 0, NULL }, { "ready_50_from", TABLE_DATE, 0, NULL }, { "ready_50_to", TABLE_DATE, 0, NULL },
	{ "ready_90_from", TABLE_DATE, 0, NULL }, { "ready_90_to", TABLE_DATE, 0, NULL }, { "ready_days", TABLE_REAL, 1, NULL },
	{ "never_pct", TABLE_REAL, 0, NULL }, { "assured_pct", TABLE_REAL, TABLE_DOWN + 0, NULL }, { "warnings", TABLE_INT, 0, NULL }
};

static void put_readings(const struct answer *a, struct table *t, const struct view *v)
{
	double sum = 0, driest = HUGE_VAL, wettest = -HUGE_VAL, last = -HUGE_VAL;
	size_t n = 0;

	for (size_t i = 0; i < v->n; i++)
		if (v->run[i].read) {
			sum += v->run[i].last;
			driest = fmin(driest, v->run[i].last);
			wettest = fmax(wettest, v->run[i].last);
			last = fmax(last, v->run[i].last_day);
			n++;
		}
	table_int(t, (int64_t)v->n);
	put_day_of(a, t, v->c, last);
	table_real(t, n ? sum / (double)n : NAN);
	table_real(t, driest);
	table_real(t, wettest);
}

/* Pieces in it by now; of a past one, those that were loaded. */
static int64_t pieces_of(const struct answer *a, const struct view *v)
{
	uint32_t id = intern_find(&a->stock.ids, v->c->id);

	return v->open && id && id < a->held_n ? a->held[id] : v->c->pieces;
}

/* The date of the whole day that ends at a moment. */
static void put_day_before(const struct answer *a, struct table *t, const struct dry_case *c, double end)
{
	put_day_of(a, t, c, end - 1e-6);
}

static void put_charge(const struct answer *a, struct table *t, const struct view *v)
{
	const struct dry_forecast *f = &v->forecast;

	put_day(t, a->today);
	table_text(t, v->c->id);
	put_word(t, v->c->kiln);
	put_day(t, day_at(a, v->c->load_s));
	table_int(t, day_at(a, v->now_s - 1) - day_at(a, v->c->load_s));
	table_int(t, pieces_of(a, v));
	put_readings(a, t, v);
	table_cstr(t, verdict_of(a, v));
	put_day_before(a, t, v->c, v->now + floor(f->median - v->now + 0.5));
	put_day_before(a, t, v->c, f->low50 + 0.5);
	put_day_before(a, t, v->c, f->high50 - 0.5);
	put_day_before(a, t, v->c, f->low90 + 0.5);
	put_day_before(a, t, v->c, f->high90 - 0.5);
	table_real(t, f->median - v->now);
	table_real(t, 100 * f->never);
	table_real(t, 100 * v->assures);
	table_int(t, (int64_t)*v->warnings);
}

/* ---- the table of reasons */

static void put_reason(const struct answer *a, struct table *t, const struct view *v, const char *side, const char *what, struct buf *text)
{
	put_day(t, a->today);
	table_text(t, v->c->id);
	table_cstr(t, side);
	table_cstr(t, what);
	table_text(t, buf_slice(text));
	*v->warnings += slice_eq(slice_of(side), SLICE("warning"));
	text->n = 0;
}

static struct slice label_of(const struct view *v, size_t probe)
{
	return v->place[probe].label;
}

/* The probe whose last reading is the most (or the least). */
static size_t extreme(const struct view *v, int sign)
{
	size_t best = SIZE_MAX;

	for (size_t i = 0; i < v->n; i++)
		if (v->run[i].read && (best == SIZE_MAX || sign * (v->run[i].last - v->run[best].last) > 0))
			best = i;
	return best;
}

static void put_part(const struct answer *a, struct table *t, const struct view *v, unsigned part, const char *what, struct buf *text)
{
	put_reason(a, t, v, v->fails & part ? "against" : "for", what, text);
}

static void put_band(const struct answer *a, struct table *t, const struct view *v, struct buf *text)
{
	const struct dry_rule *r = &a->dry.rule;
	size_t wet = extreme(v, 1), dry = extreme(v, -1);
	struct slice label;

	if (wet == SIZE_MAX)
		return;
	label = label_of(v, v->probe[wet]);
	buf_printf(text, "probe %.*s reads %.1f %%; at most %.1f %% is asked", (int)label.n, label.p, v->run[wet].last, r->high);
	put_part(a, t, v, DRY_TOO_WET, "wettest", text);
	label = label_of(v, v->probe[dry]);
	buf_printf(text, "probe %.*s reads %.1f %%; at least %.1f %% is asked", (int)label.n, label.p, v->run[dry].last, r->low);
	put_part(a, t, v, DRY_TOO_DRY, "driest", text);
	if (r->spread >= 0) {
		buf_printf(text, "wettest and driest are %.1f points apart; at most %.1f are asked", v->run[wet].last - v->run[dry].last, r->spread);
		put_part(a, t, v, DRY_TOO_WIDE, "spread", text);
	}
}

static void put_lasting(const struct answer *a, struct table *t, const struct view *v, struct buf *text)
{
	const struct dry_rule *r = &a->dry.rule;
	int fewest = INT32_MAX;
	double shortest = HUGE_VAL, quickest = -HUGE_VAL;

	for (size_t i = 0; i < v->n; i++) {
		const struct dry_run *run = &v->run[i];

		fewest = run->in_band < fewest ? run->in_band : fewest;
		shortest = fmin(shortest, run->in_band ? run->last_day - run->since : 0);
		if (run->read_before && run->last_day > run->before_day)
			quickest = fmax(quickest, (run->before - run->last) / (run->last_day - run->before_day));
	}
	buf_printf(text, "in the band in a row, up to the last, at every probe: %d reading%s; %d are asked", fewest, fewest == 1 ? "" : "s", r->readings);
	put_part(a, t, v, DRY_TOO_FEW, "readings", text);
	if (r->hold > 0) {
		buf_printf(text, "in the band at every probe for %.1f days up to the last reading; %.1f are asked", shortest, r->hold);
		put_part(a, t, v, DRY_TOO_SHORT, "hold", text);
	}
	if (r->rate >= 0 && isfinite(quickest)) {
		buf_printf(text, "the quickest probe loses %.2f points a day; at most %.2f are asked", quickest, r->rate);
		put_part(a, t, v, DRY_TOO_QUICK, "rate", text);
	}
}

/*
 * What pieces that were taken out and read by hand in the last days say: exact binomial limit (Clopper and
 * Pearson), one-sided.
 */
static void put_hand_read(const struct answer *a, struct table *t, const struct view *v, double sure, struct buf *text)
{
	const struct dry_rule *r = &a->dry.rule;
	int64_t n = 0, in = 0;

	for (size_t p = 0; p < v->charge.nprobes; p++) {
		const struct dry_reading *reading = v->known[p].reading;

		if (v->place[p].source != DRY_RANDOM || reading->day < v->now - HAND_DAYS)
			continue;
		n++;
		in += reading->mark == DRY_AT && reading->mc >= r->low && reading->mc <= r->high;
	}
	if (n == 0)
		return;
	buf_printf(text, "of %lld piece%s read by hand in the last %d days %lld are in the band: if taken at random, that assures, %.0f %% sure, %.0f %% of the pieces",
		(long long)n, n == 1 ? "" : "s", HAND_DAYS, (long long)in, 100 * sure, floor(100 * num_share(in, n, fmax(2 * sure - 1, 1e-6)).low));
	put_reason(a, t, v, "note", "hand-read", text);
}

/* What n probes can say of the charge, and what pieces taken out by hand would. */
static void put_share(const struct answer *a, struct table *t, const struct view *v, struct buf *text)
{
	const struct dry_rule *r = &a->dry.rule;
	double share = r->share > 0 ? r->share : 0.9, sure = r->sure > 0 ? r->sure : 0.9;

	if (isnan(v->assures))
		buf_printf(text, "%zu probe%s cannot say how the other pieces are", v->n, v->n == 1 ? "" : "s");
	else
		buf_printf(text, "%zu probes assure, %.0f %% sure, that %.0f %% of the pieces are in the band; probes in one stack are no random sample, so at best",
			v->n, 100 * sure, floor(100 * v->assures));
	put_reason(a, t, v, r->share > 0 ? (v->fails & DRY_UNSURE ? "against" : "for") : !v->fails && !(v->assures >= share) ? "warning" : "note",
		"share", text);
	buf_printf(text, "to be %.0f %% sure that %.0f %% of the pieces are in the band, read by hand %lld pieces taken at random with none out of it, or %lld with at most 1, or %lld with at most 2",
		100 * sure, 100 * share, (long long)num_sample(share, sure, 0), (long long)num_sample(share, sure, 1), (long long)num_sample(share, sure, 2));
	put_reason(a, t, v, "note", "by-hand", text);
	put_hand_read(a, t, v, sure, text);
}

static void write_days(struct buf *text, double days, int places)
{
	if (isfinite(days))
		buf_printf(text, "%.*f", places, days);
	else
		buf_printf(text, "over %d", DRY_HORIZON);
}

/* From one whole day to another, of which the forecast has the ends. */
static void write_range(struct buf *text, double low, double high)
{
	write_days(text, low + 0.5, 0);
	if (!isfinite(low) || high - low < 1.5)
		return;
	buf_str(text, " to ");
	write_days(text, high - 0.5, 0);
}

static void put_forecast_reason(const struct answer *a, struct table *t, const struct view *v, struct buf *text)
{
	const struct dry_forecast *f = &v->forecast;

	if (!(f->never >= 0))
		return;
	buf_str(text, "the rule is foreseen to hold ");
	write_days(text, f->median - v->now, 1);
	buf_str(text, " days from now under daily readings (50 %: ");
	write_range(text, f->low50 - v->now, f->high50 - v->now);
	buf_str(text, "; 90 %: ");
	write_range(text, f->low90 - v->now, f->high90 - v->now);
	buf_printf(text, "), from %zu earlier charge%s and %zu probe%s", v->prior->ncharges, v->prior->ncharges == 1 ? "" : "s", v->n,
		v->n == 1 ? "" : "s");
	put_reason(a, t, v, "note", "forecast", text);
	if (v->forecast.never >= 0.05) {
		buf_printf(text, "in %.0f %% of the trials it does not hold within %d days: look at the driest piece, and at the air that the kiln is led to",
			100 * v->forecast.never, DRY_HORIZON);
		put_reason(a, t, v, "warning", "never", text);
	}
}

/* ---- warnings */

static const char *const SIGN_WORDS[DRY_SIGNS] = {
	"stall", "too-fast", "stuck", "parts", "jump", "floor", "spread-grows", "equalize", "rests-off", "overdue", "oven-differs", "hand-differs"
};

static void write_equalize(const struct answer *a, const struct view *v, const struct dry_telling *s, struct buf *text)
{
	const struct dry_weather *w = dry_climate_last(charges_climate(&a->dry, v->c->kiln), v->now_s);
	double temp = w ? w->temp_c : NAN, rh = rh_for_emc_pct(temp, s->limit);

	buf_printf(text, "the driest is at %.1f %%, the wettest is not there: equalizing is worth starting; hold an EMC of %.1f %%", s->value, s->limit);
	if (isfinite(rh))
		buf_printf(text, ", which is %.0f %% RH at %.0f C, until the wettest is in the band", rh, temp);
}

/* A band as the house file writes it. */
static void write_band(struct buf *text, const struct dry_most *m)
{
	if (isfinite(m->low))
		buf_printf(text, "%g", m->low);
	buf_str(text, "..");
	if (isfinite(m->high))
		buf_printf(text, "%g", m->high);
	buf_char(text, '%');
}

static void write_hurry(const struct view *v, const struct dry_telling *s, struct buf *text)
{
	struct slice label = label_of(v, s->probe);
	struct dry_pace pace = dry_pace_of(&v->charge.probe[s->probe], v->now);
	const struct dry_most *most = dry_most_at(&v->limits, pace.mc);

	buf_printf(text, "probe %.*s lost %.2f points a day over %.1f days, at %.1f %%; at most %.2f are allowed", (int)label.n, label.p, s->value, s->days,
		pace.mc, s->limit);
	if (!most->rest) {
		buf_str(text, " in ");
		write_band(text, most);
	}
	buf_str(text, ": the wood may check");
}

/* A stall, with what the kiln's air did, where that was measured. */
static void write_stall(const struct answer *a, const struct view *v, const struct dry_telling *s, struct buf *text)
{
	const struct dry_climate *climate = charges_climate(&a->dry, v->c->kiln);
	double emc = dry_climate_emc(climate, v->now_s, s->days), before = dry_climate_emc(climate, v->now_s - llround(s->days * DAY_S), s->days);

	buf_printf(text, "the mean fell %.1f points in %.1f days, where %.1f were to be expected in the air of before", s->value, s->days, s->limit);
	if (isfinite(emc) && isfinite(before))
		buf_printf(text, "; that air stood at an EMC of %.1f %%, and at %.1f %% before", emc, before);
	buf_str(text, ": look at the kiln's air and machine");
}

static void write_parting(const struct view *v, const struct dry_telling *s, struct buf *text)
{
	static const char *const WHAT[DRY_OWN][2] = {
		{ "dries slower than", "dries faster than" }, { "began drier than", "began wetter than" }, { "rests lower than", "rests higher than" }
	};
	struct slice label = label_of(v, s->probe);

	buf_printf(text, "the piece of probe %.*s %s pieces of this works do (by %.1f standard deviations): a wet pocket, another wood, or a bad contact",
		(int)label.n, label.p, WHAT[(int)s->limit][s->value > 0], fabs(s->value));
}

/* What readings say by themselves, of one probe or of all. */
static void write_plain(const struct dry_telling *s, struct slice label, const char *day, struct buf *text)
{
	int n = (int)label.n;
	const char *higher = s->value > 0 ? "higher" : "lower", *above = s->value > 0 ? "above" : "below";
	double off = fabs(s->value);

	switch (s->sign) {
	case DRY_STUCK:
		buf_printf(text, "probe %.*s has shown %.1f %% for %.1f days while the others moved: a wire or a pin is off", n, label.p, s->value, s->days);
		break;
	case DRY_JUMPS:
		buf_printf(text, "probe %.*s read %.1f points %s its curve on %s", n, label.p, off, above, day);
		break;
	case DRY_UNDER_FLOOR:
		buf_printf(text, "probe %.*s was down to %.1f %% on %s; the band begins at %.1f %%", n, label.p, s->value, day, s->limit);
		break;
	case DRY_WIDENS:
		buf_printf(text, "wettest and driest are %.1f points apart, %.1f more than %.1f days before", s->limit, s->value, s->days);
		break;
	case DRY_RESTS_OFF:
		buf_printf(text, "the readings come to rest %.1f points %s than earlier charges did in such air: check the meter and the hygrometer", off, higher);
		break;
	case DRY_LOST:
		buf_printf(text, "probe %.*s has not been read for %.1f days; every %.1f is the house's rule", n, label.p, s->days, s->limit);
		break;
	case DRY_UNTRUE:
		buf_printf(text, "the probes stood %.1f points %s than %.0f piece%s from the oven: check the meter's line", off, higher, s->limit, s->limit > 1 ? "s" : "");
		break;
	case DRY_HAND_PARTS:
		buf_printf(text, "a piece read by hand on %s was at %.1f %%, %.1f standard deviations %s its fellows: %s", day, s->limit, off, above,
			s->value > 0 ? "a wet pocket; read more of them" : "another wood, or a dry corner");
		break;
	default:
		break;
	}
}

static void write_sign(const struct answer *a, const struct view *v, const struct dry_telling *s, struct buf *text)
{
	struct buf day = BUF_INIT;

	switch (s->sign) {
	case DRY_STALLS:
		write_stall(a, v, s, text);
		break;
	case DRY_HURRIES:
		write_hurry(v, s, text);
		break;
	case DRY_PARTS:
		write_parting(v, s, text);
		break;
	case DRY_EQUALIZE:
		write_equalize(a, v, s, text);
		break;
	default:
		if (isfinite(s->days))
			day_write(&day, day_at(a, v->c->load_s + llround(s->days * DAY_S)));
		write_plain(s, s->probe == SIZE_MAX ? SLICE("") : label_of(v, s->probe), buf_cstr(&day), text);
		break;
	}
	buf_release(&day);
}

/* The rooms that would not keep the target. */
static void put_stores(const struct answer *a, struct table *t, const struct view *v, struct buf *text)
{
	const struct dry_rule *r = &a->dry.rule;

	for (size_t i = 0; i < a->house->nplaces; i++) {
		const struct house_place *p = &a->house->places[i];
		double emc = dry_climate_emc(charges_climate(&a->dry, p->id), v->now_s, 28);

		if (p->kind != HOUSE_PLACE_KIND_STORE || !house_range_given(p->target) || !(emc < r->low || emc > r->high))
			continue;
		buf_printf(text, "the air of %.*s stood at an EMC of %.1f %% (give or take 1) in the last 28 days: blades at %.1f %% will not stay so there",
			(int)p->id.n, p->id.p, emc, a->dry.target);
		put_reason(a, t, v, "warning", "store", text);
	}
}

static void put_warnings(const struct answer *a, struct table *t, const struct view *v, struct buf *text)
{
	for (size_t i = 0; i < v->ntellings; i++) {
		write_sign(a, v, &v->telling[i], text);
		put_reason(a, t, v, "warning", SIGN_WORDS[v->telling[i].sign], text);
	}
	if (v->open)
		put_stores(a, t, v, text);
}

/* ---- the air */

/* What is known of the kiln's air while the charge was in it. */
struct airing {
	size_t measured, set, corrected;
	double temp_low, temp_high, rh_low, rh_high; /* offsets that were put in */
};

static struct airing airing_of(const struct view *v)
{
	struct airing k = { 0, 0, 0, HUGE_VAL, -HUGE_VAL, HUGE_VAL, -HUGE_VAL };

	for (size_t i = 0; i < v->charge.nair && v->charge.air[i].day <= v->now; i++) {
		const struct dry_weather *w = v->c->weather[i];

		if (!w)
			continue;
		k.set += !w->measured;
		k.measured += w->measured;
		if (!w->measured || (w->temp_off_c == 0 && w->rh_off_pct == 0))
			continue;
		k.corrected++;
		k.temp_low = fmin(k.temp_low, w->temp_off_c);
		k.temp_high = fmax(k.temp_high, w->temp_off_c);
		k.rh_low = fmin(k.rh_low, w->rh_off_pct);
		k.rh_high = fmax(k.rh_high, w->rh_off_pct);
	}
	return k;
}

static void write_offset(struct buf *text, const char *what, double low, double high, const char *unit)
{
	if (low == 0 && high == 0)
		return;
	buf_printf(text, "%s %+.1f", what, low);
	if (high - low >= 0.05)
		buf_printf(text, " to %+.1f", high);
	buf_str(text, unit);
}

static void put_airing(const struct answer *a, struct table *t, const struct view *v, struct buf *text)
{
	struct airing k = airing_of(v);

	if (k.corrected) {
		buf_printf(text, "in %zu of %zu readings of the kiln's air stand the offsets of its instruments, from the day of each check on:", k.corrected, k.measured);
		write_offset(text, " RH", k.rh_low, k.rh_high, " points");
		write_offset(text, k.rh_low != 0 || k.rh_high != 0 ? ", temperature" : " temperature", k.temp_low, k.temp_high, " C");
		buf_str(text, "; the book keeps what was read, and --curve shows it");
	} else if (!k.measured && k.set) {
		buf_str(text, "the kiln's air was not measured: what was set stands for it");
	} else if (!k.measured) {
		buf_printf(text, "the kiln's air was neither measured nor set: it is taken to stand at an EMC of %.1f %%, so the forecast is a rough one", v->charge.air[0].me_pct);
	}
	if (text->n)
		put_reason(a, t, v, "note", "air", text);
}

static void put_reasons(const struct answer *a, struct table *t, const struct view *v)
{
	struct buf text = BUF_INIT;

	if (!a->dry.has_rule) {
		buf_str(&text, "the house file does not say when a charge is ready; write ready: with a target or a band");
		put_reason(a, t, v, "against", "rule", &text);
	} else if (v->n == 0) {
		buf_str(&text, "no probe is in it that was read");
		put_reason(a, t, v, "against", "probes", &text);
	} else {
		put_band(a, t, v, &text);
		put_lasting(a, t, v, &text);
		put_share(a, t, v, &text);
		put_forecast_reason(a, t, v, &text);
		put_airing(a, t, v, &text);
	}
	put_warnings(a, t, v, &text);
	if (v->open && a->dry.has_rule && v->n && !v->fails) {
		buf_str(&text, "the verdict is about moisture alone; opening and entering a kiln follow the maker's instructions and local rules");
		put_reason(a, t, v, "note", "caution", &text);
	}
	buf_release(&text);
}

/* ---- which charges */

static bool is_wanted(const struct answer *a, const struct dry_case *c)
{
	for (size_t i = 0; i < want_charges.n; i++)
		if (slice_eq(slice_of(want_charges.v[i]), c->id))
			return true;
	return want_charges.n == 0 && (want_all || c->end_s >= a->now_s);
}

static int missing_charges(const struct answer *a)
{
	int missing = 0;

	for (size_t i = 0; i < want_charges.n; i++)
		if (!charges_case(&a->dry, slice_of(want_charges.v[i]))) {
			tool_warn("the book knows no charge '%s' by that day", want_charges.v[i]);
			missing = 1;
		}
	return missing;
}

static size_t for_each_charge(struct answer *a, void (*first)(const struct answer *, struct table *, const struct view *), struct table *to,
	void (*then)(const struct answer *, struct table *, const struct view *), struct table *also)
{
	size_t n = 0;
	struct view v;

	for (size_t i = 0; i < a->dry.n; i++) {
		size_t warnings = 0;

		if (!is_wanted(a, &a->dry.cases[i]) || a->dry.cases[i].load_s >= a->now_s)
			continue;
		view_init(a, &v, &a->dry.cases[i], a->now_s);
		v.warnings = &warnings;
		first(a, to, &v);
		if (then)
			then(a, also, &v);
		view_release(&v);
		n++;
	}
	return n;
}

static size_t print_charges(struct answer *a)
{
	static const struct table_column columns[] = { { "as_of", TABLE_DATE, 0, NULL }, { "charge", TABLE_TEXT, 0, NULL }, { "side", TABLE_TEXT, 0, NULL },
		{ "what", TABLE_TEXT, 0, NULL }, { "text", TABLE_TEXT, 0, NULL } };
	struct table charges, reasons;
	size_t n;

	table_init(&charges, charge_columns, sizeof charge_columns / sizeof *charge_columns);
	table_init(&reasons, columns, sizeof columns / sizeof *columns);
	table_title(&charges, SLICE("charges"), "charges");
	table_title(&reasons, SLICE("reasons"), "reasons");
	table_note(&charges, SLICE("The verdict is about moisture alone. Opening and entering a kiln follow the maker's instructions and local rules."));
	table_note(&charges, SLICE("ready_on is the median of the day on which the house's rule would hold under daily readings."));
	n = for_each_charge(a, put_reasons, &reasons, put_charge, &charges);
	tool_print_tables((const struct table *const[]){ &charges, &reasons }, 2);
	table_release(&charges);
	table_release(&reasons);
	return n;
}

/* ---- the curves */

static const char *const SOURCE_WORDS[] = { "probe", "oven", "random", "weighed", "load" };

static void put_curve_key(const struct answer *a, struct table *t, const struct view *v, const struct dry_place *place, double day)
{
	put_day(t, a->today);
	table_text(t, v->c->id);
	put_word(t, place ? place->label : SLICE(""));
	table_cstr(t, place ? SOURCE_WORDS[place->source] : "air");
	put_day_of(a, t, v->c, day);
	table_real(t, day);
}

static void put_measured(const struct answer *a, struct table *t, const struct view *v, size_t p)
{
	static const char *const MARKS[] = { "at", "at-least", "at-most" };
	const struct dry_probe *probe = &v->known[p];
	const struct dry_place *place = &v->place[p];

	for (size_t i = 0; i < probe->n && probe->reading[i].day <= v->now; i++) {
		double fitted;

		dry_curve(&v->charge, &v->fit, p, &probe->reading[i].day, 1, &fitted);
		put_curve_key(a, t, v, place, probe->reading[i].day);
		table_cstr(t, MARKS[probe->reading[i].mark]);
		if (place->source == DRY_PROBE || place->source == DRY_RANDOM)
			table_fixed(t, place->written[i].raw, 4);
		else
			table_absent(t);
		table_cstr(t, place->written[i].corrected ? "yes" : "no");
		table_real(t, probe->reading[i].mc);
		table_real(t, fitted);
		table_real(t, probe->reading[i].noise);
	}
}

/* Half a day apart up to now. */
static void put_fitted(const struct answer *a, struct table *t, const struct view *v, size_t p)
{
	size_t n = (size_t)(v->now * 2) + 1;
	double *day = mem_array(n, sizeof *day), *mc = mem_array(n, sizeof *mc);

	for (size_t i = 0; i < n; i++)
		day[i] = (double)i / 2;
	dry_curve(&v->charge, &v->fit, p, day, n, mc);
	for (size_t i = 0; i < n; i++) {
		if (day[i] < v->known[p].from - 0.5 || day[i] > v->known[p].until)
			continue;
		put_curve_key(a, t, v, &v->place[p], day[i]);
		table_cstr(t, "model");
		table_absent(t);
		table_absent(t);
		table_absent(t);
		table_real(t, mc[i]);
		table_absent(t);
	}
	free(day);
	free(mc);
}

static void put_air(const struct answer *a, struct table *t, const struct view *v)
{
	for (size_t i = 0; i < v->charge.nair; i++) {
		const struct dry_air *air = &v->charge.air[i];
		const struct dry_weather *w = v->c->weather[i];

		if (air->guessed || air->day > v->now)
			continue;
		put_curve_key(a, t, v, NULL, air->day);
		table_cstr(t, w->measured ? "emc" : "set");
		table_fixed(t, llround(10000 * dry_weather_emc(w, true)), 4);
		table_cstr(t, w->temp_off_c != 0 || w->rh_off_pct != 0 ? "yes" : "no");
		table_real(t, air->me_pct);
		table_absent(t);
		table_absent(t);
	}
}

static void put_curves(const struct answer *a, struct table *t, const struct view *v)
{
	for (size_t p = 0; p < v->charge.nprobes; p++) {
		put_measured(a, t, v, p);
		if (v->known[p].ruled)
			put_fitted(a, t, v, p);
	}
	put_air(a, t, v);
}

static size_t print_curves(struct answer *a)
{
	static const struct table_column columns[] = { { "as_of", TABLE_DATE, 0, NULL }, { "charge", TABLE_TEXT, 0, NULL }, { "probe", TABLE_TEXT, 0, NULL },
		{ "source", TABLE_TEXT, 0, NULL }, { "date", TABLE_DATE, 0, NULL }, { "day", TABLE_REAL, 2, NULL }, { "kind", TABLE_TEXT, 0, NULL }, { "raw_pct", TABLE_FIXED, 1, NULL },
		{ "corrected", TABLE_TEXT, 0, NULL }, { "mc_pct", TABLE_REAL, 1, NULL }, { "model_pct", TABLE_REAL, 1, NULL }, { "noise_times", TABLE_REAL, 1, NULL } };
	struct table t;
	size_t n;

	table_init(&t, columns, sizeof columns / sizeof *columns);
	n = for_each_charge(a, put_curves, &t, NULL, NULL);
	tool_print_table(&t);
	table_release(&t);
	return n;
}

/* ---- the rates */

/* How fast it dried of late, at which moisture, and how fast it may there. */
static void put_pace(struct table *t, const struct view *v, size_t p)
{
	struct dry_pace pace = dry_pace_of(&v->charge.probe[p], v->now);
	const struct dry_most *most = dry_most_at(&v->limits, pace.mc);
	struct buf band = BUF_INIT;

	table_real(t, pace.rate);
	table_real(t, pace.mc);
	table_real(t, most ? most->most : NAN);
	if (most && most->rest)
		buf_str(&band, v->limits.nmost > 1 ? "other" : "any");
	else if (most)
		write_band(&band, most);
	put_word(t, buf_slice(&band));
	buf_release(&band);
}

static void put_rates(const struct answer *a, struct table *t, const struct view *v)
{
	for (size_t p = 0; p < v->charge.nprobes; p++) {
		const struct dry_place *place = &v->place[p];
		double factor, k = dry_rate(&v->charge, &v->fit, p, &factor), wide;

		if (place->source != DRY_PROBE || v->known[p].n == 0 || v->known[p].reading[0].day > v->now)
			continue;
		wide = pow(factor, num_normal_q(0.975));
		put_day(t, a->today);
		table_text(t, v->c->id);
		put_word(t, place->label);
		put_word(t, place->piece);
		table_real(t, k);
		table_real(t, k / wide);
		table_real(t, k * wide);
		table_real(t, v->fit.value[DRY_START] + v->fit.value[DRY_SHARED + DRY_OWN * p + DRY_OWN_START]);
		put_pace(t, v, p);
		table_cstr(t, v->fit.settled ? "yes" : "no");
	}
}

static size_t print_rates(struct answer *a)
{
	static const struct table_column columns[] = { { "as_of", TABLE_DATE, 0, NULL }, { "charge", TABLE_TEXT, 0, NULL }, { "probe", TABLE_TEXT, 0, NULL },
		{ "piece", TABLE_TEXT, 0, NULL }, { "k_per_day", TABLE_REAL, 3, NULL }, { "k_95_low_per_day", TABLE_REAL, 3, NULL }, { "k_95_high_per_day", TABLE_REAL, 3, NULL },
		{ "start_pct", TABLE_REAL, 1, NULL }, { "lost_points_per_day", TABLE_REAL, 2, NULL }, { "at_pct", TABLE_REAL, 1, NULL },
		{ "most_points_per_day", TABLE_REAL, 2, NULL }, { "most_at", TABLE_TEXT, 0, NULL }, { "settled", TABLE_TEXT, 0, NULL } };
	struct table t;
	size_t n;

	table_init(&t, columns, sizeof columns / sizeof *columns);
	table_note(&t, SLICE("k is at 15 % and 30 C; the interval is the model's own"));
	n = for_each_charge(a, put_rates, &t, NULL, NULL);
	tool_print_table(&t);
	table_release(&t);
	return n;
}

/* ---- the score */

/* The likeliest readings of a probe at the days 0, 1, 2 ... up to n of them. */
static struct dry_probe daily_probe(const struct view *v, size_t p, size_t n)
{
	const struct dry_probe *probe = &v->known[p];
	struct dry_reading *reading = mem_array(n, sizeof *reading);
	double *day = mem_array(n, sizeof *day), *mc = mem_array(n, sizeof *mc);

	for (size_t i = 0; i < n; i++)
		day[i] = (double)i;
	dry_curve(&v->charge, &v->fit, p, day, n, mc);
	for (size_t i = 0; i < n; i++)
		reading[i] = (struct dry_reading){ day[i], mc[i], DRY_AT, 1, mc[i] };
	free(day);
	free(mc);
	return (struct dry_probe){ reading, n, 0, probe->from, probe->until < last_in(v) - 0.5 ? probe->until : INFINITY, true, false };
}

/*
 * When the rule would have held under daily readings, by the curves fitted to all that was read: what
 * was really read was read when somebody had the time. INFINITY: never, or too little was read.
 */
static double event_of(struct answer *a, const struct dry_case *c)
{
	struct dry_probe *probe = mem_array(c->charge.nprobes, sizeof *probe);
	struct dry_charge daily = { .probe = probe };
	double ready = HUGE_VAL;
	struct view v;

	view_init(a, &v, c, a->now_s);
	for (size_t p = 0; p < v.charge.nprobes; p++)
		if (v.known[p].ruled && v.known[p].n >= SCORE_READINGS)
			probe[daily.nprobes++] = daily_probe(&v, p, (size_t)v.now + 1);
	if (daily.nprobes)
		ready = dry_ready_day(&daily, &a->dry.rule);
	for (size_t p = 0; p < daily.nprobes; p++)
		free((void *)(uintptr_t)probe[p].reading);
	free(probe);
	view_release(&v);
	return ready;
}

/* What is summed for a day of the charge; index 3 is all days. */
struct score {
	int64_t n, held50, held90;
	double error, line, mean, bias;
};

static const int SCORE_DAYS[SCORE_PLACES - 1] = { 3, 7, 14 };

struct scoring {
	struct answer *a;
	struct table *each;
	double *event;             /* by case */
	struct score score[SCORE_PLACES];
};

/* The works' mean days: of the charges that had ended. INFINITY for none. */
static double mean_days(const struct scoring *s, int64_t now_s)
{
	double sum = 0;
	size_t n = 0;

	for (size_t i = 0; i < s->a->dry.n; i++)
		if (s->a->dry.cases[i].end_s < now_s && isfinite(s->event[i])) {
			sum += s->event[i];
			n++;
		}
	return n ? sum / (double)n : HUGE_VAL;
}

static void count_score(struct score *s, const struct dry_forecast *f, double event, double line, double mean)
{
	s->n++;
	s->held50 += event >= f->low50 && event <= f->high50;
	s->held90 += event >= f->low90 && event <= f->high90;
	s->error += fabs(fmin(f->median, event + DRY_HORIZON) - event);
	s->bias += fmin(f->median, event + DRY_HORIZON) - event;
	s->line += fabs(line - event);
	s->mean += fabs(mean - event);
}

static void put_each(const struct scoring *s, const struct view *v, int day, double event, double line, double mean)
{
	struct table *t = s->each;
	const struct dry_forecast *f = &v->forecast;

	put_day(t, s->a->today);
	table_text(t, v->c->id);
	put_day(t, day_at(s->a, v->now_s - 1));
	table_int(t, day);
	table_real(t, event - v->now);
	table_real(t, f->median - v->now);
	table_real(t, f->low50 - v->now);
	table_real(t, f->high50 - v->now);
	table_real(t, f->low90 - v->now);
	table_real(t, f->high90 - v->now);
	table_real(t, line - v->now);
	table_real(t, mean - v->now);
}

static void score_day(struct scoring *s, const struct dry_case *c, double event, int day)
{
	struct answer *a = s->a;
	int64_t now_s = end_of_day(a, day_at(a, c->load_s) + day);
	double mean, line;
	struct view v;

	view_init(a, &v, c, now_s);
	mean = fmax(mean_days(s, now_s), v.now + 1);
	line = dry_by_line(&c->charge, &a->dry.rule, v.now);
	if (!isfinite(line) || line > v.now + DRY_HORIZON)
		line = isfinite(mean) ? mean : v.now + DRY_HORIZON;
	if (v.open && event > v.now && v.forecast.never >= 0 && v.prior->ncharges && isfinite(mean)) {
		for (int i = 0; i < SCORE_PLACES; i++)
			if (i == SCORE_PLACES - 1 || SCORE_DAYS[i] == day)
				count_score(&s->score[i], &v.forecast, event, line, mean);
		if (s->each)
			put_each(s, &v, day, event, line, mean);
	}
	view_release(&v);
}

static void run_score(struct scoring *s)
{
	struct answer *a = s->a;

	s->event = mem_array(a->dry.n, sizeof *s->event);
	for (size_t i = 0; i < a->dry.n; i++)
		s->event[i] = a->dry.cases[i].end_s < a->now_s && teaches(&a->dry.cases[i]) ? event_of(a, &a->dry.cases[i]) : HUGE_VAL;
	for (size_t i = 0; i < a->dry.n; i++)
		for (int day = 1; isfinite(s->event[i]) && day < s->event[i]; day++)
			score_day(s, &a->dry.cases[i], s->event[i], day);
	free(s->event);
}

static void put_score(const struct answer *a, struct table *t, const struct score *s, int day)
{
	double n = (double)s->n;

	put_day(t, a->today);
	if (day)
		table_int(t, day);
	else
		table_text(t, SLICE("all"));
	table_int(t, s->n);
	if (s->n == 0) {
		table_rest_absent(t);
		return;
	}
	table_real(t, 100 * (double)s->held50 / n);
	table_real(t, 100 * (double)s->held90 / n);
	table_real(t, s->error / n);
	table_real(t, s->line / n);
	table_real(t, s->mean / n);
	table_real(t, s->bias / n);
}

static size_t print_score(struct answer *a)
{
	static const struct table_column sums[] = { { "as_of", TABLE_DATE, 0, NULL }, { "day", TABLE_TEXT, 0, NULL }, { "forecasts", TABLE_INT, 0, NULL },
		{ "held_50_pct", TABLE_REAL, 0, NULL }, { "held_90_pct", TABLE_REAL, 0, NULL }, { "error_days", TABLE_REAL, 1, NULL }, { "error_of_line_days", TABLE_REAL, 1, NULL },
		{ "error_of_mean_days", TABLE_REAL, 1, NULL }, { "late_days", TABLE_REAL, 1, NULL } };
	static const struct table_column each[] = { { "as_of", TABLE_DATE, 0, NULL }, { "charge", TABLE_TEXT, 0, NULL }, { "date", TABLE_DATE, 0, NULL }, { "day", TABLE_INT, 0, NULL },
		{ "came_days", TABLE_REAL, 1, NULL }, { "ready_days", TABLE_REAL, 1, NULL }, { "ready_50_low_days", TABLE_REAL, 1, NULL }, { "ready_50_high_days", TABLE_REAL, 1, NULL },
		{ "ready_90_low_days", TABLE_REAL, 1, NULL }, { "ready_90_high_days", TABLE_REAL, 1, NULL }, { "line_days", TABLE_REAL, 1, NULL }, { "mean_days", TABLE_REAL, 1, NULL } };
	struct scoring s = { .a = a };
	struct table t;
	int64_t n;

	if (want_each)
		table_init(&t, each, sizeof each / sizeof *each);
	else
		table_init(&t, sums, sizeof sums / sizeof *sums);
	s.each = want_each ? &t : NULL;
	if (a->dry.has_rule)
		run_score(&s);
	n = s.score[SCORE_PLACES - 1].n;
	for (int i = 0; !want_each && i < SCORE_PLACES; i++)
		put_score(a, &t, &s.score[i], i < SCORE_PLACES - 1 ? SCORE_DAYS[i] : 0);
	table_note(&t, SLICE("what came is the day on which the rule would have held under daily readings, by the curve through all readings"));
	tool_print_table(&t);
	table_release(&t);
	return n > 0;
}

/* ---- the run */

/* Counts the pieces in every place, and tells the charges when they were emptied. */
static void take_flow(void *context, const struct stock_flow *f)
{
	struct answer *a = context;
	int64_t utc_s = f->op->utc_s;

	if (utc_s == INT64_MIN)
		utc_s = end_of_day(a, f->op->day) - DAY_S / 2;
	if (f->from.lot && f->from.place < a->held_n)
		a->held[f->from.place] -= f->n;
	if (f->change != STOCK_LOST && f->to.place < a->held_n)
		a->held[f->to.place] += f->n;
	if (f->from.lot && f->from.place < a->held_n && a->held[f->from.place] == 0)
		charges_end(&a->dry, stock_text(&a->stock, f->from.place), utc_s);
}

static void read_book(struct answer *a)
{
	const struct line *l;
	int64_t utc_s;

	while ((l = book_next(&a->book))) {
		if (l->kind != LINE_EVENT || l->stamp.day > a->today)
			continue;
		if (l->event->id == EVENT_PROBE && line_field(l, FIELD_AT))
			continue; /* of a lot in a place, or of a bat: no charge */
		book_instant(&a->book, &l->stamp, &utc_s);
		charges_add(&a->dry, l, utc_s);
		book_stock_add(&a->book, &a->stock, l);
	}
}

static void settle(struct answer *a)
{
	a->held_n = a->stock.ids.n;
	a->held = mem_zeroed(a->held_n, sizeof *a->held);
	stock_run(&a->stock, a->today, take_flow, a);
	charges_settle(&a->dry);
	gather_ended(a);
}

static void start(struct answer *a)
{
	book_start(&a->book, 0);
	book_stock_init(&a->book, &a->stock);
	a->own_house = a->book.house ? NULL : house_read(SLICE(""), NULL, NULL);
	a->house = a->book.house ? a->book.house : a->own_house;
	charges_init(&a->dry, a->house, a->book.zone);
	a->today = book_today(&a->book);
	a->now_s = end_of_day(a, a->today);
}

int main(int argc, char **argv)
{
	static struct answer a;
	int bad;
	size_t rows;

	tool_start(&page, argc, argv);
	if (want_score && (want_curve || want_rates || want_all || want_charges.n))
		tool_misused("--score is of all past charges, and stands alone");
	if (want_curve && want_rates)
		tool_misused("--curve and --rates are two answers: ask for one");
	start(&a);
	read_book(&a);
	bad = book_end(&a.book);
	settle(&a);
	bad |= book_stock_tell(&a.book, &a.stock) | missing_charges(&a);
	rows = want_score ? print_score(&a) : want_curve ? print_curves(&a) : want_rates ? print_rates(&a) : print_charges(&a);
	return tool_finish(rows && !bad ? TOOL_DONE : TOOL_NO);
}
