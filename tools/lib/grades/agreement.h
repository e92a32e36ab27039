/*
 * agreement.h - what two or more graders said of the same pieces.
 *
 * There are two sources. A `judge` line with grade= and by= is an opinion of one piece; of several by one grader the first
 * counts. A grading of blades that had a grade (`grade` with grade=) sets the second grader's grade against the first
 * one's, where the book knows who gave it; pieces that are alike and in one place cannot be kept apart, so that those of
 * two graders are of neither.
 *
 * Opinions are compared only under one grading scheme. Grades are in the order of their scheme, the best first; where no scheme
 * is in force, in the order of their names. A grade that the scheme of its day lacks is not compared.
 *
 * The order of lines does not change the answer. A pair's graders, the pairs and the pieces are in the order of their names.
 */
#ifndef WITHY_AGREEMENT_H
#define WITHY_AGREEMENT_H

#include <stddef.h>
#include <stdint.h>

#include "grades/last_charge.h"

struct arrival;
struct house_scheme;
struct line;
struct stock;
struct stock_flow;
struct stock_op;

enum agreement_source { AGREEMENT_JUDGED, AGREEMENT_REGRADED };

/* One grader's grade of a piece, or of n pieces that were graded before by `before`. Numbers are those of `words`. */
struct opinion {
	uint32_t piece, by, grade;          /* piece: 0 of a regrading */
	uint32_t before, grade_before;      /* of a regrading */
	int32_t day, second;
	int64_t n;
	size_t scheme;
};

struct agreement_scheme {
	const struct house_scheme *of;      /* NULL: no scheme was in force */
	uint32_t *grade;                    /* k of them, the best first */
	size_t k;
	int64_t *count;                     /* of judged pieces with two graders or more: a row of k for each */
	size_t pieces, count_cap;
	size_t pairs;                       /* of graders who judged the same pieces */
};

/* Two graders, under one scheme, from one source. `cell` has k rows of k: the first one's grades, and the other's. */
struct agreement_pair {
	enum agreement_source source;
	size_t scheme;
	uint32_t a, b;                      /* of a regrading, a graded first */
	int64_t *cell;
	int64_t n, same, better, worse;     /* better: b gave the better grade */
};

/* A judged piece on which two or more graders differ: opinions `first` to `first` + `n` - 1 of `opinion`. */
struct agreement_piece {
	size_t first, n, scheme;
	int apart;                          /* steps between the best and the worst */
};

struct agreement {
	struct stock *stock;
	int32_t from, to;
	struct intern words;                /* pieces, graders, grades */
	struct last_charge graders;         /* who graded heaps: numbers in `marks` */
	struct intern marks;                /* bytes of { grader, scheme } */
	const struct stock_op *op;          /* of the last flow */
	uint32_t given;                     /* the mark that its pieces get by it; 0: not looked up */
	struct arrival *arrival;            /* what came by it */
	size_t narrivals, arrivals_cap;
	struct opinion *opinion;
	struct agreement_scheme *scheme;
	struct agreement_pair *pair;
	struct agreement_piece *piece;
	size_t nopinions, opinions_cap, nschemes, schemes_cap, npairs, pairs_cap, npieces, pieces_cap;
	size_t nameless;                    /* judge lines with a grade and without by= */
	size_t repeated;                    /* opinions of a piece that its grader had judged before */
	size_t strange;                     /* grades that the scheme of their day lacks */
	size_t once;                        /* judged pieces that only one grader judged under a scheme */
};

/* Only opinions of `from` to `to`, both included, count. The engine must last as long as the agreement. */
void agreement_init(struct agreement *a, struct stock *s, int32_t from, int32_t to);
void agreement_release(struct agreement *a);

/* Takes a good line in (a book_line); its context is the `struct agreement`. */
void agreement_take(void *context, const struct line *l);

/* The stock_sink, with the same context. */
void agreement_flow(void *context, const struct stock_flow *f);

/* When all lines and flows are in: finds the pairs and the pieces. */
void agreement_end(struct agreement *a);

/* The place of a grade in a scheme, or -1. */
int agreement_rank(const struct agreement_scheme *scheme, uint32_t grade);

#endif
