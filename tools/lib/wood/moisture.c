#include "wood/moisture.h"

#include <math.h>

double mc_of_masses_pct(double wet_g, double dry_g)
{
	return dry_g > 0 && wet_g >= dry_g ? 100 * (wet_g - dry_g) / dry_g : NAN;
}

double mass_oven_dry_g(double mass_g, double mc_pct)
{
	return mass_at_mc_g(mass_g, mc_pct, 0);
}

double mass_at_mc_g(double mass_g, double from_pct, double to_pct)
{
	if (!(mass_g > 0 && from_pct >= 0 && to_pct >= 0))
		return NAN;
	return mass_g * (100 + to_pct) / (100 + from_pct);
}

double mc_of_wet_basis_pct(double wet_basis_pct)
{
	if (!(wet_basis_pct >= 0 && wet_basis_pct < 100))
		return NAN;
	return 100 * wet_basis_pct / (100 - wet_basis_pct);
}

double wet_basis_of_mc_pct(double mc_pct)
{
	return mc_pct >= 0 ? 100 * mc_pct / (100 + mc_pct) : NAN;
}

double movement_mm(double size_mm, double per_point, double from_pct, double to_pct)
{
	if (!(size_mm > 0 && from_pct >= 0 && to_pct >= 0))
		return NAN;
	return size_mm * per_point * (to_pct - from_pct);
}

bool movement_extrapolates(double from_pct, double to_pct)
{
	return fmin(from_pct, to_pct) < 6 || fmax(from_pct, to_pct) > 14;
}

/* Over the 30 points below the fibre saturation point, on the size at 10 %: a third of the shrinkage on. */
double movement_per_point(double shrinkage_pct)
{
	if (!(shrinkage_pct >= 0 && shrinkage_pct < 100))
		return NAN;
	return shrinkage_pct / 30 / (100 - shrinkage_pct * 20 / 30);
}
