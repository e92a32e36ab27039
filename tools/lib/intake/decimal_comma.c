#include "intake/decimal_comma.h"

#include <stdlib.h>

#include "base/csv.h"

void decimal_comma_release(struct decimal_comma *f)
{
	free(f->cell);
	buf_release(&f->scratch);
}

static size_t digits(struct slice s, size_t from)
{
	size_t i = from;

	while (i < s.n && s.p[i] >= '0' && s.p[i] <= '9')
		i++;
	return i - from;
}

/* A whole number, perhaps with a sign. */
static bool is_whole(struct slice s)
{
	size_t sign = s.n && (s.p[0] == '-' || s.p[0] == '+');

	return digits(s, sign) > 0 && digits(s, sign) + sign == s.n;
}

/* Whether two cells may be the halves of a number in the column; a unit may follow. */
static bool may_join(const struct decimal_comma_column *c, struct slice a, struct slice b)
{
	size_t n;

	a = cell_number_trim(a);
	b = cell_number_trim(b);
	n = digits(b, 0);
	return !c->whole && c->decimals != 0 && is_whole(a) && n > 0 && (c->decimals < 0 || n == (size_t)c->decimals) &&
		(n == b.n || cell_number_unit(slice_from(b, n)).n);
}

/* Whether a cell may be the whole of a column: not if it must be a number with decimals. */
static bool may_stand(const struct decimal_comma_column *c, struct slice a)
{
	return c->decimals <= 0 || !is_whole(cell_number_trim(a));
}

/* ways[col][k]: in how many ways the first k cells fill the first col columns. */
static void count_ways(struct decimal_comma *f, const struct decimal_comma_column *column, size_t ncols, const struct csv_cell *cell, size_t n)
{
	for (size_t col = 0; col <= ncols; col++)
		memset(f->ways[col], 0, n + 1);
	f->ways[0][0] = 1;
	for (size_t col = 1; col <= ncols; col++)
		for (size_t k = col; k <= 2 * col && k <= n; k++) {
			int w = 0;

			if (f->ways[col - 1][k - 1] && may_stand(&column[col - 1], cell[k - 1].text))
				w += f->ways[col - 1][k - 1];
			if (k >= 2 && f->ways[col - 1][k - 2] && may_join(&column[col - 1], cell[k - 2].text, cell[k - 1].text))
				w += f->ways[col - 1][k - 2];
			f->ways[col][k] = (uint8_t)(w > 2 ? 2 : w);
		}
}

static struct csv_cell joined(struct decimal_comma *f, const struct csv_cell *a, const struct csv_cell *b)
{
	struct csv_cell out = *a;
	size_t start = f->scratch.n;

	buf_add(&f->scratch, cell_number_trim(a->text));
	buf_char(&f->scratch, ',');
	buf_add(&f->scratch, cell_number_trim(b->text));
	out.text = slice_from(buf_slice(&f->scratch), start);
	return out;
}

/* Walks the one way back. The scratch is made first, so that texts in it do not move. */
static void take_way(struct decimal_comma *f, const struct decimal_comma_column *column, size_t ncols, const struct csv_cell *cell, size_t n)
{
	size_t k = n, scratch = 0;

	for (size_t i = 0; i < n; i++)
		scratch += cell[i].text.n + 1;
	f->scratch.n = 0;
	f->scratch.p = mem_grow(f->scratch.p, &f->scratch.cap, scratch, 1);
	f->cell = mem_grow(f->cell, &f->cap, ncols, sizeof *f->cell);
	for (size_t col = ncols; col > 0; col--) {
		if (f->ways[col - 1][k - 1] && may_stand(&column[col - 1], cell[k - 1].text)) {
			f->cell[col - 1] = cell[--k];
			continue;
		}
		f->cell[col - 1] = joined(f, &cell[k - 2], &cell[k - 1]);
		k -= 2;
	}
}

int decimal_comma_row(struct decimal_comma *f, const struct decimal_comma_column *column, size_t ncols, const struct csv_cell *cell, size_t n)
{
	int ways;

	if (!ncols || ncols > DECIMAL_COMMA_COLUMNS || n < ncols || n > 2 * ncols)
		return 0;
	count_ways(f, column, ncols, cell, n);
	ways = f->ways[ncols][n];
	if (ways == 1)
		take_way(f, column, ncols, cell, n);
	return ways;
}
