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

/* The two-sided critical values of Student's t, three degrees of freedom: NIST/SEMATECH e-Handbook of Statistical Methods, table 1.3.6.7.2. */
static void student(void)
{
	enum { N = 100000, POINTS = 5 };
	static const double within[POINTS] = { 0.80, 0.90, 0.95, 0.98, 0.99 }, point[POINTS] = { 1.638, 2.353, 3.182, 4.541, 5.841 };
	struct dice dice = { .state = 11 };
	int n[POINTS] = { 0 }, above = 0;

	for (int i = 0; i < N; i++) {
		double t = dice_t3(&dice);

		above += t > 0;
		for (int k = 0; k < POINTS; k++)
			n[k] += fabs(t) < point[k];
	}
	for (int k = 0; k < POINTS; k++) {
		CHECK_CASE(k);
		CHECK_NEAR((double)n[k] / N, within[k], 4 * sqrt(within[k] * (1 - within[k]) / N));
	}
	CHECK_CASE(-1);
	CHECK_NEAR((double)above / N, 0.5, 4 * sqrt(0.25 / N));
}

/* Dice of neighbouring numbers and seeds have nothing to do with each other: the mean product of their first draws is 0. */
static void of_many(void)
{
	enum { N = 100000 };
	double by_number = 0, by_seed = 0;
	struct dice one = dice_of(5, 6), again = dice_of(5, 6);

	CHECK(one.state == again.state && !one.has_spare);
	for (uint64_t i = 0; i < N; i++) {
		struct dice a = dice_of(3, i), b = dice_of(3, i + 1), c = dice_of(4, i);
		double x = dice_normal(&a);

		by_number += x * dice_normal(&b);
		by_seed += x * dice_normal(&c);
	}
	CHECK_NEAR(by_number / N, 0, 4 / sqrt(N));
	CHECK_NEAR(by_seed / N, 0, 4 / sqrt(N));
}

/* Of 100,000 draws each index comes as often as its weight asks; one that weighs nothing never does. */
static void indexes(void)
{
	enum { N = 100000 };
	static const double weight[] = { 1, 0, 3, 6 };
	struct dice dice = { .state = 9 };
	int n[4] = { 0 };

	for (int i = 0; i < N; i++)
		n[dice_index(&dice, weight, 4, 10)]++;
	for (int i = 0; i < 4; i++) {
		CHECK_CASE(i);
		CHECK_NEAR((double)n[i] / N, weight[i] / 10, 4 * sqrt(0.25 / N));
	}
	CHECK_CASE(-1);
	CHECK(n[1] == 0);
}

int main(void)
{
	indexes();
	shares();
	normals();
	student();
	of_many();
	return check_end();
}
