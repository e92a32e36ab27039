/*
 * money.h - amounts of money in whole minor units (cents): parts and conversions that lose none.
 *
 * An amount is an int64 of minor units of a currency; value.h reads it. A part is rounded once, half to
 * even, and the rest of the amount is what is left, so that both together are the amount. Dividing an
 * amount among several is apportion() (stats.h), by the largest remainder. An amount below 0, such as what
 * a supplier gave back, is divided like its opposite.
 */
#ifndef WITHY_MONEY_H
#define WITHY_MONEY_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "base/int128.h"
#include "math/stats.h"

/* The part of `n` of `all` equal pieces that the amount is of; 0 <= n <= all, all above 0. */
int64_t money_part(int64_t amount, int64_t n, int64_t all);

/* The parts of several amounts go over into others; returns their sum. */
int64_t money_pass(int64_t *from, int64_t *to, size_t amounts, int64_t n, int64_t all);

/*
 * Converts an amount of a currency with `places` decimals into one with `own_places`, at a rate in 1e-8
 * (value.h): half to even. False where the result is beyond 10^18.
 */
bool money_convert(int64_t amount, int places, int64_t rate, int own_places, int64_t *out);

/* Divides an amount by weights of any size, as apportion() does; weights of 0 all: equally. n is above 0. */
void money_share(int64_t amount, const int128 *weight, size_t n, int64_t *share);

/* The same with memory of the caller's, all zero at first, for one that divides many amounts. */
struct money_room {
	int64_t *small;
	size_t cap;
	struct apportion_room claims;
};

void money_share_in(struct money_room *room, int64_t amount, const int128 *weight, size_t n, int64_t *share);

/* The same by weights from 0 to MONEY_SMALL. */
#define MONEY_SMALL (INT64_MAX / 4)
void money_share_small(struct money_room *room, int64_t amount, const int64_t *weight, size_t n, int64_t *share);

/* The same for who knows that all weigh `sum`. */
void money_share_by(struct money_room *room, int64_t amount, int128 sum, const int64_t *weight, size_t n, int64_t *share);

void money_room_release(struct money_room *room);

#endif
