/*
 * The days of a step against the definition, piece by piece: after each day on which some went on, the share of those
 * still at risk that did not is multiplied; the median is the first day on which half or less are left, or the middle
 * of two where it is exactly half between them. A step's row has the pieces of all of its cells; the row of all steps has
 * no days.
 */
#include <math.h>
#include <stdlib.h>

#include "yield/yield_days.h"
#include "yield/yield_rows.h"
#include "check.h"
#include "thrown.h"

enum { CELLS = 4, STAYS_MOST = 12, PIECES_MOST = 5, DAYS = 6, ROUNDS = 3000, ROWS = 3 };

static const uint32_t STEP[CELLS] = { STAGE_YARD, STAGE_YARD, STAGE_KILN, STAGE_GONE };

/* The first day after which at most `left` are left; NAN: none. */
static double brute(const struct stage_stay *stay, size_t n, uint32_t step, double left)
{
	double share = 1, level = (double)NAN;

	for (int day = 0; day < DAYS && step != YIELD_ALL_STEPS; day++) {
		int64_t risk = 0, went = 0;

		for (size_t i = 0; i < n; i++) {
			if (STEP[stay[i].cell] != step || stay[i].days < day)
				continue;
			risk += stay[i].n;
			went += stay[i].days == day && stay[i].end == STAGE_END_OUT ? stay[i].n : 0;
		}
		if (!went)
			continue;
		if (!isnan(level))
			return (level + day) / 2;
		share *= (double)(risk - went) / (double)risk;
		if (share < left - 1e-9)
			return day;
		level = share <= left + 1e-9 ? day : (double)NAN;
	}
	return level;
}

static void check_day(double got, double want)
{
	if (isnan(want))
		CHECK(isnan(got));
	else
		CHECK_NEAR(got, want, 1e-12);
}

static void throw_stay(struct stage_stay *stay)
{
	stay->cell = thrown_below(CELLS);
	stay->since = (int32_t)thrown_below(3);
	stay->days = (int32_t)thrown_below(DAYS);
	stay->end = thrown_below(3) ? STAGE_END_OUT : (enum stage_end)thrown_below(5);
	stay->n = 1 + thrown_below(PIECES_MOST);
}

static void check_round(const struct stock *stock, const struct provenance *origins)
{
	static const struct yield_ask ask = { .from = INT32_MIN, .to = INT32_MAX, .since = INT32_MIN };
	struct stage_cell cell[CELLS];
	struct stage_stay stay[STAYS_MOST];
	struct stages stages = { .stock = stock, .from = INT32_MIN, .cell = cell, .ncells = CELLS, .stay = stay, .nstays = thrown_below(STAYS_MOST + 1) };
	struct yield_rows rows;
	struct yield_days *days;

	for (uint32_t i = 0; i < CELLS; i++)
		cell[i] = (struct stage_cell){ .step = STEP[i], .n = { [STAGE_IN] = 1 } };
	for (size_t i = 0; i < stages.nstays; i++)
		throw_stay(&stay[i]);
	yield_rows_init(&rows, &ask, &stages, origins);
	days = yield_days_of(&rows);
	CHECK_INT(rows.nrows, ROWS);
	for (size_t i = 0; i < rows.nrows; i++) {
		check_day(days[i].median, brute(stay, stages.nstays, rows.row[i].head.step, 0.5));
		check_day(days[i].most, brute(stay, stages.nstays, rows.row[i].head.step, 0.1));
		CHECK(isnan(days[i].low) || isnan(days[i].median) || days[i].low <= days[i].median + 1e-9);
		CHECK(isnan(days[i].high) || days[i].high >= days[i].median - 1e-9);
	}
	free(days);
	yield_rows_release(&rows);
}

int main(void)
{
	struct stock stock;
	struct provenance origins;

	thrown_seed = 11;
	stock_init(&stock, NULL);
	provenance_init(&origins, &stock.ids);
	provenance_end(&origins);
	for (int i = 0; i < ROUNDS; i++) {
		CHECK_CASE(i);
		check_round(&stock, &origins);
	}
	provenance_release(&origins);
	stock_release(&stock);
	return check_end();
}
