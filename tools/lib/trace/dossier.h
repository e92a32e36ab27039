/*
 * dossier.h - what a buyer of timber is commonly asked to keep of each tree and lot that came in, and what the
 * book lacks of it.
 *
 * Which wood, which facts and for how long is a matter of local law; the list here is common practice.
 */
#ifndef WITHY_DOSSIER_H
#define WITHY_DOSSIER_H

#include <stdint.h>

struct table;
struct trace;

/* A row for each source of the trace's subject; of all that came in between two days. Initializes the table. */
void dossier_view(const struct trace *t, struct table *table);
void dossier_view_every(const struct trace *t, int32_t from, int32_t to, struct table *table);

#endif
