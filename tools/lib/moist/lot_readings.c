#include "moist/lot_readings.h"

#include <math.h>
#include <stdbool.h>
#include <stdlib.h>

#include "book/value.h"

static struct lot_day *row_of(struct lot_readings *r, uint32_t lot, int32_t day)
{
	uint64_t hash;
	struct hash_probe p;

	if (r->last < r->nrows && r->row[r->last].lot == lot && r->row[r->last].day == day)
		return &r->row[r->last];
	hash = hash_near(lot, (uint32_t)day);
	p = hash_probe_of(&r->index, hash);
	while (hash_probe_next(&r->index, &p))
		if (r->row[p.row].lot == lot && r->row[p.row].day == day) {
			r->last = p.row;
			return &r->row[p.row];
		}
	r->row = mem_grow(r->row, &r->cap, r->nrows + 1, sizeof *r->row);
	r->row[r->nrows] = (struct lot_day){ .lot = lot, .day = day, .driest = INT64_MAX };
	r->last = r->nrows;
	hash_index_add(&r->index, hash, (uint32_t)r->nrows);
	return &r->row[r->nrows++];
}

void lot_readings_add(struct lot_readings *r, uint32_t lot, int32_t day, int64_t mc, int64_t n, int below)
{
	struct lot_day *row = row_of(r, lot, day);

	row->driest = mc < row->driest ? mc : row->driest;
	if (below)
		return;
	row->sum += mc * n;
	row->n += n;
}

static int by_lot(const void *a, const void *b)
{
	const struct lot_day *x = a, *y = b;

	if (x->lot != y->lot)
		return x->lot < y->lot ? -1 : 1;
	return (x->day > y->day) - (x->day < y->day);
}

/* Counts the rows of each lot, then puts them where they belong. Those of one lot are mostly in the order of their days. */
static void sort_rows(struct lot_readings *r)
{
	struct lot_day *row = mem_array(r->nrows, sizeof *row);

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

static bool is_sorted(const struct lot_readings *r)
{
	for (size_t i = 1; i < r->nrows; i++)
		if (by_lot(&r->row[i - 1], &r->row[i]) > 0)
			return false;
	return true;
}

void lot_readings_end(struct lot_readings *r)
{
	hash_index_release(&r->index);
	if (r->nrows)
		sort_rows(r);
	if (!is_sorted(r))
		qsort(r->row, r->nrows, sizeof *r->row, by_lot);
	for (size_t i = 1; i < r->nrows; i++)
		if (r->row[i - 1].lot == r->row[i].lot && r->row[i - 1].driest < r->row[i].driest)
			r->row[i].driest = r->row[i - 1].driest;
}

void lot_readings_release(struct lot_readings *r)
{
	hash_index_release(&r->index);
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
