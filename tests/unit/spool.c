/* Notes come out of memory and file as they went in. */
#include "base/spool.h"
#include "check.h"

/* So many numbers of four bytes, of which the spool is to hold `most` bytes in memory. */
static void spool_holds(size_t most, uint32_t count)
{
	struct spool s = { .most = most };
	uint32_t next = 0, held;
	struct slice piece;

	for (uint32_t i = 0; i < count; i++) {
		struct buf b = { (char *)&i, sizeof i, sizeof i };

		if (!spool_add(&s, &b))
			CHECK_INT(i, -1);
	}
	CHECK((s.file != NULL) == (count * sizeof next > most));
	while ((piece = spool_next(&s)).n) {
		CHECK(piece.n <= most && piece.n % sizeof held == 0);
		for (; piece.n; piece = slice_from(piece, sizeof held)) {
			memcpy(&held, piece.p, sizeof held);
			if (held != next++)
				CHECK_INT(held, next - 1);
		}
	}
	CHECK_INT(s.error, 0);
	CHECK_INT(next, count);
	spool_release(&s);
}

int main(void)
{
	spool_holds(64, 0);
	spool_holds(64, 16);
	spool_holds(64, 17);
	spool_holds(64, 5000);
	return check_end();
}
