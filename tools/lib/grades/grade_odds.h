/*
 * grade_odds.h - what pieces of a type and a source will become, from what became of earlier ones: the proportion that gets
 * through the kiln, through planing, and through grading with one grade.
 *
 *	struct beta odds = grade_odds_of(&o, wood, grade, GRADE_ODDS_KILN);
 *	beta_binomial_masses(odds, n, mass);         (how many of the n pieces of the type in a kiln)
 *
 * A source is the parcel of a lot, else its supplier. The mean of a step is that of the past pieces of the type from that
 * source, to which GRADE_ODDS_PRIOR pieces of the type's mean over all sources are added; to the type's as many of the works' mean;
 * to the works' own half a piece for each outcome (Jeffreys 1946). So wood of a new source has its type's mean, a type that
 * was never graded the works', and one with many pieces its own.
 *
 * The spread has two parts: how much batches differ (spread.h: lots at grading, charges before), and how far the mean
 * is unknown after as many pieces as the past is worth. The steps are taken as independent, and the product
 * of their proportions as a beta of the product's mean and variance.
 *
 * Grades count from the first day of the grading scheme in force, first grades only. Pieces that planing makes to another type are
 * lost to theirs, and are not counted as gained by the other.
 */
#ifndef WITHY_GRADE_ODDS_H
#define WITHY_GRADE_ODDS_H

#include <stdbool.h>

#include "grades/grade_mix.h"
#include "math/beta_binomial.h"
#include "stock/stages.h"

struct provenance;

enum { GRADE_ODDS_PRIOR = 10 };

/* The step that pieces are in, or come to next. */
enum grade_odds_step { GRADE_ODDS_KILN, GRADE_ODDS_PLANE, GRADE_ODDS_GRADE, GRADE_ODDS_STEPS };

/* Wood that has the same odds: ids of the stock. */
struct grade_odds_wood {
	uint32_t type;             /* STOCK_ANY: any */
	uint32_t source;           /* grade_odds_source() of its lot; 0: not known, or several */
};

/* An outcome of a step: of each type and source k of n pieces, of each type, and of all. */
struct grade_odds_past;

struct grade_odds {
	struct grade_ask ask;
	struct grade_mix mix;
	struct stages stages;      /* after grade_odds_end() its cells count who is where, up to grading */
	const struct provenance *origins;
	struct intern types, woods; /* texts of types, 0 for pieces without one; woods as bytes, with the types' numbers here */
	struct grade_odds_past *past; /* the kiln, planing, any grade, then the grades of the mix */
	size_t npast;
};

/* After all lines were handed to `s` and provenance_end(), before stock_run(). It must not be moved after. `house` may be NULL. */
void grade_odds_init(struct grade_odds *o, const struct house *house, const struct stock *s, const struct provenance *origins, int32_t today);
void grade_odds_release(struct grade_odds *o);

/* The stock_sink; its context is the `struct grade_odds`. */
void grade_odds_flow(void *context, const struct stock_flow *flow);

/* After stock_run(). */
void grade_odds_end(struct grade_odds *o);

/* Whether blades were ever graded under the scheme, so that there are odds. */
bool grade_odds_known(const struct grade_odds *o);

/* Where a lot is from: its parcel, else its supplier; 0: not known, or several. */
uint32_t grade_odds_source(const struct grade_odds *o, uint32_t lot);

/* Of a piece of that wood that is in the step: the proportion that gets the grade, an id of the stock; STOCK_ANY: any grade. */
struct beta grade_odds_of(const struct grade_odds *o, struct grade_odds_wood wood, uint32_t grade, enum grade_odds_step step);

/* The same of pieces that are of so many batches of about the same size, whose differences cancel in part. */
struct beta grade_odds_of_batches(const struct grade_odds *o, struct grade_odds_wood wood, uint32_t grade, enum grade_odds_step step, double batches);

#endif
