/*
 * What stock_log_add() packs, stock_log_read() gives back: random lines, with the smallest and the largest of each number.
 * stock_lines gives them by days, in the order in which they were added, as does sorting all of them at once. Both hold
 * with all records in memory, and with a few of them.
 */
#include <stdlib.h>

#include "stock/stock.h"
#include "stock/stock_lines.h"
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

static struct stock_op any_op(const struct event_def *event, uint32_t rest_most)
{
	uint32_t subject = 1 + next(100000);
	struct stock_op op = { .event = event, .day = (int32_t)any_number(3000000) - (next(2) ? 0 : 720000), .second = next(2) ? STOCK_UNTIMED : (int32_t)next(200000) - 50000,
		.line = next(8) ? next(100000) : UINT64_C(1) << 38, .file = next(2) ? 0 : any_number(0xffffff), .whose_col = any_number(65537), .count_col = any_number(65537),
		.form = (int32_t)next(5) - 1, .counted = next(2), .measured = next(2), .uncounted = next(2), .subject = subject, .lot = any_id(subject), .at = any_id(subject),
		.into = any_id(subject), .type = any_id(0), .grade = any_id(0), .class = any_id(0), .party = any_id(0), .order = any_number(90000), .by = next(9),
		.blade = any_number(90000), .handle = any_number(90000), .found = (int32_t)any_number(1000000000), .nrest = any_number(rest_most) };

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
	CHECK_INT(got->nrest, want->nrest);
}

static struct stock_op op[OPS];
static struct stock_item item[OPS][2 * ITEMS_MOST];
static size_t place[OPS];
static char rests[UINT16_MAX + 2 + OPS];

/* Each op has its own, and most differ. */
static struct slice rest_of(size_t i)
{
	return (struct slice){ rests + i, op[i].nrest };
}

static void make_ops(void)
{
	static struct vocab vocab;

	vocab_init(&vocab);
	for (size_t i = 0; i < sizeof rests; i++)
		rests[i] = (char)('a' + next(26));
	for (size_t i = 0; i < OPS; i++) {
		op[i] = any_op(vocab.events[next((uint32_t)vocab.nevents)], next(50) ? 40 : UINT16_MAX + 2);
		for (uint32_t k = 0; k < op[i].ncounts + op[i].nculls; k++)
			item[i][k] = (struct stock_item){ .type = any_id(0), .grade = any_id(0), .class = any_id(0), .n = (int32_t)any_number(1000000000) };
	}
}

static void add_ops(struct stock_log *log, size_t most)
{
	*log = (struct stock_log){ .records.most = most };
	for (size_t i = 0; i < OPS; i++)
		place[i] = stock_log_add(log, &op[i], item[i], rests + i);
}

static void check_all(const struct stock_op *got, const struct stock_items *items, size_t i)
{
	check_op(got, &op[i]);
	CHECK_INT(got->at_log, place[i]);
	check_items(items->v + got->counts, item[i], op[i].ncounts);
	check_items(items->v + got->culls, item[i] + op[i].culls, op[i].nculls);
}

/* The rests of records in any order. */
static void check_rests(const struct stock_log *log, struct spill_view *view)
{
	for (size_t k = 0; k < OPS; k++) {
		size_t i = next(2) ? k : next(OPS);

		CHECK_CASE(i);
		CHECK(slice_eq(stock_log_rest(log, view, place[i]), rest_of(i)));
	}
}

static void log_keeps_order(size_t most)
{
	struct stock_log log;
	struct stock_items items = { .n = 0 };
	struct spill_view view = SPILL_VIEW_INIT;
	struct stock_op got;
	size_t at = 0;

	add_ops(&log, most);
	CHECK((log.records.filed > 0) == (most > 0));
	for (size_t i = 0; i < OPS; i++) {
		CHECK_CASE(i);
		items.n = 0;
		CHECK_INT(at, place[i]);
		CHECK_INT(stock_log_day(&log, &view, at), op[i].day);
		at = stock_log_read(&log, &view, at, &got, &items);
		check_all(&got, &items, i);
	}
	CHECK_INT(at, spill_size(&log.records));
	CHECK_INT(items.n, op[OPS - 1].ncounts + op[OPS - 1].nculls);
	check_rests(&log, &view);
	free(items.v);
	spill_view_release(&view);
	stock_log_release(&log);
}

static int by_day(const void *a, const void *b)
{
	const size_t *x = a, *y = b;

	if (op[*x].day != op[*y].day)
		return op[*x].day < op[*y].day ? -1 : 1;
	return (*x > *y) - (*x < *y);
}

static void lines_come_by_days(size_t most)
{
	static size_t order[OPS];
	struct stock_log log;
	struct stock_items items = { .n = 0 };
	struct stock_lines lines;
	struct stock_op got;
	int32_t day;

	add_ops(&log, most);
	for (size_t i = 0; i < OPS; i++)
		order[i] = i;
	qsort(order, OPS, sizeof *order, by_day);
	stock_lines_init(&lines, &log, true);
	for (size_t i = 0; i < OPS; i++, items.n = 0) {
		CHECK_CASE(i);
		if (!CHECK(stock_lines_day(&lines, &day)))
			break;
		CHECK_INT(day, op[order[i]].day);
		stock_lines_next(&lines, &got, &items);
		check_all(&got, &items, order[i]);
	}
	CHECK(!stock_lines_day(&lines, &day));
	stock_lines_release(&lines);
	free(items.v);
	stock_log_release(&log);
}

int main(void)
{
	make_ops();
	log_keeps_order(0);
	log_keeps_order(1);
	log_keeps_order(100000);
	lines_come_by_days(0);
	lines_come_by_days(100000);
	return check_end();
}
