/* Work on several threads: each piece is done once, whatever the number of threads, and the caller hears of it. */
#include "base/parallel.h"

#include <pthread.h>

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

/* A run in a piece of a run: all of it by one thread, one piece after another. */
static struct {
	pthread_t thread[PIECES];
	size_t next[PIECES];
	int wrong[PIECES];
} inner;

static void in_piece(void *context, size_t i)
{
	size_t outer = *(const size_t *)context;

	if (!pthread_equal(pthread_self(), inner.thread[outer]) || i != inner.next[outer]++)
		inner.wrong[outer]++;
}

static void run_again(void *context, size_t i)
{
	(void)context;
	inner.thread[i] = pthread_self();
	parallel_run(&(struct parallel){ in_piece, NULL, &i }, 50, 4);
}

static void nested(void)
{
	parallel_run(&(struct parallel){ run_again, NULL, NULL }, PIECES, 4);
	for (size_t i = 0; i < PIECES; i++) {
		CHECK_CASE(i);
		CHECK(inner.next[i] == 50 && inner.wrong[i] == 0);
	}
	CHECK_CASE(-1);
}

/* Short runs one after another: what the caller writes between two is seen, and what the pieces write. */
enum { ROUNDS = 400, ROUND_MOST = 40 };

struct rounds {
	int at, times[ROUND_MOST];
	long sum[ROUND_MOST];
};

static void take(void *context, size_t i)
{
	struct rounds *r = context;

	r->times[i]++;
	r->sum[i] += r->at;
}

static void in_rounds(size_t jobs)
{
	struct rounds r = { 0 };
	long sum[ROUND_MOST] = { 0 };
	int times[ROUND_MOST] = { 0 };

	for (r.at = 0; r.at < ROUNDS; r.at++) {
		size_t n = (size_t)(r.at * 7) % (ROUND_MOST + 1);

		parallel_run(&(struct parallel){ take, NULL, &r }, n, jobs);
		for (size_t i = 0; i < n; i++) {
			times[i]++;
			sum[i] += r.at;
		}
		CHECK(memcmp(times, r.times, sizeof times) == 0);
	}
	CHECK(memcmp(sum, r.sum, sizeof sum) == 0);
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
		in_rounds(jobs[k]);
	}
	parallel_run(&(struct parallel){ count, NULL, &seen }, 1, 4);
	CHECK_INT(seen.times[0], 2);
	parallel_run(&(struct parallel){ count, NULL, &seen }, 0, 0);
	nested();
	return check_end();
}
