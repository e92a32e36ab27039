/*
 * id_list.h - which ids and words the book in hand uses, how often, and when last: what completion offers.
 *
 * Lines are added and taken away one by one, so that the list follows an editor. The day of the last use is that of
 * the latest line ever added: it only orders what is offered.
 */
#ifndef WITHY_ID_LIST_H
#define WITHY_ID_LIST_H

#include <stdint.h>

#include "base/intern.h"

struct line;

enum { ID_LIST_KINDS = 6 };   /* tree, lot, charge, bat, order, parcel */

struct id_row {
	uint32_t name;
	uint16_t slot;            /* 0: an id of the book; else a field's id + 1, whose value it is */
	int32_t lines;            /* how many lines name it */
	int32_t starts[ID_LIST_KINDS]; /* how many bring it in, by kind */
	int32_t last_day;
};

struct id_list {
	struct intern names;
	struct id_row *row;
	size_t n, cap;
	struct hash_index index;
};

void id_list_init(struct id_list *t);
void id_list_release(struct id_list *t);

/* Adds (1) or takes away (-1) what a line names. */
void id_list_count(struct id_list *t, const struct line *l, int by);

/* The row of an id of the book, or NULL; one that no line names any more is none. */
const struct id_row *id_list_find(const struct id_list *t, struct slice id);

/* The SUBJECT_... bits of what the lines bring it in as. */
unsigned id_list_kinds(const struct id_row *row);

#endif
