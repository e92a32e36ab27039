/*
 * mix_shift.h - whether two heaps of pieces have the same shares of their grades, and which grade differs.
 *
 * Pearson's chi-squared compares the heaps over all grades together. The adjusted residual of a grade says how far its share
 * moved, in standard errors (Haberman 1973, Biometrics 29, 205): above 0, the first heap has more of it.
 *
 * Pieces of one lot are alike (spread.h). Where that is known, each count is as good as one of count / design pieces
 * (Rao and Scott 1992, Biometrics 48, 577), and F takes the place of chi-squared, for the design is an estimate (Rao and
 * Thomas 1988, Sociol. Methodol. 18, 213). Else, where an expected count is under 5, the p is counted in MIX_SHIFT_TRIALS random tables
 * with the same sums (Hope 1968, J. R. Statist. Soc. B 30, 582; the rule of 5: Cochran 1954, Biometrics 10, 417). They come from a
 * fixed seed: the same table has the same p always.
 */
#ifndef WITHY_MIX_SHIFT_H
#define WITHY_MIX_SHIFT_H

#include <stddef.h>
#include <stdint.h>

enum { MIX_SHIFT_TRIALS = 19999 };

/* A grade: how many of the two heaps have it, and by what they count less; 1 for no less. */
struct mix_part {
	int64_t a, b;
	double design_a, design_b;
	double residual;           /* the answer; NAN where neither heap has it, or both have nothing else */
};

enum mix_method { MIX_BY_CHI2, MIX_BY_F, MIX_BY_TRIALS };

struct mix_shift {
	double chi2, df, p;        /* NAN: a heap is empty, or there is one grade only */
	enum mix_method method;
};

/* `df_lots`: the degrees of freedom of the designs' estimate; 0 where nothing is known of it. Sets the residuals. */
struct mix_shift mix_shift_of(struct mix_part *part, size_t k, double df_lots);

/*
 * The residual beyond which one of `k` grades moved by more than chance at 5 %, all of them together (Bonferroni).
 */
double mix_shift_point(size_t k, double df_lots);

#endif
