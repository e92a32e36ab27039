#include "stock/stock_lines.h"

#include <stdlib.h>

#include "base/mem.h"
#include "stock/stock.h"

/* Bytes of all views together, and of each. */
enum { VIEWS = 4 * 1024 * 1024, VIEW_LEAST = 4 * 1024 };

struct dated {
	int32_t day;
	size_t at, n;            /* in the log */
};

/* Where the next record of a part is. */
struct part {
	size_t at, end;          /* in `sorted` */
	int32_t day;
	struct spill_view view;
};

struct stock_lines {
	const struct stock_log *log;
	size_t at;               /* of the next one */
	struct spill_view view;
	struct spill sorted;     /* of a log that is not in order: each part's records, each after its place in the log */
	struct part *part;
	size_t nparts, parts_cap;
	uint32_t *heap;          /* the parts that have records left, the one with the next line first */
	size_t nheap;
	bool taken;              /* that line was taken, and the heap is still as it was */
};

/* ---- sorting */

static int by_day(const void *a, const void *b)
{
	const struct dated *x = a, *y = b;

	if (x->day != y->day)
		return x->day < y->day ? -1 : 1;
	return (x->at > y->at) - (x->at < y->at);
}

/* Bytes of the log in a part: as many as it has in memory. */
static size_t part_size(const struct stock_log *log)
{
	return log->records.most ? log->records.most : SPILL_HELD;
}

/* The records of the log from `at` on that make up a part; returns how many they are. */
static size_t find_part(struct stock_lines *l, size_t at, struct dated **row, size_t *cap)
{
	size_t n = 0, end = at + part_size(l->log);
	struct stock_items items = { .n = 0 };
	struct stock_op op;

	for (size_t next; at < spill_size(&l->log->records) && at < end; at = next, items.n = 0) {
		next = stock_log_read(l->log, &l->view, at, &op, &items);
		*row = mem_grow(*row, cap, n + 1, sizeof **row);
		(*row)[n++] = (struct dated){ op.day, at, next - at };
	}
	free(items.v);
	return n;
}

/* A copy of the part, so that its records can be taken in any order; the log may have it in its file. */
static unsigned char *copy_part(struct stock_lines *l, const struct dated *row, size_t n)
{
	unsigned char *copy = mem_array(row[n - 1].at + row[n - 1].n - row[0].at, 1);

	for (size_t i = 0; i < n; i++)
		memcpy(copy + (row[i].at - row[0].at), spill_read(&l->log->records, &l->view, row[i].at, row[i].n), row[i].n);
	return copy;
}

static void add_sorted(struct stock_lines *l, const unsigned char *record, const struct dated *row)
{
	unsigned char *to = spill_space(&l->sorted, sizeof row->at + row->n);

	memcpy(to, &row->at, sizeof row->at);
	memcpy(to + sizeof row->at, record, row->n);
	spill_took(&l->sorted, sizeof row->at + row->n);
}

/* Copies the part that begins there, in order; returns where the next one begins. */
static size_t sort_part(struct stock_lines *l, size_t first, struct dated **row, size_t *cap)
{
	size_t n = find_part(l, first, row, cap), from = spill_size(&l->sorted), end = (*row)[n - 1].at + (*row)[n - 1].n;
	unsigned char *copy = copy_part(l, *row, n);

	qsort(*row, n, sizeof **row, by_day);
	for (size_t i = 0; i < n; i++)
		add_sorted(l, copy + ((*row)[i].at - first), &(*row)[i]);
	free(copy);
	l->part = mem_grow(l->part, &l->parts_cap, l->nparts + 1, sizeof *l->part);
	l->part[l->nparts++] = (struct part){ .at = from, .end = spill_size(&l->sorted) };
	return end;
}

/* ---- merging: parts are in the order of the log, so that of one day the earlier part comes first */

static bool comes_before(const struct stock_lines *l, uint32_t a, uint32_t b)
{
	return l->part[a].day != l->part[b].day ? l->part[a].day < l->part[b].day : a < b;
}

static void sink_down(struct stock_lines *l, size_t i)
{
	for (size_t child; (child = 2 * i + 1) < l->nheap; i = child) {
		uint32_t moved = l->heap[i];

		if (child + 1 < l->nheap && comes_before(l, l->heap[child + 1], l->heap[child]))
			child++;
		if (!comes_before(l, l->heap[child], moved))
			return;
		l->heap[i] = l->heap[child];
		l->heap[child] = moved;
	}
}

static void set_day(struct stock_lines *l, struct part *part)
{
	part->day = stock_log_day_of(&l->sorted, &part->view, part->at + sizeof part->at);
}

static void open_parts(struct stock_lines *l)
{
	size_t view = VIEWS / (l->nparts + 1);

	l->heap = mem_array(l->nparts, sizeof *l->heap);
	for (size_t i = 0; i < l->nparts; i++) {
		l->part[i].view.most = view < VIEW_LEAST ? VIEW_LEAST : view;
		set_day(l, &l->part[i]);
		l->heap[l->nheap++] = (uint32_t)i;
	}
	for (size_t i = l->nheap; i--;)
		sink_down(l, i);
}

static void sort_lines(struct stock_lines *l)
{
	struct dated *row = NULL;
	size_t cap = 0, at = 0;

	while (at < spill_size(&l->log->records))
		at = sort_part(l, at, &row, &cap);
	free(row);
	open_parts(l);
}

/* The next record of the first part. */
static void next_sorted(struct stock_lines *l, struct stock_op *op, struct stock_items *items)
{
	struct part *part = &l->part[l->heap[0]];
	size_t at_log;

	memcpy(&at_log, spill_read(&l->sorted, &part->view, part->at, sizeof at_log), sizeof at_log);
	part->at = stock_log_unpack(l->log, &l->sorted, &part->view, part->at + sizeof at_log, op, items);
	op->at_log = at_log;
	l->taken = true;
}

/* Puts the first part, of which a record was taken, where it belongs now. */
static void settle_first(struct stock_lines *l)
{
	struct part *part = &l->part[l->heap[0]];

	if (part->at < part->end)
		set_day(l, part);
	else {
		spill_view_release(&part->view);
		l->heap[0] = l->heap[--l->nheap];
	}
	sink_down(l, 0);
	l->taken = false;
}

/* ---- both */

struct stock_lines *stock_lines_new(const struct stock_log *log, bool disorder)
{
	struct stock_lines *l = mem_zeroed(1, sizeof *l);

	l->log = log;
	l->sorted.most = log->records.most;
	if (disorder)
		sort_lines(l);
	return l;
}

void stock_lines_free(struct stock_lines *l)
{
	for (size_t i = 0; i < l->nparts; i++)
		spill_view_release(&l->part[i].view);
	spill_view_release(&l->view);
	spill_release(&l->sorted);
	free(l->part);
	free(l->heap);
	free(l);
}

bool stock_lines_day(struct stock_lines *l, int32_t *day)
{
	if (l->taken)
		settle_first(l);
	if (l->heap ? !l->nheap : l->at == spill_size(&l->log->records))
		return false;
	*day = l->heap ? l->part[l->heap[0]].day : stock_log_day_of(&l->log->records, &l->view, l->at);
	return true;
}

void stock_lines_next(struct stock_lines *l, struct stock_op *op, struct stock_items *items)
{
	if (l->heap)
		next_sorted(l, op, items);
	else
		l->at = stock_log_read(l->log, &l->view, l->at, op, items);
}
