#include "book/line_fix.h"

#include "book/parse.h"

enum { ROUNDS_MOST = 100 };

/* Adds the text with what the diagnostics say of it; false where there is nothing to correct. They are in the order of their columns. */
static bool add_fixed(struct buf *out, struct slice text, const struct diags *d, const bool wanted[RULES_END])
{
	size_t at = 0;

	for (size_t i = 0; i < d->n; i++) {
		const struct diag *row = &d->row[i];

		if (!wanted[row->rule] || !row->fix_col || row->fix_col - 1 < at)
			continue;
		buf_add(out, slice_between(text.p + at, text.p + row->fix_col - 1));
		buf_add(out, diag_fixed(d, row));
		at = row->fix_end - 1;
	}
	buf_add(out, slice_from(text, at));
	return at > 0;
}

const struct line *line_fix(struct buf *out, struct parser *parser, struct slice text, uint64_t number, uint32_t file,
	const bool wanted[RULES_END])
{
	struct diags *all = parser->diags, own;
	struct buf next = BUF_INIT;
	size_t start = out->n;
	const struct line *l;

	diags_init(&own);
	memcpy(own.level, all->level, sizeof own.level);
	parser->diags = &own;
	buf_add(out, text);
	for (int round = 0;; round++) {
		l = parse_line(parser, slice_from(buf_slice(out), start), number, file);
		diags_sort(&own);
		next.n = 0;
		if (round == ROUNDS_MOST || !add_fixed(&next, l->text, &own, wanted))
			break;
		diags_clear(&own);
		out->n = start;
		buf_add(out, buf_slice(&next));
	}
	parser->diags = all;
	diags_take(all, &own, 0);
	diags_release(&own);
	buf_release(&next);
	return l;
}
