#include "book/line.h"

#include "book/diag.h"

struct place line_place(const struct line *l, struct slice part)
{
	uint32_t col = line_col(l, part);

	return (struct place){ l->file, col, col + (uint32_t)part.n, l->number };
}

void item_text(struct buf *out, struct slice text)
{
	if (!text.n || text.p[0] != '"') {
		buf_add(out, text);
		return;
	}
	for (size_t i = 1; i + 1 < text.n; i++) {
		if (text.p[i] == '\\' && i + 2 < text.n)
			i++;
		buf_char(out, text.p[i]);
	}
}
