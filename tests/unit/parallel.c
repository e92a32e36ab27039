/* Work on several threads: each piece is done once, whatever the number of threads, and the caller hears of it. */
#include "base/parallel.h"

#include "check.h"

enum { PIECES = 1000 };

static struct {
	int times[PIECES];
	size_t heard, last;
} seen;

static void count(void *context, size_t i)
{
	CHECK_INT(context == &seen, 1);
	seen.times[i]++;
}

static void hear(void *context, size_t n)
{
	(void)context;
	seen.heard++;
	seen.last = n;
}

static void once(void *context, size_t i)
{
	(void)context;
	seen.times[i]++;
}

int main(void)
{
	static const size_t jobs[] = { 1, 0, 7, 5000 };

	for (size_t k = 0; k < sizeof jobs / sizeof *jobs; k++) {
		CHECK_CASE(k);
		memset(&seen, 0, sizeof seen);
		parallel_run(&(struct parallel){ once, hear, &seen }, PIECES, jobs[k]);
		for (int i = 0; i < PIECES; i++)
			if (seen.times[i] != 1)
				CHECK_INT(seen.times[i], 1);
		CHECK(seen.last <= PIECES && seen.heard <= PIECES);
		CHECK(jobs[k] != 1 || (seen.heard == PIECES && seen.last == PIECES));
	}
	parallel_run(&(struct parallel){ count, NULL, &seen }, 1, 4);
	CHECK_INT(seen.times[0], 2);
	parallel_run(&(struct parallel){ count, NULL, &seen }, 0, 0);
	return check_end();
}
