/*
 * kappa - the agreement of graders beside R's own figures (kappa.R, on standard input) and beside published examples.
 */
#include <stdbool.h>
#include <stdint.h>

#include "math/kappa.h"
#include "expect.h"

enum { MOST = 600 };

/* ---- published */

/*
 * Fleiss (1971), Psychol. Bull. 76, 378, table 1: thirty patients, six psychiatrists, five diagnoses. He prints 0.430;
 * the further digits are R's.
 */
static void psychiatrists(void)
{
	static const int64_t COUNT[] = {
		0, 0, 0, 6, 0, 0, 3, 0, 0, 3, 0, 1, 4, 0, 1, 0, 0, 0, 0, 6, 0, 3, 0, 3, 0,
		2, 0, 4, 0, 0, 0, 0, 4, 0, 2, 2, 0, 3, 1, 0, 2, 0, 0, 4, 0, 0, 0, 0, 0, 6,
		1, 0, 0, 5, 0, 1, 1, 0, 4, 0, 0, 3, 3, 0, 0, 1, 0, 0, 5, 0, 0, 2, 0, 3, 1,
		0, 0, 5, 0, 1, 3, 0, 0, 1, 2, 5, 1, 0, 0, 0, 0, 2, 0, 4, 0, 1, 0, 2, 0, 3,
		0, 0, 0, 0, 6, 0, 1, 0, 5, 0, 0, 2, 0, 1, 3, 2, 0, 0, 4, 0, 1, 0, 0, 4, 1,
		0, 5, 0, 1, 0, 4, 0, 0, 0, 2, 0, 2, 0, 4, 0, 1, 0, 5, 0, 0, 0, 0, 0, 0, 6,
	};
	struct kappa kappa = kappa_of_many(COUNT, 30, 5);

	expect_near("Fleiss 1971", kappa.value, 0.430, 5e-4);
	expect_near("Fleiss 1971, more digits", kappa.value, 0.4302445201, 5e-11);
	expect_true("its word", strcmp(kappa_word(kappa.value), "moderate") == 0);
}

/*
 * Stuart (1953), Biometrika 40, 105: unaided vision of the right and the left eyes of 7477 women; a standard example of
 * weighted kappa. The values are those of R packages for it, to seven digits.
 */
static void eyes(void)
{
	static const int64_t TABLE[] = { 1520, 266, 124, 66, 234, 1512, 432, 78, 117, 362, 1772, 205, 36, 82, 179, 492 };

	expect_near("vision, plain", kappa_of_two(TABLE, 4, KAPPA_PLAIN).value, 0.5953888, 5e-8);
	expect_near("vision, linear", kappa_of_two(TABLE, 4, KAPPA_LINEAR).value, 0.6523804, 5e-8);
	expect_near("vision, quadratic", kappa_of_two(TABLE, 4, KAPPA_QUADRATIC).value, 0.7023343, 5e-8);
}

/* Cohen (1968), Psychol. Bull. 70, 213: the table of his example, in pieces of 200. He prints 0.492 without weights. */
static void diagnoses(void)
{
	static const int64_t TABLE[] = { 88, 14, 18, 10, 40, 10, 2, 6, 12 };

	expect_near("Cohen 1968, plain", kappa_of_two(TABLE, 3, KAPPA_PLAIN).value, 0.4915254, 5e-8);
	expect_near("Cohen 1968, linear", kappa_of_two(TABLE, 3, KAPPA_LINEAR).value, 0.4736842, 5e-8);
	expect_near("Cohen 1968, quadratic", kappa_of_two(TABLE, 3, KAPPA_QUADRATIC).value, 0.4545455, 5e-8);
}

/* A small table whose large-sample error is known to seven digits, as two programs have it. */
static void small(void)
{
	static const int64_t TABLE[] = { 0, 4, 1, 0, 8, 0, 0, 1, 5 };
	struct kappa kappa = kappa_of_two(TABLE, 3, KAPPA_PLAIN);

	expect_near("small, plain", kappa.value, 0.4841629, 5e-8);
	expect_near("small, its error", kappa.se, 0.1380136, 5e-8);
	/* Fisher's z by hand: atanh(0.4841629) = 0.5284076, its error 0.1380136 / (1 - 0.4841629^2) = 0.1802718 */
	expect_near("small, low", kappa.low, 0.173314, 1e-6);
	expect_near("small, high", kappa.high, 0.707287, 1e-6);
	expect_near("small, linear", kappa_of_two(TABLE, 3, KAPPA_LINEAR).value, 0.4701195, 5e-8);
}

/* ---- by hand */

static void no_answers(void)
{
	static const int64_t NONE[4] = { 0 }, SAME[] = { 3, 0, 0, 4 }, ONE[] = { 7, 0, 0, 0 }, APART[] = { 0, 5, 5, 0 };
	static const int64_t SINGLE[] = { 1, 0, 0, 1 }, FULL[] = { 2, 0, 0, 3, 2, 0 };
	struct kappa same = kappa_of_two(SAME, 2, KAPPA_QUADRATIC), apart = kappa_of_two(APART, 2, KAPPA_PLAIN);

	expect_true("no piece", isnan(kappa_of_two(NONE, 2, KAPPA_PLAIN).value));
	expect_true("one grade", isnan(kappa_of_two(ONE, 2, KAPPA_LINEAR).value) && isnan(kappa_of_two(ONE, 1, KAPPA_LINEAR).value));
	expect_true("all the same", same.value == 1 && isnan(same.low) && isnan(same.high));
	expect_near("all apart", apart.value, -1, 1e-15);
	expect_true("pieces of one grader", isnan(kappa_of_many(SINGLE, 2, 2).value) && isnan(kappa_of_many(SINGLE, 0, 2).value));
	expect_true("several agree", kappa_of_many(FULL, 3, 2).value == 1 && isnan(kappa_of_many(FULL, 3, 2).low));
}

static void words(void)
{
	static const struct {
		double value;
		const char *word;
	} WORDS[] = { { -0.01, "poor" }, { 0, "slight" }, { 0.2, "slight" }, { 0.21, "fair" }, { 0.4, "fair" }, { 0.6, "moderate" },
		{ 0.61, "substantial" }, { 0.8, "substantial" }, { 0.81, "almost perfect" }, { 1, "almost perfect" } };

	for (size_t i = 0; i < sizeof WORDS / sizeof *WORDS; i++)
		expect_true(WORDS[i].word, strcmp(kappa_word(WORDS[i].value), WORDS[i].word) == 0);
}

/* ---- beside R */

static void against(const char *name, const double *number, size_t n)
{
	static int64_t count[MOST];
	size_t k = (size_t)number[0], cells = n - 4;
	struct kappa kappa;

	for (size_t i = 0; i < cells; i++)
		count[i] = (int64_t)number[1 + i];
	if (strcmp(name, "two") == 0)
		kappa = kappa_of_two(count, k, (enum kappa_weights)number[1 + cells]);
	else
		kappa = kappa_of_many(count, (size_t)number[1 + cells], k);
	expect_near(name, kappa.value, number[2 + cells], 1e-12);
	expect_near("its error", kappa.se, number[3 + cells], 1e-7);
}

int main(void)
{
	static char line[20000];
	static double number[MOST];

	psychiatrists();
	eyes();
	diagnoses();
	small();
	no_answers();
	words();
	while (expect_line(stdin, line, sizeof line)) {
		char *at = line, *name = expect_field(&at);
		size_t n = 0;

		while (*at && n < MOST)
			number[n++] = expect_number(&at);
		if (n > 4)
			against(name, number, n);
	}
	return expect_verdict(500);
}
