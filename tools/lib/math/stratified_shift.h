/*
 * stratified_shift.h - whether scores moved from one period to the next, with what their strata explain taken out.
 *
 * Scores are compared only within a stratum, for instance within wood of one origin. A stratum with pieces in one period only says nothing. The
 * shift is the mean of the differences of the strata's means, each weighted by n1 n0 / (n1 + n0); z is Mantel's statistic for
 * ordered scores (Mantel 1963, J. Am. Statist. Assoc. 58, 690; Landis, Heyman and Koch 1978, Int. Statist. Rev. 46, 237): what
 * chance gives where the pieces of each stratum fall to the periods at random.
 *
 * Pieces of one lot are alike. The correlation of two of them is found from the lots of the same stratum and period (the analysis
 * of variance: Donner 1986, Int. Statist. Rev. 54, 67), and the variance multiplied by the design effect that follows from it, with
 * Student's t. With fewer than STRATIFIED_LOTS_LEAST degrees of freedom between lots nothing is known: the design is 1, the point is the
 * normal one, and `known` is false.
 */
#ifndef WITHY_STRATIFIED_SHIFT_H
#define WITHY_STRATIFIED_SHIFT_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

enum { STRATIFIED_LOTS_LEAST = 4 };

/* The pieces of one lot in one period: how many, the sum of their scores and of the squares. Rows of one stratum follow each other. */
struct stratified_lot {
	uint32_t stratum;
	bool after;
	int64_t n;
	double sum, squares;
};

struct stratified_shift {
	double shift, low, high;   /* in scores, with the 95 % interval; above 0, scores rose */
	double z, p;               /* z is divided by the root of the design; p is two-sided */
	double design, df;         /* df: between lots */
	bool known;
	int64_t before, after;     /* pieces of the strata that are compared */
	size_t strata;
};

/* NAN where no stratum has pieces in both periods, or all scores of each are alike. */
struct stratified_shift stratified_shift_of(const struct stratified_lot *lot, size_t n);

#endif
