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

/* Slots: the ids of the book; the values of a field; the events; the fields of an event, by its id. */
enum { ID_LIST_IDS = 0, ID_LIST_VALUES = 1, ID_LIST_EVENTS = 1000, ID_LIST_FIELDS = 2000 };

struct id_row {
	uint32_t name;
	uint16_t slot;            /* what it is the word of: an ID_LIST_... slot */
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

/* How many lines have the word in a slot. */
int32_t id_list_lines(const struct id_list *t, struct slice word, unsigned slot);

/* The SUBJECT_... bits of what the lines bring it in as. */
unsigned id_list_kinds(const struct id_row *row);

#endif
