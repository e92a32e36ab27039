#include <math.h>

#include "dry/dry_view_internal.h"
#include "math/distributions.h"

static const struct table_column COLUMNS[] = {
	{ "as_of", TABLE_DATE, 0, NULL }, { "charge", TABLE_TEXT, 0, NULL }, { "probe", TABLE_TEXT, 0, NULL }, { "piece", TABLE_TEXT, 0, NULL },
	{ "k_per_day", TABLE_REAL, 3, NULL }, { "k_95_low_per_day", TABLE_REAL, 3, NULL }, { "k_95_high_per_day", TABLE_REAL, 3, NULL },
	{ "start_pct", TABLE_REAL, 1, NULL }, { "lost_points_per_day", TABLE_REAL, 2, NULL }, { "at_pct", TABLE_REAL, 1, NULL },
	{ "most_points_per_day", TABLE_REAL, 2, NULL }, { "most_at", TABLE_TEXT, 0, NULL }, { "settled", TABLE_TEXT, 0, NULL }
};

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
	struct table *t = to;

	for (size_t p = 0; p < s->charge.nprobes; p++) {
		const struct dry_place *place = &s->place[p];
		double factor, k = dry_rate(&s->charge, &s->fit, p, &factor), wide;

		if (place->source != DRY_PROBE || s->known[p].n == 0 || s->known[p].reading[0].day > s->now)
			continue;
		wide = pow(factor, dist_normal_q(0.975));
		dry_put_key(ask, t, s);
		dry_put_word(t, place->label);
		dry_put_word(t, place->piece);
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
	table_init(t, COLUMNS, sizeof COLUMNS / sizeof *COLUMNS);
	table_note(t, SLICE("k is the first-order rate from where the piece was below 30 % to its last reading, with its 95 % interval."));
	return dry_view_each(ask, put, t);
}
