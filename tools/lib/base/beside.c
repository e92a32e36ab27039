#include "base/beside.h"

static void *run(void *arg)
{
	const struct beside *b = arg;

	b->work(b->context);
	return NULL;
}

void beside_start(struct beside *b, void (*work)(void *context), void *context)
{
	*b = (struct beside){ .work = work, .context = context };
	b->started = pthread_create(&b->thread, NULL, run, b) == 0;
}

void beside_wait(struct beside *b)
{
	if (b->started)
		pthread_join(b->thread, NULL);
	else
		b->work(b->context);
}
