#include "stock/stock_cells.h"

#include "time/stamp.h"

void stock_cell_day(struct table *t, int32_t day)
{
	struct buf text = BUF_INIT;

	day_write(&text, day);
	table_date(t, buf_slice(&text));
	buf_release(&text);
}

void stock_cell_word(struct table *t, struct slice word)
{
	if (word.n)
		table_text(t, word);
	else
		table_absent(t);
}

void stock_cells_line(struct table *t, const char *path, uint64_t line)
{
	struct buf text = BUF_INIT;
	const char *name = path;

	for (const char *p = path; *p; p++)
		name = *p == '/' && p[1] ? p + 1 : name;
	buf_printf(&text, "%s:%llu", name, (unsigned long long)line);
	table_cstr(t, path);
	table_text(t, buf_slice(&text));
	buf_release(&text);
}
