/*
 * learn.h - learns from charges that are over what the next one may be like.
 *
 * Each round fits every charge under the current beliefs (model.h). Then it moves the beliefs towards
 * the results of the fits. There are a few rounds.
 */
#ifndef WITHY_LEARN_H
#define WITHY_LEARN_H

#include <stddef.h>

struct dry_charge;
struct dry_prior;

/* Learns from `n` charges that are over: all that was read of them. Order does not matter. */
void dry_learn(struct dry_prior *prior, const struct dry_charge *const *past, size_t n);

#endif
