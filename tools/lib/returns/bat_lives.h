/*
 * bat_lives.h - every time that a bat was with a customer: for how long, whether it came back and why, and what is known of
 * it: its handle, wood, charge, moisture, months in store, mass.
 *
 * A life begins on the day of the sale and ends on the day of the return, or goes on today. A bat that came back and was
 * sold again has two. What comes of mixed pieces has the names of all that it may be of, joined by "or"; one with a chance
 * under 5 % is left out. Texts are of the table of the lives.
 */
#ifndef WITHY_BAT_LIVES_H
#define WITHY_BAT_LIVES_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "stock/bat_facts.h"
#include "trace/trace.h"

struct line;

/* Words: numbers of `words`, 0 where it is not known. */
enum life_word { LIFE_HANDLE, LIFE_CHARGE, LIFE_LOT, LIFE_PARCEL, LIFE_SUPPLIER, LIFE_TYPE, LIFE_GRADE, LIFE_SEASON, LIFE_MONTH, LIFE_CUSTOMER,
	LIFE_WORDS };

/* Figures: NAN where it is not known. Moistures in per cent, of the day of making. */
enum life_figure {
	LIFE_DRIEST,       /* the driest reading of pieces of its blade's lots up to then */
	LIFE_HANDLE_MC,    /* the mean of its handle lot's last readings */
	LIFE_BLADE_READ, LIFE_HANDLE_READ, /* of the bat's own parts, as it was made */
	LIFE_STORED,       /* months from its grading to its making */
	LIFE_MASS,         /* g, finished */
	LIFE_FIGURES
};

struct bat_life {
	uint32_t bat;              /* an id of the stock, */
	struct slice name;         /* and its text */
	int32_t sold, end;         /* days */
	bool back;
	uint32_t cause;            /* of `words` */
	uint32_t word[LIFE_WORDS];
	double figure[LIFE_FIGURES];
};

struct bat_lives {
	struct trace *trace;
	struct bat_facts facts;
	struct intern words;
	struct bat_life *life;     /* by the days of their sales, then by the bats' names */
	size_t n;
	int64_t others_back;       /* pieces that came back and are no bats */
};

/* Of a trace that is initialized: lines go to bat_lives_take() and not to it. */
void bat_lives_init(struct bat_lives *b, struct trace *trace);
void bat_lives_release(struct bat_lives *b);
void bat_lives_take(struct bat_lives *b, const struct line *l);

/* After trace_end(): finds the lives. Uses the readings up; see trace->readings.error. */
void bat_lives_find(struct bat_lives *b);

/* How long it was with the customer, in months of 365.25 / 12 days; a day at least counts as half of one. */
double bat_life_months(const struct bat_life *life);

#endif
