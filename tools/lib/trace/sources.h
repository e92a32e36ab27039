/*
 * sources.h - the trees and lots that pieces came into the book as, with what was said of each.
 */
#ifndef WITHY_SOURCES_H
#define WITHY_SOURCES_H

#include <stddef.h>
#include <stdint.h>

struct lineage;
struct stated_source;
struct trace;

/* Ids are 0 for none. */
struct source {
	uint32_t tree, lot;
	int32_t form;              /* FORM_... */
	double share;
	int64_t n;                 /* pieces that came in on these lines, culled ones too */
	int32_t first, last;       /* days on which they came in */
	const struct stated_source *stated; /* of the tree, or else of the lot; NULL where no line says */
};

struct sources {
	struct source *row;        /* by form, the greatest share first, then by names */
	size_t n, cap;
};

/* Of a way back (lineage.h), added to those there. */
void sources_add(struct sources *s, const struct trace *t, const struct lineage *way);

/* Of everything that came in between two days, culled pieces too; shares are 1. */
void sources_add_all(struct sources *s, const struct trace *t, int32_t from, int32_t to);

void sources_sort(struct sources *s, const struct trace *t);
void sources_release(struct sources *s);

#endif
