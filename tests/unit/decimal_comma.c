/* commas.c - rows whose comma is separator and decimal mark: in how many ways they can be divided. */
#include <stdio.h>

#include "base/csv.h"
#include "intake/decimal_comma.h"

static int failures;

/* Columns: a time, then as many numbers as `decimals` has rows (-1 not known, 0 none), ended by 9. */
static void divide(const char *row, const int *decimals, int wanted, const char *cells)
{
	struct csv_cell cell[40];
	struct decimal_comma_column column[10] = { { -1, true } };
	struct decimal_comma f = { 0 };
	struct buf got = BUF_INIT;
	struct slice s = slice_of(row);
	size_t n = 0, ncols = 1;
	int ways;

	for (;;) {
		size_t at = slice_find(s, ',');

		n++;
		cell[n - 1] = (struct csv_cell){ slice_upto(s, at), (uint32_t)n, false };
		if (at == s.n)
			break;
		s = slice_from(s, at + 1);
	}
	for (; decimals[ncols - 1] != 9; ncols++)
		column[ncols] = (struct decimal_comma_column){ decimals[ncols - 1], false };
	ways = decimal_comma_row(&f, column, ncols, cell, n);
	for (size_t i = 0; ways == 1 && i < ncols; i++) {
		buf_char(&got, '[');
		buf_add(&got, f.cell[i].text);
		buf_char(&got, ']');
	}
	if (ways != wanted || !slice_eq(buf_slice(&got), slice_of(cells))) {
		failures++;
		printf("failed: %s: %d ways, %s\n", row, ways, buf_cstr(&got));
	}
	buf_release(&got);
	decimal_comma_release(&f);
}

int main(void)
{
	static const int unknown[] = { -1, -1, 9 }, one[] = { 1, 1, 9 }, two[] = { 2, 1, 9 }, whole[] = { 1, 0, 9 };

	divide("t,23,5,81,0", unknown, 1, "[t][23,5][81,0]");
	divide("t,23,81", unknown, 1, "[t][23][81]");
	divide("t,23,5,81", unknown, 2, "");
	divide("t,23,5,81", whole, 1, "[t][23,5][81]");
	divide("t,23,5,81", one, 0, "");
	divide("t,23,55,7", two, 0, "");
	divide("t,23,55,81,0", two, 1, "[t][23,55][81,0]");
	divide("t,23,55,81,0", one, 0, "");
	divide("t,-,81,0", unknown, 1, "[t][-][81,0]");
	divide("t,-,81,0", one, 1, "[t][-][81,0]");
	divide("t,-0,5,81,0", one, 1, "[t][-0,5][81,0]");
	divide("t,23,5 C,81,0 %", one, 1, "[t][23,5 C][81,0 %]");
	divide("t,23,5 x,81,0", one, 0, "");
	divide("t,,", one, 1, "[t][][]");
	divide("t,1", unknown, 0, "");
	divide("t,1,2,3,4,5", unknown, 0, "");
	return failures != 0;
}
