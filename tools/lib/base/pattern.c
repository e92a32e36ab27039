#include "base/pattern.h"

#define PCRE2_CODE_UNIT_WIDTH 8
#include <pcre2.h>
#include <stdio.h>
#include <stdlib.h>

#include "base/mem.h"

struct pattern {
	pcre2_code *code;
};

struct pattern_scratch {
	pcre2_match_data *data;
	pcre2_match_context *limits;
	int said;
};

/* PCRE2 gives NULL when memory is out; mem.h knows what to do then. */
static void *checked(void *p)
{
	return p ? p : mem_array((size_t)-1, 2);
}

static uint32_t options_of(unsigned flags)
{
	uint32_t options = PCRE2_UTF;

	if (flags & PATTERN_ANY_CASE)
		options |= PCRE2_CASELESS;
	if (flags & PATTERN_WHOLE)
		options |= PCRE2_ANCHORED | PCRE2_ENDANCHORED;
	if (flags & PATTERN_LITERAL)
		return options | PCRE2_LITERAL;
	return options | PCRE2_UCP | PCRE2_NEVER_BACKSLASH_C;
}

static void tell(struct pattern_error *error, int said, size_t at)
{
	PCRE2_UCHAR words[sizeof error->text];

	pcre2_get_error_message(said, words, sizeof words);
	snprintf(error->text, sizeof error->text, "%s", (const char *)words);
	error->at = at;
}

struct pattern *pattern_compile(struct slice source, unsigned flags, struct pattern_error *error)
{
	pcre2_compile_context *context = checked(pcre2_compile_context_create(NULL));
	struct pattern *pattern = NULL;
	pcre2_code *code;
	PCRE2_SIZE at;
	int said;

	pcre2_set_max_pattern_length(context, PATTERN_LONGEST);
	code = pcre2_compile((PCRE2_SPTR)source.p, source.n, options_of(flags), &said, &at, context);
	pcre2_compile_context_free(context);
	if (!code) {
		tell(error, said, at);
		return NULL;
	}
	pcre2_jit_compile(code, PCRE2_JIT_COMPLETE); /* where it fails the interpreter serves */
	pattern = mem_array(1, sizeof *pattern);
	pattern->code = code;
	return pattern;
}

void pattern_free(struct pattern *pattern)
{
	if (!pattern)
		return;
	pcre2_code_free(pattern->code);
	free(pattern);
}

struct pattern_scratch *pattern_scratch_new(void)
{
	struct pattern_scratch *scratch = mem_zeroed(1, sizeof *scratch);

	scratch->data = checked(pcre2_match_data_create(1, NULL));
	scratch->limits = checked(pcre2_match_context_create(NULL));
	pcre2_set_match_limit(scratch->limits, PATTERN_STEPS);
	pcre2_set_depth_limit(scratch->limits, PATTERN_DEPTH);
	pcre2_set_heap_limit(scratch->limits, PATTERN_HEAP_KIB);
	return scratch;
}

void pattern_scratch_free(struct pattern_scratch *scratch)
{
	if (!scratch)
		return;
	pcre2_match_data_free(scratch->data);
	pcre2_match_context_free(scratch->limits);
	free(scratch);
}

static enum pattern_result result_of(int said)
{
	if (said >= 0)
		return PATTERN_YES;
	if (said <= PCRE2_ERROR_UTF8_ERR1 && said >= PCRE2_ERROR_UTF8_ERR21)
		return PATTERN_BAD_UTF8;
	switch (said) {
	case PCRE2_ERROR_NOMATCH:
		return PATTERN_NO;
	case PCRE2_ERROR_MATCHLIMIT:
	case PCRE2_ERROR_DEPTHLIMIT:
	case PCRE2_ERROR_HEAPLIMIT:
	case PCRE2_ERROR_JIT_STACKLIMIT:
		return PATTERN_LIMIT;
	default:
		return PATTERN_FAILED;
	}
}

static int match(const struct pattern *pattern, struct pattern_scratch *scratch, struct slice subject, uint32_t options)
{
	return pcre2_match(pattern->code, (PCRE2_SPTR)subject.p, subject.n, 0, options, scratch->data, scratch->limits);
}

/* The machine code's stack is small: where it is full, the interpreter tries with its own bounds. */
enum pattern_result pattern_match(const struct pattern *pattern, struct pattern_scratch *scratch, struct slice subject)
{
	if (!subject.p)
		subject = SLICE("");
	scratch->said = match(pattern, scratch, subject, 0);
	if (scratch->said == PCRE2_ERROR_JIT_STACKLIMIT)
		scratch->said = match(pattern, scratch, subject, PCRE2_NO_JIT);
	if (scratch->said == PCRE2_ERROR_NOMEMORY)
		checked(NULL);
	return result_of(scratch->said);
}

int pattern_said(const struct pattern_scratch *scratch)
{
	return scratch->said;
}
