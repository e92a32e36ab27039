#include "dry/backtest.h"

#include <math.h>
#include <stdlib.h>

#include "base/parallel.h"
#include "dry/history.h"
#include "dry/rivals.h"
#include "dry/seen.h"
#include "dry/snapshot.h"

const double backtest_ranges[BACKTEST_RANGES] = { 0.5, 0.8, 0.9 };
const int backtest_days[BACKTEST_DAYS] = { 3, 7, 14 };

/* The plain ways look at so many of the last charges, as the forecast does. */
enum { PAST_MOST = 24 };

/* What is asked of one charge on one day. */
struct question {
	const struct charges *charges;
	const struct dry_snapshot *s;
	const struct dry_past_days *past;
	struct backtest_asked *asked;
};

/* What the charges took that had ended, by how many had. */
struct past {
	int64_t now_s;             /* when so many had; INT64_MAX where nothing is asked then */
	struct dry_past_days days;
};

struct run {
	struct backtest *b;
	struct past *past;
	bool *answered;            /* of each question */
};

/* ---- what was seen */

/* How far pieces spread in the charge, where the rule asks for a share of them. */
static double spread_of(const struct backtest *b, const struct dry_case *c)
{
	struct dry_snapshot s;
	double spread;

	if (!(b->history->charges->rule.share > 0))
		return 0;
	dry_snapshot_init(&s, b->history, c, c->end_s);
	spread = dry_spread(&s.charge, s.prior, &s.fit, s.now);
	dry_snapshot_release(&s);
	return spread;
}

static void see_all(struct backtest *b)
{
	const struct charges *charges = b->history->charges;

	b->seen = mem_array(charges->n, sizeof *b->seen);
	for (size_t i = 0; i < charges->n; i++) {
		const struct dry_case *c = &charges->cases[i];

		b->seen[i] = (struct dry_seen){ DRY_SEEN_UNREAD, { -1, DAY_UNSEEN }, -1, DAY_UNSEEN, 0 };
		if (c->end_s < b->now_s && history_teaches(c))
			b->seen[i] = dry_seen_of(charges, c, spread_of(b, c));
	}
}

/* ---- the past */

static size_t ended_by(const struct history *h, int64_t now_s)
{
	size_t n = 0;

	while (n < h->n && h->ended[n]->end_s < now_s)
		n++;
	return n;
}

/* Learns what the first `ended` of the charges taught: each number of them is one piece of work. */
static void learn_past(void *context, size_t ended)
{
	const struct run *run = context;
	const struct history *h = run->b->history;
	struct day_seen seen[PAST_MOST];
	int recorded[PAST_MOST];
	size_t n = 0;

	if (run->past[ended].now_s == INT64_MAX)
		return;
	history_prior_at(run->b->history, run->past[ended].now_s);
	for (size_t i = ended > PAST_MOST ? ended - PAST_MOST : 0; i < ended; i++) {
		const struct dry_seen *was = &run->b->seen[h->ended[i] - h->charges->cases];

		if (was->how == DRY_SEEN_UNREAD)
			continue;
		seen[n] = was->day;
		recorded[n++] = was->holds;
	}
	dry_past_days_of(seen, recorded, n, &run->past[ended].days);
}

/* ---- the answers */

static void score_day(struct backtest_answer *answer, struct day_seen seen)
{
	answer->late = day_late(fmin(answer->day, DRY_HORIZON + 1), seen);
	if (!answer->odds)
		answer->crps = fabs(answer->late);
}

static void score_odds(struct backtest_answer *answer, const double *share, struct day_seen seen)
{
	struct day_odds odds = { share, DRY_HORIZON };

	answer->odds = true;
	answer->crps = day_odds_crps(&odds, seen);
	day_odds_pit(&odds, seen, answer->pit, BACKTEST_BINS);
	for (int i = 0; i < BACKTEST_RANGES; i++) {
		answer->range[i] = day_odds_range(&odds, backtest_ranges[i]);
		answer->held[i] = day_odds_held(&odds, answer->range[i], seen);
	}
	score_day(answer, seen);
}

/* From a moment after loading to days from the day of asking on; a reading stands for noon. */
static double days_ahead(const struct question *q, double day)
{
	const struct charges *charges = q->charges;
	const struct dry_case *c = q->asked->c;
	int64_t midnight = charges_day_end(charges, charges_day(charges, c->load_s) - 1);

	if (!(day > q->s->now + 1))
		return 1;
	return fmax(1, day + (double)(c->load_s - midnight) / DAY_S - 0.5 - q->asked->day);
}

static void answer_by_day(const struct question *q, enum backtest_way way, double day)
{
	struct backtest_answer *answer = &q->asked->by[way];
	double ahead = days_ahead(q, day);

	answer->day = ahead <= DRY_HORIZON ? ahead : q->asked->by[BY_MEAN].day;
	score_day(answer, q->asked->seen);
}

static void answer_all(const struct question *q)
{
	struct backtest_asked *asked = q->asked;
	const struct dry_snapshot *s = q->s;
	double odds[DRY_HORIZON + 2];

	asked->by[BY_FORECAST].day = s->forecast.median - s->now;
	score_odds(&asked->by[BY_FORECAST], s->forecast.share, asked->seen);
	asked->by[BY_READING].day = s->seen.median - s->now;
	score_odds(&asked->by[BY_READING], s->seen.share, asked->read);
	dry_past_odds(q->past, asked->day, odds, DRY_HORIZON);
	asked->by[BY_MEDIAN].day = day_odds_median(&(struct day_odds){ odds, DRY_HORIZON });
	score_odds(&asked->by[BY_MEDIAN], odds, asked->seen);
	asked->by[BY_MEAN].day = fmax(q->past->mean - asked->day, 1);
	score_day(&asked->by[BY_MEAN], asked->seen);
	answer_by_day(q, BY_LINE, dry_by_line(&s->c->charge, s->rule, s->now));
	answer_by_day(q, BY_RATE, dry_by_rate(&s->c->charge, s->rule, s->now, dry_set_point_emc(q->charges, s->c, s->now_s, s->now)));
}

/* ---- the days */

static bool is_asked(const struct charges *charges, const struct dry_case *c, int day)
{
	int64_t to_s = charges_day_end(charges, charges_day(charges, c->load_s) + day);
	int64_t from_s = charges_day_end(charges, charges_day(charges, c->load_s) + day - 1);

	for (int i = 0; i < BACKTEST_DAYS; i++)
		if (backtest_days[i] == day)
			return true;
	for (size_t p = 0; p < c->charge.nprobes; p++) {
		const struct dry_probe *probe = &c->charge.probe[p];
		size_t by = dry_read_by(probe, dry_case_day(c, to_s - 1));

		if (probe->ruled && by > 0 && probe->reading[by - 1].day >= dry_case_day(c, from_s))
			return true;
	}
	return false;
}

/* Puts down a question, unless nothing was seen to hold by then. */
static void put_question(struct run *run, const struct dry_case *c, const struct dry_seen *seen, int day)
{
	struct backtest *b = run->b;
	const struct charges *charges = b->history->charges;
	int64_t now_s = charges_day_end(charges, charges_day(charges, c->load_s) + day);
	struct day_seen from = { seen->day.after - day, seen->day.by }, read = { seen->last - day, DAY_UNSEEN };
	size_t ended = ended_by(b->history, now_s), held = 0;

	for (size_t i = 0; i < ended; i++)
		held += b->seen[b->history->ended[i] - charges->cases].how == DRY_SEEN_HELD;
	if (!held || c->end_s < now_s)
		return;
	run->past[ended].now_s = now_s;
	from.by -= from.by == DAY_UNSEEN ? 0 : day;
	if (seen->how == DRY_SEEN_HELD)
		read = (struct day_seen){ seen->holds - day - 1, seen->holds - day };
	b->asked = mem_grow(b->asked, &b->cap, b->n + 1, sizeof *b->asked);
	b->asked[b->n++] = (struct backtest_asked){ .c = c, .now_s = now_s, .day = day, .seen = from, .read = read };
}

static void put_questions(struct run *run)
{
	const struct charges *charges = run->b->history->charges;

	for (size_t i = 0; i < charges->n; i++) {
		const struct dry_seen *seen = &run->b->seen[i];

		for (int day = 1; day <= seen->day.after; day++)
			if (is_asked(charges, &charges->cases[i], day))
				put_question(run, &charges->cases[i], seen, day);
	}
}

/* One question is one piece of work. */
static void answer(void *context, size_t i)
{
	const struct run *run = context;
	struct backtest_asked *asked = &run->b->asked[i];
	const struct dry_past_days *past = &run->past[ended_by(run->b->history, asked->now_s)].days;
	struct dry_snapshot s;

	dry_snapshot_init(&s, run->b->history, asked->c, asked->now_s);
	dry_snapshot_forecast(&s);
	run->answered[i] = past->seen && s.forecast.never >= 0;
	if (run->answered[i])
		answer_all(&(struct question){ run->b->history->charges, &s, past, asked });
	dry_snapshot_release(&s);
}

static void tell_done(void *context, size_t n)
{
	const struct run *run = context;

	if (run->b->done)
		run->b->done(n, run->b->n);
}

static void keep_answered(struct backtest *b, const bool *answered)
{
	size_t n = 0;

	for (size_t i = 0; i < b->n; i++)
		if (answered[i])
			b->asked[n++] = b->asked[i];
	b->n = n;
}

void backtest_run(struct backtest *b)
{
	size_t pasts = b->history->n + 1;
	struct run run = { b, mem_zeroed(pasts, sizeof *run.past), NULL };

	see_all(b);
	for (size_t i = 0; i < pasts; i++)
		run.past[i].now_s = INT64_MAX;
	put_questions(&run);
	run.answered = mem_zeroed(b->n, sizeof *run.answered);
	parallel_run(&(struct parallel){ learn_past, NULL, &run }, pasts, 0);
	parallel_run(&(struct parallel){ answer, tell_done, &run }, b->n, 0);
	keep_answered(b, run.answered);
	free(run.past);
	free(run.answered);
}

void backtest_release(struct backtest *b)
{
	free(b->seen);
	free(b->asked);
}
