#include "book/unified_diff.h"

#include <stdlib.h>

#include "base/ascending.h"

/* One line of the diff: ' ' of both, '-' of the old, '+' of the new version. */
struct op {
	char sign;
	struct slice text;
};

struct script {
	struct op *op;
	size_t n;
};

/* Marks in keep[] the longest ascending run of unchanged lines. */
static void mark_kept(const struct slice *was, const struct unified_diff_line *now, size_t n, bool *keep)
{
	size_t *index = mem_array(n, sizeof *index);

	for (size_t j = 0; j < n; j++)
		index[j] = now[j].was != SIZE_MAX && slice_eq(was[now[j].was], now[j].text) ? now[j].was : SIZE_MAX;
	ascending_mark(index, n, keep);
	free(index);
}

static void push(struct script *s, char sign, struct slice text)
{
	s->op[s->n++] = (struct op){ sign, text };
}

/* Between two lines of both versions the old lines come before the new ones. */
static void write_script(struct script *s, const struct slice *was, size_t nwas, const struct unified_diff_line *now, size_t nnow,
	const bool *keep)
{
	size_t i = 0, first = 0;

	for (size_t j = 0; j <= nnow; j++) {
		if (j < nnow && !keep[j])
			continue;
		for (; i < (j < nnow ? now[j].was : nwas); i++)
			push(s, '-', was[i]);
		for (; first < j; first++)
			push(s, '+', now[first].text);
		if (j < nnow)
			push(s, ' ', was[i++]);
		first++;
	}
}

static void write_range(struct buf *out, char sign, size_t first, size_t count)
{
	buf_printf(out, " %c%zu", sign, count ? first + 1 : first);
	if (count != 1)
		buf_printf(out, ",%zu", count);
}

static void write_line(struct buf *out, const struct op *op)
{
	buf_char(out, op->sign);
	buf_add(out, op->text);
	if (!op->text.n || op->text.p[op->text.n - 1] != '\n')
		buf_str(out, "\n\\ No newline at end of file\n");
}

/* The hunk of ops [from, to); *old and *new are the lines of each version before it, and then behind it. */
static void write_hunk(struct buf *out, const struct script *s, size_t from, size_t to, size_t *old, size_t *new)
{
	size_t removed = 0, added = 0;

	for (size_t i = from; i < to; i++) {
		removed += s->op[i].sign != '+';
		added += s->op[i].sign != '-';
	}
	buf_str(out, "@@");
	write_range(out, '-', *old, removed);
	write_range(out, '+', *new, added);
	buf_str(out, " @@\n");
	for (size_t i = from; i < to; i++)
		write_line(out, &s->op[i]);
	*old += removed;
	*new += added;
}

/* The end of the last change that is less than two contexts after the change before it, from `at` on. */
static size_t changes_end(const struct script *s, size_t at)
{
	size_t end = at;

	for (; at < s->n && at <= end + (size_t)2 * UNIFIED_DIFF_CONTEXT; at++)
		if (s->op[at].sign != ' ')
			end = at + 1;
	return end;
}

static void write_hunks(struct buf *out, const struct script *s)
{
	size_t old = 0, new = 0, at = 0, done = 0;

	for (; at < s->n; at++) {
		size_t from, to;

		if (s->op[at].sign == ' ')
			continue;
		from = at - done > UNIFIED_DIFF_CONTEXT ? at - UNIFIED_DIFF_CONTEXT : done;
		to = changes_end(s, at) + UNIFIED_DIFF_CONTEXT;
		if (to > s->n)
			to = s->n;
		old += from - done;
		new += from - done;
		write_hunk(out, s, from, to, &old, &new);
		at = done = to;
		at--;
	}
}

void unified_diff_write(struct buf *out, struct slice name, const struct slice *was, size_t nwas, const struct unified_diff_line *now,
	size_t nnow)
{
	struct script s = { mem_array(nwas + nnow, sizeof *s.op), 0 };
	bool *keep = mem_array(nnow, sizeof *keep), changed = false;

	mark_kept(was, now, nnow, keep);
	write_script(&s, was, nwas, now, nnow, keep);
	for (size_t i = 0; i < s.n; i++)
		changed |= s.op[i].sign != ' ';
	if (changed) {
		buf_str(out, "--- ");
		buf_add(out, name);
		buf_str(out, "\n+++ ");
		buf_add(out, name);
		buf_char(out, '\n');
		write_hunks(out, &s);
	}
	free(s.op);
	free(keep);
}
