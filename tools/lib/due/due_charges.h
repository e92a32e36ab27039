/*
 * due_charges.h - charges that may be emptied or will be, those that wy-dry(1) warns of, probes to read, and charges
 * that were emptied while probes were out of the band.
 */
#ifndef WITHY_DUE_CHARGES_H
#define WITHY_DUE_CHARGES_H

struct due;
struct due_book;

/*
 * Adds an item for each open charge, then one for each doubt, each warning (due_reasons.h says which probes share
 * one), each charge whose probes are to be read, and each that was emptied.
 */
void due_charges_find(struct due *d, struct due_book *b);

#endif
