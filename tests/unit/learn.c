/* What past charges teach the next one's prior. */
#include "dry/forecast.h"
#include "dry/learn.h"
#include "dry/prior.h"
#include "math/least_squares.h"
#include "charge_made.h"
#include "check.h"

enum { CHARGES = 6 };

static struct dry_reading kept[CHARGES][PIECES][DAYS];
static struct dry_probe probes[CHARGES][PIECES];
static struct dry_charge past[CHARGES];
static const struct dry_charge *list[CHARGES];

static void make_past(const double *k)
{
	for (int c = 0; c < CHARGES; c++) {
		past[c] = charge_made(k[c], 10 + (uint64_t)c);
		memcpy(kept[c], reading, sizeof reading);
		for (int p = 0; p < PIECES; p++) {
			probes[c][p] = probe[p];
			probes[c][p].reading = kept[c][p];
		}
		past[c].probe = probes[c];
		past[c].end = DAYS - 1;
		list[c] = &past[c];
	}
}

/* Three charges of a works that dries half as fast again: the next one's prior knows. */
static void learning(void)
{
	static const double quick[CHARGES] = { 0.18, 0.18, 0.18, 0.18, 0.18, 0.18 };
	struct dry_prior none, prior;

	make_past(quick);
	dry_prior_init(&none);
	dry_prior_init(&prior);
	dry_learn(&prior, list, 3);
	CHECK_INT(prior.ncharges, 3);
	CHECK_NEAR(exp(prior.mean[DRY_LNK] + prior.kiln.group[0].shift + prior.season.group[0].shift), 0.18, 0.03);
	CHECK(prior.covariance[0] < none.covariance[0]);
	CHECK_NEAR(prior.scatter, 0.2, 0.04);
	dry_prior_release(&prior);
	dry_prior_release(&none);
}

/* Before its first reading the forecast of a charge is what earlier ones took: its median among them, its range about them, to half a day. */
static void before_reading(void)
{
	static const double k[CHARGES] = { 0.12, 0.13, 0.14, 0.15, 0.16, 0.18 };
	struct dry_charge next;
	struct dry_forecast held, seen;
	double least = HUGE_VAL, most = 0;
	struct dry_prior prior;
	struct dry_fit fit;

	make_past(k);
	for (int c = 0; c < CHARGES; c++) {
		double day = dry_ready_day(&past[c], &plain);

		CHECK(day < past[c].end);
		past[c].end = day;
		least = fmin(least, day);
		most = fmax(most, day);
	}
	dry_prior_init(&prior);
	dry_learn(&prior, list, CHARGES);
	next = charge_made(0.14, 3);
	for (int p = 0; p < PIECES; p++)
		probe[p].n = 0;
	dry_fit(&next, &prior, 0, &fit);
	dry_forecast(&next, &prior, &fit, &plain, 1, &held, &seen);
	CHECK(held.median >= least && held.median <= most);
	CHECK(held.low90 <= least + 0.5 && held.high90 >= most - 0.5); /* one in ten is outside */
	CHECK_NEAR(seen.median, held.median, 1); /* it is read every day */
	CHECK(held.never < 0.1);
	dry_fit_release(&fit);
	dry_prior_release(&prior);
}

/*
 * The means have come to rest: what the charges, fitted under the beliefs, pull them by is balanced by what the built-in beliefs hold them by.
 * In built-in standard deviations, as if nothing else held them.
 */
static void at_rest(void)
{
	enum { N = DRY_LEARNED };
	static const double k[CHARGES] = { 0.12, 0.13, 0.14, 0.15, 0.16, 0.18 }, none[N * N];
	double root[N * N], precision[N * N], pulled[N];
	struct dry_prior prior;

	make_past(k);
	dry_prior_init(&prior);
	dry_learn(&prior, list, CHARGES);
	prior.drift = 0; /* as they are learned: without drift, about means that are taken as known */
	dry_prior_set_covariance(&prior, none);
	prior.kiln.group[0].variance = prior.season.group[0].variance = prior.offset.group[0].variance = prior.type.group[0].variance = 0;
	memcpy(root, prior.between, sizeof root);
	CHECK(fit_root(root, N));
	fit_inverse(root, N, precision);
	for (int i = 0; i < N; i++)
		pulled[i] = (dry_builtin.mean[i] - prior.mean[i]) / (dry_builtin.mean_sd[i] * dry_builtin.mean_sd[i]);
	for (int c = 0; c < CHARGES; c++) {
		double off[N];
		struct dry_fit fit;

		dry_fit(list[c], &prior, dry_last_day(list[c]), &fit);
		for (int i = 0; i < N; i++)
			off[i] = fit.value[i] - prior.mean[i];
		off[DRY_LNK] -= prior.kiln.group[0].shift + prior.season.group[0].shift;
		off[DRY_OFFSET] -= prior.offset.group[0].shift;
		for (int i = 0; i < N; i++)
			for (int j = 0; j < N; j++)
				pulled[i] += precision[i * N + j] * off[j];
		dry_fit_release(&fit);
	}
	for (int i = 0; i < N; i++) {
		CHECK_CASE(i);
		CHECK_NEAR(pulled[i] * dry_builtin.mean_sd[i], 0, 0.5);
	}
	CHECK_CASE(-1);
	dry_prior_release(&prior);
}

/* The order of the past does not matter, but for rounding. */
static void any_order(void)
{
	static const double k[CHARGES] = { 0.12, 0.13, 0.14, 0.15, 0.16, 0.18 };
	struct dry_prior one, other;

	make_past(k);
	dry_prior_init(&one);
	dry_prior_init(&other);
	dry_learn(&one, list, CHARGES);
	for (int c = 0; c < CHARGES; c++)
		list[c] = &past[CHARGES - 1 - c];
	dry_learn(&other, list, CHARGES);
	for (int i = 0; i < DRY_LEARNED; i++) {
		CHECK_CASE(i);
		CHECK_NEAR(other.mean[i], one.mean[i], 1e-3);
	}
	CHECK_CASE(-1);
	dry_prior_release(&one);
	dry_prior_release(&other);
}

int main(void)
{
	learning();
	before_reading();
	any_order();
	at_rest();
	return check_end();
}
