/* Warnings: none of a sound charge, and each of the fault that it is for. */
#include "dry/prior.h"
#include "dry/rate.h"
#include "dry/warnings.h"
#include "charge_made.h"
#include "check.h"

static bool is_warned(const struct dry_charge *charge, const struct dry_prior *prior, double now, enum dry_sign sign, size_t of)
{
	static const struct dry_rate_limit most = { -INFINITY, INFINITY, true, 1.5 };
	const struct dry_limits limits = { 9, &most, 1, 3 };
	struct dry_warning warning[32];
	struct dry_fit fit;
	bool found = false;
	size_t n;

	dry_fit(charge, prior, now, &fit);
	n = dry_warn(charge, prior, &fit, &plain, &limits, warning, 32);
	for (size_t i = 0; i < n; i++)
		found = found || (warning[i].sign == sign && warning[i].probe == of);
	dry_fit_release(&fit);
	return found;
}

static void signs(void)
{
	struct dry_charge charge = charge_made(0.12, 3);
	struct dry_prior prior;

	dry_prior_init(&prior);
	for (int sign = 0; sign < DRY_SIGNS; sign++)
		for (size_t p = 0; p < PIECES; p++) {
			CHECK_CASE(sign);
			CHECK(sign == DRY_PARTS || !is_warned(&charge, &prior, 12, (enum dry_sign)sign, p));
		}
	CHECK_CASE(-1);
	CHECK(!is_warned(&charge, &prior, 12, DRY_STALLS, SIZE_MAX));
	CHECK(is_warned(&charge, &prior, 34, DRY_LOST, 0));
	reading[1][11].mc += 5;
	CHECK(is_warned(&charge, &prior, 12, DRY_JUMPS, 1));
	reading[1][11].mc -= 5;
	reading[3][9].mc = 7.5; /* half a point under the band: the scatter of one reading */
	CHECK(!is_warned(&charge, &prior, 29, DRY_UNDER_FLOOR, 3));
	reading[3][9].mc = 7.1;
	CHECK(!is_warned(&charge, &prior, 8, DRY_UNDER_FLOOR, 3));
	CHECK(is_warned(&charge, &prior, 29, DRY_UNDER_FLOOR, 3)); /* for its life */
	charge = charge_made(0.12, 3);
	for (int i = 6; i < 13; i++)
		reading[0][i].mc = reading[0][i].shown = 17.1;
	CHECK(is_warned(&charge, &prior, 12, DRY_STUCK, 0));
	charge = charge_made(0.12, 3);
	for (int p = 0; p < PIECES; p++)
		for (int i = 9; i < DAYS; i++)
			reading[p][i].mc = reading[p][8].mc;
	CHECK(is_warned(&charge, &prior, 12, DRY_STALLS, SIZE_MAX));
	charge = charge_made(0.12, 3);
	reading[2][12].mc = reading[2][11].mc - 4;
	CHECK(is_warned(&charge, &prior, 12, DRY_HURRIES, 2));
	for (int i = 0; i < DAYS; i++)
		reading[3][i].mc -= 0.45 * i;
	CHECK(is_warned(&charge, &prior, 16, DRY_EQUALIZE, 3) && is_warned(&charge, &prior, 16, DRY_UNDER_FLOOR, 3));
	dry_prior_release(&prior);
}

int main(void)
{
	signs();
	return check_end();
}
