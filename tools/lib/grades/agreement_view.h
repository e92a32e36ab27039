/*
 * agreement_view.h - the tables of wy-grade --agreement.
 *
 * `agreement`: a row for each pair of graders. `several`: Fleiss' kappa of each scheme in which a piece was judged by more than
 * one pair. `confusion`: the grades of a pair's first grader by those of the other one. `again`: the judged pieces on which
 * graders differ, the farthest apart first. The first has the finding.
 */
#ifndef WITHY_AGREEMENT_VIEW_H
#define WITHY_AGREEMENT_VIEW_H

enum { AGREEMENT_TABLES = 4 };

struct agreement;
struct table;

/* Initializes AGREEMENT_TABLES tables, which then belong to the caller. `several` and `again` may have no row. */
void agreement_view(const struct agreement *a, struct table *t);

#endif
