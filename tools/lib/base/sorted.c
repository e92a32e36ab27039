#include "base/sorted.h"

#include <string.h>

size_t sorted_from(const void *rows, size_t n, size_t size, size_t offset, uint32_t number)
{
	size_t low = 0, high = n;

	while (low < high) {
		size_t mid = low + (high - low) / 2;
		uint32_t at;

		memcpy(&at, (const char *)rows + mid * size + offset, sizeof at);
		if (at < number)
			low = mid + 1;
		else
			high = mid;
	}
	return low;
}
