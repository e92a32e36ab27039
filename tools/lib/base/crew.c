#include "base/crew.h"

#include <pthread.h>
#include <sched.h>
#include <stddef.h>
#include <stdint.h>
#include <stdlib.h>
#include <time.h>
#include <unistd.h>

#include "base/hold_signals.h"
#include "base/mem.h"

enum {
	MATES_MOST = 256,
	LOOKS = 64,                /* between two looks at the clock */
	PATIENCE_NS = 3000000      /* before a thread sleeps: about what it takes to wake it where that takes long */
};

/* A thread of the crew. Its errand: none, one that was sent and can be called back, or `begun`. */
struct mate {
	_Atomic(struct errand *) errand;
	atomic_int core;           /* of who started or called it */
	atomic_bool asleep;        /* until it is called */
	pthread_cond_t called;
};

static struct errand begun;

static struct {
	pthread_mutex_t lock;      /* of going to sleep, and of new mates */
	pthread_cond_t finished;   /* an errand is done, and somebody may sleep until it is */
	atomic_size_t sleepers;    /* who do */
	atomic_size_t n;
	struct mate *mate[MATES_MOST];
} crew = { .lock = PTHREAD_MUTEX_INITIALIZER, .finished = PTHREAD_COND_INITIALIZER };

static pthread_once_t forks = PTHREAD_ONCE_INIT;

/* ---- looking, before sleeping */

static int64_t now_ns(void)
{
	struct timespec t;

	clock_gettime(CLOCK_MONOTONIC, &t);
	return (int64_t)t.tv_sec * 1000000000 + t.tv_nsec;
}

static void look_again(void)
{
#if defined __x86_64__ || defined __i386__
	__builtin_ia32_pause();
#endif
}

/* Whether it came in time. */
static bool look_for(bool (*has_come)(const void *), const void *of)
{
	int64_t end = now_ns() + PATIENCE_NS;

	do
		for (int i = 0; i < LOOKS; i++) {
			if (has_come(of))
				return true;
			look_again();
		}
	while (now_ns() < end);
	return false;
}

static bool is_sent(const void *mate)
{
	return atomic_load(&((const struct mate *)mate)->errand) != NULL;
}

static bool is_done(const void *errand)
{
	return atomic_load(&((const struct errand *)errand)->done);
}

/* ---- a mate's life */

/*
 * A system may start or wake a thread on the core of who asks for it, to wait there until that one's time is up, while other
 * cores have nothing to do. Then it goes to any of the others; later the system moves it as it likes.
 */
static void leave_core(int core)
{
	cpu_set_t all, others;

	if (core < 0 || core >= CPU_SETSIZE || sched_getcpu() != core || sched_getaffinity(0, sizeof all, &all))
		return;
	others = all;
	CPU_CLR((size_t)core, &others);
	if (!CPU_COUNT(&others) || sched_setaffinity(0, sizeof others, &others))
		return;
	sched_setaffinity(0, sizeof all, &all);
}

/* The errand's memory is its sender's again as soon as it is done. */
static void finish(struct errand *e)
{
	atomic_store(&e->done, true);
	if (!atomic_load(&crew.sleepers))
		return;
	pthread_mutex_lock(&crew.lock);
	pthread_cond_broadcast(&crew.finished);
	pthread_mutex_unlock(&crew.lock);
}

/* Whoever is free can be sent before its errand is known to be done. */
static void go(struct mate *m)
{
	struct errand *e = atomic_load(&m->errand);

	if (!e || !atomic_compare_exchange_strong(&m->errand, &e, &begun))
		return;
	leave_core(e->core);
	mem_begin_thread();
	e->work(e->context);
	atomic_store(&m->errand, NULL);
	finish(e);
}

static void await_errand(struct mate *m)
{
	if (look_for(is_sent, m))
		return;
	pthread_mutex_lock(&crew.lock);
	atomic_store(&m->asleep, true);
	while (!is_sent(m) && atomic_load(&m->asleep))
		pthread_cond_wait(&m->called, &crew.lock);
	atomic_store(&m->asleep, false);
	pthread_mutex_unlock(&crew.lock);
	leave_core(atomic_load(&m->core));
}

static void *live(void *arg)
{
	struct mate *m = arg;

	leave_core(atomic_load(&m->core));
	while (true) {
		await_errand(m);
		go(m);
	}
	return NULL;
}

/* ---- the crew */

/* To ask the system is to read a file. */
size_t crew_cores(void)
{
	static atomic_size_t cores;
	size_t known = atomic_load(&cores);
	long n;

	if (known)
		return known;
	n = sysconf(_SC_NPROCESSORS_ONLN);
	known = n < 1 ? 1 : n > MATES_MOST ? MATES_MOST : (size_t)n;
	atomic_store(&cores, known);
	return known;
}

static void hold(void)
{
	pthread_mutex_lock(&crew.lock);
}

static void let_go(void)
{
	pthread_mutex_unlock(&crew.lock);
}

/* A process that was forked has the forking thread alone. */
static void have_none(void)
{
	atomic_store(&crew.n, 0);
	pthread_mutex_unlock(&crew.lock);
}

static void watch_forks(void)
{
	pthread_atfork(hold, let_go, have_none);
}

/* Signals are for the program's own thread. */
static bool start(struct mate *m)
{
	pthread_t thread;
	sigset_t was;
	bool started;

	hold_signals(&was);
	started = pthread_create(&thread, NULL, live, m) == 0;
	let_signals(&was);
	if (started)
		pthread_detach(thread);
	return started;
}

/* With an errand, or NULL. */
static struct mate *new_mate(struct errand *e)
{
	struct mate *m = NULL;
	size_t n;

	pthread_once(&forks, watch_forks);
	pthread_mutex_lock(&crew.lock);
	n = atomic_load(&crew.n);
	if (n < MATES_MOST) {
		m = mem_zeroed(1, sizeof *m);
		atomic_init(&m->core, sched_getcpu());
		atomic_init(&m->errand, e);
		pthread_cond_init(&m->called, NULL);
		if (start(m)) {
			crew.mate[n] = m;
			atomic_store(&crew.n, n + 1);
		} else {
			pthread_cond_destroy(&m->called);
			free(m);
			m = NULL;
		}
	}
	pthread_mutex_unlock(&crew.lock);
	return m;
}

static void call(struct mate *m)
{
	if (!atomic_load(&m->asleep))
		return;
	pthread_mutex_lock(&crew.lock);
	atomic_store(&m->core, sched_getcpu());
	atomic_store(&m->asleep, false);
	pthread_cond_signal(&m->called);
	pthread_mutex_unlock(&crew.lock);
}

void crew_ready(size_t n)
{
	for (size_t i = 0; i < atomic_load(&crew.n); i++)
		call(crew.mate[i]);
	while (atomic_load(&crew.n) < n && new_mate(NULL))
		;
}

/* ---- errands */

static struct mate *free_mate(struct errand *e)
{
	for (size_t i = 0; i < atomic_load(&crew.n); i++) {
		struct errand *none = NULL;

		if (!atomic_compare_exchange_strong(&crew.mate[i]->errand, &none, e))
			continue;
		call(crew.mate[i]);
		return crew.mate[i];
	}
	return NULL;
}

void crew_send(struct errand *e)
{
	atomic_init(&e->done, false);
	e->core = sched_getcpu();
	e->mate = free_mate(e);
	if (!e->mate && atomic_load(&crew.n) < crew_cores() - 1)
		e->mate = new_mate(e);
}

/* Whether the errand comes back undone. */
static bool call_back(struct errand *e)
{
	struct errand *sent = e;

	return !e->mate || atomic_compare_exchange_strong(&e->mate->errand, &sent, NULL);
}

static void await_done(const struct errand *e)
{
	if (look_for(is_done, e))
		return;
	pthread_mutex_lock(&crew.lock);
	atomic_fetch_add(&crew.sleepers, 1);
	while (!is_done(e))
		pthread_cond_wait(&crew.finished, &crew.lock);
	atomic_fetch_sub(&crew.sleepers, 1);
	pthread_mutex_unlock(&crew.lock);
}

void crew_await(struct errand *e)
{
	if (call_back(e))
		e->work(e->context);
	else
		await_done(e);
}

void crew_recall(struct errand *e)
{
	if (!call_back(e))
		await_done(e);
}
