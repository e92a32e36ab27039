#include "board/board_links.h"

#include <stdlib.h>

#include "month/month.h"

static int by_text(const void *a, const void *b)
{
	const struct board_id *x = a, *y = b;

	return slice_cmp(x->id, y->id);
}

void board_links_init(struct board_links *l, const struct month *m, const struct trace *t)
{
	const struct intern *ids = &t->stock->ids;

	*l = (struct board_links){ .month = m };
	for (uint32_t i = 1; i < ids->n; i++) {
		unsigned kinds = trace_kinds(t, intern_text(ids, i));

		if (!kinds || kinds == 1u << TRACE_PIECE)
			continue;
		l->id = mem_grow(l->id, &l->cap, l->n + 1, sizeof *l->id);
		l->id[l->n++] = (struct board_id){ intern_text(ids, i), kinds };
	}
	if (l->n)
		qsort(l->id, l->n, sizeof *l->id, by_text);
}

void board_links_release(struct board_links *l)
{
	free(l->id);
}

static bool has_page(const struct board_links *l, struct slice id)
{
	const struct board_id wanted = { id, 0 };

	return l->n && bsearch(&wanted, l->id, l->n, sizeof *l->id, by_text);
}

bool board_links_is_open(const struct board_links *l, struct slice id)
{
	const struct table *open = &l->month->book.is.charges;

	return due_row_of(open, "charge", id) < table_rows(open);
}

static bool is_plain(char c)
{
	return (c >= '0' && c <= '9') || (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') || c == '-' || c == '_';
}

void board_file(const char *head, struct slice id, struct buf *out)
{
	buf_str(out, head);
	for (size_t i = 0; i < id.n; i++)
		if (is_plain(id.p[i]))
			buf_char(out, id.p[i]);
		else
			buf_printf(out, "~%02x", (unsigned char)id.p[i]);
	buf_str(out, ".html");
}

/* Words that are never ids, whatever they look like. */
static bool is_other(const char *column)
{
	static const char *const others[] = { "form", "type", "grade", "step", "verdict", "cause", "state", "part", "event" };

	for (size_t i = 0; i < sizeof others / sizeof *others; i++)
		if (strcmp(column, others[i]) == 0)
			return true;
	return false;
}

void board_links_to(const void *context, const char *column, struct slice text, struct buf *out)
{
	const struct board_links *l = context;

	if (is_other(column))
		return;
	if (board_links_is_open(l, text))
		board_file("charge-", text, out);
	else if (has_page(l, text))
		board_file("of-", text, out);
}
