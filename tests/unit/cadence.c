/* cadence.c - gaps, clock steps and new intervals in series made for each; and the set of readings. */
#include <stdio.h>
#include <stdlib.h>

#include "base/text.h"
#include "intake/dedup.h"
#include "time/cadence.h"

static int failures;

static void show(struct buf *b, const struct cadence_find *f)
{
	static const char *const kinds[] = { "gap", "back", "shift", "interval" };

	buf_printf(b, "%s %lld..%lld by %lld", kinds[f->kind], (long long)f->from.t_s, (long long)f->to.t_s, (long long)f->by_s);
	if (f->missing)
		buf_printf(b, " (%lld)", (long long)f->missing);
	buf_str(b, "; ");
}

/* `series` lists instants in minutes, ended by -1. */
static void watch(const char *what, int64_t interval_s, const int *series, const char *wanted)
{
	struct cadence c;
	struct cadence_finds out = { 0 };
	struct buf b = BUF_INIT;

	cadence_init(&c, interval_s);
	for (int i = 0; series[i] >= 0; i++)
		cadence_add(&c, (struct cadence_mark){ series[i], (uint64_t)i + 1, 0 }, false, &out);
	cadence_end(&c, &out);
	for (size_t i = 0; i < out.n; i++)
		show(&b, &out.row[i]);
	if (!slice_eq(buf_slice(&b), slice_of(wanted))) {
		failures++;
		printf("failed: %s\n  wanted %s\n  got    %s\n", what, wanted, buf_cstr(&b));
	}
	buf_release(&b);
	free(out.row);
}

static void series(void)
{
	watch("regular", 0, (int[]){ 0, 600, 1200, 1800, 2400, 3000, -1 }, "");
	watch("two readings say nothing", 0, (int[]){ 0, 600, 90000, -1 }, "");
	watch("a gap", 0, (int[]){ 0, 600, 1200, 1800, 5400, 6000, 6600, 7200, -1 }, "gap 1800..5400 by 3600 (5); ");
	watch("a gap of one", 0, (int[]){ 0, 600, 1200, 1800, 3000, 3600, 4200, -1 }, "gap 1800..3000 by 1200 (1); ");
	watch("a gap at the end", 600, (int[]){ 0, 600, 1200, 3600, -1 }, "gap 1200..3600 by 2400 (3); ");
	watch("a gap at the start", 0, (int[]){ 0, 1800, 2400, 3000, 3600, 4200, -1 }, "gap 0..1800 by 1800 (2); ");
	watch("seconds of jitter", 0, (int[]){ 0, 601, 1199, 1800, 2402, 3001, 3600, -1 }, "");
	watch("an odd reading", 0, (int[]){ 0, 600, 1200, 1437, 1800, 2400, 3000, 3600, -1 }, "");
	watch("two odd readings", 600, (int[]){ 0, 600, 1200, 1437, 1500, 1800, 2400, 3000, 3600, -1 }, "");
	watch("the clock set on", 0, (int[]){ 0, 600, 1200, 1800, 2580, 3180, 3780, 4380, 4980, -1 }, "shift 1800..2580 by 180; ");
	watch("the clock set back a little", 0, (int[]){ 0, 600, 1200, 1800, 2220, 2820, 3420, 4020, -1 }, "shift 1800..2220 by -180; ");
	watch("begun anew after a gap", 0, (int[]){ 0, 600, 1200, 1800, 9100, 9700, 10300, 10900, -1 },
		"gap 1800..9100 by 7300 (11); shift 1800..9100 by 100; ");
	watch("the clock set back", 0, (int[]){ 0, 600, 1200, 1800, 2400, 1200, 1800, 2400, 3000, -1 }, "back 2400..1200 by 1200; ");
	watch("a longer interval", 0, (int[]){ 0, 600, 1200, 1800, 2400, 3000, 3600, 4200, 4800, 5400, 6000, 6600, 7200, 7800, 8400, 9000, 9600,
		11400, 13200, 15000, 16800, -1 }, "interval 9600..15000 by 1800; ");
	watch("a shorter interval", 0, (int[]){ 0, 1800, 3600, 5400, 7200, 9000, 10800, 12600, 14400, 16200, 18000, 19800, 21600, 23400,
		25200, 27000, 28800, 29400, 30000, 30600, 31200, -1 }, "interval 28800..30600 by 600; ");
	watch("two gaps alike are gaps", 600, (int[]){ 0, 600, 1200, 3000, 4800, 5400, 6000, -1 },
		"gap 1200..3000 by 1800 (2); gap 3000..4800 by 1800 (2); ");
	watch("a told interval does not change", 600, (int[]){ 0, 1200, 2400, 3600, -1 },
		"gap 0..1200 by 1200 (1); gap 1200..2400 by 1200 (1); gap 2400..3600 by 1200 (1); ");
	watch("by hand", 0, (int[]){ 0, 30000, 90000, 110000, 170000, 175000, 260000, 290000, 900000, 930000, -1 },
		"gap 290000..900000 by 610000; ");
	watch("not watched", -1, (int[]){ 0, 600, 1200, 90000, 600, -1 }, "");
	watch("equal instants", 600, (int[]){ 0, 0, 600, 600, 1200, -1 }, "");
	watch("nothing", 0, (int[]){ -1 }, "");
}

static void readings_seen(void)
{
	struct dedup s = { 0 };
	int wrong = 0;

	for (int i = 0; i < 100000; i++)
		wrong += dedup_add(&s, (uint32_t)i % 7, i / 7 * 60 - 3000000, (uint64_t)i) != DEDUP_NEW;
	for (int i = 0; i < 100000; i++)
		wrong += dedup_add(&s, (uint32_t)i % 7, i / 7 * 60 - 3000000, (uint64_t)i) != DEDUP_SAME;
	wrong += dedup_add(&s, 3, -3000000, 99) != DEDUP_UNLIKE;
	wrong += dedup_add(&s, DEDUP_SERIES_MOST - 1, -62135596800, 1) != DEDUP_NEW;
	wrong += dedup_add(&s, 0, 253402300799, 1) != DEDUP_NEW;
	if (wrong || s.n != 100002) {
		failures++;
		printf("failed: the set of readings: %d wrong of %zu\n", wrong, s.n);
	}
	dedup_release(&s);
}

int main(void)
{
	series();
	readings_seen();
	return failures != 0;
}
