/*
 * reckon_internal.h - the functions that answer in a way, for the table of reckon.c.
 */
#ifndef WITHY_RECKON_INTERNAL_H
#define WITHY_RECKON_INTERNAL_H

#include <stdbool.h>

#include "book/value.h"
#include "math/stats.h"
#include "wood/reckoned.h"

struct reckon_house;
struct reckon_input;
struct reckoned;

#define RECKON_FUNCTION(name) \
	bool name(struct reckoned *r, const struct reckon_input *in, const struct reckon_house *house)

/* reckon_air.c */
RECKON_FUNCTION(reckon_emc_of_rh);
RECKON_FUNCTION(reckon_emc_of_wet);
RECKON_FUNCTION(reckon_rh_of_wet);
RECKON_FUNCTION(reckon_rh_of_emc);
RECKON_FUNCTION(reckon_dew_of_rh);
RECKON_FUNCTION(reckon_dew_of_wet);
RECKON_FUNCTION(reckon_wet_of_rh);
RECKON_FUNCTION(reckon_depression);
RECKON_FUNCTION(reckon_equalize);

/* reckon_wood.c */
RECKON_FUNCTION(reckon_mc_of_masses);
RECKON_FUNCTION(reckon_mc_of_wet_basis);
RECKON_FUNCTION(reckon_wet_basis_of_mc);
RECKON_FUNCTION(reckon_oven_dry_of_mc);
RECKON_FUNCTION(reckon_mass_at_mc);
RECKON_FUNCTION(reckon_correct_by_rule);
RECKON_FUNCTION(reckon_correct_by_meter);
RECKON_FUNCTION(reckon_movement);
RECKON_FUNCTION(reckon_movement_of_shrinkage);
RECKON_FUNCTION(reckon_movement_of_house);
RECKON_FUNCTION(reckon_splice);
RECKON_FUNCTION(reckon_splice_of_house);
RECKON_FUNCTION(reckon_drying);
RECKON_FUNCTION(reckon_drying_of_readings);

/* reckon_sampling.c */
RECKON_FUNCTION(reckon_tolerance);
RECKON_FUNCTION(reckon_tolerance_limits);
RECKON_FUNCTION(reckon_tolerance_share);
RECKON_FUNCTION(reckon_sample);
RECKON_FUNCTION(reckon_sample_of_lot);
RECKON_FUNCTION(reckon_share);
RECKON_FUNCTION(reckon_share_of_lot);

/* reckon_units.c */
RECKON_FUNCTION(reckon_convert);

#endif
