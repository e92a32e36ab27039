#include "base/ascending.h"

#include <stdint.h>
#include <stdlib.h>

#include "base/mem.h"

/* How many of the numbers at the ends of runs are below `limit`; end[] holds indexes of ascending numbers. */
static size_t runs_below(const size_t *number, const size_t *end, size_t n, size_t limit)
{
	size_t low = 0;

	while (low < n) {
		size_t mid = low + (n - low) / 2;

		if (number[end[mid]] < limit)
			low = mid + 1;
		else
			n = mid;
	}
	return low;
}

/* end[k] is where the best run of k + 1 numbers ends, before[j] the one of its run in front of j. */
void ascending_mark(const size_t *number, size_t n, bool *in)
{
	size_t *end = mem_array(n, sizeof *end), *before = mem_array(n, sizeof *before);
	size_t longest = 0;

	for (size_t j = 0; j < n; j++) {
		size_t k;

		in[j] = false;
		if (number[j] == SIZE_MAX)
			continue;
		k = runs_below(number, end, longest, number[j]);
		end[k] = j;
		before[j] = k ? end[k - 1] : SIZE_MAX;
		if (k == longest)
			longest++;
	}
	for (size_t j = longest ? end[longest - 1] : SIZE_MAX; j != SIZE_MAX; j = before[j])
		in[j] = true;
	free(end);
	free(before);
}
