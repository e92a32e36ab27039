/* moist.c: ids in little room are what was put in; notes come out of memory and file as they went in. */
#include <stdlib.h>

#include "base/intern_compact.h"
#include "base/spool.h"
#include "check.h"

enum { IDS = 100000, LONGEST = 200000 };

static struct slice id_text(char *room, int i)
{
	return (struct slice){ room, (size_t)snprintf(room, 24, "L%06d/%02d", i, i % 7) };
}

static void ids_are_found_again(void)
{
	struct intern_compact t;
	struct slice first;
	char room[24];

	intern_compact_init(&t);
	CHECK_INT(intern_compact_id(&t, SLICE("")), 0);
	CHECK_TEXT(intern_compact_text(&t, 0), "");
	CHECK_INT(intern_compact_find(&t, SLICE("L000000/00")), 0);
	CHECK_INT(intern_compact_id(&t, id_text(room, 0)), 1);
	first = intern_compact_text(&t, 1);
	for (int i = 0; i < IDS; i++)
		if (intern_compact_id(&t, id_text(room, i)) != (uint32_t)i + 1)
			CHECK_INT(i, -1);
	for (int i = 0; i < IDS; i++)
		if (intern_compact_find(&t, id_text(room, i)) != (uint32_t)i + 1 || !slice_eq(intern_compact_text(&t, (uint32_t)i + 1), id_text(room, i)))
			CHECK_INT(i, -1);
	CHECK_INT(t.n, IDS + 1);
	CHECK_INT(intern_compact_find(&t, id_text(room, IDS)), 0);
	/* a text that was given stays where it was */
	CHECK(intern_compact_text(&t, 1).p == first.p);
	intern_compact_release(&t);
}

/* Around the lengths whose form changes, and past the size of a room; bytes of any kind. */
static void texts_of_every_length(void)
{
	static const size_t n[] = { 1, 3, 4, 5, 254, 255, 256, 65530, 65531, 65535, 65536, LONGEST, 2 };
	char *bytes = calloc(LONGEST, 1);
	struct intern_compact t;

	intern_compact_init(&t);
	for (size_t i = 0; i < sizeof n / sizeof *n; i++) {
		CHECK_CASE(i);
		CHECK_INT(intern_compact_id(&t, (struct slice){ bytes, n[i] }), i + 1);
	}
	for (size_t i = 0; i < sizeof n / sizeof *n; i++) {
		CHECK_CASE(i);
		CHECK_INT(intern_compact_id(&t, (struct slice){ bytes, n[i] }), i + 1);
		CHECK(slice_eq(intern_compact_text(&t, (uint32_t)i + 1), (struct slice){ bytes, n[i] }));
	}
	CHECK_CASE(-1);
	intern_compact_release(&t);
	free(bytes);
}

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
	ids_are_found_again();
	texts_of_every_length();
	spool_holds(64, 0);
	spool_holds(64, 16);
	spool_holds(64, 17);
	spool_holds(64, 5000);
	return check_end();
}
