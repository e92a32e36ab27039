/* Records come out in order, those that are alike in the order in which they went in: against a sort of all of them at once. */
#include <stdlib.h>
#include <string.h>

#include "base/spill_sort.h"
#include "check.h"

enum { RECORDS = 20000, LONGEST = 90 };

struct record {
	uint32_t key, number;
	unsigned char rest[LONGEST];
};

static int by_key(const void *a, const void *b)
{
	const struct record *x = a, *y = b;

	return (x->key > y->key) - (x->key < y->key);
}

static int by_key_and_number(const void *a, const void *b)
{
	const struct record *x = a, *y = b;

	return by_key(a, b) ? by_key(a, b) : (x->number > y->number) - (x->number < y->number);
}

static size_t length_of(uint32_t number)
{
	return 8 + number * 31u % LONGEST;
}

/* Keys below `keys`; with none, they come in order. */
static void check_sort(size_t n, uint32_t keys, size_t most)
{
	static struct record want[RECORDS];
	struct spill_sort s = { .order = by_key, .most = most };
	const struct record *got;
	uint32_t seed = 5;

	for (uint32_t i = 0; i < n; i++) {
		seed = seed * 1664525u + 1013904223u;
		want[i] = (struct record){ .key = keys ? (seed >> 8) % keys : i, .number = i };
		memset(want[i].rest, (int)(i & 0xff), LONGEST);
		memcpy(spill_sort_add(&s, length_of(i)), &want[i], length_of(i));
	}
	CHECK(!most || s.cap <= 2 * most);
	CHECK((s.nparts > 0) == (most && n * 60 > most));
	qsort(want, n, sizeof *want, by_key_and_number);
	for (size_t i = 0; i < n; i++) {
		CHECK_CASE(i);
		got = spill_sort_next(&s);
		if (!CHECK(got && memcmp(got, &want[i], length_of(want[i].number)) == 0))
			break;
	}
	CHECK(!spill_sort_next(&s));
	spill_sort_release(&s);
}

int main(void)
{
	check_sort(0, 5, 0);
	check_sort(1, 5, 0);
	check_sort(1000, 100000, 0);
	check_sort(1000, 7, 0);
	check_sort(1000, 0, 0);
	check_sort(RECORDS, 1000, 4000);
	check_sort(RECORDS, 1000000, 200000);
	check_sort(RECORDS, 3, 200000);
	check_sort(RECORDS, 0, 100000);
	return check_end();
}
