#include "due/due_reasons.h"

#include <stdlib.h>

#include "table/table.h"
#include "table/table_read.h"

/* A reason without its probe, "probe a reads ...": the probe's label, and the rest. */
static struct slice split_reason(struct slice text, struct slice *probe)
{
	const struct slice head = SLICE("probe ");
	size_t end;

	*probe = SLICE("");
	if (!slice_starts(text, head))
		return text;
	end = slice_find(slice_from(text, head.n), ' ');
	if (head.n + end >= text.n)
		return text;
	*probe = slice_upto(slice_from(text, head.n), end);
	return slice_from(text, head.n + end + 1);
}

struct due_reason *due_reasons_of(const struct table *t, const char *side, size_t *n)
{
	struct due_reason *r = mem_zeroed(table_rows(t), sizeof *r);

	*n = 0;
	for (size_t i = 0; i < table_rows(t); i++) {
		struct due_reason *one = &r[*n];

		if (!slice_eq(table_word(t, i, "side"), slice_of(side)))
			continue;
		one->charge = table_word(t, i, "charge");
		one->what = table_word(t, i, "what");
		one->text = split_reason(table_word(t, i, "text"), &one->probe);
		++*n;
	}
	return r;
}

/* Whether both say the same. */
static bool is_alike(const struct due_reason *a, const struct due_reason *b)
{
	return slice_eq(a->charge, b->charge) && slice_eq(a->text, b->text) && !a->probe.n == !b->probe.n;
}

static void write_probes(struct due_reason *r, size_t n, size_t first, struct buf *out)
{
	size_t many = 0;

	for (size_t i = first; i < n; i++)
		many += is_alike(&r[i], &r[first]);
	buf_str(out, many > 1 ? "each of probes " : "probe ");
	for (size_t i = first; i < n; i++) {
		if (!is_alike(&r[i], &r[first]))
			continue;
		buf_str(out, i > first ? ", " : "");
		buf_add(out, r[i].probe);
		r[i].said = true;
	}
	buf_char(out, ' ');
}

void due_reason_write(struct due_reason *r, size_t n, size_t i, struct buf *out)
{
	if (r[i].probe.n)
		write_probes(r, n, i, out);
	r[i].said = true;
	buf_add(out, r[i].text);
}

void due_reasons_write(const struct table *reasons, const char *side, struct buf *out)
{
	size_t n;
	struct due_reason *r = due_reasons_of(reasons, side, &n);

	for (size_t i = 0; i < n; i++) {
		if (r[i].said)
			continue;
		buf_add(out, r[i].charge);
		buf_str(out, ": ");
		due_reason_write(r, n, i, out);
		buf_char(out, '\n');
	}
	free(r);
}
