#include "dry/backtest.h"

#include <math.h>
#include <stdlib.h>

#include "dry/history.h"
#include "dry/prior.h"
#include "dry/snapshot.h"

/* A probe with fewer readings has no part in what came. */
enum { READINGS_LEAST = 5 };

const int backtest_days[BACKTEST_DAYS] = { 3, 7, 14 };

/* ---- what came */

/* The likeliest readings of a probe at the days 0, 1, 2 ... up to n of them. */
static struct dry_probe daily_probe(const struct dry_snapshot *s, size_t p, size_t n)
{
	const struct dry_probe *probe = &s->known[p];
	struct dry_reading *reading = mem_array(n, sizeof *reading);
	double *day = mem_array(n, sizeof *day), *mc = mem_array(n, sizeof *mc);

	for (size_t i = 0; i < n; i++)
		day[i] = (double)i;
	dry_curve(&s->charge, &s->fit, p, day, n, mc);
	for (size_t i = 0; i < n; i++)
		reading[i] = (struct dry_reading){ day[i], mc[i], DRY_AT, 1, mc[i] };
	free(day);
	free(mc);
	return (struct dry_probe){ .reading = reading, .n = n, .from = probe->from,
		.until = dry_snapshot_out_early(s, probe) ? probe->until : INFINITY, .ruled = true };
}

/* The day on which the rule would have held. INFINITY: never, or too little was read. */
static double came_on(const struct backtest *b, const struct dry_case *c)
{
	struct dry_probe *probe = mem_array(c->charge.nprobes, sizeof *probe);
	struct dry_charge daily = { .probe = probe };
	double ready = HUGE_VAL;
	struct dry_snapshot s;

	dry_snapshot_init(&s, b->history, c, b->now_s);
	for (size_t p = 0; p < s.charge.nprobes; p++)
		if (s.known[p].ruled && s.known[p].n >= READINGS_LEAST)
			probe[daily.nprobes++] = daily_probe(&s, p, (size_t)s.now + 1);
	if (daily.nprobes)
		ready = dry_ready_day(&daily, s.rule);
	for (size_t p = 0; p < daily.nprobes; p++)
		free((void *)(uintptr_t)probe[p].reading);
	free(probe);
	dry_snapshot_release(&s);
	return ready;
}

/* ---- the rivals */

/* The mean days of the charges that had ended by then. INFINITY for none. */
static double mean_days(const struct backtest *b, int64_t now_s)
{
	const struct charges *charges = b->history->charges;
	double sum = 0;
	size_t n = 0;

	for (size_t i = 0; i < charges->n; i++)
		if (charges->cases[i].end_s < now_s && isfinite(b->came[i])) {
			sum += b->came[i];
			n++;
		}
	return n ? sum / (double)n : HUGE_VAL;
}

/* A line that never comes to the band, or not within the horizon, is given the mean days, which is kind to it. */
static double line_day(const struct dry_snapshot *s, double mean)
{
	double line = dry_by_line(&s->c->charge, s->rule, s->now), most = s->now + DRY_HORIZON;

	if (isfinite(line) && line <= most)
		return line;
	return isfinite(mean) ? mean : most;
}

/* ---- the sums */

static void count(struct backtest_sum *sum, const struct backtest_forecast *f)
{
	double off = fmin(f->forecast->median, f->came + DRY_HORIZON) - f->came;

	sum->n++;
	sum->held50 += f->came >= f->forecast->low50 && f->came <= f->forecast->high50;
	sum->held90 += f->came >= f->forecast->low90 && f->came <= f->forecast->high90;
	sum->error += fabs(off);
	sum->late += off;
	sum->line += fabs(f->line - f->came);
	sum->mean += fabs(f->mean - f->came);
}

static void take(struct backtest *b, const struct backtest_forecast *f)
{
	for (int i = 0; i < BACKTEST_DAYS; i++)
		if (backtest_days[i] == f->day)
			count(&b->sum[i], f);
	count(&b->sum[BACKTEST_DAYS], f);
	if (b->each)
		b->each(b->context, f);
}

/* Charges that were ready by then are left out, and the first of a works. */
static void test_day(struct backtest *b, const struct dry_case *c, double came, int day)
{
	const struct charges *charges = b->history->charges;
	int64_t now_s = charges_day_end(charges, charges_day(charges, c->load_s) + day);
	struct dry_snapshot s;
	double mean;

	dry_snapshot_init(&s, b->history, c, now_s);
	dry_snapshot_forecast(&s);
	mean = fmax(mean_days(b, now_s), s.now + 1);
	if (s.open && came > s.now && s.forecast.never >= 0 && s.prior->ncharges && isfinite(mean))
		take(b, &(struct backtest_forecast){ c, s.now_s, s.now, day, came, &s.forecast, line_day(&s, mean), mean });
	dry_snapshot_release(&s);
}

void backtest_run(struct backtest *b)
{
	const struct charges *charges = b->history->charges;

	b->came = mem_array(charges->n, sizeof *b->came);
	for (size_t i = 0; i < charges->n; i++) {
		const struct dry_case *c = &charges->cases[i];

		b->came[i] = c->end_s < b->now_s && history_teaches(c) ? came_on(b, c) : HUGE_VAL;
	}
	for (size_t i = 0; i < charges->n; i++) {
		for (int day = 1; isfinite(b->came[i]) && day < b->came[i]; day++)
			test_day(b, &charges->cases[i], b->came[i], day);
		if (b->done)
			b->done(i + 1, charges->n);
	}
	free(b->came);
	b->came = NULL;
}
