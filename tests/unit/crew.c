/* Threads that wait for work: it is done once, by whom it should be, and is seen; also after they slept, and in a forked process. */
#include "base/crew.h"

#include <pthread.h>
#include <sys/wait.h>
#include <time.h>
#include <unistd.h>

#include "check.h"

enum { ERRANDS = 40, ROUNDS = 300 };

static void nap(long ms)
{
	nanosleep(&(struct timespec){ ms / 1000, ms % 1000 * 1000000 }, NULL);
}

/* ---- errands that write */

struct job {
	int times;
	pthread_t by;
};

static void do_job(void *context)
{
	struct job *job = context;

	job->times++;
	job->by = pthread_self();
}

/* More than there are threads, and each of them once. */
static void all_are_done(void)
{
	struct errand errand[ERRANDS];
	struct job job[ERRANDS] = { 0 };

	for (int round = 1; round <= ROUNDS; round++) {
		for (int i = 0; i < ERRANDS; i++) {
			errand[i] = (struct errand){ .work = do_job, .context = &job[i] };
			crew_send(&errand[i]);
		}
		for (int i = 0; i < ERRANDS; i++)
			crew_await(&errand[i]);
		for (int i = 0; i < ERRANDS; i++)
			if (job[i].times != round)
				CHECK_INT(job[i].times, round);
	}
	CHECK_INT(job[0].times, ROUNDS);
}

/* ---- errands that last until they are told to end */

static atomic_int held;
static atomic_bool may_end;

static void hold(void *unused)
{
	(void)unused;
	atomic_fetch_add(&held, 1);
	while (!atomic_load(&may_end))
		nap(1);
}

/* Seconds at most, so that a thread that is not there is a failure and not an endless test. */
static bool becomes(const atomic_int *value, int wanted)
{
	for (int i = 0; i < 20000 && atomic_load(value) != wanted; i++)
		nap(1);
	return atomic_load(value) == wanted;
}

/* Where nobody is free the caller does it, or leaves it out. */
static void nobody_is_free(void)
{
	struct errand holding[2] = { { .work = hold }, { .work = hold } };
	struct job job = { 0 };
	struct errand e = { .work = do_job, .context = &job };

	crew_ready(2);
	crew_send(&holding[0]);
	crew_send(&holding[1]);
	CHECK(becomes(&held, 2));
	crew_send(&e);
	crew_recall(&e);
	CHECK_INT(job.times, 0);
	crew_send(&e);
	crew_await(&e);
	CHECK(job.times == 1 && pthread_equal(job.by, pthread_self()));
	atomic_store(&may_end, true);
	crew_await(&holding[0]);
	crew_await(&holding[1]);
	CHECK_INT(atomic_load(&held), 2);
}

/* ---- threads that slept */

static atomic_int waved;

static void wave(void *by)
{
	*(pthread_t *)by = pthread_self();
	atomic_fetch_add(&waved, 1);
}

/* An errand is begun without anybody waiting for it; `ready`: the thread was called before. */
static void wakes(bool ready)
{
	pthread_t by = pthread_self();
	struct errand e = { .work = wave, .context = &by };
	int before = atomic_load(&waved);

	nap(30);
	if (ready)
		crew_ready(2);
	crew_send(&e);
	CHECK(becomes(&waved, before + 1));
	crew_await(&e);
	CHECK_INT(atomic_load(&waved), before + 1);
	CHECK(!pthread_equal(by, pthread_self()));
}

/* ---- a forked process, which has no such threads */

static void forked(void)
{
	int status = -1;
	pid_t pid = fork();

	if (pid == 0) {
		struct job job = { 0 };
		struct errand e = { .work = do_job, .context = &job };

		alarm(20);
		crew_send(&e);
		crew_await(&e);
		_exit(job.times == 1 ? 0 : 1);
	}
	CHECK(pid > 0 && waitpid(pid, &status, 0) == pid);
	CHECK_INT(status, 0);
}

int main(void)
{
	all_are_done();
	nobody_is_free();
	for (int i = 0; i < 5; i++) {
		CHECK_CASE(i);
		wakes(false);
		wakes(true);
	}
	CHECK_CASE(-1);
	forked();
	all_are_done();
	return check_end();
}
