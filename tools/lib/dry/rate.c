#include "dry/rate.h"

#include <math.h>
#include <stdlib.h>

#include "base/mem.h"
#include "dry/model.h"

/* "The latest 18 hours before", as wy-dry(1) says. */
static const double PACE_DAYS = 0.75;

/* The step of a derivative, in standard deviations of the value: small beside them, and large beside rounding. */
static const double SLOPE_STEP = 0.1;

/* What a piece's rate depends on: the charge's values and its own. */
enum { RATE_VALUES = DRY_SHARED + DRY_OWN };

/* ---- the rate of a piece */

/* The half days that a rate is taken over. */
struct rate_span {
	struct dry_grid *grid;
	size_t probe, from, to;
};

static void rate_path(const struct rate_span *r, const double *value, double *path)
{
	struct dry_piece piece = dry_piece_of(value, r->probe);

	dry_path(r->grid, &piece, r->to, path);
}

/* The logarithm of what it loses over the span, by how far it stands above where it rests and for how long. */
static double log_rate(const struct rate_span *r, const double *value, double *path)
{
	struct dry_piece piece = dry_piece_of(value, r->probe);
	double above = 0;

	dry_path(r->grid, &piece, r->to, path);
	for (size_t i = r->from; i < r->to; i++)
		above += ((path[i] + path[i + 1]) / 2 - r->grid->me_pct[i] - piece.offset) * DRY_STEP;
	return log((path[r->from] - path[r->to]) / above);
}

/* The slope of that by a value, and its standard deviation if the value's is `sd`, to first order. */
static double rate_slope(const struct rate_span *r, double *value, size_t i, double sd, double *path)
{
	double kept = value[i], step = SLOPE_STEP * sd, up, down;

	value[i] = kept + step;
	up = log_rate(r, value, path);
	value[i] = kept - step;
	down = log_rate(r, value, path);
	value[i] = kept;
	return (up - down) / (2 * step);
}

static double rate_variance(const struct rate_span *r, const struct dry_fit *fit, double *path)
{
	double covariance[RATE_VALUES * RATE_VALUES], slope[RATE_VALUES], sum = 0;

	arrow_inverse(&fit->curve, r->probe, covariance);
	for (size_t i = 0; i < RATE_VALUES; i++) {
		size_t at = i < DRY_SHARED ? i : i + DRY_OWN * r->probe;

		slope[i] = rate_slope(r, fit->value, at, sqrt(covariance[i * RATE_VALUES + i]), path);
	}
	for (size_t i = 0; i < RATE_VALUES; i++)
		for (size_t k = 0; k < RATE_VALUES; k++)
			sum += slope[i] * slope[k] * covariance[i * RATE_VALUES + k];
	return sum;
}

/* From where it is below fibre saturation to its last reading. */
static void set_span(struct rate_span *r, const struct dry_charge *charge, const struct dry_fit *fit, double *path)
{
	const struct dry_probe *probe = &charge->probe[r->probe];

	for (size_t i = 0; i < probe->n && probe->reading[i].day <= fit->now; i++)
		r->to = (size_t)(probe->reading[i].day / DRY_STEP);
	r->to = r->to < r->grid->n ? r->to : r->grid->n;
	rate_path(r, fit->value, path);
	while (r->from < r->to && path[r->from] > DRY_FIBRE_SATURATION)
		r->from++;
}

double dry_rate(const struct dry_charge *charge, const struct dry_fit *fit, size_t i, double *factor)
{
	struct dry_grid grid = { 0 };
	struct rate_span r = { &grid, i, 0, 0 };
	double *path, rate = NAN;

	dry_grid_set(&grid, charge, fit->now, fit->now);
	dry_grid_drift(&grid, fit->knot, fit->value + DRY_DRIFT);
	path = mem_array(grid.n + 1, sizeof *path);
	set_span(&r, charge, fit, path);
	if (r.to > r.from)
		rate = log_rate(&r, fit->value, path);
	*factor = isfinite(rate) ? exp(sqrt(rate_variance(&r, fit, path))) : NAN;
	free(path);
	dry_grid_release(&grid);
	return exp(rate);
}

/* ---- of late, and the limit */

const struct dry_rate_limit *dry_rate_limit_at(const struct dry_rate_limit *most, size_t n, double mc)
{
	const struct dry_rate_limit *best = NULL;

	for (size_t i = 0; i < n && !isnan(mc); i++) {
		const struct dry_rate_limit *m = &most[i];

		if (!m->rest && (mc < m->low || mc > m->high))
			continue;
		if (!best || (best->rest && !m->rest) || (best->rest == m->rest && m->most < best->most))
			best = m;
	}
	return best;
}

/* A loss is known, or is that much at least, from a first reading that is no "at most" to a last that is no "at least". */
struct dry_pace dry_pace_of(const struct dry_probe *probe, double now)
{
	size_t n = dry_read_by(probe, now);
	const struct dry_reading *last = n ? &probe->reading[n - 1] : NULL;

	for (size_t i = n; i-- > 1;) {
		const struct dry_reading *first = &probe->reading[i - 1];
		double days = last->day - first->day;

		if (days < PACE_DAYS)
			continue;
		if (first->mark == DRY_BELOW || last->mark == DRY_ABOVE)
			break;
		return (struct dry_pace){ (first->mc - last->mc) / days, (first->mc + last->mc) / 2, days };
	}
	return (struct dry_pace){ NAN, NAN, NAN };
}
