/*
 * bats.h - bats, each line by itself: sizes against the Laws, handle and blade alike in moisture.
 *
 * Needs text.h, vocab_words.h, vocab.h, value.h, stamp.h, diag.h, parse.h, house_words.h and house.h
 * before it.
 */
#ifndef WITHY_BATS_H
#define WITHY_BATS_H

/*
 * Judges a make or a finish line; others are let pass. Without a house (NULL) the sizes are those
 * of the Laws of Cricket, Law 5 and Appendix B, as the house file's defaults have them.
 */
void bats_line(struct diags *d, const struct house *house, const struct line *l);

#endif
