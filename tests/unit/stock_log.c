/* What stock_log_add() packs, stock_log_read() gives back: random lines, with the smallest and the largest of each number. */
#include <stdlib.h>

#include "stock/stock.h"
#include "stock/stock_log.h"
#include "check.h"

enum { OPS = 3000, ITEMS_MOST = 300 };

static uint64_t seed = 7;

static uint32_t next(uint32_t most)
{
	seed = seed * 6364136223846793005u + 1442695040888963407u;
	return (uint32_t)(seed >> 33) % most;
}

/* Mostly small, else anything, the largest too. */
static uint32_t any_number(uint32_t largest)
{
	switch (next(4)) {
	case 0:
		return 0;
	case 1:
		return largest;
	default:
		return next(largest < 1000 ? largest + 1 : next(2) ? 300 : largest);
	}
}

static uint32_t any_id(uint32_t subject)
{
	switch (next(3)) {
	case 0:
		return STOCK_ANY;
	case 1:
		return subject;
	default:
		return next(70000);
	}
}

static struct stock_op any_op(const struct event_def *event, struct slice rests)
{
	uint32_t subject = 1 + next(100000);
	struct stock_op op = { .event = event, .day = (int32_t)any_number(3000000) - (next(2) ? 0 : 720000), .second = next(2) ? STOCK_UNTIMED : (int32_t)next(200000) - 50000,
		.line = next(8) ? next(100000) : UINT64_C(1) << 38, .file = next(2) ? 0 : any_number(0xffffff), .whose_col = any_number(65537), .count_col = any_number(65537),
		.form = (int32_t)next(5) - 1, .counted = next(2), .measured = next(2), .uncounted = next(2), .subject = subject, .lot = any_id(subject), .at = any_id(subject),
		.into = any_id(subject), .type = any_id(0), .grade = any_id(0), .class = any_id(0), .party = any_id(0), .order = any_number(90000), .by = next(9),
		.blade = any_number(90000), .handle = any_number(90000), .found = (int32_t)any_number(1000000000), .rest = slice_upto(rests, any_number((uint32_t)rests.n)) };

	op.since = next(2) ? op.day : op.day - (int32_t)next(5000);
	op.whose_end = op.whose_col + any_number(300);
	op.count_end = op.count_col + any_number(300);
	op.ncounts = next(20) ? next(4) : next(ITEMS_MOST);
	op.nculls = next(20) ? next(4) : next(ITEMS_MOST);
	op.culls = op.ncounts;
	return op;
}

static void check_items(const struct stock_item *got, const struct stock_item *want, uint32_t n)
{
	for (uint32_t i = 0; i < n; i++)
		CHECK(got[i].type == want[i].type && got[i].grade == want[i].grade && got[i].class == want[i].class && got[i].n == want[i].n);
}

static void check_op(const struct stock_op *got, const struct stock_op *want)
{
	CHECK(got->event == want->event && got->form == want->form);
	CHECK_INT(got->day, want->day);
	CHECK_INT(got->second, want->second);
	CHECK_INT(got->line, want->line);
	CHECK_INT(got->file, want->file);
	CHECK(got->whose_col == want->whose_col && got->whose_end == want->whose_end && got->count_col == want->count_col && got->count_end == want->count_end);
	CHECK(got->counted == want->counted && got->measured == want->measured && got->uncounted == want->uncounted);
	CHECK(got->subject == want->subject && got->lot == want->lot && got->at == want->at && got->into == want->into);
	CHECK(got->type == want->type && got->grade == want->grade && got->class == want->class && got->party == want->party);
	CHECK(got->order == want->order && got->by == want->by && got->blade == want->blade && got->handle == want->handle);
	CHECK(got->found == want->found && got->since == want->since);
	CHECK_INT(got->ncounts, want->ncounts);
	CHECK_INT(got->nculls, want->nculls);
	CHECK(slice_eq(got->rest, want->rest));
}

int main(void)
{
	static struct stock_op op[OPS];
	static struct stock_item item[OPS][2 * ITEMS_MOST];
	static char rests[UINT16_MAX + 2];
	static struct vocab vocab;
	struct stock_log log = { .n = 0 };
	struct stock_items items = { .n = 0 };
	size_t at = 0;

	vocab_init(&vocab);
	memset(rests, 'x', sizeof rests);
	for (size_t i = 0; i < OPS; i++) {
		op[i] = any_op(vocab.events[next((uint32_t)vocab.nevents)], (struct slice){ rests, next(50) ? 40 : sizeof rests });
		for (uint32_t k = 0; k < op[i].ncounts + op[i].nculls; k++)
			item[i][k] = (struct stock_item){ .type = any_id(0), .grade = any_id(0), .class = any_id(0), .n = (int32_t)any_number(1000000000) };
		stock_log_add(&log, &op[i], item[i]);
	}
	for (size_t i = 0; i < OPS; i++) {
		struct stock_op got;

		CHECK_CASE(i);
		items.n = 0;
		CHECK_INT(stock_log_day(&log, at), op[i].day);
		at = stock_log_read(&log, at, &got, &items);
		check_op(&got, &op[i]);
		check_items(items.v + got.counts, item[i], op[i].ncounts);
		check_items(items.v + got.culls, item[i] + op[i].culls, op[i].nculls);
	}
	CHECK_INT(at, log.n);
	CHECK_INT(items.n, op[OPS - 1].ncounts + op[OPS - 1].nculls);
	free(items.v);
	stock_log_release(&log);
	return check_end();
}
