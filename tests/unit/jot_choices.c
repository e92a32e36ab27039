#include "jot/jot_choices.h"

#include "check.h"

static struct jot_choices choices;

static enum jot_found find(const char *typed, const char *want)
{
	struct slice word = SLICE("none");
	enum jot_found found = jot_choices_find(&choices, slice_of(typed), &word);

	if (found == JOT_ONE)
		CHECK(slice_eq(word, slice_of(want)));
	return found;
}

static void check_list(const char *typed, const char *want)
{
	struct buf out = BUF_INIT;

	jot_choices_list(&choices, slice_of(typed), &out);
	CHECK(slice_eq(buf_slice(&out), slice_of(want)));
	buf_release(&out);
}

static void add(const char *word)
{
	jot_choices_add(&choices, slice_of(word), SLICE(""));
}

int main(void)
{
	static const char *const more[] = { "za", "zb", "zc", "zd", "ze", "zf", "zg", "zh", "zi", "zj", "zk", "zl", "zm", "zn" };
	static const char *const words[] = { "store/r1", "store/r2", "store/bats", "shop", "bench", "r2", "benches", "1", "12" };

	CHECK(find("s", "") == JOT_NONE);
	check_list("", "");
	for (size_t i = 0; i < sizeof words / sizeof *words; i++)
		add(words[i]);
	CHECK(find("r1", "store/r1") == JOT_ONE);
	CHECK(find("r2", "r2") == JOT_ONE);
	CHECK(find("bench", "bench") == JOT_ONE);
	CHECK(find("1", "1") == JOT_ONE);
	CHECK(find("benche", "benches") == JOT_ONE);
	CHECK(find("sh", "shop") == JOT_ONE);
	CHECK(find("ba", "store/bats") == JOT_ONE);
	CHECK(find("s", "") == JOT_MANY);
	CHECK(find("b", "") == JOT_MANY);
	CHECK(find("", "") == JOT_NONE);
	CHECK(find("x", "") == JOT_NONE);
	check_list("b", "store/bats, bench or benches");
	check_list("sh", "shop");
	add("shop");
	CHECK(find("sh", "shop") == JOT_ONE);
	jot_choices_sort(&choices);
	CHECK(choices.n == sizeof words / sizeof *words);
	check_list("", "1, 12, bench, benches, r2, shop, store/bats, store/r1 or store/r2");
	for (size_t i = 0; i < sizeof more / sizeof *more; i++)
		add(more[i]);
	check_list("z", "za, zb, zc, zd, ze, zf, zg, zh, zi, zj, zk, zl or 2 more");
	jot_choices_release(&choices);
	return check_end();
}
