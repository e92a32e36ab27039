#include "due/due_wood.h"

#include <math.h>
#include <stdlib.h>

#include "book/value.h"
#include "due/due_book.h"
#include "table/table_read.h"

static int64_t out_of_band(const struct table *t, size_t row)
{
	return llround((double)table_count(t, row, "n_judged") * (1 - table_figure(t, row, "share_in_band")));
}

bool due_is_out_of_band(const struct table *t, size_t row)
{
	return table_count(t, row, "n_judged") > 0 && out_of_band(t, row) > 0;
}

static void write_end(struct buf *out, const struct table *t, size_t row, const char *figure, const char *piece)
{
	buf_printf(out, "%.1f %% (", table_figure(t, row, figure));
	buf_add(out, table_word(t, row, piece));
	buf_char(out, ')');
}

void due_write_out_of(struct buf *out, const struct table *t, size_t row, const char *of)
{
	buf_printf(out, "%lld of %lld %s; wettest ", (long long)out_of_band(t, row), (long long)table_count(t, row, "n_judged"), of);
	write_end(out, t, row, "wettest_pct", "wettest");
	buf_str(out, ", driest ");
	write_end(out, t, row, "driest_pct", "driest");
}

/* The line of a reading that the answer calls "H034 at cane 2027-12-08": of the subject, on the day. */
static struct due_line line_of(struct due_book *b, struct slice piece)
{
	size_t start = piece.n;

	while (start && piece.p[start - 1] != ' ')
		start--;
	return due_lines_last(&b->lines, "mc", slice_upto(piece, slice_find(piece, ' ')), slice_from(piece, start));
}

static struct slice worst_of(const struct due_book *b, const struct table *t, size_t row)
{
	const struct house_place *p = b->house ? house_place(b->house, table_word(t, row, "place")) : NULL;
	double high = p && house_range_given(p->target) && p->target.high != INT64_MAX ? (double)p->target.high / VALUE_STEPS : NAN;

	return table_word(t, row, table_figure(t, row, "wettest_pct") > high ? "wettest" : "driest");
}

static void find_part(struct due *d, struct due_book *b, const struct table *t, size_t row)
{
	struct slice place = table_word(t, row, "place");
	struct due_item *item;

	buf_str(&d->text, "wood for ");
	buf_add(&d->text, table_word(t, row, "part"));
	buf_str(&d->text, "s: ");
	due_write_out_of(&d->text, t, row, "pieces read out of the target");
	item = due_add(d, DUE_WOOD, "out-of-target", place, "read more pieces there, and look at the room's air");
	item->place = item->subject;
	item->who = due_care_of(d->house, place);
	item->line = line_of(b, worst_of(b, t, row));
}

void due_wood_find(struct due *d, struct due_book *b)
{
	const struct table *t = &b->is.wood;

	for (size_t row = 0; row < table_rows(t); row++)
		if (table_has(t, row, "place") && !due_book_is_charge(b, table_word(t, row, "place")) && due_is_out_of_band(t, row))
			find_part(d, b, t, row);
}
