/* group.c: groups merge to the same whole however they are cut; states are read back, or refused. */
#include <stdlib.h>

#include "math/stats.h"
#include "table/group.h"
#include "table/partial.h"
#include "table/table.h"
#include "check.h"

static const char *const COUNTS[] = { "seen", "odd" }, *const SUMS[] = { "mc", "temp" };
static const struct groups_plan PLAN = { .name = "probe", .nkeys = 2, .ncounts = 2, .nsums = 2,
	.counts = COUNTS, .sums = SUMS, .nnamed = 1 };
static const struct groups_plan ALONE = { .name = "alone", .ncounts = 1, .counts = COUNTS };

enum { READINGS = 3000 };

static void add_to_sum(struct group *g, size_t i, int64_t reading, struct slice who)
{
	struct sums one = { 0 };

	sums_add(&one, reading);
	group_add_sums(&PLAN, g, i, &one, who, who);
}

/* Reading i: places and months that come back, an empty key, ties at both ends with many names. */
static void add_reading(struct groups *set, int i)
{
	char place[24], who[24];
	struct slice key[2] = { { place, 0 }, SLICE("2026-03") };
	int64_t mc = (int64_t)i * 7919 % 13 * 10000;
	struct group *g;

	key[0].n = i % 5 ? (size_t)snprintf(place, sizeof place, "store/r%d", i % 37) : 0;
	snprintf(who, sizeof who, "L%03d", i * 31 % 1000);
	g = groups_at(set, key);
	g->count[0]++;
	g->count[1] += i & 1;
	add_to_sum(g, 0, mc, slice_of(who));
	if (i % 3)
		add_to_sum(g, 1, -(int64_t)i * i / 2, slice_of(who));
}

static void write_state(struct groups *set, struct groups *alone, uint64_t left_out, struct buf *out)
{
	struct groups *sets[] = { set, alone };
	struct partial s = { .tool = "wy-try", .settings = SLICE("by=place"), .set = sets, .nsets = 2, .left_out = left_out };
	struct table t;

	partial_write(&s, &t);
	out->n = 0;
	table_write(&t, (struct table_style){ .form = TABLE_AS_TSV, .no_header = false }, out);
	table_release(&t);
}

static void fill(struct groups *set, struct groups *alone, int from, int to)
{
	groups_init(set, &PLAN);
	groups_init(alone, &ALONE);
	for (int i = from; i < to; i++) {
		add_reading(set, i);
		groups_at(alone, NULL)->count[0]++;
	}
}

static bool read_states(struct slice text, struct buf *out, struct buf *error)
{
	struct groups set, alone, *sets[] = { &set, &alone };
	struct partial s = { .tool = "wy-try", .settings = SLICE("by=place"), .set = sets, .nsets = 2 };
	bool good;

	error->n = 0;
	fill(&set, &alone, 0, 0);
	good = partial_read(&s, text, error);
	if (good)
		write_state(&set, &alone, s.left_out, out);
	groups_release(&set);
	groups_release(&alone);
	return good;
}

static void merge(struct groups *into, const struct groups *from)
{
	for (size_t i = 0; i < from->n; i++)
		group_merge(into->plan, groups_at(into, from->list[i]->key), from->list[i]);
}

static void any_cut_is_the_whole(const struct buf *whole)
{
	for (int cut = 0; cut <= READINGS; cut += 250) {
		struct groups a, b, alone_a, alone_b;
		struct buf first = BUF_INIT, second = BUF_INIT, both = BUF_INIT, error = BUF_INIT;

		CHECK_CASE(cut);
		fill(&a, &alone_a, 0, cut);
		fill(&b, &alone_b, cut, READINGS);
		write_state(&a, &alone_a, 3, &first);
		write_state(&b, &alone_b, 4, &second);
		buf_add(&second, buf_slice(&first)); /* the later part first */
		CHECK(read_states(buf_slice(&second), &both, &error));
		CHECK_SLICE(buf_slice(&both), buf_slice(whole));
		merge(&a, &b);
		merge(&alone_a, &alone_b);
		write_state(&a, &alone_a, 7, &first);
		CHECK_SLICE(buf_slice(&first), buf_slice(whole));
		groups_release(&a);
		groups_release(&b);
		groups_release(&alone_a);
		groups_release(&alone_b);
		buf_release(&first);
		buf_release(&second);
		buf_release(&both);
		buf_release(&error);
	}
	CHECK_CASE(-1);
}

/* Every line taken out, doubled, or ended early is seen; so is every state that ends before its end. */
static void damage_is_seen(const struct buf *whole)
{
	struct buf bad = BUF_INIT, out = BUF_INIT, error = BUF_INIT;
	size_t header = slice_find(buf_slice(whole), '\n') + 1;

	for (size_t at = header; at < whole->n;) {
		size_t next = at + slice_find(slice_from(buf_slice(whole), at), '\n') + 1;

		CHECK_CASE(at);
		bad.n = 0;
		buf_add(&bad, slice_upto(buf_slice(whole), at));
		CHECK(!read_states(buf_slice(&bad), &out, &error) || at == header);
		buf_add(&bad, slice_from(buf_slice(whole), next));
		CHECK(!read_states(buf_slice(&bad), &out, &error));
		CHECK(error.n > 0);
		bad.n = 0;
		buf_add(&bad, slice_upto(buf_slice(whole), next));
		buf_add(&bad, slice_from(buf_slice(whole), at));
		CHECK(!read_states(buf_slice(&bad), &out, &error));
		at = next;
	}
	CHECK_CASE(-1);
	buf_release(&bad);
	buf_release(&out);
	buf_release(&error);
}

#define HEAD "set\tkey\twhat\tn\tsum\tsquares\tleast\tmost\tleast_who\tmost_who\n"
#define STATE "state\twy-try\t1\t\t\t\t\t\t\t\n"
#define SET "settings\t-\tby=place\t\t\t\t\t\t\t\n"
#define END(n) "end\t-\t-\t" #n "\t\t\t\t\t\t\n"
#define ROW(cells) "probe\ta b\t" cells "\n"

static const struct {
	const char *text, *said;
} REFUSED[] = {
	{ "", "this is empty" },
	{ HEAD "2026-03-02 air north temp=20C\n", "line 2: this is not a state" },
	{ STATE SET "seen\t1\n", "line 3: too few cells" },
	{ HEAD STATE SET ROW("mc\t1\t5\t25\t5\t5\ta\tb\tc") END(2), "line 4: too many cells" },
	{ HEAD SET, "line 2: this is not a state" },
	{ "state\twy-air\t1\t\t\t\t\t\t\t\n", "line 1: this is a state of another filter" },
	{ "state\twy-try\t2\t\t\t\t\t\t\t\n", "another version" },
	{ STATE "settings\t-\tby=month\t\t\t\t\t\t\t\n", "by=month and not with by=place" },
	{ STATE END(0) STATE, "line 3: the state ends here" },
	{ STATE ROW("seen\t1\t\t\t\t\t\t"), "the settings of the state are missing here" },
	{ STATE SET ROW("seen\tx\t\t\t\t\t\t"), "line 3: the number of this row" },
	{ STATE SET ROW("seen\t-1\t\t\t\t\t\t"), "line 3: the number of this row" },
	{ STATE SET ROW("seen\t1099511627777\t\t\t\t\t\t"), "more than can be counted" },
	{ STATE SET ROW("seen\t1099511627776\t\t\t\t\t\t") ROW("seen\t1\t\t\t\t\t\t"), "line 4: more than can be counted" },
	{ STATE SET ROW("what\t1\t\t\t\t\t\t"), "nothing that the filter counts" },
	{ STATE SET "probe\ta\tseen\t1\t\t\t\t\t\t\n", "another number of keys" },
	{ STATE SET "probe\ta b c\tseen\t1\t\t\t\t\t\t\n", "another number of keys" },
	{ STATE SET "other\ta b\tseen\t1\t\t\t\t\t\t\n", "nothing that the filter counts" },
	{ STATE SET ROW("mc\t2\t9\t50\t5\t5\tx\ty"), "line 3: the numbers of this row" },   /* the mean is below the least */
	{ STATE SET ROW("mc\t2\t10\t-1\t5\t5\tx\ty"), "the numbers of this row" },
	{ STATE SET ROW("mc\t0\t0\t0\t0\t0\tx\ty"), "the numbers of this row" },
	{ STATE SET ROW("mc\t1\t9000000\t81000000000000\t9000000\t9000000\tx\ty"), "the numbers of this row" },
	{ STATE SET ROW("mc\t1\t99999999999999999999999999999999999999999\t1\t5\t5\tx\ty"), "the numbers of this row" },
	{ STATE SET END(2), "line 3: rows of this state are missing" },
	{ STATE SET END(x), "line 3: rows of this state are missing" },
};

static void what_is_no_state_is_refused(void)
{
	struct buf out = BUF_INIT, error = BUF_INIT;

	for (size_t i = 0; i < sizeof REFUSED / sizeof *REFUSED; i++) {
		CHECK_CASE(i);
		CHECK(!read_states(slice_of(REFUSED[i].text), &out, &error));
		if (!strstr(buf_cstr(&error), REFUSED[i].said))
			CHECK_TEXT(buf_slice(&error), REFUSED[i].said);
	}
	CHECK_CASE(-1);
	CHECK(read_states(slice_of(STATE SET ROW("mc\t2\t10\t50\t5\t5\tx\ty") END(2)), &out, &error));
	CHECK_TEXT(buf_slice(&out), HEAD STATE SET "probe\ta b\tmc\t2\t10\t50\t5\t5\tx\ty\nleft-out\t-\t-\t0\t\t\t\t\t\t\nend\t-\t-\t3\t\t\t\t\t\t\n");
	buf_release(&out);
	buf_release(&error);
}

/* Sums that pass 64 bits are written and read whole. */
static void wide_sums(void)
{
	struct buf out = BUF_INIT, error = BUF_INIT;
	const char *text = STATE SET ROW("mc\t1000000000000\t-4000000000000000000\t16000000000000000000000000\t-4000000\t-4000000\tx\ty")
		ROW("mc\t90000000000\t-360000000000000000\t1440000000000000000000000\t-4000000\t-4000000\ta\tz") END(3);

	CHECK(read_states(slice_of(text), &out, &error));
	CHECK(strstr(buf_cstr(&out), "mc\t1090000000000\t-4360000000000000000\t17440000000000000000000000\t-4000000\t-4000000\ta\ty\n") != NULL);
	buf_release(&out);
	buf_release(&error);
}

static void lanes_are_the_sums(void)
{
	struct lane lane;
	struct sums quick = { 0 }, slow = { 0 };

	lane_clear(&lane);
	lane_empty(&lane, &quick);
	CHECK_INT(quick.n, 0);
	for (int64_t i = 0; i < 3 * LANE_FULL + 5; i++) {
		int64_t reading = i % 2 ? 4194303 - i % 7 : -4194303 + i % 5;

		lane_add(&lane, reading, &quick);
		sums_add(&slow, reading);
	}
	lane_empty(&lane, &quick);
	CHECK_INT(quick.n, slow.n);
	CHECK(quick.sum == slow.sum && quick.squares == slow.squares);
	CHECK(quick.least == slow.least && quick.most == slow.most);
}

static void groups_are_found_again(void)
{
	struct groups set;
	const struct slice one[2] = { SLICE("ab"), SLICE("c") }, other[2] = { SLICE("a"), SLICE("bc") };
	struct group *first;

	groups_init(&set, &PLAN);
	first = groups_at(&set, one);
	CHECK(groups_at(&set, other) != first);
	CHECK_INT(set.n, 2);
	for (int i = 0; i < 1000; i++)
		add_reading(&set, i);
	CHECK(groups_at(&set, one) == first);
	groups_sort(&set);
	for (size_t i = 1; i < set.n; i++) {
		int order = slice_cmp(set.list[i - 1]->key[0], set.list[i]->key[0]);

		CHECK(order < 0 || (order == 0 && slice_cmp(set.list[i - 1]->key[1], set.list[i]->key[1]) < 0));
	}
	CHECK(groups_at(&set, one) == first);
	groups_release(&set);
}

int main(void)
{
	struct groups set, alone;
	struct buf whole = BUF_INIT;

	fill(&set, &alone, 0, READINGS);
	write_state(&set, &alone, 7, &whole);
	any_cut_is_the_whole(&whole);
	damage_is_seen(&whole);
	what_is_no_state_is_refused();
	wide_sums();
	lanes_are_the_sums();
	groups_are_found_again();
	groups_release(&set);
	groups_release(&alone);
	buf_release(&whole);
	return check_end();
}
