/*
 * dossier.h - what a buyer of timber is commonly asked to keep of each tree and lot that came in, and what the
 * book lacks of it.
 *
 * Which wood, which facts and for how long is a matter of local law; the list here is common practice.
 */
#ifndef WITHY_DOSSIER_H
#define WITHY_DOSSIER_H

struct sources;
struct table;
struct trace;

/* A row for each source. Initializes the table. */
void dossier_view(const struct trace *t, const struct sources *sources, struct table *table);

#endif
