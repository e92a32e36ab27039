/* missing.c - cells that mean "no reading": clause 2.9 of mapping(5). */
#include "intake/missing.h"
#include "check.h"

static const char *const missing[] = {
	"", "-", "--", "---", ".", "...", "*", "**", "#", "-.-", "___",
	"\xe2\x80\x93", "\xe2\x80\x94\xe2\x80\x94", "\xe2\x80\x90", "\xe2\x80\x95", "\xe2\x88\x92",  /* dashes, minus */
	"\xe2\x94\x80\xe2\x94\x80", "\xe2\x94\x81", "-\xe2\x80\x93-",                                /* lines */
	"NA", "n/a", "#N/A", "NaN", "null", "NONE", "Nil",
};

static const char *const readings[] = {
	"0", "-1", "-0.5", "\xe2\x88\x92" "5", "- 5", "Name", "nano", "n.a", "low", "~", "=", "+", "??", "\xe2\x80",
	"\xe2\x94\x82",          /* a vertical line */
	"\xe2\x80\x93" "5", "\xe2", "\x93\x94",
};

int main(void)
{
	for (size_t i = 0; i < sizeof missing / sizeof *missing; i++) {
		CHECK_CASE(i);
		CHECK(missing_is(slice_of(missing[i])));
	}
	for (size_t i = 0; i < sizeof readings / sizeof *readings; i++) {
		CHECK_CASE(i);
		CHECK(!missing_is(slice_of(readings[i])));
	}
	return check_end();
}
