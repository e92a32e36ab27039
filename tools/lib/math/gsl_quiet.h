/*
 * gsl_quiet.h - the error handler of the GNU Scientific Library, which would end the process.
 *
 * It belongs to the whole process: who sets it off and back around a call does so under the calls of other threads. So it is set off
 * once, before the first call that may fail, and stays off; calls give their error as a result.
 */
#ifndef WITHY_GSL_QUIET_H
#define WITHY_GSL_QUIET_H

/* Any thread may call, any number of times. */
void gsl_quiet(void);

#endif
