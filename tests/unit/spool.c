/* Notes come out of memory and file as they went in. */
#include <errno.h>
#include <stdlib.h>
#include <unistd.h>

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

/* Two walks at once, of which each sees all of it. */
static void spool_walks(size_t most, uint32_t count)
{
	struct spool s = { .most = most };
	struct spool_walk walk[2] = { { .spool = &s }, { .spool = &s } };
	uint32_t seen[2] = { 0, 0 }, held;
	bool more = true;

	for (uint32_t i = 0; i < count; i++) {
		struct buf b = { (char *)&i, sizeof i, sizeof i };

		CHECK(spool_add(&s, &b));
	}
	CHECK(spool_settle(&s));
	while (more) {
		more = false;
		for (int k = 0; k < 2; k++) {
			struct slice piece = spool_walk_next(&walk[k]);

			more |= piece.n > 0;
			for (; piece.n >= sizeof held; piece = slice_from(piece, sizeof held)) {
				memcpy(&held, piece.p, sizeof held);
				if (held != seen[k]++)
					CHECK_INT(held, seen[k] - 1);
			}
		}
	}
	for (int k = 0; k < 2; k++) {
		CHECK_INT(seen[k], count);
		CHECK_INT(walk[k].error, 0);
		spool_walk_release(&walk[k]);
	}
	spool_release(&s);
}

/* Its file is in $TMPDIR, and has no name there; where there is none, the error says so. */
static void spool_heeds_tmpdir(void)
{
	char byte[] = "x";
	struct spool s = { .most = 1 }, none = { .most = 1 };
	struct buf b = { byte, 1, 1 };
	char folder[] = "/tmp/spool-XXXXXX";

	CHECK(mkdtemp(folder) != NULL);
	CHECK_INT(setenv("TMPDIR", folder, 1), 0);
	for (int i = 0; i < 3; i++, b.n = 1)
		CHECK(spool_add(&s, &b));
	CHECK(s.file != NULL);
	CHECK_INT(rmdir(folder), 0);
	CHECK(spool_add(&none, &b));
	b.n = 1;
	CHECK(!spool_add(&none, &b));
	CHECK_INT(none.error, ENOENT);
	b.n = 1;
	CHECK_INT(unsetenv("TMPDIR"), 0);
	spool_release(&s);
	spool_release(&none);
}

int main(void)
{
	spool_heeds_tmpdir();
	spool_holds(64, 0);
	spool_holds(64, 16);
	spool_holds(64, 17);
	spool_holds(64, 5000);
	spool_walks(64, 0);
	spool_walks(64, 16);
	spool_walks(64, 50000);
	return check_end();
}
