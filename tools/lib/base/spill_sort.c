#include "base/spill_sort.h"

#include <stdlib.h>
#include <string.h>

#include "base/mem.h"

/* Each record is after its length; both are padded. Bytes of the views of all parts together, and of each. */
enum { ALIGN = 8, VIEWS = 4 * 1024 * 1024, VIEW_LEAST = 4 * 1024 };

/* A part goes to the file in so many pieces, which are all that is in memory twice. */
enum { WRITTEN = 16 };

struct spill_part {
	size_t at, end;          /* in `sorted`: the next record, and the end */
	struct spill_view view;
	const unsigned char *record; /* that one, in the view */
};

static size_t most_of(const struct spill_sort *s)
{
	return s->most ? s->most : SPILL_HELD;
}

static size_t padded(size_t n)
{
	return ALIGN + (n + ALIGN - 1) / ALIGN * ALIGN;
}

static size_t length_at(const unsigned char *p)
{
	uint64_t n;

	memcpy(&n, p, sizeof n);
	return (size_t)n;
}

void spill_sort_release(struct spill_sort *s)
{
	for (size_t i = 0; i < s->nparts; i++)
		spill_view_release(&s->part[i].view);
	free(s->part);
	free(s->heap);
	free(s->held);
	free(s->row);
	spill_release(&s->sorted);
	*s = (struct spill_sort){ .order = s->order, .most = s->most };
}

/* ---- a part in memory */

static const unsigned char *record_at(const struct spill_sort *s, size_t at)
{
	return s->held + at + ALIGN;
}

/* Merges the rows [from, mid) and [mid, to) into `out`. */
static void merge_rows(const struct spill_sort *s, const size_t *row, size_t *out, size_t from, size_t mid, size_t to)
{
	size_t a = from, b = mid;

	for (size_t i = from; i < to; i++) {
		bool first = b == to || (a < mid && s->order(record_at(s, row[a]), record_at(s, row[b])) <= 0);

		out[i] = first ? row[a++] : row[b++];
	}
}

static bool is_sorted(const struct spill_sort *s)
{
	for (size_t i = 1; i < s->nrows; i++)
		if (s->order(record_at(s, s->row[i - 1]), record_at(s, s->row[i])) > 0)
			return false;
	return true;
}

static void sort_held(struct spill_sort *s)
{
	size_t *out;

	if (is_sorted(s))
		return;
	out = mem_array(s->rows_cap, sizeof *out);
	for (size_t width = 1; width < s->nrows; width *= 2) {
		size_t *row = s->row;

		for (size_t from = 0; from < s->nrows; from += 2 * width) {
			size_t mid = from + width < s->nrows ? from + width : s->nrows, to = from + 2 * width < s->nrows ? from + 2 * width : s->nrows;

			merge_rows(s, row, out, from, mid, to);
		}
		s->row = out;
		out = row;
	}
	free(out);
}

/* Moves the part in hand to the sorted ones. */
static void file_part(struct spill_sort *s)
{
	size_t from = spill_size(&s->sorted);

	s->sorted.most = most_of(s) / WRITTEN;
	sort_held(s);
	for (size_t i = 0; i < s->nrows; i++) {
		size_t n = padded(length_at(s->held + s->row[i]));

		memcpy(spill_space(&s->sorted, n), s->held + s->row[i], n);
		spill_took(&s->sorted, n);
	}
	s->part = mem_grow(s->part, &s->parts_cap, s->nparts + 1, sizeof *s->part);
	s->part[s->nparts++] = (struct spill_part){ .at = from, .end = spill_size(&s->sorted) };
	s->n = s->nrows = 0;
}

void *spill_sort_add(struct spill_sort *s, size_t n)
{
	size_t need = padded(n);
	uint64_t length = n;
	unsigned char *to;

	if (s->n && s->n + need > most_of(s))
		file_part(s);
	s->held = mem_grow(s->held, &s->cap, s->n + need, 1);
	s->row = mem_grow(s->row, &s->rows_cap, s->nrows + 1, sizeof *s->row);
	s->row[s->nrows++] = s->n;
	to = s->held + s->n;
	memset(to + need - ALIGN, 0, ALIGN);
	memcpy(to, &length, sizeof length);
	s->n += need;
	return to + ALIGN;
}

/* ---- merging: of records that are alike those of the earlier part come first */

static bool comes_before(const struct spill_sort *s, uint32_t a, uint32_t b)
{
	int order = s->order(s->part[a].record, s->part[b].record);

	return order ? order < 0 : a < b;
}

static void sink_down(struct spill_sort *s, size_t i)
{
	for (size_t child; (child = 2 * i + 1) < s->nheap; i = child) {
		uint32_t moved = s->heap[i];

		if (child + 1 < s->nheap && comes_before(s, s->heap[child + 1], s->heap[child]))
			child++;
		if (!comes_before(s, s->heap[child], moved))
			return;
		s->heap[i] = s->heap[child];
		s->heap[child] = moved;
	}
}

/* Reads the record that a part is at. */
static void read_record(struct spill_sort *s, struct spill_part *part)
{
	size_t n = length_at(spill_read(&s->sorted, &part->view, part->at, ALIGN));

	part->record = spill_read(&s->sorted, &part->view, part->at, padded(n)) + ALIGN;
}

static void begin_merge(struct spill_sort *s)
{
	size_t view;

	if (s->nrows)
		file_part(s);
	free(s->held);
	s->held = NULL;
	s->cap = 0;
	view = VIEWS / s->nparts;
	s->heap = mem_array(s->nparts, sizeof *s->heap);
	for (size_t i = 0; i < s->nparts; i++) {
		s->part[i].view.most = view < VIEW_LEAST ? VIEW_LEAST : view;
		read_record(s, &s->part[i]);
		s->heap[s->nheap++] = (uint32_t)i;
	}
	for (size_t i = s->nheap; i--;)
		sink_down(s, i);
	s->merging = true;
}

/* Goes past the record that was given out. */
static void pass_first(struct spill_sort *s)
{
	struct spill_part *part = &s->part[s->heap[0]];

	part->at += padded(length_at(part->record - ALIGN));
	if (part->at < part->end)
		read_record(s, part);
	else {
		spill_view_release(&part->view);
		s->heap[0] = s->heap[--s->nheap];
	}
	sink_down(s, 0);
	s->taken = false;
}

static const void *next_merged(struct spill_sort *s)
{
	if (!s->merging)
		begin_merge(s);
	if (s->taken)
		pass_first(s);
	s->taken = s->nheap > 0;
	return s->taken ? s->part[s->heap[0]].record : NULL;
}

const void *spill_sort_next(struct spill_sort *s)
{
	if (s->nparts)
		return next_merged(s);
	if (s->next == 0)
		sort_held(s);
	return s->next < s->nrows ? record_at(s, s->row[s->next++]) : NULL;
}
