/*
 * past_air.h - how the kilns were led in earlier charges: what lead.h follows.
 *
 * The air of each is put against its mean moisture. Whether days or moisture foretell one charge's air from
 * another's decides by which of them it is followed. How far a charge's air goes off that of all others, by its age,
 * is what is usual.
 */
#ifndef WITHY_PAST_AIR_H
#define WITHY_PAST_AIR_H

#include <stddef.h>

struct dry_charge;
struct dry_fit;
struct dry_prior;

/* Fills in what a prior knows of the air of the charges that it was learned from, of which each has its fit as of its last day. */
void past_air_learn(struct dry_prior *prior, const struct dry_charge *const *past, const struct dry_fit *const *fit, size_t n);

#endif
