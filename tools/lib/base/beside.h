/*
 * beside.h - one piece of work on another thread, while the caller goes on with its own.
 *
 *	struct beside b;
 *
 *	beside_start(&b, work, context);
 *	... what has nothing to do with it
 *	beside_wait(&b);
 */
#ifndef WITHY_BESIDE_H
#define WITHY_BESIDE_H

#include <pthread.h>
#include <stdbool.h>

struct beside {
	void (*work)(void *context);
	void *context;
	pthread_t thread;
	bool started;
};

/* Starts `work`; where no thread can be started it is done in beside_wait(). */
void beside_start(struct beside *b, void (*work)(void *context), void *context);

/* Returns when it is done. */
void beside_wait(struct beside *b);

#endif
