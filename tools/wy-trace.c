/* wy-trace - where a bat, a blade or a lot is from, and who shares its history; wy-trace(1). */
#include "cli/tool_book.h"
#include "stock/stock.h"
#include "trace/read_wood.h"
#include "trace/ties.h"
#include "trace/trace.h"
#include "trace/trace_view.h"
#include "trace/way.h"

static int kind = -1;
static const struct opt options[] = {
	OPT_WORD(0, "kind", &kind, trace_kind_words, "what the id is, where it is several things"),
	OPT_PART(tool_answer_options),
	OPT_END
};

static const struct opt_page page = {
	.name = "wy-trace",
	.purpose = "where a bat, a blade or a lot is from, and who shares its history",
	.usage = "[options] ID [FILE...]",
	.options = options,
	.exits = BOOK_STOCK_EXITS("no such id"),
	.example = "wy-trace -b B0635\nthe bat's origin, way, places, moisture, and what shares them",
};

static struct book book;
static struct stock stock;
static struct trace trace;

static void take(void *context, const struct line *l)
{
	trace_take(context, l);
}

int main(int argc, char **argv)
{
	int status;
	const char *id;
	unsigned kinds;

	tool_start(&page, argc, argv);
	if (!tool.n_operands)
		tool_misused("no id");
	id = tool.operands[0];
	tool.operands++;
	tool.n_operands--;
	book_start(&book, 0);
	book_stock_init(&book, &stock);
	trace_init(&trace, book.house, book.zone, &stock, book_today(&book));
	status = book_stock_read(&book, &stock, trace.today, take, &trace);
	trace_end(&trace);
	kinds = trace_look(&trace, slice_of(id));
	if (!kinds)
		tool_fail("no such id");
	if (kind < 0)
		for (kind = 0; !(kinds & 1u << kind); kind++)
			;
	trace_choose(&trace, slice_of(id), (enum trace_kind)kind);
	{
		struct ties ties;
		struct way way;
		struct read_wood read;
		struct table t[6];
		const struct table *all[6];
		struct trace_found f = { &trace, &ties, &way, &read, tool_form() == TABLE_AS_TEXT };

		ties_find(&ties, &trace);
		way_find(&way, &trace, &ties);
		read_wood_find(&read, &trace, &ties);
		trace_view_origin(&f, &t[0]);
		trace_view_way(&f, &t[1]);
		trace_view_places(&f, &t[2]);
		trace_view_moisture(&f, &t[3]);
		trace_view_ties(&f, &t[4]);
		trace_view_notes(&f, &t[5]);
		for (int i = 0; i < 6; i++)
			all[i] = &t[i];
		tool_print_tables(all, 6);
	}
	return tool_finish(status);
}
