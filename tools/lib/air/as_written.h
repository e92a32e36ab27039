/*
 * as_written.h - which instruments of readings that are not corrected are known to be off, and by how much.
 *
 * It holds the days on which each instrument read temperatures and humidities, and what the checks of all instruments found.
 * Lines come in any order; parts add up by groups_merge() to the same bytes. As in air_book.h, a check holds until the next
 * one, several on one day are their mean, and a humidity from a wet bulb is not of it.
 *
 * Memory: some 300 bytes for each instrument and for each of its checks.
 */
#ifndef WITHY_AS_WRITTEN_H
#define WITHY_AS_WRITTEN_H

#include <stdbool.h>

#include "table/group.h"

struct line;

struct as_written {
	struct groups read;    /* by instrument: the days of its readings */
	struct groups checks;  /* by instrument, quantity and day: true less read */
};

void as_written_init(struct as_written *a);
void as_written_release(struct as_written *a);
void as_written_merge(struct as_written *into, const struct as_written *from);

/* Takes a line of any event but air: those that are not a check are passed over. */
void as_written_take_check(struct as_written *a, const struct line *l);

/*
 * Takes a line of air. `last` is the instrument of a line before, which is mostly this one's too, or NULL; the result is
 * this line's, or `last` where it has none.
 */
struct group *as_written_take_air(struct as_written *a, struct group *last, const struct line *l);

/* Adds a sentence about those that are off in temperatures, or in humidities; nothing where none is. Sorts the groups. */
void as_written_say(struct as_written *a, struct buf *out, bool temps, bool humidities);

#endif
