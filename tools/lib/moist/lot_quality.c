#include "moist/lot_quality.h"

#include <math.h>

#include "math/sampling.h"
#include "wood/meter.h"

struct allowance {
	double first, last, below, above; /* of targets in whole points, and points to either side */
};

static const struct allowance ALLOWANCES[] = {
	{ 7, 9, 1.0, 1.0 }, { 10, 12, 1.5, 1.5 }, { 13, 15, 2.0, 2.0 }, { 16, 18, 2.5, 2.0 },
};

bool moist_limits_of(double target_pct, struct moist_limits *limits)
{
	double whole = floor(target_pct + 0.5);

	for (size_t i = 0; i < sizeof ALLOWANCES / sizeof *ALLOWANCES; i++) {
		const struct allowance *a = &ALLOWANCES[i];

		if (!(whole >= a->first && whole <= a->last))
			continue;
		*limits = (struct moist_limits){
			.target_pct = target_pct,
			.mean_low_pct = target_pct - a->below, .mean_high_pct = target_pct + a->above,
			.piece_low_pct = 7 * target_pct / 10, .piece_high_pct = 13 * target_pct / 10,
			.remembered = target_pct != 8 && target_pct != 12 && target_pct != 16,
		};
		return true;
	}
	return false;
}

enum moist_place moist_piece(int64_t mc, int64_t target)
{
	if (mc * 10 < target * 7)
		return MOIST_LOW;
	return mc * 10 > target * 13 ? MOIST_HIGH : MOIST_WITHIN;
}

unsigned moist_fails(const struct moist_limits *limits, const struct moist_sample *s)
{
	unsigned fails = 0;

	if (s->judged && s->within * 1000 < s->judged * 935)
		fails |= MOIST_PIECES_OUT;
	if (s->off_scale)
		return fails | MOIST_OFF_SCALE;
	if (!s->n)
		return fails | MOIST_NO_PIECE;
	if (s->mean_pct < limits->mean_low_pct)
		fails |= MOIST_MEAN_LOW;
	if (s->mean_pct > limits->mean_high_pct)
		fails |= MOIST_MEAN_HIGH;
	return fails;
}

/* A variance that is the sum of two, each with degrees of freedom (Satterthwaite 1946). */
struct spread_sum {
	double variance, df;
};

static struct spread_sum sum_of(double first, double first_df, double second, double second_df)
{
	double sum = first + second;

	return (struct spread_sum){ sum, second > 0 ? sum * sum / (first * first / first_df + second * second / second_df) : first_df };
}

/* The factors of a sample, whose mean is as good as one of n pieces. */
struct footing {
	double mean_pct, sd_pct, n, df;
};

static double share_assured(const struct moist_limits *l, const struct footing *f, double sure)
{
	return tolerance_cover_pooled(f->n, f->df, (f->mean_pct - l->piece_low_pct) / f->sd_pct, (l->piece_high_pct - f->mean_pct) / f->sd_pct, sure);
}

struct moist_assured moist_assures(const struct moist_limits *limits, const struct moist_sample *s, double cover, double sure)
{
	struct moist_assured a = { NAN, NAN, NAN, NAN, NAN, NAN, NAN, sampling_free_sure(s->n + s->off_scale, cover) };
	double sd = fmax(s->sd_pct, METER_SPREAD_PCT), df = (double)s->n - 1, half, one, two;
	struct spread_sum mean, pieces;
	struct footing f;

	if (s->n < 2 || s->off_scale)
		return a;
	mean = sum_of(sd * sd / (double)s->n, df, s->line_pct * s->line_pct, s->line_df);
	pieces = sum_of(sd * sd, df, s->residual_pct * s->residual_pct, s->line_df);
	f = (struct footing){ s->mean_pct, sqrt(pieces.variance), pieces.variance / mean.variance, pieces.df };
	half = dist_t_q((1 + sure) / 2, mean.df) * sqrt(mean.variance);
	one = tolerance_one_pooled(f.n, f.df, cover, sure) * f.sd_pct;
	two = tolerance_pooled(f.n, f.df, cover, sure) * f.sd_pct;
	a.mean_low_pct = s->mean_pct - half;
	a.mean_high_pct = s->mean_pct + half;
	a.above_pct = s->mean_pct - one;
	a.below_pct = s->mean_pct + one;
	a.low_pct = s->mean_pct - two;
	a.high_pct = s->mean_pct + two;
	if (limits)
		a.share = share_assured(limits, &f, sure);
	return a;
}

struct moist_taken moist_taken_of(int64_t out, int64_t n, double cover, double sure)
{
	struct sampling_interval both = sampling_share(out, n, 2 * sure - 1);
	int64_t needed = sampling_pieces(cover, sure, out);
	struct moist_taken t = { MOIST_NOT_SHOWN, both.low, both.high, needed < 0 ? -1 : needed > n ? needed - n : 0 };

	if (n > 0 && needed >= 0 && n >= needed)
		t.shown = MOIST_SHOWN;
	else if (both.low > 1 - cover)
		t.shown = MOIST_REFUTED;
	return t;
}
