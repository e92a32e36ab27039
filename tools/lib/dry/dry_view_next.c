#include <math.h>

#include "dry/dry_view_internal.h"
#include "dry/next_reading.h"

static const struct table_column COLUMNS[] = {
	{ "as_of", TABLE_DATE, 0, NULL }, { "charge", TABLE_TEXT, 0, "charge" }, { "aim", TABLE_TEXT, 0, NULL }, { "why", TABLE_TEXT, 0, "to settle" },
	{ "reading", TABLE_TEXT, 0, "reading" }, { "probe", TABLE_TEXT, 0, NULL }, { "piece", TABLE_TEXT, 0, NULL }, { "count", TABLE_INT, 0, NULL },
	{ "on", TABLE_DATE, 0, "on" }, { "until", TABLE_DATE, 0, NULL },
	{ "width_90_days", TABLE_REAL, 1, "90 % now, days" }, { "after_90_days", TABLE_REAL, 1, "90 % then" },
	{ "width_50_days", TABLE_REAL, 1, NULL }, { "after_50_days", TABLE_REAL, 1, "50 % then" },
	{ "open_90_pct", TABLE_REAL, 0, NULL }, { "after_open_90_pct", TABLE_REAL, 0, NULL }, { "gain_days", TABLE_REAL, 1, NULL },
	{ "first", TABLE_TEXT, 0, NULL }
};

/* One charge's part of the answer. */
struct telling {
	const struct dry_ask *ask;
	const struct dry_snapshot *s;
	struct table *t;
	struct buf text;           /* of the finding */
	size_t settles;            /* readings that settle a doubt */
};

struct next_answer {
	struct table *t;
	size_t open;
};

/* ---- words */

static int32_t date_in(const struct telling *k, int days)
{
	return k->ask->today + days;
}

static void write_date(struct telling *k, int32_t day)
{
	day_write(&k->text, day);
}

/* "probe c", "every probe, daily", "10 pieces by hand". */
static void write_reading(struct buf *text, const struct next_reading *r, struct slice label)
{
	switch (r->kind) {
	case NEXT_PROBE:
		buf_str(text, "probe ");
		buf_add(text, label);
		break;
	case NEXT_BY_HAND:
		buf_printf(text, "%zu piece%s by hand", r->count, PLURAL(r->count, "", "s"));
		break;
	default:
		buf_str(text, r->kind == NEXT_DAILY ? "every probe, daily" : "every probe");
		break;
	}
}

static void put_reading(struct telling *k, const char *aim, const char *why, const struct next_reading *r, int32_t on, int32_t until)
{
	bool one = r->probe != SIZE_MAX;
	struct buf text = BUF_INIT;

	dry_put_key(k->ask, k->t, k->s);
	table_cstr(k->t, aim);
	table_cstr(k->t, why);
	write_reading(&text, r, one ? dry_label_of(k->s, r->probe) : SLICE(""));
	table_text(k->t, buf_slice(&text));
	dry_put_word(k->t, one ? dry_label_of(k->s, r->probe) : SLICE(""));
	dry_put_word(k->t, one ? k->s->place[r->probe].piece : SLICE(""));
	table_int(k->t, (int64_t)r->count);
	dry_put_day(k->t, on);
	if (until > on)
		dry_put_day(k->t, until);
	else
		table_absent(k->t);
	buf_release(&text);
}

/* ---- readings that settle the verdict */

/* What settles a doubt. */
struct cure {
	enum next_kind kind;
	const char *how;           /* after "read probe c on ..." */
};

/* NULL: no reading does. */
static const struct cure *cure_of(enum dry_sign sign)
{
	static const struct cure CURES[DRY_SIGNS] = {
		[DRY_LOST] = { NEXT_PROBE, "overdue" }, [DRY_JUMPS] = { NEXT_PROBE, "the last reading is far from the curve" },
		[DRY_STUCK] = { NEXT_PROBE, "always the same figure; check the wire and the pins first" },
		[DRY_LEFT_BAND] = { NEXT_EVERY, "by the model the wood has left the band since the last reading" },
		[DRY_OUT_WET] = { NEXT_PROBE, "taken out too early; put it in again, or read its piece by hand under its label" },
		[DRY_NO_WOOD] = { NEXT_PROBE, "write wood=, the temperature of the wood, with the reading" },
		[DRY_RUSHED] = { NEXT_PROBE, "the readings are too close together" },
	};

	return CURES[sign].how ? &CURES[sign] : NULL;
}

/* The day from which a reading counts beside the last one that did. */
static int32_t day_apart(const struct telling *k, const struct dry_warning *w)
{
	double days = w->days + (w->limit - w->value) * 3600 / DAY_S;
	int32_t day = charges_day(k->ask->charges, k->s->c->load_s + (int64_t)ceil(days * DAY_S));

	return day > k->ask->today ? day : k->ask->today;
}

static void begin(struct telling *k)
{
	buf_add(&k->text, k->s->c->id);
	buf_str(&k->text, ": ");
}

static void put_settling(struct telling *k, enum next_kind kind, size_t probe, int32_t on, const char *why)
{
	struct next_reading r = { .kind = kind, .probe = kind == NEXT_PROBE ? probe : SIZE_MAX, .count = kind == NEXT_PROBE ? 1 : k->s->n };

	put_reading(k, "settle", why, &r, on, on);
	table_rest_absent(k->t);
	k->settles++;
}

static void add_label(struct telling *k, size_t probe, size_t n)
{
	if (n)
		buf_str(&k->text, ", ");
	buf_add(&k->text, dry_label_of(k->s, probe));
}

/* The sentence about readings that were put: "K27-09: read probes a, b on 2027-12-31: overdue." */
static void end_settling(struct telling *k, int32_t on, const char *how)
{
	buf_str(&k->text, " on ");
	write_date(k, on);
	buf_printf(&k->text, ": %s.", how);
	table_finding(k->t, buf_slice(&k->text));
	k->text.n = 0;
}

static void begin_settling(struct telling *k, size_t n)
{
	begin(k);
	buf_str(&k->text, n > 1 ? "read probes " : "read probe ");
}

static void settle_unread(struct telling *k)
{
	const struct dry_snapshot *s = k->s;
	size_t n = 0, unread = 0;

	for (size_t i = 0; i < s->n; i++)
		unread += !s->run[i].read;
	if (!unread)
		return;
	begin_settling(k, unread);
	for (size_t i = 0; i < s->n; i++)
		if (!s->run[i].read) {
			add_label(k, s->probe[i], n++);
			put_settling(k, NEXT_PROBE, s->probe[i], k->ask->today, "no-reading");
		}
	end_settling(k, k->ask->today, "no reading yet");
}

/* Whether a reading of the warning's probe settles a doubt of that sign, and is not put elsewhere. */
static bool is_settled_by(const struct dry_snapshot *s, const struct dry_warning *w, enum dry_sign sign)
{
	return w->sign == sign && (sign != DRY_LOST || dry_read_by(&s->known[w->probe], s->now));
}

static size_t count_of(const struct dry_snapshot *s, enum dry_sign sign)
{
	size_t n = 0;

	for (size_t i = 0; i < s->nwarnings; i++)
		n += is_settled_by(s, &s->warning[i], sign);
	return n;
}

static void settle_sign(struct telling *k, enum dry_sign sign)
{
	const struct cure *cure = cure_of(sign);
	const struct dry_snapshot *s = k->s;
	int32_t on = k->ask->today;
	size_t n = 0, all = count_of(s, sign);

	if (!all)
		return;
	for (size_t i = 0; sign == DRY_RUSHED && i < s->nwarnings; i++)
		if (s->warning[i].sign == sign && day_apart(k, &s->warning[i]) > on)
			on = day_apart(k, &s->warning[i]);
	if (cure->kind == NEXT_EVERY) {
		begin(k);
		buf_str(&k->text, "read every probe");
		put_settling(k, NEXT_EVERY, SIZE_MAX, on, dry_sign_word(sign));
		end_settling(k, on, cure->how);
		return;
	}
	begin_settling(k, all);
	for (size_t i = 0; i < s->nwarnings; i++)
		if (is_settled_by(s, &s->warning[i], sign)) {
			add_label(k, s->warning[i].probe, n++);
			put_settling(k, NEXT_PROBE, s->warning[i].probe, on, dry_sign_word(sign));
		}
	end_settling(k, on, cure->how);
}

/* Where every probe is to be read, one that is overdue or jumped is among them. */
static void settle_all(struct telling *k)
{
	bool every = count_of(k->s, DRY_LEFT_BAND) > 0;

	settle_unread(k);
	for (unsigned sign = 0; sign < DRY_SIGNS; sign++)
		if (dry_sign_doubts(sign) && cure_of(sign) && !(every && (sign == DRY_LOST || sign == DRY_JUMPS)))
			settle_sign(k, sign);
}

/* ---- readings that narrow the range */

static void put_widths(struct telling *k, const struct next_readings *next, const struct next_reading *r, bool first)
{
	table_real(k->t, next->now.days90);
	table_real(k->t, r->after.days90);
	table_real(k->t, next->now.days50);
	table_real(k->t, r->after.days50);
	table_real(k->t, 100 * next->now.open90);
	table_real(k->t, 100 * r->after.open90);
	table_real(k->t, next_gain(next, r));
	table_cstr(k->t, first ? "yes" : "no");
}

static const struct next_reading *daily_of(const struct next_readings *next)
{
	for (size_t i = 0; i < next->n; i++)
		if (next->reading[i].kind == NEXT_DAILY)
			return &next->reading[i];
	return NULL;
}

/* What a round on every day would give beside that, and the walks that it takes more. */
static void write_walks(struct telling *k, const struct next_readings *next, const struct next_reading *r)
{
	const struct next_reading *daily = daily_of(next);
	int more;

	if (!daily)
		return;
	more = daily->until - daily->day;
	buf_printf(&k->text, " %d more walk%s, every probe daily until ", more, PLURAL(more, "", "s"));
	write_date(k, date_in(k, daily->until));
	if (next_gain(next, r) >= NEXT_ENOUGH * next_gain(next, daily))
		buf_str(&k->text, ", would give no more.");
	else
		buf_printf(&k->text, ", would make it %.1f.", daily->after.days90);
}

static void write_narrowing(struct telling *k, const struct next_readings *next)
{
	const struct next_reading *r = next->reading;

	buf_str(&k->text, "read ");
	write_reading(&k->text, r, r->kind == NEXT_PROBE ? dry_label_of(k->s, r->probe) : SLICE(""));
	buf_str(&k->text, " on ");
	write_date(k, date_in(k, r->day));
	buf_printf(&k->text, "; the 90 %% ready range narrows from %.1f to about %.1f days.", next->now.days90, r->after.days90);
	write_walks(k, next, r);
	if (next->now.open90 > 0)
		buf_printf(&k->text, " The range has no end now and is counted up to day %d; with a chance of %.0f %% it gets one.", DRY_HORIZON,
			100 - 100 * r->after.open90);
}

static void write_no_narrowing(struct telling *k, const struct next_readings *next)
{
	const struct next_reading *daily = daily_of(next);

	buf_str(&k->text, "no single round until ");
	write_date(k, date_in(k, next->last_day));
	buf_printf(&k->text, " is expected to narrow the 90 %% ready range, %.1f days, by much", next->now.days90);
	if (daily && next_narrows(next, daily))
		buf_printf(&k->text, "; every probe daily would make it %.1f.", daily->after.days90);
	else if (next->widens)
		buf_str(&k->text, "; a reading may show that the charge takes longer.");
	else if (k->settles)
		buf_str(&k->text, daily ? ", nor are daily ones." : ".");
	else if (!daily)
		buf_char(&k->text, '.');
	else
		buf_printf(&k->text, ", nor are daily ones: that saves %d walk%s to the kiln.", daily->until - daily->day, PLURAL(daily->until - daily->day, "", "s"));
}

/* Hardly any run holds: no reading says when. */
static void write_never(struct telling *k)
{
	buf_printf(&k->text, "not expected to be ready within %d days, whatever is read; leave out --next-reading to see why.", DRY_HORIZON);
}

static void narrow(struct telling *k, const struct dry_trials *trials)
{
	int64_t pieces = k->s->c->held - (int64_t)k->s->n;
	struct next_readings next;

	next_readings_init(&next, trials, k->s->rule->apart, pieces > 0 ? (size_t)pieces : 0);
	begin(k);
	if (next.never >= NEXT_NEVER)
		write_never(k);
	else if (next.narrows)
		write_narrowing(k, &next);
	else
		write_no_narrowing(k, &next);
	table_finding(k->t, buf_slice(&k->text));
	for (size_t i = 0; i < next.n; i++) {
		struct next_reading r = next.reading[i];

		r.probe = r.kind == NEXT_PROBE ? r.probe : SIZE_MAX;
		put_reading(k, "narrow", NULL, &r, date_in(k, r.day), date_in(k, r.until));
		put_widths(k, &next, &r, next.narrows && i == 0);
	}
	next_readings_release(&next);
}

/* ---- where there is nothing to read */

static const char *why_nothing(const struct dry_snapshot *s)
{
	if (!s->open)
		return "it is emptied, so there is nothing to read.";
	if (!s->rule)
		return "the house file has no ready rule, so no reading can settle anything; see house(5).";
	if (s->n == 0)
		return "no probe is in the charge; put probes in, then read them.";
	if (s->never)
		return "the ready rule cannot hold with so few probes, whatever they read; see wy-dry(1).";
	if (s->stale && s->fails)
		return "its probes were last read so long ago that nothing is foretold; read all of them.";
	if (s->verdict == DRY_DOUBTFUL)
		return "no reading settles its doubts; leave out --next-reading to see them.";
	return "the ready rule holds, so no reading is needed for the verdict.";
}

static void put(const struct dry_ask *ask, const struct dry_snapshot *s, void *to)
{
	struct next_answer *answer = to;
	struct telling k = { .ask = ask, .s = s, .t = answer->t, .text = BUF_INIT };
	struct dry_trials trials;

	answer->open += s->open;
	if (s->open && s->rule)
		settle_all(&k);
	if (dry_snapshot_trials(s, &trials)) {
		narrow(&k, &trials);
		dry_trials_release(&trials);
	} else if (!k.settles) {
		begin(&k);
		buf_str(&k.text, why_nothing(s));
		table_finding(k.t, buf_slice(&k.text));
	}
	buf_release(&k.text);
}

size_t dry_view_next(const struct dry_ask *ask, struct table *t)
{
	struct next_answer answer = { .t = t };

	table_init(t, COLUMNS, sizeof COLUMNS / sizeof *COLUMNS);
	table_note(t, SLICE("Then: the expected width after that reading, by the model. It says nothing of what will be read."));
	table_note(t, SLICE("Only walks for the forecast are counted. Keep the other checks of the kiln, and read daily once the range has begun."));
	table_note(t, SLICE("When you open or enter a kiln, follow the maker's instructions and local rules."));
	dry_view_each(ask, false, put, &answer);
	return answer.open;
}
