/*
 * due_rooms.h - rooms whose air is out of its band or whose wood is heading out of the target, and air that
 * is to be read.
 *
 * All of it is as wy-air(1) has it, with the instruments' offsets applied.
 */
#ifndef WITHY_DUE_ROOMS_H
#define WITHY_DUE_ROOMS_H

struct due;
struct due_book;

void due_rooms_find(struct due *d, struct due_book *b);

#endif
