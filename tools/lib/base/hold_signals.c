#include "base/hold_signals.h"

#include <pthread.h>

void hold_signals(sigset_t *was)
{
	sigset_t all;

	sigfillset(&all);
	pthread_sigmask(SIG_SETMASK, &all, was);
}

void let_signals(const sigset_t *was)
{
	pthread_sigmask(SIG_SETMASK, was, NULL);
}
