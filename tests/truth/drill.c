/*
 * drill FROM TO [page] - forecasts for charges of works FROM up to TO, each with twelve earlier charges as
 * its history, one line a charge and day: works, charge, as of, the day on which the rule held under
 * daily readings, median, 50 % range, 90 % range, the line's day, the works' mean days.
 */
#include <stdio.h>

#include "dry/forecast.h"
#include "dry/learn.h"
#include "dry/prior.h"
#include "kiln.h"

enum { HISTORY = 12, CHARGES = 20 };

static const struct dry_rule rule = { .low = 7.5, .high = 10.3, .readings = 2, .hold = NAN, .spread = 2, .rate = NAN, .share = NAN, .sure = 0.9 };

/* Read until it was ready, then emptied. */
static void close_charge(struct charge *ch, double ready)
{
	double end = ready < HUGE_VAL ? ready : DAYS;

	for (int p = 0; p < PROBES; p++) {
		ch->probe[p].n = (size_t)end + 1;
		ch->probe[p].until = end;
	}
	ch->is.end = end;
}

static void report(const struct charge *ch, const struct dry_prior *prior, double now, double ready, double mean_days, long works, int number)
{
	struct dry_forecast f, seen;
	struct dry_fit fit;

	if (ready <= now)
		return;
	dry_fit(&ch->is, prior, now, &fit);
	dry_forecast(&ch->is, prior, &fit, &rule, (uint64_t)works * 1000 + (uint64_t)number * 10 + (uint64_t)now, &f, &seen);
	printf("%ld\t%d\t%g\t%g\t%.4f\t%.4f\t%.4f\t%.4f\t%.4f\t%.4f\t%.4f\n", works, number, now, ready, f.median, f.low50, f.high50, f.low90,
		f.high90, dry_by_line(&ch->is, &rule, now), fmax(mean_days, now + 1));
	dry_fit_release(&fit);
}

static void drill(long number, enum law law)
{
	static struct charge past[HISTORY], now;
	const struct dry_charge *history[HISTORY];
	struct chance c = chance_of((uint64_t)number);
	struct works w = works_of(law, &c);
	struct dry_prior prior;
	double mean_days = 0;

	for (int i = 0; i < HISTORY; i++) {
		double ready;

		charge_dry(&past[i], &w, &rule, NO_TROUBLE, 0, &c);
		ready = dry_ready_day(&past[i].is, &rule);
		close_charge(&past[i], ready);
		mean_days += past[i].is.end / HISTORY;
		history[i] = &past[i].is;
	}
	dry_prior_init(&prior);
	dry_learn(&prior, history, HISTORY);
	for (int i = 0; i < CHARGES; i++) {
		double ready;

		charge_dry(&now, &w, &rule, NO_TROUBLE, 0, &c);
		ready = dry_ready_day(&now.is, &rule);
		report(&now, &prior, 3, ready, mean_days, number, i);
		report(&now, &prior, 7, ready, mean_days, number, i);
		report(&now, &prior, 14, ready, mean_days, number, i);
	}
	dry_prior_release(&prior);
}

int main(int argc, char **argv)
{
	enum law law = argc == 4 && strcmp(argv[3], "page") == 0 ? PAGE : DIFFUSION;

	if (argc != (law == PAGE ? 4 : 3)) {
		fprintf(stderr, "usage: drill FROM TO [page]\n");
		return 2;
	}
	for (long i = strtol(argv[1], NULL, 10); i < strtol(argv[2], NULL, 10); i++)
		drill(i, law);
	return 0;
}
