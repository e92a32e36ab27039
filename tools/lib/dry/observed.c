#include "dry/observed.h"

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
