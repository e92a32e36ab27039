/*
 * instruments.h - readings and instruments: what a meter cannot be trusted with, what cannot be
 * corrected, what cannot be, and instruments that are overdue for a check against a reference.
 *
 * Of the lines that name an instrument one a day is kept, the earliest, so that memory follows the
 * days and not the lines.
 */
#ifndef WITHY_INSTRUMENTS_H
#define WITHY_INSTRUMENTS_H

#include <stddef.h>
#include <stdint.h>

#include "base/hash_index.h"

struct diags;
struct house;
struct house_meter;
struct line;
struct meter_day;
struct symbols;

struct instruments {
	struct diags *diags;
	const struct house *house;   /* or NULL: then only what needs none is judged */
	struct meter_day *day;       /* by meter and day: the earliest reading, and whether it was checked */
	size_t ndays, days_cap;
	struct hash_index index;     /* of the days, by meter and day */
	uint32_t last;               /* the one of the last line: index + 1 */
	char memo[24];               /* the last word of meter=, and its row in the house file */
	size_t memo_n;
	int memo_row;
};

void instruments_init(struct instruments *m, const struct house *house, struct diags *diags);
void instruments_release(struct instruments *m);

/* Judges a good line by itself, and keeps its reading. */
void instruments_line(struct instruments *m, const struct line *l);

/* The last day on which a check of that day is valid; INT32_MAX where the house asks for none. */
int32_t instruments_valid_until(const struct house_meter *meter, int32_t checked);

/* After the last line: reports instruments that were overdue, once for each stretch; none that a bad line names. */
void instruments_end(struct instruments *m, struct symbols *symbols);

#endif
