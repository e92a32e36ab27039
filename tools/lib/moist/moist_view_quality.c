#include "moist/moist_view_quality.h"

#include <math.h>

#include "math/sampling.h"
#include "moist/line_error.h"
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
	{ "line_error_pct", TABLE_REAL, 2, NULL }, { "n_beyond", TABLE_INT, 0, NULL }, { "mean_beyond_pct", TABLE_REAL, 1, NULL },
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

/* What the lines say of a row's pieces: how far off their mean is, and how many lie beyond the pairs. */
struct lines {
	struct line_sum sum;
	struct line_doubt doubt;
	int64_t beyond;
	double mean_beyond_pct;   /* of the mean of the pieces of one line, where it is the furthest out */
	double half_pct;          /* of the interval of the lines for the mean */
};

static void judge_piece(struct moist_sample *s, const struct moist_value *v, int64_t mc, int64_t target)
{
	enum moist_place place = moist_piece(mc, target);

	s->off_scale += v->mark != VALUE_EXACT;
	/* an off-scale piece is judged only where the scale's end lies outside already */
	if ((v->mark == VALUE_ABOVE && place != MOIST_HIGH) || (v->mark == VALUE_BELOW && place != MOIST_LOW))
		return;
	s->judged++;
	s->within += place == MOIST_WITHIN;
}

static double in_pct(const struct moist_value *v)
{
	return (double)v->mc / VALUE_STEPS;
}

static void find_beyond(struct lines *l)
{
	for (size_t i = 0; i < l->sum.n; i++) {
		const struct line_part *part = &l->sum.part[i];
		double reading = part->error.middle_pct + part->moment / part->weight;
		double beyond = line_error_beyond(&part->error, part->error.a + part->error.b * reading);

		if (fabs(beyond) > fabs(l->mean_beyond_pct))
			l->mean_beyond_pct = beyond;
	}
}

static struct lines lines_of(struct moist_run r, int64_t n, double sure)
{
	struct lines l = { .sum = { 0 } };

	for (size_t i = 0; i < r.n; i++)
		if (r.v[i].mark == VALUE_EXACT && r.v[i].line) {
			struct line_error e = line_error_of(r.v[i].line);
			double beyond = line_error_beyond(&e, in_pct(&r.v[i]));

			line_sum_add(&l.sum, r.v[i].line, 1 / (double)n, in_pct(&r.v[i]));
			l.beyond += beyond < 0 || beyond > 0;
		}
	l.doubt = line_sum_doubt(&l.sum);
	l.half_pct = line_doubt_half(l.doubt, sure);
	find_beyond(&l);
	return l;
}

/* The sample if all lines are off by `way` times their own error: -1, 0 or 1. */
static struct moist_sample sample_of(struct moist_run r, int64_t target, const struct lines *l, int way)
{
	struct sums sums = moist_run_sums(r);
	struct moist_sample s = { .n = sums.n, .mean_pct = sums_mean(&sums, VALUE_STEPS) + way * l->half_pct, .sd_pct = sums_sd(&sums, VALUE_STEPS),
		.line_pct = l->doubt.error, .line_df = l->doubt.df, .residual_pct = sqrt(l->sum.residual) };
	int64_t off = fixed_of(way * l->half_pct, VALUE_STEPS);

	for (size_t i = 0; i < r.n; i++)
		if (target != HOUSE_NONE)
			judge_piece(&s, &r.v[i], r.v[i].mc + (r.v[i].line ? off : 0), target);
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
	size_t n, within, outside, doubtful;
};

enum verdict { WITHIN, IS_OUTSIDE, DOUBTFUL, UNJUDGED };

static enum verdict verdict_on(const struct moist_limits *l, const struct moist_sample *s)
{
	unsigned fails = moist_fails(l, s);

	return fails & OUTSIDE ? IS_OUTSIDE : fails ? UNJUDGED : WITHIN;
}

/* A row, and what it would be if the lines were off one way or the other. */
struct row_sample {
	struct moist_sample s, drier, wetter;
	struct lines lines;
};

/* The verdict holds only if it is the same with the lines off by their own error. */
static enum verdict verdict_of(const struct moist_limits *l, const struct row_sample *r)
{
	enum verdict v = verdict_on(l, &r->s);

	return verdict_on(l, &r->drier) == v && verdict_on(l, &r->wetter) == v ? v : DOUBTFUL;
}

static void find_quality(struct table *t, const struct judged *all)
{
	struct buf text = BUF_INIT;

	if (!all->n)
		return;
	buf_printf(&text, "%zu of %zu row%s within the limits; %zu outside, ", all->within, all->n, PLURAL(all->n, "", "s"), all->outside);
	if (all->doubtful)
		buf_printf(&text, "%zu doubtful, ", all->doubtful);
	buf_printf(&text, "%zu not judged.", all->n - all->within - all->outside - all->doubtful);
	table_finding(t, buf_slice(&text));
	buf_release(&text);
}

/* What the lines of the meters have to do with the verdict. */
static void write_lines(struct buf *why, const struct lines *l, enum verdict verdict)
{
	if (verdict == DOUBTFUL)
		buf_printf(why, "; another if the meter's line is off by %.2f", l->half_pct);
	if (l->mean_beyond_pct < 0 || l->mean_beyond_pct > 0)
		buf_printf(why, "; mean %.1f %s the pairs of the line", fabs(l->mean_beyond_pct), l->mean_beyond_pct < 0 ? "below" : "above");
}

static void put_verdict(struct table *t, const struct moist_limits *l, const struct row_sample *r, const char *unjudged, struct judged *all)
{
	static const char *const WORDS[] = { "within", "outside", "doubtful", "unjudged" };
	struct buf why = BUF_INIT;
	enum verdict verdict;

	if (!l) {
		table_cstr(t, "unjudged");
		table_cstr(t, unjudged);
		return;
	}
	verdict = verdict_of(l, r);
	write_why(&why, l, &r->s, moist_fails(l, &r->s));
	write_lines(&why, &r->lines, verdict);
	all->outside += verdict == IS_OUTSIDE;
	all->within += verdict == WITHIN;
	all->doubtful += verdict == DOUBTFUL;
	table_cstr(t, WORDS[verdict]);
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

static struct row_sample row_sample_of(const struct moist_view *v, struct moist_run r, int64_t target)
{
	struct row_sample s = { .lines = lines_of(r, moist_run_sums(r).n, v->ask->sure) };

	s.s = sample_of(r, target, &s.lines, 0);
	s.drier = sample_of(r, target, &s.lines, -1);
	s.wetter = sample_of(r, target, &s.lines, 1);
	return s;
}

static void put_quality(struct table *t, const struct moist_view *v, size_t i, struct judged *all)
{
	struct moist_run r = moist_row_values(v->rows, i);
	bool mixed;
	int64_t target = common_target(r, &mixed);
	struct moist_limits limits;
	bool known = target != HOUSE_NONE && moist_limits_of((double)target / VALUE_STEPS, &limits);
	struct row_sample s = row_sample_of(v, r, known ? target : HOUSE_NONE);

	moist_view_keys(v, t, i);
	table_real(t, target == HOUSE_NONE ? NAN : (double)target / VALUE_STEPS);
	table_int(t, (int64_t)r.n);
	table_int(t, s.s.off_scale);
	put_verdict(t, known ? &limits : NULL, &s, !r.n ? "no piece" : mixed ? "its pieces have different targets"
		: target == HOUSE_NONE ? "it has no target; --target says one" : "no limits for this target", all);
	put_limits(t, known ? &limits : NULL, &s.s);
	put_assured(t, v->ask, known ? &limits : NULL, &s.s);
	table_real(t, s.lines.sum.n ? s.lines.half_pct : NAN);
	table_int(t, s.lines.beyond);
	table_real(t, s.lines.sum.n ? s.lines.mean_beyond_pct : NAN);
	line_sum_release(&s.lines.sum);
}

bool moist_view_quality(const struct moist_view *v, struct table *t)
{
	struct judged all = { v->rows->n, 0, 0, 0 };

	MOIST_VIEW_START(v, t, QUALITY);
	for (size_t i = 0; i < v->rows->n; i++) {
		put_quality(t, v, i, &all);
		moist_view_row_done(v, t);
	}
	find_quality(t, &all);
	table_note(t, SLICE("The verdict is on the pieces that were read. The sample size of EN 14298 could not be found, so see the number of pieces."));
	moist_view_note_shares(v, t, "--all-columns adds the limits between which %.6g %% of all pieces lie, with %.6g %% confidence, if they are normally distributed.");
	table_note(t, SLICE("A standard deviation below 0.3 points counts as 0.3, that of a meter at its best."));
	table_note(t, SLICE("The error of the meter's own line is in all of these. doubtful: the verdict would be another if the line is off by its own error; more pairs make it smaller."));
	moist_view_note_beyond(v, t);
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

/* A piece that may or may not be in the band is in no verdict. `off` is how much wetter those with a line of the meter may be. */
static void count_taken(int64_t *count, const struct moist_value *v, int64_t off)
{
	bool high = v->mark == VALUE_ABOVE && v->mc < v->band.high, low = v->mark == VALUE_BELOW && v->mc > v->band.low;

	if (v->piece)
		count[TAKEN_OTHER]++;
	else if (!house_range_given(v->band) || high || low)
		count[TAKEN_UNTOLD]++;
	else {
		count[TAKEN_RANDOM]++;
		count[TAKEN_OUT] += v->mark != VALUE_EXACT || !house_range_holds(v->band, v->mc + (v->line ? off : 0));
	}
}

/* What was read, if the lines are off by `way` times their own error. */
struct count_of_taken {
	int64_t count[TAKEN_COUNTS];
	struct moist_taken taken;
};

static struct count_of_taken taken_of(const struct moist_view *v, struct moist_run r, double off_pct)
{
	struct count_of_taken c = { .count = { 0 } };

	for (size_t i = 0; i < r.n; i++)
		count_taken(c.count, &r.v[i], fixed_of(off_pct, VALUE_STEPS));
	c.taken = moist_taken_of(c.count[TAKEN_OUT], c.count[TAKEN_RANDOM], v->ask->cover, v->ask->sure);
	return c;
}

/* The bounds are the furthest of the three; so is what is still to be read. */
static struct count_of_taken taken_in_doubt(const struct moist_view *v, struct moist_run r, bool *doubtful)
{
	struct lines l = lines_of(r, moist_run_sums(r).n, v->ask->sure);
	struct count_of_taken c = taken_of(v, r, 0);
	const struct count_of_taken other[] = { taken_of(v, r, -l.half_pct), taken_of(v, r, l.half_pct) };

	line_sum_release(&l.sum);
	*doubtful = false;
	for (int i = 0; i < 2; i++) {
		const struct moist_taken *o = &other[i].taken;

		*doubtful |= o->shown != c.taken.shown;
		c.taken.out_low = fmin(c.taken.out_low, o->out_low);
		c.taken.out_high = fmax(c.taken.out_high, o->out_high);
		c.taken.more = c.taken.more < 0 || o->more < 0 ? -1 : o->more > c.taken.more ? o->more : c.taken.more;
	}
	return c;
}

static const char *const SHOWN[] = { "shown", "not shown", "refuted" };

/* Rows with a sample, by what it shows. */
struct verdicts {
	size_t n, shown, refuted, doubtful;
};

static void find_taken(struct table *t, const struct verdicts *all)
{
	struct buf text = BUF_INIT;

	if (all->n)
		buf_printf(&text, "%zu of %zu sample%s show%s that enough pieces conform; %zu refute%s it.", all->shown, all->n, PLURAL(all->n, "", "s"), PLURAL(all->n, "s", ""),
			all->refuted, PLURAL(all->refuted, "s", ""));
	else
		buf_str(&text, "No row has a sample: a reading without a label is of a piece taken at random.");
	if (all->doubtful)
		buf_printf(&text, " %zu would show something else if the meter's line is off by its own error.", all->doubtful);
	table_finding(t, buf_slice(&text));
	buf_release(&text);
}

static void put_taken(struct table *t, const struct moist_view *v, size_t row, struct verdicts *all)
{
	struct moist_run r = moist_row_values(v->rows, row);
	bool doubtful;
	struct count_of_taken c = taken_in_doubt(v, r, &doubtful);
	const int64_t *count = c.count, n = count[TAKEN_RANDOM];
	struct moist_taken taken = c.taken;
	bool judged = n && !count[TAKEN_UNTOLD];

	all->n += n > 0;
	all->shown += judged && !doubtful && taken.shown == MOIST_SHOWN;
	all->refuted += judged && !doubtful && taken.shown == MOIST_REFUTED;
	all->doubtful += judged && doubtful;
	moist_view_keys(v, t, row);
	for (int i = 0; i < TAKEN_COUNTS; i++)
		table_int(t, count[i]);
	table_cstr(t, !n ? "no sample" : !judged ? "unjudged" : doubtful ? "doubtful" : SHOWN[taken.shown]);
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
	struct verdicts all = { 0, 0, 0, 0 };

	fill_plan(v, plan);
	MOIST_VIEW_START(v, taken, TAKEN);
	table_title(taken, SLICE("What was read"), "taken");
	for (size_t i = 0; i < v->rows->n; i++)
		put_taken(taken, v, i, &all);
	find_taken(taken, &all);
	moist_view_note_shares(v, taken, "shown: at least %.6g %% of all conform, with %.6g %% confidence. refuted: fewer do, with the same confidence. doubtful: another verdict, if the meter's line is off by its own error. More to read: pieces until it is shown, if none of them is out.");
	moist_view_note_beyond(v, taken);
	table_note(taken, SLICE("Readings without a label are of pieces taken at random. Other pieces (probes, judged pieces) are not a sample. Out at most: the one-sided upper bound of the proportion (Clopper and Pearson)."));
}
