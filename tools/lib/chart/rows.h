/*
 * rows.h - pictures of rows: a name to the left, a bar of parts beside it, a text at its end.
 */
#ifndef WITHY_ROWS_H
#define WITHY_ROWS_H

#include <stddef.h>

#include "chart/scene.h"

/* Where the rows are: names in [0, left), bars in [left, right), texts of ends beyond. */
struct rows {
	double left, right, top, pitch, bar; /* px; of one row, and of its bar */
};

/* The space for names (at most a third of the width) and for the texts of ends, of which `end` is the widest. */
struct rows rows_fit(const struct scene *s, const struct slice *name, size_t n, double end, double top);

/* The middle of a row, from 0. */
double rows_middle(const struct rows *r, size_t row);
double rows_bottom(const struct rows *r, size_t rows);

void rows_name(struct scene *s, const struct rows *r, size_t row, struct slice name);

/* A text beyond x. */
void rows_end(struct scene *s, const struct rows *r, size_t row, double x, struct slice text);

/* A part of a bar from x1 to x2, with a text in it where that fits whole (of several separated by tabs, the first that does). */
void rows_part(struct scene *s, const struct rows *r, size_t row, struct look look, double x1, double x2, struct slice texts);

#endif
