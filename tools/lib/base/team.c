#include "base/team.h"

#include <pthread.h>
#include <stdatomic.h>
#include <stdbool.h>
#include <stdint.h>
#include <stdlib.h>

#include "base/mem.h"
#include "base/parallel.h"

/* Looks at the round before a thread goes to sleep: some fifty millionths of a second, in which the next one mostly comes. */
enum { LOOKS = 1000 };

/*
 * A round in one word, so that a thread which comes late takes a piece of the round that is, or none: how many rounds were begun,
 * how many pieces it has, and which is the next.
 */
enum { BITS = 24 };

#define PIECES(round) ((round) >> BITS & TEAM_PIECES_MOST)
#define NEXT(round) ((round) & TEAM_PIECES_MOST)

struct team {
	atomic_uint_fast64_t round;
	atomic_size_t done;        /* pieces of the round */
	void (*work)(void *context, size_t i); /* set before the round is, and read by who has a piece of it */
	void *context;
	pthread_mutex_t lock;      /* of what follows, and of going to sleep */
	pthread_cond_t begun, finished;
	atomic_bool over;
	size_t nthreads;
	pthread_t thread[];
};

static bool has_pieces(uint_fast64_t round)
{
	return NEXT(round) < PIECES(round);
}

static void look_again(void)
{
#if defined __x86_64__ || defined __i386__
	__builtin_ia32_pause();
#endif
}

/* ---- a round */

/* The last piece wakes the caller, which may sleep. */
static void do_pieces(struct team *team)
{
	uint_fast64_t round = atomic_load(&team->round);

	while (has_pieces(round)) {
		if (!atomic_compare_exchange_weak(&team->round, &round, round + 1))
			continue;
		team->work(team->context, NEXT(round));
		if (atomic_fetch_add(&team->done, 1) + 1 == PIECES(round)) {
			pthread_mutex_lock(&team->lock);
			pthread_cond_signal(&team->finished);
			pthread_mutex_unlock(&team->lock);
		}
		round = atomic_load(&team->round);
	}
}

static void await_round(struct team *team)
{
	for (int i = 0; i < LOOKS; i++) {
		if (has_pieces(atomic_load(&team->round)) || atomic_load(&team->over))
			return;
		look_again();
	}
	pthread_mutex_lock(&team->lock);
	while (!has_pieces(atomic_load(&team->round)) && !atomic_load(&team->over))
		pthread_cond_wait(&team->begun, &team->lock);
	pthread_mutex_unlock(&team->lock);
}

static void *help(void *arg)
{
	struct team *team = arg;

	while (!atomic_load(&team->over)) {
		await_round(team);
		do_pieces(team);
	}
	return NULL;
}

static void await_done(struct team *team, size_t n)
{
	for (int i = 0; i < LOOKS && atomic_load(&team->done) < n; i++)
		look_again();
	pthread_mutex_lock(&team->lock);
	while (atomic_load(&team->done) < n)
		pthread_cond_wait(&team->finished, &team->lock);
	pthread_mutex_unlock(&team->lock);
}

void team_run(struct team *team, void (*work)(void *context, size_t i), void *context, size_t n)
{
	uint_fast64_t begun = (atomic_load(&team->round) >> 2 * BITS) + 1;

	if (!n)
		return;
	team->work = work;
	team->context = context;
	atomic_store(&team->done, 0);
	atomic_store(&team->round, begun << 2 * BITS | (uint_fast64_t)n << BITS);
	pthread_mutex_lock(&team->lock);
	pthread_cond_broadcast(&team->begun);
	pthread_mutex_unlock(&team->lock);
	do_pieces(team);
	await_done(team, n);
}

/* ---- the team */

struct team *team_new(size_t jobs)
{
	size_t most = (jobs ? jobs : parallel_jobs(0)) - 1;
	struct team *team = mem_zeroed(1, sizeof *team + most * sizeof *team->thread);

	pthread_mutex_init(&team->lock, NULL);
	pthread_cond_init(&team->begun, NULL);
	pthread_cond_init(&team->finished, NULL);
	while (team->nthreads < most && pthread_create(&team->thread[team->nthreads], NULL, help, team) == 0)
		team->nthreads++;
	return team;
}

void team_free(struct team *team)
{
	pthread_mutex_lock(&team->lock);
	atomic_store(&team->over, true);
	pthread_cond_broadcast(&team->begun);
	pthread_mutex_unlock(&team->lock);
	for (size_t i = 0; i < team->nthreads; i++)
		pthread_join(team->thread[i], NULL);
	pthread_cond_destroy(&team->begun);
	pthread_cond_destroy(&team->finished);
	pthread_mutex_destroy(&team->lock);
	free(team);
}
