/*
 * The median days in a step against the definition: every piece's days sorted, and the middle one, or
 * the two in the middle. A step's row has the pieces of all of its cells, and the row of all steps has
 * those of every step.
 */
#include <stdlib.h>

#include "yield/yield_days.h"
#include "yield/yield_rows.h"
#include "check.h"

enum { CELLS = 4, STAYS_MOST = 12, PIECES_MOST = 5, DAYS = 6, ROUNDS = 3000, ROWS = 3 };

static const uint32_t STEP[CELLS] = { STAGE_YARD, STAGE_YARD, STAGE_KILN, STAGE_GONE };

static uint64_t seed = 11;

static unsigned next(unsigned most)
{
	seed = seed * 6364136223846793005u + 1442695040888963407u;
	return (unsigned)(seed >> 33) % most;
}

static int by_days(const void *a, const void *b)
{
	return *(const int *)a - *(const int *)b;
}

static bool counts_in(uint32_t of, uint32_t step)
{
	return of != STAGE_GONE && (step == YIELD_ALL_STEPS || of == step);
}

/* Twice the median of all pieces of a row, -1 when there are none. */
static int64_t brute(const struct stage_stay *stay, size_t n, uint32_t step)
{
	int days[STAYS_MOST * PIECES_MOST], pieces = 0;

	for (size_t i = 0; i < n; i++)
		for (int64_t k = 0; k < stay[i].n; k++)
			if (counts_in(STEP[stay[i].cell], step))
				days[pieces++] = stay[i].days;
	qsort(days, (size_t)pieces, sizeof *days, by_days);
	return pieces ? (int64_t)days[(pieces - 1) / 2] + days[pieces / 2] : -1;
}

static void check_round(const struct stock *stock, const struct provenance *origins)
{
	static const struct yield_ask ask = { .from = INT32_MIN, .to = INT32_MAX, .since = INT32_MIN };
	struct stage_cell cell[CELLS];
	struct stage_stay stay[STAYS_MOST];
	struct stages stages = { .stock = stock, .cell = cell, .ncells = CELLS, .stay = stay, .nstays = next(STAYS_MOST + 1) };
	struct yield_rows rows;
	int64_t *twice;

	for (uint32_t i = 0; i < CELLS; i++)
		cell[i] = (struct stage_cell){ .step = STEP[i], .n = { [STAGE_IN] = 1 } };
	for (size_t i = 0; i < stages.nstays; i++)
		stay[i] = (struct stage_stay){ next(CELLS), (int32_t)next(DAYS), 1 + next(PIECES_MOST) };
	yield_rows_init(&rows, &ask, &stages, origins);
	twice = yield_days_twice(&rows);
	CHECK_INT(rows.nrows, ROWS);
	for (size_t i = 0; i < rows.nrows; i++)
		CHECK_INT(twice[i], brute(stay, stages.nstays, rows.row[i].head.step));
	free(twice);
	yield_rows_release(&rows);
}

int main(void)
{
	struct stock stock;
	struct provenance origins;

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
