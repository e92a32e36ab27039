#include <math.h>

#include "dry/dry_view_internal.h"
#include "math/distributions.h"

static const struct table_column COLUMNS[] = {
	{ "as_of", TABLE_DATE, 0, NULL }, { "charge", TABLE_TEXT, 0, "charge" }, { "probe", TABLE_TEXT, 0, "probe" }, { "piece", TABLE_TEXT, 0, NULL },
	{ "k_per_day", TABLE_REAL, 3, "k, per day" }, { "k_95_low_per_day", TABLE_REAL, 3, "95 % from" }, { "k_95_high_per_day", TABLE_REAL, 3, "95 % to" },
	{ "start_pct", TABLE_REAL, 1, NULL }, { "lost_points_per_day", TABLE_REAL, 2, "loss, points a day" }, { "at_pct", TABLE_REAL, 1, "at MC, %" },
	{ "most_points_per_day", TABLE_REAL, 2, "limit, points a day" }, { "most_at", TABLE_TEXT, 0, "limit for MC" }, { "settled", TABLE_TEXT, 0, NULL }
};

/* The slowest and the fastest piece so far. */
struct extremes {
	struct table *t;
	size_t n;
	double slow, fast;
	struct slice slow_charge, slow_probe, fast_charge, fast_probe;
};

static void take_rate(struct extremes *e, double k, struct slice charge, struct slice probe)
{
	if (!isfinite(k))
		return;
	if (!e->n || k < e->slow) {
		e->slow = k;
		e->slow_charge = charge;
		e->slow_probe = probe;
	}
	if (!e->n || k > e->fast) {
		e->fast = k;
		e->fast_charge = charge;
		e->fast_probe = probe;
	}
	e->n++;
}

static void write_extreme(struct buf *text, struct slice probe, struct slice charge, const char *how, double k)
{
	buf_str(text, "probe ");
	buf_add(text, probe);
	buf_str(text, " of ");
	buf_add(text, charge);
	buf_printf(text, " dries %s (k %.3f a day)", how, k);
}

static void add_finding(const struct extremes *e)
{
	struct buf text = BUF_INIT;

	if (e->n < 2)
		return;
	write_extreme(&text, e->slow_probe, e->slow_charge, "slowest", e->slow);
	buf_str(&text, ", ");
	write_extreme(&text, e->fast_probe, e->fast_charge, "fastest", e->fast);
	buf_char(&text, '.');
	text.p[0] = 'P';
	table_finding(e->t, buf_slice(&text));
	buf_release(&text);
}

/* How fast it dried of late, at which moisture, and how fast it may there. */
static void put_pace(struct table *t, const struct dry_snapshot *s, size_t p)
{
	struct dry_pace pace = dry_pace_of(&s->charge.probe[p], s->now);
	const struct dry_rate_limit *most = dry_rate_limit_at(s->limits.most, s->limits.nmost, pace.mc);
	struct buf band = BUF_INIT;

	table_real(t, pace.rate);
	table_real(t, pace.mc);
	table_real(t, most ? most->most : NAN);
	if (most && most->rest)
		buf_str(&band, s->limits.nmost > 1 ? "other" : "any");
	else if (most)
		dry_write_band(&band, most);
	dry_put_word(t, buf_slice(&band));
	buf_release(&band);
}

static void put(const struct dry_ask *ask, const struct dry_snapshot *s, void *to)
{
	struct extremes *e = to;
	struct table *t = e->t;

	for (size_t p = 0; p < s->charge.nprobes; p++) {
		const struct dry_place *place = &s->place[p];
		double factor, k = dry_rate(&s->charge, &s->fit, p, &factor), wide;

		if (place->source != DRY_PROBE || s->known[p].n == 0 || s->known[p].reading[0].day > s->now)
			continue;
		wide = pow(factor, dist_normal_q(0.975));
		dry_put_key(ask, t, s);
		dry_put_word(t, place->label);
		dry_put_word(t, place->piece);
		take_rate(e, k, s->c->id, place->label);
		table_real(t, k);
		table_real(t, k / wide);
		table_real(t, k * wide);
		table_real(t, s->fit.value[DRY_START] + s->fit.value[DRY_SHARED + DRY_OWN * p + DRY_OWN_START]);
		put_pace(t, s, p);
		table_cstr(t, s->fit.settled ? "yes" : "no");
	}
}

size_t dry_view_rates(const struct dry_ask *ask, struct table *t)
{
	struct extremes e = { .t = t };
	size_t n;

	table_init(t, COLUMNS, sizeof COLUMNS / sizeof *COLUMNS);
	table_note(t, SLICE("k is the first-order rate from 30 % MC to the last reading, with its 95 % interval."));
	n = dry_view_each(ask, false, put, &e);
	add_finding(&e);
	return n;
}
