/*
 * drift_view.h - the tables of wy-grade --drift.
 *
 * `drift`: a row for each grader and scheme. `shares`: of each, the share of every grade before and after, in wood of the same origins
 * alike. The first has the finding.
 */
#ifndef WITHY_DRIFT_VIEW_H
#define WITHY_DRIFT_VIEW_H

enum { DRIFT_TABLES = 2 };

struct drift;
struct table;

/* Initializes DRIFT_TABLES tables, which then belong to the caller. */
void drift_view(const struct drift *d, struct table *t);

#endif
