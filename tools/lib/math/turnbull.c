#include "math/turnbull.h"

#include <math.h>
#include <stdlib.h>

#include "base/mem.h"

/* The steps end when no share moves by more, or after so many. */
static const double NEAR = 1e-10;
enum { STEPS_MOST = 5000 };

/* One of the shortest intervals: from a day that is some case's first possible to the next that is some case's last. */
struct part {
	int first, last;
	double share, next;
};

static int by_number(const void *a, const void *b)
{
	int x = *(const int *)a, y = *(const int *)b;

	return (x > y) - (x < y);
}

static int last_of(struct day_seen seen, int days)
{
	return seen.by == DAY_UNSEEN ? DAY_UNSEEN : seen.by < days ? seen.by : days;
}

static int first_of(struct day_seen seen, int days)
{
	return seen.after < days ? seen.after + 1 : days;
}

/* Finds them; there are no more than cases. */
static size_t find_parts(const struct day_seen *seen, size_t n, int days, struct part *part)
{
	int *first = mem_array(n, sizeof *first), *last = mem_array(n, sizeof *last);
	size_t parts = 0;

	for (size_t i = 0; i < n; i++) {
		first[i] = first_of(seen[i], days);
		last[i] = last_of(seen[i], days);
	}
	qsort(first, n, sizeof *first, by_number);
	qsort(last, n, sizeof *last, by_number);
	for (size_t i = 0, j = 0; i < n; i++) {
		while (last[j] < first[i])
			j++;
		if (i + 1 == n || first[i + 1] > last[j])
			part[parts++] = (struct part){ first[i], last[j], 0, 0 };
	}
	free(first);
	free(last);
	return parts;
}

/* One case more, shared among the parts in which it may have come, by what they have. */
static void take_case(struct part *part, size_t parts, int first, int last, double weight)
{
	double all = 0;

	for (size_t k = 0; k < parts; k++)
		if (part[k].first >= first && part[k].last <= last)
			all += part[k].share;
	for (size_t k = 0; k < parts; k++)
		if (part[k].first >= first && part[k].last <= last)
			part[k].next += weight * part[k].share / all;
}

/* Returns how far a share moved at most. */
static double step(const struct day_seen *seen, size_t n, int days, struct part *part, size_t parts)
{
	double moved = 0;

	for (size_t k = 0; k < parts; k++)
		part[k].next = 0;
	for (size_t i = 0; i < n; i++)
		take_case(part, parts, first_of(seen[i], days), last_of(seen[i], days), 1 / (double)n);
	for (size_t k = 0; k < parts; k++) {
		moved = fmax(moved, fabs(part[k].next - part[k].share));
		part[k].share = part[k].next;
	}
	return moved;
}

bool turnbull(const struct day_seen *seen, size_t n, double *share, int days)
{
	struct part *part = mem_array(n, sizeof *part);
	size_t parts = n ? find_parts(seen, n, days, part) : 0;

	for (int d = 0; d <= days; d++)
		share[d] = 0;
	for (size_t k = 0; k < parts; k++)
		part[k].share = 1 / (double)parts;
	for (int i = 0; n && i < STEPS_MOST && step(seen, n, days, part, parts) > NEAR; i++)
		;
	for (size_t k = 0; k < parts; k++) {
		int last = part[k].last == DAY_UNSEEN ? part[k].first : part[k].last;

		for (int d = part[k].first; d <= last; d++)
			share[d] += part[k].share / (last - part[k].first + 1.0);
	}
	free(part);
	return n > 0;
}
