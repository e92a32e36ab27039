#include "moist/lot_readings.h"

#include <math.h>
#include <stdbool.h>
#include <stdlib.h>

#include "book/value.h"

/* More rows of a lot are sorted by the library. */
enum { FEW_DAYS = 64 };

/* One of the same day for a lot of a few that were met last; the rest is put together in the end. */
static struct lot_day *row_of(struct lot_readings *r, uint32_t lot, int32_t day)
{
	uint32_t *met = &r->met[lot % LOT_READINGS_MET];

	if (*met < r->nrows && r->row[*met].lot == lot && r->row[*met].day == day)
		return &r->row[*met];
	r->row = mem_grow(r->row, &r->cap, r->nrows + 1, sizeof *r->row);
	r->row[r->nrows] = (struct lot_day){ .lot = lot, .day = day, .driest = INT32_MAX };
	*met = (uint32_t)r->nrows;
	return &r->row[r->nrows++];
}

static void join(struct lot_day *into, const struct lot_day *from)
{
	into->driest = from->driest < into->driest ? from->driest : into->driest;
	into->sum += from->sum;
	into->n += from->n;
}

void lot_readings_add(struct lot_readings *r, uint32_t lot, int32_t day, int32_t mc, uint32_t n, int below)
{
	join(row_of(r, lot, day), &(struct lot_day){ .driest = mc, .sum = below ? 0 : (int64_t)mc * n, .n = below ? 0 : n });
}

void lot_readings_add_day(struct lot_readings *r, uint32_t lot, const struct lot_day *day)
{
	join(row_of(r, lot, day->day), day);
}

static int by_day(const void *a, const void *b)
{
	const struct lot_day *x = a, *y = b;

	return (x->day > y->day) - (x->day < y->day);
}

/* Counts the rows of each lot, then puts them where they belong. */
static void sort_rows(struct lot_readings *r)
{
	struct lot_day *row = mem_store(r->nrows, sizeof *row);

	for (size_t i = 0; i < r->nrows; i++)
		r->nlots = r->row[i].lot >= r->nlots ? r->row[i].lot + 1 : r->nlots;
	r->first = mem_zeroed(r->nlots + (size_t)2, sizeof *r->first);
	for (size_t i = 0; i < r->nrows; i++)
		r->first[r->row[i].lot + 2]++;
	for (size_t i = 2; i < r->nlots + (size_t)2; i++)
		r->first[i] += r->first[i - 1];
	for (size_t i = 0; i < r->nrows; i++)
		row[r->first[r->row[i].lot + 1]++] = r->row[i];
	free(r->row);
	r->row = row;
	r->cap = r->nrows;
}

/* The rows of a lot are few, and mostly in the order of their days. */
static void sort_days(struct lot_day *row, size_t n)
{
	if (n > FEW_DAYS) {
		qsort(row, n, sizeof *row, by_day);
		return;
	}
	for (size_t i = 1; i < n; i++) {
		struct lot_day other = row[i];
		size_t k = i;

		for (; k && row[k - 1].day > other.day; k--)
			row[k] = row[k - 1];
		row[k] = other;
	}
}

/* Puts the rows of a lot in order, one a day, from `at` on, where others were. Returns where they end. */
static size_t settle_lot(struct lot_readings *r, struct lot_day *row, size_t n, size_t at)
{
	size_t first = at;

	sort_days(row, n);
	for (size_t i = 0; i < n; i++)
		if (at > first && r->row[at - 1].day == row[i].day)
			join(&r->row[at - 1], &row[i]);
		else
			r->row[at++] = row[i];
	for (size_t i = first + 1; i < at; i++)
		if (r->row[i - 1].driest < r->row[i].driest)
			r->row[i].driest = r->row[i - 1].driest;
	return at;
}

void lot_readings_end(struct lot_readings *r)
{
	size_t at = 0;

	if (r->nrows)
		sort_rows(r);
	for (uint32_t lot = 0; lot < r->nlots; lot++) {
		size_t from = r->first[lot], n = r->first[lot + 1] - from;

		r->first[lot] = (uint32_t)at;
		at = settle_lot(r, r->row + from, n, at);
	}
	if (r->nlots)
		r->first[r->nlots] = (uint32_t)at;
	r->nrows = at;
}

void lot_readings_release(struct lot_readings *r)
{
	free(r->row);
	free(r->first);
	*r = (struct lot_readings){ .nrows = 0 };
}

/* The last row of the lot up to a day, or NULL. */
static const struct lot_day *last_of(const struct lot_readings *r, uint32_t lot, int32_t day)
{
	size_t low = lot < r->nlots ? r->first[lot] : 0, high = lot < r->nlots ? r->first[lot + 1] : 0;

	while (low < high) {
		size_t mid = low + (high - low) / 2;

		if (r->row[mid].day <= day)
			low = mid + 1;
		else
			high = mid;
	}
	return low && r->row[low - 1].lot == lot ? &r->row[low - 1] : NULL;
}

double lot_readings_driest(const struct lot_readings *r, uint32_t lot, int32_t day)
{
	const struct lot_day *row = last_of(r, lot, day);

	return row ? (double)row->driest / VALUE_STEPS : NAN;
}

/* The last row up to a day that has a reading on the scale, or NULL. */
static const struct lot_day *last_read(const struct lot_readings *r, uint32_t lot, int32_t day)
{
	const struct lot_day *row = last_of(r, lot, day);

	while (row && !row->n && row > r->row && row[-1].lot == lot)
		row--;
	return row && row->n ? row : NULL;
}

double lot_readings_last(const struct lot_readings *r, uint32_t lot, int32_t day)
{
	const struct lot_day *row = last_read(r, lot, day);

	return row ? (double)row->sum / (double)row->n / VALUE_STEPS : NAN;
}

int32_t lot_readings_last_day(const struct lot_readings *r, uint32_t lot, int32_t day)
{
	const struct lot_day *row = last_read(r, lot, day);

	return row ? row->day : INT32_MIN;
}
