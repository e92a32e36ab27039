/*
 * moisture.h - moisture of a piece of wood: masses and movement.
 *
 * Moisture content is in per cent of the oven-dry mass (dry basis) unless a name says
 * otherwise: u = 100 (m1 - m0) / m0, EN 13183-1. Masses share one unit, whichever it is.
 * A function that has no answer for its arguments (a mass that is not positive, a moisture
 * below 0) returns NAN.
 */
#ifndef WITHY_MOISTURE_H
#define WITHY_MOISTURE_H

#include <stdbool.h>

#include "wood/meter.h"

/* Moisture of a piece that weighs `wet_g`, and `dry_g` oven-dry (wet_g >= dry_g > 0). */
double mc_of_masses_pct(double wet_g, double dry_g);

/* Oven-dry mass of a piece that weighs `mass_g` at `mc_pct`. */
double mass_oven_dry_g(double mass_g, double mc_pct);

/* What a piece that weighs `mass_g` at `from_pct` weighs at `to_pct`. */
double mass_at_mc_g(double mass_g, double from_pct, double to_pct);

/* Between the dry basis and the wet basis (water in per cent of the whole mass, under 100). */
double mc_of_wet_basis_pct(double wet_basis_pct);
double wet_basis_of_mc_pct(double mc_pct);

/*
 * Change of a dimension from one moisture to another: D C (M2 - M1), Wood Handbook chapter
 * 13, with the coefficient for the direction across the grain; below 0 when it shrinks.
 */
double movement_mm(double size_mm, double per_point, double from_pct, double to_pct);

/* The equation is stated for moistures of 6 to 14 %. */
bool movement_extrapolates(double from_pct, double to_pct);

/* That coefficient from the whole shrinkage, green to oven-dry, in per cent (0 <= S < 100). */
double movement_per_point(double shrinkage_pct);

#endif
