/*
 * bats.h - bats, each line by itself: sizes against the Laws, handle and blade alike in moisture.
 */
#ifndef WITHY_BATS_H
#define WITHY_BATS_H

struct diags;
struct house;
struct line;

/*
 * Judges a make or a finish line; others are let pass. Without a house (NULL) the sizes are those
 * of the Laws of Cricket, Law 5 and Appendix B, as the house file's defaults have them.
 */
void bats_line(struct diags *d, const struct house *house, const struct line *l);

#endif
