/*
 * return_rates.h - how many bats came back, of how many and in what time, by one thing that is known of them.
 */
#ifndef WITHY_RETURN_RATES_H
#define WITHY_RETURN_RATES_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "math/event_rate.h"
#include "math/sampling.h"
#include "math/trend.h"
#include "returns/bat_lives.h"

struct house;

enum return_by { RETURN_BY_CAUSE, RETURN_BY_HANDLE, RETURN_BY_CHARGE, RETURN_BY_LOT, RETURN_BY_PARCEL, RETURN_BY_SUPPLIER, RETURN_BY_TYPE,
	RETURN_BY_GRADE, RETURN_BY_SEASON, RETURN_BY_MONTH, RETURN_BY_CUSTOMER, RETURN_BY_DRIEST, RETURN_BY_STORED, RETURN_BYS };

extern const char *const return_by_words[]; /* ended by NULL */

struct return_ask {
	const struct house *house; /* or NULL */
	const char *cause;         /* only returns for this cause count; NULL: for any */
	int32_t from, to;          /* only bats sold on these days; INT32_MIN and INT32_MAX: all */
	double fdr;                /* the rate of false discoveries to accept */
	enum life_word without_kind; /* bats with the word `without` there do not count, */
	uint32_t without;          /* unless it is 0 */
};

/* Of one row, or of all. */
struct return_count {
	int64_t bats, back;        /* lives, and those that ended in a return */
	double months;             /* that all were with customers */
};

struct return_row {
	struct slice key;
	double score;              /* of an ordered key */
	struct return_count count;
	struct event_rate rate;    /* in a bat-month */
	struct sampling_interval share;
	double p, least_p;         /* against all others, and the least that it could be; NAN for fewer than RETURN_LEAST bats, and by cause */
	double adjusted;           /* NAN where no difference could show (false_discovery.h) */
};

enum { RETURN_LEAST = 5 };

struct return_rates {
	enum return_by by;
	struct return_row *row;    /* of ordered keys in their order, else most returns first */
	size_t n, cap;
	size_t *row_of, rows_of;   /* by word of the lives, before they are sorted: the row + 1 */
	struct return_count all;
	size_t comparisons, left_out; /* that were made; that could not have shown a difference */
	bool ordered;
	struct trend trend;        /* of an ordered key, by its scores */
};

/* Where a life has the word of a key; 0 for keys that are no words. */
extern const enum life_word return_word_of[RETURN_BYS];

/* Whether a life counts, and whether it counts as a return. */
bool return_counts(const struct return_ask *ask, const struct bat_life *life);
bool return_is_back(const struct return_ask *ask, const struct bat_lives *lives, const struct bat_life *life);

/*
 * Adjusts n comparisons by p and the least that each could be: adjusted is NAN where it is left out (false_discovery.h).
 * Returns how many are kept. `adjusted` may be `p`.
 */
size_t return_adjust(const double *p, const double *least_p, size_t n, double fdr, double *adjusted);

/* Keys of classes are added to the words of the lives. These, and what is asked, must last. */
void return_rates_find(struct return_rates *r, struct bat_lives *lives, const struct return_ask *ask, enum return_by by);
/* The same without rates, shares and a trend: only the counts and how likely chance alone makes rows differ. */
void return_rates_compare(struct return_rates *r, struct bat_lives *lives, const struct return_ask *ask, enum return_by by);
void return_rates_release(struct return_rates *r);

#endif
