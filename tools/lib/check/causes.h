/*
 * causes.h - one mistake, one message: of the diagnostics that one mistake in a line gives, the first.
 */
#ifndef WITHY_CAUSES_H
#define WITHY_CAUSES_H

struct diags;

/* Sorts them, and takes out those that the first of their kind on a line explains. */
void causes_keep(struct diags *d);

#endif
