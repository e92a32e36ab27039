/*
 * causes.h - one mistake, one message: of the diagnostics of one line, those that only follow from another.
 *
 * A line that names a thing wrongly, or on a wrong day, cannot agree with the rest of the book. Its wrong
 * name or day is reported; that the pieces, probes or orders do not agree is not.
 */
#ifndef WITHY_CAUSES_H
#define WITHY_CAUSES_H

struct diags;

/* Takes out those that follow from another of their line. Sorts what it is given. */
void causes_keep(struct diags *d);

#endif
