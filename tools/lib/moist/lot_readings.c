#include "moist/lot_readings.h"

#include <math.h>
#include <stdlib.h>

#include "book/value.h"

static struct lot_day *row_of(struct lot_readings *r, uint32_t lot, int32_t day)
{
	uint64_t hash = hash_mix(hash_pair(lot, (uint32_t)day));
	struct hash_probe p = hash_probe_of(&r->index, hash);

	while (hash_probe_next(&r->index, &p))
		if (r->row[p.row].lot == lot && r->row[p.row].day == day)
			return &r->row[p.row];
	r->row = mem_grow(r->row, &r->cap, r->nrows + 1, sizeof *r->row);
	r->row[r->nrows] = (struct lot_day){ .lot = lot, .day = day, .least = INT64_MAX };
	hash_index_add(&r->index, hash, (uint32_t)r->nrows);
	return &r->row[r->nrows++];
}

void lot_readings_add(struct lot_readings *r, uint32_t lot, int32_t day, int64_t mc, int64_t n, int below)
{
	struct lot_day *row = row_of(r, lot, day);

	row->least = mc < row->least ? mc : row->least;
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

void lot_readings_end(struct lot_readings *r)
{
	hash_index_release(&r->index);
	if (r->nrows)
		qsort(r->row, r->nrows, sizeof *r->row, by_lot);
	for (size_t i = 0; i < r->nrows; i++) {
		struct lot_day *row = &r->row[i];
		bool goes_on = i > 0 && row[-1].lot == row->lot;

		row->driest = goes_on && row[-1].driest < row->least ? row[-1].driest : row->least;
	}
}

void lot_readings_release(struct lot_readings *r)
{
	hash_index_release(&r->index);
	free(r->row);
	*r = (struct lot_readings){ .nrows = 0 };
}

/* The last row of the lot up to a day, or NULL. */
static const struct lot_day *last_of(const struct lot_readings *r, uint32_t lot, int32_t day)
{
	const struct lot_day at = { .lot = lot, .day = day };
	size_t low = 0, high = r->nrows;

	while (low < high) {
		size_t mid = low + (high - low) / 2;

		if (by_lot(&r->row[mid], &at) <= 0)
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
