#include "cost/rates.h"

#include <stdlib.h>

#include "book/line.h"

void rates_release(struct rates *r)
{
	free(r->row);
	*r = (struct rates){ .row = NULL };
}

void rates_add(struct rates *r, const struct line *l)
{
	const struct item *is = line_item(l, FIELD_IS);
	int currency = l->subject.n == 3 ? vocab_currency(l->subject.p) : -1;

	if (!is || currency < 0 || is->v.fix <= 0)
		return;
	r->row = mem_grow(r->row, &r->cap, r->n + 1, sizeof *r->row);
	r->row[r->n++] = (struct rate){ currency, is->v.unit, l->stamp.day, l->stamp.second, is->v.fix };
	r->sorted = false;
}

#define BY(a, b) do { if ((a) != (b)) return (a) < (b) ? -1 : 1; } while (0)

static int by_pair(const struct rate *x, const struct rate *y)
{
	BY(x->currency, y->currency);
	BY(x->own, y->own);
	return 0;
}

static int by_time(const void *a, const void *b)
{
	const struct rate *x = a, *y = b;
	int order = by_pair(x, y);

	if (order)
		return order;
	BY(x->day, y->day);
	BY(x->second, y->second);
	BY(x->is, y->is);
	return 0;
}

const struct rate *rates_on(struct rates *r, int currency, int own, int32_t day)
{
	struct rate asked = { currency, own, day, INT32_MAX, INT64_MAX };
	size_t low = 0, high = r->n;

	if (!r->sorted && r->n)
		qsort(r->row, r->n, sizeof *r->row, by_time);
	r->sorted = true;
	while (low < high) {
		size_t mid = low + (high - low) / 2;

		if (by_time(&r->row[mid], &asked) <= 0)
			low = mid + 1;
		else
			high = mid;
	}
	return low && by_pair(&r->row[low - 1], &asked) == 0 ? &r->row[low - 1] : NULL;
}
