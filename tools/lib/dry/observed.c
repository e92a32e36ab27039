#include "dry/observed.h"

#include <math.h>

size_t dry_read_by(const struct dry_probe *probe, double day)
{
	size_t n = 0;

	while (n < probe->n && probe->reading[n].day <= day)
		n++;
	return n;
}

bool dry_probe_counts(const struct dry_probe *probe, double day)
{
	return probe->ruled && probe->from <= day && probe->until > day;
}

/* Days in which wood comes to rest, and days before now in which the offset may drift, with some to spare. */
enum { REST_DAYS = 365, DRIFT_DAYS = 40 };

struct dry_still dry_still_at(const struct dry_charge *charge, double now)
{
	double last = 0, days;

	for (size_t p = 0; p < charge->nprobes; p++) {
		size_t n = dry_read_by(&charge->probe[p], now);

		last = fmax(last, n ? charge->probe[p].reading[n - 1].day : 0);
	}
	last = ceil(last);
	days = floor(now) - DRIFT_DAYS - REST_DAYS - last;
	return days > 0 ? (struct dry_still){ last, days } : (struct dry_still){ 0, 0 };
}

double dry_last_day(const struct dry_charge *charge)
{
	double day = 0;

	for (size_t p = 0; p < charge->nprobes; p++)
		if (charge->probe[p].n)
			day = fmax(day, charge->probe[p].reading[charge->probe[p].n - 1].day);
	return fmin(day, charge->end);
}
