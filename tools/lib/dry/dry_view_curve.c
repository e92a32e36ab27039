#include <math.h>
#include <stdlib.h>

#include "book/value.h"
#include "dry/dry_view_internal.h"

enum { MC_PLACES = 4 }; /* of 0.0001 % (value.h) */

static const struct table_column COLUMNS[] = {
	{ "as_of", TABLE_DATE, 0, NULL }, { "charge", TABLE_TEXT, 0, "charge" }, { "probe", TABLE_TEXT, 0, "probe" }, { "source", TABLE_TEXT, 0, "source" },
	{ "date", TABLE_DATE, 0, "date" }, { "day", TABLE_REAL, 2, NULL }, { "kind", TABLE_TEXT, 0, "kind" }, { "raw_pct", TABLE_FIXED, 1, "raw, %" },
	{ "corrected", TABLE_TEXT, 0, NULL }, { "mc_pct", TABLE_REAL, 1, "MC, %" }, { "model_pct", TABLE_REAL, 1, "model, %" }, { "noise_times", TABLE_REAL, 1, NULL },
	{ "low_pct", TABLE_REAL, 1, NULL }, { "high_pct", TABLE_REAL, 1, NULL }
};

static const char *const SOURCE_WORDS[] = { "probe", "oven", "random", "weighed", "load" };

/* The readings so far, and how far the curves are from them. */
struct closeness {
	struct table *t;
	size_t n;
	double squares;
};

static void put_curve_key(const struct dry_ask *ask, struct table *t, const struct dry_snapshot *s, const struct dry_place *place, double day)
{
	dry_put_key(ask, t, s);
	dry_put_word(t, place ? place->label : SLICE(""));
	table_cstr(t, place ? SOURCE_WORDS[place->source] : "air");
	dry_put_day_of(ask, t, s->c, day);
	table_real(t, day);
}

static void put_measured(const struct dry_ask *ask, struct closeness *k, const struct dry_snapshot *s, size_t p)
{
	static const char *const MARKS[] = { "at", "at-least", "at-most" };
	const struct dry_probe *probe = &s->known[p];
	const struct dry_place *place = &s->place[p];
	struct table *t = k->t;

	for (size_t i = 0; i < probe->n && probe->reading[i].day <= s->now; i++) {
		double fitted;

		dry_curve(&s->charge, &s->fit, p, &probe->reading[i].day, 1, &fitted);
		put_curve_key(ask, t, s, place, probe->reading[i].day);
		table_cstr(t, MARKS[probe->reading[i].mark]);
		if (place->source == DRY_PROBE || place->source == DRY_RANDOM)
			table_fixed(t, place->written[i].raw, MC_PLACES);
		else
			table_absent(t);
		table_cstr(t, place->written[i].corrected ? "yes" : "no");
		table_real(t, probe->reading[i].mc);
		table_real(t, fitted);
		if (probe->reading[i].mark == DRY_AT) {
			k->n++;
			k->squares += pow(probe->reading[i].mc - fitted, 2);
		}
		table_real(t, probe->reading[i].noise);
		dry_put_band(t, s);
	}
}

/* A step apart up to now, but for the time that the model leaves out. */
static void put_fitted(const struct dry_ask *ask, struct table *t, const struct dry_snapshot *s, size_t p)
{
	const struct dry_still *still = &s->charge.still;
	size_t n = dry_step_of(still, s->now) + 1;
	double *day = mem_array(n, sizeof *day), *mc = mem_array(n, sizeof *mc);

	for (size_t i = 0; i < n; i++)
		day[i] = (double)i / DRY_STEPS_A_DAY + ((double)i / DRY_STEPS_A_DAY < still->from ? 0 : still->days);
	dry_curve(&s->charge, &s->fit, p, day, n, mc);
	for (size_t i = 0; i < n; i++) {
		if (day[i] < s->known[p].from - DRY_STEP || day[i] > s->known[p].until)
			continue;
		put_curve_key(ask, t, s, &s->place[p], day[i]);
		table_cstr(t, "model");
		table_absent(t);
		table_absent(t);
		table_absent(t);
		table_real(t, mc[i]);
		table_absent(t);
		dry_put_band(t, s);
	}
	free(day);
	free(mc);
}

static void put_air(const struct dry_ask *ask, struct table *t, const struct dry_snapshot *s)
{
	for (size_t i = 0; i < s->charge.nair; i++) {
		const struct dry_air *air = &s->charge.air[i];
		const struct dry_weather *w = s->c->weather[i];

		if (air->guessed || air->day > s->now)
			continue;
		put_curve_key(ask, t, s, NULL, air->day);
		table_cstr(t, w->measured ? "emc" : "set");
		table_fixed(t, llround(VALUE_STEPS * dry_weather_emc(w, true)), MC_PLACES);
		table_cstr(t, w->temp_off_c != 0 || w->rh_off_pct != 0 ? "yes" : "no");
		table_real(t, air->me_pct);
		table_absent(t);
		table_absent(t);
		dry_put_band(t, s);
	}
}

static void put(const struct dry_ask *ask, const struct dry_snapshot *s, void *to)
{
	struct closeness *k = to;

	for (size_t p = 0; p < s->charge.nprobes; p++) {
		put_measured(ask, k, s, p);
		if (s->known[p].ruled)
			put_fitted(ask, k->t, s, p);
	}
	put_air(ask, k->t, s);
}

static void add_finding(const struct closeness *k)
{
	struct buf text = BUF_INIT;

	if (k->n < 2)
		return;
	buf_printf(&text, "The model's curves are %.1f points from the %zu readings (root mean square).", sqrt(k->squares / (double)k->n), k->n);
	table_finding(k->t, buf_slice(&text));
	buf_release(&text);
}

size_t dry_view_curve(const struct dry_ask *ask, struct table *t)
{
	struct closeness k = { .t = t };
	size_t n;

	table_init(t, COLUMNS, sizeof COLUMNS / sizeof *COLUMNS);
	n = dry_view_each(ask, false, put, &k);
	add_finding(&k);
	return n;
}
