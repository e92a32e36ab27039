/*
 * due_wood.h - wood that was read outside its target, in the rooms.
 */
#ifndef WITHY_DUE_WOOD_H
#define WITHY_DUE_WOOD_H

#include <stdbool.h>
#include <stddef.h>

struct buf;
struct due;
struct due_book;
struct table;

/* Adds an item for each room and kind of wood of which a piece was last read outside the target. */
void due_wood_find(struct due *d, struct due_book *b);

/* Whether a row of wy-moist's answer has pieces out of their band. */
bool due_is_out_of_band(const struct table *moist, size_t row);

/* "1 of 30 probes out of the band; wettest 10.6 % (a 2027-12-02), driest 8.9 % (b 2027-12-02)". */
void due_write_out_of(struct buf *out, const struct table *moist, size_t row, const char *of);

#endif
