#include "jot/jot_own.h"

#include "book/vocab.h"
#include "check.h"
#include "time/stamp.h"

int main(void)
{
	static const char book[] = "\xef\xbb\xbf# withy 1\n2026-03-05 seal L061 by=jo\r\n2026-03-05 seal L062 by=mk\n"
		"2026-03-06 seal L063 by=jo\nnot a line by=jo\n2026-03-05 seal L064 by=jo";
	static struct vocab vocab;
	struct slice rest = slice_of(book);
	struct jot_own own;
	int32_t day;

	vocab_init(&vocab);
	CHECK(date_read(SLICE("2026-03-05"), &day) == DATE_OK);
	CHECK(jot_own_find(&own, &vocab, slice_of(book), SLICE("jo"), day) && own.number == 6);
	CHECK(slice_eq(own.line, SLICE("2026-03-05 seal L064 by=jo")));
	CHECK(jot_own_find(&own, &vocab, slice_of(book), SLICE("mk"), day) && own.number == 3);
	CHECK(own.line.n && own.line.p[own.line.n - 1] == '\n');
	CHECK(jot_own_find(&own, &vocab, slice_of(book), SLICE("jo"), day + 1) && own.number == 4);
	CHECK(!jot_own_find(&own, &vocab, slice_of(book), SLICE("fz"), day));
	CHECK(!jot_own_find(&own, &vocab, SLICE(""), SLICE("jo"), day));
	CHECK(slice_eq(jot_own_text(jot_own_next(&rest), true), SLICE("# withy 1")));
	CHECK(slice_eq(jot_own_text(jot_own_next(&rest), false), SLICE("2026-03-05 seal L061 by=jo")));
	return check_end();
}
