/*
 * weigh_view.h - the tables of wy-weigh(1): the lines, the pieces for a mass, the checks, the balances, the histogram.
 *
 * Each function initializes its tables, which then belong to the caller. For a reader masses are written in the works'
 * units, as a book has them; columns that end in _g have the full figures.
 */
#ifndef WITHY_WEIGH_VIEW_H
#define WITHY_WEIGH_VIEW_H

#include <stdbool.h>
#include <stdint.h>

struct house;
struct line_checks;
struct mass_bins;
struct mass_lines;
struct scale_drift;
struct stock;
struct table;
struct wanted;
struct weigh_ask;
struct weigh_parts;

struct weigh_view {
	const struct house *house; /* or NULL */
	const struct stock *stock;
	int32_t today;
	double sure;               /* of ranges: 0.9 */
	bool brief;                /* for a reader: long tables are cut, and a note says how many rows are left out */
	bool ranged;               /* a range of masses was asked for */
	const char *order;         /* the order that it is of, or NULL */
	int64_t wanted;            /* how many bats that wants */
};

/* A row for each key, and one for all. */
void weigh_view_lines(const struct weigh_view *v, const struct weigh_parts *parts, struct table *t);

/* The pieces with masses of their own; and by kind the others. */
void weigh_view_pieces(const struct weigh_view *v, const struct weigh_parts *parts, const struct weigh_ask *ask, const struct wanted *w, struct table *t);
void weigh_view_lots(const struct weigh_view *v, const struct weigh_parts *parts, const struct wanted *w, struct table *t);

/* What the residuals go with; and a row for each pair. */
void weigh_view_checks(const struct weigh_view *v, const struct line_checks *c, struct table *t);
void weigh_view_pairs(const struct weigh_view *v, const struct line_checks *c, struct table *t);

/* A row for each balance and check weight. */
void weigh_view_scales(const struct weigh_view *v, const struct scale_drift *d, struct table *t);

/* A row for each type and step of mass. */
void weigh_view_bins(const struct weigh_view *v, const struct mass_bins *bins, struct table *t);

#endif
