/*
 * free_pieces.h - the table of what can be promised: by form, type and grade the pieces that are there, promised to open
 * orders, and free, and the blades that what is under way will bring.
 *
 *	there = promised + free
 *
 * A bat that came back and was not finished again is not there. Graded blades that are to be made into ordered bats are
 * promised. `coming` is the number of blades with an even chance, `coming_80_low` one that is reached with a chance of 90 %.
 * They are before the missing pieces of the orders are taken off.
 */
#ifndef WITHY_FREE_PIECES_H
#define WITHY_FREE_PIECES_H

struct order_supply;
struct table;

/* After order_supply_end(). Makes the forecasts of all charges that hold pieces. Initializes the table, which then belongs to the caller. */
void free_pieces_view(struct order_supply *supply, struct table *t);

#endif
