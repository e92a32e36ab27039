#include "math/gsl_quiet.h"

#include <gsl/gsl_errno.h>
#include <pthread.h>

static pthread_once_t once = PTHREAD_ONCE_INIT;

static void set_off(void)
{
	gsl_set_error_handler_off();
}

void gsl_quiet(void)
{
	pthread_once(&once, set_off);
}
