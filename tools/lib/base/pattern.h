/*
 * pattern.h - regular expressions (PCRE2) with bounds; the only file that sees PCRE2.
 *
 * A pattern is compiled once and never changes afterwards, so that threads may share it. What a
 * match needs of its own is a scratch, one a thread, reused from match to match and for any pattern.
 * Pattern and subject are UTF-8; \w, \d and \b go by Unicode, and \C is not allowed.
 *
 * A match ends in one of five ways, and only PATTERN_YES and PATTERN_NO are answers. A pattern
 * that backtracks without end stops at PATTERN_STEPS steps in all (some hundredths of a second).
 * The result is then PATTERN_LIMIT. It must be reported, and never taken for "no". The machine code that PCRE2 makes is
 * used where the system allows it; the answers are the same without.
 */
#ifndef WITHY_PATTERN_H
#define WITHY_PATTERN_H

#include <stdbool.h>
#include <stddef.h>

#include "base/text.h"

struct pattern;
struct pattern_scratch;

enum {
	PATTERN_STEPS = 1000000,   /* how often the matcher may try, from all starts together; no clock has a part in it */
	PATTERN_DEPTH = 500000,    /* depth limit: how many tries may be open (without machine code) */
	PATTERN_HEAP_KIB = 131072, /* memory of one match (without machine code) */
	PATTERN_LONGEST = 8192     /* bytes of a pattern */
};

enum pattern_flag {
	PATTERN_ANY_CASE = 1,  /* capital and small letters are alike */
	PATTERN_WHOLE = 2,     /* the whole subject has to match, not a part of it */
	PATTERN_LITERAL = 4    /* the pattern is plain text */
};

enum pattern_result {
	PATTERN_NO,
	PATTERN_YES,
	PATTERN_LIMIT,     /* too many steps, too deep, or too much memory */
	PATTERN_BAD_UTF8,  /* the subject is not UTF-8 */
	PATTERN_FAILED     /* anything else PCRE2 may say; pattern_said() has its number */
};

struct pattern_error {
	size_t at;         /* byte of the pattern, from 0, at which it went wrong */
	char text[160];
};

/* Compiles `source` under `flags` (enum pattern_flag). NULL on error, with *error filled. */
struct pattern *pattern_compile(struct slice source, unsigned flags, struct pattern_error *error);
void pattern_free(struct pattern *pattern);

struct pattern_scratch *pattern_scratch_new(void);
void pattern_scratch_free(struct pattern_scratch *scratch);

enum pattern_result pattern_match(const struct pattern *pattern, struct pattern_scratch *scratch, struct slice subject);

/* After PATTERN_FAILED: PCRE2's number. */
int pattern_said(const struct pattern_scratch *scratch);

#endif
