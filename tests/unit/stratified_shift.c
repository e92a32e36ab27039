/* Scores in two periods: by hand, and strata that say nothing; R is asked in tests/outside/grade_shift.c. */
#include "math/stratified_shift.h"

#include <math.h>

#include "check.h"

int main(void)
{
	/* two strata with shifts of 1 and 0, weighted 10 * 10 / 20 and 10 * 30 / 40; a third is in one period only */
	static const struct stratified_lot LOT[] = { { 1, false, 10, 10, 20 }, { 1, true, 10, 20, 50 }, { 2, false, 10, 30, 100 }, { 2, true, 30, 90, 300 },
		{ 3, true, 50, 0, 0 } };
	struct stratified_shift s = stratified_shift_of(LOT, 5);

	CHECK(s.strata == 2 && s.before == 20 && s.after == 40 && !s.known && s.design == 1);
	CHECK_NEAR(s.shift, 5.0 / 12.5, 1e-12);
	/* 5 / sqrt(5 / 19 * (70 - 900 / 20) + 7.5 / 39 * (400 - 14400 / 40)) */
	CHECK_NEAR(s.z, 5 / sqrt(5.0 / 19 * 25 + 7.5 / 39 * 40), 1e-12);
	CHECK(s.low < s.shift && s.shift < s.high);
	s = stratified_shift_of(LOT + 4, 1);
	CHECK(isnan(s.p) && isnan(s.shift) && s.strata == 0);
	s = stratified_shift_of(LOT, 0);
	CHECK(isnan(s.p) && s.design == 1);
	/* one piece in each period, and scores that are all alike */
	s = stratified_shift_of((const struct stratified_lot[]){ { 0, false, 1, 2, 4 }, { 0, true, 1, 2, 4 } }, 2);
	CHECK(isnan(s.p));
	return check_end();
}
