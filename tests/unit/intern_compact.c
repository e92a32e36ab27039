/* Ids kept in little memory are what was put in. */
#include <stdlib.h>

#include "base/intern_compact.h"
#include "check.h"

enum { IDS = 100000, LONGEST = 200000 };

static struct slice id_text(char *text, int i)
{
	return (struct slice){ text, (size_t)snprintf(text, 24, "L%06d/%02d", i, i % 7) };
}

static void ids_are_found_again(void)
{
	struct intern_compact t;
	struct slice first;
	char text[24];

	intern_compact_init(&t);
	CHECK_INT(intern_compact_id(&t, SLICE("")), 0);
	CHECK_TEXT(intern_compact_text(&t, 0), "");
	CHECK_INT(intern_compact_find(&t, SLICE("L000000/00")), 0);
	CHECK_INT(intern_compact_id(&t, id_text(text, 0)), 1);
	first = intern_compact_text(&t, 1);
	for (int i = 0; i < IDS; i++)
		if (intern_compact_id(&t, id_text(text, i)) != (uint32_t)i + 1)
			CHECK_INT(i, -1);
	for (int i = 0; i < IDS; i++)
		if (intern_compact_find(&t, id_text(text, i)) != (uint32_t)i + 1 || !slice_eq(intern_compact_text(&t, (uint32_t)i + 1), id_text(text, i)))
			CHECK_INT(i, -1);
	CHECK_INT(t.n, IDS + 1);
	CHECK_INT(intern_compact_find(&t, id_text(text, IDS)), 0);
	/* a text that was given stays where it was */
	CHECK(intern_compact_text(&t, 1).p == first.p);
	intern_compact_release(&t);
}

/* Around the lengths whose form changes, and past the size of a text; bytes of any kind. */
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

int main(void)
{
	ids_are_found_again();
	texts_of_every_length();
	return check_end();
}
