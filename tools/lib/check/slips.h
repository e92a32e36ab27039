/*
 * slips.h - values that can be written but hardly be right: a blade of 1410 kg, a room at 60 C, a
 * line of the year 2062, a rate that is off by ten. The limits are the house's (`plausible` of house(5));
 * without a house file its defaults hold.
 */
#ifndef WITHY_SLIPS_H
#define WITHY_SLIPS_H

#include <stddef.h>

#include "check/occurrence.h"

struct diags;
struct line;
struct references;
struct slips_rate;
struct slips_weight;

/* The lines of one year. */
struct slips_year {
	int32_t year;
	uint64_t lines;
	struct occurrence first;
};

struct slips {
	const struct house *house;      /* or NULL */
	struct house_plausible limits;
	struct diags *diags;
	struct slips_year *year;    /* in the order in which they are met */
	size_t nyears, years_cap;
	int32_t day;                    /* of the line before, and its year's row */
	size_t last_year;
	struct slips_rate *rate;
	size_t nrates, rates_cap;
	struct references *references;
	struct slips_weight *weight;    /* of what may be a bat, and is not one's mass */
	size_t nweights, weights_cap;
	struct buf texts;               /* as they are written */
};

/* `references` says at the end what is a bat. */
void slips_init(struct slips *p, const struct house *house, struct references *references, struct diags *diags);
void slips_release(struct slips *p);

/* What a line shows by itself. */
void slips_line(struct slips *p, const struct line *l);

/* Keeps what is judged with the rest of the book, and judges it. */
void slips_keep(struct slips *p, const struct line *l);
void slips_end(struct slips *p);

#endif
