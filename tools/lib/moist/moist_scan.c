#include "moist/moist_scan.h"

#include <stdlib.h>

#include "book/scan.h"
#include "moist/calibrate.h"
#include "moist/readings.h"

struct worker {
	const struct moist_scan *scan;
	struct readings readings;
	struct calibrate tests;
};

static void *begin(void *arg)
{
	const struct moist_scan *scan = arg;
	struct worker *w = mem_zeroed(1, sizeof *w);

	w->scan = scan;
	readings_init(&w->readings, scan->readings->house, scan->readings->zone, scan->readings->want);
	calibrate_init(&w->tests, scan->readings->house);
	return w;
}

static void lines(void *state, struct reader *reader)
{
	struct worker *w = state;
	const struct line *l;

	while ((l = reader_next(reader))) {
		if (l->kind != LINE_EVENT)
			continue;
		if (!w->scan->tests)
			readings_take(&w->readings, l);
		else if (l->stamp.day >= w->scan->from && l->stamp.day <= w->scan->to)
			calibrate_take(&w->tests, l);
	}
}

static void end(void *arg, void *state)
{
	struct moist_scan *scan = arg;
	struct worker *w = state;

	readings_merge(scan->readings, &w->readings);
	readings_release(&w->readings);
	if (scan->tests)
		calibrate_merge(scan->tests, &w->tests);
	calibrate_release(&w->tests);
	free(w);
}

struct scan_work moist_scan_work(struct moist_scan *scan)
{
	return (struct scan_work){ scan, begin, lines, end };
}
