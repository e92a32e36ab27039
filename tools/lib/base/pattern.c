#include "base/pattern.h"

#define PCRE2_CODE_UNIT_WIDTH 8
#include <pcre2.h>
#include <stdio.h>
#include <stdlib.h>


struct pattern {
	pcre2_code *code;
	bool one_start;      /* only the start of the subject can match, or all starts must be tried in one call */
	bool scans;          /* one step may look at the whole subject */
	bool start[256];     /* the bytes that a match may begin with */
};

struct pattern_scratch {
	pcre2_match_data *data;
	pcre2_match_context *limits;
	int said;
};

/* A step that may look at the whole subject counts as one more for so many bytes of it. */
enum { BYTES_A_STEP = 32 };

/* What a call counts for beside its steps: it may look for a byte in all that is left. */
enum { CALL_STEPS = 16, BYTES_A_CALL = 128 };

/* The part of the steps that is for the first try of every start. */
enum { FIRST_PART = 4 };

/* In a shorter subject the starts are not counted: that takes longer than most searches. */
enum { FEW_STARTS = 1000 };

/* A start that needs more steps than it had gets so many times of them. */
enum { AGAIN_TIMES = 4 };

/* PCRE2 gives NULL when memory is out; mem.h knows what to do then. */
static void *checked(void *p)
{
	return p ? p : mem_array((size_t)-1, 2);
}

static uint32_t options_of(unsigned flags)
{
	uint32_t options = PCRE2_UTF | PCRE2_USE_OFFSET_LIMIT;

	if (flags & PATTERN_ANY_CASE)
		options |= PCRE2_CASELESS;
	if (flags & PATTERN_WHOLE)
		options |= PCRE2_ANCHORED | PCRE2_ENDANCHORED;
	if (flags & PATTERN_LITERAL)
		return options | PCRE2_LITERAL;
	/* Without the last, a step may look at the whole subject and not be counted. */
	return options | PCRE2_UCP | PCRE2_NEVER_BACKSLASH_C | PCRE2_NO_AUTO_POSSESS;
}

/* ---- what bounds a search */

/* Longer texts and repeats of more digits are looked at in one step. */
enum { TEXT_LONG = 256, REPEAT_DIGITS = 3 };

static bool has(struct slice s, const char *word)
{
	size_t n = strlen(word);

	for (size_t i = 0; i + n <= s.n; i++)
		if (!memcmp(s.p + i, word, n))
			return true;
	return false;
}

static bool repeats_often(struct slice s)
{
	for (size_t i = 0, digits = 0; i < s.n; i++) {
		digits = s.p[i] >= '0' && s.p[i] <= '9' ? digits + 1 : 0;
		if (digits >= REPEAT_DIGITS)
			return true;
	}
	return false;
}

/* What gives nothing back, looks around, or compares with what was found: by its signs, which may be something else. */
static bool may_scan(struct slice s, unsigned flags)
{
	static const char *const signs[] = { "*+", "++", "?+", "}+", "(?>", "(?=", "(?!", "(?|", "(?P=", "(*", "\\X", "\\g", "\\k",
		"\\1", "\\2", "\\3", "\\4", "\\5", "\\6", "\\7", "\\8", "\\9" };

	if (s.n > TEXT_LONG)
		return true;
	if (flags & PATTERN_LITERAL)
		return false;
	for (size_t i = 0; i < sizeof signs / sizeof *signs; i++)
		if (has(s, signs[i]))
			return true;
	return repeats_often(s);
}

static void set_starts(struct pattern *pattern)
{
	const uint8_t *bits = NULL;
	uint32_t type = 0, unit = 0;

	pcre2_pattern_info(pattern->code, PCRE2_INFO_FIRSTBITMAP, (void *)&bits);
	pcre2_pattern_info(pattern->code, PCRE2_INFO_FIRSTCODETYPE, &type);
	pcre2_pattern_info(pattern->code, PCRE2_INFO_FIRSTCODEUNIT, &unit);
	for (unsigned i = 0; i < sizeof pattern->start; i++) {
		unsigned letter = i >= 'A' && i <= 'Z' ? i | 32 : i; /* (?i) may make them alike */

		if (type == 1)
			pattern->start[i] = letter == (unit >= 'A' && unit <= 'Z' ? unit | 32 : unit);
		else
			pattern->start[i] = !bits || bits[i / 8] >> i % 8 & 1;
	}
}

static void set_bounds(struct pattern *pattern, struct slice source, unsigned flags)
{
	uint32_t options = 0;

	pcre2_pattern_info(pattern->code, PCRE2_INFO_ALLOPTIONS, &options);
	pattern->one_start = options & PCRE2_ANCHORED || (!(flags & PATTERN_LITERAL) && (has(source, "\\G") || has(source, "(*")));
	pattern->scans = may_scan(source, flags);
	set_starts(pattern);
}

/* ---- compiling */

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
	set_bounds(pattern, source, flags);
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

/* ---- a search within its steps */

struct search {
	const struct pattern *pattern;
	struct pattern_scratch *scratch;
	struct slice subject;
	size_t cost;         /* of a step */
	size_t left;         /* steps that may yet be taken */
	uint32_t options;
};

static bool is_start_of_letter(struct slice s, size_t at)
{
	return at >= s.n || ((unsigned char)s.p[at] & 0xc0) != 0x80;
}

static size_t next_start(struct slice s, size_t at)
{
	do
		at++;
	while (!is_start_of_letter(s, at));
	return at;
}

/* How many starts of `from` to `last` may begin a match, and one more. */
static size_t starts_in(const struct search *s, size_t from, size_t last)
{
	size_t n = 1;

	for (size_t i = from; i <= last && i < s->subject.n; i++)
		n += s->pattern->start[(unsigned char)s->subject.p[i]];
	return n;
}

/* Tries the starts `from` to `last`, each with `limit` steps. The machine code's stack is small: where it is full, the interpreter tries. */
static int try_starts(struct search *s, size_t from, size_t last, size_t limit)
{
	PCRE2_SPTR subject = (PCRE2_SPTR)s->subject.p;
	int said;

	pcre2_set_match_limit(s->scratch->limits, limit ? (uint32_t)limit : 1);
	pcre2_set_offset_limit(s->scratch->limits, last);
	said = pcre2_match(s->pattern->code, subject, s->subject.n, from, s->options, s->scratch->data, s->scratch->limits);
	if (said == PCRE2_ERROR_JIT_STACKLIMIT)
		said = pcre2_match(s->pattern->code, subject, s->subject.n, from, s->options | PCRE2_NO_JIT, s->scratch->data, s->scratch->limits);
	return said;
}

static bool take_steps(struct search *s, size_t steps)
{
	steps = steps * s->cost + CALL_STEPS + s->subject.n / BYTES_A_CALL;
	if (steps > s->left)
		return false;
	s->left -= steps;
	return true;
}

/* One start that needs more than `limit` steps. */
static int try_hard(struct search *s, size_t at, size_t limit)
{
	int said = PCRE2_ERROR_MATCHLIMIT;

	while (said == PCRE2_ERROR_MATCHLIMIT) {
		limit *= AGAIN_TIMES;
		if (!take_steps(s, limit))
			return said;
		said = try_starts(s, at, at, limit);
	}
	return said;
}

/* From start to start, more at a time while they are easy. */
static int try_in_turn(struct search *s, size_t limit)
{
	size_t at = 0, width = 1;
	int said = PCRE2_ERROR_NOMATCH;

	while (said == PCRE2_ERROR_NOMATCH && at <= s->subject.n) {
		size_t last = at + width - 1 < s->subject.n ? at + width - 1 : s->subject.n;

		if (!take_steps(s, starts_in(s, at, last) * limit))
			return PCRE2_ERROR_MATCHLIMIT;
		said = try_starts(s, at, last, limit);
		if (said == PCRE2_ERROR_MATCHLIMIT && width > 1) {
			width /= 2;
			said = PCRE2_ERROR_NOMATCH;
			continue;
		}
		if (said == PCRE2_ERROR_MATCHLIMIT)
			said = try_hard(s, at, limit);
		at = next_start(s->subject, last);
		width *= 2;
	}
	return said;
}

/*
 * PCRE2 counts the steps of each start by itself. So all starts are tried with few steps each first, which
 * nearly always decides; else one after another, each with as many as it needs, until no steps are left.
 */
static int search(struct search *s)
{
	size_t last = s->subject.n, steps = PATTERN_STEPS / s->cost, limit;
	int said;

	if (s->pattern->one_start)
		return try_starts(s, 0, last, steps);
	limit = steps / FIRST_PART / (last < FEW_STARTS ? last + 1 : starts_in(s, 0, last));
	said = try_starts(s, 0, last, limit);
	s->options |= PCRE2_NO_UTF_CHECK; /* it has been checked */
	s->left = PATTERN_STEPS - PATTERN_STEPS / FIRST_PART;
	return said == PCRE2_ERROR_MATCHLIMIT ? try_in_turn(s, limit ? limit : 1) : said;
}

enum pattern_result pattern_match(const struct pattern *pattern, struct pattern_scratch *scratch, struct slice subject)
{
	struct search s = { .pattern = pattern, .scratch = scratch, .subject = subject.p ? subject : SLICE(""),
		.cost = 1 + (pattern->scans ? subject.n / BYTES_A_STEP : 0) };

	scratch->said = search(&s);
	if (scratch->said == PCRE2_ERROR_NOMEMORY)
		checked(NULL);
	return result_of(scratch->said);
}

int pattern_said(const struct pattern_scratch *scratch)
{
	return scratch->said;
}
