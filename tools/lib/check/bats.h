/*
 * bats.h - bats: sizes against the Laws, handle and blade alike in moisture, the handle's type for that
 * of the blade.
 */
#ifndef WITHY_BATS_H
#define WITHY_BATS_H

struct diags;
struct house;
struct line;
struct stock;
struct stock_flow;

/*
 * Judges a make, a rehandle or a finish line; others are let pass. Without a house (NULL) the sizes are those
 * of the Laws of Cricket, Law 5 and Appendix B, as the house file's defaults have them.
 */
void bats_line(struct diags *d, const struct house *house, const struct line *l);

/* Judges a handle that goes into a bat: its type is for blades of that type. */
void bats_flow(struct diags *d, const struct house *house, const struct stock *s, const struct stock_flow *flow);

#endif
