/* Heaps of lots, each lot left out in turn: the same as spread.h finds of the others directly. */
#include "math/lots_alike.h"

#include "math/dice.h"
#include "check.h"

enum { HEAPS = 60, LOTS_MOST = 40 };

struct heap {
	int64_t k[LOTS_MOST], n[LOTS_MOST];
	size_t lots;
};

/* Lots of up to `size` pieces, whose shares lie `apart`. */
static struct heap random_heap(struct dice *dice, int64_t size, double apart)
{
	struct heap h = { .lots = 1 + (size_t)(dice_share(dice) * LOTS_MOST) };

	for (size_t i = 0; i < h.lots; i++) {
		double share = 0.3 + apart * (dice_share(dice) - 0.5);

		h.n[i] = 1 + (int64_t)(dice_share(dice) * (double)size);
		h.k[i] = 0;
		for (int64_t j = 0; j < h.n[i]; j++)
			h.k[i] += dice_share(dice) < share;
	}
	return h;
}

/* Whether the heap without lot `out` comes to what spread.h finds of the other lots. */
static void compare(const struct heap *h, const struct lots_alike *a, size_t out)
{
	struct spread_found found = lots_alike_find(a);
	struct spread s = { 0 };

	for (size_t i = 0; i < h->lots; i++)
		if (i != out)
			spread_add(&s, 0, (uint32_t)i, h->k[i], h->n[i]);
	spread_end(&s, 1, true);
	CHECK_NEAR(found.correlation, s.rows.correlation, 1e-12);
	CHECK_NEAR(lots_alike_design(a, s.rows.correlation), s.design[0], 1e-9);
	CHECK(found.known == s.rows.known);
	CHECK_NEAR(found.df, s.rows.df, 0);
	spread_release(&s);
}

static void leave_each_out(const struct heap *h)
{
	struct lots_alike a = { .n = 0 };

	for (size_t i = 0; i < h->lots; i++)
		lots_alike_put(&a, h->k[i], h->n[i]);
	compare(h, &a, h->lots);
	for (size_t i = 0; i < h->lots; i++) {
		lots_alike_take(&a, h->k[i], h->n[i]);
		compare(h, &a, i);
		lots_alike_put(&a, h->k[i], h->n[i]);
	}
	lots_alike_release(&a);
}

static void random_heaps(void)
{
	static const double apart[] = { 0, 0.2, 0.6 };
	static const int64_t size[] = { 3, 30, 400 };
	struct dice dice = { .state = 7 };

	for (int i = 0; i < HEAPS; i++) {
		struct heap h = random_heap(&dice, size[i % 3], apart[i / 3 % 3]);

		CHECK_CASE(i);
		leave_each_out(&h);
	}
	CHECK_CASE(-1);
}

/* Lots of one kind of piece only; all alike; as unlike as can be; lots of one piece; and nothing. */
static void odd_heaps(void)
{
	static const struct heap heaps[] = {
		{ { 0 }, { 5, 9, 9, 12, 7, 3 }, 6 }, { { 5, 9, 9, 12, 7, 3 }, { 5, 9, 9, 12, 7, 3 }, 6 },
		{ { 5, 0, 9, 0, 7, 0 }, { 5, 9, 9, 12, 7, 3 }, 6 }, { { 3, 6, 9, 12, 6, 3 }, { 5, 10, 15, 20, 10, 5 }, 6 },
		{ { 1, 0, 1, 0, 1, 1, 1 }, { 1, 1, 1, 1, 1, 1, 1 }, 7 }, { { 1, 2 }, { 4, 4 }, 2 }, { .lots = 0 },
		{ { 70000000, 1, 2, 3, 60000000, 9 }, { 90000000, 8, 8, 8, 90000000, 9 }, 6 },
	};

	for (size_t i = 0; i < sizeof heaps / sizeof *heaps; i++) {
		CHECK_CASE(i);
		leave_each_out(&heaps[i]);
	}
	CHECK_CASE(-1);
}

int main(void)
{
	random_heaps();
	odd_heaps();
	return check_end();
}
