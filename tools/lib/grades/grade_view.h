/*
 * grade_view.h - the table of wy-grade(1): counts, and shares with their intervals.
 *
 * Rows are sorted by their keys. Grades are in the order of the scheme in force on the last day that
 * was counted, the best first; then grades that it lacks, then the ungraded, then the culled.
 */
#ifndef WITHY_GRADE_VIEW_H
#define WITHY_GRADE_VIEW_H

struct grade_mix;
struct house;
struct table;

/* `house` may be NULL. Initializes the table, which then belongs to the caller. */
void grade_view(const struct grade_mix *m, const struct house *house, struct table *t);

#endif
