/*
 * crew.h - threads that wait for work while the calling thread does its own.
 *
 *	crew_ready(1);              as early as it is known that there will be work for them
 *	...
 *	struct errand e = { work, context };
 *	crew_send(&e);
 *	... what has nothing to do with it
 *	crew_await(&e);
 *
 * To start a thread, or to wake one that sleeps, can take milliseconds until a core has it: as long as a small book is read. So a
 * thread that has nothing to do looks for work a while before it sleeps, and one that begins leaves the core of who sent for it.
 * What the caller wrote before it sends is seen by the work, and what the work wrote is seen after crew_await().
 */
#ifndef WITHY_CREW_H
#define WITHY_CREW_H

#include <stdatomic.h>
#include <stdbool.h>
#include <stddef.h>

struct mate;

struct errand {
	void (*work)(void *context);
	void *context;
	struct mate *mate;         /* the rest is the crew's: who was sent, or NULL */
	int core;
	atomic_bool done;
};

/* How many cores there are, from 1 to 256. */
size_t crew_cores(void);

/* Sees to it that there are `n` threads at least and that they are awake. One that cannot be started is done without. */
void crew_ready(size_t n);

/* Sends a thread that is free, if there is one; for each other core there is one. `e` must not move before crew_await(). */
void crew_send(struct errand *e);

/* Returns when the work is done. If nobody has begun it by now, the calling thread does it. */
void crew_await(struct errand *e);

/* The same, but work that nobody has begun is left out. */
void crew_recall(struct errand *e);

#endif
