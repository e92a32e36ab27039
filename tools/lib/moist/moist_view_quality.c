#include "moist/moist_view_quality.h"

#include <math.h>

#include "math/sampling.h"
#include "moist/lot_quality.h"
#include "moist/moist_view_internal.h"

/* ---- the drying quality */

static const struct table_column QUALITY[] = {
	{ "target_pct", TABLE_REAL, 1, "target, %" }, { "n_pieces", TABLE_INT, 0, "pieces" }, { "n_off_scale", TABLE_INT, 0, NULL },
	{ "verdict", TABLE_TEXT, 0, "verdict" }, { "why", TABLE_TEXT, 0, "why" },
	{ "mc_mean_pct", TABLE_REAL, 1, NULL }, { "mean_least_pct", TABLE_REAL, 1, NULL }, { "mean_most_pct", TABLE_REAL, 1, NULL },
	{ "n_judged", TABLE_INT, 0, NULL }, { "share_within", TABLE_REAL, TABLE_PERCENT + 1, NULL }, { "piece_least_pct", TABLE_REAL, 1, NULL }, { "piece_most_pct", TABLE_REAL, 1, NULL },
	{ "mc_sd_pct", TABLE_REAL, 2, NULL }, { "mean_low_pct", TABLE_REAL, 1, NULL }, { "mean_high_pct", TABLE_REAL, 1, NULL },
	{ "share_above_pct", TABLE_REAL, 1, NULL }, { "share_below_pct", TABLE_REAL, 1, NULL },
	{ "share_low_pct", TABLE_REAL, 1, NULL }, { "share_high_pct", TABLE_REAL, 1, NULL },
	{ "share_assured", TABLE_REAL, TABLE_PERCENT + TABLE_DOWN + 1, NULL }, { "free_sure", TABLE_REAL, TABLE_PERCENT + TABLE_DOWN + 1, NULL }, { "limits", TABLE_TEXT, 0, NULL },
};

/* The target that all pieces of the row have, or HOUSE_NONE. */
static int64_t common_target(struct moist_run r, bool *mixed)
{
	int64_t target = r.n ? r.v[0].target : HOUSE_NONE;

	*mixed = false;
	for (size_t i = 1; i < r.n; i++)
		*mixed |= r.v[i].target != target;
	return *mixed ? HOUSE_NONE : target;
}

/* An off-scale piece is judged only where the scale's end lies outside already. */
static void judge_piece(struct moist_sample *s, const struct moist_value *v, int64_t target)
{
	enum moist_place place = moist_piece(v->mc, target);

	s->off_scale += v->mark != VALUE_EXACT;
	if ((v->mark == VALUE_ABOVE && place != MOIST_HIGH) || (v->mark == VALUE_BELOW && place != MOIST_LOW))
		return;
	s->judged++;
	s->within += place == MOIST_WITHIN;
}

static struct moist_sample sample_of(struct moist_run r, int64_t target)
{
	struct sums sums = moist_run_sums(r);
	struct moist_sample s = { .n = sums.n, .mean_pct = sums_mean(&sums, VALUE_STEPS), .sd_pct = sums_sd(&sums, VALUE_STEPS) };

	for (size_t i = 0; i < r.n; i++)
		if (target != HOUSE_NONE)
			judge_piece(&s, &r.v[i], target);
		else
			s.off_scale += r.v[i].mark != VALUE_EXACT;
	return s;
}

static void write_why(struct buf *why, const struct moist_limits *l, const struct moist_sample *s, unsigned fails)
{
	if (fails & MOIST_OFF_SCALE)
		buf_printf(why, "%lld off the meter's scale, so the mean is not known", (long long)s->off_scale);
	else if (!(fails & MOIST_NO_PIECE))
		buf_printf(why, "mean of %lld %s %.1f..%.1f", (long long)s->n, fails & MOIST_MEAN_LOW ? "below" : fails & MOIST_MEAN_HIGH ? "above" : "within",
			l->mean_low_pct, l->mean_high_pct);
	if (s->judged)
		buf_printf(why, "%s%lld of %lld within %.1f..%.1f", why->n ? "; " : "", (long long)s->within, (long long)s->judged, l->piece_low_pct, l->piece_high_pct);
}

enum { OUTSIDE = MOIST_MEAN_LOW | MOIST_MEAN_HIGH | MOIST_PIECES_OUT };

/* Rows by their verdict. */
struct judged {
	size_t n, within, outside;
};

static void find_quality(struct table *t, const struct judged *all)
{
	struct buf text = BUF_INIT;

	if (!all->n)
		return;
	buf_printf(&text, "%zu of %zu row%s within the limits; %zu outside, %zu not judged.", all->within, all->n, PLURAL(all->n, "", "s"),
		all->outside, all->n - all->within - all->outside);
	table_finding(t, buf_slice(&text));
	buf_release(&text);
}

static void put_verdict(struct table *t, const struct moist_limits *l, const struct moist_sample *s, const char *unjudged, struct judged *all)
{
	unsigned fails = l ? moist_fails(l, s) : 0;
	struct buf why = BUF_INIT;

	if (!l) {
		table_cstr(t, "unjudged");
		table_cstr(t, unjudged);
		return;
	}
	write_why(&why, l, s, fails);
	all->outside += (fails & OUTSIDE) != 0;
	all->within += fails == 0;
	table_cstr(t, fails & OUTSIDE ? "outside" : fails ? "unjudged" : "within");
	table_text(t, buf_slice(&why));
	buf_release(&why);
}

static void put_limits(struct table *t, const struct moist_limits *l, const struct moist_sample *s)
{
	table_real(t, s->mean_pct);
	table_real(t, l ? l->mean_low_pct : NAN);
	table_real(t, l ? l->mean_high_pct : NAN);
	table_int(t, s->judged);
	table_real(t, s->judged ? (double)s->within / (double)s->judged : NAN);
	table_real(t, l ? l->piece_low_pct : NAN);
	table_real(t, l ? l->piece_high_pct : NAN);
}

static void put_assured(struct table *t, const struct moist_ask *ask, const struct moist_limits *l, const struct moist_sample *s)
{
	struct moist_assured a = moist_assures(l, s, ask->cover, ask->sure);
	const double cell[] = { s->sd_pct, a.mean_low_pct, a.mean_high_pct, a.above_pct, a.below_pct, a.low_pct, a.high_pct, a.share, a.free_sure };

	for (size_t i = 0; i < sizeof cell / sizeof *cell; i++)
		table_real(t, cell[i]);
	if (!l)
		table_absent(t);
	else
		table_cstr(t, l->remembered ? "EN 14298, those of the mean from memory" : "EN 14298");
}

static void put_quality(struct table *t, const struct moist_view *v, size_t i, struct judged *all)
{
	struct moist_run r = moist_row_values(v->rows, i);
	bool mixed;
	int64_t target = common_target(r, &mixed);
	struct moist_limits limits;
	bool known = target != HOUSE_NONE && moist_limits_of((double)target / VALUE_STEPS, &limits);
	struct moist_sample s = sample_of(r, known ? target : HOUSE_NONE);

	moist_view_keys(v, t, i);
	table_real(t, target == HOUSE_NONE ? NAN : (double)target / VALUE_STEPS);
	table_int(t, (int64_t)r.n);
	table_int(t, s.off_scale);
	put_verdict(t, known ? &limits : NULL, &s, !r.n ? "no piece" : mixed ? "its pieces have different targets"
		: target == HOUSE_NONE ? "it has no target; --target says one" : "no limits for this target", all);
	put_limits(t, known ? &limits : NULL, &s);
	put_assured(t, v->ask, known ? &limits : NULL, &s);
}

bool moist_view_quality(const struct moist_view *v, struct table *t)
{
	struct judged all = { v->rows->n, 0, 0 };

	MOIST_VIEW_START(v, t, QUALITY);
	for (size_t i = 0; i < v->rows->n; i++) {
		put_quality(t, v, i, &all);
		moist_view_row_done(v, t);
	}
	find_quality(t, &all);
	table_note(t, SLICE("The verdict is on the pieces that were read. The sample size of EN 14298 could not be found, so see the number of pieces."));
	moist_view_note_shares(v, t, "--all-columns adds the limits between which %.6g %% of all pieces lie, with %.6g %% confidence, if they are normally distributed.");
	table_note(t, SLICE("A standard deviation below 0.3 points counts as 0.3, that of a meter at its best."));
	table_note(t, SLICE("share_assured is the lower bound of the proportion within the limits of pieces. free_sure is the confidence that the proportion lies between driest and wettest, whatever the distribution."));
	table_note(t, MOIST_AT_RANDOM);
	return v->rows->n > 0;
}

/* ---- a sample after the kiln */

static const struct table_column PLAN[] = { { "out", TABLE_INT, 0, "out of band at most" }, { "read", TABLE_INT, 0, "pieces to read" }, { "read_on", TABLE_INT, 0, "if you may read on" } };
static const struct table_column TAKEN[] = {
	{ "n_at_random", TABLE_INT, 0, "pieces at random" }, { "n_others", TABLE_INT, 0, "other pieces" }, { "n_untold", TABLE_INT, 0, "not judged" }, { "out", TABLE_INT, 0, "out of band" },
	{ "verdict", TABLE_TEXT, 0, "verdict" }, { "more", TABLE_INT, 0, "more to read" }, { "share_out", TABLE_REAL, TABLE_PERCENT + 1, NULL },
	{ "share_out_low", TABLE_REAL, TABLE_PERCENT + 1, NULL }, { "share_out_high", TABLE_REAL, TABLE_PERCENT + 1, "out at most, %" },
};

enum { PLAN_OUT_MOST = 5 };

static void find_plan(struct table *t, const struct moist_ask *ask)
{
	int64_t pieces = sampling_pieces(ask->cover, ask->sure, 0);
	struct buf text = BUF_INIT;

	if (pieces > 0)
		buf_printf(&text, "Read %lld pieces taken at random: if none is out of band, at least %.6g %% of all conform, with %.6g %% confidence.",
			(long long)pieces, 100 * ask->cover, 100 * ask->sure);
	if (text.n)
		table_finding(t, buf_slice(&text));
	buf_release(&text);
}

static void fill_plan(const struct moist_view *v, struct table *t)
{
	table_init(t, PLAN, sizeof PLAN / sizeof *PLAN);
	table_title(t, SLICE("How many to read"), "plan");
	for (int64_t out = 0; out <= PLAN_OUT_MOST; out++) {
		table_int(t, out);
		table_int(t, sampling_pieces(v->ask->cover, v->ask->sure, out));
		table_int(t, sampling_pieces_on(v->ask->cover, v->ask->sure, out, PLAN_OUT_MOST));
	}
	find_plan(t, v->ask);
	moist_view_note_shares(v, t, "Pieces to read: choose one row before you read, and judge by that row alone. With no more out of band among so many, at least %.6g %% of all conform, with %.6g %% confidence.");
	table_note(t, SLICE("If you may read on: start at the first row; if too many are out of band there, read on to the next row. The confidence holds for all rows together."));
	table_note(t, MOIST_AT_RANDOM);
}

enum { TAKEN_RANDOM, TAKEN_OTHER, TAKEN_UNTOLD, TAKEN_OUT, TAKEN_COUNTS };

/* A piece that may or may not be in the band is in no verdict. */
static void count_taken(int64_t *count, const struct moist_value *v)
{
	bool high = v->mark == VALUE_ABOVE && v->mc < v->band.high, low = v->mark == VALUE_BELOW && v->mc > v->band.low;

	if (v->piece)
		count[TAKEN_OTHER]++;
	else if (!house_range_given(v->band) || high || low)
		count[TAKEN_UNTOLD]++;
	else {
		count[TAKEN_RANDOM]++;
		count[TAKEN_OUT] += v->mark != VALUE_EXACT || !house_range_holds(v->band, v->mc);
	}
}

static const char *const SHOWN[] = { "shown", "not shown", "refuted" };

/* Rows with a sample, by what it shows. */
struct verdicts {
	size_t n, shown, refuted;
};

static void find_taken(struct table *t, const struct verdicts *all)
{
	struct buf text = BUF_INIT;

	if (all->n)
		buf_printf(&text, "%zu of %zu sample%s show%s that enough pieces conform; %zu refute%s it.", all->shown, all->n, PLURAL(all->n, "", "s"), PLURAL(all->n, "s", ""),
			all->refuted, PLURAL(all->refuted, "s", ""));
	else
		buf_str(&text, "No row has a sample: a reading without a label is of a piece taken at random.");
	table_finding(t, buf_slice(&text));
	buf_release(&text);
}

static void put_taken(struct table *t, const struct moist_view *v, size_t row, struct verdicts *all)
{
	struct moist_run r = moist_row_values(v->rows, row);
	int64_t count[TAKEN_COUNTS] = { 0 }, n;
	struct moist_taken taken;

	for (size_t i = 0; i < r.n; i++)
		count_taken(count, &r.v[i]);
	n = count[TAKEN_RANDOM];
	taken = moist_taken_of(count[TAKEN_OUT], n, v->ask->cover, v->ask->sure);
	all->n += n > 0;
	all->shown += n && !count[TAKEN_UNTOLD] && taken.shown == MOIST_SHOWN;
	all->refuted += n && !count[TAKEN_UNTOLD] && taken.shown == MOIST_REFUTED;
	moist_view_keys(v, t, row);
	for (int i = 0; i < TAKEN_COUNTS; i++)
		table_int(t, count[i]);
	table_cstr(t, n ? count[TAKEN_UNTOLD] ? "unjudged" : SHOWN[taken.shown] : "no sample");
	if (taken.more < 0)
		table_absent(t);
	else
		table_int(t, taken.more);
	table_real(t, n ? (double)count[TAKEN_OUT] / (double)n : NAN);
	table_real(t, n ? taken.out_low : NAN);
	table_real(t, n ? taken.out_high : NAN);
}

void moist_view_plan(const struct moist_view *v, struct table *plan, struct table *taken)
{
	struct verdicts all = { 0, 0, 0 };

	fill_plan(v, plan);
	MOIST_VIEW_START(v, taken, TAKEN);
	table_title(taken, SLICE("What was read"), "taken");
	for (size_t i = 0; i < v->rows->n; i++)
		put_taken(taken, v, i, &all);
	find_taken(taken, &all);
	moist_view_note_shares(v, taken, "shown: at least %.6g %% of all conform, with %.6g %% confidence. refuted: fewer do, with the same confidence. More to read: pieces until it is shown, if none of them is out.");
	table_note(taken, SLICE("Readings without a label are of pieces taken at random. Other pieces (probes, judged pieces) are not a sample. Out at most: the one-sided upper bound of the proportion (Clopper and Pearson)."));
}
