/* pattern.c: answers, groups, bounds, and what is no answer. */
#include <pthread.h>
#include <stdio.h>
#include <stdlib.h>
#include <time.h>

#include "base/pattern.h"

static int failures;

#define CHECK(what) do { if (!(what)) { failures++; printf("%d: %s\n", __LINE__, #what); } } while (0)

struct match_case {
	const char *pattern, *subject;
	unsigned flags;
	enum pattern_result result;
};

static void answers(void)
{
	static const struct match_case list[] = {
		{ "^T\\d{3}$", "T061", 0, PATTERN_YES },
		{ "^T\\d{3}$", "T61", 0, PATTERN_NO },
		{ "T\\d{3}", "xT061y", 0, PATTERN_YES },
		{ "T\\d{3}", "xT061y", PATTERN_WHOLE, PATTERN_NO },
		{ "T\\d{3}|x", "T061", PATTERN_WHOLE, PATTERN_YES },
		{ "a|ab", "ab", PATTERN_WHOLE, PATTERN_YES },   /* the second way is tried, not only the first */
		{ "m\xc4\x81ori", "M\xc4\x80ORI", PATTERN_ANY_CASE, PATTERN_YES },
		{ "^\\w+$", "T\xc5\xab\xc4\xab", 0, PATTERN_YES },
		{ "^.$", "\xc5\xab", 0, PATTERN_YES },          /* a letter, not two bytes */
		{ "a.c", "abc", PATTERN_LITERAL, PATTERN_NO },
		{ "a.c", "xa.cy", PATTERN_LITERAL, PATTERN_YES },
		{ "", "", PATTERN_WHOLE, PATTERN_YES },
		{ "x", "", 0, PATTERN_NO },
		{ "b", "a\xff" "b", 0, PATTERN_BAD_UTF8 },
		{ "(a+)+$", "aaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaab", 0, PATTERN_LIMIT },
	};
	struct pattern_scratch *scratch = pattern_scratch_new();

	for (size_t i = 0; i < sizeof list / sizeof *list; i++) {
		struct pattern_error error;
		struct pattern *pattern = pattern_compile(slice_of(list[i].pattern), list[i].flags, &error);
		enum pattern_result result = PATTERN_FAILED;

		if (pattern)
			result = pattern_match(pattern, scratch, slice_of(list[i].subject));
		if (result != list[i].result) {
			failures++;
			printf("/%s/ on '%s': %d\n", list[i].pattern, list[i].subject, (int)result);
		}
		pattern_free(pattern);
	}
	pattern_scratch_free(scratch);
}

static void a_nul_is_a_byte_like_others(void)
{
	struct pattern_error error;
	struct pattern *pattern = pattern_compile(SLICE("b$"), 0, &error);
	struct pattern_scratch *scratch = pattern_scratch_new();

	CHECK(pattern_match(pattern, scratch, (struct slice){ "a\0b", 3 }) == PATTERN_YES);
	CHECK(pattern_match(pattern, scratch, (struct slice){ NULL, 0 }) == PATTERN_NO);
	CHECK(pattern_match(pattern, scratch, (struct slice){ "ab\xc3", 3 }) == PATTERN_BAD_UTF8);
	pattern_scratch_free(scratch);
	pattern_free(pattern);
}

struct bad_pattern {
	const char *text;
	size_t at;
};

static void wrong_patterns_say_where(void)
{
	static const struct bad_pattern bad[] = {
		{ "ab(c", 4 }, { "x*+*", 3 }, { "[z-a]", 3 }, { "a\\C", 3 }, { "\xff", 0 }, { "(?<n>a)(?<n>b)", 12 },
		{ "((a{1,9999}){1,9999}){1,9999}", 29 },
	};
	struct pattern_error error;
	struct buf text = BUF_INIT;

	for (size_t i = 0; i < sizeof bad / sizeof *bad; i++) {
		struct pattern *pattern = pattern_compile(slice_of(bad[i].text), 0, &error);

		if (pattern || error.at != bad[i].at || !error.text[0]) {
			failures++;
			printf("/%s/: %s at %zu: %s\n", bad[i].text, pattern ? "compiled" : "refused", error.at, error.text);
		}
		pattern_free(pattern);
	}
	buf_fill(&text, 'a', PATTERN_LONGEST + 1);
	CHECK(!pattern_compile(buf_slice(&text), 0, &error) && strstr(error.text, "longer"));
	buf_release(&text);
	pattern_free(NULL);
	pattern_scratch_free(NULL);
}

/* A long subject that fills the machine code's stack is still answered. */
static void long_subjects_are_answered(void)
{
	struct pattern_error error;
	struct pattern *pattern = pattern_compile(SLICE("^(?:a|b)*c$"), 0, &error);
	struct pattern_scratch *scratch = pattern_scratch_new();
	struct buf text = BUF_INIT;

	buf_fill(&text, 'a', 65000);
	buf_char(&text, 'c');
	CHECK(pattern_match(pattern, scratch, buf_slice(&text)) == PATTERN_YES);
	buf_char(&text, 'x');
	CHECK(pattern_match(pattern, scratch, buf_slice(&text)) == PATTERN_NO);
	buf_release(&text);
	pattern_free(pattern);
	pattern_scratch_free(scratch);
}

static double seconds_now(void)
{
	struct timespec now;

	clock_gettime(CLOCK_MONOTONIC, &now);
	return (double)now.tv_sec + (double)now.tv_nsec / 1e9;
}

/* What is tried again from each start, and what PCRE2 does not count: the bound is for all of a search. */
static void the_bound_is_for_all_starts(void)
{
	static const char *const pattern[] = { "(?:a|b|c)*[de]", "a*[bc]", "\\w*[!?]", "[a-z]+[a-z]+[!?]", "(?:.*){3}[!?]", ".*.*.*[!?]",
		"(a+)\\1[bc]", "(?:(?=a*)a)*[bc]", "(a*)\\1[bc]", "(?:ab?)*[!?]", "a{9,}[bc]", "(?:a*+b?)*[cd]", "(?:^|a)(?:a|b)*[!?]" };
	struct pattern_scratch *scratch = pattern_scratch_new();

	for (size_t n = 3000; n <= 60000; n *= 20)
		for (size_t i = 0; i < sizeof pattern / sizeof *pattern; i++) {
			struct pattern_error error;
			struct pattern *p = pattern_compile(slice_of(pattern[i]), 0, &error);
			struct buf text = BUF_INIT;
			double start = seconds_now();

			buf_fill(&text, 'a', n);
			if (pattern_match(p, scratch, buf_slice(&text)) != PATTERN_LIMIT || seconds_now() - start > 2) {
				failures++;
				printf("/%s/ on %zu bytes: %.2f s\n", pattern[i], n, seconds_now() - start);
			}
			buf_release(&text);
			pattern_free(p);
		}
	pattern_scratch_free(scratch);
}

/* A few hard starts among many easy ones: they get the steps that the others do not need. */
static void hard_starts_are_answered(void)
{
	static const struct match_case list[] = {
		{ "(?:x|y)*z", "", 0, PATTERN_YES }, { "(?:x|y)*q", "", 0, PATTERN_NO }, { "(?<=\\w)(?:x|y)*z$", "", 0, PATTERN_YES },
		{ "\\G(?:x|y|\\W|a|\xc3\xa9)*z", "", 0, PATTERN_YES }, { "\\Gz", "", 0, PATTERN_NO }, { "(*NO_START_OPT)(*COMMIT)z", "", 0, PATTERN_NO }
	};
	struct pattern_scratch *scratch = pattern_scratch_new();
	struct buf text = BUF_INIT;

	for (int i = 0; i < 20000; i++)
		buf_str(&text, "a\xc3\xa9 ");
	buf_fill(&text, 'x', 300);
	buf_str(&text, " a");
	buf_fill(&text, 'x', 100);
	buf_char(&text, 'z');
	for (size_t i = 0; i < sizeof list / sizeof *list; i++) {
		struct pattern_error error;
		struct pattern *p = pattern_compile(slice_of(list[i].pattern), 0, &error);
		enum pattern_result result = pattern_match(p, scratch, buf_slice(&text));

		if (result != list[i].result) {
			failures++;
			printf("/%s/: %d\n", list[i].pattern, (int)result);
		}
		pattern_free(p);
	}
	buf_release(&text);
	pattern_scratch_free(scratch);
}

static void endless_ways_end_soon(void)
{
	struct pattern_error error;
	struct pattern *pattern = pattern_compile(SLICE("^(([a-z])+.)+[A-Z]([a-z])+$"), 0, &error);
	struct pattern_scratch *scratch = pattern_scratch_new();
	struct buf text = BUF_INIT;
	double start = seconds_now();

	buf_fill(&text, 'a', 60000);
	CHECK(pattern_match(pattern, scratch, buf_slice(&text)) == PATTERN_LIMIT);
	CHECK(seconds_now() - start < 5);
	buf_release(&text);
	pattern_free(pattern);
	pattern_scratch_free(scratch);
}

static const struct pattern *shared;

static void *count_matches(void *arg)
{
	struct pattern_scratch *scratch = pattern_scratch_new();
	size_t *n = arg;

	for (int64_t i = 0; i < 2000; i++) {
		struct buf text = BUF_INIT;

		buf_int(&text, i);
		*n += pattern_match(shared, scratch, buf_slice(&text)) == PATTERN_YES;
		buf_release(&text);
	}
	pattern_scratch_free(scratch);
	return NULL;
}

static void threads_share_a_pattern(void)
{
	struct pattern_error error;
	struct pattern *pattern = pattern_compile(SLICE("7"), 0, &error);
	size_t n[4] = { 0 };
	pthread_t thread[4];

	shared = pattern;
	for (int i = 0; i < 4; i++)
		pthread_create(&thread[i], NULL, count_matches, &n[i]);
	for (int i = 0; i < 4; i++) {
		pthread_join(thread[i], NULL);
		CHECK(n[i] == 542); /* numbers below 2000 with a 7: 2 × (1000 − 9³) */
	}
	pattern_free(pattern);
}

int main(void)
{
	answers();
	a_nul_is_a_byte_like_others();
	wrong_patterns_say_where();
	long_subjects_are_answered();
	endless_ways_end_soon();
	the_bound_is_for_all_starts();
	hard_starts_are_answered();
	threads_share_a_pattern();
	return failures != 0;
}
