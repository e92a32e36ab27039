/*
 * air_ask.h - what is asked of the air: which places, days and quantities, and by what.
 */
#ifndef WITHY_AIR_ASK_H
#define WITHY_AIR_ASK_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "air/series.h"

struct air_book;
struct house;
struct kiln_stays;
struct table;

enum { AIR_BY_PLACE, AIR_BY_MONTH, AIR_BY_DAY };

/* The words for them, and for the quantities; NULL at the end. */
extern const char *const air_by_words[], *const air_words[];

struct air_ask {
	const struct house *house;     /* or NULL */
	const char *const *place;      /* only these; none: all */
	size_t nplaces;
	bool wants[AIR_QUANTITIES];
	const size_t *by;              /* AIR_BY_... */
	size_t nby;
	int32_t from, to;              /* days, both counted in; INT32_MIN and INT32_MAX for all */
	/* of the views that go by time */
	const struct air_book *book;   /* settled */
	bool raw;                      /* without the instruments' offsets */
	const struct kiln_stays *stays; /* settled; of air_view_gaps() */
	int32_t as_of;                 /* of air_view_outlook() */
	int32_t base_from, base_to;    /* of air_view_chart() */
	void (*some)(struct table *t); /* called now and then, between rows; or NULL */
};

static inline bool air_ask_covers(const struct air_ask *ask, int32_t day)
{
	return day >= ask->from && day <= ask->to;
}

/* Whether the readings of the place are asked for. */
static inline bool air_ask_place(const struct air_ask *ask, struct slice place)
{
	for (size_t i = 0; i < ask->nplaces; i++)
		if (slice_eq(place, slice_of(ask->place[i])))
			return true;
	return ask->nplaces == 0;
}

/* Reads FROM..TO, two days; false when it is not. */
bool air_ask_reference(struct air_ask *ask, struct slice text);

/* Adds the columns of the keys to a table. The place among the keys of a row; empty without one. */
void air_ask_keys(const struct air_ask *ask, struct table *t);
struct slice air_ask_place_key(const struct air_ask *ask, const struct slice *key);

/* Adds what must be alike in two states for their counts to add up: places, quantities, bands. */
void air_ask_settings(const struct air_ask *ask, struct buf *out);

#endif
