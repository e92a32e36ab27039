/*
 * warnings.h - what a reader is warned of while a charge dries, beside its verdict.
 *
 * Everything is judged on the facts known at `fit->now`. None of these changes a reading or leaves one
 * out: they say where somebody should look before the verdict is believed.
 *
 * A piece is compared with its fellows by how far pieces of this works spread (the prior). A wet one, which
 * is what pockets make, is reported from 2.6 standard deviations on, others from 3 or 3.2, so that one
 * sound charge in twenty is doubted; of more than four pieces from a little more. A pocket that makes a piece no
 * wetter than chance makes others is not reported; no probe can see one that it is not in.
 */
#ifndef WITHY_WARNINGS_H
#define WITHY_WARNINGS_H

#include <stdbool.h>
#include <stddef.h>

#include "dry/dry_view.h"

struct dry_charge;
struct dry_fit;
struct dry_prior;
struct dry_rate_limit;
struct dry_rule;

enum dry_sign {
	DRY_STALLS,      /* the mean fell `value` points in `days`, where `limit` were to be expected: a pause is likelier by far */
	DRY_SETTLES,     /* the probes have been at `value` for `days`, outside the band; at most `limit` points towards it (standstill.h) */
	DRY_HURRIES,     /* probe lost `value` points a day over `days`, more than `limit`, which holds at its moisture (rate.h) */
	DRY_STUCK,       /* probe shows the same figure for `days` while the others moved */
	DRY_PARTS,       /* probe is `value` standard deviations from what pieces of this works are, in its own value `limit` (law.h) */
	DRY_JUMPS,       /* a reading of the probe is `value` points off its curve, on day `days` */
	DRY_UNDER_FLOOR, /* probe was down to `value`, on day `days`: for the charge's life */
	DRY_WIDENS,      /* the spread grew by `value` points in `days` */
	DRY_EQUALIZE,    /* the driest is at `value`, two points under target or less, the wettest is not there */
	DRY_RESTS_OFF,   /* the wood settles `value` points from where earlier charges did: the meter or the air reads off */
	DRY_LOST,        /* probe was not read for `days` */
	DRY_UNTRUE,      /* the oven found `value` points less (more, below 0) than the probes say, in `limit` pieces */
	DRY_HAND_PARTS,  /* a piece read by hand on day `days` read `limit`, `value` standard deviations from its fellows */
	/* doubts.h: */
	DRY_LEFT_BAND,   /* probe, last read on day `days`, is out of the band by now, at `value`, as are `limit` probes in all */
	DRY_OUT_WET,     /* probe came out on day `days` before it was in band as the rule asks, last at `value`, and was not read since */
	DRY_NO_WOOD,     /* probe was read on day `days` without the temperature of the wood, which its meter needs */
	DRY_RUSHED,      /* probe was read `value` hours after a reading that counts; `limit` hours make two of them */
	DRY_SIGNS
};

struct dry_warning {
	enum dry_sign sign;
	size_t probe;        /* index in the charge, or SIZE_MAX for the whole */
	double value, days, limit;
};

/* Whether a sign is a doubt of the readings themselves, so that a verdict of ready needs a second look. */
bool dry_sign_doubts(enum dry_sign sign);

/* What the house sets limits to. */
struct dry_limits {
	double target;       /* points; NAN: none */
	const struct dry_rate_limit *most; /* rate.h; in any order */
	size_t nmost;
	double every;        /* days after which a probe is overdue; NAN: none */
};

/* Fills in at most `cap` warnings, in the order of enum dry_sign and then of the probes; returns how many. */
size_t dry_warn(const struct dry_charge *charge, const struct dry_prior *prior, const struct dry_fit *fit, const struct dry_rule *rule,
	const struct dry_limits *limits, struct dry_warning *warning, size_t cap);

#endif
