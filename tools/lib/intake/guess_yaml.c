#include "intake/guess_internal.h"

/* A text in double quotes; what could act on a terminal or break the line is escaped. */
void guess_put_quoted(struct buf *out, struct slice s)
{
	buf_char(out, '"');
	while (s.n) {
		uint32_t point;
		size_t n = utf8_decode(s, &point);

		if (!n)
			buf_str(out, "\\uFFFD");
		else if (point == '"' || point == '\\')
			buf_printf(out, "\\%c", (char)point);
		else if (utf8_is_unsafe(point))
			buf_printf(out, point < 0x10000 ? "\\u%04X" : "\\U%08X", (unsigned)point);
		else
			buf_add(out, slice_upto(s, n));
		s = slice_from(s, n ? n : 1);
	}
	buf_char(out, '"');
}

enum {
	REMARK_COLUMN = 40,    /* where remarks begin: most settings are shorter */
	HEADING_MOST = 100     /* bytes: a column with a longer heading is named by its number */
};

/* A remark behind what was written since `start`, at a column that they share. */
void guess_put_remark(struct buf *out, size_t start, const char *text)
{
	size_t width = utf8_width(slice_from(buf_slice(out), start));

	buf_fill(out, ' ', width < REMARK_COLUMN ? REMARK_COLUMN - width : 2);
	buf_printf(out, "# %s\n", text);
}

/* Text that a mapping can hold as it is. */
static bool is_plain(struct slice s)
{
	while (s.n) {
		uint32_t point;
		size_t n = utf8_decode(s, &point);

		if (!n || utf8_is_unsafe(point) || point == 0xfffd)
			return false;
		s = slice_from(s, n);
	}
	return true;
}

static bool is_own_heading(const struct guess *g, size_t c)
{
	struct slice name = buf_slice(&g->column[c].heading);

	if (!g->header || !name.n || name.n > HEADING_MOST || !is_plain(name))
		return false;
	for (size_t i = 0; i < g->ncols; i++)
		if (i != c && slice_eq(buf_slice(&g->column[i].heading), name))
			return false;
	for (size_t i = 0; g->header > 1 && i < g->ncols; i++)
		for (size_t r = g->skip; r < g->first; r++)
			if (i != c && i < g->row[r].n && slice_eq(cell_number_trim(g->row[r].cell[i]), name))
				return false;
	return true;
}

void guess_put_column(struct guess *g, size_t c)
{
	if (is_own_heading(g, c))
		guess_put_quoted(g->out, buf_slice(&g->column[c].heading));
	else
		buf_printf(g->out, "%zu", c + 1);
}
