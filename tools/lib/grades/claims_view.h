/*
 * claims_view.h - the tables of wy-grade --claims.
 *
 * `claims`: a row for each supplier with a lot that was graded (`lot` is absent), then for each such lot. `grades`: of the same,
 * a row for each grade that the supplier claims, and one for blades that meet none. `lots`: each lot beside its supplier's other lots.
 * The first has the finding.
 */
#ifndef WITHY_CLAIMS_VIEW_H
#define WITHY_CLAIMS_VIEW_H

enum { CLAIMS_TABLES = 3 };

struct claims;
struct table;

/* Initializes CLAIMS_TABLES tables, which then belong to the caller. */
void claims_view(const struct claims *c, struct table *t);

#endif
