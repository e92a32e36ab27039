/*
 * moist_ids.h - each text once, in little room: a text becomes a small number, the same text the
 * same number.
 *
 * As intern.h, for answers over books of any length: a text takes its bytes and about ten more
 * (intern.h's take about seventy, and are found faster). Numbers count from 1 in the order of first
 * meeting, so nothing that is printed may be ordered by them; 0 is "none" and has the empty text.
 * A slice that moist_ids_text() gave stays valid as long as the table, for texts do not move. The
 * bytes may be any, so that a struct without gaps can be kept as one.
 *
 * Needs text.h before it.
 */
#ifndef WITHY_MOIST_IDS_H
#define WITHY_MOIST_IDS_H

struct moist_ids {
	char **room;           /* texts, each behind its length; one never stands in two rooms */
	size_t nrooms, rooms_cap;
	size_t room_n, room_cap; /* of the last room */
	uint32_t *at;          /* by number: which room, and where in it */
	uint32_t n;            /* how many, number 0 included */
	size_t cap;
	uint32_t *slot;        /* numbers, open-addressed; 0: free */
	size_t slots;          /* a power of two */
};

void moist_ids_init(struct moist_ids *t);
void moist_ids_release(struct moist_ids *t);

/* The number of `s`, given to it now if it has none; 0 for an empty one. */
uint32_t moist_ids_id(struct moist_ids *t, struct slice s);

/* Its number, or 0 when it was never met. */
uint32_t moist_ids_find(const struct moist_ids *t, struct slice s);

struct slice moist_ids_text(const struct moist_ids *t, uint32_t id);

#endif
