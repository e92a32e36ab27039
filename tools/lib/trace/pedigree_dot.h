/*
 * pedigree_dot.h - the pedigree of a trace's subject as a drawing, in the Graphviz language (graphviz.org).
 *
 * Solid edges go from what something is made of to what was made of it; dashed ones from a lot to the charge
 * that dried it. A share is on an edge where it is not all. A box beside a tie has who else is of it.
 */
#ifndef WITHY_PEDIGREE_DOT_H
#define WITHY_PEDIGREE_DOT_H

struct buf;
struct ties;
struct trace;

void pedigree_dot_write(const struct trace *t, const struct ties *ties, struct buf *out);

#endif
