#include "cli/tool_stock_state.h"

#include "stock/stock_batches.h"

static int read_states(struct stock_batches *batches, struct partial *state, struct stock *s)
{
	int status = tool_state_merge(state);

	if (!stock_batches_give(batches, s))
		tool_fail("a row of a state is not one that %s writes; make the state again", state->tool);
	return status;
}

/* What a line that does not add up would have changed is missing, as what could not be read. */
static int read_lines(struct book *b, struct stock_batches *batches, struct partial *state, struct stock *s, int32_t today)
{
	int status = book_stock_read(b, s, INT32_MAX, NULL, NULL);

	stock_whole_find(s, &batches->whole);
	stock_run(s, today, NULL, NULL);
	status = book_stock_tell(b, s) ? TOOL_NO : status;
	stock_batches_take(batches, s);
	state->left_out = b->unread + b->faults;
	return status;
}

int tool_stock_state(struct book *b, struct stock *s, int32_t today)
{
	struct stock_batches batches;
	struct buf settings = BUF_INIT;
	struct partial state = { .tool = "wy-stock", .set = batches.set, .nsets = STOCK_BATCHES_SETS, .once = &batches.whole };
	int status;

	stock_batches_init(&batches);
	stock_batches_settings(today, &settings);
	state.settings = buf_slice(&settings);
	status = tool_state.merge ? read_states(&batches, &state, s) : read_lines(b, &batches, &state, s, today);
	if (tool_state.partial)
		tool_state_print(&state);
	stock_batches_release(&batches);
	buf_release(&settings);
	return status;
}
