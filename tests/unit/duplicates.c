/*
 * When two lines are the same entry, and finding all that are among many.
 */
#include <stdlib.h>

#include "book/diag.h"
#include "book/parse.h"
#include "check/duplicates.h"
#include "check.h"

static struct vocab vocab;
static struct diags diags;
static struct parser parser;

static struct entry_hash hash_of(const char *text)
{
	const struct line *l = parse_line(&parser, slice_of(text), 1, 0);

	CHECK(l->kind == LINE_EVENT);
	return entry_hash(l);
}

static bool alike(const char *a, const char *b)
{
	struct entry_hash x = hash_of(a), y = hash_of(b);

	CHECK((x.a == y.a) == (x.b == y.b));
	return x.a == y.a && x.b == y.b;
}

static void check_same(void)
{
	static const char *const SAME[][2] = {
		{ "2026-06-10 set north stage=dry temp=28C", "2026-06-10   set north  temp=28.0C stage=dry   # again" },
		{ "2026-06-10 08:00 set north stage=dry", "2026-06-10 08:00:00 set north stage=dry" },
		{ "2026-03-05 cleave L062 tree=T062 count=SH:22,S6:9", "2026-03-05 cleave L062 count=S6:9,SH:22 tree=T062" },
		{ "2026-06-10 probe L061 mc=20%,21%", "2026-06-10 probe L061 mc=21%,20%" },
		{ "2026-06-10 oven L061 wet=a:20g,b:30g dry=a:18g,b:22g cull=test:1", "2026-06-10 oven L061 wet=b:30g,a:20g dry=a:18g,b:22g cull=test:1" },
		{ "2026-06-10 08:00-00:00 set north stage=dry", "2026-06-10 08:00Z set north stage=dry" },
		{ "2026-06-10 finish B0412 mass=41oz", "2026-06-10 finish B0412 mass=2lb9oz" },
		{ "2026-06-10 note north text=fan", "2026-06-10 note north text=\"fan\"" },
	};

	for (size_t i = 0; i < sizeof SAME / sizeof *SAME; i++) {
		CHECK_CASE(i);
		CHECK(alike(SAME[i][0], SAME[i][1]));
	}
}

/* Each differs from the first line in one thing. */
static void check_other(void)
{
	static const char *const OTHER[] = {
		"2026-06-10 08:00 probe K26-05 mc=a:20.5%,b:21% wood=20C meter=pin2 by=mk",
		"2026-06-11 08:00 probe K26-05 mc=a:20.5%,b:21% wood=20C meter=pin2 by=mk",
		"2026-06-10 08:01 probe K26-05 mc=a:20.5%,b:21% wood=20C meter=pin2 by=mk",
		"2026-06-10 probe K26-05 mc=a:20.5%,b:21% wood=20C meter=pin2 by=mk",
		"2026-06-10 08:00+12:00 probe K26-05 mc=a:20.5%,b:21% wood=20C meter=pin2 by=mk",
		"2026-06-10 08:00 probe K26-06 mc=a:20.5%,b:21% wood=20C meter=pin2 by=mk",
		"2026-06-10 08:00 probe K26-05 mc=a:20.6%,b:21% wood=20C meter=pin2 by=mk",
		"2026-06-10 08:00 probe K26-05 mc=b:20.5%,a:21% wood=20C meter=pin2 by=mk",
		"2026-06-10 08:00 probe K26-05 mc=a:20.5%+,b:21% wood=20C meter=pin2 by=mk",
		"2026-06-10 08:00 probe K26-05 mc=a:20.5%,b:- wood=20C meter=pin2 by=mk",
		"2026-06-10 08:00 probe K26-05 mc=20.5%,b:21% wood=20C meter=pin2 by=mk",
		"2026-06-10 08:00 probe K26-05 mc=a:20.5% wood=20C meter=pin2 by=mk",
		"2026-06-10 08:00 probe K26-05 mc=a:20.5%,b:21% wood=21C meter=pin2 by=mk",
		"2026-06-10 08:00 probe K26-05 mc=a:20.5%,b:21% wood=20C meter=pin2/cane by=mk",
		"2026-06-10 08:00 probe K26-05 mc=a:20.5%,b:21% wood=20C meter=pin2 by=jo",
		"2026-06-10 08:00 probe K26-05 mc=a:20.5%,b:21% wood=20C meter=pin2 doc=mk",
		"2026-06-10 08:00 probe K26-05 mc=a:20.5%,b:21% wood=20C meter=pin2",
		"2026-06-10 08:00 note K26-05 text=\"mc=a:20.5%,b:21% wood=20C meter=pin2\" by=mk",
		"2026-06-10 oven L061 wet=20g,30g dry=18g,22g cull=test:1",
		"2026-06-10 oven L061 wet=20g,30g dry=22g,18g cull=test:1",
		"2026-06-10 cost K26-05 kind=power price=20.00NZD",
		"2026-06-10 cost K26-05 kind=power price=20.00GBP",
	};
	enum { N = sizeof OTHER / sizeof *OTHER };

	for (size_t i = 0; i < N; i++)
		for (size_t k = 0; k < i; k++) {
			CHECK_CASE(i * 100 + k);
			CHECK(!alike(OTHER[i], OTHER[k]));
		}
}

static uint32_t seed = 12345;

static unsigned below(unsigned n)
{
	seed = seed * 1664525u + 1013904223u;
	return (unsigned)((uint64_t)seed * n >> 32);
}

/*
 * As many lines as hashes can be told apart in theory, of which some say the same; against a count by hand. `most`: 0, or how
 * many entries are looked at together, and how many bytes of them are in memory.
 */
static void check_find(unsigned n, unsigned kinds, size_t most)
{
	struct duplicates t;
	unsigned *times = calloc(kinds, sizeof *times), *kind = calloc(n, sizeof *kind);
	struct duplicates_lines found;
	size_t want = 0;
	char text[80];

	duplicates_init(&t);
	t.part_most = t.hashes.most = most;
	for (unsigned i = 0; i < n; i++) {
		const struct line *l;

		kind[i] = below(kinds);
		snprintf(text, sizeof text, "2026-06-10 air n%u temp=%u.5C", kind[i] / 40, kind[i] % 40);
		times[kind[i]]++;
		l = parse_line(&parser, slice_of(i % 7 == 3 ? "# between" : text), i < n / 2 ? i + 1 : i - n / 2 + 1, i >= n / 2);
		if (i % 7 == 3)
			times[kind[i]]--;
		duplicates_add(&t, l, l->kind == LINE_EVENT ? entry_hash(l) : (struct entry_hash){ 0, 0 });
	}
	found = duplicates_find(&t);
	for (unsigned i = 0; i < kinds; i++)
		want += times[i] > 1 ? times[i] : 0;
	CHECK_INT(found.n, want);
	for (size_t i = 0; i < found.n; i++) {
		size_t at = (size_t)found.line[i].line - 1 + (found.line[i].file ? n / 2 : 0);

		CHECK(at < n && at % 7 != 3 && times[kind[at]] > 1);
		CHECK(i == 0 || duplicates_order(&found.line[i - 1], &found.line[i]) <= 0);
		if (i && duplicates_alike(&found.line[i - 1], &found.line[i])) {
			size_t before = (size_t)found.line[i - 1].line - 1 + (found.line[i - 1].file ? n / 2 : 0);

			CHECK(before < at && kind[before] == kind[at]);
		}
	}
	free(found.line);
	free(times);
	free(kind);
	duplicates_release(&t);
}

int main(void)
{
	vocab_init(&vocab);
	diags_init(&diags);
	parser_init(&parser, &vocab, &diags);
	check_same();
	check_other();
	check_find(1, 1, 0);
	check_find(50, 5, 0);
	check_find(3000, 2000, 0);
	check_find(3000, 2000, 100);
	check_find(200000, 1000000, 0);
	check_find(200000, 1000000, 30000);
	parser_release(&parser);
	diags_release(&diags);
	return check_end();
}
