/*
 * hold_signals.h - signals that wait while something exists which nobody else would remove.
 *
 * A signal that comes between the two calls is delivered by the second. Those that cannot wait (SIGKILL,
 * SIGSTOP, and what a fault of the program raises) do not.
 */
#ifndef WITHY_HOLD_SIGNALS_H
#define WITHY_HOLD_SIGNALS_H

#include <signal.h>

void hold_signals(sigset_t *was);
void let_signals(const sigset_t *was);

#endif
