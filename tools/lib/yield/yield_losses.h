/*
 * yield_losses.h - the pieces that were lost, by row of yield_rows.h and by cause, ranked by pieces or by money.
 */
#ifndef WITHY_YIELD_LOSSES_H
#define WITHY_YIELD_LOSSES_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "base/text.h"
#include "yield/loss_log.h"

struct yield_rows;

struct yield_loss {
	size_t row;
	struct slice cause;
	int64_t n, money;
};

/*
 * Each row's causes, those with the most pieces first, or with the most money (`by_money` of the ask). Without a log there is no
 * money. The caller frees it.
 */
struct yield_loss *yield_losses_of(const struct yield_rows *y, const struct loss_log *log, size_t *n);

/* The one of all keys' single steps with the most pieces, or with the most money; NULL: none. */
const struct yield_loss *yield_losses_most(const struct yield_rows *y, const struct yield_loss *loss, size_t n, bool by_money);

#endif
