#include "base/parallel.h"

#include <stdatomic.h>
#include <stdbool.h>
#include <stdlib.h>

#include "base/crew.h"
#include "base/mem.h"

struct pool {
	const struct parallel *p;
	size_t n;
	atomic_size_t next, done;
};

size_t parallel_jobs(size_t jobs)
{
	return jobs ? jobs : crew_cores();
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

static void help(void *pool)
{
	work(pool, false);
}

void parallel_run(const struct parallel *p, size_t n, size_t jobs)
{
	struct pool pool = { .p = p, .n = n };
	size_t most = parallel_jobs(jobs), helpers;
	struct errand *errand;

	most = most < n ? most : n;
	helpers = busy || !most ? 0 : most - 1;
	errand = mem_array(helpers, sizeof *errand);
	if (jobs && helpers)
		crew_ready(helpers);
	for (size_t i = 0; i < helpers; i++) {
		errand[i] = (struct errand){ .work = help, .context = &pool };
		crew_send(&errand[i]);
	}
	work(&pool, true);
	for (size_t i = 0; i < helpers; i++)
		crew_recall(&errand[i]);
	free(errand);
}
