#include "stock/stock_lines.h"

#include <string.h>

#include "stock/stock.h"

/* Before a copy of a record. */
struct dated {
	size_t at;               /* in the log */
	int32_t day;
};

static int by_day(const void *a, const void *b)
{
	const struct dated *x = a, *y = b;

	return (x->day > y->day) - (x->day < y->day);
}

static void sort_lines(struct stock_lines *l)
{
	size_t at = 0, n;

	l->sorted.order = by_day;
	l->sorted.most = l->log->records.most;
	while (at < spill_size(&l->log->records)) {
		struct dated dated = { at, stock_log_day(l->log, &l->view, at) };
		const unsigned char *record = stock_log_record(l->log, &l->view, &at, &n);
		unsigned char *copy = spill_sort_add(&l->sorted, sizeof dated + n);

		memcpy(copy, &dated, sizeof dated);
		memcpy(copy + sizeof dated, record, n);
	}
	l->next = spill_sort_next(&l->sorted);
}

void stock_lines_init(struct stock_lines *l, const struct stock_log *log, bool disorder)
{
	*l = (struct stock_lines){ .log = log, .disorder = disorder };
	if (disorder)
		sort_lines(l);
}

void stock_lines_release(struct stock_lines *l)
{
	spill_sort_release(&l->sorted);
	spill_view_release(&l->view);
}

static bool sorted_day(struct stock_lines *l, int32_t *day)
{
	if (l->taken)
		l->next = spill_sort_next(&l->sorted);
	l->taken = false;
	if (l->next)
		*day = ((const struct dated *)l->next)->day;
	return l->next;
}

bool stock_lines_day(struct stock_lines *l, int32_t *day)
{
	if (l->disorder)
		return sorted_day(l, day);
	if (l->at == spill_size(&l->log->records))
		return false;
	*day = stock_log_day(l->log, &l->view, l->at);
	return true;
}

void stock_lines_next(struct stock_lines *l, struct stock_op *op, struct stock_items *items)
{
	if (!l->disorder) {
		l->at = stock_log_read(l->log, &l->view, l->at, op, items);
		return;
	}
	stock_log_unpack(l->log, (const unsigned char *)l->next + sizeof(struct dated), op, items);
	op->at_log = ((const struct dated *)l->next)->at;
	l->taken = true;
}
