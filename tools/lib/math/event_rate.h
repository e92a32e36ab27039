/*
 * event_rate.h - events in a time under observation: their rate, its interval, and two rates compared.
 *
 * Times are in any unit, at least 0; rates are events in one such unit. Events are taken to come independently
 * of each other (Poisson). A question that has no answer (no time, more than DIST_PIECES_MOST events) gives NAN.
 *
 * Sources: Garwood (1936), Biometrika 28, 437, for the interval by way of chi-squared; Przyborowski and Wilenski
 * (1940), Biometrika 31, 313, for the comparison: given all events, those of the first time are binomial.
 */
#ifndef WITHY_EVENT_RATE_H
#define WITHY_EVENT_RATE_H

#include <stdint.h>

struct event_rate {
	double rate, low, high;
};

/* The rate of k events in a time, with its exact interval, two-sided at `sure`. */
struct event_rate event_rate(int64_t k, double time, double sure);

/*
 * The chance of a difference at least as unlikely as that between k1 events in t1 and k2 in t2, if both rates
 * were the same: exact and two-sided, outcomes that are no likelier than the one that came counted (as R's
 * poisson.test()). 1 where there was no event.
 */
double event_rate_differs_p(int64_t k1, double t1, int64_t k2, double t2);

/* The least that this can be for k events in all, however they fall to the two times. */
double event_rate_least_p(int64_t k, double t1, double t2);

#endif
