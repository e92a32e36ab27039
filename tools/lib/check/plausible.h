/*
 * plausible.h - values that can be written but hardly be right: a blade of 1410 kg, a room at 60 C, a
 * line of the year 2062, a rate that is off by ten. The limits are the house's (`plausible` of house(5));
 * without a house file its defaults hold.
 */
#ifndef WITHY_PLAUSIBLE_H
#define WITHY_PLAUSIBLE_H

#include <stddef.h>

#include "check/occurrence.h"
#include "house/house.h"

struct diags;
struct line;
struct plausible_rate;

/* The lines of one year. */
struct plausible_year {
	int32_t year;
	uint64_t lines;
	struct occurrence first;
};

struct plausible {
	const struct house *house;      /* or NULL */
	struct house_plausible limits;
	struct diags *diags;
	struct plausible_year *year;    /* in the order in which they are met */
	size_t nyears, years_cap;
	int32_t day;                    /* of the line before, and its year's row */
	size_t last_year;
	struct plausible_rate *rate;
	size_t nrates, rates_cap;
};

void plausible_init(struct plausible *p, const struct house *house, struct diags *diags);
void plausible_release(struct plausible *p);

/* What a line shows by itself. */
void plausible_line(struct plausible *p, const struct line *l);

/* Keeps what is judged with the rest of the book, and judges it. */
void plausible_keep(struct plausible *p, const struct line *l);
void plausible_end(struct plausible *p);

#endif
