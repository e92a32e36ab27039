/* The first row with a number or more: before all, between, equal ones, after all, of none. */
#include "base/sorted.h"

#include "check.h"

struct row {
	char name;
	uint32_t number;
};

int main(void)
{
	static const struct row ROW[] = { { 'a', 2 }, { 'b', 5 }, { 'c', 5 }, { 'd', 9 }, { 'e', UINT32_MAX } };
	static const struct {
		uint32_t number;
		size_t want;
	} CASES[] = { { 0, 0 }, { 2, 0 }, { 3, 1 }, { 5, 1 }, { 6, 3 }, { 9, 3 }, { 10, 4 }, { UINT32_MAX, 4 } };

	for (size_t i = 0; i < sizeof CASES / sizeof *CASES; i++) {
		CHECK_CASE(i);
		CHECK_INT(SORTED_FROM(ROW, 5, struct row, number, CASES[i].number), CASES[i].want);
	}
	CHECK_INT(SORTED_FROM(ROW, 4, struct row, number, UINT32_MAX), 4);
	CHECK_INT(SORTED_FROM((const struct row *)NULL, 0, struct row, number, 1), 0);
	return check_end();
}
