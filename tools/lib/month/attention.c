#include "month/attention.h"

#include "month/month.h"
#include "table/table_read.h"

/* ---- what was due on the last day */

static void write_order(const struct due_item *item, struct buf *out)
{
	buf_add(out, item->subject);
	if (item->party.n) {
		buf_str(out, " for ");
		buf_add(out, item->party);
	}
	if (item->day != INT32_MAX) {
		buf_str(out, item->overdue ? ", WAS DUE " : ", due ");
		day_write(out, item->day);
	}
	buf_str(out, ": ");
	buf_add(out, item->reason);
}

static void write_instrument(const struct due_item *item, const char *const *name, struct buf *out)
{
	buf_printf(out, "%s:%llu: ", name[item->line.file], (unsigned long long)item->line.number);
	buf_add(out, item->subject);
	buf_char(out, ' ');
	buf_add(out, item->reason);
	buf_str(out, "; ");
	buf_add(out, item->action);
}

static void write_item(const struct due_item *item, const char *const *name, struct buf *out)
{
	if (item->kind == DUE_ORDER) {
		write_order(item, out);
	} else if (item->kind == DUE_INSTRUMENT) {
		write_instrument(item, name, out);
	} else {
		buf_add(out, item->subject);
		buf_str(out, item->kind == DUE_WOOD ? ", " : ": ");
		buf_add(out, item->reason);
	}
	buf_char(out, '\n');
}

/* Orders that are short, late or due by the last day; instruments that are overdue; of the rest all. */
static bool is_shown(const struct due *d, const struct due_item *item)
{
	if (!(item->of & DUE_OF_MONTH))
		return false;
	if (item->kind == DUE_INSTRUMENT)
		return item->overdue;
	return item->kind != DUE_ORDER || due_is_shown(d, item);
}

/* Instruments come first: they are a warning of the book. */
static void write_due(const struct due *d, const char *const *name, bool instruments, struct buf *out)
{
	for (size_t i = 0; i < d->n; i++)
		if (is_shown(d, &d->item[i]) && (d->item[i].kind == DUE_INSTRUMENT) == instruments)
			write_item(&d->item[i], name, out);
}

/* ---- grades */

static bool is_same(const struct table *a, size_t i, const struct table *b, size_t k)
{
	return slice_eq(table_word(a, i, "type"), table_word(b, k, "type")) && slice_eq(table_word(a, i, "grade"), table_word(b, k, "grade"))
		&& slice_eq(table_word(a, i, "scheme"), table_word(b, k, "scheme")) && table_count(a, i, "of") == table_count(b, k, "of");
}

struct slice attention_moved(const struct month *m, size_t row)
{
	const struct table *shift = &m->is.shift;

	for (size_t k = 0; k < table_rows(shift); k++)
		if (is_same(&m->is.grades, row, shift, k) && table_has(shift, k, "moved"))
			return table_word(shift, k, "moved");
	return SLICE("");
}

static void write_grades(const struct month *m, struct buf *out)
{
	const struct table *t = &m->is.grades;

	for (size_t i = 0; i < table_rows(t); i++) {
		if (!attention_moved(m, i).n)
			continue;
		buf_add(out, table_word(t, i, "type"));
		buf_str(out, slice_eq(table_word(t, i, "grade"), SLICE("culled")) ? " " : " grade ");
		buf_add(out, table_word(t, i, "grade"));
		buf_printf(out, ": %.1f %% of the %lld blades (95 %% interval %.1f to %.1f), but %.1f %% in the twelve months before\n",
			100 * table_figure(t, i, "share"), (long long)table_count(t, i, "of"), 100 * table_figure(t, i, "share_low"),
			100 * table_figure(t, i, "share_high"), 100 * table_figure(t, i, "baseline_share"));
	}
}

void attention_write(const struct month *m, const char *const *name, struct buf *out)
{
	write_due(&m->due, name, true, out);
	write_due(&m->due, name, false, out);
	write_grades(m, out);
}
