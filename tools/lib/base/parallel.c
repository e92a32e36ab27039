#include "base/parallel.h"

#include <pthread.h>
#include <stdatomic.h>
#include <stdbool.h>
#include <stdlib.h>
#include <unistd.h>

#include "base/mem.h"

enum { JOBS_MOST = 256 };

struct pool {
	const struct parallel *p;
	size_t n;
	atomic_size_t next, done;
};

size_t parallel_jobs(size_t jobs)
{
	long n = jobs ? 1 : sysconf(_SC_NPROCESSORS_ONLN);

	return jobs ? jobs : n < 1 ? 1 : n > JOBS_MOST ? JOBS_MOST : (size_t)n;
}

/* This thread is in a piece of a run. */
static _Thread_local bool busy;

static void work(struct pool *pool, bool calling)
{
	bool was_busy = busy;
	size_t i;

	busy = true;
	while ((i = atomic_fetch_add(&pool->next, 1)) < pool->n) {
		size_t done;

		pool->p->work(pool->p->context, i);
		done = atomic_fetch_add(&pool->done, 1) + 1;
		if (calling && pool->p->done)
			pool->p->done(pool->p->context, done);
	}
	busy = was_busy;
}

static void *help(void *arg)
{
	work(arg, false);
	return NULL;
}

/* A thread that cannot be started is done without. */
void parallel_run(const struct parallel *p, size_t n, size_t jobs)
{
	struct pool pool = { .p = p, .n = n };
	size_t most = parallel_jobs(jobs), started = 0;
	pthread_t *thread;

	most = busy ? 1 : most < n ? most : n;
	thread = mem_array(most, sizeof *thread);
	while (started + 1 < most && pthread_create(&thread[started], NULL, help, &pool) == 0)
		started++;
	work(&pool, true);
	for (size_t i = 0; i < started; i++)
		pthread_join(thread[i], NULL);
	free(thread);
}
