/*
 * grade_view.h - the table of wy-grade(1): counts, and shares with their intervals.
 *
 * Rows are sorted by their keys. Grades are in the order of the row's scheme, the best first; then grades that it lacks,
 * then the ungraded, then the culled. In the wide form all schemes share the columns, in the order of the scheme in
 * force on the last day that was counted.
 *
 * The intervals of a row's grades hold together: Goodman's (1965, Technometrics 7, 247), which are Wilson's at a surer point. Sison and
 * Glaz's (1995) are a little shorter, but they are for plain counts, and the blades of a lot are alike.
 */
#ifndef WITHY_GRADE_VIEW_H
#define WITHY_GRADE_VIEW_H

struct grade_mix;
struct house;
struct table;

/* `house` may be NULL. Initializes the table, which then belongs to the caller. */
void grade_view(const struct grade_mix *m, const struct house *house, struct table *t);

/*
 * The same with a baseline: which grade moved since, and how far (mix_shift.h). A row for each grade of each set of keys
 * that has blades of one scheme in both periods.
 */
void grade_view_shift(const struct grade_mix *m, const struct house *house, struct table *t);

#endif
