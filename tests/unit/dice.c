/* Draws: the published generator, the same again, and the moments of a normal one. */
#include <math.h>

#include "math/dice.h"
#include "check.h"

/* The first outputs of splitmix64 for the seed 1234567, known from many ports of it (from memory); the share is its upper 53 bits. */
static void shares(void)
{
	static const uint64_t want[] = { UINT64_C(6457827717110365317), UINT64_C(3203168211198807973), UINT64_C(9817491932198370423) };
	struct dice dice = { .state = 1234567 };

	for (int i = 0; i < 3; i++) {
		CHECK_CASE(i);
		CHECK_NEAR(dice_share(&dice), ((double)(want[i] >> 11) + 0.5) / 9007199254740992.0, 0);
	}
	CHECK_CASE(-1);
}

static void normals(void)
{
	enum { N = 100000 };
	struct dice dice = { .state = 7 }, again = { .state = 7 };
	double sum = 0, squares = 0;

	for (int i = 0; i < N; i++) {
		double x = dice_normal(&dice);

		sum += x;
		squares += x * x;
	}
	CHECK_NEAR(sum / N, 0, 4 / sqrt(N)); /* four standard errors */
	CHECK_NEAR(squares / N, 1, 4 * sqrt(2.0 / N));
	for (int i = 0; i < N; i++)
		dice_normal(&again);
	CHECK(dice.state == again.state && dice.has_spare == again.has_spare);
}

int main(void)
{
	shares();
	normals();
	return check_end();
}
