/*
 * moist_ask.h - what is asked of the moisture of wood: by which keys, and how it is judged.
 */
#ifndef WITHY_MOIST_ASK_H
#define WITHY_MOIST_ASK_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "base/text.h"

struct house;

enum { MOIST_BY_PLACE, MOIST_BY_CHARGE, MOIST_BY_LOT, MOIST_BY_PART, MOIST_BY_MONTH, MOIST_BY_DAY, MOIST_BYS };

/* The words for them; NULL at the end. */
extern const char *const moist_by_words[];

struct moist_ask {
	const struct house *house;    /* or NULL */
	const size_t *by;             /* MOIST_BY_..., each once, month or day and not both */
	size_t nby;
	bool all;                     /* every reading counts alike */
	bool by_depth, by_form;       /* each depth, each form for itself */
	int32_t from, to;             /* days that count; INT32_MIN and INT32_MAX: all */
	int64_t target;               /* asked for, 0.0001 %, or HOUSE_NONE */
	double cover, sure;           /* proportion and confidence, of the views that need them */
};

enum moist_share_fault {
	MOIST_SHARE_OK,
	MOIST_SHARE_MALFORMED,  /* not a proportion such as 90% */
	MOIST_SHARE_END         /* 0 or 1: no sample can show that */
};

/* Reads a proportion or confidence, as a fraction of 1; untouched on a fault. */
enum moist_share_fault moist_ask_share(struct slice text, double *share);

/* Takes one of the house file, in 0.0001 %, if it has one. */
void moist_ask_house_share(int64_t given, double *share);

/* Reads the target that was asked for; false when it is not a moisture above 0. */
bool moist_ask_target(struct moist_ask *ask, struct slice text);

/* Writes what must be alike in two states for their readings to be of one kind: the clock and the meters' rules. */
void moist_ask_settings(const struct house *house, struct buf *out);

#endif
