/*
 * Numbers of sorts of pieces: against a list that is gone through, with sorts that differ in one word alone.
 */
#include "stock/kind_ids.h"
#include "check.h"

enum { KINDS = 4000 };

static struct stock_kind made[KINDS];

/* Few values of each word, so that sorts come again. */
static struct stock_kind make_kind(uint32_t i)
{
	uint64_t word = hash_mix(i % 1500);
	uint32_t low = (uint32_t)word, high = (uint32_t)(word >> 32);

	return (struct stock_kind){ .lot = low % 9, .place = low >> 8 & 3, .type = low >> 16 & 1, .grade = low >> 24 & 3,
		.class = high & 1, .party = high >> 8 & 1, .form = (int32_t)(high >> 16 & 1) };
}

static uint32_t number_by_list(const struct stock_kind *kind, uint32_t n)
{
	for (uint32_t i = 0; i < n; i++)
		if (memcmp(&made[i], kind, sizeof *kind) == 0)
			return i + 1;
	return 0;
}

static void check_numbers(void)
{
	struct kind_ids ids;
	uint32_t n = 0;

	kind_ids_init(&ids);
	for (uint32_t i = 0; i < KINDS; i++) {
		struct stock_kind kind = make_kind(i);
		uint32_t want = number_by_list(&kind, n);

		CHECK_CASE(i);
		CHECK_INT(kind_ids_find(&ids, &kind), want);
		if (!want)
			made[n++] = kind;
		CHECK_INT(kind_ids_id(&ids, &kind), want ? want : n);
		CHECK(memcmp(&ids.kind[kind_ids_find(&ids, &kind)], &kind, sizeof kind) == 0);
	}
	CHECK_CASE(-1);
	CHECK_INT(ids.n, n + 1);
	CHECK(n > 500);
	kind_ids_release(&ids);
}

/* Number 0 is of no form, and is never found. */
static void check_none(void)
{
	struct stock_kind none = { .form = -1 };
	struct kind_ids ids;

	kind_ids_init(&ids);
	CHECK_INT(kind_ids_find(&ids, &none), 0);
	CHECK_INT(ids.kind[0].form, -1);
	CHECK_INT(kind_ids_id(&ids, &none), 1);
	kind_ids_release(&ids);
}

/* A number that was taken back is that of the next new sort, and the others keep theirs. */
static void check_forgotten(void)
{
	struct stock_kind a = { .lot = 1 }, b = { .lot = 2 }, c = { .lot = 3 }, d = { .lot = 4 };
	struct kind_ids ids;

	kind_ids_init(&ids);
	CHECK_INT(kind_ids_id(&ids, &a), 1);
	CHECK_INT(kind_ids_id(&ids, &b), 2);
	kind_ids_forget(&ids, 2);
	kind_ids_forget(&ids, 1);
	CHECK_INT(kind_ids_find(&ids, &a), 0);
	CHECK_INT(kind_ids_find(&ids, &b), 0);
	CHECK_INT(kind_ids_id(&ids, &c), 1);
	CHECK_INT(kind_ids_id(&ids, &b), 2);
	CHECK_INT(kind_ids_id(&ids, &d), 3);
	CHECK_INT(kind_ids_find(&ids, &c), 1);
	CHECK_INT(ids.n, 4);
	kind_ids_release(&ids);
}

int main(void)
{
	check_numbers();
	check_none();
	check_forgotten();
	return check_end();
}
