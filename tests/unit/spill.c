/* Records come out of memory and file as they went in, in order and out of it, and memory stays small. */
#include <errno.h>
#include <setjmp.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include "base/spill.h"
#include "check.h"

enum { RECORDS = 5000, LONGEST = 300 };

/* The record's length, and its number in each byte. */
static size_t record(unsigned char *to, uint32_t i)
{
	uint16_t n = (uint16_t)(2 + i * 7919u % LONGEST);

	memcpy(to, &n, sizeof n);
	memset(to + 2, (int)(i & 0xff), n - 2u);
	return n;
}

static void has_record(const struct spill *s, struct spill_view *v, size_t at, uint32_t i)
{
	unsigned char want[LONGEST + 2];
	size_t n = record(want, i);
	uint16_t got;

	memcpy(&got, spill_read(s, v, at, sizeof got), sizeof got);
	CHECK_INT(got, n);
	CHECK(memcmp(spill_read(s, v, at, n), want, n) == 0);
}

static void spill_keeps_records(size_t most)
{
	struct spill s = { .most = most };
	struct spill_view v = { .most = 1000 }, other = SPILL_VIEW_INIT;
	static size_t at[RECORDS];

	for (uint32_t i = 0; i < RECORDS; i++) {
		at[i] = spill_size(&s);
		spill_took(&s, record(spill_space(&s, LONGEST + 2), i));
		CHECK(s.n <= most);
	}
	CHECK(s.filed > 0);
	CHECK(s.cap <= 2 * most);
	for (uint32_t i = 0; i < RECORDS; i++) {
		has_record(&s, &v, at[i], i);
		has_record(&s, &other, at[i * 1237u % RECORDS], i * 1237u % RECORDS);
	}
	for (uint32_t i = RECORDS; i--;)
		has_record(&s, &v, at[i], i);
	CHECK(v.cap <= 2000);
	spill_view_release(&v);
	spill_view_release(&other);
	spill_release(&s);
}

/* What fits in is in no file. */
static void spill_needs_no_file(void)
{
	struct spill s = SPILL_INIT;
	struct spill_view v = SPILL_VIEW_INIT;

	spill_took(&s, record(spill_space(&s, LONGEST + 2), 7));
	has_record(&s, &v, 0, 7);
	CHECK(!s.filed && !v.cap);
	spill_release(&s);
}

static jmp_buf failed;
static int error_seen;

static void on_failure(int error)
{
	error_seen = error;
	longjmp(failed, 1);
}

/* Where there is no folder for the file, the handler hears why. */
static void spill_says_why(void)
{
	static struct spill s = { .most = 1 };
	char folder[] = "/tmp/spill-XXXXXX";

	CHECK(mkdtemp(folder) != NULL);
	CHECK_INT(rmdir(folder), 0);
	CHECK_INT(setenv("TMPDIR", folder, 1), 0);
	spill_on_failure(on_failure);
	if (!setjmp(failed))
		for (uint32_t i = 0; i < 2; i++)
			spill_took(&s, record(spill_space(&s, LONGEST + 2), i));
	CHECK_INT(error_seen, ENOENT);
	CHECK_INT(unsetenv("TMPDIR"), 0);
	spill_release(&s);
}

int main(void)
{
	spill_keeps_records(LONGEST + 2);
	spill_keeps_records(4096);
	spill_keeps_records(100000);
	spill_needs_no_file();
	spill_says_why();
	return check_end();
}
