/*
 * due.h - the list of what needs a decision or a hand: one item for each matter.
 *
 * The modules due_*.h add items, each from the answers of another room; none judges what that room judges.
 * An item has a day: that on which it falls due, on which it may begin, or, for what is wrong already, the
 * day of the answer. Texts of items belong to the list and hold until it is released.
 */
#ifndef WITHY_DUE_H
#define WITHY_DUE_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "base/intern.h"
#include "house/house.h"

/* In the order in which the month's page shows them. */
enum due_kind {
	DUE_CHARGE, DUE_PROBE, DUE_KILN, DUE_ORDER, DUE_ROOM, DUE_WOOD, DUE_HANDLE, DUE_STOCK, DUE_COUNT, DUE_INSTRUMENT, DUE_BOOK, DUE_KINDS
};

/* The words for them; NULL at the end. */
extern const char *const due_kind_words[];

/* Whom an item is for: the list of a day, the page of a month, or both. */
enum { DUE_OF_DAY = 1, DUE_OF_MONTH = 2 };

/* A line of the book; number 0: none. */
struct due_line {
	int32_t day, second;       /* second: -1 for a line without a time */
	uint32_t file;
	uint64_t number;
};

struct due_item {
	enum due_kind kind;
	int32_t day, last;         /* last: the end of the days that it may be, INT32_MAX where that is open */
	bool overdue;
	bool ahead;                /* it is shown however far off its day is */
	unsigned of;               /* DUE_OF_... */
	struct slice sign;         /* which finding of its kind */
	struct slice subject, place, party; /* empty where there is none */
	struct slice action;       /* what to do */
	struct slice reason;       /* why */
	struct slice fill;         /* of an order: what would fill it */
	const struct house_words *who; /* who looks after it, or NULL */
	struct due_line line;
	size_t at;                 /* how many were added before */
};

struct due_days {
	int32_t from, today, until; /* readings from the first to the second day are judged; items to the last are shown */
};

struct due {
	const struct house *house; /* or NULL */
	struct due_days days;
	struct due_item *item;
	size_t n, cap;
	struct intern texts;
	struct buf text;           /* of the reason in hand */
};

void due_init(struct due *d, const struct house *house, struct due_days days);
void due_release(struct due *d);

/*
 * Adds an item of today, and of both lists; the caller sets what differs. Valid until the next one. The text
 * in d->text becomes its reason and is emptied.
 */
struct due_item *due_add(struct due *d, enum due_kind kind, const char *sign, struct slice subject, const char *action);

/* A text that belongs to the list. */
struct slice due_text(struct due *d, struct slice text);

/* The people who look after a place; NULL where the house names none. */
const struct house_words *due_care_of(const struct house *house, struct slice place);

/* Whether an item is within the days that are asked for. */
bool due_is_shown(const struct due *d, const struct due_item *item);

/*
 * Leaves the items of the day's list, in its order: by their days, kinds and subjects. With `who` only
 * those that this person looks after; returns how many others nobody looks after.
 */
size_t due_close(struct due *d, struct slice who);

/* Why an item is where it is in the list. */
enum due_urgency { DUE_OVERDUE, DUE_TODAY, DUE_SOON, DUE_LATER, DUE_URGENCIES };

extern const char *const due_urgency_words[];

enum due_urgency due_urgency(const struct due *d, const struct due_item *item);

/* What must be said to whoever goes to a kiln, or machines wood that was in one. */
extern const char *const due_kiln_caution;

#endif
