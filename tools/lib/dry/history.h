/*
 * history.h - what the charges that had ended by an instant taught (prior.h).
 *
 * Learning takes time, and many questions are about the same instant: each prior is learned once.
 */
#ifndef WITHY_HISTORY_H
#define WITHY_HISTORY_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

struct charges;
struct dry_case;
struct dry_prior;

struct history {
	const struct charges *charges;
	const struct dry_case **ended; /* those that teach, by when they ended */
	size_t n;
	struct dry_prior **prior;      /* by how many had ended: n + 1; NULL where it was not asked for */
};

/* Of settled charges, which have to last. */
void history_init(struct history *h, const struct charges *charges);
void history_release(struct history *h);

/* Whether a charge can teach: it was read and is over. */
bool history_teaches(const struct dry_case *c);

/*
 * What the last 24 charges taught that had ended before an instant; it is the history's. Several threads may ask, but only
 * one about as many ended charges until they are learned from.
 */
const struct dry_prior *history_prior_at(struct history *h, int64_t now_s);

#endif
