/*
 * lead.h - the air to come in a kiln, as earlier charges had it.
 *
 * Each trial of a forecast follows one earlier charge, drawn by how near it was in moisture when it had dried as
 * long: its air when it was as wet, or as many days in. How far this charge's air was from that one's has two
 * parts. The level, a mean that forgets in some days, stays: the kiln or its instrument is off. What is left,
 * for this charge is early or late with a stage, fades within days. Without an earlier charge, and in some trials
 * where there are few, the EMC is led at about two thirds of the wood's moisture, down to where the wood settles
 * somewhere in the lower part of the band: who leads a kiln knows what its wood comes to, whatever its instrument shows.
 * For the same reason the EMC of an earlier charge is taken for up to half a point more where the wood would settle below
 * the band; and where it would settle above the band, the EMC at that charge's end is lowered into it, for that charge's wood came to be in
 * the band. Neither, if the kiln's air has stepped. Pure, as all of the model.
 */
#ifndef WITHY_LEAD_H
#define WITHY_LEAD_H

#include <stdbool.h>
#include <stddef.h>

struct dry_charge;
struct dice;
struct dry_fit;
struct dry_past;
struct dry_prior;
struct dry_rule;

/* Days in which the level forgets all but 1/e. */
#define DRY_LEVEL_DAYS 3.0

/*
 * Draws whether what is off by so much is a step that stays. The usual standard deviation is that of what fades again, which is normal, or
 * with `tails` sometimes far off (Student's t, 4 degrees of freedom); a step is larger, and rare: `before` are its odds before it is known how
 * far off that is.
 */
bool lead_is_step(double off, double usual, bool tails, double before, struct dice *dice);

/* What all trials share. */
struct lead_plan {
	const struct dry_prior *prior;
	double *likeness;          /* of each earlier charge, and how far its air is from this one's: */
	double *temp_level, *me_level;
	size_t *at;                /* the step that is like now */
	double sum;                /* of the likenesses */
	double temp_c, me_pct;     /* of now, with the */
	double shift;              /* offset of this kiln, by which instruments differ */
	double day;                /* of the fit */
	bool known;                /* something is known of this charge's air */
	double usual;              /* standard deviation of a level that fades */
	double low, band;          /* the foot of the band, and its width */
};

/* As of the day of the fit. */
void lead_plan_init(struct lead_plan *plan, const struct dry_charge *charge, const struct dry_prior *prior, const struct dry_fit *fit,
	const struct dry_rule *rule);
void lead_plan_release(struct lead_plan *plan);

/* The air of one trial, from half day to half day. */
struct lead {
	const struct lead_plan *plan;
	const struct dry_past *past; /* NULL: there is none */
	size_t at;
	int still;                   /* steps for which it has not moved on */
	double temp_c, me_pct;
	double led_at;               /* without a past: the part of the moisture that the EMC is */
	double foot;                 /* what the EMC is led down to; -INFINITY for no limit */
	double head;                 /* with a past: what it is led down to at the end of that; INFINITY for no limit */
	double temp_level, me_level, temp_off, me_off;
};

/* The offset of the wood's EMC from the air's: where it `rests` in this trial, and where it `usually` does if nothing stepped. */
void lead_start(struct lead *l, const struct lead_plan *plan, double rests, double usually, struct dice *dice);

/* Half a day on, the wood being as wet as `mean`. */
void lead_on(struct lead *l, double mean);

#endif
