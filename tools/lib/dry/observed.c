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

double dry_last_day(const struct dry_charge *charge)
{
	double day = 0;

	for (size_t p = 0; p < charge->nprobes; p++)
		if (charge->probe[p].n)
			day = fmax(day, charge->probe[p].reading[charge->probe[p].n - 1].day);
	return fmin(day, charge->end);
}
