/*
 * The index from hashes to rows: against a model that looks at every row, with hashes that collide.
 */
#include "base/hash_index.h"
#include "check.h"

enum { ROWS = 3000, KEYS = 1200 };

/* The model: a row that was taken out has the key GONE. */
enum { GONE = UINT16_MAX };

static struct {
	uint32_t row[ROWS];
	uint32_t n, there;
	struct hash_index index;
} set;

typedef uint64_t hash_fn(uint32_t key);

static uint64_t good(uint32_t key)
{
	return hash_mix(key);
}

static uint64_t near(uint32_t key)
{
	return hash_near(key, 7);
}

/* A few long runs of slots, of which many go round the end of the table. */
static uint64_t poor(uint32_t key)
{
	return key % 3 - 1;
}

/* Alike in all bits that an index keeps. */
static uint64_t high(uint32_t key)
{
	return (uint64_t)key << 32 | 5;
}

static hash_fn *const HASHES[] = { good, near, poor, high };

static int64_t find(uint32_t key, hash_fn *hash)
{
	struct hash_probe p = hash_probe_of(&set.index, hash(key));

	while (hash_probe_next(&set.index, &p))
		if (set.row[p.row] == key)
			return p.row;
	return -1;
}

static int64_t find_slowly(uint32_t key)
{
	for (uint32_t i = 0; i < set.n; i++)
		if (set.row[i] == key)
			return i;
	return -1;
}

static void check_model(hash_fn *hash)
{
	uint64_t dice = 1;

	CHECK_INT(find(1, hash), -1);
	hash_index_remove(&set.index, hash(1), 0);
	for (int i = 0; i < ROWS; i++) {
		uint32_t key = (uint32_t)((dice = dice * 6364136223846793005u + 1) >> 33) % KEYS;
		int64_t row = find_slowly(key);

		CHECK_INT(find(key, hash), row);
		if (row < 0) {
			hash_index_add(&set.index, hash(key), set.n);
			set.row[set.n++] = key;
			set.there++;
		} else if (i % 4) {
			hash_index_remove(&set.index, hash(key), (uint32_t)row);
			set.row[row] = GONE;
			set.there--;
		}
	}
	CHECK(set.there > ROWS / 10);
	CHECK_INT(set.index.n, set.there);
	for (uint32_t key = 0; key < KEYS + 10; key++)
		CHECK_INT(find(key, hash), find_slowly(key));
}

/* Every row of a hash is gone through once. */
static void check_alike(void)
{
	bool met[100] = { false };
	struct hash_probe p;
	uint32_t n = 0;

	for (uint32_t i = 0; i < 100; i++)
		hash_index_add(&set.index, i % 2 ? 9 : 10, i);
	p = hash_probe_of(&set.index, 9);
	for (; hash_probe_next(&set.index, &p); n++) {
		CHECK(p.row % 2 && !met[p.row]);
		met[p.row] = true;
	}
	CHECK_INT(n, 50);
}

static void check_space(void)
{
	const struct hash_slot *slot;

	hash_index_expect(&set.index, 1000);
	slot = set.index.slot;
	for (uint32_t i = 0; i < 1000; i++)
		hash_index_add(&set.index, hash_mix(i), i);
	CHECK(set.index.slot == slot);
	hash_index_clear(&set.index);
	CHECK_INT(set.index.n, 0);
	CHECK_INT(find(3, good), -1);
	CHECK(set.index.slot == slot);
	hash_index_expect(&set.index, 10);
	CHECK(set.index.slot == slot);
}

/* Numbers in a row stand in one line of the cache, and hundreds of them do not stand in few. */
static void check_lines(void)
{
	bool taken[64] = { false };
	int n = 0;

	for (uint32_t i = 0; i < 64; i++) {
		CHECK_INT(near(i) / 8, near(i - i % 8) / 8);
		CHECK_INT(near(i) % 8, i % 8);
		taken[near(i * 8) / 8 % 64] = true;
	}
	for (int i = 0; i < 64; i++)
		n += taken[i];
	CHECK(n > 32);
}

int main(void)
{
	for (size_t i = 0; i < sizeof HASHES / sizeof *HASHES; i++) {
		CHECK_CASE(i);
		check_model(HASHES[i]);
		hash_index_release(&set.index);
		set.n = set.there = 0;
	}
	check_alike();
	hash_index_release(&set.index);
	check_space();
	hash_index_release(&set.index);
	check_lines();
	return check_end();
}
