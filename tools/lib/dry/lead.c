#include "dry/lead.h"

#include <math.h>
#include <stdlib.h>

#include "base/mem.h"
#include "math/dice.h"
#include "dry/prior.h"
#include "dry/readiness.h"

/*
 * Half days after which an operator goes on although the wood is above the moisture at which he went on before:
 * nobody waits for ever.
 */
enum { PATIENCE = 2 };

/* What is left after each half day of a stage's being early or late. */
static const double FADES = 0.7;

/* Points: the standard deviation of the bell that earlier charges are weighed by. */
static const double ALIKE = 2;

/* One that was over by then counts as if it were so many standard deviations off. */
static const double OVER_SDS = 3;

/* None counts for nothing at all: there has to be one to draw. */
static const double LIKENESS_LEAST = 1e-9;

/* One in the same kiln counts as so many. */
static const double SAME_KILN = 3;

/* The size of a step: points. */
static const double STEP_SD = 1.5;

/* The odds that other set points were chosen, for each day that passed. */
static const double STEP_RATE = 0.01;

/* Without a past, the EMC that the air is led at, as a part of the wood's moisture (wy-dry(1)). */
static const double LED_AT = 2.0 / 3;
static const double LED_AT_SD = 0.1;

/* The wood settles up to this part of the band above its foot. */
static const double FOOT_SPAN = 0.6;

/* And where an earlier charge is followed, no less than this part above it, and no less than this part below the band's head. */
static const double FOOT_LEAST = 0.2;

static double likeness(const struct dry_past *past, uint32_t kiln, size_t now, double mean)
{
	double off = now <= past->n ? (past->mean[now] - mean) / ALIKE : OVER_SDS;

	return (exp(-0.5 * off * off) + LIKENESS_LEAST) * (past->kiln == kiln ? SAME_KILN : 1);
}

/* How far this charge's air was from an earlier one's: the level as of now. */
static void compare(struct lead_plan *plan, size_t c, const struct dry_grid *air, const double *mean)
{
	const struct dry_past *past = &plan->prior->past[c];
	double keep = exp(-DRY_STEP / DRY_LEVEL_DAYS), weight = 0, temp = 0, me = 0;
	size_t at = 0;

	for (size_t i = 0; i < air->n; i++) {
		at = dry_past_like(plan->prior, past, i, mean[i], at);
		weight = keep * weight + 1;
		temp = keep * temp + air->temp_c[i] - past->temp_c[at];
		me = keep * me + air->me_pct[i] - past->me_pct[at];
	}
	plan->at[c] = at;
	plan->temp_level[c] = temp / weight;
	plan->me_level[c] = me / weight;
}

/* What the charge differs by from all earlier ones stays in part; by what it differs from one of them alone fades. */
static void settle_levels(struct lead_plan *plan, double day)
{
	double temp = 0, me = 0;

	plan->usual = plan->prior->usual[dry_age(day)];
	for (size_t c = 0; c < plan->prior->ncharges; c++) {
		temp += plan->likeness[c] / plan->sum * plan->temp_level[c];
		me += plan->likeness[c] / plan->sum * plan->me_level[c];
	}
	for (size_t c = 0; c < plan->prior->ncharges; c++) {
		plan->temp_level[c] = plan->known ? temp : 0;
		plan->me_level[c] = plan->known ? me : 0;
	}
}

void lead_plan_init(struct lead_plan *plan, const struct dry_charge *charge, const struct dry_prior *prior, const struct dry_fit *fit,
	const struct dry_rule *rule)
{
	size_t n = prior->ncharges, now = dry_step_of(&charge->still, fit->now);
	struct dry_grid air = { 0 };
	double *mean, shift, unused;

	dry_grid_set(&air, charge, fit->now, fit->now);
	shift = dry_group_shift(&prior->offset, charge->kiln, 0, &unused);
	for (size_t i = 0; i < air.n; i++)
		air.me_pct[i] += shift;
	*plan = (struct lead_plan){ .prior = prior, .likeness = mem_array(n, sizeof *plan->likeness), .temp_level = mem_array(n, sizeof *plan->temp_level),
		.me_level = mem_array(n, sizeof *plan->me_level), .at = mem_array(n, sizeof *plan->at),
		.temp_c = air.temp_c[air.n - 1], .me_pct = air.me_pct[air.n - 1], .day = fit->now, .low = rule->low, .band = rule->high - rule->low, .shift = shift };
	mean = mem_array(air.n + 1, sizeof *mean);
	dry_mean_path(charge, fit, false, mean);
	for (size_t c = 0; c < n; c++) {
		plan->likeness[c] = likeness(&prior->past[c], charge->kiln, now, mean[air.n]);
		plan->sum += plan->likeness[c];
		compare(plan, c, &air, mean);
	}
	plan->known = !charge->air[0].guessed || (charge->nair > 1 && charge->air[1].day <= fit->now);
	settle_levels(plan, fit->now);
	free(mean);
	dry_grid_release(&air);
}

void lead_plan_release(struct lead_plan *plan)
{
	free(plan->likeness);
	free(plan->temp_level);
	free(plan->me_level);
	free(plan->at);
}

/* The densities of what is off by so many standard deviations, times the root of two pi. */
static double normal(double sds)
{
	return exp(-0.5 * sds * sds);
}

static double student4(double sds)
{
	static const double AT_0 = 0.93998560298662518872; /* 3/8 root(2 pi) */
	double wide = 1 + sds * sds / 4;

	return AT_0 / (wide * wide * sqrt(wide));
}

bool lead_is_step(double off, double usual, bool tails, double before, struct dice *dice)
{
	double both = sqrt(usual * usual + STEP_SD * STEP_SD), fades = (tails ? student4 : normal)(off / usual) / usual;
	double odds = before * normal(off / both) / both / fades;

	return dice_share(dice) < odds / (1 + odds);
}

/* How likely the kiln is led as none of n earlier charges was: always after none, and half of the time after one. */
static double likely_new(size_t n)
{
	return fmin(2 / ((double)(n + 1) * (double)(n + 1)), 1);
}

/*
 * The least EMC, with the wood off it by so much, of one who leads it into the band: that at which the wood settles just above
 * the floor. The followed charge may have ended below that, for the law says where wood settles before it has. Up to half
 * a point is taken for such a slip; of what is far below, less again.
 */
static double least_led(const struct lead_plan *plan, const struct dry_past *past, double off)
{
	double end = past->me_pct[past->n - 1] - plan->shift, below = plan->low + FOOT_LEAST * plan->band - off - end;

	return below > 0 ? end + below / (1 + below * below) : -HUGE_VAL;
}

/*
 * The EMC of one who leads it into the band, when all else is done: no more than that at which the wood settles just below the head. The
 * followed charge came into the band, so an offset with which its wood would not have is no reason to wait for ever.
 */
static double most_led(const struct lead_plan *plan, double off)
{
	return plan->low + (1 - FOOT_LEAST) * plan->band - off;
}

void lead_start(struct lead *l, const struct lead_plan *plan, double rests, double usually, struct dice *dice)
{
	size_t c;

	*l = (struct lead){ .plan = plan, .temp_c = plan->temp_c, .me_pct = plan->me_pct - plan->shift };
	if (dice_share(dice) < likely_new(plan->prior->ncharges)) {
		l->led_at = LED_AT + LED_AT_SD * dice_normal(dice);
		l->foot = plan->low + FOOT_SPAN * plan->band * dice_share(dice) - rests;
		return;
	}
	c = dice_index(dice, plan->likeness, plan->prior->ncharges, plan->sum);
	l->past = &plan->prior->past[c];
	l->at = plan->at[c];
	l->foot = -HUGE_VAL;
	l->head = HUGE_VAL;
	if (lead_is_step(plan->me_level[c], plan->usual, true, STEP_RATE * plan->day, dice)) {
		l->temp_level = plan->temp_level[c];
		l->me_level = plan->me_level[c];
	} else {
		l->foot = least_led(plan, l->past, usually);
		l->head = most_led(plan, usually);
	}
	l->temp_off = l->temp_c - l->past->temp_c[l->at] - l->temp_level;
	l->me_off = plan->me_pct - l->past->me_pct[l->at] - l->me_level;
	if (!plan->known)
		l->temp_off = l->me_off = 0;
}

void lead_on(struct lead *l, double mean)
{
	bool by_time = l->plan->prior->by_time;
	size_t was = l->at;

	if (!l->past) {
		l->me_pct = fmin(l->me_pct, fmax(l->foot, l->led_at * mean));
		return;
	}
	if (!by_time)
		l->at = dry_past_at(l->past, mean, l->at);
	l->still = l->at == was ? l->still + 1 : 0;
	if (l->at + 1 < l->past->n && l->still >= (by_time ? 1 : PATIENCE)) {
		l->at++;
		l->still = 0;
	}
	l->temp_off *= FADES;
	l->me_off *= FADES;
	l->temp_c = l->past->temp_c[l->at] + l->temp_level + l->temp_off;
	l->me_pct = fmax(l->past->me_pct[l->at] + l->me_level + l->me_off - l->plan->shift, l->foot);
	if (l->at + 1 == l->past->n)
		l->me_pct = fmin(l->me_pct, l->head);
}
