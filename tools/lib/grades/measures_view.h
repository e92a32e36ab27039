/*
 * measures_view.h - the table of wy-grade --measures: a row for each grade and measure of judged pieces.
 */
#ifndef WITHY_MEASURES_VIEW_H
#define WITHY_MEASURES_VIEW_H

struct measures;
struct table;

/* Initializes the table, which then belongs to the caller. */
void measures_view(const struct measures *m, struct table *t);

#endif
