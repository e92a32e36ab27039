/*
 * stress CHARGES - charges with something wrong, each CHARGES times (of works that differ, with twelve
 * earlier charges that were sound): the kiln off for two days, a probe that is dead from day six on, wet
 * pockets in a quarter of the pieces (one of the probes in one of them, or none), a meter that reads two
 * points high. With "tested" twelve pieces were read by hand on day 4, and two went to the oven on day 12.
 *
 * No range is asked to hold. Asked is that the fault is told before the charge is emptied, so far as it
 * can be seen: what hides in the spread of sound pieces cannot, nor a pocket that nobody measures. And that
 * no verdict of ready that comes too early (by the true moisture of sixty pieces, fewer than four in five in
 * the band) comes unflagged: a doubt is told beside it, or the share of nine in ten that its probes do not
 * assure, as wy-dry does.
 * Of the sound charges, that the share assured at 90 % is not above the true one in more than 15 %, and
 * that few are doubted. One reading in a hundred is far off in all of them: that a jump is told where
 * there was one is no false alarm.
 */
#include <stdio.h>

#include "dry/forecast.h"
#include "dry/learn.h"
#include "dry/prior.h"
#include "dry/warnings.h"
#include "kiln.h"

enum { HISTORY = 12, ROOM = 64, NOBODY = -1 };

static const double FAR = 0.8; /* points that a reading is off where a jump may be told */

static const struct dry_rule rule = { .low = 7.5, .high = 10.3, .readings = 2, .hold = NAN, .spread = 2, .rate = NAN, .share = NAN, .sure = 0.9 };
static const struct dry_limits limits = { 9, NULL, 0, 2.5 };

/* What each fault has to bring forth: one of these signs. */
struct fault {
	const char *name;
	unsigned signs;
	int probe; /* the one that it has to be told of, or NOBODY */
	int need;  /* per cent of the charges in which it has to be told, at the least */
	int doubts; /* and in which a doubt may be told that there is no ground for, at the most */
};

static const struct fault faults[TROUBLES] = {
	[NO_TROUBLE] = { "sound", 0, NOBODY, 0, 18 },
	[TESTED] = { "sound, tested", 0, NOBODY, 0, 25 },
	[KILN_OFF] = { "kiln off for two days", 1u << DRY_STALLS, NOBODY, 92, 100 },
	[DEAD_PROBE] = { "dead probe", 1u << DRY_STUCK, 3, 99, 100 },
	[WET_POCKETS] = { "wet pockets", 1u << DRY_PARTS, 2, 90, 100 },
	[POCKETS_BESIDE] = { "pockets, no probe in one", 0, NOBODY, 0, 100 },
	[POCKETS_BESIDE_TESTED] = { "the same, tested", 1u << DRY_HAND_PARTS, NOBODY, 85, 100 },
	[METER_HIGH] = { "meter two points high", 1u << DRY_RESTS_OFF, NOBODY, 95, 100 },
	[METER_HIGH_TESTED] = { "the same, tested", 1u << DRY_RESTS_OFF | 1u << DRY_UNTRUE, NOBODY, 98, 100 },
};

struct tally {
	int n, told, alarmed, early, unflagged, over, held50, held90, open;
	double days; /* until it was told, summed */
};

/* Whether a jump was told of a probe of which some reading was far off. */
static int is_true_jump(const struct charge *ch, const struct dry_warning *t, double day)
{
	if (t->sign != DRY_JUMPS)
		return 0;
	for (int i = 0; i <= (int)day; i++)
		if (fabs(ch->far[t->probe][i]) > FAR)
			return 1;
	return 0;
}

/* What was told by a day: of the fault, whether anything throws doubt on the readings, and whether without ground. */
static void listen(const struct charge *ch, const struct dry_prior *prior, double day, const struct fault *fault, int *told, int *doubted, int *alarmed)
{
	struct dry_warning warning[ROOM];
	struct dry_fit fit;
	size_t n;

	dry_fit(&ch->is, prior, day, &fit);
	n = dry_warn(&ch->is, prior, &fit, &rule, &limits, warning, ROOM);
	for (size_t i = 0; i < n; i++) {
		int doubts = dry_sign_doubts(warning[i].sign);

		*doubted |= doubts;
		*alarmed |= (doubts || warning[i].sign == DRY_STALLS) && !is_true_jump(ch, &warning[i], day);
		*told |= (fault->signs >> warning[i].sign & 1) && (fault->probe == NOBODY || warning[i].probe == (size_t)fault->probe);
	}
	dry_fit_release(&fit);
}

static void foresee(const struct charge *ch, const struct dry_prior *prior, double ready, struct tally *t)
{
	struct dry_forecast f, seen;
	struct dry_fit fit;

	if (ready <= 7)
		return;
	dry_fit(&ch->is, prior, 7, &fit);
	dry_forecast(&ch->is, prior, &fit, &rule, 1, &f, &seen);
	t->held50 += ready >= f.low50 && ready <= f.high50;
	t->held90 += ready >= f.low90 && ready <= f.high90;
	t->open++;
	dry_fit_release(&fit);
}

/* The share that the probes assure on a day. */
static double assured(const struct charge *ch, const struct dry_prior *prior, double day)
{
	struct dry_run run[PROBES];
	struct dry_fit fit;
	double spread;

	for (int p = 0; p < PROBES; p++)
		run[p] = dry_run_of(&rule, &ch->probe[p], day);
	dry_fit(&ch->is, prior, day, &fit);
	spread = dry_spread(&ch->is, prior, &fit, day);
	dry_fit_release(&fit);
	return dry_rule_assures(&rule, run, PROBES, spread);
}

static void watch_charge(const struct charge *ch, const struct dry_prior *prior, const struct fault *fault, struct tally *t)
{
	double ready = dry_ready_day(&ch->is, &rule), end = fmin(ready, 45);
	int told = 0, doubted = 0, ever = 0, alarmed = 0;

	for (double day = 2; day <= end; day++) {
		int before = told;

		listen(ch, prior, day, fault, &told, &ever, &alarmed);
		t->days += told && !before ? day : 0;
	}
	if (ready <= DAYS)
		listen(ch, prior, ready, fault, &told, &doubted, &alarmed);
	t->n++;
	t->told += told;
	t->alarmed += alarmed;
	if (ready <= DAYS && ch->share[(int)ready] < 0.8) {
		t->early++;
		t->unflagged += !doubted && assured(ch, prior, ready) >= 0.9;
	}
	t->over += ready <= DAYS && assured(ch, prior, ready) > ch->share[(int)ready];
	foresee(ch, prior, ready, t);
}

static void learn(struct works *w, struct dry_prior *prior, struct chance *c)
{
	static struct charge past[HISTORY];
	const struct dry_charge *history[HISTORY];

	*w = works_of(DIFFUSION, c);
	for (int i = 0; i < HISTORY; i++) {
		double ready;

		charge_dry(&past[i], w, &rule, NO_TROUBLE, 0, c);
		ready = fmin(dry_ready_day(&past[i].is, &rule), DAYS);
		for (int p = 0; p < PROBES; p++)
			past[i].probe[p].n = (size_t)ready + 1;
		past[i].is.end = ready;
		history[i] = &past[i].is;
	}
	dry_prior_init(prior);
	dry_learn(prior, history, HISTORY);
}

static int judge(const struct fault *fault, const struct tally *t)
{
	int sound = fault->need == 0 && fault->doubts < 100;
	int bad = 100 * t->told < fault->need * t->n || 100 * t->alarmed > fault->doubts * t->n || t->unflagged > 0 || (sound && 100 * t->over > 15 * t->n);

	printf("%-26s %4d", fault->name, t->n);
	if (fault->need)
		printf(" %5d %5d %6.1f", t->told, t->n - t->told, t->told ? t->days / t->told : NAN);
	else
		printf(" %5s %5s %6s", "-", "-", "-");
	if (sound)
		printf(" %7d", t->alarmed);
	else
		printf(" %7s", "-");
	printf(" %5d %9d %8d   %3.0f %%  %3.0f %%%s\n", t->early, t->unflagged, t->over, 100.0 * t->held50 / t->open, 100.0 * t->held90 / t->open,
		bad ? "   NOT AS ASKED" : "");
	return bad;
}

int main(int argc, char **argv)
{
	static struct charge ch;
	long charges = argc == 2 ? strtol(argv[1], NULL, 10) : 0;
	struct tally tally[TROUBLES] = { { 0 } };
	int bad = 0;

	if (charges <= 0) {
		fprintf(stderr, "usage: stress CHARGES\n");
		return 2;
	}
	for (long i = 0; i < charges; i += 5) {
		struct chance c = chance_of((uint64_t)i + 100000);
		struct dry_prior prior;
		struct works w;

		learn(&w, &prior, &c);
		for (int trouble = 0; trouble < TROUBLES; trouble++)
			for (int k = 0; k < 5; k++) {
				charge_dry(&ch, &w, &rule, (enum trouble)trouble, 1, &c);
				watch_charge(&ch, &prior, &faults[trouble], &tally[trouble]);
			}
		dry_prior_release(&prior);
	}
	printf("%-26s %4s %5s %5s %6s %7s %5s %9s %8s   %s\n", "fault", "n", "told", "not", "on day", "alarmed", "early", "unflagged", "too sure", "range of day 7: 50, 90");
	for (int trouble = 0; trouble < TROUBLES; trouble++)
		bad += judge(&faults[trouble], &tally[trouble]);
	return bad ? 1 : 0;
}
